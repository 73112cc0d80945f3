"""What battery or arrays a stay would need: by arithmetic, and by running rigs of that size."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from noonhold.rig import Battery, Rig
from noonhold.studies.year.stay_sizes import LENGTHS_D, MARGIN, STEP, stay_sizes
from noonhold.studies.year.year_run import run_year
from noonhold.studies.year.year_stays import YearStays, year_stays
from noonhold.weather.weather_files import read_weather
from tests.engine.studies.year.made_year import HandMade, hand_made, hours
from tests.engine.studies.year.test_year_stays import year_of

LOSSLESS = Battery(1000.0, 1.0, 1.0, reserve_fraction=0.2, in_cabin=False)


def sizes(made: HandMade, lengths: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
    stays = year_stays(made.rig, made.scenario.comfort, made.run, 3600)
    found = stay_sizes(made.rig, made.scenario.comfort, made.run, stays, lengths)
    return found.needed_battery_wh / MARGIN, found.needed_array_w / MARGIN


def test_the_battery_follows_from_the_deepest_deficit_of_the_stay_alone() -> None:
    """1500 Wh out at 10:00 and 500 Wh in at 12:00 a day: 1.5, 2.5, 3.5 kWh above the reserve."""
    demand, sun = hours(5, from_10_to_11=1500.0), hours(5, from_12_to_13=500.0)
    battery, _ = sizes(hand_made(LOSSLESS, demand, sun), (1, 2, 3))
    exact = np.array([1500.0, 2500.0, 3500.0]) / 0.8
    # The same on every date: nothing is carried over from the days before arrival.
    assert (battery > exact).all()
    assert (battery <= exact * STEP).all()


def test_arrays_are_told_by_the_balance() -> None:
    """1000 W drawn for four hours, 400 W of sun with it: 2.0 times leaves 800 Wh to the battery."""
    demand, sun = hours(2, from_10_to_14=1000.0), hours(2, from_10_to_14=400.0)
    made = hand_made(LOSSLESS, demand, sun)
    _, arrays = sizes(made, (1,))
    rated_w = sum(array.rated_power_w for array in made.rig.arrays)
    assert (arrays > 2.0 * rated_w).all()
    assert (arrays <= 2.0 * rated_w * STEP).all()


def test_a_stay_that_holds_and_one_that_no_size_mends_have_no_size() -> None:
    little = hours(3, from_10_to_11=100.0)
    battery, arrays = sizes(hand_made(LOSSLESS, little, 0.0 * little), (1, 2))
    assert np.isnan(battery).all()
    # Too warm on the last day: a stay that has it is beyond any battery; one that ends before it
    # is not. Without sun no array helps.
    much = hours(3, from_10_to_11=1500.0)
    battery, arrays = sizes(hand_made(LOSSLESS, much, 0.0 * much, too_warm=(2,)), (1, 2))
    assert np.isfinite(battery).tolist() == [[True, True], [True, False], [False, False]]
    assert np.isnan(arrays).all()


def other_battery(rig: Rig, factor: float) -> Rig:
    size = rig.battery.usable_energy_wh * factor
    limits = {
        "charge_c_rate": rig.battery.charge_c_rate / factor,
        "discharge_c_rate": rig.battery.discharge_c_rate / factor,
    }
    return replace(rig, battery=replace(rig.battery, usable_energy_wh=size, **limits))


def other_arrays(rig: Rig, factor: float) -> Rig:
    arrays = tuple(replace(a, rated_power_w=a.rated_power_w * factor) for a in rig.arrays)
    limits = tuple(replace(c, max_power_w=c.max_power_w * factor) for c in rig.controllers)
    return replace(rig, arrays=arrays, controllers=limits)


@pytest.mark.parametrize(
    ("rig_name", "station"),
    [("flatbed_cabin", "coast_ostmarrow"), ("plywood_teardrop", "plateau_highorrin")],
)
def test_with_the_size_the_stays_hold_and_with_less_they_do_not(
    rig_name: str, station: str, checkout: Path
) -> None:
    """The hourly ledger's sizes against years of rigs of that size."""
    whole, scenario, run = year_of(checkout, rig_name, station, True)
    weather = read_weather(checkout / "sample_weather" / f"{station}.epw.gz")
    stays = year_stays(whole, scenario.comfort, run, 3600)
    found = stay_sizes(whole, scenario.comfort, run, stays)
    rated_w = sum(array.rated_power_w for array in whole.arrays)

    def stays_with(rig: Rig) -> YearStays:
        return year_stays(rig, scenario.comfort, run_year(rig, scenario, weather), 3600)

    for length in (3, 7):
        place = LENGTHS_D.index(length)
        for table, unit, resized in (
            (found.needed_battery_wh, whole.battery.usable_energy_wh, other_battery),
            (found.needed_array_w, rated_w, other_arrays),
        ):
            needed = table[:, place] / unit
            wanted = np.isfinite(needed)
            assert wanted.sum() > 3
            assert (stays.days[wanted] < length).all()
            most = float(needed[wanted].max())
            assert (stays_with(resized(whole, most)).days[wanted] >= length).all()
            assert not (stays_with(resized(whole, 0.9 * most)).days[wanted] >= length).all()
