"""An incident that is ready to be asked of: what was found in SI, and for each cause the runs that it is judged by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tipline.errors import InputError
from tipline.model.document import Overrides
from tipline.scenario.case import Case, Text
from tipline.scenario.incident import Cause, Incident, Measured
from tipline.scenario.sweep_plan import SweepPlan

__all__ = ["CausePlan", "FindingRead", "IncidentPlan"]


@dataclass(frozen=True)
class FindingRead:
    """One finding in SI.

    Attributes
    ----------
    of : its name in the file; measured : what that is
    value : what was recorded [SI], or the word
    within : half-width that holds it in 19 of 20 such records [SI]; 0 for a word
    sure : the share of such records in which the word is right
    known : who recorded it, when and how, in words; used : whether it counts
    """

    of: str
    measured: Measured
    value: float | str
    within: float
    sure: float
    known: str
    used: bool


@dataclass(frozen=True)
class CausePlan:
    """One cause with the runs that it is judged by."""

    cause: Cause
    plan: SweepPlan


@dataclass(frozen=True)
class IncidentPlan:
    """An incident that is ready to be asked of.

    Attributes
    ----------
    incident : the file; document : its text, for the folder that is left
    readings : what was found, in the order of the file
    causes : in the order of the file
    unusual : what the files give that is more often a slip than meant
    name, changes : what it was read from
    """

    incident: Incident
    readings: tuple[FindingRead, ...]
    causes: tuple[CausePlan, ...]
    unusual: tuple[InputError, ...]
    files: Mapping[str, str]
    name: str
    changes: Overrides

    @property
    def texts(self) -> tuple[Text, ...]:
        """The files that the runs are read from, those of each cause in the order of the file."""
        return tuple(text for own in self.causes for text in own.plan.texts)

    @property
    def case(self) -> Case:
        """The case of the first cause, from which machine, floor and set-up are told."""
        return self.causes[0].plan.case
