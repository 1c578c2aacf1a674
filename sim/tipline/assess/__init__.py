"""From a pose or a run to distances, limits and outcome; no engine is needed to read either."""

from tipline.assess.outcome import Outcome
from tipline.assess.pose import PoseReport, assess_pose
from tipline.assess.run import RunReport, assess_run, decider, first_to_go, outcome_of
from tipline.assess.table import NO_RESULT, OutcomeTable, outcome_table, same_inputs

__all__ = [
    "NO_RESULT",
    "Outcome",
    "OutcomeTable",
    "PoseReport",
    "RunReport",
    "assess_pose",
    "assess_run",
    "decider",
    "first_to_go",
    "outcome_of",
    "outcome_table",
    "same_inputs",
]
