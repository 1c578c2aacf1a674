"""An incident as data: how the truck stood, what was found, and the causes that are thought of."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from tipline.model.quantities import Count, Flag, Meant, Spec
from tipline.scenario.sweep import Value, Variable

__all__ = [
    "CAUSES",
    "KINDS_OF_FINDING",
    "Cause",
    "CauseKind",
    "FindingKind",
    "Found",
    "Incident",
    "KeepsUp",
    "Measured",
]

CauseKind = Literal[
    "cavity under a tyre",
    "floor yielded",
    "service stop",
    "pedal lift",
    "lowering stopped short",
    "turn",
    "slope",
    "load off the middle",
    "load shifted or slid",
    "load let go",
    "load stuck, then freed",
    "counterweight moved under load",
    "overload",
    "wrong load centre",
    "hung load swinging",
    "pushed or pulled",
    "wind",
    "machine defect",
    "other",
]
CAUSES: tuple[CauseKind, ...] = CauseKind.__args__  # type: ignore[attr-defined]
"""What can put a truck down or over, for the list of what a case did not examine (our choice of words and of list)."""

FindingKind = Literal[
    "truck.end",
    "truck.over",
    "truck.ahead",
    "truck.left",
    "truck.heading",
    "truck.roll",
    "truck.pitch",
    "load.end",
    "load.ahead",
    "load.left",
    "load.height",
    "load.mass",
    "mark.truck_ahead",
    "mark.truck_left",
    "mark.load_ahead",
    "mark.load_left",
    "floor.end",
    "hole.depth",
    "time.to_over",
]


class Measured(Spec):
    """A kind of finding: what it is in words, its column in the table of runs, and its dimension, "" for a word.

    setting : of one that no run changes, its key in place of the column
    usual : within how much it is usually found [SI], for what a further finding would tell; our choice
    """

    said: str
    dimension: str
    column: str = ""
    setting: str = ""
    usual: float = 0.0
    words: tuple[str, ...] = ()


KINDS_OF_FINDING: dict[str, Measured] = {
    "truck.end": Measured(
        said="how the truck ended",
        column="truck",
        dimension="",
        words=("down", "down, too light to steer", "tyre-lifted", "tyre-off", "resting", "over"),
    ),
    "truck.over": Measured(
        said="the side over which it went",
        column="direction",
        dimension="",
        words=("none", "front", "back", "left", "right"),
    ),
    "truck.ahead": Measured(
        said="how far ahead of where it stood its drive axle lies",
        column="rest.truck_ahead",
        dimension="length",
        usual=0.2,
    ),
    "truck.left": Measured(
        said="how far left of where it stood its drive axle lies",
        column="rest.truck_left",
        dimension="length",
        usual=0.2,
    ),
    "truck.heading": Measured(
        said="how far it is turned to the left", column="rest.truck_heading", dimension="angle", usual=0.09
    ),
    "truck.roll": Measured(
        said="how far it leans, right side down", column="rest.truck_roll", dimension="angle", usual=0.05
    ),
    "truck.pitch": Measured(
        said="how far it leans, front down", column="rest.truck_pitch", dimension="angle", usual=0.05
    ),
    "load.end": Measured(
        said="what became of the lifted load", column="lifted_load", dimension="", words=("kept", "slid", "dropped")
    ),
    "load.ahead": Measured(
        said="how far ahead of where the truck stood the middle of the load lies",
        column="rest.load_ahead",
        dimension="length",
        usual=0.3,
    ),
    "load.left": Measured(
        said="how far left of where the truck stood the middle of the load lies",
        column="rest.load_left",
        dimension="length",
        usual=0.3,
    ),
    "load.height": Measured(
        said="how high the middle of the load is above the floor",
        column="rest.load_height",
        dimension="length",
        usual=0.1,
    ),
    "load.mass": Measured(said="what the load weighs", setting="load.mass", dimension="mass", usual=50.0),
    "mark.truck_ahead": Measured(
        said="how far ahead of where the truck stood its body, tyres apart, first marked the floor",
        column="rest.truck_mark_ahead",
        dimension="length",
        usual=0.15,
    ),
    "mark.truck_left": Measured(
        said="how far left of where the truck stood its body, tyres apart, first marked the floor",
        column="rest.truck_mark_left",
        dimension="length",
        usual=0.15,
    ),
    "mark.load_ahead": Measured(
        said="how far ahead of where the truck stood the load first marked the floor",
        column="rest.load_mark_ahead",
        dimension="length",
        usual=0.2,
    ),
    "mark.load_left": Measured(
        said="how far left of where the truck stood the load first marked the floor",
        column="rest.load_mark_left",
        dimension="length",
        usual=0.2,
    ),
    "floor.end": Measured(
        said="what became of the floor", column="floor", dimension="", words=("held", "sank", "broke")
    ),
    "hole.depth": Measured(
        said="the deepest place under a tyre", column="deepest_place", dimension="length", usual=0.02
    ),
    "time.to_over": Measured(
        said="from the first sign until it leaned by half a right angle",
        column="rest.over_after",
        dimension="time",
        usual=1.0,
    ),
}
"""What may be found, by its name in a file."""


class Found(Spec):
    """One finding: what, how much or which, and how well it is known.

    ``within``: it lies so near to what was recorded in 19 of 20 such records. ``sure``: in how many of such records
    the word is right. ``moved``: recorded after truck or load had been moved; it is listed and not used,
    but for a weight.
    """

    of: FindingKind
    recorded: Value
    within: Value | None = None
    sure: float = Field(default=0.95, gt=0.0, lt=1.0)
    who: str = Field(default="", max_length=120)
    when: str = Field(default="", max_length=120)
    how: str = Field(default="", max_length=200)
    moved: Flag = False


class Cause(Spec):
    """One cause that is thought of: a scenario, or changes to that of the case, and what of it is not known.

    ``prior``: how much likelier than one of prior 1 it was held to be before anything was found.
    """

    name: str = Field(min_length=1, max_length=40)
    kind: CauseKind
    said: str = Field(min_length=1, max_length=160)
    scenario: str = ""
    prior: float = Field(default=1.0, gt=0.0, le=1000.0)
    set: dict[str, Value] = Field(default_factory=dict)
    variable: tuple[Variable, ...] = Field(default=(), max_length=20)


class KeepsUp(Spec):
    """Of what keeps the load up it is asked in which share of how many runs it does; none of them: it is not asked."""

    share: float = Field(default=0.9, gt=0.0, le=1.0)
    runs: Count = Field(default=20, ge=0, le=1000)


class Incident(Spec):
    """A case: the set-up as recorded, what of it is not known exactly, what was found, and the causes.

    ``runs``: of each cause, over all that is not known of it. ``rounds``: how many times at most half as many are
    added, nearer to what was found, where too few lie near it.
    """

    title: str = Field(min_length=1, max_length=200)
    question: str = Field(default="", max_length=500)
    scenario: str
    runs: Count = Field(default=400, ge=20, le=20_000)
    rounds: Count = Field(default=4, ge=0, le=20)
    seed: Count = Field(default=0, ge=0, lt=2**62)
    set: dict[str, Value] = Field(default_factory=dict)
    variable: tuple[Variable, ...] = Field(default=(), max_length=20)
    found: tuple[Found, ...] = Field(min_length=1, max_length=40)
    cause: tuple[Cause, ...] = Field(min_length=1, max_length=12)
    keeps_up: KeepsUp = KeepsUp()
    meant: Meant = ()
