"""From a pose or a run to distances, limits and outcome; no engine is needed to read either."""

from tipline.assess.outcome import Outcome
from tipline.assess.pose import PoseReport, assess_pose
from tipline.assess.run import RunReport, assess_run, decider

__all__ = ["Outcome", "PoseReport", "RunReport", "assess_pose", "assess_run", "decider"]
