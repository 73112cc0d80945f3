"""How long wave and light spread over inner faces, against exact enclosures."""

import numpy as np
import pytest

from noonhold.envelope.interior import (
    absorbed_fractions,
    radiant_star_factors,
    scattered_fractions,
    view_weights,
)

CUBE = np.ones(6)
BOX = np.array([8.0, 4.0, 8.0, 4.0, 12.0, 12.0])


def test_six_like_black_faces_see_each_other_as_they_do() -> None:
    # Each face sees the five others: 1 / F = 1 - 1 / 6 and a star of 6/5.
    assert view_weights(CUBE) == pytest.approx(np.full(6, 1.2), rel=1e-9)
    assert radiant_star_factors(CUBE, CUBE) == pytest.approx(np.full(6, 1.2), rel=1e-9)


def test_two_parallel_faces_exchange_as_the_textbook_has_it() -> None:
    # h = 4 s T3 / (1/e1 + 1/e2 - 1) between two large faces: the star's two legs in series.
    emittance = np.array([0.9, 0.3])
    legs = radiant_star_factors(np.ones(2), emittance)
    between = 1.0 / (1.0 / legs[0] + 1.0 / legs[1])
    assert between == pytest.approx(1.0 / (1.0 / 0.9 + 1.0 / 0.3 - 1.0), rel=1e-6)


def test_large_faces_weigh_more_and_low_emittance_less() -> None:
    views = view_weights(BOX)
    assert (views >= 1.0).all()
    assert views[4] > views[0] > views[1]
    bright = radiant_star_factors(BOX, np.full(6, 0.1))
    assert (bright < 0.11).all()


def test_scattered_light_is_shared_by_absorbing_area_and_nothing_is_lost() -> None:
    absorbing, glass = np.full(6, 0.6), np.zeros(6)
    shares = scattered_fractions(BOX, absorbing, glass)
    assert shares.sum() == pytest.approx(1.0)
    assert shares == pytest.approx(BOX / BOX.sum())
    glass[0] = 0.5
    lossy = scattered_fractions(BOX, absorbing, glass)
    assert lossy.sum() == pytest.approx(0.6 * BOX.sum() / (0.6 * BOX.sum() + 0.5 * 8.0))
    assert (scattered_fractions(BOX, np.zeros(6), np.zeros(6)) == 0.0).all()


def test_followed_light_lands_and_then_scatters() -> None:
    floor = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0])
    absorbing, glass = np.full(6, 0.6), np.zeros(6)
    shares = absorbed_fractions((floor,), BOX, absorbing, glass)
    assert shares.sum() == pytest.approx(1.0)
    assert shares[5] == pytest.approx(0.6 + 0.4 * 12.0 / 48.0)
    black = absorbed_fractions((floor,), BOX, np.ones(6), glass)
    assert black.tolist() == floor.tolist()
