"""Cantilever beams, single load at the end.

By: Engineering ToolBox.
Where: engineeringtoolbox.com/cantilever-beams-d_1848.html.
Key: [ToolBoxCantilever]
"""

from collections.abc import Callable

Agrees = Callable[[str, str], None]


def test_steel_cantilever(agrees: Agrees) -> None:
    """Example, single load at the end: End of a 5 m steel cantilever under 3000 N, 7.6 mm."""
    agrees("steel-cantilever", "7.6 mm")
