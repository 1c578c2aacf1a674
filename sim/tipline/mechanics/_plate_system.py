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
_RANK = 1e-9
_LEAST_SHARE = 1e-6
"""Least share of the load that every group of springs must be able to bear evenly; far above rounding."""
_BALANCE = 1e-5
"""Greatest share of the load that may be out of balance; 6e-7 was met a few mm inside of tipping."""
_LONGEST = 1e3
_HALVINGS = 40


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

    def rigid(self, size: int) -> FloatArray:
        """Unknowns (size, 3) of a lift and of a turn about each middle line of the sheet, 1 at the edge."""
        middle = np.array([np.mean(self.grid.x[[0, -1]]), np.mean(self.grid.y[[0, -1]])])
        half = 0.5 * np.array([np.ptp(self.grid.x), np.ptp(self.grid.y)])
        motion = np.zeros((size, 3))
        nodes = self.start + self.basis.nodal_dofs[0]
        motion[nodes, 0] = 1.0
        motion[nodes, 1:] = (self.points - middle) / half
        for i in (3, 4, 5):  # slope across a side: this function's own gradient is the unit normal there
            place = self.basis.elem.doflocs[i][:, None]
            normal = np.asarray(self.basis.elem.gbasis(self.basis.mapping, place, i)[0].grad)[:, :, 0]
            motion[self.start + self.basis.element_dofs[i], 1:] = normal.T / half
        return motion

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
    """Solve plates on springs that close where pressed and open where they would pull, by descent of the energy.

    Before it: a motion of the plates as rigid bodies that presses no spring must lift the load, else nothing balances
    it. After it: spring forces and load must balance on each plate. Neither hangs on how a singular matrix is rounded.
    """
    from scipy.sparse import block_diag

    rigid = np.hstack([sheet.rigid(len(load)) for sheet in sheets])
    _check_held(rigid, springs, load)
    bending = block_diag([sheet.bending() for sheet in sheets], format="csr")
    u = np.zeros_like(load)
    closed = _closed(springs, u)
    for passes in range(1, _MOST_PASSES + 1):
        full = _solve(bending, springs, closed, load)
        wanted = _closed(springs, full)
        if all(np.array_equal(a, b) for a, b in zip(wanted, closed, strict=True)):
            pressed = [part.stiffness * on * (part.rows @ full) for part, on in zip(springs, closed, strict=True)]
            _check_balance(rigid, springs, pressed, load)
            return Solved(full, tuple(float(force.sum()) for force in pressed), tuple(closed), passes)
        u = u + _lowest(bending, springs, load, u, full - u) * (full - u)
        closed = _closed(springs, u)
    msg = f"contact of the plate did not settle in {_MOST_PASSES} passes"
    raise _unsettled(msg)


def _closed(springs: Sequence[Springs], u: FloatArray) -> list[npt.NDArray[np.bool_]]:
    slack = _NEAR * float(np.abs(u).max())
    return [part.rows @ u >= -slack if part.one_sided else np.ones(len(part.stiffness), dtype=bool) for part in springs]


def _check_held(rigid: FloatArray, springs: Sequence[Springs], load: FloatArray) -> None:
    """Refuse a load that falls as the plates move as rigid bodies and press no spring.

    A linear program in at most nine unknowns: of the motions that open the one-sided springs by 1 on the mean, the one
    that lifts the load least. Its work is the force that every group of springs could bear evenly, at the least.
    """
    from scipy.linalg import null_space
    from scipy.optimize import linprog

    two_sided = [part.rows[part.stiffness > 0.0] @ rigid for part in springs if not part.one_sided]
    held = np.vstack([np.zeros((1, rigid.shape[1])), *two_sided])
    free = null_space(np.linalg.qr(held, mode="r"), rcond=_RANK)
    if free.shape[1] == 0:
        return
    one_sided = [part for part in springs if part.one_sided]
    lift = [-(part.rows @ rigid @ free) for part in one_sided]
    rows = np.vstack([np.zeros((1, free.shape[1])), *lift])
    if np.linalg.matrix_rank(rows, rtol=_RANK) < free.shape[1]:
        raise _unheld()
    mean = sum(part.stiffness @ up / part.stiffness.sum() for part, up in zip(one_sided, lift, strict=True))
    work = -(load @ rigid @ free) / np.abs(load @ rigid).max()
    least = linprog(work, A_ub=-rows, b_ub=np.zeros(len(rows)), A_eq=mean[None], b_eq=[1.0], bounds=(None, None))
    if least.fun is None or not least.success or least.fun <= _LEAST_SHARE:
        raise _unheld()


def _check_balance(
    rigid: FloatArray, springs: Sequence[Springs], pressed: Sequence[FloatArray], load: FloatArray
) -> None:
    """Refuse a solution whose spring forces do not balance the load on each plate, in force and in moment."""
    carried = sum(part.rows.T @ force for part, force in zip(springs, pressed, strict=True))
    left = np.abs(rigid.T @ (load - carried)).max()
    if not left <= _BALANCE * np.abs(rigid.T @ load).max():
        msg = "contact forces of the plate do not balance its load"
        raise _unsettled(msg)


def _lowest(bending: Sparse, springs: Sequence[Springs], load: FloatArray, u: FloatArray, step: FloatArray) -> float:
    """Share of a step at which the energy is lowest: its slope grows along the step, so it is halved down to 0."""
    start, grows = float(step @ (bending @ u - load)), float(step @ (bending @ step))
    parts = [(part, part.rows @ u, part.rows @ step) for part in springs]

    def slope(share: float) -> float:
        total = start + share * grows
        for part, short, change in parts:
            now = short + share * change
            total += float((part.stiffness * change) @ (np.maximum(now, 0.0) if part.one_sided else now))
        return total

    if not slope(0.0) < 0.0:
        msg = "contact of the plate did not settle: no step lowers its energy"
        raise _unsettled(msg)
    low, high = 0.0, 1.0
    while slope(high) < 0.0 and high < _LONGEST:
        low, high = high, 2.0 * high
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if slope(middle) < 0.0 else (low, middle)
    return high


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
        msg = "contact of the plate did not settle: what is left of it does not hold the plate"
        raise _unsettled(msg)
    return u


def _unheld() -> NumericalError:
    msg = "no support balances the load: the slab, or a steel plate on it, would tip, or as near as the mesh tells"
    return NumericalError(msg, quantity="contact", remedy="Give it weight, or a smaller cavity")


def _unsettled(msg: str) -> NumericalError:
    return NumericalError(msg, quantity="contact", remedy="Use a finer mesh, or full contact to see where it opens")
