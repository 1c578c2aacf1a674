"""The simulation engines: the kernels give every force; pybullet or compiled code moves the bodies."""

from tipline.engines.simulate import engine_of, simulate

__all__ = ["engine_of", "simulate"]
