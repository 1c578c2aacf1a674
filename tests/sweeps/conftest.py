"""Let the batch engine's tests import the engine's cases, and the processes of a sweep the runs that fail."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "engine"), str(Path(__file__).parent)]
