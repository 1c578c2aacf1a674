"""From a run, its report and its inputs to what the pictures are drawn from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from tipline.endings import TruckEnd
from tipline.geometry import BODIES, Assembly, assemble
from tipline.geometry.ground import floor_rise, ramp_rows
from tipline.geometry.posed import posed
from tipline.runs.moments import landing_of
from tipline.scenario.spec import Breakthrough, SoftPlace
from tipline.units import System
from tipline.view import palette
from tipline.view.story import UPRIGHT, Array, DrawnForce, DrawnLine, DrawnSolid, DrawnTyre, Mark, Place, Story

if TYPE_CHECKING:
    from tipline.model.load import LiftedLoad
    from tipline.model.machine import Machine
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.runs.moments import landing_of
    from tipline.scenario import Case
from tipline.scenario.spec import Event, Setup

__all__ = ["ESTIMATE", "tell"]

ESTIMATE = "An estimate. The maker's capacity plate and manual, local codes and a qualified engineer govern."
_CHASSIS, _AXLE, _MAST, _CARRIAGE, _LOAD = (
    BODIES.index(name) for name in ("chassis", "axle", "mast", "carriage", "load")
)
_LEAST_RISE = 0.02  # below this a rise is the chain's stretch and the mast's bending [m]
_LEAST_DEPTH = 1e-5  # [m]
_CAUSE_DEPTH = 0.01  # a tyre that went down by this much is what a picture is about [m]
_PARTED = 1.3  # a rope this many times its length holds nothing any more


def tell(run: Run, report: RunReport, case: Case, system: System = "si") -> Story:
    """Gather everything the pictures of one run show; no figure is worked out here that a report would state.

    `run` may be as the engine left it: the channels of the assessment are taken from the report's own run.
    """
    run = report.run
    machine, setup, events = case.machine, case.scenario.setup, case.scenario.event
    assembly, ramp = assemble(machine, setup, case.load), ramp_rows(case.scenario)
    matrices, steered = _with_steered(run, machine, posed(run.poses, np.array(run.meta["centres"])))
    rise, raised = _rise(machine, setup, assembly, matrices)
    tyres = _tyres(run, machine, matrices, ramp)
    lines = _lines(run, report, machine, assembly, matrices, ramp)
    worst_time, worst_words = _worst(run, report, system)
    look, points, words = _cause(run, report, machine, events, tyres)
    hook, load_top = _rope(case.load, assembly, matrices)
    return Story(
        title=report.title,
        run_id=report.run_id,
        assumed=report.assumed_count,
        demo=report.demo,
        estimate=ESTIMATE,
        time=run.time,
        matrices=matrices,
        solids=_solids(assembly, raised, steered),
        rise=rise,
        start_words=_start_words(setup.speed),
        tyres=tyres,
        lines=lines,
        balance=_balance(run, report, matrices, ramp),
        gravity=_gravity(run),
        roll=run.series("roll"),
        pitch=run.series("pitch"),
        places=_places(run),
        hook=hook,
        load_top=load_top,
        rope_force=run.series("rope_force") if hook is not None else None,
        marks=_marks(report, events),
        outcome=_outcome(report, system),
        doubts=report.doubts,
        ramp=_ramp(ramp),
        raised=_raised(run),
        forces=_forces(run, assembly, matrices),
        worst_time=worst_time,
        no_return=report.no_return,
        landing=landing_of(run, report.no_return),
        worst_words=worst_words,
        look=look,
        cause_points=points,
        cause_words=words,
    )


def _start_words(speed: float) -> str:
    if speed == 0.0:
        return "at rest"
    return "driving forward" if speed > 0.0 else "driving back"


def _rise(machine: Machine, setup: Setup, assembly: Assembly, matrices: Array) -> tuple[Array | None, Assembly | None]:
    """Give how far the carriage rises on the mast over time as a share of the most, and the truck at that most.

    The stages of the mast are one body in the run; in the pictures they slide as the carriage rises.
    """
    tilt = setup.tilt
    along = np.array([-np.sin(tilt), 0.0, np.cos(tilt)])
    between = matrices[:, _CARRIAGE, :3, 3] - matrices[:, _MAST, :3, 3]
    # Both bodies turn together but for the play, so the offset is read in the mast's own axes.
    rise = np.einsum("nji,nj->ni", matrices[:, _MAST, :3, :3], between) @ along
    now, highest = assembly.points.fork_height, machine.mast.top_fork_height
    rise = np.clip(rise, -now, highest - now)
    most = float(rise[np.argmax(np.abs(rise))])
    if abs(most) < _LEAST_RISE:
        return None, None
    changed = {"attachment": "none", "fork_height": now + most, "hook_height": None}
    bare = setup.model_copy(update={**changed, "jib_reach": None, "jib_rise": None})
    return rise / most, assemble(machine, bare)


def _with_steered(run: Run, machine: Machine, matrices: Array) -> tuple[Array, dict[str, int]]:
    """Give the bodies' matrices with one more for each wheel that is steered, and the number of these by tyre."""
    numbers: dict[str, int] = {}
    bodies = [matrices]
    for tyre in machine.steer_axle.tyre:
        if f"steering.{tyre.name}" not in run.channels:
            continue
        angle = run.series(f"steering.{tyre.name}")
        turn = np.tile(np.eye(4), (len(angle), 1, 1))
        turn[:, 0, 0] = turn[:, 1, 1] = np.cos(angle)
        turn[:, 1, 0], turn[:, 0, 1] = np.sin(angle), -np.sin(angle)
        hub = np.array([-machine.wheelbase, tyre.across, 0.0])
        turn[:, :3, 3] = hub - turn[:, :3, :3] @ hub
        numbers[tyre.name] = matrices.shape[1] + len(numbers)
        bodies.append((matrices[:, _AXLE] @ turn)[:, None])
    return np.concatenate(bodies, axis=1), numbers


def _solids(assembly: Assembly, raised: Assembly | None, steered: Mapping[str, int]) -> tuple[DrawnSolid, ...]:
    high = {part.name: part.vertices for part in raised.parts if part.body == _MAST} if raised else {}
    return tuple(
        DrawnSolid(
            part.name,
            steered.get(part.name.removesuffix(" wheel"), part.body),
            part.vertices,
            part.faces,
            part.colour,
            part.kind,
            high[part.name] - part.vertices if part.body == _MAST and part.name in high else None,
        )
        for part in assembly.parts
        if part.kind != "rope"
    )


def _tyres(run: Run, machine: Machine, matrices: Array, ramp: Array) -> tuple[DrawnTyre, ...]:
    axles = ((_CHASSIS, 0.0, machine.drive_axle.tyre), (_AXLE, -machine.wheelbase, machine.steer_axle.tyre))
    return tuple(
        DrawnTyre(
            name=tyre.name,
            load=run.series(f"tyre_load.{tyre.name}"),
            contact=_below(
                matrices[:, body], np.array([x, tyre.across, tyre.diameter / 2]), tyre.diameter / 2 - tyre.lost, ramp
            ),
            outboard=1.0 if tyre.across >= 0 else -1.0,
            front=body == _CHASSIS,
            width=tyre.width,
        )
        for body, x, row in axles
        for tyre in row
    )


def _below(carrier: Array, hub: Array, radius: float, ramp: Array) -> Array:
    """Give the floor point (n, 3) below the lowest point of a wheel, whether it touches or not.

    `carrier` (n, 4, 4) carries the hub (3,) of the truck frame; the wheel turns about the carrier's y axis.
    """
    axis = carrier[:, :3, 1]
    down = np.array([0.0, 0.0, -1.0]) + axis[:, 2:3] * axis
    length = np.linalg.norm(down, axis=1, keepdims=True)
    down = np.divide(down, length, out=np.zeros_like(down), where=length > 1e-6)
    return _on_floor(carrier[:, :3, :3] @ hub + carrier[:, :3, 3] + radius * down, ramp)


def _lines(
    run: Run, report: RunReport, machine: Machine, assembly: Assembly, matrices: Array, ramp: Array
) -> tuple[DrawnLine, ...]:
    """Lay tip lines where the assessment has them, while a tyre at one of their ends carries.

    They run through the middles of the tyres of each side, between twins; swing lines end below the pivot. As the truck
    leans the assessment has them by some centimetres further out, where the treads are pressed more.
    """
    middle = _corners(machine, matrices, ramp)
    pivot = _carried(matrices, _CHASSIS, np.asarray(assembly.points.pivot))
    ends: dict[str, tuple[Array, Array]] = {
        "front": (middle["front", "left"], middle["front", "right"]),
        "back": (middle["back", "left"], middle["back", "right"]),
        "left": (middle["front", "left"], middle["back", "left"]),
        "right": (middle["front", "right"], middle["back", "right"]),
        "swing.left": (middle["front", "left"], pivot),
        "swing.right": (middle["front", "right"], pivot),
    }
    worst: dict[str, tuple[float, float]] = {
        **report.distances,
        **{f"swing.{side}": value for side, value in report.swing.items()},
    }
    past = np.inf if report.no_return is None else report.no_return
    upright = _upright(run, matrices) > UPRIGHT
    return tuple(
        DrawnLine(
            name=name,
            swing=name.startswith("swing"),
            ends=np.where(
                (upright & _carries(run, name))[:, None, None], _on_floor(np.stack(pair, axis=1), ramp), np.nan
            ),
            distance=np.where(run.time <= past, run.series(f"distance.{name}"), np.nan),
            worst=worst[name][0],
            worst_time=worst[name][1],
        )
        for name, pair in ends.items()
        if name in worst
    )


def _carries(run: Run, line: str) -> NDArray[np.bool_]:
    """Tell whether any tyre at the ends of a tip line carries (n,): what hangs in the air makes no line."""
    kind, _, side = line.rpartition(".")
    axle = {"front": "front-", "back": "rear-"}.get(side, "front-" if kind == "swing" else "")
    hand = "" if side in ("front", "back") else f"-{side}"
    ends = [run.series(f"tyre_load.{tyre}") > 0.0 for tyre in run.tyres if tyre.startswith(axle) and hand in tyre]
    return np.asarray(np.any(ends, axis=0))


def _gravity(run: Run) -> Array:
    return np.column_stack([run.series(f"gravity_{axis}") for axis in "xyz"])


def _upright(run: Run, matrices: Array) -> Array:
    """Give the cosine (n,) of the angle that the chassis leans from the vertical."""
    gravity = _gravity(run)
    up = -gravity / np.linalg.norm(gravity, axis=1, keepdims=True)
    return np.asarray(np.einsum("ni,ni->n", up, matrices[:, _CHASSIS, :3, 2]))


def _corners(machine: Machine, matrices: Array, ramp: Array) -> dict[tuple[str, str], Array]:
    """Give the floor points (n, 3) below the middles of the tyres of each side of an axle."""
    middle: dict[tuple[str, str], Array] = {}
    for end, body, x, row in (
        ("front", _CHASSIS, 0.0, machine.drive_axle.tyre),
        ("back", _AXLE, -machine.wheelbase, machine.steer_axle.tyre),
    ):
        for side, sign in (("left", 1.0), ("right", -1.0)):
            tyres = [tyre for tyre in row if sign * tyre.across > 0.0] or [max(row, key=lambda t: sign * t.across)]
            across, diameter = (float(np.mean([getattr(t, of) for t in tyres])) for of in ("across", "diameter"))
            middle[end, side] = _below(matrices[:, body], np.array([x, across, diameter / 2]), diameter / 2, ramp)
    return middle


def _on_floor(points: Array, ramp: Array) -> Array:
    """Give points (..., 3) straight above or below on the floor, which a ramp raises or lowers."""
    height = floor_rise(ramp, points[..., 0], points[..., 1])
    return np.concatenate([points[..., :2], height[..., None]], axis=-1)


def _carried(matrices: Array, body: int, point: Array) -> Array:
    """Carry a point (3,) of the truck frame with a body: (n, 3) in the world."""
    return np.asarray(matrices[:, body, :3, :3] @ point + matrices[:, body, :3, 3])


def _ramp(ramp: Array) -> tuple[float, float, float, float, float, float] | None:
    for x, y, c, s, steep, long in ramp.tolist():
        return x, y, c, s, steep, long
    return None


def _balance(run: Run, report: RunReport, matrices: Array, ramp: Array) -> Array:
    """Give the balance point (n, 3); a truck past the point of no return, or that lies, has none that counts."""
    past = np.inf if report.no_return is None else report.no_return
    x, y = run.series("balance_x"), run.series("balance_y")
    point = np.column_stack([x, y, floor_rise(ramp, x, y)])
    counts = (_upright(run, matrices) > UPRIGHT) & (run.time <= past)
    return np.where(counts[:, None], point, np.nan)


def _rope(load: LiftedLoad | None, assembly: Assembly, matrices: Array) -> tuple[Array | None, Array | None]:
    points = assembly.points
    if points.hook is None or points.load_top is None or load is None or load.hung_by is None:
        return None, None
    hook, top = _carried(matrices, _CARRIAGE, points.hook), _carried(matrices, _LOAD, points.load_top)
    parted = np.linalg.norm(top - hook, axis=1) > _PARTED * load.hung_by
    hook[parted] = np.nan
    return hook, top


def _places(run: Run) -> tuple[Place, ...]:
    """Give every place with its depth over time, in the order of the run's channels."""
    places = []
    for place in run.meta["places"]:
        depth = run.series(f"place_depth.{place['index']}")
        if not (depth > _LEAST_DEPTH).any():
            continue  # it never came about
        outline = _outline(place)
        soft = place["source"] == "soft_place" or place["law"] in ("yielding", "creeping")
        kind: Literal["hole", "soft"] = "soft" if soft else "hole"
        places.append(Place(_place_name(place), kind, outline, depth, planned=not place["zone"]))
    return tuple(places)


def _raised(run: Run) -> tuple[tuple[Array, float], ...]:
    """Give the outline and height of all that stands out of the floor."""
    heights = [(place, -float(run.series(f"place_depth.{place['index']}")[0])) for place in run.meta["places"]]
    return tuple((_outline(place), height) for place, height in heights if height > _LEAST_DEPTH)


def _forces(run: Run, assembly: Assembly, matrices: Array) -> tuple[DrawnForce, ...]:
    """Give pushes and wind, each where its line of action comes to the box about its body, as at the set-up."""
    forces = []
    for index, row in enumerate(run.meta.get("outside", ())):
        force = np.column_stack([run.series(f"outside_{axis}.{index}") for axis in "xyz"])
        size = np.linalg.norm(force, axis=1)
        if not size.any():
            continue
        body, point = int(row["body"]), np.asarray(row["point"])
        way = matrices[0, body, :3, :3].T @ force[np.argmax(size)] / size.max()
        corners = np.concatenate([part.vertices for part in assembly.parts if part.body == body])
        with np.errstate(divide="ignore"):
            far = (np.where(way > 0.0, corners.min(axis=0), corners.max(axis=0)) - point) / np.where(way, way, np.nan)
        outside = point + float(np.nanmax(np.minimum(far, 0.0))) * way
        name = f"{row.get('kind', 'force')} on the {BODIES[body]}"
        forces.append(DrawnForce(name, force, _carried(matrices, body, outside)))
    return tuple(forces)


def _outline(place: Mapping[str, Any]) -> Array:
    """Give the corners (4, 2) of a place."""
    c, s = np.cos(place["heading"]), np.sin(place["heading"])
    ring = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array(place["size"]) / 2
    return np.asarray(ring @ np.array([[c, s], [-s, c]]) + np.array([place["x"], place["y"]]))


def _place_name(place: Mapping[str, Any]) -> str:
    kinds = {"breakthrough": "hole", "soft_place": "soft place"}
    return kinds.get(str(place["source"])) or place["zone"] or "sunk floor"


def _marks(report: RunReport, events: Sequence[Event]) -> tuple[Mark, ...]:
    inputs = [getattr(event, "at", 0.0) for event in events]
    return tuple(
        Mark(time, text, any(abs(time - given) < 1e-6 for given in inputs))
        for time, text in sorted(report.events, key=itemgetter(0))
    )


def _outcome(report: RunReport, system: System) -> tuple[str, ...]:
    """Give the outcome; "stays on its tyres" never stands without the lightest tyre and the steer axle's share."""
    end = report.outcome
    if end.truck not in (TruckEnd.DOWN, TruckEnd.TOO_LIGHT):
        return (report.ended,)
    name, load, _ = report.lightest_tyre
    share = f"{100 * report.steer_axle_share:.0f} %"
    return report.ended, f"lightest tyre {name}, {palette.force(load, system)}; least on the steer axle {share}"


def _worst(run: Run, report: RunReport, system: System) -> tuple[float, str]:
    """Give when the worst moment is, and what is worst then: the line the truck went over, or the least distance."""
    if report.nearest is None:
        return float(run.time[-1]), "no distance to a tip line can be given"
    name, least, time = report.nearest
    gap = palette.short_length(abs(least), system)
    if least < 0:
        return time, f"the balance point is {gap} past the {name} tip line, the farthest"
    return time, f"the balance point is {gap} from the {name} tip line, the nearest"


def _sunk(run: Run) -> tuple[tuple[str, ...], str] | None:
    """Give the tyre that went down farthest where the floor's own law let it, and the words for it."""
    deepest = [
        (float(run.series(f"place_depth.{place['index']}").max()), place["tyre"], place["law"])
        for place in run.meta["places"]
        if place["tyre"]
    ]
    if not deepest or max(deepest)[0] < _CAUSE_DEPTH:
        return None
    _, name, law = max(deepest)
    return (name,), f"the floor {'gives way' if law == 'plug' else 'yields'} under {name}"


def _cause(
    run: Run, report: RunReport, machine: Machine, events: Sequence[Event], tyres: Sequence[DrawnTyre]
) -> tuple[Array, Array, str]:
    """Give where to look in the truck frame, the points in the world, and the words for it."""
    plan = {tyre.name: (0.0, tyre.across) for tyre in machine.drive_axle.tyre}
    plan |= {tyre.name: (-machine.wheelbase, tyre.across) for tyre in machine.steer_axle.tyre}
    for event in events:
        if isinstance(event, Breakthrough | SoftPlace):
            names, what = event.under, "gives way" if isinstance(event, Breakthrough) else "yields"
            words = f"the floor {what} under {_listed(names)}"
            break
    else:
        names, words = _sunk(run) or ((report.lightest_tyre[0],), "")
    chosen = [tyre for tyre in tyres if tyre.name in names] or list(tyres[:1])
    look = np.array([*np.mean([plan[tyre.name] for tyre in chosen], axis=0), 0.0])
    near = max(chosen, key=lambda tyre: tyre.outboard * (1.0 if look[1] >= 0 else -1.0))
    return look, near.contact, words


def _listed(names: Sequence[str]) -> str:
    """Give names as words: "front-left and front-right"."""
    unique = [name for name, _ in groupby(names)]
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"
