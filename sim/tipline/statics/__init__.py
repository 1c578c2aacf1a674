"""The truck at rest: its equilibrium, tip lines, the energy to tip it, and the limits of a set-up."""
