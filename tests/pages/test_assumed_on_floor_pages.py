"""Pages and summaries count the same assumed values, those of the floor among them, and list each of them once."""

from __future__ import annotations

import pytest

import tipline
from tipline import scenario
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.floors.answers.demand import demand
from tipline.report.floor import floor_page, floor_summary
from tipline.report.page import PointList


@pytest.mark.parametrize("name", ["stop-with-the-load-up-breaks-a-slab", "the-same-lift-on-spreaders"])
def test_the_count_is_that_of_the_list(name: str) -> None:
    case = scenario.read(name)
    report = demand(case, detail=False)
    listed = floor_summary(report)["assumed"]
    # one line may name several owners of one value: "damping ratio of front-left, front-right: 0.05"
    values = sum(1 + line.partition(":")[0].count(", ") for line in listed)
    assert floor_summary(report)["assumed_count"] == report.assumed_count == values
    assert floor_page(report).mark.endswith(f"{values} assumed values")
    assert len(set(listed)) == len(listed) > len(report.tyres)
    names = [line.partition(":")[0] for line in listed]
    assert any(name.startswith("tilt of set-up") for name in names)
    assert not any("a band" in line for line in listed)


@pytest.mark.parametrize("name", ["stop-with-the-load-up-breaks-a-slab", "driving-onto-a-trench-lid"])
def test_a_check_lists_the_bands_that_stand_for_what_the_floor_does_not_tell(name: str) -> None:
    case = scenario.read(name)
    asked = demand(case, detail=False)
    told = page_of(tipline.check(case), Wishes())
    assert told.summary["assumed"] == list(asked.assumed)
    assert told.summary["assumed_count"] == asked.assumed_count
    assert told.page.mark.endswith(f"{asked.assumed_count} assumed values")
    listed = next(one for one in told.page.sections if one.title == "Assumed")
    assert isinstance(listed, PointList)
    bands = [line for line in listed.items if line.startswith("subgrade reaction of")]
    assert len(bands) == 1
    assert all(end in bands[0] for end in ("from the word", "likely", "pessimistic", "optimistic"))
    assert not any("a band" in line for line in listed.items)
