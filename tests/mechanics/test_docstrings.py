"""Every public formula states its units, its range and a source that is listed."""

import importlib
import inspect
import pkgutil
import re

import pytest

import tipline.mechanics
import tipline.oracles
from tipline.selftest import references

MODULES = [
    importlib.import_module(f"{room.__name__}.{found.name}")
    for room in (tipline.mechanics, tipline.oracles)
    for found in pkgutil.iter_modules(room.__path__)
    if not found.name.startswith("_")
]
FUNCTIONS = [
    pytest.param(function, id=f"{module.__name__.removeprefix('tipline.')}.{name}")
    for module in MODULES
    for name, function in inspect.getmembers(module, inspect.isfunction)
    if not name.startswith("_") and function.__module__ == module.__name__
]
UNIT = re.compile(r"\[[^\]\s][^\]]*\]")
# Words and laws that take no unit: names of bodies, ways to merge them.
WITHOUT_UNIT = {"hosts", "first", "name"}


def _section(text: str, title: str) -> str:
    found = re.search(rf"\n *{title}\n *-+\n(.*?)(?=\n *\w+\n *-+\n|\Z)", text, re.DOTALL)
    return found[1] if found else ""


def _entries(section: str) -> dict[str, str]:
    """Give each argument's name and its text."""
    lines = inspect.cleandoc("\n" + section).splitlines()
    entries: dict[str, str] = {}
    names: list[str] = []
    for line in lines:
        head = re.match(r"(\w+(?:, \w+)*) ?:", line)
        if head:
            names = head[1].split(", ")
        for name in names:
            entries[name] = entries.get(name, "") + line + "\n"
    return entries


def test_every_module_names_what_is_public() -> None:
    """No module exports a name it does not have, and every public function is exported."""
    for module in MODULES:
        functions = {
            name
            for name, function in inspect.getmembers(module, inspect.isfunction)
            if not name.startswith("_") and function.__module__ == module.__name__
        }
        assert functions <= set(module.__all__), module.__name__
        assert all(hasattr(module, name) for name in module.__all__)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_docstring_gives_units_range_and_source(function) -> None:
    """Each argument and each result has a unit in brackets, refusals are told, the source resolves."""
    text = inspect.getdoc(function) or ""
    documented = _entries(_section("\n" + text, "Parameters"))
    arguments = list(inspect.signature(function).parameters)
    assert list(documented) == arguments
    for name in arguments:
        assert name in WITHOUT_UNIT or UNIT.search(documented[name]), f"{name}: no unit in brackets"
    returns = inspect.signature(function).return_annotation not in (None, "None")
    assert not returns or UNIT.search(_section("\n" + text, "Returns")), "no unit in brackets on the result"
    refuses = re.search(r"\braise \w|(?:positive|not_negative|finite|below|parts)\(", inspect.getsource(function))
    assert not refuses or "ValueError" in _section("\n" + text, "Raises") or "Error" in _section("\n" + text, "Raises")
    cited = [key for line in re.findall(r"Source:((?:[^\n]*\n?)*)", text) for key in re.findall(r"\[([^\]]+)\]", line)]
    assert cited, "no Source: [Key]"
    assert set(cited) <= references().keys()
