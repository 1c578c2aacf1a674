"""Closed forms that no command calls: a second route to what `check`, `run`, `slopes` and `floor` answer.

Each is exact for a truck or a floor simpler than ours. The self-test computes their published numbers, and `MET` names
for each the test that holds an answer of the product against it, on a truck or a floor on which both must agree.
"""

from __future__ import annotations

from types import MappingProxyType

__all__ = ["MET"]

MET: MappingProxyType[str, tuple[str, ...]] = MappingProxyType({})
"""By module and name the tests in which an answer of the product meets an oracle."""
