"""The work of a tab: what is shown goes with the last change, however fast they come."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

import tipline
from tipline.commands.check import page_of
from tipline.commands.delivered import Wishes
from tipline.scenario.templates import template
from tipline.workbench import work as room
from tipline.workbench.bench import OWN, Bench
from tipline.workbench.shown import figures
from tipline.workbench.work import BenchAtRest, Work


class _Steps:
    """Stands in for what works out a set-up: it waits until it may go on, and notes what it was given."""

    def __init__(self) -> None:
        self.begun, self.go_on = threading.Semaphore(0), threading.Semaphore(0)
        self.given: list[str] = []

    def __call__(self, bench: Bench, system: str, before: BenchAtRest) -> Iterator[BenchAtRest]:
        self.given.append(bench.changes.get("load.mass", ""))
        self.begun.release()
        self.go_on.acquire()
        yield BenchAtRest(demo=self.given[-1])


def test_of_changes_that_come_meanwhile_only_the_last_is_worked_out_and_none_overwrites_a_later_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps = _Steps()
    monkeypatch.setattr(room, "stand", steps)
    shown: list[tuple[str, int]] = []

    async def use() -> None:
        work = Work(ThreadPoolExecutor(1))

        async def show() -> None:
            shown.append((work.standing.demo, work.standing.change))

        async def change(number: int) -> Any:
            work.change = number
            work.bench.change("load.mass", f"{number} t")
            await work.work_out(show)

        first = asyncio.ensure_future(change(1))
        await asyncio.sleep(0)
        steps.begun.acquire()
        for number in (2, 3, 4):
            await change(number)
        steps.go_on.release()
        steps.go_on.release()
        await first

    _apart(use())
    assert steps.given == ["1 t", "4 t"]
    assert shown == [("1 t", 1), ("4 t", 4)]


def _apart(use: Coroutine[Any, Any, None]) -> None:
    """Run it in a thread: a browser's loop may run in this one."""
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=lambda: loop.run_until_complete(use))
    thread.start()
    thread.join()
    loop.close()


def test_figures_that_break_off_are_told_beside_the_form_and_the_next_ones_are_worked_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def breaks_off(bench: Bench, system: str, before: BenchAtRest) -> Iterator[BenchAtRest]:
        yield BenchAtRest(demo=[][len(bench.changes)] if bench.changes else "whole")

    monkeypatch.setattr(room, "stand", breaks_off)
    work = Work(ThreadPoolExecutor(1))

    async def use() -> None:
        work.bench.change("load.mass", "4 t")
        await work.work_out()
        told.append((work.standing.problems, work.version))
        work.bench.change("load.mass", "")
        await work.work_out()

    told: list[tuple[Any, int]] = []
    _apart(use())
    assert told == [((("", "The figures broke down (IndexError). Take the last change back."),), 1)]
    assert (work.standing.demo, work.standing.problems, work.version) == ("whole", (), 2)


@pytest.mark.parametrize("floor", ["demo-hall-a", "demo-hall-b", "demo-yard-a", "demo-site-a"])
def test_what_is_shown_in_the_end_is_what_check_says_and_what_comes_first_has_the_same_tyres(floor: str) -> None:
    bench = Bench("service-stop-load-high", changes={"floor": floor})
    answers = list(room.stand(bench, "si", BenchAtRest()))
    assert [answer.waits for answer in answers] == ([()] if floor == "demo-hall-a" else [("the floor",), ()])
    pages = [answer.page for answer in answers]
    assert pages[-1] == page_of(tipline.check("service-stop-load-high", {"floor": floor}), Wishes()).page
    for page in pages:
        titles = [section.title for section in page.sections]
        assert "Tyre loads" in titles
        assert page.sections[titles.index("Tyre loads")] == pages[-1].sections[titles.index("Tyre loads")]
    assert ("What the truck puts on the floor" in figures(answers[0])) == (len(answers) == 1)
    assert "What the truck puts on the floor" in figures(answers[-1])


@pytest.mark.slow
def test_an_own_truck_is_shown_as_it_is_likely_and_then_within_what_is_not_known() -> None:
    bench = Bench()
    bench.hand_in("own.toml", template("machine").encode())
    bench.choose(OWN)
    bench.change("machine", "own.toml")
    first, whole = room.stand(bench, "si", BenchAtRest())
    assert first.waits == ("what is not known of the truck",)
    assert "This holds only while" not in figures(first)
    assert "This holds only while" in figures(whole)
    assert whole.page == page_of(tipline.check(bench.case()), Wishes()).page


def test_nothing_of_a_set_up_that_could_be_is_shown_beside_one_that_cannot() -> None:
    before = list(room.stand(Bench(), "si", BenchAtRest()))[-1]
    assert before.page is not None
    (wrong,) = room.stand(Bench(changes={"machine.wheelbase": "2 kg"}), "si", before)
    assert (wrong.page, wrong.side, wrong.plan, wrong.waits) == (None, "", "", ())
    assert [key for key, _ in wrong.problems] == ["machine.wheelbase"]
    assert wrong.forms == before.forms
    (right,) = room.stand(Bench(), "si", wrong)
    assert (right.problems, right.plan) == ((), before.plan)
