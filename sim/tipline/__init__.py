"""What would it take to tip a heavy-lift truck or to break the floor under it, and what happens then.

`tipline.run(scenario)` simulates and assesses, `tipline.check(scenario)` assesses the pose at rest,
`tipline.floor(subject)` asks a floor, `tipline.slopes(scenario)` gives slope limits, `tipline.sweep(file)` runs a
scenario many times over what may vary, `tipline.export(scenario, form)` gives the truck for other programs; all take a
file or the name of a shipped one and give typed results. `tipline.write(result, folder)` leaves what the command of the
same name leaves; `tipline.shipped()`, `tipline.schema(kind)` and `tipline.self_test()` tell what the commands print.
They are imported when first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from tipline.notebook import show_by

if TYPE_CHECKING:
    from tipline.composition import RunResult, check, export, floor, run, shipped, slopes
    from tipline.delivery import write
    from tipline.scenario.schema import schema as schema
    from tipline.selftest import run_checks as self_test
    from tipline.sweeps.sweep import SweepResult, sweep

__all__ = [
    "RunResult", "SweepResult", "check", "export", "floor", "run", "schema", "self_test", "shipped", "slopes", "sweep",
    "write",
]  # fmt: skip
__version__ = "0.1.0"

_ELSEWHERE = {
    "SweepResult": "sweeps.sweep",
    "schema": "scenario",
    "self_test": "selftest",
    "sweep": "sweeps.sweep",
    "write": "delivery",
}


def __getattr__(name: str) -> Any:
    if name in __all__:
        module = import_module(f"tipline.{_ELSEWHERE.get(name, 'composition')}")
        return getattr(module, "run_checks" if name == "self_test" else name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)


def _shown(result: Any) -> str:
    """Return a result as a notebook shows it; the pages are loaded when the first one is shown."""
    from tipline.report.notebook import fragment_of

    return fragment_of(result)


show_by(_shown)
