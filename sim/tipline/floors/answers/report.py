"""What a floor report is made of: ranges, the answer of one mode under one tyre, and the words for a ratio."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import nan
from typing import TYPE_CHECKING, Any

from tipline.errors import InputError
from tipline.floors.known.span import Span, share_words, times_words
from tipline.floors.modes.mode import Unanswered
from tipline.model.plane import Outline, Point
from tipline.notebook import Shown, marks, to_frame
from tipline.printable import spoken_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "RIGID",
    "Answer",
    "Area",
    "Axle",
    "FloorPlan",
    "FloorReport",
    "Give",
    "Inverse",
    "Lip",
    "Question",
    "Spreading",
    "StressMap",
    "TyreSheet",
    "WheelSheet",
    "in_words",
    "judged",
    "worst_of",
]


_ROW_UNITS = {"pressure": ("kPa", 1e-3), "force": ("kN", 1e-3), "ratio": ("1", 1.0)}
"""Units of the records of answers by dimension, and how many of them one in SI is, by definition."""


_NOT_KNOWN = Span(nan, nan, nan, nan)


@dataclass(frozen=True)
class Answer:
    """What one tyre, or several together (``tyres``), asks of one zone in one mode, in SI.

    ``demand`` and ``strength`` have the ``dimension``; ``of_strength`` and ``of_limit`` are demand over expected
    strength and over planning limit, each over all inputs together, so they are not the ratio of the spans.
    ``limit`` is strength over ``factor``. ``event`` says what is expected at the strength. ``decides``: the input that
    moves the ratio most, and ``swings`` by how much each does (ratio of the ratio at its two ends). Where somebody has
    allowed a load its expected strength is not known: ``strength`` then holds what was allowed.
    """

    mode: str
    zone: str
    tyre: str
    setup: str
    at: Point
    tyre_load: float
    dimension: str
    demand: Span
    strength: Span
    of_strength: Span
    event: str
    factor: float
    factor_source: str
    source: str
    decides: str = ""
    swings: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    strength_known: bool = True
    tyres: tuple[str, ...] = ()

    @property
    def limit(self) -> Span:
        """Planning limit: expected strength over the factor."""
        return self.strength.scaled(1.0 / self.factor)

    @property
    def of_limit(self) -> Span:
        """Demand over planning limit."""
        return self.of_strength.scaled(self.factor)

    @property
    def exceeds(self) -> bool:
        """Whether the planning limit is exceeded at the fractile that planning goes by (`draws.PLANNED`)."""
        return self.of_limit.high > 1.0

    @property
    def who(self) -> str:
        """The tyre, or the tyres with the word that they are asked together."""
        return f"{self.tyre} together" if len(self.tyres) > 1 else self.tyre

    @property
    def spoken(self) -> str:
        """The tyre, or the tyres asked together, as a sentence names them: "the front-left tyre"."""
        return f"the {self.tyre} tyres together" if len(self.tyres) > 1 else f"the {self.tyre} tyre"

    @property
    def exceeding(self) -> str:
        """The answer as a line that says what is exceeded, where and by whom."""
        return f"{self.spoken} {self.words} ({self.mode}, {spoken_of(self.zone)})"

    @property
    def words(self) -> str:
        """The answer in words: both ratios, never one for the other."""
        return in_words(self)

    @property
    def short(self) -> str:
        """The answer against the planning limit alone, for where the rest is told below."""
        if self.strength.high <= 0.0 or not self.strength_known:
            return self.exceeding
        loads = "load" if len(self.tyres) > 1 else "loads"
        limit = share_words(replace(self.of_limit, worst=nan), "the planning limit")
        return f"{self.spoken} {loads} {spoken_of(self.zone)} to {limit} ({self.mode})"

    def record(self) -> dict[str, Any]:
        """Return the answer under fixed names; nan for an expected strength that is not known."""
        unit, factor = _ROW_UNITS[self.dimension]
        known = self.strength_known
        return {
            "set_up": self.setup,
            "tyre": self.tyre,
            "zone": self.zone,
            "mode": self.mode,
            "x_m": self.at[0],
            "y_m": self.at[1],
            "tyre_load_kN": self.tyre_load * 1e-3,
            **self.demand.scaled(factor).named("demand"),
            **self.limit.scaled(factor).named("planning_limit"),
            **(self.strength.scaled(factor) if known else _NOT_KNOWN).named("expected_strength"),
            **self.of_limit.named("of_planning_limit"),
            **(self.of_strength if known else _NOT_KNOWN).named("of_expected_strength"),
            "quantity": self.dimension,
            "unit": unit,
            "at_expected_strength": self.event,
            "factor": self.factor,
            "factor_source": self.factor_source,
            "formula": self.source,
            "decides": self.decides,
        }


@dataclass(frozen=True)
class TyreSheet:
    """One tyre for the building's engineer: where it stands, loads [N], patch [m], pressures [Pa].

    ``peak_load``: in what is asked here; ``rolling_load``: also in the truck's own stops and in turns, nan where that
    was not worked out. ``circle``: of twins, the radius of the one circle that stands for both on a slab, nan where
    they are too far apart for that, or no pair.
    """

    tyre: str
    setup: str
    kind: str
    at: Point
    static_load: float
    peak_load: float
    patch: tuple[float, float]
    mean_pressure: float
    peak_pressure: float
    zone: str
    notes: tuple[str, ...] = ()
    rolling_load: float = nan
    circle: float = nan


@dataclass(frozen=True)
class Axle:
    """An axle of a set-up: its load at rest, and at most in a stop [N]."""

    name: str
    setup: str
    static_load: float
    rolling_load: float


@dataclass(frozen=True)
class Lip:
    """What a lip at a joint, of a height [m], adds to a tyre's load at most [N]."""

    tyre: str
    setup: str
    height: float
    more: float


@dataclass(frozen=True)
class Give:
    """How far a slab gives under a standing tyre [m]: by the likely stiffness of the ground, the stiff and soft one."""

    zone: str
    tyre: str
    depth: Span


@dataclass(frozen=True)
class WheelSheet:
    """The rest of a wheel-load sheet: the truck, its axles, twins as one item, what makes the rolling peak so.

    ``passes``: as planned, None where nobody said. ``told``: repeated passes, and what is not in the answer.
    ``places``: of the tyres in the truck's plane, x ahead of the drive axle and y to the left [m].
    """

    truck: str
    axles: tuple[Axle, ...]
    twins: tuple[TyreSheet, ...]
    passes: int | None
    rolling: tuple[str, ...]
    lips: tuple[Lip, ...]
    gives: tuple[Give, ...]
    told: tuple[str, ...]
    wheelbase: float
    places: Mapping[str, Point]

    def gross(self, setup: str) -> float:
        """Return the weight of the whole truck in a set-up [N]."""
        return sum(axle.static_load for axle in self.axles if axle.setup == setup)


RIGID = "the floor is taken as rigid: its strength is not looked at"
"""What is said of a floor that is rigid throughout."""


@dataclass(frozen=True)
class Question:
    """Something to find out, and how much narrower the governing ratio would be with its likely answer."""

    text: str
    now: Span
    then: Span


@dataclass(frozen=True)
class Inverse:
    """What would be enough in a zone: a thickness [m] or a strength, over the rest of what is not known."""

    zone: str
    what: str
    needed: Span
    dimension: str


@dataclass(frozen=True)
class Spreading:
    """A spreader out of the stock under a tyre, and the governing ratio with it; ``found`` False: none does."""

    zone: str
    tyre: str
    found: bool
    name: str
    pieces: int
    size: tuple[float, float, float]
    at: Point
    heading: float
    before: Span
    after: Span
    text: str


@dataclass(frozen=True)
class Area:
    """Something in plan: a zone, a cavity, a cover, a spreader; ``kind`` says which."""

    name: str
    kind: str
    outline: Outline


@dataclass(frozen=True)
class FloorPlan:
    """What a drawing of the floor shows: areas, lines by kind (joint, free edge), patches by set-up."""

    areas: tuple[Area, ...] = ()
    lines: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    patches: tuple[tuple[str, Outline], ...] = ()
    body: Outline = ()


@dataclass(frozen=True, repr=False)
class StressMap:
    """Tension in a slab from plate elements, and what it was made of.

    Attributes
    ----------
    points : (n, 2) float array [m] of the floor's plane
    bottom, top : (n,) float arrays [Pa]: the tension there at the underside and at the surface
    greatest, at : the greatest tension [Pa] and where [m]
    closed : what the closed formulas give for the same inputs [Pa]
    strength, limit : expected and for planning [Pa]
    deflection : the greatest [m]; lifted_share : of the slab, off its ground
    patches, cavities, panel : outlines [m]
    joint : whether the panel's high x side is one
    beyond : points (m, 2) [m], bottom and top (m,) [Pa] of the panel past it; None without
    """

    zone: str
    tyre: str
    points: NDArray[np.float64]
    bottom: NDArray[np.float64]
    top: NDArray[np.float64]
    greatest: float
    at: Point
    closed: float
    strength: float
    limit: float
    deflection: float
    lifted_share: float
    patches: tuple[Outline, ...]
    cavities: tuple[Outline, ...]
    panel: Outline
    joint: bool
    beyond: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]] | None
    note: str
    equations: int = 0
    seconds: float = 0.0


@dataclass(frozen=True, repr=False)
class FloorReport(Shown):
    """What a set-up, or a route, asks of a floor.

    ``answers``: the worst place of each tyre, zone, mode and set-up, worst first. ``left_out``: what could not be
    computed, and why. ``evidence``: what it has carried, and what that rules out. ``tracks``: by set-up and tyre the
    way of its patch's middle (n points). ``exceeded`` in words; empty means no more than that no limit known here is.
    """

    title: str
    demo: str
    floor: str
    subject: str
    lead: str
    tyres: tuple[TyreSheet, ...]
    spacing: tuple[tuple[str, str, float], ...] = ()
    answers: tuple[Answer, ...] = ()
    unanswered: tuple[Unanswered, ...] = ()
    not_asked: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    inverses: tuple[Inverse, ...] = ()
    spreaders: tuple[Spreading, ...] = ()
    remedies: tuple[str, ...] = ()
    tracks: Mapping[str, tuple[Point, ...]] = field(default_factory=dict)
    plan: FloorPlan = field(default_factory=FloorPlan)
    stress: StressMap | None = None
    left_out: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    exceeded: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    assumed_count: int = 0
    governs: tuple[str, ...] = ()
    sheet: WheelSheet | None = None
    holds_only_while: tuple[tuple[str, float, str], ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    unusual: tuple[InputError, ...] = ()
    not_met: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"<FloorReport: {len(self.answers)} answers>"

    def rows(self) -> list[dict[str, Any]]:
        """Give one record an answer, worst first; units are named in it."""
        return [answer.record() for answer in self.answers]

    def to_pandas(self) -> Any:
        """Return the records as a pandas table; raises MissingPart without pandas."""
        return to_frame(self.rows(), marks(self.demo))

    @property
    def worst(self) -> Answer | None:
        """The answer that governs."""
        return self.answers[0] if self.answers else None

    @property
    def heading(self) -> str:
        """What stands in the largest type: what others must answer, the likely figure that governs; else the lead."""
        worst = self.worst
        if worst is None or worst.strength.high <= 0.0:
            return self.lead
        whose = "planning limit" if worst.strength_known else "allowed wheel load"
        if self.unanswered:
            beyond = (
                "exceeded" if worst.of_limit.likely > 1.0 else "exceeded by the upper figure, which planning goes by"
            )
            known = f"of what is known, likely {times_words(worst.of_limit.likely, f'the {whose}')}"
            return f"{self.lead.partition('; ')[0]}; {known}{f', {beyond}' if worst.exceeds else ''}"
        return f"Likely {times_words(worst.of_limit.likely, f'the {whose}')}: {worst.spoken} on {spoken_of(worst.zone)}"

    @property
    def short(self) -> str:
        """What governs, against the planning limit alone; the lead where others must answer."""
        return self.lead if self.worst is None or self.unanswered else self.worst.short

    @property
    def lines(self) -> tuple[str, ...]:
        """What other pages say of the floor: the worst answer of each zone, and who must answer."""
        gaps = [f"{_begun(gap.zone)}: {gap.why}; to be answered by {gap.who}" for gap in self.unanswered]
        zones: dict[str, str] = {}
        for answer in self.answers:
            zones.setdefault(answer.zone, f"{_begun(answer.zone)}, {answer.mode}: {answer.spoken} {answer.words}")
        return (*zones.values(), *gaps, *self.not_asked)


def _begun(zone: str) -> str:
    """Begin a sentence with a part of a floor."""
    name = spoken_of(zone)
    return f"{name[:1].upper()}{name[1:]}"


def worst_of(answers: list[Answer]) -> tuple[Answer, ...]:
    """Keep the worst answer of each tyre, zone, mode and set-up, and put the worst first."""
    best: dict[tuple[str, ...], Answer] = {}
    for answer in answers:
        key = answer.setup, answer.tyre, answer.zone, answer.mode
        if key not in best or answer.of_limit.high > best[key].of_limit.high:
            best[key] = answer
    # rounded, so that of two sides that ask alike the left one is told of
    return tuple(
        sorted(
            best.values(),
            key=lambda answer: (-round(answer.of_limit.high, 9), -round(answer.of_limit.likely, 9), answer.tyre),
        )
    )


def in_words(answer: Answer) -> str:
    """Say both ratios of an answer."""
    asks, has = ("load", "have") if len(answer.tyres) > 1 else ("loads", "has")
    if answer.strength.high <= 0.0:
        return f"{has} nothing to stand on: what is there is counted as carrying nothing ({answer.event})"
    if not answer.strength_known:
        return (
            f"{asks} it to {share_words(answer.of_limit, 'what was allowed')}; the expected strength is not known here"
        )
    limit = share_words(answer.of_limit, "the planning limit") + judged(answer)
    return f"{asks} it to {limit}; {share_words(_unmarked(answer), 'the expected strength')}, where it {answer.event}"


def _unmarked(answer: Answer) -> Span:
    """Return the ratio to the expected strength without its worst corner, which is told once, beside the limit."""
    return replace(answer.of_strength, worst=nan)


def judged(answer: Answer) -> str:
    """Say how sure it is that the planning limit is exceeded, and what decides where it is not."""
    span = answer.of_limit
    if span.low > 1.0:
        return " (exceeded in more than 19 of 20 draws)"
    if span.high <= 1.0:
        return ""
    words = "exceeded by the likely value" if span.likely > 1.0 else "exceeded, for planning goes by the upper figure"
    return f" ({words}" + (f"; {answer.decides} decides)" if answer.decides else ")")
