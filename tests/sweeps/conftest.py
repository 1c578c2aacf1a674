"""Let the batch engine's tests import the engine's cases."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "engine"))
