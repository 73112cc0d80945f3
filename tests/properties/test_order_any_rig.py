"""What must not make a day worse, for rigs that nobody chose.

What holds exactly, and under which conditions, is said at each test. Two limits are known and not
hidden. Insulation helps where the outdoors is the warmer side: it also keeps in what sun and people
bring, so in a cool evening less of it can be better. And once a reserve stops the cooler, a better
rig stops later, so at a given hour the lesser rig may just have recovered: what is compared is the
time until the first stop, and whole days only for rigs with energy to spare.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import numpy.typing as npt
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from noonhold.rig import Cooler, Layer, Panel, Policy, Rig
from noonhold.scenario import Operation, Scenario, Shade
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.hot_day import HotDay
from noonhold.weather.selection import select_weather
from noonhold.weather.weather_table import WeatherTable
from tests.properties.strategies import coolers, days, rigs, scenarios

FloatArray = npt.NDArray[np.float64]
NO_STATIONS = Catalogue((), ())
# On a busy machine the drawing of a whole rig alone counts as slow.
some = settings(
    max_examples=12,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow],
)

# Nights above the set point, and days: the outdoors is the warmer side all day.
hot_days = st.builds(
    HotDay,
    st.dates(date(2026, 1, 1), date(2026, 12, 31)),
    st.floats(36.0, 46.0),
    st.floats(30.0, 36.0),
    st.floats(0.0, 20.0),
    st.floats(0.0, 10.0),
    st.floats(0.0, 1.0),
)
HELD = 22.0


def record(rig: Rig, scenario: Scenario, table: WeatherTable, step_s: int = 300) -> FloatArray:
    case, _ = prepare(rig, scenario, table, step_s=step_s)
    return run_cases([case])[0]


def weather(day: HotDay, scenario: Scenario) -> WeatherTable:
    return select_weather(day, scenario.place, 0, NO_STATIONS).table


def with_energy_to_spare(rig: Rig) -> Rig:
    """Return the rig with a battery that no day empties, outside the cabin, without limits."""
    battery = replace(
        rig.battery, usable_energy_wh=1e6, in_cabin=False, max_charge_w=np.inf,
        max_discharge_w=np.inf, charge_temperature_c=(-100.0, 200.0),
        discharge_temperature_c=(-100.0, 200.0),
    )  # fmt: skip
    return replace(rig, battery=battery)


def held_all_day(scenario: Scenario) -> Scenario:
    """Return the scene with the cooler on all day at one set point and nothing else done."""
    operation = Operation(HELD, Policy.LOW_THEN_HIGH, (0.0, 24.0))
    return replace(scenario, operation=operation)


def warmth(done: FloatArray) -> float:
    """Return the degree-hours of cabin air above the set point. [K h]"""
    return float(np.maximum(done[:, ch.CABIN] - HELD, 0.0).sum())


def first_stop(done: FloatArray) -> float:
    """Return the time of the first stop at the reserve. [h]"""
    rows = np.flatnonzero(done[:, ch.RESERVE_S] > 0.0)
    if not len(rows):
        return np.inf
    return float(rows[0] + 1.0 - done[rows[0], ch.RESERVE_S] / 3600.0)


def insulated(panel: Panel, resistance_m2k_w: float) -> Panel:
    """Return a panel with a massless layer added outside."""
    return replace(panel, layers=(Layer(resistance_m2k_w, 1.0, 0.0, 1000.0), *panel.layers))


def larger_cooler(cooler: Cooler, factor: float) -> Cooler:
    """Return a cooler with everything of it that much larger."""
    stages = tuple(
        replace(s, cooling_w=s.cooling_w * factor, power_w=s.power_w * factor)
        for s in cooler.stages
    )
    return replace(
        cooler, stages=stages, airflow_m3_h=cooler.airflow_m3_h * factor,
        fan_power_w=cooler.fan_power_w * factor,
    )  # fmt: skip


@given(rigs(), coolers(), scenarios(), hot_days, st.floats(0.2, 3.0))
@some
def test_more_insulation_where_the_outdoors_is_the_warmer_side(
    rig: Rig, cooler: Cooler, scenario: Scenario, day: HotDay, resistance: float
) -> None:
    """With energy to spare no degree-hour is added, and the cooler takes out no more heat.

    The sky is as warm as the air here, since a panel facing a cold one has its warmer side inside,
    and the cooler large enough that the cabin never gets warmer than the outdoors.
    """
    rig = replace(with_energy_to_spare(rig), cooler=larger_cooler(cooler, 8.0), heater=None)
    scenario = held_all_day(scenario)
    table = weather(day, scenario)
    table = replace(table, horizontal_infrared=5.670374419e-8 * (table.temp_air + 273.15) ** 4)
    panels = tuple(insulated(panel, resistance) for panel in rig.shell.panels)
    better = replace(rig, shell=replace(rig.shell, panels=panels))
    plain, done = (record(each, scenario, table) for each in (rig, better))
    assume((plain[:, ch.CABIN] <= plain[:, ch.OUTDOOR]).all())
    assert warmth(done) <= warmth(plain) + 0.05 * len(plain)
    assert done[:, ch.SENSIBLE].sum() <= 1.001 * plain[:, ch.SENSIBLE].sum() + 1.0


@given(rigs(), scenarios(), days(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
@some
def test_more_shade_from_the_beam(
    rig: Rig, scenario: Scenario, day: HotDay, less: float, more: float
) -> None:
    """Shade that keeps off the beam alone makes no hour of an uncooled cabin warmer.

    Shade from the whole sky also hides the cold sky, so nights under it are warmer. And a battery
    that a hot cabin keeps from charging leaves loads without power, whose heat is missed.
    """
    rig = replace(with_energy_to_spare(rig), cooler=None)
    less, more = sorted((less, more))
    scenes = (
        replace(
            scenario, place=replace(scenario.place, shade=(Shade(0.0, 24.0, b, 0.0, ("cabin",)),))
        )
        for b in (less, more)
    )
    table = weather(day, scenario)
    sunny, shaded = (record(rig, each, table) for each in scenes)
    assert (shaded[:, ch.CABIN] <= sunny[:, ch.CABIN] + 0.02).all()
    assert (shaded[:, ch.SOLAR_IN] <= sunny[:, ch.SOLAR_IN] + 1e-9).all()


def larger_arrays(rig: Rig, factor: float) -> Rig:
    arrays = tuple(replace(a, rated_power_w=a.rated_power_w * factor) for a in rig.arrays)
    controllers = tuple(replace(c, max_power_w=c.max_power_w * factor) for c in rig.controllers)
    return replace(rig, arrays=arrays, controllers=controllers)


@given(rigs(), scenarios(), days(), st.floats(1.0, 4.0))
@some
def test_a_bigger_array(rig: Rig, scenario: Scenario, day: HotDay, factor: float) -> None:
    """It yields no less in any hour, and until the lesser rig first stops stores no less."""
    table = weather(day, scenario)
    plain, done = (record(r, scenario, table) for r in (rig, larger_arrays(rig, factor)))
    assert (done[:, ch.SOLAR] >= plain[:, ch.SOLAR] - 1e-9).all()
    no_less_until_the_first_stop(plain, done, rig)


def no_less_until_the_first_stop(plain: FloatArray, done: FloatArray, rig: Rig) -> None:
    """Assert that the better of two stops no earlier, and stores no less while none was stopped."""
    stop = first_stop(plain)
    assert first_stop(done) >= stop - 1.0 / 12.0 - 1e-9
    rows = int(min(stop, len(plain)))
    slack = 1e-3 * rig.battery.usable_energy_wh
    assert (done[:rows, ch.STORED] >= plain[:rows, ch.STORED] - slack).all()


@given(rigs(), scenarios(), days(), st.floats(1.0, 5.0), st.booleans())
@some
def test_more_battery(rig: Rig, scenario: Scenario, day: HotDay, factor: float, full: bool) -> None:
    """From a full start, or from equal energy above an equal reserve, it stores no less.

    Both in watt-hours. Reserve and recovery are shares of the size, so at equal energy a larger
    battery is nearer its reserve, and in a lasting shortage it waits for more before it starts the
    cooler again: there it can hold fewer days, and nothing is claimed.
    """
    small = rig.battery
    larger = replace(small, usable_energy_wh=factor * small.usable_energy_wh)
    start = scenario.start
    if full:
        starts = (replace(start, state_of_charge=1.0),) * 2
    else:
        larger = replace(
            larger, reserve_fraction=small.reserve_fraction / factor,
            recovery_fraction=small.recovery_fraction / factor,
        )  # fmt: skip
        starts = (start, replace(start, state_of_charge=start.state_of_charge / factor))
    table = weather(day, scenario)
    plain = record(rig, replace(scenario, start=starts[0]), table)
    done = record(replace(rig, battery=larger), replace(scenario, start=starts[1]), table)
    no_less_until_the_first_stop(plain, done, rig)


@given(rigs(), coolers(), scenarios(), days(), st.floats(1.05, 3.0))
@some
def test_a_cooler_of_less_power(
    rig: Rig, cooler: Cooler, scenario: Scenario, day: HotDay, factor: float
) -> None:
    """The same cooling for less power draws less over the day and warms nobody."""
    thrifty = replace(
        cooler, stages=tuple(replace(s, power_w=s.power_w / factor) for s in cooler.stages),
        fan_power_w=cooler.fan_power_w / factor,
    )  # fmt: skip
    table = weather(day, scenario)
    plain, done = (record(replace(rig, cooler=each), scenario, table) for each in (cooler, thrifty))
    no_less_until_the_first_stop(plain, done, rig)
    ample = with_energy_to_spare(rig)
    plain, done = (
        record(replace(ample, cooler=each), scenario, table) for each in (cooler, thrifty)
    )
    assert done[:, ch.CABIN].max() <= plain[:, ch.CABIN].max() + 0.1
    assert done[:, ch.COOLER_POWER].sum() <= plain[:, ch.COOLER_POWER].sum() + 1e-6


@given(rigs(), coolers(), scenarios(), hot_days, st.floats(1.05, 3.0))
@some
def test_a_cooler_of_more_power(
    rig: Rig, cooler: Cooler, scenario: Scenario, day: HotDay, factor: float
) -> None:
    """Everything of the cooler made larger: with energy to spare no degree-hour is added."""
    rig = replace(with_energy_to_spare(rig), heater=None)
    scenario = held_all_day(scenario)
    larger = larger_cooler(cooler, factor)
    table = weather(day, scenario)
    plain, done = (record(replace(rig, cooler=each), scenario, table) for each in (cooler, larger))
    assert warmth(done) <= warmth(plain) + 0.05 * len(plain)


@given(rigs(), scenarios(), days())
@some
def test_a_rig_in_the_dark_yields_nothing(rig: Rig, scenario: Scenario, day: HotDay) -> None:
    table = weather(day, scenario)
    nothing = np.zeros(len(table))
    dark = record(rig, scenario, replace(table, ghi=nothing, dni=nothing, dhi=nothing))
    for channel in (ch.SOLAR, ch.SOLAR_USED, ch.CURTAILED, ch.SOLAR_IN, ch.INCIDENT_ARRAYS):
        assert (dark[:, channel] == 0.0).all(), ch.CHANNELS[channel]
