"""What would it take to tip a heavy-lift truck or to break the floor under it, and what happens then.

`tipline.run(scenario)` simulates and assesses, `tipline.check(scenario)` assesses the pose at rest,
`tipline.slopes(scenario)` gives slope limits, `tipline.sweep(file)` runs a scenario many times over what may vary,
`tipline.export(scenario, form)` gives the truck for other programs; all take a file or the name of a shipped one and
give typed results. They are imported when first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tipline.composition import RunResult, check, export, run, slopes
    from tipline.sweeps.sweep import SweepResult, sweep

__all__ = ["RunResult", "SweepResult", "check", "export", "run", "slopes", "sweep"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    if name in ("SweepResult", "sweep"):
        from tipline.sweeps import sweep as module

        return getattr(module, name)
    if name in __all__:
        from tipline import composition

        return getattr(composition, name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
