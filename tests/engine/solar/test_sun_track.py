"""The slow part of the sun against pvlib's own sum, term by term."""

import numpy as np
import pvlib
import pytest

from noonhold.solar.sun_track import MEAN_TERRESTRIAL_LAG_S, apparent_sun, sun_track


def of_pvlib(unix: np.ndarray, **part: bool) -> tuple[np.ndarray, ...]:
    """Return what pvlib's algorithm hands out before it turns to a place on Earth."""
    found: tuple[np.ndarray, ...] = pvlib.spa.solar_position_numpy(
        unix, 0.0, 0.0, 0.0, 1013.25, 12.0, MEAN_TERRESTRIAL_LAG_S, 0.5667, 1, **part
    )
    return found


def test_it_is_pvlib_s_algorithm() -> None:
    unix = np.linspace(0.0, 2.5e9, 400)  # 1970 to 2049
    sidereal, ascension, declination, distance = apparent_sun(unix)
    theirs = of_pvlib(unix, sst=True)
    # Sums of some hundred terms in another order; angles up to 360 degrees.
    for ours, known in zip((sidereal, ascension, declination), theirs, strict=True):
        assert ours == pytest.approx(known, abs=1e-9)
    assert distance == pytest.approx(of_pvlib(unix, esd=True)[0], abs=1e-12)


def test_between_the_days_of_the_grid_it_is_the_algorithm_s_too() -> None:
    starts = np.arange(0, 365 * 86400, 3600) + 1_735_689_600  # 2025
    declination, equation, distance = sun_track(starts, 3600)(starts.astype(float)).T
    sidereal, ascension, known, far = apparent_sun(starts.astype(float))
    assert declination == pytest.approx(known, abs=2e-4)
    turned = (starts % 86400) / 240.0 - 180.0 + equation  # hour angle at Greenwich
    assert np.cos(np.radians(turned)) == pytest.approx(
        np.cos(np.radians(sidereal - ascension)), abs=4e-6
    )
    assert distance == pytest.approx(far, abs=2e-5)
