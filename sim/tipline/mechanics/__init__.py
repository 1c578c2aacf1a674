"""Pure mechanics on numbers and arrays: no file, mesh, engine or screen."""
