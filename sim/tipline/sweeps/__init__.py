"""Many runs of one truck: the compiled engine, and sweeps on it."""

from tipline.sweeps.batch import BatchResult, run_batch

__all__ = ["BatchResult", "run_batch"]
