"""Frozen specs of a scenario, and its reader."""

from tipline.scenario.case import Case
from tipline.scenario.reader import read
from tipline.scenario.resolved import write_resolved
from tipline.scenario.schema import schema
from tipline.scenario.spec import Scenario

__all__ = ["Case", "Scenario", "read", "schema", "write_resolved"]
