"""The scene of one run in pyvista: truck, load, floor with its holes, tip lines, balance point, tyre loads.

Everything is drawn where the run has it; no displacement is exaggerated. Make and draw a scene in one thread: a
plotter used from a second thread gives wrong pictures without an error. A request to end is met between two pictures:
raised while vtk is loaded or draws, it ended the process by a segmentation fault.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self

import numpy as np
from numpy.typing import NDArray

from tipline.sweeps.interrupts import unbroken
from tipline.units import System
from tipline.view import gl, palette
from tipline.view.bodies import Bodies
from tipline.view.camera import VIEW_ANGLE, Camera, corners, fit, in_world, travel
from tipline.view.ground import Places, lay_floor, raised_edges
from tipline.view.layers import THROUGH, Layers
from tipline.view.mark_sizes import arrow_offsets, arrow_scale, grid_step, mark_size
from tipline.view.meshes import arrow, bar, stretched
from tipline.view.shadows import OPACITY, shadows
from tipline.view.smoothing import smoothed
from tipline.view.story import Array, Story, level

if TYPE_CHECKING:
    from types import TracebackType

__all__ = ["Frame", "Scene"]

_EDGE = 1.35  # how much wider the dark edge of an arrow is
_LINE_OVER = 0.9  # how far a tip line is drawn beyond the contacts
_ROPE_RADIUS = 0.02

Image = NDArray[np.uint8]


@dataclass(frozen=True)
class Frame:
    """One rendered picture (h, w, 3) and where in it, in pixels, the things lie that get a label.

    `tyres`, `balance`, `places`, `raised`, `rope` are points (k, 2) [pixels]; `lines` are the ends (k, 2, 2) of tip
    lines; `parts` are boxes (k, 4) round the parts of truck and load.
    """

    image: Image
    tyres: Array
    lines: Array
    balance: Array
    places: Array
    raised: Array
    rope: Array
    parts: Array


class Scene:
    """A plotter that draws any sample of one story, always from the same place.

    Pictures are `size` pixels; with `fine` 2 they are drawn twice as large and reduced, which smooths thin lines.
    `steps`: how far the camera goes (n, 3) [m], where that is known. ``tried``: who asks has found that this computer
    draws.
    """

    @unbroken()
    def __init__(
        self,
        story: Story,
        size: tuple[int, int],
        system: System = "si",
        *,
        fine: int = 1,
        steps: Array | None = None,
        tried: bool = False,
    ) -> None:
        if not tried:
            gl.require()
        import pyvista as pv

        self.story = story
        self.size = size
        self._fine = fine
        self._camera = fit(story, size[0] / size[1])
        self._steps = steps
        self._boxes = [corners(solid.vertices) for solid in story.solids]
        self._layers = layers = Layers(size, fine)
        self._bodies = Bodies(layers, story)
        self._places = Places(layers, story, (self._camera.position - self._camera.focus)[:2])
        lay_floor(layers, story, grid_step(system))
        self._shadows = shadows(pv, story)
        for shadow in self._shadows:
            layers.add(shadow.mesh, palette.INK, lighting=False, opacity=OPACITY)
        self._newtons = arrow_scale(story, system)
        self._aside = arrow_offsets(story)
        self._arrows = [arrow(pv) for _ in story.tyres]
        self._arrow_actors = [actor for mesh in self._arrows for actor in layers.add_twice(mesh, palette.ARROW)]
        self._edges = [arrow(pv) for _ in story.tyres]  # in black and white yellow is nearly as grey as the floor
        self._arrow_actors += [layers.add(mesh, palette.INK, lighting=False, culling="front") for mesh in self._edges]
        self._lines = [bar(pv, line.swing) for line in story.lines]
        for line, strip in zip(story.lines, self._lines, strict=True):
            layers.add_twice(strip, palette.LINES[line.name.split(".")[-1]])
        self._balance = self._add_balance(pv)
        self._rope = layers.add(pv.Cylinder(center=(0, 0, 0.5), direction=(0, 0, 1), radius=1.0), palette.INK)
        self._aim(0, self._camera)
        layers.plotter.show(auto_close=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @unbroken()
    def close(self) -> None:
        """Let the window and its memory go."""
        self._layers.plotter.close()

    @unbroken()
    def draw(self, index: int, camera: Camera | None = None, arrows: bool = True, fine: int | None = None) -> Frame:
        """Render sample `index`, from the scene's own camera and as fine as the scene unless told otherwise."""
        story, plotter, fine = self.story, self._layers.plotter, fine or self._fine
        plotter.render_window.SetSize(self.size[0] * fine, self.size[1] * fine)
        for actor in self._arrow_actors:
            actor.SetVisibility(arrows and not story.fallen(index))
        self._bodies.pose(index)
        self._places.deepen(index)
        for shadow in self._shadows:
            shadow.pose(index)
        size = mark_size(camera or self._camera)
        tails = self._places.mark(index, size)
        bases = self._pose_arrows(index, size)
        ends = self._pose_lines(index, size)
        self._pose_balance(index, size)
        self._pose_rope(index)
        self._aim(index, camera)
        plotter.render()
        image, project = plotter.image, self._layers.project
        return Frame(
            smoothed(np.asarray(image)) if self._fine == 1 else _reduced(image, fine),
            project(bases),
            project(ends.reshape(-1, 3)).reshape(-1, 2, 2),
            project(story.balance[index][None]),
            project(tails),
            project(raised_edges(story, index)),
            project(_rope_middle(story, index)),
            np.concatenate([self._part_boxes(index), self._arrow_boxes(index, bases)]),
        )

    def _aim(self, index: int, camera: Camera | None = None) -> None:
        story, chosen = self.story, camera or self._camera
        moved = self._moved(index) if camera is None else np.zeros(3)
        view = self._layers.plotter.camera  # told by its own names, as pyvista's ask the bounds of all that is drawn
        view.SetPosition(*in_world(story, index, chosen.position + moved))
        view.SetFocalPoint(*in_world(story, index, chosen.focus + moved))
        view.SetViewUp(*(level(story.gravity[index]).T @ np.array([0.0, 0.0, 1.0])))
        view.SetViewAngle(np.degrees(VIEW_ANGLE))
        view.SetClippingRange(0.5, 400.0)

    def _moved(self, index: int) -> Array:
        if self._steps is None:
            self._steps = travel(self.story, self.size[0] / self.size[1], self._camera)
        return np.asarray(self._steps[index])

    def _part_boxes(self, index: int) -> Array:
        """Give pixels (k, 4), x0, y0, x1, y1, round each part."""
        solids, matrices = self.story.solids, self.story.matrices[index]
        corners = [
            box @ matrices[solid.body, :3, :3].T + matrices[solid.body, :3, 3]
            for solid, box in zip(solids, self._boxes, strict=True)
        ]
        pixels = self._layers.project(np.concatenate(corners)).reshape(len(solids), 8, 2)
        return np.column_stack([pixels.min(axis=1), pixels.max(axis=1)])

    def _arrow_boxes(self, index: int, feet: Array) -> Array:
        """Give pixels (k, 4) round each arrow."""
        long = np.array([max(float(tyre.load[index]), 0.0) / self._newtons for tyre in self.story.tyres])
        tips = feet + long[:, None] * np.array([0.0, 0.0, 1.0])
        ends = np.stack([self._layers.project(feet), self._layers.project(tips)], axis=1)
        wide = np.array([4.0, 0.0])
        return np.column_stack([ends.min(axis=1) - wide, ends.max(axis=1) + wide])

    # -- what is drawn ------------------------------------------------------------------------------------------

    def _add_balance(self, pv: Any) -> list[Any]:
        """Draw a ring with a dot, each circle a little above the one it lies on."""
        actors = []
        for height, radius, colour in (
            (0.010, 0.16, palette.INK),
            (0.012, 0.11, palette.PANEL),
            (0.014, 0.05, palette.INK),
        ):
            disc = pv.Disc(center=(0, 0, height), inner=0.0, outer=radius, c_res=32)
            actors += self._layers.add_twice(disc, colour, 2 * THROUGH)
        return actors

    # -- where it is at one sample ------------------------------------------------------------------------------

    def _pose_arrows(self, index: int, size: float) -> Array:
        """Stand each arrow outboard of its tyre and return the feet (k, 3) in the world."""
        frame = self.story.matrices[index, 0, :3, :3]
        along = frame[:, 1] * [1.0, 1.0, 0.0]
        norm = float(np.linalg.norm(along))
        along = along / norm if norm > 0.2 else self.story.matrices[0, 0, :3, 1]
        feet = []
        wider = np.array([_EDGE, _EDGE, 1.0])
        for tyre, aside, mesh, edge in zip(self.story.tyres, self._aside, self._arrows, self._edges, strict=True):
            foot = tyre.contact[index] + along * aside
            foot = np.array([foot[0], foot[1], float(self.story.floor_at(foot[0], foot[1]))])
            long = max(float(tyre.load[index]), 0.0) / self._newtons
            mesh.points = stretched(np.asarray(mesh["shape"]), long, size) + foot
            edge.points = stretched(np.asarray(edge["shape"]) * wider, long, size) + foot
            feet.append(foot)
        return np.array(feet).reshape(-1, 3)

    def _pose_lines(self, index: int, size: float) -> Array:
        """Lay each tip line on the floor and return its drawn ends (k, 2, 3)."""
        drawn = np.full((len(self._lines), 2, 3), np.nan)
        for line, mesh, ends in zip(self.story.lines, self._lines, drawn, strict=True):
            a, b = line.ends[index]
            length, shape = float(np.linalg.norm(b - a)), np.asarray(mesh["shape"])
            if not np.isfinite(length) or length < 1e-6:
                mesh.points = np.zeros((len(shape), 3))
                continue
            unit = (b - a) / length
            over = 0.0 if line.swing else _LINE_OVER
            ends[:] = a - unit * over, b + unit * over
            across = np.array([-unit[1], unit[0], 0.0])
            along, aside = shape[:, :1], shape[:, 1:2]
            mesh.points = ends[0] + along * (ends[1] - ends[0]) + aside * size * across + np.array([0.0, 0.0, 0.006])
        return drawn

    def _pose_balance(self, index: int, size: float) -> None:
        point = self.story.balance[index]
        seen = bool(np.isfinite(point).all())
        matrix = np.diag([size, size, 1.0, 1.0])
        matrix[:3, 3] = point if seen else 0.0
        for actor in self._balance:
            actor.SetVisibility(seen)
            actor.user_matrix = matrix

    def _pose_rope(self, index: int) -> None:
        story = self.story
        if story.hook is None or story.load_top is None:
            self._rope.SetVisibility(False)
            return
        top, bottom = story.hook[index], story.load_top[index]
        z = bottom - top
        self._rope.SetVisibility(bool(np.isfinite(z).all()))
        if not np.isfinite(z).all():
            return
        unit = z / np.linalg.norm(z)
        x = np.cross(unit, [1.0, 0.0, 0.0] if abs(unit[0]) < 0.9 else [0.0, 1.0, 0.0])
        x = x / np.linalg.norm(x)
        matrix = np.eye(4)
        matrix[:3, :3] = np.column_stack([_ROPE_RADIUS * x, _ROPE_RADIUS * np.cross(unit, x), z])
        matrix[:3, 3] = top
        self._rope.user_matrix = matrix


def _reduced(image: Any, fine: int) -> Image:
    """Take the mean of each `fine` by `fine` pixels."""
    if fine == 1:
        return np.ascontiguousarray(image)
    total = sum(np.asarray(image[i::fine, j::fine], dtype=np.uint32) for i in range(fine) for j in range(fine))
    return np.asarray((total + fine * fine // 2) // (fine * fine), dtype=np.uint8)


def _rope_middle(story: Story, index: int) -> Array:
    if story.hook is None or story.load_top is None:
        return np.zeros((0, 3))
    return np.asarray((story.hook[index] + story.load_top[index])[None] / 2)
