"""Let the processes of a sweep import the runs that fail."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
