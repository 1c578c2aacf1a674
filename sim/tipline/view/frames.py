"""A film's scenes in order, those that look alike drawn once: by processes beside this one where that pays."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Self

from tipline.children import cores
from tipline.units import System
from tipline.view import gl
from tipline.view.camera import fit, travel
from tipline.view.drawers import Drawers, Scenery, View
from tipline.view.repeats import drawn_at
from tipline.view.story import Story

if TYPE_CHECKING:
    from tipline.view.scene import Frame

__all__ = ["WORTH", "Frames", "drawn_here", "most_drawers"]

WORTH = 40
"""So many frames pay for loading another process (our choice: it takes as long as some thirty frames)."""
_MOST = 8


def most_drawers() -> int:
    """Return how many processes at most draw a film."""
    return min(cores(), _MOST)


def drawn_here(scenery: Scenery, views: Sequence[View]) -> Generator[Frame, None, None]:
    """Draw the views of a scene in this process, each when it is asked for."""
    with scenery.scene() as scene:
        for view in views:
            yield view.of(scene)


class Frames:
    """The scene at each of some samples, in order, drawn ahead from the moment that this is made; it is to be closed.

    Samples in which nothing has moved share a frame. ``drawers``: processes that are there; else it has its own, or
    few frames are drawn in this process. One that has ended, or failed, is closed.

    Raises
    ------
    MissingPart
        OpenGL is absent.
    TiplineError
        A process that draws cannot be started, or ended.
    """

    def __init__(
        self,
        story: Story,
        size: tuple[int, int],
        system: System,
        indices: Sequence[int],
        drawers: Drawers | None = None,
    ) -> None:
        aspect = size[0] / size[1]
        steps = travel(story, aspect, fit(story, aspect))
        shown = drawn_at(story, steps, indices)
        views = [View(index) for index, _ in groupby(shown)]
        scenery = Scenery(story, size, system, steps=steps)
        count = min(len(drawers) if drawers else most_drawers(), max(len(views) // WORTH, 1))
        self._own: Drawers | None = None
        if drawers is None and count > 1:
            gl.require()
            drawers = self._own = Drawers(count, together=count)
        self._frames = self._repeated(shown)
        try:
            self._drawn = drawers.begin(scenery, views, count) if drawers else drawn_here(scenery, views)
        except BaseException:
            self._end()
            raise

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> Frame:
        try:
            return next(self._frames)
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Draw no more of them."""
        self._frames.close()
        self._drawn.close()
        self._end()

    def _end(self) -> None:
        if self._own is not None:
            self._own.close()

    def _repeated(self, shown: Sequence[int]) -> Generator[Frame, None, None]:
        for _, alike in groupby(shown):
            frame = next(self._drawn)
            for _ in alike:
                yield frame
