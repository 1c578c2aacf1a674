"""What is refused before a run: bodies that no engine can step, and steps too long for a spring of the truck.

Source: [HairerLubichWanner2006] (what springs and dampers a step survives), [Own] (how stiff the truck's parts are)
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tipline.errors import NumericalError
from tipline.geometry.plant import BRISTLES_SOFTER
from tipline.kernels import layout as at
from tipline.mechanics.constants import STANDARD_GRAVITY as G
from tipline.mechanics.mass import check
from tipline.units import MILLISECOND

if TYPE_CHECKING:
    from tipline.geometry.plant import Build

__all__ = ["fit_stop", "refuse_impossible_bodies", "steps_at_once"]

Array = NDArray[np.float64]

STIFFEST = 1.0
"""Largest frequency times step: half of the 2 that semi-implicit steps survive without damping (numerical)."""
DAMPING_LIMIT = 1.4
"""Largest damping rate times step: seven tenths of the 2 that explicit damping survives (numerical)."""
GRIP_LIMIT = 1.5
"""The same of the damping in a wheel's grip, which is stepped with the wheel (numerical)."""
STOP_FITS = 0.9
"""Frequency times step to which a long step brings the axle's stop down: a tenth below `STIFFEST` (numerical)."""
LONG_STEP = 8e-3
"""Longest time [s] that is stepped at once (our choice: no contact is later seen than that)."""
SURVIVED = 1.4
"""Largest frequency times that, of the 2 that is survived: rope and chain together come to 1.4 times it (numerical)."""
TOUCHING = ("the axle's stop", "the lifted load on the forks")
"""Springs that shorten no long step: one is stepped implicitly (`kernels.dynamics`), the other ends it (`pace`)."""
HEAVIEST = 2.0
"""Load of a tyre over its load at rest for which its damping must be stable: our choice, all of an axle on one side."""


def refuse_impossible_bodies(build: Build, raw: Array) -> None:
    """Refuse masses, inertias and states (6, 13) [SI] that an engine would take without a word and turn into nonsense.

    A mass that is not a number freezes a body, a negative one makes it part of the ground, an inertia of no solid body
    is dropped, and a quaternion of no length makes every state not a number.

    Raises
    ------
    NumericalError
        With the name of the body and what is wrong with it.
    """
    for body, name in enumerate(at.BODIES):
        if build.plant.mass[body] == 0.0 and name not in ("chassis", "axle", "mast", "carriage"):
            continue
        try:
            check(float(build.plant.mass[body]), build.plant.inertia[body], f"the {name}")
        except ValueError as error:
            raise _wrong(str(error)) from error
        if not np.isfinite(raw[body]).all():
            msg = f"the {name} starts from a value that is not finite"
            raise _wrong(msg)
        for q in (raw[body, 3:7], build.axes[body]):
            if abs(float(q @ q) - 1.0) > 1e-6:
                msg = f"the {name} starts from a quaternion of length {float(np.linalg.norm(q)):.3g}"
                raise _wrong(msg)


def _wrong(msg: str) -> NumericalError:
    return NumericalError(msg, time=0.0, quantity="built model", remedy="Check masses and sizes of machine and load")


def fit_stop(plant: at.Plant, dt: float) -> bool:
    """Make the axle's stop no stiffer than a step [s] takes, and say whether it had to be.

    How stiff a stop is does not come from the machine: it is stiff beside everything else, by our choice. At 4 ms it is
    3.2 times softer than up to 2 ms, which lets a truck lean a few thousandths of a radian further on it.
    """
    about = float(plant.inertia[at.AXLE][0, 0])
    most = about * (STOP_FITS / dt) ** 2
    if plant.axle[at.A_PULLS] > 0.0 or plant.axle[at.A_K] <= most:
        return False
    plant.axle[at.A_C] *= float(np.sqrt(most / plant.axle[at.A_K]))
    plant.axle[at.A_K] = most
    return True


def steps_at_once(plant: at.Plant, dt: float) -> int:
    """Return how many steps [s] at once the truck's springs and dampers survive, at most for LONG_STEP.

    Raises
    ------
    NumericalError
        One would not survive a single step: with the part, and the longest step that it allows.
    """
    springs, dampers = _springs(plant, dt), _dampers(plant, dt)
    for name, value in (*springs.items(), *dampers.items()):
        if value > STIFFEST:
            needed, step = dt / value / MILLISECOND, dt / MILLISECOND
            msg = f"{name} would need a step of {needed:.2g} ms or less, the step is {step:.2g} ms"
            raise NumericalError(msg, quantity="time step", remedy="Lower run.time_step")
    stiffest = max(v for name, v in springs.items() if name not in TOUCHING and not name.endswith("on its corners"))
    damping = dampers["the damping of the steer axle's tyres"]
    return max(1, int(min(LONG_STEP / dt + 1e-9, SURVIVED / stiffest, 1.0 / damping if damping > 0.0 else np.inf)))


def _springs(plant: at.Plant, dt: float) -> dict[str, float]:
    """Frequency times step of every spring between bodies."""
    mass, inertia, link = plant.mass, plant.inertia, plant.link
    about = float(inertia[at.AXLE][0, 0])
    tyres = plant.tyre[plant.tyre[:, at.T_BODY] == at.AXLE]
    press = tyres[:, at.T_KT] / BRISTLES_SOFTER * (1.0 + tyres[:, at.T_GIVES])  # at once rubber is stiffer than settled
    rates = {
        "the axle's stop": plant.axle[at.A_K] / about,
        "the steer axle on its tyres": (press * tyres[:, at.T_Y] ** 2).sum() / about,
        "the lift chain": link[at.L_CH_K] / mass[at.CARRIAGE],
        "the mast's joint": _mast_rate(plant),
        "the lifted load on the forks": _fork_rate(plant),
    }
    if mass[at.LOAD] > 0.0 and link[at.L_RO_K] > 0.0:
        rates["the rope"] = link[at.L_RO_K] * (1.0 / mass[at.LOAD] + 1.0 / mass[at.CARRIAGE])
    if mass[at.COUNTERWEIGHT] > 0.0:
        rates["the counterweight's slide"] = link[at.L_SL_K] / mass[at.COUNTERWEIGHT]
    for body in (at.LOAD, at.CHASSIS):
        if mass[body] > 0.0:
            rates[f"the {at.BODIES[body]} on its corners"] = _corner_rate(plant, body)
    return {name: sqrt(rate) * dt for name, rate in rates.items()}


def _mast_rate(plant: at.Plant) -> float:
    """Largest squared frequency [1/s2] of the mast's joint: mast and carriage about it against the chassis."""
    arm, inertia = plant.mast[at.M_MX : at.M_MZ + 1], plant.inertia
    along = plant.link[at.L_CX : at.L_CZ + 1] - arm
    lifted = np.diag(inertia[at.MAST]) + plant.mass[at.MAST] * (arm @ arm - arm * arm)
    lifted = lifted + np.diag(inertia[at.CARRIAGE]) + plant.mass[at.CARRIAGE] * (along @ along - along * along)
    rate = plant.mast[at.M_KX : at.M_KZ + 1] * (1.0 / lifted + 1.0 / np.diag(inertia[at.CHASSIS]))
    return float(rate.max())


def _corner_rate(plant: at.Plant, body: int) -> float:
    """Largest squared frequency [1/s2] of a body that stands on four of its corners."""
    k = 4.0 * float(plant.point[plant.point[:, at.C_BODY] == body, at.C_K].max(initial=0.0))
    return k / float(plant.mass[body])


def _fork_rate(plant: at.Plant) -> float:
    """Largest squared frequency [1/s2] of a free load against the carriage, on four places of each fork."""
    k = 8.0 * float(plant.pair[plant.pair[:, at.Q_RESTS] > 0.0, at.Q_K].max(initial=0.0))
    return k * (1.0 / float(plant.mass[at.LOAD]) + 1.0 / float(plant.mass[at.CARRIAGE])) if k > 0.0 else 0.0


def _dampers(plant: at.Plant, dt: float) -> dict[str, float]:
    """Damping rate times step of the tyres, over the largest that is stable."""
    tyre, weight = plant.tyre, G * float(plant.mass.sum()) / len(plant.tyre)
    steered = tyre[tyre[:, at.T_BODY] == at.AXLE]
    grip = (tyre[:, at.T_CT] * tyre[:, at.T_R] ** 2 / tyre[:, at.T_IW]).max()
    roll = HEAVIEST * weight * (steered[:, at.T_CHI] * steered[:, at.T_Y] ** 2).sum() / plant.inertia[at.AXLE][0, 0]
    return {
        "the damping of a wheel's grip": float(grip) * dt / GRIP_LIMIT,
        "the damping of the steer axle's tyres": float(roll) * dt / DAMPING_LIMIT,
    }
