"""Every way to give, asked of all draws at once, answers as draw by draw: shipped floors and drawn ones, bare and laid.

Both are the same formulas, once by numpy and once by `math`, so that they may differ in the last bits and no further.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from few import slow_but
from tipline.floors.known.draws import columns
from tipline.floors.modes import of_zone
from tipline.floors.modes.cover import cover_modes
from tipline.floors.modes.evidence import bands_of
from tipline.floors.modes.mode import Mode
from tipline.floors.modes.of_zone import modes_of
from tipline.floors.modes.situation import stood
from tipline.floors.places.patch import Patch
from tipline.mechanics.soils import SOILS
from tipline.model import read_floor
from tipline.model.cover import Cover
from tipline.model.document import Document
from tipline.model.floor import Floor
from tipline.model.plane import Point
from tipline.model.reader import to_floor
from tipline.model.shipped import list_shipped
from tipline.model.spreaders import SteelPlate, TimberMat

DRAWS = 5
SPREADERS = ("bare", "plates", "mats", "one under two", "mixed")


def tyres(at: Point, rng: np.random.Generator) -> list[Patch]:
    """Patches of twins, one single and two steer tyres, as one truck puts them on a floor about a point."""
    places = ((0.0, 0.36), (0.0, 0.0), (0.0, -1.4), (-2.6, 0.3), (-2.6, -0.9))
    return [
        Patch(
            f"tyre {k}", (at[0] + x, at[1] + y), 0.0, float(rng.uniform(0.12, 0.34)), float(rng.uniform(0.2, 0.36)),
            float(rng.uniform(8e3, 9e4)),
        )
        for k, (x, y) in enumerate(places)
    ]  # fmt: skip


def laid(floor: Floor, patches: list[Patch], way: str, rng: np.random.Generator) -> Floor:
    """Lay spreaders under some of the patches."""
    if way == "bare":
        return floor
    groups = [patches[:2], [patches[2]], [patches[3]]] if way == "one under two" else [[each] for each in patches[1:]]
    sheets: list[SteelPlate | TimberMat] = []
    for k, group in enumerate(groups):
        middle = tuple(float(np.mean([each.at[axis] for each in group])) for axis in (0, 1))
        along = 2.0 * max(abs(each.at[1] - middle[1]) for each in group)
        size = float(rng.uniform(0.6, 3.0)), float(along + rng.uniform(0.5, 1.2))
        common = {"name": f"sheet {k}", "size": size, "at": middle}
        if way == "plates" or (way != "mats" and k % 2):
            thick = float(rng.uniform(0.012, 0.06))
            sheets.append(SteelPlate(kind="steel_plate", thickness=thick, grade="S275", **common))
        else:
            mat = {"grade": rng.choice(["C24", "D40", "not known"]), "joined": rng.choice(["bolted", "loose"])}
            thick, worn = float(rng.uniform(0.05, 0.3)), bool(rng.integers(2))
            sheets.append(TimberMat(kind="timber_mat", thickness=thick, worn=worn, **mat, **common))
    return floor.model_copy(update={"spreader": tuple(sheets)})


GRATING = Cover(kind="cover", cover="grating", bar_depth=0.04, bar_thickness=0.005, bar_pitch=0.03, span=0.5)


def test_bars_of_a_grating_asked_at_once_are_those_asked_one_by_one() -> None:
    (mode,) = cover_modes(Patch("t", (0.0, 0.0), 0.0, 0.5, 0.3, 2e4), GRATING, dict.fromkeys(("span", "bar_depth")))
    drawn = {
        "span": np.array([0.3, 0.45, 0.6]), "bar_depth": np.array([0.03, 0.04, 0.5]),
        "bar_thickness": np.array([0.004, 0.005, 0.006]), "yield_strength": np.array([2.3e8, 2.4e8, 2.5e8]),
    }  # fmt: skip
    singly = [mode.ask({name: float(column[i]) for name, column in drawn.items()}) for i in range(3)]
    assert np.array(mode.ask(drawn)) == pytest.approx(np.array(singly).T, rel=1e-12)  # type: ignore[arg-type]


def middles(floor: Floor) -> list[Point]:
    """A point in the middle of each part of a floor."""
    parts = [np.mean(zone.corners, axis=0) for zone in floor.zone]
    return [(float(x), float(y)) for x, y in (*parts, (-60.0, -60.0))]


def compared(floor: Floor, patches: list[Patch], braking: float) -> Iterator[Mode]:
    """Compare each way to give under the patches; those compared."""
    bands = {}
    for situation in stood(floor, patches, "as set up", braking=braking, moving=braking > 0.0):
        if situation.name not in bands:
            bands[situation.name] = bands_of(situation.zone, floor)
        for mode, known in modes_of(situation, bands[situation.name]):
            yield mode
            assert mode.arrays or not mode.inputs, mode.name
            if not mode.inputs:
                continue
            drawn = columns({name: known[name] for name in mode.inputs}, DRAWS)
            together = np.array([np.broadcast_to(side, DRAWS) for side in mode.ask(drawn)])  # type: ignore[arg-type]
            singly = [mode.ask({name: float(column[i]) for name, column in drawn.items()}) for i in range(DRAWS)]
            assert pytest.approx(np.array(singly), rel=1e-12) == together.T, f"{mode.name}, {situation.label}"


@pytest.mark.parametrize("way", slow_but(SPREADERS, "mixed"))
def test_ways_to_give_on_shipped_floors_asked_at_once_are_those_asked_one_by_one(
    way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(of_zone, "plate_relief", lambda *_: 0.9)  # one figure for all draws, by plate elements
    rng, names = np.random.default_rng(7), set[str]()
    for name in list_shipped()["floor"]:
        floor = read_floor(name)
        for at in middles(floor):
            patches = tyres(at, rng)
            names |= {mode.name.partition(",")[0] for mode in compared(laid(floor, patches, way, rng), patches, 0.15)}
    ways = {"bearing of the ground", "platform over clay", "punching", "bending in mid-slab", "bending of the cover"}
    assert ways | ({"steel plate over the opening"} if way == "plates" else set()) <= names
    assert ("timber of the mat" in names) == (way not in ("bare", "plates"))
    assert ("bending of the steel plate" in names) == (way not in ("bare", "mats"))


def ground(rng: np.random.Generator) -> Floor:
    """Ground of drawn layers, with a platform on every other of them, its words and figures known in any way."""
    soils, hows = [word for word in SOILS if word != "peat"], ("told", "drawing", "measured")
    text = 'title = "drawn"\nfriction = { solid = 0.5, band = 0.4, pneumatic = 0.6 }\nslope = "0 %"\n'
    text += '[elsewhere]\nkind = "ground"\n'
    if rng.integers(2):
        text += f'water_table = {{ value = "{rng.uniform(0.0, 2.0):.2f} m", origin = "{rng.choice(hows)}" }}\n'
    if rng.integers(2):
        text += f'[elsewhere.platform]\nthickness = {{ value = "{rng.uniform(0.2, 0.9):.2f} m", origin = "told" }}\n'
        text += f'soil = {{ value = "crushed rock", origin = "{rng.choice(hows)}" }}\n'
    for _ in range(int(rng.integers(1, 4))):
        text += f'[[elsewhere.layer]]\nsoil = {{ value = "{rng.choice(soils)}", origin = "{rng.choice(hows)}" }}\n'
        text += f'thickness = {{ value = "{rng.uniform(0.2, 1.5):.2f} m", origin = "{rng.choice(hows)}" }}\n'
    return to_floor(Document.from_text(f'name = "drawn"\n{text}', "drawn.toml"))


@pytest.mark.slow
def test_ways_to_give_of_a_hundred_drawn_grounds_asked_at_once_are_those_asked_one_by_one() -> None:
    rng, names = np.random.default_rng(11), list[str]()
    for k in range(100):
        floor, patches = ground(rng), tyres((0.0, 0.0), rng)
        for mode in compared(laid(floor, patches, SPREADERS[k % 5], rng), patches, float(rng.choice([0.0, 0.15, 0.5]))):
            names.append(mode.name)
    ways = "bearing of the ground", "platform over clay", "timber of the mat", "bending of the steel plate"
    assert min(sum(way in name for name in names) for way in (*ways, "below", "under", "with spreaders")) > 100
