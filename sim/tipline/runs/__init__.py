"""A run, assessed: what was watched, how it ended, what it met, what it asked of the floor."""
