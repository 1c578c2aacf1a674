"""The simulation engine: pybullet integrates the bodies, the kernels give every force."""

from tipline.engine.simulate import simulate

__all__ = ["simulate"]
