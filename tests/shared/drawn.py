"""Random trucks, loads, set-ups and events, by seed."""

from __future__ import annotations

import numpy as np

from tipline.errors import InputError
from tipline.scenario import Case
from trucks import case

MOST = {"a": 6.0, "b": 11.0, "c": 3.0}
"""Heaviest load drawn for each truck [t]."""
SOIL = 'bearing_pressure = "900 kPa"\nhardening = "60 MPa/m"\nrate_speed = "300 mm/s"\n'


def drawn(rng: np.random.Generator) -> Case:
    """A random truck, load, set-up and event."""
    truck = rng.choice(["a", "b", "c"])
    low, high = (0.2, 1.0) if rng.random() < 0.5 else (1.0, 4.0)
    height, speed = rng.uniform(low, high), 0.0
    kind = rng.choice(["one", "both", "soft", "stop", "pedal", "turns", "swing", "push", "wind", "counterweight"])
    at = '[[event]]\nat = "0.5 s"\n'
    depth, side = rng.uniform(0.02, 0.18), rng.choice(["left", "right"])
    front = [f"front-{one}-{row}" if truck == "b" else f"front-{one}" for one in ("left", "right") for row in "12"]
    front = [name.replace("-1", "-outer").replace("-2", "-inner") for name in dict.fromkeys(front)]
    under = str([name for name in front if side in name]) if rng.random() < 0.7 else f'["rear-{side}"]'
    place = f'{at}kind = "breakthrough"\ndepth = "{depth:.4f} m"\nhole = ["0.7 m", "0.5 m"]\n'
    events = {
        "one": f"{place}under = {under}\n",
        "both": f"{place}under = {front}\n",
        "soft": f'{at}kind = "soft_place"\nunder = {under}\nsize = ["0.6 m", "0.5 m"]\n{SOIL}',
        "stop": f'{at}kind = "service_stop"\n',
        "pedal": f'{at}kind = "pedal_lift"\n',
        "turns": f'{at}kind = "floor_turns"\nslope = "{rng.uniform(0.0, 12.0):.2f} %"\n'
        f'towards = "{rng.uniform(-180, 180):.1f} deg"\nover = "2 s"\n',
        "swing": f'[[event]]\nkind = "swing"\nangle = "{rng.uniform(2, 15):.2f} deg"\ntowards = "90 deg"\n',
        "push": f'{at}kind = "push"\nat_part = "load"\nforce = "{rng.uniform(1, 20):.2f} kN"\n'
        f'direction = "{rng.uniform(-180, 180):.1f} deg"\nlasts = "{rng.uniform(0.2, 3.0):.2f} s"\n',
        "wind": f'{at}kind = "wind"\nspeed = "{rng.uniform(5, 25):.2f} m/s"\nfrom_azimuth = "90 deg"\n',
        "counterweight": f'{at}kind = "counterweight"\nto = "{rng.integers(0, 9) / 10} m"\n',
    }
    if kind in ("stop", "pedal"):
        speed = rng.uniform(0.5, 2.0)
    reach = {"a": 1.6, "b": 1.7, "c": 1.4}[str(truck)]
    setup, load = f'attachment = "forks"\nfork_height = "{height:.3f} m"\n', ""
    if rng.random() < 0.5:
        setup = f'attachment = "jib"\nhook_height = "{height + 3.0:.3f} m"\njib_reach = "{reach} m"\n'
        load = 'hung_by = "0.9 m"\n'
    text = (
        f'title = "drawn"\nmachine = "demo-truck-{truck}"\nfloor = "demo-hall-a"\n'
        f'[setup]\ncounterweight_extension = "{rng.integers(0, 9) / 10} m"\nspeed = "{speed:.3f} m/s"\n{setup}'
        f'[load]\nmass = "{rng.uniform(0.2, 1.0) * MOST[str(truck)]:.3f} t"\nsize = ["1.4 m", "1.3 m", "1.4 m"]\n'
        f'height_of_centre = "0.6 m"\ncentre_offset = ["0 m", "{rng.uniform(-0.1, 0.1):.3f} m"]\n{load}'
        f'{events[str(kind)]}[run]\nduration = "9 s"\n'
    )
    return case(text)


def draws(count: int, seed: int) -> list[Case]:
    """Random cases that can be simulated."""
    rng, found = np.random.default_rng(seed), list[Case]()
    while len(found) < count:
        try:
            found.append(drawn(rng))
        except InputError:
            continue
    return found
