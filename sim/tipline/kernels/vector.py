"""Small vector algebra on scalars, for interpreted and compiled use alike.

Arrays:

a, b (3, 3) [1]: rotations, in `quaternion_product` (4,)
out (4,) [1]: a quaternion, in `rotation` (3, 3)
"""

from math import atan2, sqrt

from tipline.kernels import layout as at
from tipline.kernels.layout import Floats


def rotation(q: Floats, out: Floats) -> None:
    """Fill out (3, 3) with the rotation matrix of the unit quaternion q (x, y, z, w)."""
    x, y, z, w = q[0], q[1], q[2], q[3]
    n = sqrt(x * x + y * y + z * z + w * w)
    x, y, z, w = x / n, y / n, z / n, w / n
    out[0, 0] = 1.0 - 2.0 * (y * y + z * z)
    out[0, 1] = 2.0 * (x * y - z * w)
    out[0, 2] = 2.0 * (x * z + y * w)
    out[1, 0] = 2.0 * (x * y + z * w)
    out[1, 1] = 1.0 - 2.0 * (x * x + z * z)
    out[1, 2] = 2.0 * (y * z - x * w)
    out[2, 0] = 2.0 * (x * z - y * w)
    out[2, 1] = 2.0 * (y * z + x * w)
    out[2, 2] = 1.0 - 2.0 * (x * x + y * y)


def quaternion_product(a: Floats, b: Floats, out: Floats) -> None:
    """Fill out with the quaternion product a b (first b, then a), all x, y, z, w."""
    ax, ay, az, aw = a[0], a[1], a[2], a[3]
    bx, by, bz, bw = b[0], b[1], b[2], b[3]
    out[0] = aw * bx + ax * bw + ay * bz - az * by
    out[1] = aw * by - ax * bz + ay * bw + az * bx
    out[2] = aw * bz + ax * by - ay * bx + az * bw
    out[3] = aw * bw - ax * bx - ay * by - az * bz


def turned(r: Floats, x: float, y: float, z: float) -> tuple[float, float, float]:
    """Return the rotation matrix r times (x, y, z)."""
    return (
        r[0, 0] * x + r[0, 1] * y + r[0, 2] * z,
        r[1, 0] * x + r[1, 1] * y + r[1, 2] * z,
        r[2, 0] * x + r[2, 1] * y + r[2, 2] * z,
    )


def back_turned(r: Floats, x: float, y: float, z: float) -> tuple[float, float, float]:
    """Return the transpose of r times (x, y, z)."""
    return (
        r[0, 0] * x + r[1, 0] * y + r[2, 0] * z,
        r[0, 1] * x + r[1, 1] * y + r[2, 1] * z,
        r[0, 2] * x + r[1, 2] * y + r[2, 2] * z,
    )


def wheel_axis(tyre: Floats, r: Floats) -> tuple[float, float, float]:
    """Return the axis of a wheel (N_TYRE,) on a body turned by r, to its left, as it is steered."""
    s = tyre[at.T_STEER]
    if s == 0.0:
        return r[0, 1], r[1, 1], r[2, 1]
    c = sqrt(1.0 - s * s)
    return c * r[0, 1] - s * r[0, 0], c * r[1, 1] - s * r[1, 0], c * r[2, 1] - s * r[2, 0]


def add_force(wrench: Floats, body: int, px: float, py: float, pz: float, fx: float, fy: float, fz: float) -> None:
    """Add to a body's wrench a force at a point given from the body's centre (all world axes)."""
    wrench[body, 0] += fx
    wrench[body, 1] += fy
    wrench[body, 2] += fz
    wrench[body, 3] += py * fz - pz * fy
    wrench[body, 4] += pz * fx - px * fz
    wrench[body, 5] += px * fy - py * fx


def add_torque(wrench: Floats, body: int, tx: float, ty: float, tz: float) -> None:
    """Add a torque to a body's wrench (world axes)."""
    wrench[body, 3] += tx
    wrench[body, 4] += ty
    wrench[body, 5] += tz


def point_velocity(v: Floats, px: float, py: float, pz: float) -> tuple[float, float, float]:
    """Return the velocity of a point at p from the centre of a body with v = (velocity, angular velocity)."""
    return (
        v[0] + v[4] * pz - v[5] * py,
        v[1] + v[5] * px - v[3] * pz,
        v[2] + v[3] * py - v[4] * px,
    )


def relative_rotation_vector(a: Floats, b: Floats) -> tuple[float, float, float]:
    """Return the rotation vector [rad] of a^T b in the axes of a, for angles well below 180 degrees."""
    # skew part of a^T b holds sin(angle) * axis, its trace the cosine
    m00 = a[0, 0] * b[0, 0] + a[1, 0] * b[1, 0] + a[2, 0] * b[2, 0]
    m11 = a[0, 1] * b[0, 1] + a[1, 1] * b[1, 1] + a[2, 1] * b[2, 1]
    m22 = a[0, 2] * b[0, 2] + a[1, 2] * b[1, 2] + a[2, 2] * b[2, 2]
    m21 = a[0, 2] * b[0, 1] + a[1, 2] * b[1, 1] + a[2, 2] * b[2, 1]
    m12 = a[0, 1] * b[0, 2] + a[1, 1] * b[1, 2] + a[2, 1] * b[2, 2]
    m02 = a[0, 0] * b[0, 2] + a[1, 0] * b[1, 2] + a[2, 0] * b[2, 2]
    m20 = a[0, 2] * b[0, 0] + a[1, 2] * b[1, 0] + a[2, 2] * b[2, 0]
    m10 = a[0, 1] * b[0, 0] + a[1, 1] * b[1, 0] + a[2, 1] * b[2, 0]
    m01 = a[0, 0] * b[0, 1] + a[1, 0] * b[1, 1] + a[2, 0] * b[2, 1]
    sx, sy, sz = 0.5 * (m21 - m12), 0.5 * (m02 - m20), 0.5 * (m10 - m01)
    c = 0.5 * (m00 + m11 + m22 - 1.0)
    s2 = sx * sx + sy * sy + sz * sz
    # angle / sin(angle) as a series near zero, so that the start is exact
    k = 1.0 + s2 / 6.0 + 0.075 * s2 * s2
    if s2 > 1e-4 or c < 0.0:
        s = sqrt(s2)
        k = atan2(s, c) / s if s > 0.0 else 1.0
    return sx * k, sy * k, sz * k
