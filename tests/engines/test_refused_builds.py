"""What pybullet would freeze, strip or put elsewhere without a word is refused before a run starts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from spoiled import DT, SLIDES, Change, Spoiled, entered, nothing, without
from tipline.engines import world as world_module
from tipline.engines.guards import steps_at_once
from tipline.engines.prepare import Prepared
from tipline.engines.world import World
from tipline.errors import NumericalError
from tipline.kernels import layout as at
from trucks import FORKS, HUNG, start


def swapped(true: Change, **named: Any) -> Any:
    """Two links in another order, as the library does to trees without being asked not to."""
    if "linkMasses" in named:
        for key in ("linkMasses", "linkPositions", "linkJointTypes", "linkJointAxis", "linkInertialFramePositions"):
            named[key] = [named[key][1], named[key][0], *named[key][2:]]
        named["linkParentIndices"] = [0, 0, 1, *named["linkParentIndices"][3:]]
    return true(**named)


def straight(true: Change, **named: Any) -> Any:
    if "linkInertialFrameOrientations" in named:
        named["linkInertialFrameOrientations"] = [(0.0, 0.0, 0.0, 1.0)] * len(named["linkMasses"])
    return true(**named)


def at_once(true: Change, *words: Any, **named: Any) -> Any:
    """The inertia of a link beside an activation state: it goes to the base."""
    if "localInertiaDiagonal" in named:
        named["activationState"] = 2
    return true(*words, **named)


def in_truck_axes(true: Change, truck: int, link: int, turn: list[float], **named: Any) -> Any:
    """A spherical joint's turn as if told in the truck's axes."""
    return true(truck, link, [0.05, 0.0, 0.0, np.sqrt(1 - 0.0025)], **named)


SPOILED_BUILDS: dict[str, tuple[dict[str, Change], str]] = {
    "a link fewer": ({"getNumJoints": lambda true, *a, **k: true(*a, **k) - 1}, "the links are"),
    "links in another order": ({"createMultiBody": swapped}, "the links are"),
    "no inertia of links": ({"changeDynamics": without("localInertiaDiagonal")}, "mass or inertia"),
    "inertia beside an activation state": ({"changeDynamics": at_once}, "mass or inertia"),
    "principal axes left out": ({"createMultiBody": without("baseInertialFrameOrientation")}, "stands"),
    "principal axes of links left out": ({"createMultiBody": straight}, "stands"),
    "turn of the mast in other axes": ({"resetJointStateMultiDof": in_truck_axes}, "stands"),
    "load where the link frame is": ({"resetBasePositionAndOrientation": nothing}, "stands"),
}


@pytest.mark.parametrize("name", SPOILED_BUILDS)
def test_a_build_that_came_out_differently_is_refused(name: str) -> None:
    changed, words = SPOILED_BUILDS[name]
    with pytest.raises(NumericalError, match=words) as caught, entered(start(HUNG + SLIDES), **changed):
        pass
    assert caught.value.quantity == "built model"


NAN, INF = float("nan"), float("inf")
WRONG_TENSORS = {
    "not positive": np.diag([1e3, 1e3, -1.0]),
    "no solid body": np.diag([1e3, 1e3, 5e3]),
    "not symmetric": np.array([[1e3, 100.0, 0.0], [0.0, 1e3, 0.0], [0.0, 0.0, 1e3]]),
    "not a number": np.diag([1e3, NAN, 1e3]),
}


def refused(prepared: Prepared, words: str) -> None:
    """It is refused before the library hears of it."""
    library = Spoiled()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(world_module, "load_pybullet", lambda: library)
        with pytest.raises(NumericalError, match=words) as caught, World(prepared, DT):
            pass
    assert caught.value.quantity == "built model"
    assert not library.called


@pytest.mark.parametrize("mass", [NAN, INF, -50.0])
@pytest.mark.parametrize("body", [at.MAST, at.LOAD])
def test_a_mass_that_would_freeze_a_body_is_refused(body: int, mass: float) -> None:
    prepared = start(HUNG)
    masses = prepared.build.plant.mass.copy()
    masses[body] = mass
    plant = prepared.build.plant._replace(mass=masses)
    refused(replace(prepared, build=replace(prepared.build, plant=plant)), f"{at.BODIES[body]}: mass")


def test_a_link_without_mass_is_refused() -> None:
    prepared = start(HUNG)
    masses = prepared.build.plant.mass.copy()
    masses[at.AXLE] = 0.0
    plant = prepared.build.plant._replace(mass=masses)
    refused(replace(prepared, build=replace(prepared.build, plant=plant)), "axle: mass 0 kg")


@pytest.mark.parametrize("name", WRONG_TENSORS)
def test_an_inertia_that_the_library_would_drop_is_refused(name: str) -> None:
    prepared = start(HUNG)
    inertia = prepared.build.plant.inertia.copy()
    inertia[at.CARRIAGE] = WRONG_TENSORS[name]
    plant = prepared.build.plant._replace(inertia=inertia)
    refused(replace(prepared, build=replace(prepared.build, plant=plant)), "carriage: ")


def test_a_quaternion_of_no_length_and_a_place_that_is_no_number_are_refused() -> None:
    prepared = start(HUNG)
    for column, value, words in (
        (slice(3, 7), 0.0, "load starts from a quaternion"),
        (slice(1, 2), NAN, "load starts"),
    ):
        raw = prepared.raw.copy()
        raw[at.LOAD, column] = value
        refused(replace(prepared, raw=raw), words)


STIFF: dict[str, tuple[str, Any, str]] = {
    "the axle's stop": ("axle", at.A_K, FORKS),
    "the lift chain": ("link", at.L_CH_K, FORKS),
    "the mast's joint": ("mast", slice(at.M_KX, at.M_KZ + 1), FORKS),
    "the rope": ("link", at.L_RO_K, HUNG),
    "the counterweight's slide": ("link", at.L_SL_K, FORKS + SLIDES),
    "the load on its corners": ("point", (slice(None), at.C_K), HUNG),
    "the steer axle on its tyres": ("tyre", (slice(None), at.T_KT), FORKS),
    "the damping of a wheel's grip": ("tyre", (slice(None), at.T_CT), FORKS),
    "the damping of the steer axle's tyres": ("tyre", (slice(None), at.T_CHI), FORKS),
}


@pytest.mark.parametrize("name", STIFF)
def test_a_spring_or_damper_too_stiff_for_the_step_is_refused(name: str) -> None:
    """As shipped every one is fit for 1 ms; a thousand times stiffer none is, and the message names it."""
    field, where, text = STIFF[name]
    plant = start(text).build.plant
    steps_at_once(plant, DT)
    stiff = getattr(plant, field).copy()
    stiff[where] *= 1e3
    with pytest.raises(NumericalError, match=name) as caught:
        steps_at_once(plant._replace(**{field: stiff}), DT)
    assert caught.value.quantity == "time step"
