"""The rules that a greatest and a least lifted load are held to, with how far each number is known."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from tipline.endings import RULES as ENDINGS
from tipline.errors import InputError, argument
from tipline.model.own_truck.slope_tests import PLATFORM
from tipline.model.structure import STRUCTURE

__all__ = ["GREATEST", "LEAST", "LoadRules", "rules_from"]

GREATEST = {
    "plate": "the capacity plate",
    "stacking": "the slope test for stacking",
    "travelling": "the slope test for travelling",
    "lateral": "the side-slope test for stacking",
    "steer axle": "the least weight on the steer axle",
    "hung, of tipping": "the limit for a hung load",
    "hung, own stop": "its own service stop with the load's swing",
    "drive tyres": "the rating of its drive tyres",
    **STRUCTURE,
}
"""Words for what governs a greatest load."""
LEAST = {
    "drive axle": "the least weight on the drive axle",
    "slope behind": "a floor that falls behind",
}
"""Words for what governs a least load."""


@dataclass(frozen=True)
class LoadRules:
    """Numbers of the rules; slopes as tangents, shares of one.

    ``stacking`` and ``stacking_heavy`` : slope ahead, forks as high as they go, of trucks rated below 5 t and from 5 t;
    here asked at each height, and turned round of a least load, which no standard does (our choice). ``travelling`` :
    slope ahead, forks at 300 mm, mast tilted back. ``lateral`` : slope aside, forks high, mast tilted back.
    ``unladen`` and ``per_speed`` : slope aside without a load, forks low, and more of it for each km/h of the top
    speed, up to ``unladen_most`` and from 5 t ``unladen_most_heavy``. These are of published tests and of forklift
    laws; ISO 22915-2 itself was not read, and 1.4 % for each km/h stands in it as we remember it, where laws have
    1.1 %. ``steer_share`` : of the weight, on the steer axle (common practice, no source). ``drive_share`` : of the
    weight, on the drive axle (our choice). ``hung_share`` : of the load that tips it on the level, for a hung load
    (rule for cranes that carry their load, taken over by us).
    """

    stacking: float = PLATFORM.stacking_light
    stacking_heavy: float = PLATFORM.stacking
    travelling: float = PLATFORM.driving
    lateral: float = 0.06
    unladen: float = PLATFORM.aside_base
    per_speed: float = 0.011
    unladen_most: float = PLATFORM.aside_most
    unladen_most_heavy: float = 0.50
    steer_share: float = 2.0 * ENDINGS.light_to_steer
    drive_share: float = 0.15
    hung_share: float = 2.0 / 3.0

    def stacking_of(self, rated: float | None) -> float:
        """Return the slope of the stacking test; where no rated load is known the steeper one."""
        return self.stacking_heavy if rated is not None and rated >= PLATFORM.light else self.stacking

    def unladen_of(self, rated: float | None, top_speed: float) -> float:
        """Return the slope of the side test without a load at a top speed [km/h]."""
        heavy = rated is None or rated >= PLATFORM.light
        return min(self.unladen + self.per_speed * top_speed, self.unladen_most_heavy if heavy else self.unladen_most)


def rules_from(given: Any) -> LoadRules:
    """Return the rules with some numbers replaced by name; raises InputError where that cannot be."""
    known = {field.name for field in fields(LoadRules)}
    if not isinstance(given, dict):
        msg = "needs names and numbers"
        raise InputError(msg, key=argument("rules"), value=repr(given), remedy="Write it like steer_share=0.2")
    values = {}
    for name, value in given.items():
        if name not in known:
            msg = "is no number of these rules"
            raise InputError(
                msg, key=argument("rules"), value=str(name), remedy=f"Give one of {', '.join(sorted(known))}"
            )
        values[name] = _share(name, value)
    return LoadRules(**values)


def _share(name: str, value: Any) -> float:
    """Read a number from 0 to below 1, or as "20 %"."""
    text = str(value).strip()
    try:
        number = float(text.removesuffix("%")) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        number = -1.0
    if not 0.0 <= number < 1.0:
        msg = "must be from 0 to below 1, or a percentage"
        raise InputError(
            msg, key=argument("rules"), value=f"{name}={text}", remedy="Write it like steer_share=0.2, or 20 %"
        )
    return number
