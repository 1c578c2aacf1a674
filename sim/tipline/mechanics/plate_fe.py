"""Plate finite elements for a floor slab: free edges, cavities, lift-off, a joint, several tyres, a steel plate on top.

Thin plates (Kirchhoff) of Morley triangles on springs, solved once for each state of contact. The floor plan is x, y;
deflection is positive down; moments [N m / m = N] are positive where they pull at the bottom. What is left out: cracks
and what moments do after them, curling from temperature and drying, shear in the plate, a subgrade that carries beside
the slab. A plate that is thin beside the patch's radius shows the stress of theory; for a patch small beside the
thickness give `thick=True`, which spreads it as the special theory does (inside the slab only).
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from tipline.mechanics._plate_mesh import Focus, Grid, graded_lines, part_of
from tipline.mechanics._plate_system import Sheet, Springs, solve_contact
from tipline.mechanics._ranges import FloatArray, below, finite, not_negative, positive
from tipline.mechanics.constants import STANDARD_GRAVITY
from tipline.mechanics.slab import GroundSlab, relative_stiffness_radius, resisting_radius

__all__ = [
    "MeshRule",
    "PlateAnswer",
    "PlateCavity",
    "PlateField",
    "PlateJoint",
    "PlatePanel",
    "PlatePatch",
    "PlateSheet",
    "UnderWheel",
    "solve_plate",
]

Shape = Literal["disc", "rectangle"]
_STEEP = 0.1


@dataclass(frozen=True)
class PlatePanel:
    """A rectangular slab between two corners (x, y) [m]; density [kg/m3] gives the weight that holds it down."""

    low: tuple[float, float]
    high: tuple[float, float]
    slab: GroundSlab
    density: float = 2400.0

    def __post_init__(self) -> None:
        for name, low, high in zip(("length", "width"), self.low, self.high, strict=True):
            positive(f"panel {name}", finite("high", high, "m") - finite("low", low, "m"), "m")
        positive("density", self.density, "kg/m3")


@dataclass(frozen=True)
class PlatePatch:
    """Where a tyre stands: middle (x, y) [m], load [N], length along x and width along y [m]; a disc has both equal."""

    x: float
    y: float
    load: float
    length: float
    width: float
    shape: Shape = "rectangle"

    def __post_init__(self) -> None:
        finite("x", self.x, "m")
        finite("y", self.y, "m")
        not_negative("load", self.load, "N")
        _check_shape(self.length, self.width, self.shape)

    @property
    def radius(self) -> float:
        """Radius of the circle of the same area [m]."""
        return _equal_radius(self.length, self.width, self.shape)


@dataclass(frozen=True)
class PlateCavity:
    """Where nothing carries the slab: middle (x, y), length along x, width along y [m]; a disc has both equal."""

    x: float
    y: float
    length: float
    width: float
    shape: Shape = "disc"

    def __post_init__(self) -> None:
        finite("x", self.x, "m")
        finite("y", self.y, "m")
        _check_shape(self.length, self.width, self.shape)

    def holds(self, point: FloatArray) -> npt.NDArray[np.bool_]:
        """Tell of each point (n, 2) [m] whether it lies over the cavity, flags (n,)."""
        u = (point - (self.x, self.y)) / (0.5 * self.length, 0.5 * self.width)
        inside = np.sum(u**2, axis=1) < 1.0 if self.shape == "disc" else np.max(np.abs(u), axis=1) < 1.0
        return np.asarray(inside, dtype=np.bool_)


@dataclass(frozen=True)
class PlateJoint:
    """A joint along the panel's edge x = high: line stiffness [N/m per m] and length of the panel beyond it [m]."""

    stiffness: float
    beyond: float

    def __post_init__(self) -> None:
        not_negative("joint stiffness", self.stiffness, "N/m2")
        positive("panel beyond the joint", self.beyond, "m")


@dataclass(frozen=True)
class PlateSheet:
    """A plate laid loose on the panel; it presses, never pulls, through a bedding of stiffness contact [N/m3].

    Middle (x, y), length along x, width along y, thickness [m]; modulus [Pa]; density [kg/m3].
    """

    x: float
    y: float
    length: float
    width: float
    thickness: float
    modulus: float = 210e9
    poisson: float = 0.3
    density: float = 7850.0
    contact: float = 5e10

    def __post_init__(self) -> None:
        positive("plate length", self.length, "m")
        positive("plate width", self.width, "m")
        if not 0.003 <= self.thickness <= 0.3:
            msg = f"plate thickness = {self.thickness:.6g} m: must be 0.003 m to 0.3 m; a thinner sheet spreads nothing"
            raise ValueError(msg)
        for name in ("modulus", "density", "contact"):
            positive(f"plate {name}", getattr(self, name))
        below("Poisson's ratio", not_negative("Poisson's ratio", self.poisson), 0.5)


@dataclass(frozen=True)
class MeshRule:
    """Size of the elements: at a patch as a share of its radius, growth per length, greatest as a share of l."""

    finest: float = 0.25
    growth: float = 0.13
    coarsest: float = 0.5

    def __post_init__(self) -> None:
        if not (0.05 <= self.finest <= 2.0 and 0.02 <= self.growth <= 0.5 and 0.05 <= self.coarsest <= 1.0):
            msg = f"{self}: finest must be 0.05 to 2, growth 0.02 to 0.5, coarsest 0.05 to 1"
            raise ValueError(msg)


class PlateField(NamedTuple):
    """At points (n, 2) [m]: deflection [m], moments (n, 3) xx yy xy [N], greatest tension at bottom and top [Pa]."""

    point: FloatArray
    deflection: FloatArray
    moment: FloatArray
    bottom: FloatArray
    top: FloatArray


class UnderWheel(NamedTuple):
    """In the slab under one patch: deflection of its middle [m], greatest tension at the bottom and at the top [Pa]."""

    deflection: float
    bottom: float
    top: float


class PlateAnswer(NamedTuple):
    """What a solve gives.

    field: on the mesh points of the panel; beyond: of the panel past the joint; steel: of the steel plate; probe: at
    the points asked for. wheels: under each patch. reaction: ground force less the weight of slab and steel [N];
    lifted_share: share of the panel's area that is off the ground, cavities left out [1]; seconds, equations, passes:
    the cost.
    """

    field: PlateField
    beyond: PlateField | None
    steel: PlateField | None
    probe: PlateField | None
    wheels: tuple[UnderWheel, ...]
    reaction: float
    lifted_share: float
    warnings: tuple[str, ...]
    seconds: float
    equations: int
    passes: int


def solve_plate(
    panel: PlatePanel,
    wheels: Sequence[PlatePatch],
    cavities: Sequence[PlateCavity] = (),
    joint: PlateJoint | None = None,
    plate: PlateSheet | None = None,
    lift_off: bool = True,
    thick: bool = False,
    probe: npt.ArrayLike | None = None,
    rule: MeshRule | None = None,
) -> PlateAnswer:
    """Stress map of a panel under tyres.

    Parameters
    ----------
    panel : Panel
        [m, Pa, N/m3]
    wheels : sequence of Patch
        Patches wholly on the panel, on the one beyond the joint, or on the steel plate [m, N].
    cavities : sequence of Cavity
        [m]; together smaller than the panel.
    joint : Joint, optional
        [N/m2, m]
    plate : SteelPlate, optional
        Wholly on the panel [m, Pa].
    lift_off : bool
        The ground pushes only, and slab and plate have their weight [1]; else full contact without weight.
    thick : bool
        Spread small patches by the special theory [1].
    probe : array_like, shape (n, 2), optional
        Further points of the panel asked for [m].
    rule : MeshRule, optional
        [1]

    Returns
    -------
    PlateAnswer
        Fields [m, N, Pa]; deflection is counted from the slab at rest on full support.

    Raises
    ------
    ValueError
        If a patch, a probe or the plate is not wholly on the panel, a patch half on the plate, or no ground carries it.
    NumericalError
        If no support balances the load (the slab would tip), or the contact does not settle.

    Notes
    -----
    Against theory: interior deflection and stress within 1 %, corner stress 0.5 %, edge stress 2 %. Source: [Own],
    [ScikitFem]
    """
    started = time.perf_counter()
    rule = rule or MeshRule()
    used = [_resisting(wheel, panel.slab.thickness) for wheel in wheels] if thick else list(wheels)
    sheets, steel = _sheets(panel, used, cavities, joint, plate, rule)
    _check_places(panel, sheets, used, plate)
    size = sum(sheet.basis.N for sheet in sheets)
    ground = [_ground(sheet, cavities, panel.slab.subgrade, size) for sheet in sheets if sheet is not steel]
    springs = [replace(part, one_sided=lift_off) for part in ground]
    if steel is not None and plate is not None:
        springs.append(_bedding(sheets[0], steel, plate.contact, size))
    if joint is not None:
        springs.append(_hinge(sheets[0], sheets[1], joint.stiffness, size))
    weight = [_weight(sheet, panel, plate if sheet is steel else None) if lift_off else 0.0 for sheet in sheets]
    load = _wheel_load(sheets, steel, used, size)
    for sheet, pressure in zip(sheets, weight, strict=True):
        load += sheet.even_load(pressure, size)
    solved = solve_contact(sheets, springs, load)
    sunk = weight[0] / panel.slab.subgrade

    def field(sheet: Sheet, points: FloatArray) -> PlateField:
        return _field(sheet, solved.u, points, sunk)

    panel_field = field(sheets[0], sheets[0].points)
    own_weight = sum(pressure * sheet.area for sheet, pressure in zip(sheets, weight, strict=True))
    return PlateAnswer(
        field=panel_field,
        beyond=field(sheets[1], sheets[1].points) if joint is not None else None,
        steel=field(steel, steel.points) if steel is not None else None,
        probe=None if probe is None else field(sheets[0], _probes(sheets[0], probe)),
        wheels=tuple(_under(sheets, steel, wheel, solved.u, sunk) for wheel in used),
        reaction=sum(solved.force[: len(ground)]) - own_weight,
        lifted_share=solved.open_share(springs[:1]),
        warnings=(*_warnings(panel, wheels, thick), *_leaning(panel_field)),
        seconds=time.perf_counter() - started,
        equations=size,
        passes=solved.passes,
    )


def _sheets(
    panel: PlatePanel,
    wheels: Sequence[PlatePatch],
    cavities: Sequence[PlateCavity],
    joint: PlateJoint | None,
    plate: PlateSheet | None,
    rule: MeshRule,
) -> tuple[list[Sheet], Sheet | None]:
    """Mesh the panel, the one beyond the joint, the steel plate; the steel plate's triangles are the panel's own."""
    ell = relative_stiffness_radius(panel.slab)
    ends = [[panel.low[axis], panel.high[axis]] for axis in (0, 1)]
    if joint is not None:
        ends[0].append(panel.high[0] + joint.beyond)
    if plate is not None:
        for axis, (middle, extent) in enumerate(((plate.x, plate.length), (plate.y, plate.width))):
            ends[axis] += [middle - 0.5 * extent, middle + 0.5 * extent]
    lines = []
    for axis in (0, 1):
        focus = _focus(wheels, cavities, plate, axis, rule)
        widest = min(rule.coarsest * ell, (panel.high[axis] - panel.low[axis]) / 6.0)
        lines.append(graded_lines(ends[axis], focus, rule.growth, widest))
    whole = Grid(lines[0], lines[1])
    y = (panel.low[1], panel.high[1])
    slab = panel.slab
    sheets = [Sheet.of(part_of(whole, (panel.low[0], panel.high[0]), y), slab.modulus, slab.poisson, slab.thickness)]
    if joint is not None:
        far = part_of(whole, (panel.high[0], panel.high[0] + joint.beyond), y)
        sheets.append(Sheet.of(far, slab.modulus, slab.poisson, slab.thickness, sheets[-1].end))
    if plate is None:
        return sheets, None
    x = (plate.x - 0.5 * plate.length, plate.x + 0.5 * plate.length)
    cut = part_of(whole, x, (plate.y - 0.5 * plate.width, plate.y + 0.5 * plate.width))
    steel = Sheet.of(cut, plate.modulus, plate.poisson, plate.thickness, sheets[-1].end)
    return [*sheets, steel], steel


def _focus(
    wheels: Sequence[PlatePatch], cavities: Sequence[PlateCavity], plate: PlateSheet | None, axis: int, rule: MeshRule
) -> list[Focus]:
    focus = []
    items: tuple[PlatePatch | PlateCavity, ...] = (*wheels, *cavities)
    for item in items:
        middle, half = (item.x, item.y)[axis], 0.5 * (item.length, item.width)[axis]
        focus.append((middle - half, middle + half, rule.finest * _equal_radius(item.length, item.width, item.shape)))
    if plate is not None:
        middle, half = (plate.x, plate.y)[axis], 0.5 * (plate.length, plate.width)[axis]
        focus.append((middle - half, middle + half, rule.finest * half))
    return focus


def _ground(sheet: Sheet, cavities: Sequence[PlateCavity], subgrade: float, size: int) -> Springs:
    point, weight = sheet.quadrature()
    carried = np.ones(len(point), dtype=bool)
    for cavity in cavities:
        carried &= ~cavity.holds(point)
    if not carried.any():
        msg = "cavities: together they take all the ground under the panel; nothing carries it"
        raise ValueError(msg)
    return Springs(sheet.quadrature_rows(size)[carried], subgrade * weight[carried])


def _bedding(slab: Sheet, steel: Sheet, stiffness: float, size: int) -> Springs:
    point, weight = steel.quadrature()
    return Springs(steel.quadrature_rows(size) - slab.rows(point, size), stiffness * weight, one_sided=True)


def _hinge(near: Sheet, far: Sheet, stiffness: float, size: int) -> Springs:
    node, weight = np.polynomial.legendre.leggauss(3)
    half = 0.5 * np.diff(near.grid.y)[:, None]
    y = (near.grid.y[:-1, None] + half * (node + 1.0)).ravel()
    point = np.column_stack((np.full_like(y, near.grid.x[-1]), y))
    return Springs(near.rows(point, size) - far.rows(point, size), stiffness * (half * weight).ravel())


def _wheel_load(sheets: Sequence[Sheet], steel: Sheet | None, wheels: Sequence[PlatePatch], size: int) -> FloatArray:
    load = np.zeros(size)
    for wheel in wheels:
        point, share = _patch_points(wheel)
        left = np.ones(len(point), dtype=bool)
        for sheet in _order(sheets, steel):
            on = left & sheet.grid.holds(point)
            left &= ~on
            load += wheel.load * (sheet.rows(point[on], size).T @ share[on])
    return load


def _order(sheets: Sequence[Sheet], steel: Sheet | None) -> list[Sheet]:
    """Top sheet first."""
    slabs = [sheet for sheet in sheets if sheet is not steel]
    return slabs if steel is None else [steel, *slabs]


def _patch_points(wheel: PlatePatch) -> tuple[FloatArray, FloatArray]:
    """Gauss points of a patch and their shares of its load, which sum to 1."""
    node, weight = np.polynomial.legendre.leggauss(16)
    if wheel.shape == "rectangle":
        u, v = np.meshgrid(node, node)
        share = np.outer(weight, weight).ravel() / 4.0
    else:
        ring, turn = np.meshgrid(np.sqrt(0.5 * (node + 1.0)), 2.0 * math.pi * (np.arange(48) + 0.5) / 48.0)
        u, v = ring * np.cos(turn), ring * np.sin(turn)
        share = np.tile(weight / 2.0, 48) / 48.0
    half = (0.5 * wheel.length, 0.5 * wheel.width)
    return np.column_stack((wheel.x + half[0] * u.ravel(), wheel.y + half[1] * v.ravel())), share


def _weight(sheet: Sheet, panel: PlatePanel, plate: PlateSheet | None) -> float:
    return STANDARD_GRAVITY * (plate or panel).density * sheet.thickness


def _field(sheet: Sheet, u: FloatArray, point: FloatArray, sunk: float) -> PlateField:
    moment = sheet.moments(u, point)
    xx, yy, xy = moment.T
    middle, apart = 0.5 * (xx + yy), np.hypot(0.5 * (xx - yy), xy)
    per = 6.0 / sheet.thickness**2
    bottom, top = per * np.maximum(middle + apart, 0.0), per * np.maximum(apart - middle, 0.0)
    return PlateField(point, sheet.deflection(u, point) - sunk, moment, bottom, top)


def _under(sheets: Sequence[Sheet], steel: Sheet | None, wheel: PlatePatch, u: FloatArray, sunk: float) -> UnderWheel:
    ring, turn = np.meshgrid((0.0, 0.5, 1.0), 0.25 * math.pi * np.arange(8))
    scale = 1.0 if wheel.shape == "disc" else 1.0 / np.maximum(np.abs(np.cos(turn)), np.abs(np.sin(turn)))
    x = wheel.x + 0.5 * wheel.length * (ring * scale * np.cos(turn)).ravel()
    y = wheel.y + 0.5 * wheel.width * (ring * scale * np.sin(turn)).ravel()
    point = np.column_stack((x, y))
    parts = [
        _field(sheet, u, point[on], sunk)
        for sheet in sheets
        if sheet is not steel and (on := sheet.grid.holds(point)).any()
    ]
    bottom, top = (max(float(getattr(part, name).max()) for part in parts) for name in ("bottom", "top"))
    home = next(part for part in parts if np.allclose(part.point[0], point[0]))
    return UnderWheel(float(home.deflection[0]), bottom, top)


def _probes(sheet: Sheet, probe: npt.ArrayLike) -> FloatArray:
    point = np.atleast_2d(np.asarray(probe, dtype=np.float64))
    if point.ndim != 2 or point.shape[1] != 2 or not sheet.grid.holds(point).all():
        msg = "probe: must be points (n, 2) of the panel"
        raise ValueError(msg)
    return point


def _check_places(
    panel: PlatePanel, sheets: Sequence[Sheet], wheels: Sequence[PlatePatch], plate: PlateSheet | None
) -> None:
    if not wheels:
        msg = "wheels: must be one patch or more"
        raise ValueError(msg)
    if plate is not None:
        half = 0.5 * np.array([plate.length, plate.width])
        corners = np.array([plate.x, plate.y]) + np.array([half, -half])
        if not sheets[0].grid.holds(corners).all():
            msg = "plate: must lie wholly on the panel; a plate over an edge needs its own check"
            raise ValueError(msg)
    for wheel in wheels:
        point, _ = _patch_points(wheel)
        where = f"patch at ({wheel.x:.4g}, {wheel.y:.4g}) m"
        if not np.any([sheet.grid.holds(point) for sheet in sheets], axis=0).all():
            msg = f"{where}: must lie wholly on the panel; move it in by half its size"
            raise ValueError(msg)
        if plate is not None and len(set(sheets[-1].grid.holds(point).tolist())) > 1:
            msg = f"{where}: half on the steel plate; must lie on it or beside it"
            raise ValueError(msg)


def _resisting(wheel: PlatePatch, thickness: float) -> PlatePatch:
    grow = resisting_radius(wheel.radius, thickness) / wheel.radius
    return replace(wheel, length=grow * wheel.length, width=grow * wheel.width)


def _warnings(panel: PlatePanel, wheels: Sequence[PlatePatch], thick: bool) -> tuple[str, ...]:
    warnings = []
    ell = relative_stiffness_radius(panel.slab)
    if not thick and any(wheel.radius < panel.slab.thickness / 3.0 for wheel in wheels):
        warnings.append("a patch smaller than a third of the thickness: a thin plate overstates the stress under it")
    if ell < 2.0 * panel.slab.thickness:
        warnings.append("thick slab on stiff ground (l below 2 h): shear, left out here, takes part")
    return tuple(warnings)


def _leaning(field: PlateField) -> tuple[str, ...]:
    if np.ptp(field.deflection) <= _STEEP * np.ptp(field.point, axis=0).max():
        return ()
    return (
        "the slab leans by more than 1 in 10: near tipping, and past what this theory of small deflections holds for",
    )


def _check_shape(length: float, width: float, shape: Shape) -> None:
    positive("length", length, "m")
    positive("width", width, "m")
    if shape not in ("disc", "rectangle") or (shape == "disc" and length != width):
        msg = f"shape = {shape!r}: must be disc (length and width equal) or rectangle"
        raise ValueError(msg)


def _equal_radius(length: float, width: float, shape: Shape) -> float:
    return 0.5 * length if shape == "disc" else math.sqrt(length * width / math.pi)
