"""The method statement of this version: every law with its equation, source and range, then the checks.

It is read from the descriptions of the formulas themselves, so that it says what this version computes.
"""

from __future__ import annotations

import ast
import inspect
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tipline.selftest import measured
from tipline.selftest.page import recorded_table, table
from tipline.selftest.references import references
from tipline.selftest.registry import as_records as check_records
from tipline.selftest.registry import run_checks
from tipline.selftest.second_library import RECORDED
from tipline.selftest.sources import Sources
from tipline.selftest.used_by import COMMANDS, reached_by

__all__ = ["Law", "as_records", "laws", "statement"]

READ = {"text": "read there", "abstract": "known to exist, its numbers not read", "no": "from memory"}
"""How far a source was read, by its mark in the list of sources."""
_LAWS = "tipline.mechanics"
_SOURCE = re.compile(r"\bSource: (.*(?:\n.+)*)")
_ARGUMENT = re.compile(r"^(\w[\w, ]*) : .*$", re.MULTILINE)
_ROOMS = ("kernels", "geometry", "statics", "engines", "slope_limits", "floors", "set_ups", "sweeps")
_LISTED = re.compile(r"^(Arrays:|\w+\n-{3,}|\s*\w[\w, ]* : |\w+ \((\d|[A-Z_]+|n)[\w, ]*\) )", re.MULTILINE)
_KEY = re.compile(r"\[([A-Z][A-Za-z0-9.]*)\]")


@dataclass(frozen=True)
class Law:
    """One formula: what it gives, its equation, where it holds, its sources with how far each was read, who uses it.

    ``inputs``: its arguments with their units, ``refuses``: what it does not take; each as its description has it.
    """

    subject: str
    name: str
    what: str
    inputs: str
    equation: str
    refuses: str
    sources: tuple[str, ...]
    commands: tuple[str, ...] = ()


def laws() -> tuple[Law, ...]:
    """Return every law that answers rest on, by subject in the order of its file."""
    sources = Sources(Path(__file__).parents[1])
    used = {command: reached_by(command) for command in COMMANDS}
    listed = []
    for module, name in sources.public(_LAWS):
        node = sources.node((module, name))
        said = ast.get_docstring(node) if isinstance(node, ast.FunctionDef) else None
        if said and _SOURCE.search(said):
            commands = tuple(command for command, reached in used.items() if (module, name) in reached)
            listed.append(_law(module.removeprefix(f"{_LAWS}."), name, inspect.cleandoc(said), commands))
    return (*(law for law in listed if law.equation), *_stepped())


def _stepped() -> Iterator[Law]:
    """Yield what files say at their heads, and of what they give, of laws stepped in time, sought or put together."""
    root = Path(__file__).parents[1]
    for room in _ROOMS:
        for path in sorted((root / room).rglob("*.py")):
            module = ast.parse(path.read_text(encoding="utf-8"))
            said = ast.get_docstring(module) or ""
            if _SOURCE.search(said):
                name = path.relative_to(root).with_suffix("").as_posix()
                what, _, more = _SOURCE.sub("", said).partition("\n\n")
                gives = " ".join((_line(_whole(more)), *_given(module))).strip()
                yield Law(room, name, _line(what), "", gives, "", _sources(said))


def _given(module: ast.Module) -> Iterator[str]:
    """Yield each function that a file gives others, with what is said of it."""
    for node in module.body:
        said = ast.get_docstring(node) if isinstance(node, ast.FunctionDef) else None
        if said and isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield f"{node.name.replace('_', ' ')}: {_line(_whole(_SOURCE.sub('', said)))}"


def _whole(said: str) -> str:
    """Leave out paragraphs that list arrays, arguments or errors."""
    return "\n\n".join(part for part in said.split("\n\n") if not _LISTED.search(part))


def _law(subject: str, name: str, said: str, commands: tuple[str, ...]) -> Law:
    parts = _parts(_SOURCE.sub("", said))
    first, _, more = parts.pop("").partition("\n\n")
    equation = " ".join(text for text in (more, parts.get("Notes", ""), _untyped(parts.get("Returns", ""))) if text)
    return Law(
        subject=f"mechanics: {subject}",
        name=name,
        what=_line(first),
        inputs=_line(_ARGUMENT.sub(r"\1:", parts.get("Parameters", ""))),
        equation=_line(equation),
        refuses=_line(_untyped(parts.get("Raises", ""))),
        sources=_sources(said),
        commands=commands,
    )


def _parts(said: str) -> dict[str, str]:
    """Cut a description at its underlined heads; what stands before the first goes under ""."""
    pieces = re.split(r"^(\w+)\n-{3,}\n", said, flags=re.MULTILINE)
    return {"": pieces[0], **dict(zip(pieces[1::2], pieces[2::2], strict=True))}


def _untyped(text: str) -> str:
    """Leave out the lines that name a type."""
    return "\n".join(line for line in text.splitlines() if line.startswith(" "))


def _sources(said: str) -> tuple[str, ...]:
    cited = " ".join(_SOURCE.findall(said))
    keys = dict.fromkeys(_KEY.findall(cited))
    return tuple(_source(key) for key in keys) or (_line(cited),)


def _line(text: str) -> str:
    return " ".join(text.replace("`", "").split())


def _source(key: str) -> str:
    entry = references()[key]
    by = f"{entry.by}: " if entry.by else ""
    return f"{by}{entry.title} ({READ[entry.seen]})"


def statement(stated: Sequence[Law], width: int = 100) -> str:
    """Write the statement as text: laws by subject, the self-test, what other libraries gave, what others measured."""
    lines: list[str] = []
    subject = ""
    for law in stated:
        if law.subject != subject:
            subject = law.subject
            lines += ["", subject.replace("_", " ").upper()]
        lines += ["", *_said(law, width)]
    tables = table(run_checks(), width), recorded_table(RECORDED, width), measured.measured_table(measured.KINDS, width)
    return "\n".join((*lines[1:], "", "THE CHECKS", "", "\n\n".join(tables)))


def _said(law: Law, width: int) -> Iterator[str]:
    yield from textwrap.wrap(f"{law.name.replace('_', ' ')}: {law.what}", width)
    rows = (
        ("takes", law.inputs),
        ("gives", law.equation),
        ("refused", law.refuses),
        ("source", "; ".join(law.sources)),
        ("used by", ", ".join(law.commands)),
    )
    for head, text in rows:
        if text:
            yield from textwrap.wrap(f"{head}: {text}", width, initial_indent="    ", subsequent_indent="      ")


def as_records(stated: Sequence[Law]) -> dict[str, Any]:
    """Give the statement for other programs."""
    return {
        "laws": [asdict(law) for law in stated],
        "checks": check_records(run_checks()),
        "recorded": [asdict(row) for row in RECORDED],
        "measured_by_others": measured.as_records(),
    }
