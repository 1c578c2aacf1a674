"""Axle pivot and stop, mast joint with play, chain, counterweight slide and rope.

Source: [HuntCrossley1975] (damped contact, from memory), [Perzyna1966] (over-stress), [TextbookMechanics] (the rest)
"""

from math import sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats


def dead_zone(value: float, half: float) -> float:
    """Return how far value lies outside -half..half (signed)."""
    if value > half:
        return value - half
    if value < -half:
        return value + half
    return 0.0


def stop_of(axle: Floats, angle: float) -> float:
    """Return the stop [rad] that an axle (N_AXLE,) goes towards at an angle [rad]: left where it is positive."""
    stop: float = axle[at.A_STOP] if angle >= 0.0 else axle[at.A_STOP_RIGHT]
    return stop


def axle_torque(angle: float, rate: float, stop: float, k: float, c: float, pulls: float) -> tuple[float, float]:
    """Return the torque on the axle [N m] about the truck's long axis and the energy stored [J].

    A stop (pulls = 0) only pushes back; a frame-torsion spring (pulls = 1, stop = 0) acts both ways.
    """
    excess = dead_zone(angle, stop)
    if excess == 0.0 and pulls == 0.0:
        return 0.0, 0.0
    torque = -k * excess - c * rate
    if pulls == 0.0 and torque * excess > 0.0:
        torque = 0.0
    return torque, 0.5 * k * excess * excess


def play_spring(angle: float, rate: float, half: float, k: float, c: float) -> tuple[float, float]:
    """Return torque and energy of a spring with a dead zone of half the play each way; damping acts throughout."""
    excess = dead_zone(angle, half)
    return -k * excess - c * rate, 0.5 * k * excess * excess


def pull_only(stretch: float, rate: float, k: float, c: float) -> tuple[float, float]:
    """Return tension [N] and energy [J] of a chain or rope that cannot push."""
    if stretch <= 0.0:
        return 0.0, 0.0
    tension = k * stretch + c * rate
    return max(tension, 0.0), 0.5 * k * stretch * stretch


def push_only(depth: float, rate: float, k: float, chi: float) -> tuple[float, float]:
    """Return force [N] and energy [J] of a contact: F = k depth (1 + chi rate), depth [m], rate [m/s]."""
    if depth <= 0.0:
        return 0.0, 0.0
    return k * depth * max(0.0, 1.0 + chi * rate), 0.5 * k * depth * depth


def length(x: float, y: float, z: float) -> float:
    """Return the length of a vector."""
    return sqrt(x * x + y * y + z * z)


def soil_depth(
    depth: float,
    force: float,
    area: float,
    slope: float,
    start: float,
    hardening: float,
    speed: float,
    most: float,
    dt: float,
) -> float:
    """Return the depth [m] of a yielding place after dt.

    Over-stress law: rate = speed * (pressure / yield - 1), yield = start + hardening * depth; one linearised implicit
    step (slope [N/m] is the tyre's tangent stiffness), so it is stable for any step.
    """
    if force <= 0.0 or area <= 0.0:
        return depth
    limit = (start + hardening * depth) * area
    over = force / limit - 1.0
    if over <= 0.0:
        return depth
    stiff = slope / limit + force * hardening * area / (limit * limit)
    return min(depth + dt * speed * over / (1.0 + dt * speed * stiff), most)
