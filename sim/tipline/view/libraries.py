"""The libraries that draw, loaded before they are needed, by who would only wait else."""

__all__ = ["load_all"]


def load_all(*, scenes: bool = True) -> None:
    """Load them with what uses them; with ``scenes`` what draws those, where this computer has OpenGL."""
    from tipline.view import gl

    if scenes and gl.probe() is None:  # it tells which OpenGL to load
        from tipline.sweeps.interrupts import unbroken

        with unbroken():
            import pyvista.plotting  # noqa: F401 - by itself pyvista loads it as late as its first plotter

    from matplotlib.backends import backend_svg  # noqa: F401
    from matplotlib.figure import Figure  # noqa: F401

    from tipline.view import moments, movie, plots  # noqa: F401
