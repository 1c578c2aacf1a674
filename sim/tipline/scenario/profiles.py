"""Commands over time: smooth moves and ramps, as arrays over the time steps."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["move", "ramp", "speed_change"]

Array = NDArray[np.float64]


def ramp(time: Array, start: float, over: float) -> Array:
    """Return (n,) for times [s]: 0 before `start`, 1 from `start + over` on, straight between; a step for 0 `over`."""
    if over <= 0.0:
        return (time >= start - 1e-9).astype(np.float64)
    return np.clip((time - start) / over, 0.0, 1.0)


def move(time: Array, start: float, distance: float, speed: float, stop: float, begin: float = 0.3) -> Array:
    """Return the way (n,) [m or rad] covered: even acceleration over `begin`, steady speed, even braking over `stop`.

    Where the way is too short for the full speed, the top speed is lowered and the times are kept.
    """
    way = abs(distance)
    if way == 0.0:
        return np.zeros_like(time)
    top = min(speed, way / (0.5 * (begin + stop))) if begin + stop > 0.0 else speed
    steady = way / top - 0.5 * (begin + stop)
    t = np.clip(time - start, 0.0, None)
    up = np.minimum(t, begin)
    on = np.clip(t - begin, 0.0, steady)
    down = np.clip(t - begin - steady, 0.0, stop)
    done = top * (0.5 * up * up / begin if begin > 0.0 else 0.0) + top * on
    done = done + top * (down - 0.5 * down * down / stop if stop > 0.0 else 0.0)
    signed: Array = np.sign(distance) * done
    return signed


def speed_change(
    time: Array, start: float, before: float, after: float, rate: float, rise: float
) -> tuple[Array, Array]:
    """Return commanded acceleration [m/s2] and speed [m/s] (n,) from `start` on, the rate rising evenly over `rise`.

    The acceleration is 0 before `start` and once the speed has reached `after`.
    """
    dt = float(time[1] - time[0]) if len(time) > 1 else 1.0
    sign = float(np.sign(after - before))
    wish = sign * rate * (ramp(time, start, rise) if rise > 0.0 else ramp(time, start, 0.0))
    wish[time < start - 1e-9] = 0.0
    speed = before + np.concatenate(([0.0], np.cumsum(wish[:-1]) * dt))
    reached = (speed - after) * sign >= 0.0
    wish[reached] = 0.0
    speed[reached] = after
    return wish, speed
