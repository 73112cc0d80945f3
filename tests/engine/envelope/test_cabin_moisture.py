"""What people breathe out in a closed cabin on a cold night: no air holds more than it can."""

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
