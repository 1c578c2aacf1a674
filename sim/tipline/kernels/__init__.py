"""Scalar laws on float arrays, stepped in time; plain Python that numba can compile (see `compiled`)."""
