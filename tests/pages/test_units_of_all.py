"""One rule for units in all commands: JSON is in SI whatever the page is in, and a page in US units has none of SI.

Besides: a range never without what is likely.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from html import unescape
from inspect import signature
from pathlib import Path
from typing import Any, get_args

import pytest

import tipline
from cases import SHORT_SWEEPS
from once import once
from tipline.cli import COMMANDS
from tipline.report.wording import spell
from tipline.units import System

LIFT = {"load": "5.2 t, nameplate", "plate": "12.25 t, 0.6 m, 5.5 m", "load_size": "1.8 m x 1.4 m x 1.6 m",
        "floor": "slab, 0.2 m, soil", "height": "3.2 m", "held": "jib, 1.6 m"}  # fmt: skip
WEIGHED = {"weighings": '[{total = "10.6 t", slabs = 2, attachment = "forks"}]'}
ON_SLAB = "stop-with-the-load-up-breaks-a-slab"
MADE: dict[str, Callable[[], Any]] = {
    "check": lambda: tipline.check(ON_SLAB),
    "floor": lambda: tipline.floor("demo-yard-c"),
    "slopes": lambda: tipline.slopes("turn-with-the-load-up", heights="1", directions=8),
    "loads": lambda: tipline.loads("demo-truck-b"),
    "fit": lambda: tipline.fit("demo-truck-a", WEIGHED),
    "start": lambda: tipline.start(LIFT),
    "run": lambda: tipline.run(ON_SLAB, spread=2, floor_spread=2, engine="compiled"),
    "sweep": lambda: tipline.sweep("what-buys-most-on-soft-ground", SHORT_SWEEPS["what-buys-most-on-soft-ground"]),
    "reconstruct": lambda: tipline.reconstruct("truck-on-its-side-by-the-press", {"runs": 20}, workers=0),
}
STORED = {"report"}
"""What prints again what another one stored."""
DEAR = ("fit", "start", "run", "sweep", "reconstruct")
"""What takes over a second, or far more."""
OF_SI = re.compile(
    r"(?<![\w.])-?[0-9][0-9.,]*[\s\u00a0](?:mm|m|km/h|m/s2?|kg|tonne|t|N|kN|MN|kPa|MPa|GPa|kJ|J|degC|kN/m2)\b"
)
DIFFERS = {"timings_s", "solve_time_s", "made"}
"""Keys of what differs from one time to the next."""


BESIDE = {"likely", "fitted", "probability", "here"}
"""What a likely figure is called."""
WRITTEN = re.compile(r"\b[a-z_]+(?:\.[a-z_0-9]+)+ = \S+\s\S+|--set \"[^\"]*\"")
"""A key with its value as a file or a command to type has it, which no page restates."""


def named(command: Callable[..., None]) -> set[str]:
    return set(signature(command).parameters)


def test_every_command_with_units_and_json_is_asked_here() -> None:
    both = {name for name, command in COMMANDS.items() if {"json", "units"} <= named(command)}
    assert both == set(MADE) | STORED


@pytest.fixture(
    scope="module",
    params=[pytest.param(name, marks=[pytest.mark.slow] if name in DEAR else []) for name in MADE],
)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """One result, written in either system; made by whichever process asks first."""
    name = request.param

    def made() -> dict[str, Path]:
        result, place = MADE[name](), tmp_path_factory.mktemp(name)
        return {one: tipline.write(result, place / one, units=one, pictures=False) for one in get_args(System)}

    return once(tmp_path_factory, f"in-both-units-{name}", made)


def summary(folder: Path) -> Any:
    return json.loads((folder / "summary.json").read_text(encoding="utf-8"))


def steady(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: steady(one) for key, one in value.items() if key not in DIFFERS}
    return [steady(one) for one in value] if isinstance(value, list) else value


def text_of(folder: Path) -> Iterator[str]:
    page = next(path for path in (folder / "report.html", folder / "sweep.html") if path.exists())
    body = page.read_text(encoding="utf-8").partition("</style>")[2]
    yield from (WRITTEN.sub("", unescape(part)).strip() for part in re.split(r"<[^>]*>", body) if part.strip())


def test_json_is_in_si_whatever_the_page_is_in(written: dict[str, Path]) -> None:
    assert steady(summary(written["us"])) == steady(summary(written["si"]))


def test_a_page_in_us_units_has_none_of_si(written: dict[str, Path]) -> None:
    si = [text for text in text_of(written["si"]) if OF_SI.search(text)]
    assert len(si) > 3
    assert [text for text in text_of(written["us"]) if OF_SI.search(text)] == []


TWO_UNITS = re.compile(
    r"[0-9] (?:in to -?[0-9.]+ ft|ft to -?[0-9.]+ in|in/s to -?[0-9.]+ ft/s)\b(?!/)"
    r"|\bx -?[0-9.]+ (?:in, y \S+ ft|ft, y \S+ in)\b"
)


def test_a_range_or_a_place_in_us_units_has_one_unit(written: dict[str, Path]) -> None:
    said = [text.replace("\u00a0", " ") for text in text_of(written["us"])]
    assert [text for text in said if TWO_UNITS.search(text)] == []
    assert TWO_UNITS.search("x 2.76 in, y 5.12 ft")
    assert TWO_UNITS.search("from 33 in to 3.22 ft")


NUMBER = re.compile(
    r"(?<![\w.,])-?([0-9][0-9,]*(?:\.[0-9]+)?)[\s\u00a0]"
    r"(mm|m|km/h|m/s2?|mm/s|kg|tonne|N|kN|kPa|MPa|kJ|J|kN/m2|in|ft|mph|ft/s2?|in/s|lb|lbf|psi|psf|ft lbf)"
    r"\b(?!/| m\b| ft\b)"
)
MOST_SHOWN = 3
"""Digits of a quantity that is not restated: in either system it is worked out from the value itself."""
MOST_OF_A_PLATE = 4
"""Of a load, which plates state to 10 kg."""


def digits(number: str) -> int:
    """Significant digits; the trailing zeros of a whole number may mean nothing, and are counted."""
    return len(number.replace(",", "").replace(".", "").lstrip("0")) or 1


def finer(si: str, us: str) -> list[tuple[str, str]]:
    """Give the numbers of a US text that have over one significant digit more than their origins in the SI text.

    Decimals that one number of a unit has are had by all of the text; a single digit that weighs or carries gets
    two more, and so does one which is over 2 % off with one more.
    """
    told = [NUMBER.findall(text) for text in (si, us)]
    places: dict[str, int] = {}
    for number, unit in told[0]:
        places[unit] = max(places.get(unit, 0), len(number.partition(".")[2]))
    over = []
    for (number, unit), (again, there) in zip(*told, strict=True):
        filled = digits(number) + places[unit] - len(number.partition(".")[2])
        value = float(again.replace(",", ""))
        rounded = float(f"{value:.{filled}e}")
        weighs = there in ("lb", "lbf", "psi", "psf")
        more = 2 if filled == 1 and (weighs or abs(rounded - value) > 0.02 * value) else 1
        if borne(again) > filled + more:
            over.append((f"{number} {unit}", f"{again} {there}"))
    return over


def borne(number: str) -> int:
    """Significant digits without the zeros at its end."""
    return len(number.replace(",", "").replace(".", "").strip("0"))


def test_the_measure_of_digits_itself() -> None:
    assert finer("from 5 km/h on", "from 3.11 mph on") == [("5 km/h", "3.11 mph")]
    assert finer("from 5 km/h on", "from 3.1 mph on") == []
    assert finer("1 m by 0.985 m", "3.28 ft by 3.23 ft") == []


def test_a_us_text_has_no_finer_figures_than_the_si_text(written: dict[str, Path]) -> None:
    si = {text.replace("\u00a0", " ") for text in text_of(written["si"])}
    again = {spell(text, "us"): text for text in si}
    restated, over = 0, []
    for text in text_of(written["us"]):
        origin = again.get(text.replace("\u00a0", " "))
        if origin is not None:
            restated += bool(NUMBER.search(origin))
            over += finer(origin, text)
        else:
            most = {"lb": MOST_OF_A_PLATE}
            over += [said for said in NUMBER.findall(text) if borne(said[0]) > most.get(said[1], MOST_SHOWN)]
    assert restated > 3
    assert over == []


def ranges(value: Any, path: str = "") -> Iterator[tuple[str, bool]]:
    """Yield each range of a summary by its path, and whether what is likely stands beside it."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key.endswith("_low"):
                yield f"{path}.{key}", f"{key.removesuffix('_low')}_likely" in value
            if key in ("low", "low_95", "nine_in_ten"):
                yield f"{path}.{key}", bool(BESIDE & set(value))
            if key != "groups":  # of a sweep: the rows between two values of an input, no range of an answer
                yield from ranges(one, f"{path}.{key}")
    elif isinstance(value, list):
        for one in value:
            yield from ranges(one, f"{path}[]")


def test_a_range_stands_with_what_is_likely(written: dict[str, Path]) -> None:
    found = list(ranges(summary(written["si"])))
    assert [path for path, likely in found if not likely] == []
    if written["si"].parent.name.startswith(("check", "floor", "fit", "start", "run", "reconstruct")):
        assert found


@pytest.mark.slow
def test_a_check_gives_the_ranges_of_its_floor_as_the_floor_does(tmp_path: Path) -> None:
    """In words only until now; the loads are those of the set-up at rest with the stops that its scenario plans."""
    checked = summary(tipline.write(tipline.check(ON_SLAB), tmp_path / "check", pictures=False))["floor"]
    floored = summary(tipline.write(tipline.floor(ON_SLAB), tmp_path / "floor", pictures=False))["answers"]
    assert set(checked) == {"lead", "lines", "answers"}
    assert set(checked["answers"][0]) == set(floored[0])
    worst = checked["answers"][0]
    low, likely, high = (worst[f"of_planning_limit_{end}"] for end in ("low", "likely", "high"))
    assert low < likely < high
    assert f"{likely:.2g} times the planning limit, nine in ten draws {low:.2g} to {high:.2g}" in checked["lead"]


def test_what_is_told_of_asphalt_is_in_degf_in_us_units() -> None:
    """By hand: 35 degC of the air are 95 degF; a surface of 60 degC is 140 degF."""
    from tipline.report.floor import floor_page
    from tipline.report.text import page_text

    report = tipline.floor("demo-yard-c").report
    told = page_text(floor_page(report, "us"))
    assert "140 degF likely" in told
    assert "degC" not in told
