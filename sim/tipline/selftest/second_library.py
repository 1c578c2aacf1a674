"""Results of other libraries beside ours, as our tests found them: recorded, not computed by the self-test.

The libraries are needed for tests only. Each record names the test that computes both numbers and holds them to it.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["RECORDED", "Recorded", "recorded"]


@dataclass(frozen=True)
class Recorded:
    """One quantity by this program and by another library, in its unit, on a day.

    `name` keys it; `test` is the file and the test that compute both.
    """

    name: str
    what: str
    ours: float
    other: float
    unit: str
    library: str
    version: str
    date: str
    test: str

    @property
    def pair(self) -> tuple[float, float]:
        """Ours and the other library's."""
        return self.ours, self.other

    @property
    def difference(self) -> float:
        """Ours less the other library's."""
        return self.ours - self.other


_DAY, _MUJOCO_DAY = "2026-11-25", "2026-11-29"
_Row = tuple[str, str, float, float, str]


def _by(
    library: str, version: str, file: str, test: str, rows: tuple[_Row, ...], day: str = _DAY
) -> tuple[Recorded, ...]:
    """Give the records of one test: name, quantity, ours, the other library's, unit."""
    return tuple(Recorded(*row, library, version, day, f"{file}::{test}") for row in rows)


RECORDED: tuple[Recorded, ...] = (
    *_by("MuJoCo", "4.0.0", "tests/engines/test_mujoco.py", "test_mujoco_with_the_same_kernels_gives_the_same_run", (
        ("MuJoCo, rest: largest roll", "At rest, our laws: largest roll", 0.01014735011, 0.01014735011, "deg"),
        ("MuJoCo, rest: peak", "At rest, our laws: largest tyre load", 62.11511467, 62.11511467, "kN"),
        (
            "MuJoCo, front-left 60 mm, load low: largest roll",
            "Hole of 60 mm under front-left, load low, our laws: largest roll",
            3.325558097, 3.325558097, "deg",
        ),
        (
            "MuJoCo, front-left 60 mm, load low: peak",
            "Hole of 60 mm under front-left, load low, our laws: largest tyre load",
            203.755677, 203.755677, "kN",
        ),
        (
            "MuJoCo, front-left 60 mm, load high: largest roll", "Same hole, load high, our laws: largest roll",
            4.462415597, 4.462415597, "deg",
        ),
        (
            "MuJoCo, front-left 60 mm, load high: peak", "Same hole, load high, our laws: largest tyre load",
            165.0740194, 165.0740194, "kN",
        ),
        (
            "MuJoCo, front-left 200 mm, tips: largest roll",
            "Hole of 200 mm under front-left, tips, our laws: roll after 3.7 s",
            68.24937948, 68.24937948, "deg",
        ),
        (
            "MuJoCo, front-left 200 mm, tips: peak",
            "Hole of 200 mm under front-left, tips, our laws: largest tyre load",
            158.1909844, 158.1909844, "kN",
        ),
        (
            "MuJoCo, service stop: largest roll", "Service stop, our laws: largest roll",
            0.001669516584, 0.001669516584, "deg",
        ),
        ("MuJoCo, service stop: peak", "Service stop, our laws: largest tyre load", 73.58698792, 73.58698792, "kN"),
        (
            "MuJoCo, rear-left 80 mm: largest roll", "Hole of 80 mm under rear-left, our laws: largest roll",
            0.0209315185, 0.0209315185, "deg",
        ),
        (
            "MuJoCo, rear-left 80 mm: peak", "Hole of 80 mm under rear-left, our laws: largest tyre load",
            83.22922826, 83.22922826, "kN",
        ),
        (
            "MuJoCo, load free on forks: largest roll",
            "Hole of 60 mm, load free on forks, our laws: largest roll",
            3.15747487, 3.15747487, "deg",
        ),
        (
            "MuJoCo, load free on forks: peak", "Hole of 60 mm, load free on forks, our laws: largest tyre load",
            203.8742452, 203.8742452, "kN",
        ),
        (
            "MuJoCo, counterweight moves: largest roll", "Counterweight moves, our laws: largest roll",
            0.01017649822, 0.01017649822, "deg",
        ),
        (
            "MuJoCo, counterweight moves: peak", "Counterweight moves, our laws: largest tyre load",
            64.0867368, 64.0867368, "kN",
        ),
        (
            "MuJoCo, fixed axle, twins: largest roll",
            "Fixed axle, twin tyres, hole under rear-left, our laws: largest roll",
            0.2618987465, 0.2618987465, "deg",
        ),
        (
            "MuJoCo, fixed axle, twins: peak",
            "Fixed axle, twin tyres, hole under rear-left, our laws: largest tyre load",
            110.7373672, 110.7373672, "kN",
        ),
    ), _MUJOCO_DAY),
    *_by(
        "MuJoCo", "4.0.0", "tests/engines/test_mujoco.py",
        "test_mujoco_with_its_own_rope_and_mast_gives_the_same_run", (
        (
            "MuJoCo, front-left 60 mm, own springs: largest roll",
            "Hole of 60 mm under front-left, its own rope and mast: largest roll",
            4.34399684, 4.343996839, "deg",
        ),
        (
            "MuJoCo, front-left 60 mm, own springs: peak",
            "Hole of 60 mm under front-left, its own rope and mast: largest tyre load",
            182.1063986, 182.1063986, "kN",
        ),
        (
            "MuJoCo, both front 60 mm, rope goes slack, own springs: largest roll",
            "Both front drop 60 mm, rope slack, its own rope and mast: largest roll",
            0.0, 0.0, "deg",
        ),
        (
            "MuJoCo, both front 60 mm, rope goes slack, own springs: peak",
            "Both front drop 60 mm, rope slack, its own rope and mast: largest tyre load",
            148.7736425, 148.7736425, "kN",
        ),
        (
            "MuJoCo, load swings, own springs: largest roll", "Load swings, its own rope and mast: largest roll",
            0.623383854, 0.6233838541, "deg",
        ),
        (
            "MuJoCo, load swings, own springs: peak", "Load swings, its own rope and mast: largest tyre load",
            119.2035617, 119.2035617, "kN",
        ),
    ), _MUJOCO_DAY),
    *_by("MuJoCo", "4.0.0", "tests/engines/test_mujoco.py", "test_both_engines_tip_at_the_same_depth", (
        (
            "mujoco-tip-depth", "Depth of a hole under front-left that tips, our laws, to 0.5 mm",
            100.0585938, 100.0585938, "mm",
        ),
    )),
    *_by("MuJoCo", "4.0.0", "tests/engines/test_export.py", "test_tyre_loads_at_rest_are_those_of_statics", (
        (
            "mujoco-contact-hung-drive",
            "Drive-axle load at rest, load hung low, exported truck, its own contacts",
            105.0678796, 104.7519095, "kN",
        ),
        (
            "mujoco-contact-hung-steer",
            "Steer-axle load at rest, load hung low, exported truck, its own contacts",
            41.24733836, 41.56357084, "kN",
        ),
        (
            "mujoco-contact-forks-drive",
            "Drive-axle load at rest, load on forks, exported truck, its own contacts",
            136.2560134, 135.5113028, "kN",
        ),
        (
            "mujoco-contact-forks-steer",
            "Steer-axle load at rest, load on forks, exported truck, its own contacts",
            42.22501667, 42.9697272, "kN",
        ),
    )),
    *_by(
        "SciPy", "1.17.1", "tests/engines/test_routes.py",
        "test_both_front_tyres_drop_as_an_independent_planar_model_says", (
        ("planar-pitch-at-rest", "Pitch at rest of a truck told anew in its plane", 0.1991906123, 0.1991906125, "deg"),
        (
            "planar-pitch-largest", "Largest pitch after both front tyres drop 60 mm, planar truck integrated",
            4.110249087, 4.110703806, "deg",
        ),
    )),
    *_by(
        "SciPy", "1.17.1", "tests/mechanics/test_dynamics.py",
        "test_the_largest_swing_is_that_of_the_integrated_pendulum", (
        ("swing-0.5", "Largest swing of a 2 m pendulum under 0.5 m/s2, integrated", 5.837488745, 5.837482212, "deg"),
        ("swing-2.0", "Largest swing of a 2 m pendulum under 2 m/s2, integrated", 23.05401664, 23.0539971, "deg"),
        ("swing-5.0", "Largest swing of a 2 m pendulum under 5 m/s2, integrated", 54.03025886, 54.03020645, "deg"),
    )),
    *_by(
        "SciPy", "1.17.1", "tests/mechanics/test_dynamics.py",
        "test_the_rocking_period_is_that_of_the_integrated_block", (
        ("rocking-period", "Rocking period of a 1 m by 4 m block, integrated", 2.788933411, 2.788933411, "s"),
    )),
    *_by("SciPy", "1.17.1", "tests/kernels/test_joints.py", "test_soil_follows_its_over_stress_law", (
        ("soil-depth-0.5", "Sinking of yielding ground after 0.5 s, integrated", 8.198043756, 8.199024586, "mm"),
        ("soil-depth-5.0", "Sinking of yielding ground after 5 s, integrated", 57.09055747, 57.09367435, "mm"),
        ("soil-depth-20.0", "Sinking of yielding ground after 20 s, integrated", 133.7061708, 133.7089636, "mm"),
    )),
    *_by("SciPy", "1.17.1", "tests/mechanics/test_slab.py", "test_the_disc_is_in_closed_form_at_its_middle", (
        ("disc-deflection", "Deflection of a slab under a disc, by Kelvin functions", 0.3613414068, 0.3613414068, "mm"),
    )),
    *_by(
        "PyNiteFEA", "3.2.0", "tests/mechanics/test_plate_fe.py",
        "test_against_a_second_finite_element_library", (
        (
            "plate-deflection", "Deflection of a slab of 4.86 m by 4.86 m on springs under a tyre",
            0.3999374952, 0.3976979672, "mm",
        ),
    )),
    *_by("geofound", "1.1.4", "tests/mechanics/test_soil.py", "test_capacities_are_those_of_a_second_library", (
        (
            "meyerhof-31", "Bearing capacity by Meyerhof, 31 deg, 0 kPa, 3 m by 4.16 m, 0.5 m down",
            866.4496733, 866.4496733, "kPa",
        ),
        (
            "hansen-31", "Bearing capacity by Hansen, 31 deg, 0 kPa, 3 m by 4.16 m, 0.5 m down",
            606.5473929, 606.5473929, "kPa",
        ),
        (
            "vesic-31", "Bearing capacity by Vesic, 31 deg, 0 kPa, 3 m by 4.16 m, 0.5 m down",
            778.0579412, 778.0579412, "kPa",
        ),
        (
            "meyerhof-25", "Bearing capacity by Meyerhof, 25 deg, 10 kPa, 0.3 m by 0.5 m, 0 m down",
            289.4369518, 289.4369518, "kPa",
        ),
        (
            "hansen-25", "Bearing capacity by Hansen, 25 deg, 10 kPa, 0.3 m by 0.5 m, 0 m down",
            285.0461909, 285.0461909, "kPa",
        ),
        (
            "vesic-25", "Bearing capacity by Vesic, 25 deg, 10 kPa, 0.3 m by 0.5 m, 0 m down",
            293.496319, 293.496319, "kPa",
        ),
        (
            "meyerhof-0", "Bearing capacity by Meyerhof, 0 deg, 50 kPa, 0.5 m by 0.5 m, 0.3 m down",
            350.9150263, 350.808, "kPa",
        ),
        (
            "hansen-0", "Bearing capacity by Hansen, 0 deg, 50 kPa, 0.5 m by 0.5 m, 0.3 m down",
            375.5946711, 375.48, "kPa",
        ),
        ("vesic-0", "Bearing capacity by Vesic, 0 deg, 50 kPa, 0.5 m by 0.5 m, 0.3 m down", 386.1787445, 386.08, "kPa"),
        (
            "meyerhof-38", "Bearing capacity by Meyerhof, 38 deg, 5 kPa, 0.35 m by 0.35 m, 0.2 m down",
            1296.771056, 1296.771056, "kPa",
        ),
        (
            "hansen-38", "Bearing capacity by Hansen, 38 deg, 5 kPa, 0.35 m by 0.35 m, 0.2 m down",
            1105.788411, 1105.788411, "kPa",
        ),
        (
            "vesic-38", "Bearing capacity by Vesic, 38 deg, 5 kPa, 0.35 m by 0.35 m, 0.2 m down",
            1180.109288, 1180.109288, "kPa",
        ),
    )),
    *_by(
        "geofound", "1.1.4", "tests/mechanics/test_soil.py",
        "test_square_footings_by_terzaghi_are_those_of_a_second_library", (
        (
            "terzaghi-30", "Bearing capacity by Terzaghi, 30 deg, 5 kPa, 0.4 m square, 0.2 m deep",
            380.330512, 380.330512, "kPa",
        ),
    )),
    *_by("SciPy", "1.17.1", "tests/sweeps/test_assessment.py", "test_the_interval_is_that_of_scipy", (
        ("wilson-low", "41 of 50 runs, 95 % interval of the share: low end", 69.20394621, 69.20394633, "%"),
        ("wilson-high", "41 of 50 runs, 95 % interval of the share: high end", 90.22980738, 90.22980733, "%"),
    )),
)  # fmt: skip


def recorded(name: str) -> Recorded:
    """Give the record of a name; raise KeyError if there is none."""
    return {row.name: row for row in RECORDED}[name]
