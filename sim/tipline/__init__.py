"""What would it take to tip a heavy-lift truck or to break the floor under it, and what happens then.

`tipline.run(scenario)` simulates and assesses, `tipline.check(scenario)` assesses the pose at rest,
`tipline.floor(subject)` asks a floor, `tipline.slopes(scenario)` gives slope limits, `tipline.loads(machine)` the
greatest and least load of a machine's set-ups, `tipline.fit(machine)` fits its file to what was weighed,
`tipline.sweep(file)` runs a scenario many times over what may vary, `tipline.reconstruct(case)` weighs the causes of
an incident by what was found, `tipline.export(scenario, form)` gives the truck for other programs,
`tipline.replay(folder)` a page that plays a stored run, `tipline.lesson(file)` a lesson of such pages. All others take
a file, the name of a shipped one or what was read already, with changes by key as text or as numbers in SI units, and
give typed results. `tipline.write(result, folder)` leaves what the command that gives such a result leaves,
`tipline.report_of(folder)` sets its report again and `tipline.repeat(folder)` makes it again; `tipline.shipped()`,
`tipline.schema(kind)` and `tipline.self_test()` tell what the commands
print. They are imported when first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from tipline.notebook import show_by

if TYPE_CHECKING:
    from tipline.commands.check import CheckResult as CheckResult
    from tipline.commands.check import check
    from tipline.commands.export import ExportResult as ExportResult
    from tipline.commands.export import export
    from tipline.commands.fit import FitResult as FitResult
    from tipline.commands.fit import fit
    from tipline.commands.floor import FloorResult as FloorResult
    from tipline.commands.floor import floor
    from tipline.commands.lesson import LessonResult as LessonResult
    from tipline.commands.lesson import lesson
    from tipline.commands.listing import copy_shipped, shipped
    from tipline.commands.loads import LoadsResult as LoadsResult
    from tipline.commands.loads import loads
    from tipline.commands.new import new
    from tipline.commands.reconstruct import ReconstructResult as ReconstructResult
    from tipline.commands.reconstruct import reconstruct
    from tipline.commands.repeat import repeat
    from tipline.commands.replay import ReplayResult as ReplayResult
    from tipline.commands.replay import replay
    from tipline.commands.report import report_of
    from tipline.commands.run import RunResult as RunResult
    from tipline.commands.run import run
    from tipline.commands.slopes import SlopeResult as SlopeResult
    from tipline.commands.slopes import slopes
    from tipline.commands.start import StartResult as StartResult
    from tipline.commands.start import start
    from tipline.commands.sweep import SweepResult as SweepResult
    from tipline.commands.sweep import sweep
    from tipline.commands.write import write
    from tipline.scenario.schema import schema as schema
    from tipline.selftest import run_checks as self_test

__all__ = [
    "check",
    "copy_shipped",
    "export",
    "fit",
    "floor",
    "lesson",
    "loads",
    "new",
    "reconstruct",
    "repeat",
    "replay",
    "report_of",
    "run",
    "schema",
    "self_test",
    "shipped",
    "slopes",
    "start",
    "sweep",
    "write",
]
__version__ = "0.1.0"

_RESULTS = (
    "CheckResult",
    "ExportResult",
    "FitResult",
    "FloorResult",
    "LessonResult",
    "LoadsResult",
    "ReplayResult",
    "ReconstructResult",
    "RunResult",
    "SlopeResult",
    "StartResult",
    "SweepResult",
)
"""Types of results, for annotations; not among the names that are listed."""
_ELSEWHERE = {
    "copy_shipped": ("commands.listing", "copy_shipped"),
    "report_of": ("commands.report", "report_of"),
    "schema": ("scenario.schema", "schema"),
    "self_test": ("selftest", "run_checks"),
    "shipped": ("commands.listing", "shipped"),
    **{name: (f"commands.{name.removesuffix('Result').lower().replace('slope', 'slopes')}", name) for name in _RESULTS},
}


def __getattr__(name: str) -> Any:
    if name not in __all__ and name not in _RESULTS:
        msg = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(msg)
    module, attribute = _ELSEWHERE.get(name, (f"commands.{name}", name))
    return getattr(import_module(f"tipline.{module}"), attribute)


def __dir__() -> list[str]:
    return __all__


def _shown(result: Any) -> str:
    """Return a result as a notebook shows it; the pages are loaded when the first one is shown."""
    from tipline.report.notebook import fragment_of

    return fragment_of(result)


show_by(_shown)
