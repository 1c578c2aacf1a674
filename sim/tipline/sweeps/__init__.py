"""Many runs of one truck, each by its ending: sweeps, the further runs of a run."""
