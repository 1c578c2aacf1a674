"""The two layers of a picture of a scene: what is there, and faintly on top of it what is seen through the truck."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.view import palette
from tipline.view.story import Array

if TYPE_CHECKING:
    import pyvista as pv

__all__ = ["THROUGH", "Layers"]

THROUGH = 0.28
"""Opacity of what is seen through the truck (our choice)."""


class Layers:
    """A plotter of pictures of `size` pixels, with its lights; drawn `fine` times as large, where that is more."""

    def __init__(self, size: tuple[int, int], fine: int) -> None:
        import pyvista as pv
        from vtkmodules.vtkRenderingCore import vtkMapper

        self.size = size
        vtkMapper.SetResolveCoincidentTopologyToPolygonOffset()  # edge lines before the faces they bound
        self.plotter = pv.Plotter(off_screen=True, window_size=size, lighting=None)
        self._front = _second_layer(self.plotter)
        self.plotter.set_background(_unit(palette.SKY))
        self.plotter.add_light(pv.Light(light_type="headlight", intensity=0.55))
        self.plotter.add_light(pv.Light(position=(-3, 5, 9), light_type="camera light", intensity=0.5))
        if fine > 1:
            self.plotter.enable_anti_aliasing("msaa", multi_samples=4)
        else:  # smoothed in the finished picture
            self.plotter.render_window.SetMultiSamples(0)
        for renderer in (self.plotter.renderer, self._front):
            renderer.SetUseOIT(False)  # what is seen through lies in order: sorting it took a fifth of a picture

    def add(self, mesh: pv.PolyData, colour: palette.Colour, **options: Any) -> Any:
        """Draw a mesh in the scene and return its actor."""
        settings: dict[str, Any] = {"ambient": 0.25, "diffuse": 0.8, "specular": 0.05, "reset_camera": False, **options}
        return self.plotter.add_mesh(mesh, color=_unit(colour), render=False, **settings)

    def add_twice(self, mesh: pv.PolyData, colour: palette.Colour, through: float = THROUGH) -> list[Any]:
        """Draw a mesh in the scene, and faintly on top of it, so that it is seen through the truck."""
        solid = self.add(mesh, colour, lighting=False)
        faint = self.add(mesh, colour, lighting=False, opacity=through)
        self.plotter.renderer.RemoveActor(faint)
        self._front.AddActor(faint)
        return [solid, faint]

    def project(self, points: Array) -> Array:
        """Give pixels (k, 2), x right and y down, of world points (k, 3) [m]."""
        if not len(points):
            return np.zeros((0, 2))
        width, height = self.size
        matrix = self.plotter.camera.GetCompositeProjectionTransformMatrix(width / height, -1.0, 1.0)
        m = np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])
        h = np.column_stack([points, np.ones(len(points))]) @ m.T
        xy = h[:, :2] / h[:, 3:]
        return np.column_stack([(xy[:, 0] + 1) / 2 * width, (1 - xy[:, 1]) / 2 * height])


def _second_layer(plotter: Any) -> Any:
    from vtkmodules.vtkRenderingCore import vtkRenderer

    window, front = plotter.render_window, vtkRenderer()
    window.SetNumberOfLayers(2)
    front.SetLayer(1)
    front.InteractiveOff()
    front.SetActiveCamera(plotter.camera)
    window.AddRenderer(front)
    return front


def _unit(colour: palette.Colour) -> tuple[float, float, float]:
    return colour[0] / 255, colour[1] / 255, colour[2] / 255
