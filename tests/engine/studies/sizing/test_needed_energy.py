import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.documents import load_comfort, load_operation, load_place, load_rig, load_start
from noonhold.rig import Battery, Rig
from noonhold.scenario import Scenario
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.changed_case import with_endless_battery
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.simulation_case import prepare, without_cooling
from noonhold.studies.sizing.needed_energy import (
    MARGIN,
    STEP,
    needed_energy,
)
from noonhold.verdict import DayVerdicts, day_verdicts
from noonhold.weather.clock import Clock
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO
from tests.rig_files import rig_path

BoolArray = npt.NDArray[np.bool_]
WARM_UP = 72

# --------------------------------------------------------------------------------- by hand


def hand_made(days: int) -> npt.NDArray[np.float64]:
    """Return an endless record in which nothing happens; the window is 08:00 to 20:00."""
    record = np.zeros((24 * days, len(ch.CHANNELS)))
    hour = np.arange(len(record)) % 24
    record[(hour >= 8) & (hour < 20), ch.WINDOW_S] = 3600.0
    record[:, ch.CONTENTS] = 25.0
    return record


def size_of(needed: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    return needed / MARGIN


LOSSLESS = Battery(
    usable_energy_wh=1000.0,
    charge_efficiency=1.0,
    discharge_efficiency=1.0,
    reserve_fraction=0.2,
    recovery_fraction=0.05,
)


def test_the_battery_follows_from_the_deepest_deficit() -> None:
    """Three hours at 600 W from a full battery: 1800 Wh above a reserve of a fifth is 2250 Wh."""
    record = hand_made(2)
    record[33:36, ch.DISCHARGE] = record[33:36, ch.COOLER_POWER] = 600.0
    wanted = np.array([False, True])
    found = needed_energy(LOSSLESS, 1.0, record, np.array([0, 24]), wanted, 3600)
    size = size_of(found.battery_factor)
    assert np.isnan(size[0])
    assert 2.25 < size[1] <= 2.25 * STEP
    assert np.isinf(found.array_factor[1])  # no sun, no help by arrays


def test_a_shortage_is_carried_to_the_next_day_and_sun_pays_it_back() -> None:
    """1500 Wh a day out, 500 Wh a day in after it: the deficit deepens by 1000 Wh a day."""
    record = hand_made(3)
    for d in range(3):
        record[24 * d + 10, ch.DISCHARGE] = record[24 * d + 10, ch.COOLER_POWER] = 1500.0
        record[24 * d + 12, ch.CHARGE] = record[24 * d + 12, ch.SOLAR] = 500.0
    wanted = np.ones(3, dtype=bool)
    found = needed_energy(LOSSLESS, 1.0, record, np.array([0, 24, 48]), wanted, 3600)
    exact = np.array([1.5, 2.5, 3.5]) / 0.8
    size = size_of(found.battery_factor)
    assert (exact < size).all()
    assert (size <= exact * STEP).all()
    # 800 Wh above the reserve never carry 1500 Wh that are drawn before the sun comes.
    assert np.isinf(found.array_factor).all()


def test_arrays_are_told_by_the_balance() -> None:
    """1000 W drawn for four hours, 400 W of sun with it: 2.0 times leaves 800 Wh to the battery."""
    record = hand_made(1)
    record[10:14, ch.COOLER_POWER] = 1000.0
    record[10:14, ch.SOLAR] = 400.0
    record[10:14, ch.DISCHARGE] = 600.0
    found = needed_energy(LOSSLESS, 1.0, record, np.array([0]), np.array([True]), 3600)
    assert 2.0 < size_of(found.array_factor)[0] <= 2.0 * STEP


def test_a_night_counts_until_the_charge_has_recovered() -> None:
    """The reserve is met at 04:00; whether the cooler may start at 08:00 is the sun's affair."""
    record = hand_made(1)
    record[3, ch.DISCHARGE] = 1600.0
    dark = needed_energy(LOSSLESS, 1.0, record, np.array([0]), np.array([True]), 3600)
    assert 2.0 < size_of(dark.battery_factor)[0] <= 2.0 * STEP
    record[6, ch.CHARGE] = 600.0
    bright = needed_energy(LOSSLESS, 1.0, record, np.array([0]), np.array([True]), 3600)
    # 1600 - 600 = 1000 Wh must be above reserve and recovery: 0.75 of the battery
    assert 1.0 / 0.75 <= size_of(bright.battery_factor)[0] <= STEP / 0.75


def test_a_cold_battery_takes_no_sun() -> None:
    record = hand_made(1)
    record[6, ch.SOLAR] = 300.0
    record[10:14, ch.COOLER_POWER] = record[10:14, ch.DISCHARGE] = 250.0
    start = 0.9  # 100 Wh missing at the start: 700 Wh are above the reserve, 1000 Wh are drawn
    warm = needed_energy(LOSSLESS, start, record, np.array([0]), np.array([True]), 3600)
    assert np.isinf(warm.array_factor[0])  # at most 100 Wh find room, 800 are there then
    longer = replace(LOSSLESS, usable_energy_wh=1300.0)
    warm = needed_energy(longer, start, record, np.array([0]), np.array([True]), 3600)
    record[:, ch.CONTENTS] = -5.0
    cold = needed_energy(longer, start, record, np.array([0]), np.array([True]), 3600)
    assert np.isfinite(warm.array_factor[0])
    assert np.isinf(cold.array_factor[0])


# -------------------------------------------------------------------------- run once more


@dataclass(frozen=True)
class Year:
    """A rig through a typical year, to be run again with other sizes."""

    rig: Rig
    scenario: Scenario
    weather: WeatherTable
    forcing: ForcingTables
    clock: Clock
    uncooled: npt.NDArray[np.float64]

    def judged(self, rig: Rig, record: npt.NDArray[np.float64]) -> DayVerdicts:
        return day_verdicts(
            rig, self.scenario.comfort, self.clock, record, self.uncooled, self.weather.interval_s
        )

    def held(self, rig: Rig) -> BoolArray:
        """Run it as a projection does; sun and weather on the rig do not know its sizes."""
        case, _ = prepare(rig, self.scenario, self.weather, WARM_UP, 300, self.forcing)
        return self.judged(rig, run_cases([case])[0]).holds


def other_battery(rig: Rig, factor: float) -> Rig:
    energy = rig.battery.usable_energy_wh * factor
    return replace(rig, battery=replace(rig.battery, usable_energy_wh=energy))


def other_arrays(rig: Rig, factor: float) -> Rig:
    arrays = tuple(replace(a, rated_power_w=a.rated_power_w * factor) for a in rig.arrays)
    limits = tuple(replace(c, max_power_w=c.max_power_w * factor) for c in rig.controllers)
    return replace(rig, arrays=arrays, controllers=limits)


@pytest.mark.parametrize(
    ("rig_name", "station", "charge"),
    [
        ("field_day_cabin", "plateau_highorrin", 1.0),
        ("lined_panel_van", "coast_ostmarrow", 0.6),
        ("plywood_teardrop", "hills_copsewynd", 1.0),
    ],
)
def test_with_the_size_the_days_hold_and_with_less_they_do_not(
    rig_name: str, station: str, charge: float, checkout: Path
) -> None:
    """The ledger's sizes against the time loop itself."""
    rig = load_rig(json.loads(rig_path(rig_name).read_text())).value
    document = json.loads(DEFAULT_SCENARIO.read_text())
    weather = read_weather(checkout / "sample_weather" / f"{station}.epw.gz")
    site = weather.site
    place = {
        **document["place"],
        "latitude": site.latitude,
        "longitude": site.longitude,
        "elevation_m": site.elevation_m,
    }
    scenario = Scenario(
        place=load_place(place).value,
        operation=load_operation(document["operation"]).value,
        comfort=load_comfort(document["comfort"]).value,
        start=load_start({**document["start"], "state_of_charge": charge}).value,
    )
    weather = weather.slice(-WARM_UP, len(weather) + WARM_UP)
    case, clock = prepare(rig, scenario, weather, WARM_UP)
    clock = Clock(clock.name, clock.starts[WARM_UP:], clock.offset_s[WARM_UP:])
    cooled, uncooled, endless = run_cases([case, without_cooling(case), with_endless_battery(case)])
    year = Year(rig, scenario, weather, case.forcing, clock, uncooled)
    days = year.judged(rig, cooled)
    wanted = days.needs_cooling & ~days.holds & year.judged(rig, endless).holds
    assert wanted.sum() > 3
    found = needed_energy(
        rig.battery, charge, endless, clock.day_first(), wanted, weather.interval_s
    )
    battery, arrays = (
        float(factor[wanted].max()) for factor in (found.battery_factor, found.array_factor)
    )
    assert year.held(other_battery(rig, battery))[wanted].all()
    assert not year.held(other_battery(rig, 0.9 * battery))[wanted].all()
    assert year.held(other_arrays(rig, arrays))[wanted].all()
    assert not year.held(other_arrays(rig, 0.9 * arrays))[wanted].all()
