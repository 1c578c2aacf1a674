"""Let the tests import the spoiled files."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent)]
