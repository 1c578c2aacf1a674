"""Stills of a run: before, at the worst moment, at the landing, at the end."""

from __future__ import annotations

from pathlib import Path

from tipline.units import System
from tipline.view.camera import clear_azimuth, close_up, fit
from tipline.view.drawers import Drawers, Scenery, View
from tipline.view.frame import Composer
from tipline.view.frames import drawn_here
from tipline.view.palette import spelled
from tipline.view.story import Story, nearest

__all__ = ["Stills", "moments"]

_FINE = 2


def moments(story: Story) -> list[tuple[str, int, str]]:
    """Give short name, sample and caption of each still."""
    start, end = 0, len(story.time) - 1
    worst = nearest(story.time, story.worst_time)
    before = f", before {story.cause_words}" if story.cause_words else ""
    either = f"it could go either way ({'; '.join(story.doubts)}). This run: " if story.doubts else ""
    begin = story.start_words[:1].upper() + story.start_words[1:]
    landing = []
    if story.landing is not None:
        down = nearest(story.time, story.landing)
        words = f"The landing, {_when(story, down)}: the first touch of the floor after the fall."
        landing = [("landing", down, words)]
    return [
        ("rest", start, f"{begin}, {_when(story, start)}{before}."),
        ("worst", worst, f"The worst moment, {_when(story, worst)}: {story.worst_words}."),
        *landing,
        ("end", end, f"The end, {_when(story, end)}: {either}{'; '.join(story.outcome)}."),
    ]


class Stills:
    """Stills whose scenes are drawn ahead from the moment that this is made, where processes that draw are there.

    It is to be closed.

    Raises
    ------
    MissingPart
        OpenGL is absent.
    """

    def __init__(self, story: Story, system: System = "si", drawers: Drawers | None = None) -> None:
        self._composer = Composer(story, system=system, name_lines=True)
        self._system, self._moments = system, moments(story)
        size = self._composer.layout.view
        scenery = Scenery(story, size, system, fine=_FINE)
        views = [view for name, index, _ in self._moments for view in _views(story, size, name, index)]
        # by one process: a scene so fine takes another as long to make as half of the pictures
        self._scenes = drawers.begin(scenery, views, 1) if drawers else drawn_here(scenery, views)

    def close(self) -> None:
        """Draw no more of them."""
        self._scenes.close()

    def write(self, folder: Path) -> list[tuple[Path, str]]:
        """Write them into `folder`, once, and give each file with its caption."""
        composer, done = self._composer, []
        for name, index, caption in self._moments:
            near, frame = next(self._scenes), next(self._scenes)
            composer.forget()
            ended = index == len(composer.story.time) - 1
            path = folder / f"still-{name}.png"
            composer.picture(frame, index, "", ended, near.image).save(path)
            done.append((path, spelled(caption, self._system)))
        return done


def _views(story: Story, size: tuple[int, int], name: str, index: int) -> tuple[View, View]:
    """Give what a still shows: the close look, which is reduced by itself, and the whole."""
    side = clear_azimuth(story, index) if name in ("landing", "end") else None
    whole = fit(story, size[0] / size[1], index, side)
    return View(index, close_up(story, index), arrows=False, fine=1), View(index, whole)


def _when(story: Story, index: int) -> str:
    return f"{story.time[index]:.2f} s"
