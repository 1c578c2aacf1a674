"""The ways in which a floor can give, each asked of a tyre or of several together."""
