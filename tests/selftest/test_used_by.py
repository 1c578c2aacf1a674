"""Whose answers rest on a check: read from the sources, and true of what commands do."""

import inspect
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import tipline
from tipline import selftest
from tipline.oracles.pendulum import pendulum_period
from tipline.selftest.used_by import COMMANDS, called, kept, reached_by, used_by

FILES = {
    "__init__.py": "from made.door import opened as way_in",
    "door.py": """
import made.rooms.kitchen
from made import rooms
LIMIT = 3
def opened(things):
    from made.rooms.hall import lamp as light
    cook = made.rooms.kitchen.cook
    return light(LIMIT), cook
def closed(lamp):
    return lamp
def asked(pan: rooms.Pan):
    return pan.clean
""",
    "rooms/__init__.py": "from made.rooms.kitchen import Pan",
    "rooms/hall.py": """
def lamp(n): return _bulb(n)
def _bulb(n): return n
def mirror(): return 1
""",
    "rooms/kitchen.py": """
def cook(): return Pan().heated()
class Pan:
    size = 2
    def heated(self): return oil()
    def cleaned(self): return soap()
    @property
    def clean(self): return water()
def oil(): return 1
def soap(): return 1
def water(): return 1
table = [soap]
""",
}


@pytest.fixture
def reached(tmp_path: Path) -> Callable[[str, str], set[str]]:
    """Give a function that names what one definition of a small package comes to."""
    from tipline.selftest.sources import Sources

    for name, text in FILES.items():
        (tmp_path / "made" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "made" / name).write_text(text, encoding="utf-8")
    sources = Sources(tmp_path / "made")
    return lambda module, name: {f"{one[0].rsplit('.', 1)[-1]}.{one[1]}" for one in sources.reached([(module, name)])}


def test_what_is_named_is_come_to_through_imports_of_any_kind(reached) -> None:
    """An import in the function, a module's name, a constant, a private helper; not what is only beside it."""
    found = reached("made.door", "opened")
    assert found >= {"door.opened", "door.LIMIT", "hall.lamp", "hall._bulb", "kitchen.cook", "kitchen.Pan"}
    assert "hall.mirror" not in found
    assert "door.closed" not in found


def test_a_methods_name_must_be_asked_for(reached) -> None:
    """The one that is called counts, with what it calls; its neighbour does not."""
    found = reached("made.door", "opened")
    assert {"kitchen.Pan.heated", "kitchen.oil"} <= found
    assert not {"kitchen.Pan.cleaned", "kitchen.soap", "kitchen.Pan.clean", "kitchen.water"} & found
    assert {"kitchen.Pan.clean", "kitchen.water"} <= reached("made.door", "asked")


def test_an_argument_hides_a_definition_of_its_name(reached) -> None:
    """`closed` returns what it was given."""
    assert reached("made.door", "closed") == {"door.closed"}


def test_a_definition_that_is_not_there_is_told(reached) -> None:
    """A command that was renamed must not count as coming to nothing."""
    with pytest.raises(KeyError, match=r"made\.door defines no way_out"):
        reached("made.door", "way_out")


@pytest.mark.slow
@pytest.mark.usefixtures("plain_poses")
@pytest.mark.parametrize(
    ("command", "ask"),
    [
        ("check", lambda: tipline.check("second-tyre-fails-after-the-first")),
        ("check", lambda: tipline.check("driving-onto-a-trench-lid")),
        ("floor", lambda: tipline.floor("demo-site-a")),
        ("floor", lambda: tipline.floor("front-tyre-sinks-in-soft-ground")),
    ],
)
def test_a_command_calls_nothing_that_the_sources_do_not_show(command: str, ask: Callable[[], object]) -> None:
    """What ran, function by function, lies within what was read; and most formulas are not met by accident."""
    ran: set[tuple[str, str]] = set()

    def note(frame, event, _) -> None:
        module = frame.f_globals.get("__name__", "")
        body_of_class = not frame.f_code.co_flags & inspect.CO_OPTIMIZED
        if event == "call" and module.startswith("tipline.") and not body_of_class:
            ran.add((module, frame.f_code.co_qualname.split(".<")[0]))

    sys.setprofile(note)
    try:
        ask()
    finally:
        sys.setprofile(None)
    # Constructors come with their classes; Python's own names are of modules and of what dataclasses write.
    plain = {one for one in ran if not one[1].rsplit(".", 1)[-1].startswith(("__", "<"))}
    assert len(plain) > 150
    assert plain - reached_by(command) == set()


@pytest.mark.slow
def test_a_formula_stands_for_the_commands_that_come_to_it() -> None:
    """A slab's stress for those that ask a floor; inertia for those that move a truck too; an oracle for none."""
    checks = {check.name: check for check in selftest.all_checks()}
    slab = checks["interior-stress"].run().used_by
    assert (slab.commands, slab.oracle) == (("check", "run", "floor", "loads", "start"), False)
    oracle = checks["pendulum-one-per-cent"].run().used_by
    assert oracle.oracle
    truck = checks["margin-load-low-a"].run().used_by
    assert (truck.commands[:2], truck.oracle) == (("check", "run"), False)


@pytest.mark.slow
def test_a_number_found_before_keeps_what_found_it() -> None:
    """A check that asks again, and gets what was kept, stands for the same commands."""
    module = type(sys)("tipline.selftest.made")
    module.__dict__.update(period=pendulum_period)
    exec("def ask(): return period(2.0)", module.__dict__)
    ask = kept(module.ask)
    for _ in range(2):
        with called() as found:
            ask()
        assert found == {("tipline.oracles.pendulum", "pendulum_period")}
    assert used_by(found).oracle


@pytest.mark.slow
def test_no_command_comes_to_an_oracle() -> None:
    """What only oracles hold is on the way of no answer."""
    for command in COMMANDS:
        assert not [one for one in reached_by(command) if one[0].startswith("tipline.oracles")]
