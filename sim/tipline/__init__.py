"""What would it take to tip a heavy-lift truck or to break the floor under it, and what happens then.

`tipline.run(scenario)` simulates and assesses, `tipline.check(scenario)` assesses the pose at rest,
`tipline.slopes(scenario)` gives slope limits, `tipline.export(scenario, form)` the truck for other programs; all take a
file or the name of a shipped scenario and give typed results. They are imported when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tipline.composition import RunResult, check, export, run, slopes

__all__ = ["RunResult", "check", "export", "run", "slopes"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name in __all__:
        from tipline import composition

        return getattr(composition, name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
