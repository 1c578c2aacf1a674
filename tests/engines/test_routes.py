"""Other routes to the same numbers: the fold of equilibrium, an independent planar model, bounds on the tip depth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad, solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import fsolve

from tipline.engines.prepare import Prepared
from tipline.kernels import equilibrium as rest
from tipline.kernels import layout as at
from tipline.kernels.compiled import compiled
from tipline.kernels.wheels import SETTLES
from tipline.results import Run
from tipline.selftest import recorded
from trucks import FORKS, HUNG, G, both_front, play, run, series, start

Array = NDArray[np.float64]
GRIP = {
    "floor.friction.solid": "1.5",
    "machine.drive.parking_brake_force": "400 kN",
    "machine.mast.roller_play": "0 deg",
}


def fold(prepared: Prepared, azimuth: float) -> float:
    """Slope [rad] towards an azimuth [rad] at which no pose at rest is left, followed from the level."""
    plant = prepared.build.plant
    q, slope, step = prepared.q.copy(), 0.0, np.radians(0.5)
    while step > 1e-6:
        trial, angle = q.copy(), slope + step
        pull = G * np.array([np.sin(angle) * np.cos(azimuth), np.sin(angle) * np.sin(azimuth), -np.cos(angle)])
        status, *_ = compiled("solve")(
            trial, plant, pull, np.zeros((6, 6)), prepared.build.home, np.zeros(len(plant.place)), np.zeros(3),
            np.zeros((6, 3)), np.zeros((6, 3, 3)), np.zeros((len(plant.tyre), 14)), np.zeros((rest.N_Q, rest.N_Q)),
            False, *rest.USUAL,
        )  # fmt: skip
        if status == rest.STANDS:
            q, slope = trial, angle
        else:
            step *= 0.5
    return slope


def turning(begin: float, slope: float, azimuth: int, over: float) -> str:
    return (
        f'[[event]]\nkind = "floor_turns"\nat = "{begin} s"\nslope = "{slope:.5f} deg"\n'
        f'towards = "{azimuth} deg"\nover = "{over} s"\n'
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "azimuth"),
    [
        (HUNG, 90),
        pytest.param(HUNG, 45, marks=pytest.mark.slow),
        pytest.param(HUNG, 0, marks=pytest.mark.slow),
        pytest.param(HUNG, 120, marks=pytest.mark.slow),
        pytest.param(FORKS, 90, marks=pytest.mark.slow),
        pytest.param(FORKS, 45, marks=pytest.mark.slow),
        pytest.param(FORKS, 0, marks=pytest.mark.slow),
        pytest.param(FORKS, 120, marks=pytest.mark.slow),
    ],
    ids=lambda value: ("hung" if "jib" in value else "forks") if isinstance(value, str) else f"{value} deg",
)
def test_truck_tips_at_the_slope_where_equilibrium_ends(text: str, azimuth: int) -> None:
    """Turned slowly to 0.05 deg short of the fold and held 14 s: not over. 0.05 deg beyond it: over."""
    changes = dict(GRIP) if text == HUNG else {**GRIP, "setup.fork_height": "4 m"}
    limit = float(np.degrees(fold(start(text, changes), np.radians(azimuth))))
    events = turning(0.1, limit - 0.05, azimuth, 8.0) + turning(22.0, limit + 0.05, azimuth, 1.0)
    changes |= {"setup.slope": f"{limit - 1.0:.5f} deg", "setup.slope_towards": f"{azimuth} deg"}
    result = run(text + events, changes, run__duration="45 s", run__extend_to="45 s")
    lean = np.degrees(np.hypot(series(result, "roll"), series(result, "pitch")))
    over = int(np.argmax(lean > 30.0))
    print(f"\nfold {limit:.3f} deg, lean before {lean[result.at(22.0)]:.2f} deg, over at {result.time[over]:.1f} s")
    assert lean[: result.at(22.0)].max() < 8.0
    assert over > result.at(22.0)


@dataclass(frozen=True)
class Bed:
    """A tyre told anew: local pressure over the chord, summed by quadrature, as a curve over the compression."""

    radius: float
    line: float
    hardening: float
    rim: float
    rim_line: float
    damping: float
    gives: float

    def at_rest(self, compression: float) -> float:
        """Force [N] by adaptive quadrature."""
        if compression <= 0.0:
            return 0.0
        half = np.sqrt(2.0 * self.radius * compression - compression**2)
        inner = max(0.0, compression - self.rim)
        kink = np.sqrt(2.0 * self.radius * inner - inner**2) if inner > 0.0 else 0.0

        def pressure(s: float) -> float:
            d = np.sqrt(self.radius**2 - s * s) - self.radius + compression
            return float(self.line * (d + self.hardening * d**3) + self.rim_line * max(0.0, d - self.rim))

        return 2.0 * float(quad(pressure, 0.0, half, points=[kink] if kink > 0.0 else None, epsrel=1e-9)[0])

    @cached_property
    def curve(self) -> Callable[[float], float]:
        """F^(2/3), nearly straight, on 200 places up to 0.12 m."""
        places = np.linspace(0.0, 0.12, 200)
        return CubicSpline(places, [self.at_rest(d) ** (2.0 / 3.0) for d in places])

    def elastic(self, compression: float) -> float:
        return float(self.curve(compression)) ** 1.5 if compression > 0.0 else 0.0

    def force(self, compression: float, rate: float, settled: float) -> float:
        """Force [N] with what rubber loses; settled [N]: the load that it has settled to."""
        elastic = self.elastic(compression)
        if elastic <= 0.0:
            return 0.0
        return max(0.0, elastic * (1.0 + self.damping * rate) + self.gives * (elastic - settled))


class Planar:
    """Truck in its plane, no friction: body, mast on a sprung joint, carriage with load on a chain that only pulls.

    Unknowns: place of the drive-axle hub line over the floor (x, z), pitch (front down), mast forward, lift.
    """

    def __init__(self, prepared: Prepared) -> None:
        made = prepared.build
        plant, centre = made.plant, made.centre
        body, axle = at.CHASSIS, at.AXLE
        self.mass = np.array([plant.mass[body], plant.mass[axle], plant.mass[at.MAST], plant.mass[at.CARRIAGE]])
        self.turn = np.array([plant.inertia[b, 1, 1] for b in (body, axle, at.MAST, at.CARRIAGE)])
        self.centre = np.array([centre[b][[0, 2]] for b in (body, axle, at.MAST, at.CARRIAGE)])
        self.joint = centre[body][[0, 2]] + plant.mast[[at.M_CX, at.M_CZ]]
        self.hubs = np.array([centre[int(t[at.T_BODY])][[0, 2]] + t[[at.T_X, at.T_Z]] for t in plant.tyre])
        self.beds = [
            Bed(t[at.T_R], t[at.T_K], t[at.T_HARD], t[at.T_RIM], t[at.T_K_RIM], t[at.T_CHI], t[at.T_GIVES])
            for t in plant.tyre
        ]
        self.springs = plant.mast[at.M_KY], plant.mast[at.M_DY], plant.link[at.L_CH_K], plant.link[at.L_CH_C]
        self.floor = np.zeros(len(self.hubs))

    def places(self, q: Array) -> tuple[Array, Array]:
        """Centres (4, 2) and their derivatives by q (4, 2, 5)."""
        base, (pitch, mast, lift) = q[:2], q[2:]
        rows, slopes = np.zeros((4, 2)), np.zeros((4, 2, 5))

        def turned(point: Array, angle: float) -> tuple[Array, Array]:
            c, s = np.cos(angle), np.sin(angle)
            return np.array([c * point[0] + s * point[1], c * point[1] - s * point[0]]), np.array(
                [c * point[1] - s * point[0], -c * point[0] - s * point[1]]
            )

        foot, foot_slope = turned(self.joint, pitch)
        for i in range(4):
            slopes[i, 0, 0] = slopes[i, 1, 1] = 1.0
            if i < 2:
                arm, by_pitch = turned(self.centre[i], pitch)
                rows[i], slopes[i, :, 2] = base + arm, by_pitch
                continue
            arm, by_angle = turned(self.centre[i] - self.joint + (0.0, lift * (i == 3)), pitch + mast)
            rows[i] = base + foot + arm
            slopes[i, :, 2], slopes[i, :, 3] = foot_slope + by_angle, by_angle
            if i == 3:
                slopes[i, :, 4] = np.sin(pitch + mast), np.cos(pitch + mast)
        return rows, slopes

    def elastic(self, q: Array) -> Array:
        """Loads (n,) that the tyres bear by their compression alone."""
        c, s = np.cos(q[2]), np.sin(q[2])
        heights = q[1] + c * self.hubs[:, 1] - s * self.hubs[:, 0] - self.floor
        return np.array([bed.elastic(bed.radius - height) for bed, height in zip(self.beds, heights, strict=True)])

    def forces(self, q: Array, v: Array, settled: Array) -> Array:
        """Generalised forces (5,) of gravity, tyres, mast and chain."""
        _, slopes = self.places(q)
        out = -G * np.einsum("i,ik->k", self.mass, slopes[:, 1])
        c, s = np.cos(q[2]), np.sin(q[2])
        for hub, bed, level, load in zip(self.hubs, self.beds, self.floor, settled, strict=True):
            height = q[1] + c * hub[1] - s * hub[0]
            by_pitch = -s * hub[1] - c * hub[0]
            force = bed.force(bed.radius - (height - level), -(v[1] + by_pitch * v[2]), load)
            out[1] += force
            out[2] += force * by_pitch
        k, d, chain, chain_damping = self.springs
        out[3] -= k * q[3] + d * v[3]
        out[4] += max(0.0, -chain * q[4] - chain_damping * v[4]) if q[4] < 0.0 else 0.0
        return np.asarray(out)

    def rate(self, _: float, state: Array) -> Array:
        q, v, settled = state[:5], state[5:10], state[10:]
        _, slopes = self.places(q)
        spin = np.array([[0, 0, 1.0, 0, 0]] * 2 + [[0, 0, 1.0, 1.0, 0]] * 2)
        inertia = np.einsum("i,iak,ial->kl", self.mass, slopes, slopes) + np.einsum(
            "i,ik,il->kl", self.turn, spin, spin
        )
        e = 1e-6
        later, before = self.places(q + e * v)[1], self.places(q - e * v)[1]
        drift = np.einsum("iak,k->ia", (later - before) / (2.0 * e), v)
        bias = np.einsum("i,iak,ia->k", self.mass, slopes, drift)
        settles = (self.elastic(q) - settled) / SETTLES
        return np.concatenate([v, np.linalg.solve(inertia, self.forces(q, v, settled) - bias), settles])

    def at_rest(self) -> Array:
        start_at = np.array([0.0, -0.01, 0.003, 0.01, -0.004])

        def left_over(free: Array) -> Array:
            q = np.concatenate([[0.0], free])
            return self.forces(q, np.zeros(5), self.elastic(q))[1:] / 1e5

        return np.concatenate([[0.0], fsolve(left_over, start_at[1:], xtol=1e-12)])


DEPTH, BEGIN, END = 0.06, 0.5, 2.5


def planar_run(prepared: Prepared, times: Array) -> tuple[float, Array]:
    """Pitch at rest and after both front tyres lost their floor, by another integrator."""
    model = Planar(prepared)
    still = model.at_rest()
    begin = np.concatenate([still, np.zeros(5), model.elastic(still)])
    model.floor[: len(prepared.case.machine.drive_axle.tyre)] = -DEPTH
    found = solve_ivp(
        model.rate, (BEGIN, END), begin, "LSODA", t_eval=times, rtol=1e-8, atol=1e-10, max_step=2e-3,
    )  # fmt: skip
    return float(still[2]), np.asarray(found.y[2])


def slippery(prepared: Prepared) -> Prepared:
    """Take nearly all friction out of the tyres; a file of a floor may not."""
    tyre = prepared.build.plant.tyre.copy()
    tyre[:, at.T_MU] = 0.001
    plant = prepared.build.plant._replace(tyre=tyre)
    return replace(prepared, build=replace(prepared.build, plant=plant))


@pytest.mark.slow
def test_both_front_tyres_drop_as_an_independent_planar_model_says() -> None:
    """Largest pitch within 0.05 deg, the whole course within 0.1 deg, pitch at rest within 1e-4 deg.

    The planar truck knows no friction; of 0.01, the least that a file may give, the course would be off by 0.4 deg.
    """
    changes = {"machine.mast.roller_play": "0 deg"}
    text = FORKS + both_front(f"{1e3 * DEPTH} mm", f"{BEGIN} s")
    prepared = slippery(start(text, changes))
    result: Run = play(prepared, END)
    first, last = result.at(BEGIN), result.at(END)
    still, pitch = planar_run(start(text, changes), result.time[first:last])
    ours = series(result, "pitch")
    worst = float(np.degrees(np.abs(ours[first:last] - pitch).max()))
    most = np.degrees([ours[first:last].max(), pitch.max()])
    print(f"\nlargest pitch {most[0]:.4f} deg, planar model {most[1]:.4f} deg, course within {worst:.4f} deg")
    assert np.degrees(ours[0]) == pytest.approx(np.degrees(still), abs=1e-4)
    assert most[0] > 3.0
    assert recorded("planar-pitch-largest").pair == pytest.approx(most, rel=1e-3)
    assert recorded("planar-pitch-at-rest").pair == pytest.approx(np.degrees([ours[0], still]), rel=1e-3)
    assert most[0] == pytest.approx(most[1], abs=0.05)
    assert worst < 0.1
