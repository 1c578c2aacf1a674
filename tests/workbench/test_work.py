"""The work of a tab: what is shown goes with the last change, however fast they come."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from tipline.workbench import work as room
from tipline.workbench.bench import Bench
from tipline.workbench.work import BenchAtRest, Work


class _Steps:
    """Stands in for what works out a set-up: it waits until it may go on, and notes what it was given."""

    def __init__(self) -> None:
        self.begun, self.go_on = threading.Semaphore(0), threading.Semaphore(0)
        self.given: list[str] = []

    def __call__(self, bench: Bench, system: str, before: BenchAtRest) -> BenchAtRest:
        self.given.append(bench.changes.get("load.mass", ""))
        self.begun.release()
        self.go_on.acquire()
        return BenchAtRest(demo=self.given[-1])


def test_of_changes_that_come_meanwhile_only_the_last_is_worked_out_and_none_overwrites_a_later_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import asyncio

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

    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=lambda: loop.run_until_complete(use()))  # a browser's loop may run in this one
    thread.start()
    thread.join()
    loop.close()
    assert steps.given == ["1 t", "4 t"]
    assert shown == [("1 t", 1), ("4 t", 4)]
