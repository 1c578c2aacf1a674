"""The simulation engine: pybullet integrates the bodies, the kernels give every force."""

from tipline.engines.simulate import simulate

__all__ = ["simulate"]
