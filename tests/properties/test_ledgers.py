"""The ledgers close, whatever the rig: heat in against heat stored, watt-hours and water too.

Tolerance 1e-6 of what went through, as the design asks; rounding alone is near 1e-12.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import Phase, given, settings

from noonhold.documents import load_rig
from noonhold.projection import Projection, project
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.hot_day import HotDay
from noonhold.weather.selection import select_weather
from tests.engine.made import scene, summer
from tests.properties import rich
from tests.properties.ledgers import electricity_closes, heat_closes, water_closes
from tests.properties.strategies import days, rigs, scenarios
from tests.rig_files import rig_path

NO_STATIONS = Catalogue((), ())


def sensible(projection: Projection) -> None:
    """Hold what no rig may break, besides the ledgers."""
    size = projection.rig.battery.usable_energy_wh
    for record in (projection.record, projection.uncooled):
        plain = [c for c in range(len(ch.CHANNELS)) if c not in NOTES]
        assert np.isfinite(record[:, plain]).all()
        assert (record[:, ch.STORED] >= -1e-9).all()
        assert (record[:, ch.STORED] <= size * (1 + 1e-12)).all()
        assert (record[:, ch.STORED_LOWEST] <= record[:, ch.STORED] + 1e-9).all()
        for share in (ch.DUTY, ch.HIGH_FRACTION):
            assert ((record[:, share] >= 0.0) & (record[:, share] <= 1.0 + 1e-12)).all()
        for power in NEVER_NEGATIVE:
            assert (record[:, power] >= 0.0).all(), ch.CHANNELS[power]
        assert (record[:, ch.COMFORTABLE_S] <= record[:, ch.JUDGED_S]).all()
        assert (record[:, ch.JUDGED_S] <= record[:, ch.WINDOW_S]).all()
    for power in (ch.COOLER_POWER, ch.SENSIBLE, ch.LATENT, ch.DUTY):
        assert (projection.uncooled[:, power] == 0.0).all()


# NaN or minus infinity where there is nothing to note.
NOTES = (
    ch.COMFORT_PEAK, ch.COMFORT_PEAK_WINDOW, ch.FIRST_DISCOMFORT, ch.FIRST_RESERVE,
    ch.FIRST_SHORTAGE, ch.FIRST_UNMET, ch.FIRST_AT_SET_POINT, ch.COOLING_SPARE,
)  # fmt: skip
NEVER_NEGATIVE = (
    ch.HUMIDITY, ch.LATENT, ch.COOLER_POWER, ch.COOLER_FAN, ch.HEATING, ch.HEATER_POWER,
    ch.LOAD_POWER, ch.SOLAR, ch.SOLAR_USED, ch.CURTAILED, ch.ALTERNATOR, ch.SHORE, ch.CHARGE,
    ch.DISCHARGE, ch.BATTERY_LOSS, ch.UNMET, ch.SOLAR_IN, ch.SOLAR_GAIN, ch.OUTDOOR_AIRFLOW,
    ch.INCIDENT_ARRAYS, ch.WATER_GAINS, ch.WATER_COIL,
)  # fmt: skip


def closes(projection: Projection, stored_wh: float) -> None:
    hours = projection.weather.interval_s / 3600.0
    for record in (projection.record, projection.uncooled):
        heat_closes(record)
        electricity_closes(record, stored_wh, hours)
        water_closes(record, hours)
    sensible(projection)


@given(rigs(), scenarios(), days())
# Shrinking a whole rig takes minutes and shows little: the ledgers name what broke.
@settings(max_examples=30, phases=(Phase.explicit, Phase.generate))
def test_any_rig(rig: Rig, scenario: Scenario, day: HotDay) -> None:
    table = select_weather(day, scenario.place, 0, NO_STATIONS).table
    stored = scenario.start.state_of_charge * rig.battery.usable_energy_wh
    closes(project(rig, scenario, table), stored)


@pytest.mark.parametrize(
    "stem", ["flatbed_cabin", "field_day_cabin", "lined_panel_van", "plywood_teardrop"]
)
@pytest.mark.parametrize("interval_s", [3600, 900])
def test_the_sample_rigs(stem: str, interval_s: int, checkout: Path) -> None:
    rig = load_rig(json.loads(rig_path(stem).read_text())).value
    table = summer(days=3, interval_s=interval_s)
    closes(project(rig, scene(), table), 0.8 * rig.battery.usable_energy_wh)


def test_the_rig_that_uses_everything() -> None:
    selected = select_weather(rich.WEATHER, rich.PLACE, 0, NO_STATIONS)
    projection = project(rich.RIG, rich.SCENARIO, selected.table)
    closes(projection, 0.6 * rich.BATTERY.usable_energy_wh)
    record = projection.record
    for channel in (ch.SENSIBLE, ch.LATENT, ch.HEATING, ch.ALTERNATOR, ch.CURTAILED, ch.SOLAR_GAIN,
                    ch.WATER_GAINS, ch.WATER_COIL):  # fmt: skip
        assert record[:, channel].max() > 0.0, ch.CHANNELS[channel]  # it does use everything
