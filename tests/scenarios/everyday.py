"""Everyday scenarios that nobody chose: truck, floor, set-up, load and events drawn at random, seeded."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tipline.model.reader import read_machine
from tipline.model.shipped import list_shipped

__all__ = ["EVENTS", "FLOORS", "SHIPPED", "Drawn", "draw"]

SOILS = (
    "peat", "soft clay", "firm clay", "stiff clay", "hard clay", "soft silt", "firm silt", "loose sand", "medium sand",
    "dense sand", "silty sand", "loose gravel", "compacted gravel", "crushed rock", "compacted fill", "loose fill",
)  # fmt: skip
SHIPPED = tuple(name for name in list_shipped()["floor"] if name != "demo-yard-a")
"""Demo yard A has a pit with an outline, which the engines refuse."""
HEAVIEST = {"demo-truck-a": 11.0, "demo-truck-b": 24.0, "demo-truck-c": 6.0}
"""About the heaviest lifted load [t] of each truck."""


@dataclass(frozen=True)
class Drawn:
    """A scenario's text, the floor's that it names ("" where it is a shipped one), and what was drawn."""

    name: str
    text: str
    floor: str
    machine: str
    ground: str
    events: tuple[str, ...]

    def __str__(self) -> str:
        """Return what was drawn in a line."""
        return f"{self.name}: {self.machine} on {self.ground}, {' and '.join(self.events) or 'no event'}"

    def written(self, folder: Path) -> Path:
        """Write the files and return the scenario's."""
        if self.floor:
            (folder / f"{self.name}-floor.toml").write_text(self.floor, encoding="utf-8")
        file = folder / f"{self.name}.toml"
        file.write_text(self.text, encoding="utf-8")
        return file


def draw(seed: int, index: int) -> Drawn:
    """Draw one scenario: the same for the same numbers, whatever else was drawn."""
    rnd = random.Random(f"{seed}/{index}")
    name = f"draw-{seed}-{index}"
    machine = rnd.choice(list_shipped()["machine"])
    kinds = _kinds(rnd)
    ground = rnd.choice(SHIPPED) if rnd.random() < 0.4 else rnd.choice(list(FLOORS))
    if "ramp" in kinds:
        ground = "demo-hall-a"
    at = (rnd.uniform(3.0, 12.0), rnd.uniform(2.0, 9.0))
    heading = 0.0 if rnd.random() < 0.6 else rnd.uniform(-180.0, 180.0)
    floor = FLOORS[ground](rnd, at) if ground in FLOORS else ""
    hung = rnd.random() < 0.4 or bool({"swing", "load_shed"} & set(kinds))
    lift = rnd.choice([0.3, 1.0, 2.0, 2.5])
    lines = [
        f'title = "{name}"',
        f'machine = "{machine}"',
        f'floor = "{name}-floor.toml"' if floor else f'floor = "{ground}"',
        "[setup]",
        f'position = ["{at[0]:.2f} m", "{at[1]:.2f} m"]',
        f'heading = "{heading:.1f} deg"',
        f'counterweight_extension = "{rnd.choice(["0", "0.4", "0.8"])} m"',
        f"ballast_slabs = {rnd.randrange(3)}",
        f'tilt = "{0.0 if hung or rnd.random() < 0.7 else rnd.uniform(-1.0, 3.0):.1f} deg"',
    ]
    if set(kinds) & {"service_stop", "pedal_lift", "drive", "ramp", "threshold", "turn"}:
        lines.append(f'speed = "{rnd.choice([-3, 1, 2, 4, 6])} km/h"' if "ramp" not in kinds else 'speed = "2 km/h"')
    lines += _load(rnd, machine, lift, hung=hung)
    told = _Told(rnd, machine, lift + 3.0 if hung else lift)
    for kind in kinds:
        lines += [f'[[event]]\nkind = "{kind}"', *EVENTS[kind](told)]
        if kind not in ("swing", "ramp", "threshold", "none"):
            lines.append(f'at = "{rnd.uniform(0.2, 1.5):.2f} s"')
    lines += ["[run]", 'duration = "3 s"', 'extend_to = "6 s"', "spread = 0"]
    return Drawn(name, "\n".join(lines), floor, machine, ground, tuple(kinds))


def _kinds(rnd: random.Random) -> list[str]:
    """Draw up to two kinds of event that go together."""
    one = rnd.choice([*EVENTS, "none"])
    if one == "none":
        return []
    other = rnd.choice(list(EVENTS))
    alike = {"raise", "lower"}
    alone = {one, other} <= alike or "ramp" in (one, other) or other == one or "load_shed" in (one, other)
    return [one] if alone or rnd.random() < 0.7 else [one, other]


def _load(rnd: random.Random, machine: str, lift: float, *, hung: bool) -> list[str]:
    """Draw the attachment and what is lifted."""
    truck, mass = read_machine(machine), rnd.uniform(0.05, 0.5) * HEAVIEST[machine]
    side = [f"{rnd.choice([0.8, 1.0, 1.2, 1.6])} m" for _ in range(3)]
    size = [f'mass = "{mass:.2f} t"', f"size = {side}".replace("'", '"'), 'height_of_centre = "0.4 m"']
    if hung:
        assert truck.jib is not None
        reach = rnd.choice(truck.jib.reach_pins)
        return [
            'attachment = "jib"', f'jib_reach = "{reach:.3f} m"', f'hook_height = "{lift + 3.0:.2f} m"', "[load]",
            *size, f'hung_by = "{rnd.choice([0.5, 0.8, 1.2])} m"',
        ]  # fmt: skip
    free = ['on_forks = "free"'] if rnd.random() < 0.25 else []
    return ['attachment = "forks"', f'fork_height = "{lift} m"', "[load]", *size, *free]


@dataclass(frozen=True)
class _Told:
    """What an event is drawn from."""

    rnd: random.Random
    machine: str
    lift: float

    @property
    def under(self) -> list[str]:
        """Return one to three tyres."""
        truck = read_machine(self.machine)
        names = [tyre.name for tyre in (*truck.drive_axle.tyre, *truck.steer_axle.tyre)]
        return self.rnd.sample(names, self.rnd.choice([1, 1, 1, 2, 3]))


def _breakthrough(told: _Told) -> list[str]:
    size = f'["{told.rnd.uniform(0.3, 1.0):.2f} m", "{told.rnd.uniform(0.3, 0.9):.2f} m"]'
    return [
        f"under = {told.under}".replace("'", '"'), f'depth = "{told.rnd.randrange(20, 300)} mm"', f"hole = {size}",
        f'over = "{told.rnd.choice([0.0, 0.0, 0.2])} s"',
    ]  # fmt: skip


def _soft_place(told: _Told) -> list[str]:
    return [
        f"under = {told.under}".replace("'", '"'), 'size = ["0.8 m", "0.7 m"]',
        f'bearing_pressure = "{told.rnd.randrange(100, 900)} kPa"', f'hardening = "{told.rnd.randrange(1, 12)} MPa/m"',
        f'rate_speed = "{told.rnd.choice([1, 10, 50])} mm/s"', 'most_depth = "0.3 m"',
    ]  # fmt: skip


def _push(told: _Told) -> list[str]:
    part = told.rnd.choice(["chassis", "load", "mast", "counterweight"])
    lasts = ['lasts = "0.5 s"'] if told.rnd.random() < 0.6 else []
    force, direction, over = told.rnd.randrange(1, 15), told.rnd.randrange(360), told.rnd.choice([0.0, 0.3])
    down = [f'down = "{direction // 2 - 90} deg"'] if direction % 3 == 0 else []
    return [
        f'at_part = "{part}"', f'force = "{force} kN"', f'direction = "{direction} deg"', f'over = "{over} s"',
        *down, *lasts,
    ]  # fmt: skip


EVENTS: dict[str, Callable[[_Told], list[str]]] = {
    "breakthrough": _breakthrough,
    "soft_place": _soft_place,
    "drive": lambda told: [f'speed = "{told.rnd.choice([-3, 2, 5])} km/h"'],
    "service_stop": lambda told: [],
    "pedal_lift": lambda told: [],
    "floor_turns": lambda told: [
        f'slope = "{told.rnd.randrange(2, 15)} %"', f'towards = "{told.rnd.randrange(360)} deg"', 'over = "2 s"',
    ],
    "ramp": lambda told: [
        'begins = "1.5 m"', f'slope = "{told.rnd.randrange(3, 12)} %"', f'goes = "{told.rnd.choice(["up", "down"])}"',
    ],
    "threshold": lambda told: [
        'begins = "1.2 m"', f'height = "{told.rnd.randrange(5, 40)} mm"',
        f'length = "{told.rnd.choice([20, 100, 800])} mm"', f'width = "{told.rnd.choice([20.0, 20.0, 1.2])} m"',
        f'left_of = "{told.rnd.choice([0.0, 0.0, 0.8])} m"',
    ],
    "turn": lambda told: [
        f'radius = "{told.rnd.uniform(2.6, 8.0):.1f} m"', f'towards = "{told.rnd.choice(["left", "right"])}"',
        f'over = "{told.rnd.choice([0.3, 0.5, 2.0])} s"',
    ],
    "raise": lambda told: [f'to = "{told.lift + 0.4:.2f} m"', f'stop = "{told.rnd.choice([0.0, 0.1, 0.3])} s"'],
    "lower": lambda told: [f'to = "{told.lift - 0.2:.2f} m"', f'stop = "{told.rnd.choice([0.0, 0.1, 0.3])} s"'],
    "tilt": lambda told: [f'to = "{told.rnd.uniform(-2.5, 4.0):.1f} deg"'],
    "counterweight": lambda told: [f'to = "{told.rnd.choice([0.0, 0.2, 0.6, 0.9])} m"'],
    "wind": lambda told: [
        f'speed = "{told.rnd.randrange(5, 25)} m/s"', f'from_azimuth = "{told.rnd.randrange(360)} deg"',
    ],
    "push": _push,
    "swing": lambda told: [
        f'angle = "{told.rnd.randrange(3, 25)} deg"', f'towards = "{told.rnd.randrange(360)} deg"',
    ],
    "load_shed": lambda told: [],
}  # fmt: skip

_HEAD = 'title = "drawn"\norigin = "told"\nfriction = {{ solid = {0}, band = {0}, pneumatic = {0} }}\n'
_WHOLE = 'corner = ["-40 m", "-40 m"]\nsize = ["80 m", "80 m"]\n'


def _slab(rnd: random.Random, at: tuple[float, float]) -> str:
    mm = rnd.choice(['"5 in"', '"6 in"', '"150 mm"', '"180 mm"', '"200 mm"', '"250 mm"'])
    return (
        f'[[zone]]\nname = "slab"\nkind = "slab"\n{_WHOLE}thickness = {mm}\n'
        f'concrete = "{rnd.choice([20, 25, 30])} MPa"\nbelow = "soil"\nreinforcement = "not known"\n'
        f'soil = "{rnd.choice(SOILS)}"\n'
        f'joints = "{rnd.choice(["not known", "all told"])}"\nouter_edge = "free"\n'
    )


def _ground(rnd: random.Random, at: tuple[float, float]) -> str:
    layers = [f'[[elsewhere.layer]]\nsoil = "{rnd.choice(SOILS)}"\nthickness = "{rnd.choice([0.3, 0.6])} m"\n']
    layers = [*layers[: rnd.randrange(2)], f'[[elsewhere.layer]]\nsoil = "{rnd.choice(SOILS)}"\n']
    return f'[elsewhere]\nkind = "ground"\nwater_table = "{rnd.choice([0.2, 1, 3])} m"\n{"".join(layers)}'


def _asphalt(rnd: random.Random, at: tuple[float, float]) -> str:
    return (
        f'[elsewhere]\nkind = "asphalt"\nthickness = "{rnd.choice([60, 100, 160])} mm"\nsoil = "{rnd.choice(SOILS)}"\n'
        f'surface_temperature = "{rnd.choice([10, 25, 45])} degC"\n[elsewhere.base]\nthickness = "300 mm"\n'
        'soil = "crushed rock"\n'
    )


def _suspended(rnd: random.Random, at: tuple[float, float]) -> str:
    below, thick = "basement, tunnel, pit or duct", rnd.choice([150, 220, 300])
    return f'[elsewhere]\nkind = "suspended"\nbelow = "{below}"\nthickness = "{thick} mm"\n'


def _covered(rnd: random.Random, at: tuple[float, float]) -> str:
    y = at[1] + rnd.uniform(-1.0, 1.0)
    return _slab(rnd, at) + (
        f'[[zone]]\nname = "trench"\nkind = "cover"\ncorner = ["-10 m", "{y:.2f} m"]\nsize = ["30 m", "0.6 m"]\n'
        f'cover = "lid"\nload_class = "{rnd.choice(["B125", "C250", "D400"])}"\nspan = "0.5 m"\nbearing = "50 mm"\n'
        f'depth = "{rnd.choice([0.1, 0.3, 0.8])} m"\n'
    )


def _hollow(rnd: random.Random, at: tuple[float, float]) -> str:
    x, y = at[0] + rnd.uniform(-2.0, 2.0), at[1] + rnd.uniform(-1.0, 1.0)
    joint = (
        f'[[zone.joint]]\nkind = "contraction"\nline = [["-40 m", "{y + 0.4:.2f} m"], ["40 m", "{y + 0.4:.2f} m"]]\n'
    )
    return (
        _slab(rnd, at) + joint + f'[[zone.cavity]]\nname = "washed out"\nat = ["{x:.2f} m", "{y:.2f} m"]\n'
        f'radius = "{rnd.choice([0.3, 0.6, 1])} m"\ndepth = "{rnd.choice([40, 120, 250])} mm"\n'
    )


def _soft(rnd: random.Random, at: tuple[float, float]) -> str:
    y = at[1] + rnd.uniform(-1.5, 0.5)
    return (
        f'[[zone]]\nname = "strip"\nkind = "soft"\ncorner = ["-10 m", "{y:.2f} m"]\nsize = ["40 m", "1.2 m"]\n'
        f'bearing_pressure = "{rnd.choice([80, 300, 600])} kPa"\nhardening = "{rnd.choice([0.2, 2, 6])} MPa/m"\n'
        f'rate_speed = "{rnd.choice([1, 20, 60])} mm/s"\nmost_depth = "0.35 m"\n'
    )


def _laid(rnd: random.Random, at: tuple[float, float]) -> str:
    below, laid = rnd.choice([_slab, _ground, _ground, _soft])(rnd, at), []
    for index in range(rnd.randrange(1, 4)):
        x, y = at[0] + rnd.uniform(-2.5, 0.5), at[1] + (0.8 if index % 2 else -0.8)
        mat = (
            'kind = "timber_mat"\nsize = ["2.4 m", "1.1 m"]\nthickness = "120 mm"\ngrade = "D40"\njoined = "bolted"\n'
            if rnd.random() < 0.5
            else 'kind = "steel_plate"\nsize = ["2 m", "1.2 m"]\nthickness = "25 mm"\ngrade = "S275"\n'
        )
        x += 6.0 * index if index > 1 else 0.0
        laid.append(f'[[spreader]]\nname = "piece {index}"\nat = ["{x:.2f} m", "{y:.2f} m"]\n{mat}')
    return below + "".join(laid)


def _headed(kind: Callable[[random.Random, tuple[float, float]], str]) -> Callable[..., str]:
    return lambda rnd, at: _HEAD.format(rnd.choice([0.25, 0.4, 0.6])) + kind(rnd, at)


FLOORS: dict[str, Callable[[random.Random, tuple[float, float]], str]] = {
    name: _headed(kind)
    for name, kind in {
        "a slab": _slab, "ground": _ground, "asphalt": _asphalt, "a suspended floor": _suspended,
        "a slab with a covered trench": _covered, "a slab with a cavity and a joint": _hollow, "a soft strip": _soft,
        "laid spreaders": _laid,
    }.items()
}  # fmt: skip
