"""`export`: the truck of a scenario as files for other programs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tipline.commands.delivered import write_inputs
from tipline.commands.given import Overrides, Progress, case_of, one_of, silent
from tipline.report import wording
from tipline.scenario import Case

if TYPE_CHECKING:
    from tipline.geometry.export import Exported, Format

__all__ = ["ExportResult", "export", "write_export"]


@dataclass(frozen=True)
class ExportResult:
    """A case and its truck in the files of a format."""

    case: Case
    exported: Exported

    def words(self) -> dict[str, list[str]]:
        """Say what is unusual, what the files hold and what the format cannot hold."""
        questions = [str(question) for question in self.case.unusual]
        first = {"unusual": questions} if questions else {}
        left_out = list(self.exported.leaves_out)
        return {**first, "in_these_files": list(self.exported.holds), "not_in_these_files": left_out}


def export(
    scenario: Case | Path | str,
    form: Format,
    overrides: Overrides | None = None,
    progress: Progress | None = None,
) -> ExportResult:
    """Give the truck of a scenario, in its set-up at time zero, as the files of a format.

    Parameters
    ----------
    scenario : by file or shipped name, or a case already read
    form : "urdf", "mjcf" or "glb"
    overrides : settings that replace those of the files, as for `run`
    progress : told of each stage

    Raises
    ------
    InputError
        A file, a value or an override is wrong.

    Examples
    --------
    >>> import tipline
    >>> sorted(tipline.export("front-tyre-breaks-through-load-high", "glb").exported.files)
    ['truck.glb']
    """
    from tipline.geometry.export import FORMATS
    from tipline.geometry.export import export as exported

    tell = progress or silent
    tell("reading", None)
    one_of(form, "form", FORMATS)
    case = case_of(scenario, overrides)
    tell("exporting", None)
    return ExportResult(case, exported(case, form))


def write_export(result: ExportResult, folder: Path) -> None:
    """Write the files of a format, what it holds and cannot hold, and the inputs into `folder`."""
    write_inputs(result.case, folder / "inputs")
    for name, data in result.exported.files.items():
        place = folder / name
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(data)
    lines = [wording.demo_note(result.case.demo), ""] if result.case.demo else []
    for heading, items in result.words().items():
        lines += [heading.replace("_", " ").capitalize(), *(f"- {item}" for item in items), ""]
    (folder / "about.txt").write_text("\n".join([*lines, wording.ESTIMATE, wording.GOVERNING, ""]), encoding="utf-8")
