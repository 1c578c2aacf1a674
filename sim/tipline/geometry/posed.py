"""Poses as rotations and matrices: where what is fixed to a body comes to lie in the world.

Source: [TextbookMechanics] (rotation by a quaternion)
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["leaning", "posed", "rotation"]

Array = NDArray[np.float64]


def rotation(quaternion: Array) -> Array:
    """Give rotation matrices (..., 3, 3) [1] of quaternions (..., 4) in the order x, y, z, w."""
    x, y, z, w = np.moveaxis(quaternion / np.linalg.norm(quaternion, axis=-1, keepdims=True), -1, 0)
    rows = [
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def posed(poses: Array, centres: Array) -> Array:
    """Give matrices (n, b, 4, 4) that carry the truck frame at set-up to the world.

    `poses` (n, b, 7) are positions of the bodies' centres of mass [m] and quaternions; `centres` (b, 3) are the same
    centres in the truck frame.
    """
    matrices = np.zeros((*poses.shape[:2], 4, 4))
    matrices[..., :3, :3] = rotation(poses[..., 3:])
    matrices[..., :3, 3] = poses[..., :3] - np.einsum("nbij,bj->nbi", matrices[..., :3, :3], centres)
    matrices[..., 3, 3] = 1.0
    return matrices


def leaning(turned: Array) -> tuple[float, float]:
    """Give roll and pitch [rad] of a body from its rotation (3, 3) [1]: right side and front down positive."""
    return float(np.arctan2(turned[2, 1], turned[2, 2])), float(
        np.arctan2(-turned[2, 0], np.hypot(turned[0, 0], turned[1, 0]))
    )
