"""Friction of a part of a floor: in a run by the kind of tyre that brakes, at rest where each tyre stands."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tipline import scenario
from tipline.engines.prepare import prepare
from tipline.floors.laws.of_floor import floor_laws
from tipline.kernels import layout as at
from tipline.scenario import Case
from tipline.statics.truck import truck_of

FRICTION = "friction = {solid = 0.3, band = 0.2, pneumatic = 0.55}"
SOFT = (
    '{name = "soft", kind = "soft", corner = ["0 m", "0 m"], size = ["20 m", "5 m"], bearing_pressure = "2 MPa", '
    f"{FRICTION}}}"
)
STEP = f'{{name = "oil", kind = "rigid", corner = ["0 m", "0 m"], size = ["20 m", "5 m"], {FRICTION}}}'


def standing(zone: str, **more: str) -> Case:
    """Demo truck C on demo hall A's friction (0.65, 0.6, 0.7), its left tyres and not its right ones past y = 5 m."""
    changes = {"event": "[]", "setup.speed": "0 km/h", "setup.position": '["6 m", "5 m"]', "floor": "demo-hall-a"}
    return scenario.read("stop-with-the-load-up-breaks-a-slab", {**changes, "floor.zone": f"[{zone}]", **more})


@pytest.mark.parametrize("zone", [SOFT, STEP])
@pytest.mark.parametrize(("kind", "ratio"), [("solid", 0.3 / 0.65), ("band", 0.2 / 0.6), ("pneumatic", 0.55 / 0.7)])
def test_a_run_brakes_on_it_by_the_kind_of_tyre(zone: str, kind: str, ratio: float) -> None:
    case = standing(zone, **{"machine.drive_axle.tyre.0.kind": kind})
    for laws in (floor_laws(case).zones, prepare(case, brief=True).zones):
        (law,) = laws
        assert law.friction == pytest.approx(ratio)


def test_a_floor_that_is_rigid_has_its_own_too() -> None:
    case = standing("", **{"floor.elsewhere": f'{{kind = "rigid", {FRICTION}}}'})
    (law,) = floor_laws(case).zones
    assert (law.law, law.friction) == ("firm", pytest.approx(0.3 / 0.65))
    assert min(law.size) >= 1000.0


def test_beside_what_is_asked_of_its_strength_it_counts_as_well() -> None:
    slab = '{name = "slab", kind = "slab", corner = ["0 m", "5 m"], size = ["20 m", "5 m"], below = "soil"}'
    laws: dict[str, Callable[..., object]] = {law.name: law for law in floor_laws(standing(f"{SOFT}, {slab}")).zones}
    assert laws["soft"].law == "soft"  # type: ignore[attr-defined]
    assert laws["soft"].friction == pytest.approx(0.3 / 0.65)  # type: ignore[attr-defined]


def test_at_rest_each_tyre_has_the_friction_of_where_it_stands() -> None:
    """Right tyres on the zone, left ones on the hall."""
    truck = truck_of(standing(STEP))
    grip = dict(zip(truck.build.tyres, truck.plant.tyre[:, at.T_MU].tolist(), strict=True))
    for name, friction in grip.items():
        assert friction == pytest.approx(0.3 if "right" in name else 0.65)
