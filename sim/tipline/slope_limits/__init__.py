"""Slope limits by direction and height, from statics and from simulated floors and ramps."""
