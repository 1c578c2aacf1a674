"""The work of one tab: its bench, what that comes to at rest, and the job that was started last."""

from __future__ import annotations

import asyncio
import logging
import secrets
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from tipline.errors import TiplineError
from tipline.units import System, restate
from tipline.workbench.bench import Bench, problems_of
from tipline.workbench.fields import FORMS, FormField, FormKind, FormPart, parts_of

if TYPE_CHECKING:
    from tipline.commands.check import CheckResult
    from tipline.report.page import Page
    from tipline.scenario import Case
    from tipline.workbench.grips import Grip
    from tipline.workbench.jobs import BenchJob

__all__ = ["MOST_WORKS", "Above", "BenchAtRest", "FirstLift", "Work", "Works", "stand"]

Above = Literal["truck", "floor"]
"""What is shown from above."""
_LITTLE = 0.15
"""What comes in ranges is worked out beside a new change where it took no longer [s] (our choice)."""
MOST_WORKS = 100
"""How many works are remembered: one a tab that was opened (our choice)."""


@dataclass(frozen=True)
class BenchAtRest:
    """What a bench comes to at rest: the forms, the page of `check`, the pictures; or ``problems``, by key.

    ``plan``: of the truck; ``floor``: of the floor with the truck on it. ``forms`` and grips are those of the last
    bench that could be read; ``took``: how long the figures took [s].
    ``change``: the number of the last change that is in it; ``waits``: what is still being worked out of it.
    """

    forms: Mapping[FormKind, tuple[FormPart, ...]] = field(default_factory=dict)
    page: Page | None = None
    side: str = ""
    plan: str = ""
    floor: str = ""
    grips: tuple[Grip, ...] = ()
    plan_grips: tuple[Grip, ...] = ()
    floor_grips: tuple[Grip, ...] = ()
    demo: str = ""
    names: tuple[tuple[str, str], ...] = ()
    problems: tuple[tuple[str, str], ...] = ()
    took: float = 0.0
    change: int = 0
    waits: tuple[str, ...] = ()

    def field(self, key: str) -> FormField | None:
        """Give a field of the forms by its key."""
        fields = (field for parts in self.forms.values() for part in parts for field in part.fields)
        return next((field for field in fields if field.key == key), None)


def stand(bench: Bench, system: System, before: BenchAtRest) -> Iterator[BenchAtRest]:
    """Work out what a bench comes to; what cannot be read, or cannot be computed, is told beside the form before.

    What comes in ranges takes longer: where there is such, what is likely comes first, and says what it waits for.
    """
    from tipline.commands.check import as_checked, with_ranges
    from tipline.pose.assessment import assess_pose

    begun = time.perf_counter()
    before = replace(before, page=None, side="", plan="", floor="", problems=(), waits=())
    try:
        case = bench.case()
        names = (("machine", case.scenario.machine), ("floor", case.scenario.floor))
        forms = {form: parts_of(case, tuple(bench.changes), form, system) for form in FORMS}
        before = replace(before, forms=forms, demo=case.demo, names=names, took=0.0, change=0)
        likely = assess_pose(case)
        waits = _waits(case)
        if waits:
            yield _shown(as_checked(likely, case), system, before, begun, waits)
        yield _shown(as_checked(with_ranges(likely, case), case), system, before, begun)
    except TiplineError as error:
        yield replace(before, problems=tuple((key, restate(words, system)) for key, words in bench.problems(error)))


def _broken_off(before: BenchAtRest, error: BaseException) -> BenchAtRest:
    """Tell beside the form before that what was asked broke off, whatever it was; where it did is logged."""
    logging.getLogger(__name__).error("figures at rest broke off", exc_info=error)
    said = f"The figures broke down ({type(error).__name__}). Take the last change back."
    return replace(before, page=None, side="", plan="", floor="", problems=(("", said),), waits=())


def _waits(case: Case) -> tuple[str, ...]:
    """Say what of a set-up comes in ranges."""
    floor = () if case.floor.rigid else ("the floor",)
    return floor if case.machine.plate_and_tape is None else (*floor, "what is not known of the truck")


def _shown(
    pose: CheckResult, system: System, form: BenchAtRest, begun: float, waits: tuple[str, ...] = ()
) -> BenchAtRest:
    """Put the page and the drawings of a pose beside its form."""
    from tipline.commands.check import page_of
    from tipline.commands.delivered import Wishes
    from tipline.workbench import sketch
    from tipline.workbench.floor_sketch import floor_plan

    side, plan, floor = (
        sketch.side_view(pose.case, pose, system),
        sketch.plan(pose.case, pose, system),
        floor_plan(pose.case, system),
    )
    return replace(
        form,
        page=page_of(pose, Wishes(system)).page,
        side=side.svg,
        plan=plan.svg,
        floor=floor.svg,
        grips=side.grips,
        plan_grips=plan.grips,
        floor_grips=floor.grips,
        waits=waits,
        took=time.perf_counter() - begun,
    )


@dataclass(frozen=True)
class FirstLift:
    """The first page of a lift, its files in the order in which they are handed in; or what is wrong, by question."""

    page: Page | None = None
    files: dict[str, str] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)


def _first(answers: dict[str, str], system: System) -> FirstLift:
    from tipline.commands.delivered import Wishes
    from tipline.commands.start import page_of, start

    try:
        result = start(answers)
    except TiplineError as error:
        return FirstLift(problems={key.partition(".")[0]: said for key, said in problems_of(error)})
    files = {name: result.files[name] for name in ("machine.toml", "floor.toml", "scenario.toml")}
    return FirstLift(page_of(result, Wishes(system)).page, files)


@dataclass
class Work:
    """One tab's work; ``version`` grows with all that is shown of it, ``change`` is the number of the last change.

    ``beginning``: whether a job is about to be started.
    """

    thread: ThreadPoolExecutor
    key: str = field(default_factory=lambda: secrets.token_urlsafe(12))
    bench: Bench = field(default_factory=Bench)
    system: System = "si"
    stills: bool = True
    form: FormKind = "set-up"
    above: Above = "truck"
    standing: BenchAtRest = field(default_factory=BenchAtRest)
    job: BenchJob | None = None
    beginning: bool = False
    notice: str = ""
    wishes: dict[str, str] = field(default_factory=dict)
    answers: dict[str, str] = field(default_factory=dict)
    first: FirstLift = field(default_factory=FirstLift)
    version: int = 0
    change: int = 0
    _wanted: int = 0
    _busy: bool = False
    _long: float = 0.0

    @property
    def seen_from_above(self) -> tuple[str, tuple[Grip, ...]]:
        """The picture from above that is chosen, and what is dragged in it."""
        standing = self.standing
        return (standing.floor, standing.floor_grips) if self.above == "floor" else (standing.plan, standing.plan_grips)

    @property
    def begun(self) -> bool:
        """Whether figures were asked for at all."""
        return self._wanted > 0

    async def answer(self, answers: dict[str, str]) -> None:
        """Give the first page of a lift by what is known of it."""
        self.answers = {key: text.strip() for key, text in answers.items() if text.strip()}
        loop = asyncio.get_running_loop()
        self.first = await loop.run_in_executor(self.thread, _first, self.answers, self.system)
        self.version += 1

    async def lay(self) -> None:
        """Lay the lift of the first page on the bench."""
        for name, text in self.first.files.items():
            await self.hand_in(name, text.encode())
        await self.work_out()

    async def hand_in(self, name: str, data: bytes) -> None:
        """Take a file, as `Bench.hand_in` does, in a thread: a large one takes a while to read."""
        await asyncio.to_thread(self.bench.hand_in, name, data)

    def say(self, notice: str) -> None:
        """Show a notice, in place of the one before."""
        self.notice = notice
        self.version += 1

    async def work_out(self, shown: Callable[[], Awaitable[None]] | None = None) -> None:
        """Work out what the bench comes to; of changes that come meanwhile only the last is worked out next.

        What comes in ranges is left out for a change that comes meanwhile, unless it took little. ``shown`` is awaited
        after each answer.
        """
        self._wanted += 1
        if self._busy:
            return
        self._busy = True
        try:
            done = 0
            while done != self._wanted:
                done, change = self._wanted, self.change
                bench = Bench(self.bench.name, dict(self.bench.texts), dict(self.bench.changes))
                async for standing in self._answers(stand(bench, self.system, self.standing)):
                    self._long = standing.took - self.standing.took if self.standing.waits else self._long
                    self.standing = replace(standing, change=change)
                    self.version += 1
                    if shown is not None:
                        await shown()
                    if done != self._wanted and self._long > _LITTLE:
                        break
        finally:
            self._busy = False

    async def _answers(self, steps: Iterator[BenchAtRest]) -> AsyncIterator[BenchAtRest]:
        """Give one answer after the other, each worked out by the thread; what breaks off in it is told as one."""
        loop = asyncio.get_running_loop()
        while True:
            answer = loop.run_in_executor(self.thread, next, steps, None)
            await asyncio.wait((answer,))
            error = answer.exception()
            standing = _broken_off(self.standing, error) if error is not None else answer.result()
            if standing is None:
                return
            yield standing


class Works:
    """The works of all tabs by key; figures at rest are worked out by one thread, one set-up after the other."""

    def __init__(self) -> None:
        self._thread = ThreadPoolExecutor(1, "at rest")
        self._thread.submit(_compiled)
        self._works: dict[str, Work] = {}

    def new(self) -> Work:
        """Begin a work."""
        work = Work(self._thread)
        idle = [key for key, other in self._works.items() if other.job is None or not other.job.running]
        for key in idle[: max(0, len(self._works) - MOST_WORKS + 1)]:
            del self._works[key]
        self._works[work.key] = work
        return work

    def get(self, key: str) -> Work | None:
        """Give a work by its key."""
        return self._works.get(key)

    def end(self) -> None:
        """Let nothing more be worked out."""
        self._thread.shutdown(wait=False, cancel_futures=True)


def _compiled() -> None:
    """Have poses found by compiled kernels: in one process that stays they are soon worth their loading."""
    from tipline.statics.truck import solve_compiled

    solve_compiled()
