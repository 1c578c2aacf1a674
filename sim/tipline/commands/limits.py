"""How much may be asked of a command: what it would take beyond is no answer in a working day (our choice)."""

MOST_SPREAD = 500
"""Runs within what is not known of a run, and as many on drawn floors."""
MOST_GHOSTS = 100
"""Runs of a spread that a replay draws: more cannot be told apart, and make the page slow and large."""
DIRECTIONS = 8, 720
"""Directions of slope limits, least and most: one every 45 degrees to two a degree."""
MOST_SIMULATED = 36
"""Directions of slope limits that are simulated as well."""
MOST_RAMPS = 12
"""Ways of driving onto a ramp and stopping on it; as many as there are."""
MOST_WORKERS = 256
"""Processes of a sweep on one computer."""
