"""Types of the values in files: a quantity is text with a unit in a file and an SI float in Python."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, LiteralString, NoReturn

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler, Strict
from pydantic_core import PydanticCustomError, core_schema

from tipline import units

if TYPE_CHECKING:
    from pydantic.annotated_handlers import GetCoreSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

__all__ = [
    "DEFAULT",
    "FROM_FILE",
    "ORIGINS",
    "Absent",
    "Meant",
    "Quantity",
    "Setting",
    "Spec",
    "Unless",
    "refuse_value",
]

ORIGINS = ("measured", "cored", "plate", "drawing", "told", "assumed", "demo")
"""How a value is known; cored: measured on a core taken from the floor."""

DEFAULT = "default"
"""Origin of a setting of the program or the scene that was left as it is; only resolved files hold it."""

FROM_FILE = {"bare_numbers": False}
"""Validation context of values that come from a file: a number without a unit is refused."""

_PLAUSIBLE = {
    "length": 1000.0,
    "mass": 1e6,
    "force": 1e8,
    "time": 3600.0,
    "speed": 100.0,
    "acceleration": 100.0,
    "angle": 2 * math.pi,
    "angular_speed": 10.0,
    "slope": math.pi / 4,
    "stiffness": 1e12,
    "torsion_stiffness": 1e15,
    "torque": 1e8,
    "pressure": 1e12,
    "areal_load": 1e12,
    "pressure_gradient": 1e12,
    "inertia": 1e8,
    "ratio": 10.0,
    "area": 1e4,
}


class Spec(BaseModel):  # noqa: PLW1641 - pydantic gives frozen ones a hash
    """What one table of a file holds; cannot be changed, refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    def __eq__(self, other: object) -> bool:
        """Whether it is of the same kind with the same values: pydantic asks for more, which no spec has, at length."""
        return self is other or (type(self) is type(other) and self.__dict__ == other.__dict__)


@dataclass(frozen=True)
class Setting:
    """Marks a field that steers the program or the scene: its default is not an assumption about a thing."""


@dataclass(frozen=True)
class Absent:
    """Marks a field that may be left out; ``meaning`` says in plain words what then stands in its place."""

    meaning: str


@dataclass(frozen=True)
class Unless:
    """Marks a field that plays no part where the field ``given`` beside it has a value."""

    given: str


@dataclass(frozen=True)
class Quantity:
    """A float of one dimension, with limits in SI; ``above`` excludes its own value, the others include it."""

    dimension: str
    above: float | None = None
    least: float | None = None
    most: float | None = None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """Read text, or a float where the value does not come from a file, then hold the limits."""
        return core_schema.with_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe the text form; a ratio may also be a number."""
        names = ", ".join(units.units_of(self.dimension))
        plain = f"{self.dimension.replace('_', ' ')}; {self.allowed()}; units: {names}"
        text: JsonSchemaValue = {"type": "string", "description": plain}
        forms = [text, {"type": "number"}] if self.dimension == "ratio" else [text]
        value = forms[0] if len(forms) == 1 else {"anyOf": forms}
        table = {
            "type": "object",
            "properties": {"value": value, "origin": {"enum": list(ORIGINS)}},
            "required": ["value"],
            "additionalProperties": False,
        }
        return {"anyOf": [*forms, table]}

    def allowed(self) -> str:
        """Return the allowed range in words."""
        most = self._most()
        top = "" if most is None else f" and at most {self.say(most)}"
        if self.above is not None:
            return f"must be greater than {self.say(self.above)}{top}"
        if self.least is not None:
            return f"must be {self.say(self.least)} or more{top}"
        return "any" if most is None else f"must lie between {self.say(-most)} and {self.say(most)}"

    def ends(self) -> tuple[float, float]:
        """Return the least and the greatest value that are taken, infinite where there is none; ``above`` as it is."""
        most = self._most()
        low = self.above if self.above is not None else self.least
        if low is None:
            low = -math.inf if most is None else -most
        return low, math.inf if most is None else most

    def say(self, value: float) -> str:
        """Return a value in words."""
        return units.show(value, self.dimension)

    def _most(self) -> float | None:
        return _PLAUSIBLE.get(self.dimension) if self.most is None else self.most

    def _read(self, value: object, info: core_schema.ValidationInfo) -> float:
        number = self._number(value, bare=(info.context or {}).get("bare_numbers", True))
        most = self._most()
        low = -math.inf if most is None else -most
        if self.least is not None:
            low = self.least
        too_low = number < low or (self.above is not None and number <= self.above)
        if too_low or (most is not None and number > most):
            refuse_value(self.allowed(), "Correct the value or its unit")
        return number

    def _number(self, value: object, *, bare: bool) -> float:
        if isinstance(value, str):
            try:
                return units.parse(value, self.dimension)
            except ValueError as error:
                refuse_value(str(error), f"Write it like {self._example()}")
        if isinstance(value, bool) or not isinstance(value, int | float):
            refuse_value(f"must be a {self.dimension.replace('_', ' ')}", f"Write it like {self._example()}")
        if not math.isfinite(value):
            refuse_value("not a finite number", f"Write it like {self._example()}")
        if self.dimension != "ratio" and not bare:
            reason = f"a number without a unit; write one of {', '.join(units.units_of(self.dimension))}"
            refuse_value(reason, f"Write it like {self._example()}")
        return float(value)

    def example(self) -> str:
        """Return one way to write it."""
        return self._example().partition(" or ")[0].partition(",")[0]

    def _example(self) -> str:
        return _EXAMPLE.get(self.dimension, f'"1 {units.units_of(self.dimension)[0]}"')


_EXAMPLE = {
    "slope": '"2 %", "1.5 deg" or "1:50"', "ratio": '0.6 or "60 %"', "length": '"1.8 m"', "mass": '"5.2 t"',
    "angle": '"90 deg"', "angular_speed": '"5 deg/s"',
}  # fmt: skip


def refuse_value(reason: str, remedy: str) -> NoReturn:
    """Refuse a value while it is read; the reader adds file, line and key."""
    kind: LiteralString = "quantity"
    raise PydanticCustomError(kind, "{reason}", {"reason": reason, "remedy": remedy})


Length = Annotated[float, Quantity("length")]
PositiveLength = Annotated[float, Quantity("length", above=0.0)]
NonNegativeLength = Annotated[float, Quantity("length", least=0.0)]
Mass = Annotated[float, Quantity("mass", least=0.0)]
PositiveMass = Annotated[float, Quantity("mass", above=0.0)]
Inertia = Annotated[float, Quantity("inertia", above=0.0)]
Force = Annotated[float, Quantity("force", least=0.0)]
PositiveForce = Annotated[float, Quantity("force", above=0.0)]
Time = Annotated[float, Quantity("time", least=0.0)]
PositiveTime = Annotated[float, Quantity("time", above=0.0)]
Speed = Annotated[float, Quantity("speed")]
NonNegativeSpeed = Annotated[float, Quantity("speed", least=0.0)]
PositiveSpeed = Annotated[float, Quantity("speed", above=0.0)]
AngularSpeed = Annotated[float, Quantity("angular_speed", above=0.0)]
PositiveAcceleration = Annotated[float, Quantity("acceleration", above=0.0)]
Angle = Annotated[float, Quantity("angle")]
TiltAngle = Annotated[float, Quantity("angle", least=0.0, most=math.radians(30))]
SlopeAngle = Annotated[float, Quantity("slope", least=0.0)]
Stiffness = Annotated[float, Quantity("stiffness", above=0.0)]
Moment = Annotated[float, Quantity("torque", above=0.0)]
TorsionStiffness = Annotated[float, Quantity("torsion_stiffness", above=0.0)]
Pressure = Annotated[float, Quantity("pressure", least=0.0)]
PositivePressure = Annotated[float, Quantity("pressure", above=0.0)]
PressureGradient = Annotated[float, Quantity("pressure_gradient", least=0.0)]
Friction = Annotated[float, Quantity("ratio", least=0.01, most=2.0)]
"""From wet ice up: none at all would let a truck slide for ever, whatever holds it."""
DampingRatio = Annotated[float, Quantity("ratio", least=0.0, most=2.0)]
UnitWeight = Annotated[float, Quantity("unit_weight", least=8e3, most=3e4)]
SubgradeReaction = Annotated[float, Quantity("subgrade_reaction", above=0.0, most=1e9)]
BearingRatio = Annotated[float, Quantity("ratio", above=0.0, most=2.0)]
SteelArea = Annotated[float, Quantity("area_per_length", above=0.0, most=0.05)]
Temperature = Annotated[float, Quantity("temperature", least=243.15, most=353.15)]
Year = Annotated[int, Strict(), Field(ge=1800, le=2200)]
Area = Annotated[float, Quantity("area", above=0.0)]
Count = Annotated[int, Strict()]
Flag = Annotated[bool, Strict()]
Point = tuple[Length, Length, Length]
PlanPoint = tuple[Length, Length]
PlanSize = tuple[PositiveLength, PositiveLength]
Size = tuple[PositiveLength, PositiveLength, PositiveLength]
Meant = Annotated[
    tuple[str, ...],
    Field(max_length=100, description="Keys, as --set takes them, of unusual values that are meant as they stand."),
]
