"""What must not make a day worse, and what must make no difference.

Comfort is compared by the degree-hours of air above the set point, charge by its end. Implicit
steps land on the set point exactly, so a better rig may differ by the step's error alone: 0.1 K.
"""

import itertools
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from noonhold.projection import Projection, project
from noonhold.rig import Battery, Policy, Rig, Stage
from noonhold.scenario import Operation, Place, Scenario, Shade
from noonhold.simulation import channels as ch
from tests.engine.made import COOLER, FOAM, PLACE, ROOF_ARRAY, SKIN, box, rig, scene, steady, summer

HOT = summer()


def warmth(done: Projection) -> float:
    """Degree-hours of cabin air above the set point in the cooling window. [K h]."""
    inside = done.record[:, ch.WINDOW_S] > 0.0
    return float(np.maximum(done.record[inside, ch.CABIN] - 24.0, 0.0).sum())


def no_worse(better: Rig, scenario: Scenario | None = None, base: Rig | None = None) -> None:
    plain = project(base or rig(), scene(), HOT)
    done = project(better, scenario or scene(), HOT)
    hours = float((plain.record[:, ch.WINDOW_S] > 0.0).sum())
    assert warmth(done) <= warmth(plain) + 0.1 * hours
    size, other = done.rig.battery.usable_energy_wh, plain.rig.battery.usable_energy_wh
    assert done.record[-1, ch.STORED] >= plain.record[-1, ch.STORED] - 0.005 * max(size, other)


@pytest.mark.parametrize("thickness", [0.05, 0.08, 0.15])
def test_more_insulation(thickness: float) -> None:
    layers = (SKIN, replace(FOAM, thickness_m=thickness), SKIN)
    panels = tuple(replace(panel, layers=layers) for panel in box().panels)
    no_worse(rig(shell=box(panels=panels)))


@pytest.mark.parametrize("blocked", [0.3, 0.7, 1.0])
def test_more_shade_on_the_cabin(blocked: float) -> None:
    shade = (Shade(0.0, 24.0, blocked, blocked / 2.0, ("cabin",)),)
    no_worse(rig(), scene(place=replace(PLACE, shade=shade)))


@pytest.mark.parametrize("factor", [1.2, 3.0])
def test_more_battery_a_bigger_array_or_a_better_cooler(factor: float) -> None:
    small = rig(battery=Battery(1000.0))
    no_worse(rig(battery=Battery(1000.0 * factor)), base=small)
    no_worse(rig(arrays=(replace(ROOF_ARRAY, rated_power_w=400.0 * factor),)))
    better = tuple(Stage(s.name, s.cooling_w, s.power_w / factor) for s in COOLER.stages)
    no_worse(rig(cooler=replace(COOLER, stages=better)))


def test_the_heading_of_a_rig_alike_on_all_sides_makes_no_difference() -> None:
    results = [
        project(rig(), scene(place=replace(PLACE, heading_deg=turn)), HOT).record[:, ch.CABIN]
        for turn in (0.0, 90.0, 180.0, 270.0)
    ]
    for turned in results[1:]:
        assert turned == pytest.approx(results[0], abs=1e-9)


def test_full_shade_is_a_day_without_sun() -> None:
    shade = (Shade(0.0, 24.0, 1.0, 1.0),)
    dark = replace(HOT, ghi=0 * HOT.ghi, dni=0 * HOT.dni, dhi=0 * HOT.dhi)
    # The shade hides the cold sky too, so the day without sun stands under a sky of air's warmth.
    place = replace(PLACE, shade=shade)
    shaded = project(rig(), scene(place=place), HOT).record
    sunless = project(rig(), scene(place=place), dark).record
    assert shaded[:, ch.CABIN] == pytest.approx(sunless[:, ch.CABIN], abs=1e-12)
    assert (shaded[:, ch.SOLAR] == 0.0).all()


def test_no_sun_no_yield() -> None:
    done = project(rig(), scene(), steady(30.0))
    assert (done.record[:, [ch.SOLAR, ch.SOLAR_IN, ch.CURTAILED]] == 0.0).all()


def test_the_southern_hemisphere_mirrors_the_northern() -> None:
    north = HOT
    south = replace(
        north, site=replace(north.site, latitude=-north.site.latitude),
        start=np.datetime64("2026-01-14T00:00:00", "s"),
    )  # fmt: skip
    # The sun half a year later stands as high, but for declination (0.1 degree) and distance.
    there = Place(-38.0, -135.0, 1500.0)
    one = project(rig(arrays=()), scene(), north).record[:, ch.CABIN]
    other = project(rig(arrays=()), scene(place=there), south).record[:, ch.CABIN]
    assert other == pytest.approx(one, abs=0.3)


def test_halving_the_step_converges() -> None:
    operation = Operation(24.0, Policy.OFF)
    table = summer(days=2, first=date(2026, 7, 15))
    runs = [
        project(rig(), scene(operation=operation), table, step_s=step).record[:, ch.CABIN]
        for step in (1200, 600, 300, 150)
    ]
    gaps = [np.abs(a - b).max() for a, b in itertools.pairwise(runs)]
    assert gaps[0] > gaps[1] > gaps[2]
    # The scheme is of first order in the step: each gap is about half of the one before.
    assert all(0.45 < finer / coarser < 0.55 for coarser, finer in itertools.pairwise(gaps))
    assert gaps[2] < 0.1
