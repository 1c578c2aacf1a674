"""A sweep as data: one scenario run many times, which settings vary in it and how, and what is asked."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from tipline.endings import now
from tipline.errors import argument
from tipline.model.machine import Origin
from tipline.model.quantities import Count, Flag, Meant, Spec, refuse_value

__all__ = [
    "BAD_FLOOR",
    "BAD_LOAD",
    "BAD_TRUCK",
    "MOST_RUNS",
    "Distribution",
    "Method",
    "SoughtThreshold",
    "Sweep",
    "Variable",
]

MOST_RUNS = 1_000_000
Method = Literal["grid", "sobol", "latin-hypercube", "monte-carlo", "sensitivity", "threshold"]
Distribution = Literal["uniform", "normal", "truncated-normal", "triangular", "lognormal"]
BAD_TRUCK = ("down, too light to steer", "tyre-lifted", "tyre-off", "undecided", "resting", "over")
"""Endings of the truck from bad to worse."""
BAD_LOAD = ("slid", "dropped")
BAD_FLOOR = ("sank", "broke")
Ending = Annotated[
    Literal[
        "down, too light to steer", "tyre-lifted", "tyre-off", "resting", "over", "slid", "dropped", "sank", "broke"
    ],
    BeforeValidator(now),
]


def _as_tuple(value: Any) -> Any:
    if not isinstance(value, str | list | tuple):
        refuse_value(
            "must be a key in quotes, or a list of such",
            f"Write it as {argument('overrides')} takes it, like load.mass",
        )
    return (value,) if isinstance(value, str) else value


def _number(value: Any) -> str | int | float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        refuse_value("must be a quantity as text with its unit", 'Write it like "1.8 m"')
    return value


def _value(value: Any) -> str | int | float | bool:
    if not isinstance(value, str | int | float | bool):
        refuse_value("must be text, a number, true or false", 'Put a list in quotes, like \'["0 m", "0 m"]\'')
    return value


_NAMES = {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": 16}
Keys = Annotated[
    tuple[str, ...],
    BeforeValidator(_as_tuple),
    Field(min_length=1, max_length=16),
    WithJsonSchema({"anyOf": [{"type": "string"}, _NAMES]}),
]
Number = Annotated[
    str | int | float, PlainValidator(_number), WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "number"}]})
]
"""A quantity as text with its unit; what unit it needs depends on the key. A ratio may be a plain number."""
Value = Annotated[
    str | int | float | bool,
    PlainValidator(_value),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "number"}, {"type": "boolean"}]}),
]


class Variable(Spec):
    """A setting that varies: ``key`` as in ``--set``, or several keys that take the same value.

    Either ``values``, or a ``distribution`` with the figures it needs; ``least`` and ``most`` alone mean uniform. A
    grid takes ``values``, or ``count`` of them evenly from ``least`` to ``most``. ``relative``: the figures multiply
    what the files give.
    """

    key: Keys
    name: str = Field(default="", max_length=60)
    values: tuple[Value, ...] | None = Field(default=None, min_length=1, max_length=1000)
    distribution: Distribution | None = None
    least: Number | None = None
    most: Number | None = None
    mean: Number | None = None
    deviation: Number | None = None
    likeliest: Number | None = None
    count: Count | None = Field(default=None, ge=2, le=1000)
    relative: Flag = False
    origin: Origin = "assumed"


class SoughtThreshold(Spec):
    """A setting and the range in which to find the least value that leads to an ``outcome``, or to a worse one.

    ``within``: how narrow the answer is to be; left out, a five-hundredth of the range.
    """

    key: Keys
    name: str = Field(default="", max_length=60)
    least: Number
    most: Number
    within: Number | None = None
    relative: Flag = False
    outcome: Ending = "over"


class Sweep(Spec):
    """Many runs of one scenario; ``scenario`` is a name or path, ``set`` holds what is changed in all of them.

    ``rest``: each run goes on until nothing moves, and the table has where truck and lifted load lie then.
    """

    title: str = Field(min_length=1, max_length=200)
    question: str = Field(default="", max_length=500)
    scenario: str
    method: Method
    runs: Count | None = Field(default=None, ge=1, le=MOST_RUNS)
    seed: Count = Field(default=0, ge=0, lt=2**63)
    outcome: Ending = "over"
    rest: Flag = False
    set: dict[str, Value] = Field(default_factory=dict)
    variable: tuple[Variable, ...] = Field(default=(), max_length=40)
    threshold: SoughtThreshold | None = None
    meant: Meant = ()
