"""What of a page is not within reach of everybody, by axe-core (WCAG 2.1, A and AA), which a Python package carries."""

from __future__ import annotations

from typing import Any

import pytest

__all__ = ["WIDTHS", "out_of_reach", "out_of_reach_at_each_width"]

WIDTHS = (1280, 820)
"""A laptop's screen, and a tablet's held upright."""
_RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}}


def out_of_reach(page: Any, where: str) -> list[tuple[str, ...]]:
    """Give what breaks a rule, and what is wider than the screen."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    violations = axe.Axe().run(page, options=_RULES).response["violations"]
    wrong = [(where, rule["id"], node["html"][:200]) for rule in violations for node in rule["nodes"]]
    if page.evaluate("document.documentElement.scrollWidth") > page.viewport_size["width"]:
        wrong.append((where, "too wide", ""))
    return wrong


def out_of_reach_at_each_width(page: Any, where: str) -> list[tuple[str, ...]]:
    """Give the same at each width; the window is as it was then."""
    size, wrong = page.viewport_size, []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        wrong += out_of_reach(page, f"{where} {width}")
    page.set_viewport_size(size)
    return wrong
