"""How many steps a run of many takes at once: more than one where all moves smoothly.

Speeds stand half a step before the places, so a long step is as good as many short ones where accelerations change
evenly; how much they change from one step to the next tells whether they do. What strikes is felt at the first step at
which it touches, before it is gone on from there, and a tyre comes down in a short one. Steps stay short while ground
gives way, as that is stepped by its own law, of the first order. A row at which what is commanded takes another course
is stepped to (`layout.K_EVEN`).

Source: [HairerLubichWanner2006] (leapfrog), [Own] (when a step may be long)

Arrays:

a, before (N_U,) [SI]: how fast speeds change at this step, and at the step before
u (N_U,) [SI]: speeds
single (N_SINGLE,) [SI]: the record's single values
axle (N_AXLE,) [SI]: as in `layout.Plant`
"""

from math import sqrt

from tipline.endings import RULES
from tipline.kernels import layout as at
from tipline.kernels.dynamics import N_U, U_AXLE
from tipline.kernels.layout import Floats, Memory, Plant
from tipline.kernels.vector import point_velocity, turned, wheel_axis

ARM = (1.0, 1.0, 1.0, 3.0, 3.0, 3.0, 0.5, 1.5, 1.5, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0)
"""How far [m] what counts lies from what turns, 1 for what slides, in the order of the speeds (our choice): half a
truck's height, half an axle; half of the first where a mast sways in its joint, as it springs back. How a hung load
turns about itself decides nothing."""
LONGER = 2
"""How many times as long as the step before a step may be (our choice)."""
SINKING = RULES.sinking


def unsteadiness(a: Floats, before: Floats) -> float:
    """Return the greatest change [m/s2] of an acceleration since the step before, and keep those of this step."""
    most = 0.0
    for j in range(N_U):
        most = max(most, ARM[j] * abs(a[j] - before[j]))
        before[j] = a[j]
    return most


def stop_within(angle: float, rate: float, time: float, axle: Floats) -> bool:
    """Whether a pivoting axle clear of its stops may come to one within a time [s]; angle, rate [rad, rad/s]."""
    clear = min(axle[at.A_STOP], axle[at.A_STOP_RIGHT]) - abs(angle)
    return bool(axle[at.A_PULLS] == 0.0 and 0.0 < clear < abs(rate) * time)


def sinks(mem: Memory, time: float) -> bool:
    """Whether a place sank faster than counts as sinking in the last step, which took a time [s]."""
    most = 0.0
    for j in range(mem.lowered.shape[0]):
        most = max(most, mem.lowered[j])
    return bool(most > SINKING * time)


def lands_within(time: float, plant: Plant, mem: Memory) -> bool:
    """Whether a tyre that is clear of the floor's top may come down on it within a time [s]."""
    for i in range(plant.tyre.shape[0]):
        if mem.tyre_energy[i] == 0.0:
            tyre = plant.tyre[i]
            b = int(tyre[at.T_BODY])
            x, y, z = turned(mem.turn[b], tyre[at.T_X], tyre[at.T_Y], tyre[at.T_Z])
            _, _, az = wheel_axis(tyre, mem.turn[b])
            low = mem.state[b, 2] + z - sqrt(max(0.0, 1.0 - az * az)) * tyre[at.T_R] - 0.5 * abs(az) * tyre[at.T_W]
            if 0.0 < low < -time * point_velocity(mem.now[b], x, y, z)[2]:
                return True
    return False


def at_once(
    most: int, done: int, dt: float, smooth: float, a: Floats, before: Floats, u: Floats, single: Floats, plant: Plant,
    mem: Memory,
) -> int:  # fmt: skip
    """Return how many steps of dt [s] to take at once after so many done: most at most.

    Within them, accelerations that go on changing as they do take no part farther aside than smooth [m]; what is apart
    surely stays so, an axle comes to no stop and no tyre to the floor.
    """
    jerk, pairs = unsteadiness(a, before) / (done * dt), plant.pair.shape[0]
    if most <= 1:
        return 1
    apart = mem.wait[pairs + 3]
    if pairs > 0:
        apart = min(apart, mem.wait[pairs + 1])
    steps = min(most, LONGER * done)
    while steps > 1 and (jerk * (steps * dt) ** 3 > smooth or apart < steps * dt):
        steps -= 1
    if steps > 1 and (
        stop_within(single[at.R_AXLE], u[U_AXLE], steps * dt, plant.axle)
        or lands_within(steps * dt, plant, mem)
        or sinks(mem, done * dt)
    ):
        steps = 1
    return steps
