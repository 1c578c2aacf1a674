"""Let the engine's tests import the cases and the twin engine that lie beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
