"""Edges of a picture, smoothed: nearer to what of each pixel an edge really covers, and nothing else changed."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from tipline.view.smoothing import smoothed

_FINE = 16


def half(rise: float, fine: int) -> NDArray[np.float64]:
    """A picture 60 wide and 40 high, dark above a line that rises by `rise` a pixel and light below, sampled finely."""
    y, x = np.mgrid[0 : 40 * fine, 0 : 60 * fine]
    lit = (y + 0.5) / fine > 20.0 + rise * ((x + 0.5) / fine - 30.0)
    blocks = np.where(lit, 220.0, 40.0).reshape(40, fine, 60, fine).mean(axis=(1, 3))
    return np.asarray(np.repeat(blocks[..., None], 3, axis=2))


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("rise", [0.09, -0.17, 0.31, 0.6])
def test_an_edge_comes_near_to_what_it_covers(rise: float, upright: bool) -> None:
    """The second route is the mean of 256 samples a pixel; a third to a half of the error is left."""
    turned = (1, 0, 2) if upright else (0, 1, 2)
    coarse, true = half(rise, 1).transpose(turned).astype(np.uint8), half(rise, _FINE).transpose(turned)
    inner = (slice(5, -5), slice(5, -5))
    before = np.abs(coarse[inner] - true[inner]).sum()
    after = np.abs(smoothed(np.ascontiguousarray(coarse))[inner] - true[inner]).sum()
    assert after < 0.55 * before


def test_what_has_no_edge_stays_as_it_is() -> None:
    slope = np.repeat(np.repeat(np.arange(0, 240, 4, dtype=np.uint8)[None], 40, axis=0)[..., None], 3, axis=2)
    assert np.array_equal(smoothed(slope), slope)
    edge = half(0.2, 1).astype(np.uint8)
    done = smoothed(edge)
    assert np.array_equal(done[:13], edge[:13])
    assert np.array_equal(done[27:], edge[27:])
    assert not np.array_equal(done, edge)


def test_an_edge_at_the_border_of_a_picture_is_not_looked_for_beyond_it() -> None:
    picture = np.full((6, 8, 3), 30, np.uint8)
    picture[:2] = 200
    picture[:, -2:] = 90
    done = smoothed(picture)
    assert done.shape == picture.shape
    assert np.array_equal(done[0], picture[0])
