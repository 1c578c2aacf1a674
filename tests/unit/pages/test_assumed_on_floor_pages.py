"""A floor's page and its summary count the same assumed values, and list each of them once."""

from __future__ import annotations

import pytest

from tipline import scenario
from tipline.assess.floor import demand
from tipline.report.floor import floor_page, floor_summary


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
