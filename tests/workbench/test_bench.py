"""A lift on the bench: what is chosen, changed, handed in and saved, and what a file in it cannot reach."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import tipline
from tipline.errors import InputError, InputErrors
from tipline.model.shipped import find
from tipline.scenario import read
from tipline.scenario.templates import template
from tipline.workbench.bench import FIRST, MOST_BYTES, MOST_FILES, OWN, Bench, plain_name, problems_of, words_of
from tipline.workbench.events import change_events, event_kinds
from tipline.workbench.fields import as_typed, parts_of


def test_a_change_counts_and_is_taken_away_again() -> None:
    bench = Bench()
    bench.change("setup.hook_height", "3 m")
    assert bench.case().hook_height == 3.0
    bench.change("setup.hook_height", " ")
    assert bench.case().hook_height == 7.0
    assert bench.name == FIRST


def test_a_set_up_that_is_saved_reads_back_to_the_same_case(tmp_path: Path) -> None:
    bench = Bench()
    bench.change("setup.hook_height", "3.35 m")
    bench.change("floor", "demo-hall-b")
    bench.change("machine.wheelbase", "2.05 m")
    place = tmp_path / "saved.toml"
    place.write_text(bench.text(), encoding="utf-8")
    again, case = read(place), bench.case(table=True)
    assert again.resolved == case.resolved
    assert again.machine.wheelbase == 2.05
    assert not again.floor.rigid
    assert tipline.check(again).tyre_loads == tipline.check(case).tyre_loads


def test_files_that_are_handed_in_are_found_by_their_names() -> None:
    bench = Bench()
    truck = re.sub(rb'wheelbase = "[^"]*"', b'wheelbase = "2.05 m"', find("machine", "demo-truck-a")[0].read_bytes())
    assert bench.hand_in("C:\\trucks\\My truck.toml", truck) == "machine"
    assert bench.case().machine.wheelbase == 2.05
    assert bench.hand_in("hall.toml", find("floor", "demo-hall-b")[0].read_bytes()) == "floor"
    assert bench.case().floor.elsewhere == read(FIRST, {"floor": "demo-hall-b"}).floor.elsewhere
    lift = find("scenario", "service-stop-load-low")[0].read_bytes().replace(b'"demo-truck-a"', b'"My-truck.toml"')
    assert bench.hand_in("lift.toml", lift) == "scenario"
    assert bench.names("machine")[0] == "My-truck.toml"
    assert (bench.name, bench.changes) == ("lift.toml", {})
    assert bench.case().machine.wheelbase == 2.05


def test_a_machine_that_the_set_up_does_not_suit_is_kept_and_what_does_not_suit_is_told() -> None:
    bench = Bench()
    bench.hand_in("twin.toml", find("machine", "demo-truck-b")[0].read_bytes())
    with pytest.raises(InputErrors) as caught:
        bench.case()
    assert {key for key, _ in problems_of(caught.value)} >= {"setup.jib_reach", "event.0.under"}
    assert bench.changes == {"machine": "twin.toml"}


@pytest.mark.parametrize(
    "given",
    ["/etc/passwd", "../models/machines/demo-truck-a.toml", "\\\\\\\\host\\\\share\\\\x.toml", "./x.toml", "~/x"],
)
def test_a_file_reaches_no_other_on_the_disk(given: str) -> None:
    bench = Bench()
    text = f'title = "x"\nmachine = "{given}"\nfloor = "demo-hall-a"\n[setup]\nattachment = "forks"\n'
    with pytest.raises(InputError, match="there is no machine of that name here"):
        bench.hand_in("lift.toml", text.encode())
    assert (bench.name, bench.texts) == (FIRST, {})
    bench.change("machine", given)
    with pytest.raises(InputError, match="there is no machine of that name here"):
        bench.case()
    with pytest.raises(InputError, match="there is no scenario of that name here"):
        bench.choose(given)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"#" * (MOST_BYTES + 1), "larger than 1 MB"),
        (b"\xff\xfe\x00", "not UTF-8 text"),
        (b"a = ", "not TOML"),
        (b"a = " + b"[" * 50_000, "not TOML"),
        (b"__import__ = 'os'", "friction"),
    ],
)
def test_what_cannot_be_read_leaves_the_bench_as_it_was(data: bytes, said: str) -> None:
    bench = Bench()
    bench.change("load.mass", "4 t")
    with pytest.raises(InputError) as caught:
        bench.hand_in("x.toml", data)
    if said != "friction":
        assert said in words_of(caught.value)
    assert (bench.name, bench.texts, bench.changes) == (FIRST, {}, {"load.mass": "4 t"})


def test_a_bench_takes_so_many_files_and_no_more() -> None:
    bench = Bench()
    data = find("floor", "demo-hall-a")[0].read_bytes()
    for number in range(MOST_FILES):
        bench.hand_in(f"hall-{number}.toml", data)
    with pytest.raises(InputError, match="20 files"):
        bench.hand_in("one-more.toml", data)
    assert bench.hand_in("hall-0.toml", data) == "floor"


def test_a_file_does_not_take_the_place_of_one_of_another_kind() -> None:
    """They are laid side by side in one folder, where the one would be read as the other."""
    bench = Bench()
    way = template("route")
    bench.hand_in("a.toml", way.encode())
    with pytest.raises(InputError, match="name of a route here already, and this is a floor"):
        bench.hand_in("a.toml", find("floor", "demo-hall-a")[0].read_bytes())
    assert bench.all_files() == {"a.toml": way}
    bench.hand_in("b.toml", find("floor", "demo-hall-a")[0].read_bytes())
    with pytest.raises(InputError, match="this is a list of spreaders"):
        bench.hand_in("b.toml", template("stock").encode())


def test_names_of_files_hold_nothing_that_leads_elsewhere() -> None:
    given = ["../../a.toml", "..\\b.toml", "/etc/passwd", "c d\0.toml", "<img src=x>.toml", "....", "", "é.toml"]
    assert [plain_name(name) for name in given] == [
        "a.toml", "b.toml", "passwd.toml", "c-d.toml", "img-src-x.toml", "file.toml", "file.toml", "file.toml",
    ]  # fmt: skip


def test_names_of_files_are_names_on_windows_and_mac_too() -> None:
    """CON and its like are devices whatever the ending; points and spaces at the end are lost there."""
    given = ["CON.toml", "nul", "Com1.toml", "LPT9.TOML", "aux. ", "prn.", "com10.toml", "console.toml", "con.a.toml"]
    assert [plain_name(name) for name in given] == [
        "CON-file.toml", "nul-file.toml", "Com1-file.toml", "LPT9-file.toml", "aux-file.toml", "prn-file.toml",
        "com10.toml", "console.toml", "con-a.toml",
    ]  # fmt: skip
    assert [plain_name(name) for name in ("hall.toml.", "hall.toml ", "hall .toml", "hall.TOML")] == ["hall.toml"] * 4


@pytest.mark.parametrize("second", ["Hall.toml", "HALL.TOML"])
def test_a_name_that_differs_by_capitals_only_is_refused(second: str) -> None:
    bench = Bench()
    data = find("floor", "demo-hall-a")[0].read_bytes()
    bench.hand_in("hall.toml", data)
    with pytest.raises(InputError, match=r"differs by capitals only from hall\.toml"):
        bench.hand_in(second, data)
    with pytest.raises(InputError, match=r"differs by capitals only from hall\.toml"):
        bench.hand_in(second, template("route").encode())
    assert list(bench.all_files()) == ["hall.toml"]
    assert bench.hand_in("hall.toml", data) == "floor"


def test_a_lift_of_ones_own_begins_from_the_template() -> None:
    bench = Bench()
    bench.choose(OWN)
    assert bench.case().scenario.title == "My lift"


def test_the_form_has_every_value_with_range_origin_and_slider() -> None:
    bench = Bench()
    bench.change("setup.ballast_slabs", "3")
    fields = {field.key: field for part in parts_of(bench.case(), tuple(bench.changes)) for field in part.fields}
    height, slabs, reach = (fields[f"setup.{key}"] for key in ("hook_height", "ballast_slabs", "jib_reach"))
    assert (height.value, height.origin, height.changed) == ("7.0 m", "demo", False)
    assert "must be greater than 0 m" in height.help
    assert height.slide is not None
    # 0.9 m of rope and 1.6 m of load, 0.1 m above the floor; 5.55 m of forks and 1.5 m of rise
    assert (height.slide.least, height.slide.most) == (2.6, 7.05)
    assert (slabs.value, slabs.changed) == ("3", True)
    assert reach.slide is not None
    assert (reach.slide.now, reach.slide.place) == (1.6, 2)
    assert fields["setup.attachment"].choices == ("forks", "jib", "none")
    assert fields["load.size"].value == "1.8 m x 1.4 m x 1.6 m"
    assert fields["event.0.under"].value == "front-left"


def test_lists_are_typed_as_people_write_them() -> None:
    bench = Bench()
    fields = {field.key: field for part in parts_of(bench.case()) for field in part.fields}
    for key, text in {"load.size": "2 m x 1.5 m x 1 m", "event.0.under": "front-left, front-right"}.items():
        bench.change(key, as_typed(text, listed=fields[key].listed))
    case = bench.case()
    assert case.load is not None
    assert case.load.size == (2.0, 1.5, 1.0)
    assert case.scenario.event[0].under == ("front-left", "front-right")  # type: ignore[union-attr]
    assert as_typed('["1 m"]', listed=True) == '["1 m"]'
    assert as_typed("Truck A, the old one", listed=False) == "Truck A, the old one"


@pytest.mark.parametrize("kind", event_kinds())
def test_an_event_of_every_kind_can_be_added_changed_and_taken_away(kind: str) -> None:
    bench = Bench("service-stop-load-high" if kind != "swing" else FIRST)
    bench.change("load.mass", "3.5 t")
    if kind == "raise":
        bench.change("setup.fork_height", "3 m")
    before = bench.case().scenario.event
    change_events(bench, "add-event", kind)
    added = bench.case().scenario.event
    assert [event.kind for event in added] == [*(event.kind for event in before), kind]
    assert added[:-1] == before
    field = next(name for name in ("over", "at", "towards", "begins") if hasattr(added[-1], name))
    bench.change(f"event.{len(before)}.{field}", {"towards": "10 deg", "begins": "4 m"}.get(field, "2.5 s"))
    assert bench.case().scenario.event[-1] != added[-1]
    change_events(bench, "drop-event", str(len(before)))
    assert bench.case().scenario.event == before
    assert bench.changes["load.mass"] == "3.5 t"


def test_an_event_that_the_set_up_does_not_take_is_told_and_not_added() -> None:
    bench = Bench("service-stop-load-high")
    with pytest.raises(InputError, match="hung"):
        change_events(bench, "add-event", "swing")
    assert bench.changes == {}


def test_there_is_no_event_of_another_kind_or_place() -> None:
    bench = Bench()
    for how, which in (("add-event", "earthquake"), ("drop-event", "1"), ("drop-event", "-1"), ("drop-event", "x")):
        with pytest.raises(InputError, match="there is no such event"):
            change_events(bench, how, which)
    change_events(bench, "drop-event", "0")
    assert bench.case().scenario.event == ()
