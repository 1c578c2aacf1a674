"""The commands, one a file: what goes in, its result, how that is found, and what is written of it."""
