"""Centres of gravity from scale readings: by hand, and back from a made-up thing turned in the plane."""

from __future__ import annotations

from math import asin, cos, sin

import pytest

from tipline.mechanics.scales import centre_between_scales, height_by_lifting


def test_between_two_scales_by_hand() -> None:
    """3.1 t and 2.1 t, 1.6 m apart: 2.1 * 1.6 / 5.2 = 0.646 m from the first."""
    assert centre_between_scales(3100.0, 2100.0, 1.6) == pytest.approx(0.646154, abs=1e-6)


@pytest.mark.parametrize("support", [0.0, 0.36])
def test_lifting_one_end_gives_back_the_height_of_a_known_thing(support: float) -> None:
    """10.2 t on axles 1.9 m apart, its centre 1.23 m from the lifted one and 0.92 m up; that axle 0.4 m higher.

    By moments about the lifted axle, with the thing turned by asin(0.4 / 1.9).
    """
    total, base, out, high, rise = 10200.0, 1.9, 1.23, 0.92, 0.4
    turned = asin(rise / base)
    level = total * out / base
    lifted = total * (out * cos(turned) + (high - support) * sin(turned)) / (base * cos(turned))
    assert height_by_lifting(level, lifted, total, base, rise, support) == pytest.approx(high, rel=1e-9)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="sum of both readings"):
        centre_between_scales(0.0, 0.0, 1.0)
    with pytest.raises(ValueError, match="rise 2 m"):
        height_by_lifting(1.0, 2.0, 3.0, 1.9, 2.0, 0.0)
    with pytest.raises(ValueError, match="height of the centre"):
        height_by_lifting(2.0, 1.0, 3.0, 1.9, 0.1, 0.0)
