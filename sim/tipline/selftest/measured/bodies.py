"""Bodies that were tilted, rocked and hung: tractors on a platform, blocks on a base, long pendulums."""

from __future__ import annotations

from functools import partial

from tipline.oracles.pendulum import pendulum_period
from tipline.oracles.rocking import block_of, impact_ratio
from tipline.selftest.measured.comparison import MeasuredKind, Measurement, ToldRatio

__all__ = ["KINDS"]

_MORE = (2.57, 2.80, 3.04, 3.42, 3.88, 2.40, 2.61, 3.11, 3.67, 3.99)
"""Measured angle over calculated, less one, in per cent: five weights at two tracks. Source: [MajdanEtAl2021]"""
_WEIGHTS = ("no weights", "1st weights", "2nd weights", "3rd weights", "4th weights")
_LONDON = 9.8119
"""Gravity in London [m/s2], from memory."""


def _kept(aspect: float) -> float:
    """Return the share of its turning speed that a block keeps as it rocks over."""
    return float(impact_ratio(block_of(1.0, aspect)) ** 0.5)


def _block(aspect: int, base: str, share: float) -> Measurement:
    """Give a block: the source tells the measured share of what 1 - 1.5 / (1 + aspect^2) predicts."""
    predicted = 1.0 - 1.5 / (1.0 + aspect**2)
    return Measurement(
        f"speed kept, {aspect} times as high as wide, on {base}", f"{share * predicted:.3f}", partial(_kept, aspect)
    )


KINDS = (
    MeasuredKind(
        "tractors tilted",
        "A small tractor on a tilting platform until it was about to go over sideways, two tracks, five rear weights",
        ("MajdanEtAl2021",),
        "read in its abstract",
        "rigid statics of the triangle of front pivot and rear tyres; theirs by ISO 16231-2, not compared line by line",
        tuple(
            ToldRatio(f"{'standard' if k < 5 else 'wide'} track, {_WEIGHTS[k % 5]}", 1.0 + 0.01 * more)
            for k, more in enumerate(_MORE)
        ),
        "2.4 to 4.0 % more than rigid statics, which leaves tyres out; with what the tyres gave the authors came "
        "within 0.9 to 2.6 %. Our trucks stand on tyres that give; without the tractor's dimensions ours was not "
        "computed.",
    ),
    MeasuredKind(
        "blocks rocking",
        "Rigid blocks let go to rock from edge to edge: turning speed kept at each impact",
        ("ElGawadyEtAl",),
        "read in its abstract",
        "rocking block; the engine's corners are held to it on a stiff floor",
        (_block(5, "concrete", 0.95), _block(3, "concrete", 0.97), _block(5, "rubber", 0.67)),
        "On concrete 3 to 5 % less speed is kept, on rubber a third less: the base takes energy too, which the rigid "
        "block leaves out. Blocks of stone in other tests kept a little more than it tells (from memory).",
    ),
    MeasuredKind(
        "long pendulums",
        "Pendulums of known length: time of one swing there and back",
        ("Foucault1851", "Kater1818"),
        "from memory",
        "period of a pendulum; the hung load of a run is held to it",
        (
            Measurement("67 m, in the Pantheon", "16.5 s", partial(pendulum_period, 67.0)),
            Measurement("0.99414 m, in London", "2.0000 s", partial(pendulum_period, 0.99414, 0.0, _LONDON)),
        ),
        "Within the last digit told. No measured swing of a load under braking was found with speed, rope and stop.",
    ),
)
