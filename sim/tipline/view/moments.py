"""Stills of a run: before, at the worst moment, at the landing, at the end."""

from __future__ import annotations

from pathlib import Path

from tipline.units import System
from tipline.view.camera import clear_azimuth, close_up, fit
from tipline.view.frame import Composer
from tipline.view.palette import spelled
from tipline.view.scene import Scene
from tipline.view.story import Story, nearest

__all__ = ["draw_stills", "moments"]

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


def draw_stills(story: Story, folder: Path, system: System = "si") -> list[tuple[Path, str]]:
    """Draw the stills into `folder` and give each file with its caption."""
    composer = Composer(story, system=system, name_lines=True)
    size = composer.layout.view
    done = []
    with Scene(story, size, system, fine=_FINE) as scene:
        for name, index, caption in moments(story):
            near = scene.draw(index, close_up(story, index), arrows=False, fine=1).image  # it is reduced by itself
            side = clear_azimuth(story, index) if name in ("landing", "end") else None
            frame = scene.draw(index, fit(story, size[0] / size[1], index, side))
            composer.forget()
            picture = composer.picture(frame, index, "", index == len(story.time) - 1, near)
            path = folder / f"still-{name}.png"
            picture.save(path)
            done.append((path, spelled(caption, system)))
    return done


def _when(story: Story, index: int) -> str:
    return f"{story.time[index]:.2f} s"
