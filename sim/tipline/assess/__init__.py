"""From a pose or a run to distances, limits and outcome; no engine is needed to read either."""

from tipline.assess.pose import PoseReport, assess_pose

__all__ = ["PoseReport", "assess_pose"]
