"""Truck and load in a scene: their solids by colour with crisp edges, moved body by body."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from tipline.view import palette
from tipline.view.layers import Layers
from tipline.view.meshes import poly
from tipline.view.story import Array, Story

if TYPE_CHECKING:
    import pyvista as pv

__all__ = ["Bodies"]


class Bodies:
    """The bodies of a story as actors."""

    def __init__(self, layers: Layers, story: Story) -> None:
        self._layers = layers
        self._story = story
        self._rising: list[tuple[Any, Array, Array]] = []
        self._matrices = {body: self._add(body) for body in sorted({solid.body for solid in story.solids})}

    def pose(self, index: int) -> None:
        """Put each body where it is at one sample, and what a load raises as high as it is then."""
        for body, matrix in self._matrices.items():
            matrix.DeepCopy(self._story.matrices[index, body].ravel())
        if self._story.rise is not None:
            for mesh, points, shift in self._rising:
                mesh.points = points + float(self._story.rise[index]) * shift

    def _add(self, body: int) -> Any:
        """Make an actor a colour, with crisp edges, and one for all dark edge lines; return the matrix of them all."""
        import pyvista as pv
        from vtkmodules.vtkCommonMath import vtkMatrix4x4

        actors, lines = [], []
        solids = [solid for solid in self._story.solids if solid.body == body]
        for colour in sorted({solid.colour for solid in solids}):
            mesh = pv.merge([poly(pv, solid) for solid in solids if solid.colour == colour], merge_points=False)
            surface = mesh.extract_surface(algorithm="dataset_surface") if not isinstance(mesh, pv.PolyData) else mesh
            smooth = surface.compute_normals(split_vertices=True, feature_angle=32, cell_normals=False)
            actors.append(self._layers.add(smooth, _bytes(colour), smooth_shading=True))
            self._note_rising(smooth)
            edges = surface.extract_feature_edges(
                feature_angle=34, boundary_edges=False, manifold_edges=False, non_manifold_edges=False
            )
            if edges.n_cells:
                lines.append(edges)
        if lines:
            edges = pv.merge(lines, merge_points=False)
            actors.append(self._layers.add(edges, palette.INK, line_width=1.0, opacity=0.55, lighting=False))
            self._note_rising(edges)
        matrix = vtkMatrix4x4()
        for actor in actors:
            actor.SetUserMatrix(matrix)
        return matrix

    def _note_rising(self, mesh: pv.PolyData) -> None:
        shift = np.array(mesh["rise"], dtype=float)
        if shift.any():
            self._rising.append((mesh, np.array(mesh.points, dtype=float), shift))


def _bytes(colour: tuple[float, float, float]) -> palette.Colour:
    return round(colour[0] * 255), round(colour[1] * 255), round(colour[2] * 255)
