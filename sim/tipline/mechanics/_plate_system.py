"""Morley plates and springs: matrices, one-sided contact by active set, moments fitted from the elements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from tipline.errors import NumericalError
from tipline.mechanics._plate_mesh import Grid
from tipline.mechanics._ranges import FloatArray

if TYPE_CHECKING:
    from scipy.sparse import csr_array, csr_matrix

    Sparse = csr_array[Any, Any] | csr_matrix[Any]

_MOST_PASSES = 60
_WINDOW = 4
_NEAR = 1e-12


@dataclass(frozen=True)
class Sheet:
    """One plate of the system; its unknowns start at `start`."""

    grid: Grid
    basis: Any
    stiffness: float
    poisson: float
    thickness: float
    start: int

    @classmethod
    def of(cls, grid: Grid, modulus: float, poisson: float, thickness: float, start: int = 0) -> Sheet:
        """Mesh a plate with Morley triangles."""
        from skfem import Basis, ElementTriMorley, MeshTri

        D = modulus * thickness**3 / (12.0 * (1.0 - poisson**2))
        basis = Basis(MeshTri(*grid.triangles()), ElementTriMorley(), intorder=4)
        return cls(grid, basis, D, poisson, thickness, start)

    @property
    def end(self) -> int:
        """Where the unknowns of the next sheet start."""
        return self.start + int(self.basis.N)

    @property
    def area(self) -> float:
        """Area [m2]."""
        return float(np.ptp(self.grid.x) * np.ptp(self.grid.y))

    @property
    def points(self) -> FloatArray:
        """Mesh points (n, 2)."""
        return np.asarray(self.basis.mesh.p.T)

    def bending(self) -> Sparse:
        """Bending stiffness: D ((1 - nu) w,ij v,ij + nu w,ii v,jj)."""
        from skfem import BilinearForm
        from skfem.helpers import dd, ddot, trace

        D, nu = self.stiffness, self.poisson

        def form(u: Any, v: Any, _: Any) -> Any:
            return D * ((1.0 - nu) * ddot(dd(u), dd(v)) + nu * trace(dd(u)) * trace(dd(v)))

        matrix: Sparse = BilinearForm(form).assemble(self.basis)
        return matrix

    def quadrature(self) -> tuple[FloatArray, FloatArray]:
        """Points (m, 2) and areas (m,) of all quadrature points, triangle by triangle."""
        x = np.asarray(self.basis.global_coordinates())
        return np.column_stack((x[0].ravel(), x[1].ravel())), np.asarray(self.basis.dx).ravel()

    def quadrature_rows(self, size: int) -> Sparse:
        """Deflection at the quadrature points from the unknowns: (m, size)."""
        value = np.array([np.asarray(self.basis.basis[i][0]) for i in range(self.basis.Nbfun)])
        cells = np.repeat(np.arange(value.shape[1]), value.shape[2])
        return self._sparse(value.reshape(len(value), -1), cells, size)

    def rows(self, point: FloatArray, size: int) -> Sparse:
        """Deflection at points (m, 2) from the unknowns: (m, size)."""
        cells = self.grid.find(point)
        local = self.basis.mapping.invF(point.T[:, :, None], tind=cells)
        value = np.array(
            [
                np.asarray(self.basis.elem.gbasis(self.basis.mapping, local, i, tind=cells)[0])[:, 0]
                for i in range(self.basis.Nbfun)
            ]
        )
        return self._sparse(value, cells, size)

    def _sparse(self, value: FloatArray, cells: npt.NDArray[np.intp], size: int) -> Sparse:
        from scipy.sparse import coo_matrix

        column = self.start + self.basis.element_dofs[:, cells]
        row = np.broadcast_to(np.arange(len(cells)), column.shape)
        shape = (len(cells), size)
        return coo_matrix((value.ravel(), (row.ravel(), column.ravel())), shape=shape).tocsr()

    def even_load(self, pressure: float, size: int) -> FloatArray:
        """Nodal forces of an even pressure."""
        if pressure == 0.0:
            return np.zeros(size)
        _, weight = self.quadrature()
        return np.asarray(self.quadrature_rows(size).T @ (pressure * weight))

    def deflection(self, u: FloatArray, point: FloatArray) -> FloatArray:
        """Deflection at points (n, 2)."""
        return np.asarray(self.rows(point, len(u)) @ u)

    def moments(self, u: FloatArray, point: FloatArray) -> FloatArray:
        """Moments (n, 3) at points (n, 2): a quadratic fitted to the elements around each point."""
        around = self.grid.window(point, _WINDOW)
        centre = self.basis.mesh.p[:, self.basis.mesh.t].mean(axis=1).T
        offset = centre[around] - point[:, None]
        scale = np.abs(offset).max(axis=1, keepdims=True)
        x, y = np.moveaxis(offset / scale, 2, 0)
        A = np.stack((np.ones_like(x), x, y, x * x, x * y, y * y), axis=2)
        normal = np.einsum("nki,nkj->nij", A, A)
        first = np.zeros((len(point), 6, 1))
        first[:, 0] = 1.0
        share = np.einsum("nki,ni->nk", A, np.linalg.solve(normal, first)[:, :, 0])
        return np.asarray(np.einsum("nk,nkc->nc", share, self._element_moments(u)[around]))

    def _element_moments(self, u: FloatArray) -> FloatArray:
        """Moments of each triangle (m, 3), positive where they pull at the bottom."""
        curve = self.basis.interpolate(u[self.start : self.end]).hess[:, :, :, 0]
        D, nu = self.stiffness, self.poisson
        xx, yy, xy = curve[0, 0], curve[1, 1], curve[0, 1]
        return -D * np.column_stack((xx + nu * yy, yy + nu * xx, (1.0 - nu) * xy))


@dataclass(frozen=True)
class Springs:
    """Springs of stiffness (m,) [N/m] on the shortenings rows @ u; one-sided ones push only."""

    rows: Sparse
    stiffness: FloatArray
    one_sided: bool = False


@dataclass(frozen=True)
class Solved:
    """Unknowns, force and closed springs of each group, passes taken."""

    u: FloatArray
    force: tuple[float, ...]
    closed: tuple[npt.NDArray[np.bool_], ...]
    passes: int

    def open_share(self, springs: Sequence[Springs]) -> float:
        """Share of the first groups' stiffness, which is area, that is open."""
        total = sum(float(part.stiffness.sum()) for part in springs)
        held = sum(float(part.stiffness[on].sum()) for part, on in zip(springs, self.closed, strict=False))
        return 1.0 - held / total


def solve_contact(sheets: Sequence[Sheet], springs: Sequence[Springs], load: FloatArray) -> Solved:
    """Solve plates on springs; open those that would pull, close those that are pressed, until none changes."""
    from scipy.sparse import block_diag

    bending = block_diag([sheet.bending() for sheet in sheets], format="csr")
    closed = [np.ones(len(part.stiffness), dtype=bool) for part in springs]
    seen: set[bytes] = set()
    for passes in range(1, _MOST_PASSES + 1):
        u = _solve(bending, springs, closed, load)
        short = [part.rows @ u for part in springs]
        slack = _NEAR * float(np.abs(u).max())
        wanted = [s > -slack if part.one_sided else on for part, s, on in zip(springs, short, closed, strict=True)]
        if all(np.array_equal(a, b) for a, b in zip(wanted, closed, strict=True)):
            force = tuple(
                float((part.stiffness * s)[on].sum()) for part, s, on in zip(springs, short, closed, strict=True)
            )
            return Solved(u, force, tuple(closed), passes)
        key = b"".join(np.packbits(on).tobytes() for on in wanted)
        if key in seen:
            break
        seen.add(key)
        closed = wanted
    msg = f"contact of the plate did not settle in {passes} passes"
    raise NumericalError(msg, quantity="contact", remedy="Use a finer mesh, or full contact to see where it opens")


def _solve(
    bending: Sparse, springs: Sequence[Springs], closed: Sequence[npt.NDArray[np.bool_]], load: FloatArray
) -> FloatArray:
    from scipy.sparse import diags
    from scipy.sparse.linalg import splu

    K = bending
    for part, on in zip(springs, closed, strict=True):
        rows = part.rows[on]
        K = K + rows.T @ (diags(part.stiffness[on]) @ rows)
    try:
        factor = splu(K.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        u = np.asarray(factor.solve(load))
    except RuntimeError:  # exactly singular
        u = np.array([np.nan])
    if not np.isfinite(u).all():
        msg = "the plate has no support that holds it"
        raise NumericalError(msg, quantity="contact", remedy="Give it weight, or a smaller cavity")
    return u
