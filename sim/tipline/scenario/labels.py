"""What a setting is called on a page, by its dotted key."""

from __future__ import annotations

from tipline.scenario.spec import Scenario

__all__ = ["height_of", "label_of"]

_LABELS = {"breakthrough depth": "hole depth", "load mass": "lifted load"}


def label_of(key: str, scenario: Scenario) -> str:
    """Return the words for a key as in ``--set``: ``event.0.depth`` of a breakthrough is the hole depth."""
    parts = key.split(".")
    if parts[0] == "event" and len(parts) > 2 and parts[1].isdigit() and int(parts[1]) < len(scenario.event):
        parts = [scenario.event[int(parts[1])].kind, *parts[2:]]
    elif parts[0] == "setup":
        parts = parts[1:]
    words = " ".join(parts).replace("_", " ")
    return _LABELS.get(words, words)


def height_of(hook: bool) -> str:
    """Return which height a load is held at: that of the hook on a jib, else that of the forks."""
    return "hook height" if hook else "fork height"
