"""The rig's own shade on its arrays, by hand and beside pvlib's formula."""

import numpy as np
import pvlib
import pytest

from noonhold.rig import Mount, Obstacle, SolarArray
from noonhold.solar.array_shading import martinez_loss, own_shade

# 1.2 m across, 0.6 m along, a wall 0.5 m high along its whole right edge.
WALL = Obstacle("hatch", 0.7, 0.0, 0.2, 4.0, 0.5)


def array(*obstacles: Obstacle, **options: object) -> SolarArray:
    return SolarArray(
        "roof", 200.0, Mount.ROOF_RAISED, width_m=1.2, length_m=0.6, obstacles=obstacles, **options
    )


def sun(azimuth_deg: float, height_deg: float) -> np.ndarray:
    azimuth, height = np.deg2rad(azimuth_deg), np.deg2rad(height_deg)
    level = np.cos(height)
    return np.array([[np.sin(azimuth) * level, np.cos(azimuth) * level, np.sin(height)]])


NOON = np.array([12.0])


def test_a_wall_on_the_right_in_the_low_sun_from_the_right() -> None:
    # Its top edge throws 0.5 m from the near face at 45 degrees, all of it at 10 degrees.
    shaded, lost = own_shade(array(WALL), sun(90.0, 45.0), NOON)
    assert shaded[0] == pytest.approx(0.5 / 1.2, abs=0.05)
    # Two of three strips are touched.
    assert lost[0] == pytest.approx(1.0 - (1.0 - shaded[0]) * (1.0 - 2.0 / 4.0))
    assert own_shade(array(WALL), sun(90.0, 10.0), NOON)[0][0] == 1.0


def test_no_shade_from_behind_overhead_or_below() -> None:
    for azimuth, height in ((270.0, 20.0), (0.0, 90.0), (90.0, -5.0)):
        shaded, lost = own_shade(array(WALL), sun(azimuth, height), NOON)
        assert (shaded[0], lost[0]) == (0.0, 0.0)
    assert own_shade(array(), sun(90.0, 20.0), NOON)[1][0] == 0.0


def test_higher_is_darker_and_more_strips_lose_less() -> None:
    low, high = (
        own_shade(array(Obstacle("rack", 0.7, 0.0, 0.2, 4.0, height)), sun(90.0, 40.0), NOON)
        for height in (0.1, 0.3)
    )
    assert low[1][0] < high[1][0]
    many = own_shade(array(WALL, bypass_strips=12), sun(90.0, 45.0), NOON)
    few = own_shade(array(WALL), sun(90.0, 45.0), NOON)
    assert many[1][0] < few[1][0]


def test_up_by_the_clock_only() -> None:
    hood = Obstacle("hood", 0.7, 0.0, 0.2, 4.0, 0.5, ((20.0, 8.0),))
    hours = np.array([7.5, 8.5, 21.0])
    shaded, _ = own_shade(array(hood), np.repeat(sun(90.0, 30.0), 3, axis=0), hours)
    assert (shaded > 0.0).tolist() == [True, False, True]


def test_leaning_to_the_wall_shortens_its_shade_and_leaning_away_draws_it_out() -> None:
    flat = own_shade(array(WALL), sun(90.0, 30.0), NOON)[0][0]
    assert flat == pytest.approx((0.5 / np.tan(np.pi / 6)) / 1.2, abs=0.05)
    right = own_shade(
        array(WALL, tilt_deg=20.0, azimuth_from_front_deg=90.0), sun(90.0, 30.0), NOON
    )
    assert right[0][0] < flat
    left = own_shade(
        array(WALL, tilt_deg=20.0, azimuth_from_front_deg=270.0), sun(90.0, 30.0), NOON
    )
    assert left[0][0] > flat


def test_the_loss_is_that_of_pvlib() -> None:
    shaded, touched = np.array([0.1, 0.5, 1.0, 0.0]), np.array([1.0, 2.0, 3.0, 0.0])
    poa = pvlib.shading.direct_martinez(
        poa_global=np.ones(4), poa_direct=np.ones(4), shaded_fraction=shaded,
        shaded_blocks=touched, total_blocks=3,
    )  # fmt: skip
    assert martinez_loss(shaded, touched, 3) == pytest.approx(np.asarray(poa))
