"""Figures of an incident in words: shares that are counted, factors with their range, how many runs there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tipline.incidents.report import CauseJudged


__all__ = ["NOT_TOLD", "counted", "factor_said", "ranged", "runs_said", "upper"]

NOT_TOLD = "not told"


def counted(value: float) -> str:
    """Return a share that is given or counted, not estimated."""
    return f"{100 * value:.0f} %"


def factor_said(value: float, span: tuple[float, float]) -> str:
    """Return a factor with its range."""
    likely, low, high = (_number(given) for given in (value, *span))
    return "tells nothing" if likely == low == high == "1" else ranged(f"{likely} times", low, high)


def ranged(likely: str, low: str, high: str) -> str:
    """Return a likely figure with its range, which is left out where its figures are the same."""
    return likely if low == high else f"{likely} ({low} to {high})"


def _number(value: float) -> str:
    if value > 1000.0:
        return "over 1000"
    if value < 0.001:
        return "under 0.001"
    return f"{float(f'{value:.2g}'):.0f}" if value >= 10.0 else f"{value:.2g}"


def upper(text: str) -> str:
    """Return a text with a capital in front."""
    return text[:1].upper() + text[1:]


def runs_said(causes: Sequence[CauseJudged]) -> str:
    """Return how many runs each cause has, from the fewest to the most."""
    counts = [cause.runs for cause in causes]
    return str(min(counts)) if min(counts) == max(counts) else f"{min(counts)} to {max(counts)}"
