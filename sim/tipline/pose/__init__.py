"""A set-up at rest, assessed."""
