"""Frozen specs of a scenario and its reader."""
