"""A value over everything that is not known of a floor, and the words for a ratio."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, isnan, nan

__all__ = ["Span", "digits", "range_words", "ratio_words", "share_words", "times_words"]


@dataclass(frozen=True)
class Span:
    """A value over everything that is not known: nine in ten draws lie from ``low`` to ``high`` (see `draws`).

    ``likely``: from the likely inputs. ``worst``: with all at its worst at once, a marked corner that decides nothing.
    """

    low: float
    likely: float
    high: float
    worst: float = nan

    @property
    def ends(self) -> dict[str, float]:
        """The four by name, the worst only where there is one."""
        three = {"low": self.low, "likely": self.likely, "high": self.high}
        return three if isnan(self.worst) else {**three, "worst": self.worst}

    def named(self, name: str) -> dict[str, float]:
        """Return the four under a name that each ends."""
        four = {"low": self.low, "likely": self.likely, "high": self.high, "worst": self.worst}
        return {f"{name}_{end}": value for end, value in four.items()}

    def scaled(self, factor: float) -> Span:
        """Return the span times a factor above 0."""
        return Span(self.low * factor, self.likely * factor, self.high * factor, self.worst * factor)


def share_words(span: Span, what: str) -> str:
    """Give ratios to something: the likely one, then nine in ten draws, then the worst corner where it lies beyond.

    "3.9 times the planning limit, nine in ten draws 2.6 to 7.2, all at its worst at once 12".
    """
    nine_in_ten, beyond = range_words(span), _beyond(span)
    likely = digits(span.likely)
    parts = [times_words(span.likely, what)]
    parts += [f"nine in ten draws {nine_in_ten}"] if nine_in_ten != likely else []
    parts += [f"all at its worst at once {beyond}"] if beyond else []
    return ", ".join(parts)


def times_words(value: float, what: str) -> str:
    """Give a ratio to something with "times": "0.8 times the planning limit"."""
    return f"{digits(value)} times {what}" if isfinite(value) else f"more than all of {what}"


def ratio_words(span: Span) -> str:
    """Give ratios with two digits, the likely one first: "1.2 (nine in ten 0.7 to 1.4)"."""
    likely, nine_in_ten = digits(span.likely), range_words(span)
    return likely if nine_in_ten == likely else f"{likely} (nine in ten {nine_in_ten})"


def range_words(span: Span) -> str:
    """Give nine in ten draws of a ratio: "0.7 to 1.4"."""
    low, high = digits(span.low), digits(span.high)
    return low if low == high else f"{low} to {high}"


def _beyond(span: Span) -> str:
    """Give the worst corner where it reads otherwise than the upper end."""
    if isnan(span.worst) or digits(span.worst) == digits(span.high):
        return ""
    return digits(span.worst)


def digits(value: float) -> str:
    """Give a ratio with two digits, more where it lies near one; "more than all" where there is no strength."""
    if not isfinite(value):
        return "more than all"
    if value < 0.005:
        return "under 0.01" if value > 0.0 else "0"
    if value >= 9.5:
        return f"{value:.0f}" if value < 100.0 else "over 100"
    return f"{value:.2f}" if value < 0.095 else f"{value:.1f}" if abs(round(value, 1) - 1.0) > 1e-9 else _by_one(value)


def _by_one(value: float) -> str:
    """Give a ratio near one with the digits that show on which side of one it lies."""
    text = f"{value:.2f}"
    return text if text != "1.00" or value == 1.0 else ("just under 1" if value < 1.0 else "just over 1")
