"""What others measured beside ours: figures as found, told in README, and moved by a law that is spoiled.

A measurement is no formula's number, so nothing here says that ours is right: each bound is the figure itself as it was
found, to the digit shown, and a change of a law shows as a change of it.
"""

from __future__ import annotations

import importlib
import json
from dataclasses import fields, replace
from functools import partial
from math import isnan, log
from pathlib import Path

import pytest

from tipline.selftest import measured, references
from tipline.selftest.measured.comparison import MeasuredKind, Measurement, ToldRatio

KINDS = {kind.name: kind for kind in measured.KINDS}
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
FOUND = {
    "tractors tilted": (10, 1.031, 0.005, 1.024, 1.040),
    "blocks rocking": (3, 0.851, 0.170, 0.670, 0.971),
    "long pendulums": (2, 1.002, 0.002, 1.000, 1.005),
    "footings on sand": (99, 1.005, 0.491, 0.301, 3.749),
    "large footings at 25 mm": (5, 1.869, 0.064, 1.689, 2.041),
    "footing on soft clay": (1, 0.700, None, 0.700, 0.700),
    "reinforced slabs punched": (179, 1.232, 0.223, 0.726, 1.957),
    "slabs on ground until through": (1, 2.089, None, 2.089, 2.089),
    "flexural strength of concrete": (2, 1.567, 0.001, 1.566, 1.568),
    "stiffness of concrete": (2, 0.837, 0.027, 0.815, 0.861),
    "fatigue of concrete in bending": (2, 1.123, 0.048, 1.070, 1.178),
}
"""How many, middle, scatter, least and most of measured over ours."""
IN_WORDS = {"fibre slabs on ground punched", "asphalt in the sun", "granular platforms over clay"}
"""Of these the sources tell no single number."""


def test_figures_are_as_they_were_found() -> None:
    assert FOUND.keys() | IN_WORDS == KINDS.keys()
    for name, found in FOUND.items():
        summary = KINDS[name].summary
        assert summary is not None
        number, middle, scatter, least, most = found
        assert summary.number == number, name
        assert (summary.middle, summary.least, summary.most) == pytest.approx((middle, least, most), abs=6e-4), name
        assert isnan(summary.scatter) if scatter is None else summary.scatter == pytest.approx(scatter, abs=6e-4), name
    assert all(KINDS[name].summary is None for name in IN_WORDS)


def test_there_are_at_least_eight_kinds_with_numbers_and_their_sources_are_listed() -> None:
    assert len(FOUND) >= 8
    for kind in measured.KINDS:
        listed = [references()[key] for key in kind.sources]
        assert kind.off
        assert (kind.read == "from memory") == (listed[0].seen != "text") or kind.read != "from memory", kind.name


def test_single_comparisons_by_hand() -> None:
    """A block: 1 - 1.5 sin2 with tan = 1/5; a pendulum of 67 m; one slab that the European formula governs; a beam."""
    rows = {(name, row.what): row for name in KINDS for row in KINDS[name].rows}
    block = rows["blocks rocking", "speed kept, 5 times as high as wide, on concrete"]
    assert block.ours == pytest.approx(1 - 1.5 / 26, rel=1e-9)
    assert block.ratio == pytest.approx(0.895 / (1 - 1.5 / 26))
    assert rows["long pendulums", "67 m, in the Pantheon"].ours == pytest.approx(16.423, abs=1e-3)
    slab = rows["reinforced slabs punched", "d 127 mm, side 279.6 mm, 0.75 %, 24.89 MPa"]
    # k = 2, and 0.18 k (0.75 x 24.89)^(1/3) MPa on 4 x 279.6 + 4 pi x 127 mm, 127 mm deep
    assert slab.ours == pytest.approx(
        0.36 * (0.75 * 24.89) ** (1 / 3) * (4 * 279.6 + 4 * 3.14159265 * 127) * 0.127, rel=1e-6
    )
    rupture = rows["flexural strength of concrete", "flexural strength at 4000 psi"]
    assert rupture.printed == "5.10 MPa"  # 11.7 x 63.25 = 740 psi
    assert rupture.ours == pytest.approx(0.62 * (4000 * 6.894757e-3) ** 0.5, rel=1e-6)


SPOILED = {
    "blocks rocking": "oracles.rocking.positive",
    "footings on sand": "floors.modes.ground.bearing_capacity",
    "large footings at 25 mm": "selftest.measured.footings.settlement_near_failure",
    "reinforced slabs punched": "mechanics.punching.control_perimeter",
    "slabs on ground until through": "selftest.measured.slabs.meyerhof_load",
    "flexural strength of concrete": "mechanics.collapse._strength",
    "fatigue of concrete in bending": "mechanics.fatigue.not_negative",
}
"""A part of the law of each kind."""


@pytest.mark.parametrize("name", SPOILED)
def test_a_law_that_is_spoiled_moves_its_figure(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A tenth more in a part of the law shows in the middle of its kind by a per cent at least."""
    module, _, part = f"tipline.{SPOILED[name]}".rpartition(".")
    right = getattr(importlib.import_module(module), part)

    def wrong(*args: object, **more: object) -> object:
        found = right(*args, **more)
        if isinstance(found, float):
            return 1.1 * found
        copied = found._replace if isinstance(found, tuple) else partial(replace, found)
        first = found._fields[0] if isinstance(found, tuple) else fields(found)[0].name
        return copied(**{first: 1.1 * getattr(found, first)})

    monkeypatch.setattr(f"{module}.{part}", wrong)
    again = replace(KINDS[name]).summary
    assert again is not None
    assert abs(log(again.middle / FOUND[name][1])) > 0.01


@pytest.mark.slow  # all the sources are read
def test_answers_rest_on_what_stands_beside_measurements() -> None:
    """Each law that was computed is a command's, or an oracle that an answer of a command meets."""
    for kind in measured.KINDS:
        if kind.used_by is not None:
            assert kind.used_by.commands, kind.name
    assert {name for name, kind in KINDS.items() if kind.used_by and kind.used_by.oracle} == {
        "blocks rocking", "long pendulums",
    }  # fmt: skip


def test_a_middle_and_a_scatter_by_hand() -> None:
    """0.5 and 2 times ours: 1 on the mean, ln 2 of scatter; what is only told counts as told."""
    kind = MeasuredKind(
        "x", "x", ("Own",), "from memory", "x", (Measurement("a", "5 kN", lambda: 1e4), ToldRatio("b", 2.0)), "x"
    )
    summary = kind.summary
    assert summary is not None
    assert (summary.middle, summary.scatter) == pytest.approx((1.0, log(2.0)))
    assert (summary.least, summary.most) == pytest.approx((0.5, 2.0))
    assert [row.ours for row in kind.rows] == [10.0, None]


@pytest.mark.slow  # as above
@pytest.mark.parametrize("width", [80, 100, 120])
def test_the_table_has_every_kind_and_fits(width: int) -> None:
    text = measured.measured_table(measured.KINDS, width)
    assert text.startswith("MEASURED BY OTHERS")
    assert max(map(len, text.splitlines())) <= width
    flat = " ".join(text.split())
    for kind in measured.KINDS:
        assert " ".join(kind.title.split()) in flat
        assert kind.off in flat
        assert f"{kind.read}: " in flat
    assert "agrees" not in text
    assert "No lift truck is among them" in flat


@pytest.mark.slow  # as above
def test_records_hold_every_single_one() -> None:
    records = measured.as_records()
    assert json.loads(json.dumps(records, allow_nan=False)) == records
    assert sum(len(record["measurements"]) for record in records) == sum(found[0] for found in FOUND.values())


TOLD = {
    "footings on sand": "footings on sand",
    "reinforced slabs punched": "reinforced slabs punched",
    "plain slabs on ground when through": "slabs on ground until through",
    "beams of concrete": "flexural strength of concrete",
    "fatigue of concrete": "fatigue of concrete in bending",
    "large footings at 25 mm": "large footings at 25 mm",
    "strength found by a footing on sensitive clay": "footing on soft clay",
    "speed kept by rocking blocks": "blocks rocking",
    "tilted tractor over rigid statics": "tractors tilted",
}
"""README's words for a kind."""


def test_readme_tells_the_figures() -> None:
    """How many values of how many kinds; of a kind its middle, and its scatter where it is more than a twentieth."""
    told = " ".join(README.partition("Measured by others")[2].partition("\n\n")[0].split())
    assert f"{sum(found[0] for found in FOUND.values())} values of {len(KINDS)} kinds" in told
    for words, name in TOLD.items():
        _, middle, scatter, *_ = FOUND[name]
        shown = f" (scatter {scatter:.2f})" if scatter is not None and scatter > 0.05 else ""
        assert f"{words} {middle:.2f}{shown}" in told, words
