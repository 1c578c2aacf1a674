"""Published numbers: beams, columns, wind."""

from __future__ import annotations

from functools import partial

from tipline.mechanics.resistance import wind_force, wind_pressure
from tipline.oracles.mast import end_force_deflection
from tipline.selftest.check import Check

__all__ = ["CHECKS"]

IN, LBF = 0.0254, 4.4482216152605
_PSI = LBF / IN**2


CHECKS = (
    Check(
        "steel-cantilever",
        "End of a 5 m steel cantilever under 3000 N",
        "7.6 mm",
        "ToolBoxCantilever",
        "example, single load at the end",
        "seen in the source",
        lambda: end_force_deflection(3000.0, 5.0, 200e9 * 8196e-8),
    ),
    *(
        Check(
            f"wind-{speed}",
            f"Wind pressure at {speed} m/s",
            printed,
            "ToolBoxWind",
            "table, air of 1.2 kg/m3",
            "seen in the source",
            partial(wind_pressure, float(speed), 1.2),
        )
        for speed, printed in ((12, "86 Pa"), (20, "240 Pa"), (35, "735 Pa"))
    ),
    Check(
        "wind-wall",
        "Wind of 35 m/s on a 10 m2 wall",
        "7.35 kN",
        "ToolBoxWind",
        "example",
        "seen in the source",
        lambda: wind_force(35.0, 10.0, density=1.2),
    ),
)
