"""The scene of one run in pyvista: truck, load, floor with its holes, tip lines, balance point, tyre loads.

Everything is drawn where the run has it; no displacement is exaggerated. Make and draw a scene in one thread: a
plotter used from a second thread gives wrong pictures without an error.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self

import numpy as np
from numpy.typing import NDArray

from tipline.units import FOOT, POUND_FORCE, System
from tipline.view import gl, palette
from tipline.view.camera import VIEW_ANGLE, Camera, corners, fit, in_world, reach, travel
from tipline.view.meshes import arrow, bar, cracks, grid, pit, pointer, poly, sheet, stretched
from tipline.view.shadows import OPACITY, shadows
from tipline.view.smoothing import smoothed
from tipline.view.story import Array, Place, Story, level

if TYPE_CHECKING:
    from types import TracebackType

    import pyvista as pv

__all__ = ["Frame", "Scene", "arrow_scale", "grid_step"]

_ARROW_GAP = 0.40  # from the outermost tyre's side to its arrow, and on to that of its twin
_EDGE = 1.35  # how much wider the dark edge of an arrow is
_DARK = 0.15  # a bottom this deep is darkened to a third [m]
_POINTER = 0.55  # height of the arrow over a hole [m]
_SHOWN_DEPTH = 5e-3  # less than this is not seen as a hole [m]
_LINE_OVER = 0.9  # how far a tip line is drawn beyond the contacts
_ROPE_RADIUS = 0.02
_ARROW_STEPS = (5, 10, 20, 50, 100, 200, 500)  # [kN/m], or hundreds of pounds a foot
_THROUGH = 0.28  # opacity of what is seen through the truck
_USUAL_VIEW = 10.0  # height of the picture [m] for which the sizes of marks hold; others are drawn in proportion

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
        from vtkmodules.vtkRenderingCore import vtkMapper

        self.story = story
        self.size = size
        self._fine = fine
        self._camera = fit(story, size[0] / size[1])
        self._steps = steps
        self._boxes = [corners(solid.vertices) for solid in story.solids]
        vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()  # edge lines before the faces they bound
        self._pl = pv.Plotter(off_screen=True, window_size=size, lighting=None)
        self._front = _second_layer(self._pl)
        self._pl.set_background(_unit(palette.SKY))
        self._pl.add_light(pv.Light(light_type="headlight", intensity=0.55))
        self._pl.add_light(pv.Light(position=(-3, 5, 9), light_type="camera light", intensity=0.5))
        if fine > 1:
            self._pl.enable_anti_aliasing("msaa", multi_samples=4)
        else:  # smoothed in the finished picture
            self._pl.render_window.SetMultiSamples(0)
        for renderer in (self._pl.renderer, self._front):
            renderer.SetUseOIT(False)  # what is seen through lies in order: sorting it took a fifth of a picture
        self._rising: list[tuple[Any, Array, Array]] = []
        self._bodies = {body: self._add_body(body) for body in sorted({solid.body for solid in story.solids})}
        self._places = [self._add_place(place) for place in story.places]
        self._marks = [self._add_marks(place) for place in story.places]
        self._add_floor(grid_step(system))
        self._shadows = shadows(pv, story)
        for shadow in self._shadows:
            self._add(shadow.mesh, palette.INK, lighting=False, opacity=OPACITY)
        self._newtons = arrow_scale(story, system)
        self._aside = arrow_offsets(story)
        self._arrows = [arrow(pv) for _ in story.tyres]
        self._arrow_actors = [actor for mesh in self._arrows for actor in self._add_twice(mesh, palette.ARROW)]
        self._edges = [arrow(pv) for _ in story.tyres]  # in black and white yellow is nearly as grey as the floor
        self._arrow_actors += [self._add(mesh, palette.INK, lighting=False, culling="front") for mesh in self._edges]
        self._lines = [bar(pv, line.swing) for line in story.lines]
        for line, strip in zip(story.lines, self._lines, strict=True):
            self._add_twice(strip, palette.LINES[line.name.split(".")[-1]])
        self._balance = self._add_balance(pv)
        self._rope = self._add(pv.Cylinder(center=(0, 0, 0.5), direction=(0, 0, 1), radius=1.0), palette.INK)
        self._aim(0, self._camera)
        self._pl.show(auto_close=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the window and its memory go."""
        self._pl.close()

    def draw(self, index: int, camera: Camera | None = None, arrows: bool = True, fine: int | None = None) -> Frame:
        """Render sample `index`, from the scene's own camera and as fine as the scene unless told otherwise."""
        story, fine = self.story, fine or self._fine
        self._pl.render_window.SetSize(self.size[0] * fine, self.size[1] * fine)
        for actor in self._arrow_actors:
            actor.SetVisibility(arrows and not story.fallen(index))
        for body, matrix in self._bodies.items():
            matrix.DeepCopy(story.matrices[index, body].ravel())
        if story.rise is not None:
            for mesh, points, shift in self._rising:
                mesh.points = points + float(story.rise[index]) * shift
        for place, actors in zip(story.places, self._places, strict=True):
            scale = np.diag([1.0, 1.0, max(float(place.depth[index]), 1e-4), 1.0])
            for actor in actors:
                actor.user_matrix = scale
            there = place.planned or float(place.depth[index]) > 1e-4
            for actor in actors[:-1]:
                actor.SetVisibility(there)
            actors[-1].SetVisibility(not there)
        for shadow in self._shadows:
            shadow.pose(index)
        size = _mark_size(camera or self._camera)
        tails = self._pose_marks(index, size)
        bases = self._pose_arrows(index, size)
        ends = self._pose_lines(index, size)
        self._pose_balance(index, size)
        self._pose_rope(index)
        self._aim(index, camera)
        self._pl.render()
        image = smoothed(np.asarray(self._pl.image)) if self._fine == 1 else _reduced(self._pl.image, fine)
        return Frame(
            image,
            self._project(bases),
            self._project(ends.reshape(-1, 3)).reshape(-1, 2, 2),
            self._project(story.balance[index][None]),
            self._project(tails),
            self._project(_raised_edges(story, index)),
            self._project(_rope_middle(story, index)),
            np.concatenate([self._part_boxes(index), self._arrow_boxes(index, bases)]),
        )

    def _aim(self, index: int, camera: Camera | None = None) -> None:
        story, chosen = self.story, camera or self._camera
        moved = self._moved(index) if camera is None else np.zeros(3)
        view = self._pl.camera  # told by its own names, as pyvista's ask the bounds of all that is drawn
        view.SetPosition(*in_world(story, index, chosen.position + moved))
        view.SetFocalPoint(*in_world(story, index, chosen.focus + moved))
        view.SetViewUp(*(level(story.gravity[index]).T @ np.array([0.0, 0.0, 1.0])))
        view.SetViewAngle(np.degrees(VIEW_ANGLE))
        view.SetClippingRange(0.5, 400.0)

    def _moved(self, index: int) -> Array:
        if self._steps is None:
            self._steps = travel(self.story, self.size[0] / self.size[1], self._camera)
        return np.asarray(self._steps[index])

    def _project(self, points: Array) -> Array:
        """Give pixels (k, 2), x right and y down, of world points (k, 3)."""
        if not len(points):
            return np.zeros((0, 2))
        width, height = self.size
        matrix = self._pl.camera.GetCompositeProjectionTransformMatrix(width / height, -1.0, 1.0)
        m = np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])
        h = np.column_stack([points, np.ones(len(points))]) @ m.T
        xy = h[:, :2] / h[:, 3:]
        return np.column_stack([(xy[:, 0] + 1) / 2 * width, (1 - xy[:, 1]) / 2 * height])

    def _part_boxes(self, index: int) -> Array:
        """Give pixels (k, 4), x0, y0, x1, y1, round each part."""
        solids, matrices = self.story.solids, self.story.matrices[index]
        corners = [
            box @ matrices[solid.body, :3, :3].T + matrices[solid.body, :3, 3]
            for solid, box in zip(solids, self._boxes, strict=True)
        ]
        pixels = self._project(np.concatenate(corners)).reshape(len(solids), 8, 2)
        return np.column_stack([pixels.min(axis=1), pixels.max(axis=1)])

    def _arrow_boxes(self, index: int, feet: Array) -> Array:
        """Give pixels (k, 4) round each arrow."""
        long = np.array([max(float(tyre.load[index]), 0.0) / self._newtons for tyre in self.story.tyres])
        tips = feet + long[:, None] * np.array([0.0, 0.0, 1.0])
        ends = np.stack([self._project(feet), self._project(tips)], axis=1)
        wide = np.array([4.0, 0.0])
        return np.column_stack([ends.min(axis=1) - wide, ends.max(axis=1) + wide])

    # -- what is drawn ------------------------------------------------------------------------------------------

    def _add(self, mesh: pv.PolyData, colour: palette.Colour, **options: Any) -> Any:
        settings: dict[str, Any] = {"ambient": 0.25, "diffuse": 0.8, "specular": 0.05, "reset_camera": False, **options}
        return self._pl.add_mesh(mesh, color=_unit(colour), render=False, **settings)

    def _add_twice(self, mesh: pv.PolyData, colour: palette.Colour, through: float = _THROUGH) -> list[Any]:
        """Draw a mesh in the scene, and faintly on top of it, so that it is seen through the truck."""
        solid = self._add(mesh, colour, lighting=False)
        faint = self._add(mesh, colour, lighting=False, opacity=through)
        self._pl.renderer.RemoveActor(faint)
        self._front.AddActor(faint)
        return [solid, faint]

    def _add_body(self, body: int) -> Any:
        """Make an actor a colour, with crisp edges, and one for all dark edge lines; return the matrix of them all."""
        import pyvista as pv
        from vtkmodules.vtkCommonMath import vtkMatrix4x4

        actors, lines = [], []
        solids = [solid for solid in self.story.solids if solid.body == body]
        for colour in sorted({solid.colour for solid in solids}):
            mesh = pv.merge([poly(pv, solid) for solid in solids if solid.colour == colour], merge_points=False)
            surface = mesh.extract_surface(algorithm="dataset_surface") if not isinstance(mesh, pv.PolyData) else mesh
            smooth = surface.compute_normals(split_vertices=True, feature_angle=32, cell_normals=False)
            actors.append(self._add(smooth, _bytes(colour), smooth_shading=True))
            self._note_rising(smooth)
            edges = surface.extract_feature_edges(
                feature_angle=34, boundary_edges=False, manifold_edges=False, non_manifold_edges=False
            )
            if edges.n_cells:
                lines.append(edges)
        if lines:
            edges = pv.merge(lines, merge_points=False)
            actors.append(self._add(edges, palette.INK, line_width=1.0, opacity=0.55, lighting=False))
            self._note_rising(edges)
        matrix = vtkMatrix4x4()
        for actor in actors:
            actor.SetUserMatrix(matrix)
        return matrix

    def _note_rising(self, mesh: pv.PolyData) -> None:
        shift = np.array(mesh["rise"], dtype=float)
        if shift.any():
            self._rising.append((mesh, np.array(mesh.points, dtype=float), shift))

    def _add_place(self, place: Place) -> list[Any]:
        import pyvista as pv

        inside = palette.HOLE if place.kind == "hole" else palette.SOFT
        walls, bottom, rim = pit(pv, place.outline)
        return [
            self._add(walls, inside, ambient=0.5),
            self._add(bottom, _mix(inside, palette.FLOOR, _light_at(place)), ambient=0.5, lighting=False),
            self._add(rim, palette.INK, line_width=2.0, lighting=False),
            self._add(bottom.copy(), palette.FLOOR, ambient=0.35),  # the floor before it came about
        ]

    def _add_marks(self, place: Place) -> tuple[Array, list[Any], list[Any]]:
        """Make what shows that the floor gave way: the spot (2,) and actors of an arrow to its bottom, and cracks."""
        import pyvista as pv

        corners = place.outline
        middle = corners.mean(axis=0)
        view = (self._camera.position - self._camera.focus)[:2]
        near = corners[int(np.argmax((corners - middle) @ view))]
        light, dark = pointer(pv)
        edge = self._add_twice(dark, palette.INK, 0.9)
        arrows = [*edge, *self._add_twice(light, palette.PANEL, 0.9)]
        for actor in edge:
            actor.prop.culling = "front"
        broken = [] if place.kind == "soft" else [self._add(cracks(pv, place.outline), palette.HOLE, lighting=False)]
        return near + 0.2 * (middle - near), arrows, broken

    def _pose_marks(self, index: int, size: float) -> Array:
        """Stand each arrow on the bottom of its place, and return their tails (k, 3) in the world."""
        tails = []
        for place, (spot, arrows, broken) in zip(self.story.places, self._marks, strict=True):
            depth = float(place.depth[index])
            matrix = np.diag([size, size, size * _POINTER + depth, 1.0])
            matrix[:3, 3] = *spot, -depth
            for actor in arrows:
                actor.user_matrix = matrix
            for actor in (*arrows, *broken):
                actor.SetVisibility(depth > _SHOWN_DEPTH)
            tails.append([*spot, size * _POINTER])
        return np.array(tails).reshape(-1, 3)

    def _add_floor(self, step: float) -> None:
        import pyvista as pv

        points = reach(self.story)
        outlines = [place.outline for place in self.story.places]
        plan = np.concatenate([points[:, :2], *outlines])
        low, high = np.floor((plan.min(axis=0) - 2.0) / step) * step, np.ceil((plan.max(axis=0) + 2.0) / step) * step
        corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
        lines = grid(pv, low, high, step, outlines)
        if self.story.ramp is None:
            self._add(sheet(pv, corners, outlines), palette.FLOOR, ambient=0.35)
        else:
            self._add_ramp(corners)
            lines.points[:, 2] += self.story.floor_at(*lines.points[:, :2].T)
        self._add(lines, palette.GRID, line_width=1.0, lighting=False)
        for outline, height in self.story.raised:
            self._add_raised(outline, height, corners)

    def _add_raised(self, outline: Array, height: float, corners: Array) -> None:
        """Set what stands out of the floor on it, as far as the floor is drawn."""
        import pyvista as pv

        piece, (low, high) = outline, (corners.min(axis=0), corners.max(axis=0))
        for axis in (0, 1):
            piece = _kept(piece, piece[:, axis] - low[axis])
            piece = _kept(piece, high[axis] - piece[:, axis])
        if len(piece) < 3:
            return
        walls, bottom, rim = pit(pv, piece)
        colour = palette.RAISED
        for mesh, paint in ((walls, palette.INK), (bottom, colour)):
            mesh.points[:, 2] *= -height
            self._add(mesh, paint, ambient=0.5)
        rim.points[:, 2] = height
        self._add(rim, palette.INK, line_width=2.0, lighting=False)

    def _add_ramp(self, corners: Array) -> None:
        """Lay the floor in three pieces: before the ramp, the ramp a little darker, and past its end."""
        import pyvista as pv

        x, y, c, s, _, long = self.story.ramp or (0.0,) * 6
        for first, last, sloping in ((-np.inf, 0.0, False), (0.0, long, True), (long, np.inf, False)):
            piece = corners
            for way, sense in ((first, 1.0), (last, -1.0)):
                if np.isfinite(way):
                    piece = _kept(piece, sense * (piece @ np.array([c, s]) - c * x - s * y - way))
            if len(piece) < 3:
                continue
            mesh = sheet(pv, piece, [])
            mesh.points[:, 2] = self.story.floor_at(*mesh.points[:, :2].T)
            self._add(mesh, palette.RAMP if sloping else palette.FLOOR, ambient=0.35)

    def _add_balance(self, pv: Any) -> list[Any]:
        """Draw a ring with a dot, each circle a little above the one it lies on."""
        actors = []
        for height, radius, colour in (
            (0.010, 0.16, palette.INK),
            (0.012, 0.11, palette.PANEL),
            (0.014, 0.05, palette.INK),
        ):
            disc = pv.Disc(center=(0, 0, height), inner=0.0, outer=radius, c_res=32)
            actors += self._add_twice(disc, colour, 2 * _THROUGH)
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


def _kept(outline: Array, inside: Array) -> Array:
    """Cut a convex outline (k, 2) to where a value at its corners, linear between them, is not below 0."""
    kept = []
    for k in range(len(outline)):
        a, b, u, v = outline[k - 1], outline[k], inside[k - 1], inside[k]
        if (u < 0.0) != (v < 0.0):
            kept.append(a + (b - a) * u / (u - v))
        if v >= 0.0:
            kept.append(b)
    return np.array(kept).reshape(-1, 2)


def arrow_scale(story: Story, system: System = "si") -> float:
    """Give the load that an arrow of 1 m stands for [N].

    It is round, a metre or a foot, and makes the longest arrow at rest about 1 m.
    """
    most = max((float(tyre.load[0]) for tyre in story.tyres), default=0.0)
    unit = 1e3 if system == "si" else 100.0 * POUND_FORCE / FOOT
    return unit * next((step for step in _ARROW_STEPS if step * unit >= 0.8 * most), _ARROW_STEPS[-1])


def arrow_offsets(story: Story) -> list[float]:
    """Give how far to the left [m] of each tyre's contact its arrow stands: outboard of the axle, twins in order."""
    left = story.matrices[0, 0, :3, 1]
    across = [float(tyre.contact[0] @ left) * tyre.outboard for tyre in story.tyres]
    offsets = []
    for tyre, own in zip(story.tyres, across, strict=True):
        side = [
            other
            for twin, other in zip(story.tyres, across, strict=True)
            if twin.front == tyre.front and twin.outboard == tyre.outboard
        ]
        steps = 1 + sum(other < own - 1e-6 for other in side)
        offsets.append(tyre.outboard * (max(side) - own + tyre.width / 2 + _ARROW_GAP * steps))
    return offsets


def grid_step(system: System) -> float:
    """Give the side of the floor grid [m]: 1 m, or 3 ft."""
    return 1.0 if system == "si" else 3.0 * FOOT


def _mark_size(camera: Camera) -> float:
    """Give the size of lines, arrows and balance point, so that they look alike near and far."""
    high = 2 * float(np.linalg.norm(camera.position - camera.focus)) * np.tan(VIEW_ANGLE / 2)
    return float(np.clip(high / _USUAL_VIEW, 0.4, 2.0))


def _second_layer(plotter: Any) -> Any:
    from vtkmodules.vtkRenderingCore import vtkRenderer

    window, front = plotter.render_window, vtkRenderer()
    window.SetNumberOfLayers(2)
    front.SetLayer(1)
    front.InteractiveOff()
    front.SetActiveCamera(plotter.camera)
    window.AddRenderer(front)
    return front


def _light_at(place: Place) -> float:
    """Give how much of the floor's own colour is left at the bottom of a place: the deeper, the darker."""
    return 0.75 * float(np.exp(-np.max(place.depth) / _DARK))


def _reduced(image: Any, fine: int) -> Image:
    """Take the mean of each `fine` by `fine` pixels."""
    if fine == 1:
        return np.ascontiguousarray(image)
    high, wide, colours = image.shape
    blocks = np.asarray(image, dtype=np.uint32).reshape(high // fine, fine, wide // fine, fine, colours)
    return np.asarray((blocks.sum(axis=(1, 3)) + fine * fine // 2) // (fine * fine), dtype=np.uint8)


def _raised_edges(story: Story, index: int) -> Array:
    """Give the point (k, 3) of each thing that stands out of the floor that is nearest to the drive axle."""
    here, edges = story.matrices[index, 0, :2, 3], []
    for ring, height in story.raised:
        ends = np.roll(ring, -1, axis=0) - ring
        along = ((here - ring) * ends).sum(axis=1) / (ends * ends).sum(axis=1)
        spots = ring + np.clip(along, 0.0, 1.0)[:, None] * ends
        edges.append([*spots[np.argmin(((spots - here) ** 2).sum(axis=1))], height])
    return np.array(edges).reshape(-1, 3)


def _rope_middle(story: Story, index: int) -> Array:
    if story.hook is None or story.load_top is None:
        return np.zeros((0, 3))
    return np.asarray((story.hook[index] + story.load_top[index])[None] / 2)


def _unit(colour: palette.Colour) -> tuple[float, float, float]:
    return colour[0] / 255, colour[1] / 255, colour[2] / 255


def _bytes(colour: tuple[float, float, float]) -> palette.Colour:
    return round(colour[0] * 255), round(colour[1] * 255), round(colour[2] * 255)


def _mix(a: palette.Colour, b: palette.Colour, share: float) -> palette.Colour:
    return tuple(round(p * (1 - share) + q * share) for p, q in zip(a, b, strict=True))  # type: ignore[return-value]
