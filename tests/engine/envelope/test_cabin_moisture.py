"""The cabin's water: what leaks in and out, what people breathe out, what no air can hold."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.air.moist_air_arrays import relative_humidity_array, saturation_humidity_ratio_array
from noonhold.projection import project
from noonhold.rig import Leakage
from noonhold.scenario import Operation, Setting, Span
from noonhold.simulation import channels as ch
from noonhold.simulation.kernel import SURELY_HELD_PA, SURELY_HELD_PA_K
from tests.engine.made import box, rig, scene, steady, summer


def crowd(people: int, set_point_c: float) -> Operation:
    return Operation(
        set_point_c=set_point_c,
        cooling_window=(9.0, 18.0),
        fresh_air_m3_h_per_occupant=0.0,
        spans=(Span(0.0, 24.0, Setting(occupants=float(people))),),
    )


def test_air_that_is_surely_held_is_not_saturated() -> None:
    temperature = np.arange(-100.0, 60.0, 0.01)
    surely = SURELY_HELD_PA + SURELY_HELD_PA_K * temperature
    for pressure in (60e3, 101325.0, 110e3):
        most = pressure * saturation_humidity_ratio_array(temperature, pressure)
        assert (surely < most).all()


TIGHT = rig(shell=box(leakage=Leakage(air_changes_per_hour=0.05)), cooler=None)


def test_a_tight_cabin_with_people_drips_and_is_not_wetter_than_air_can_be() -> None:
    night = scene(operation=crowd(3, 24.0))
    record = project(TIGHT, night, steady(outdoor_c=2.0, hours=48)).record
    humidity = relative_humidity_array(record[:, ch.CABIN], record[:, ch.HUMIDITY], 101325.0)
    assert humidity[-1] == pytest.approx(1.0, abs=1e-3)
    assert humidity.max() < 1.0 + 1e-3  # of hourly means, which bend a little
    # Three people give 0.1 kg/h or more, the leak carries a few grams: the rest went somewhere.
    assert record[-1, ch.HUMIDITY] == pytest.approx(record[-2, ch.HUMIDITY], rel=1e-3)


@pytest.mark.parametrize("dew_point_c", [6.0, 17.9])
def test_no_step_of_any_day_is_wetter_than_saturated(dew_point_c: float) -> None:
    packed = scene(operation=crowd(4, 18.0))
    table = summer(days=2, interval_s=300, dew_point_c=dew_point_c)  # a step an interval
    for whole in (TIGHT, rig()):
        record = project(whole, packed, table).record
        humidity = relative_humidity_array(
            record[:, ch.CABIN], record[:, ch.HUMIDITY], table.pressure
        )
        assert np.nanmax(humidity) <= 1.0 + 1e-12


def test_people_s_vapour_raises_the_humidity_by_the_dry_air_that_carries_it_off() -> None:
    """W - W_out = m / (Q rho_dry), with the dry air's own partial pressure for its density.

    Outdoors 35 degC and 60 %: saturation pressure 5629 Pa (ASHRAE Handbook - Fundamentals 2017,
    ch. 1, table 3), vapour 3377.4 Pa, W_out 0.621945 x 3377.4 / 97947.6 = 0.021446, dry air
    97947.6 / (287.042 x 308.15) = 1.10735 kg/m3. Two changes an hour of 8 m3 carry 4.9216 g/s.
    """
    leaky = rig(shell=box(leakage=Leakage(air_changes_per_hour=2.0)), cooler=None, loads=())
    operation = replace(crowd(2, 24.0), latent_w_per_occupant=45.0)
    table = steady(outdoor_c=35.0, hours=240, relative_humidity=60.0)
    last = project(leaky, scene(operation=operation), table).record[-1]
    evaporation = 2501e3 + 1860.0 * last[ch.CABIN]  # ASHRAE 2017, ch. 1, eq. 30 [J/kg]
    expected = 0.021446 + 2 * 45.0 / evaporation / 4.9216e-3
    assert last[ch.HUMIDITY] == pytest.approx(expected, rel=2e-4)  # five digits by hand
    assert last[ch.WATER_GAINS] == pytest.approx(90.0 / evaporation, rel=1e-9)
    assert last[ch.WATER_EXCHANGE] == pytest.approx(-90.0 / evaporation, rel=1e-4)
    assert last[ch.WATER_DEW] == pytest.approx(0.0, abs=1e-15)


def test_the_store_is_the_air_s_water_times_its_buffer() -> None:
    whole = rig(shell=box(moisture_buffer_factor=10.0))
    table = summer(interval_s=300)  # a step an interval: the mean is the end's
    record = project(whole, scene(operation=crowd(2, 22.0)), table).record
    ratio = record[:, ch.WATER_STORED] / record[:, ch.HUMIDITY]
    # 8 m3 of dry air at 25 degC with 935.3 Pa of vapour, the dew point of 6 degC (ASHRAE 2017,
    # ch. 1, table 3), ten times over.
    dry_air = (table.pressure.mean() - 935.3) / (287.042 * 298.15)
    assert ratio == pytest.approx(np.full(len(ratio), 8.0 * dry_air * 10.0), rel=1e-5)
    assert record[:, ch.WATER_COIL].sum() * 300.0 > 0.1  # and it did dry the air


def test_a_dripping_cabin_s_dew_is_what_people_gave_it() -> None:
    night = scene(operation=crowd(3, 24.0))
    last = project(TIGHT, night, steady(outdoor_c=2.0, hours=240)).record[-1]
    expected = last[ch.WATER_GAINS] + last[ch.WATER_EXCHANGE]
    assert last[ch.WATER_DEW] == pytest.approx(expected, rel=1e-6)
    assert last[ch.WATER_DEW] > 0.9 * last[ch.WATER_GAINS]
