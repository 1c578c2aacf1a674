"""An assessed run and pose made up by hand, so that pages and files can be read without simulating anything."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from tipline.pose.assessment import PoseReport
from tipline.pose.nearest import NearLimit
from tipline.runs.assessment import RunReport
from tipline.runs.at_end import AtEnd, FloorMark, Lie, TyreMark
from tipline.runs.endings import Ending, EndingChange
from tipline.runs.gone import Gone


@dataclass(frozen=True)
class FakeOutcome:
    truck: str = "over"
    lifted_load: str = "dropped"
    floor: str = "broke"
    lead: str = "over to the left"
    direction: str | None = "left"
    load_held: bool = False
    gone: Gone | None = None


@dataclass(frozen=True)
class FakeVaried:
    key: str
    label: str
    values: tuple[float | str, ...]
    dimension: str


@dataclass(frozen=True)
class FakeTable:
    row: FakeVaried = FakeVaried("event.0.depth", "hole depth", (0.08, 0.12), "length")
    column: FakeVaried = FakeVaried("setup.hook_height", "hook height", (3.0, 6.2), "length")
    outcomes: tuple[tuple[str, ...], ...] = (("down", "down"), ("tyre-lifted", "over"))
    this: tuple[int, int] | None = (1, 1)


@dataclass(frozen=True)
class FakeInput:
    what: str
    dimension: str
    here: float
    low: float
    high: float
    how: str = "told"
    clipped: str = ""


@dataclass(frozen=True)
class FakeChange(EndingChange):
    what: str = "hole depth"
    dimension: str = "length"
    here: float = 0.118
    at: float | None = 0.109
    ending: str = "tyre-off"
    low: float = 0.1
    high: float = 0.13
    comes_back: bool = False
    said: str = "ends with a tyre off the floor"
    side: str = "shallower"


@dataclass(frozen=True)
class FakeSpread:
    here: Ending = field(default_factory=lambda: Ending("over", "dropped", "broke"))
    asked: int = 50
    runs: int = 50
    stayed_up: int = 41
    interval: tuple[float, float] = (0.692, 0.902)
    truck: tuple[tuple[str, int], ...] = (("tyre-lifted", 41), ("over", 9))
    lifted_load: tuple[tuple[str, int], ...] = (("kept", 41), ("dropped", 9))
    floor: tuple[tuple[str, int], ...] = (("broke", 50),)
    like_this: int = 9
    either_way: bool = True
    decides: str = "hole depth"
    decides_how: str = "shallower in the runs that stayed up"
    inputs: tuple[FakeInput, ...] = (
        FakeInput("hole depth", "length", 0.118, 0.106, 0.13),
        FakeInput("stiffness of all tyres", "ratio", 1.0, 0.85, 1.15, "assumed", "kept within its limits"),
        FakeInput("friction on the forks", "", 0.3, 0.255, 0.345),
    )
    change: FakeChange | None = field(default_factory=FakeChange)
    stays_until: FakeChange | None = None
    edge: str = ""
    edge_said: str = ""
    lost: tuple[tuple[str, int], ...] = (("what was drawn is more than the truck can do", 2),)
    reason: str = ""


_STOP = "letting the drive pedal go brakes it at 2 m/s2; driving forward, it tips over the front line from 2.2 m/s2 on"
NEAR = NearLimit("letting the drive pedal go", _STOP, 0.9)


END = AtEnd(
    time=4.0,
    truck=Lie((0.1, 1.65, 0.84), (0.12, 1.65), 0.059, 0.059, -1.61, -0.0225, "left side", 0.005, 0.005),
    lifted_load=Lie((1.73, 7.52, 0.7), (-0.43, 7.54), 0.0545, 0.0545, -1.571, 0.0, "left side", 0.3, 0.1),
    marks=(FloorMark("truck", "sill front left", 2.4, (-0.48, 0.82), (-0.46, 0.8), 0.035, at_end=False),),
    tyres=(TyreMark("front-left", (0.3, 0.75), 0.118, on_floor=True, until=4.0, skidded=0.0554),
           TyreMark("rear-right", (-1.9, -0.53), 0.0, on_floor=False, until=1.547, skidded=float("nan"))),
)  # fmt: skip


@dataclass(frozen=True)
class FakePoseReport:
    title: str = "Load high on the jib"
    demo: str = ""
    stands: str = "stands"
    lean: str = ""
    mast: str = ""
    weight: float = 190_000.0
    tyre_loads: dict[str, float] = field(default_factory=lambda: {"front-left": 84_000.0, "rear-right": 11_000.0})
    axle_share: dict[str, float] = field(default_factory=lambda: {"drive": 0.89, "steer": 0.11})
    distances: dict[str, float] = field(default_factory=lambda: {"front": 0.2, "back": 1.7, "left": 0.6, "right": 0.6})
    swing: dict[str, float] = field(default_factory=dict)
    over: str | None = None
    fold_factor: float = float("nan")
    energy_to_tip: dict[str, float] = field(default_factory=lambda: {"front": 61_000.0})
    hole_depth_limits: dict[str, float] = field(default_factory=lambda: {"left": 0.094})
    floor: None = None
    not_known: None = None
    weighings: tuple[()] = ()
    not_known: None = None
    nearest_limit: NearLimit | None = NEAR
    own_stop: str = _STOP
    holds_against: tuple[tuple[str, float, str], ...] = (("stop no shorter than", 1.1, "acceleration"),)
    holds_only_while: tuple[tuple[str, float, str], ...] = (("gross load at most", 5320.0, "mass"),)
    exceeded: tuple[str, ...] = ("the steer axle carries less than 10 %",)
    assumed: tuple[str, ...] = ("tyre stiffness 3 MN/m",)
    governs: tuple[str, ...] = ("the maker's capacity plate and manual",)
    reasons: dict[str, str] = field(default_factory=dict)
    heading = PoseReport.heading


@dataclass(frozen=True)
class FakeRunReport:
    title: str = "Front-left tyre breaks through"
    demo: str = "machine and floor"
    run_id: str = "7d3f01"
    outcome: FakeOutcome = field(default_factory=FakeOutcome)
    expected: tuple[str, ...] = ()
    as_expected: bool | None = None
    distances: dict[str, tuple[float, float]] = field(
        default_factory=lambda: {
            "front": (0.4123456789012345, 0.5),
            "back": (1.2, 0.4),
            "left": (-0.012, 1.84),
            "right": (0.6, 0.2),
        }
    )
    swing: dict[str, tuple[float, float]] = field(default_factory=lambda: {"left": (0.05, 1.1), "right": (0.3, 0.1)})
    energy_left: dict[str, tuple[float, float]] = field(
        default_factory=lambda: {"front": (42_000.0, 0.5), "left": (float("nan"), float("nan"))}
    )
    steer_axle_share: float = 0.083
    lightest_tyre: tuple[str, float, float] = ("rear-right", 240.0, 1.8)
    weight: float = 190_000.0
    rest_tyre_loads: dict[str, float] = field(default_factory=lambda: {"front-left": 84_000.0, "rear-right": 11_000.0})
    rest_axle_share: dict[str, float] = field(default_factory=lambda: {"drive": 0.89, "steer": 0.11})
    peak_tyre_loads: dict[str, tuple[float, float]] = field(
        default_factory=lambda: {"front-left": (231_000.0, 1.62), "rear-right": (30_000.0, 1.7)}
    )
    holds_only_while: tuple[tuple[str, float, str], ...] = (
        ("gross load at most", 5320.0, "mass"),
        ("floor level within", 0.01, "slope"),
    )
    exceeded: tuple[str, ...] = ()
    numerics: dict[str, float] = field(
        default_factory=lambda: {"time_step_s": 0.001, "energy_error": 2e-5, "force_balance_error": 3e-9}
    )
    assumed: tuple[str, ...] = ("tyre stiffness 3 MN/m", "<script>alert(1)</script> tyre & rim")
    governs: tuple[str, ...] = ("the maker's capacity plate and manual",)
    events: tuple[tuple[float, str], ...] = ((1.0, "floor breaks under the front-left tyre"),)
    no_return: float | None = 1.7
    pose: FakePoseReport = field(default_factory=FakePoseReport)
    outcome_table: FakeTable | None = field(default_factory=FakeTable)
    floor_breaks: None = None
    floor_peaks: tuple[object, ...] = ()
    spread: FakeSpread | None = None
    doubts: tuple[str, ...] = ()
    engine: str = "compiled"
    at_end: AtEnd = END
    cause: str = "The floor gives way under the front-left tyre by 118 mm, from 1.00 s on."
    reasons: dict[str, str] = field(default_factory=lambda: {"worst.energy_left_kJ.left": "it went over"})
    ended, heading, fell, nearest = RunReport.ended, RunReport.heading, RunReport.fell, RunReport.nearest


@pytest.fixture
def run_report() -> FakeRunReport:
    return FakeRunReport()


@pytest.fixture
def doubtful() -> FakeRunReport:
    """A run that could go either way."""
    return FakeRunReport(spread=FakeSpread(), doubts=("the truck stayed up in 41 of 50 runs",))


@pytest.fixture
def pose_report() -> FakePoseReport:
    return FakePoseReport()
