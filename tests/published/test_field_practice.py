"""An August day in dry high country, as practice reports it, from the slide-in sample document.

The figures are common practice, no source: a well-insulated 12 m3 cabin at about 2,100 m, 19 degC
outdoors at 09:00, 32 at noon, 34 in mid-afternoon, covers closed, 5 kWh starting at 45 %, 500 W on
the roof and 400 W set out, refrigerator and lights running. It holds 22 to 24 degC, 11 K or more
below the outdoors at the hottest; low stage 300 to 400 W and nearly without a pause, high stage
above 700 W; array input near 600 W at noon and up to 700; charge up by 8 to 10 points over the
first four hours on the low stage, and 7 points below the start after six and a half hours, half of
the later time on the high stage. An alternator of 500 to 800 W carries the low stage with a
surplus. Holding from the morning takes less than pulling down from 37 degC at the same hour.

The rig is ``tests/data/rigs/field_day_cabin.json`` as it stands, whose README gives the reason of
every value. Guessed for the day: 4 degC dew point and 3 m/s wind (dry high country); a low of 13
degC, from which the ASHRAE day curve runs (22.5 degC at 09:00 against 19, 31.3 at noon against
32); cloud of 0.8 from 13:00 on (passing cloud of mountains, which in the formula's mean takes a
third of the light); two people with 7 l/s of fresh air each (EN 16798-1 category II, from
memory); low stage only until 13:00, then low and high as needed, at a set point of 21.5 degC; a
cabin at 22 degC at 09:00, aired in the morning.

How the values came about: not blind. With the sample as first written (foam without battens, 0.4
air changes, cooler of 3 to 1, array losses of 10 to 12 %, 53 W of loads) the low stage ran 83 % of
the forenoon and the charge rose by 31 points; every one of these was then made less kind, each for
a reason of its own that the README gives, in some six trials against these figures. The cloud (0.5
tried first), the set point and the low-only forenoon were chosen in the same trials. So this shows
that a plausible document can come near practice, not that the model foretold it. The fresh air was
10 l/s a head (category I) until a coil's air film knew the altitude; then the low stage alone let
the cabin reach 24.2 degC at 13:00.

What a builder would write down of that day beside it: the ground (dry soil, the default), the
array set out at 10:00, the roof array half shaded by the rig's own hood in the low sun until then
(half of the beam; how much nobody measured), a variable-speed cooler. None of it was chosen by its
result; on grass the cabin is 1.5 K cooler at 13:00 and the charge ends at -4.4.

What does not fit with it is the table `RESIDUAL` below: the charge rises by 7 points in four hours
where practice has 8 to 10, falls by 16 where practice has about 16 and ends 9 below the start
instead of 7 (10 until the ground had the convection of pavements in light wind); before the
ground, the array's hour and the hood were written down it rose by 18, fell by 13 and ended 5
above. The cabin is now too warm: 25.3 degC at 13:00, when only the low
stage may run, where practice has 22 to 24, and the high stage runs 59 % of the afternoon instead
of half. The morning's outdoor air is still 3 K too warm.
"""

import json
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

from noonhold.cooling.cooler import steady_stage
from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.documents import load_projection
from noonhold.projection import Projection, project
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import select_weather

USABLE_WH = 5000.0
NINE, ONE, HALF_PAST_THREE = 9 * 12, 13 * 12, 15 * 12 + 6  # 5-minute rows


def document(checkout: Path, **operation: Any) -> dict[str, Any]:
    rig = json.loads((checkout / "tests/data/rigs/field_day_cabin.json").read_text())
    rig["cooler"]["variable_speed"] = True
    return {
        "rig": rig,
        "place": {
            "latitude": 38.0, "longitude": -135.0, "elevation_m": 2100.0, "ground": "soil",
            "ground_albedo": 0.25,
            "shade": [
                {"from": "00:00", "to": "10:00", "beam_blocked": 0.5, "diffuse_blocked": 0.0,
                 "applies_to": ["roof"]},
            ],
        },
        "weather": {
            "hot_day": {
                "date": "2026-08-12", "high_c": 34.0, "low_c": 13.0, "dew_point_c": 4.0,
                "wind_speed_m_s": 3.0,
                "cloud_spans": [{"from": "13:00", "to": "19:00", "cloud_fraction": 0.8}],
            }
        },
        "operation": {
            "set_point_c": 21.5,
            "policy": "low_then_high",
            "cooling_window": {"from": "09:00", "to": "15:30"},
            "spans": [
                {"from": "09:00", "to": "15:30", "covers": "inside", "occupants": 2},
                {"from": "09:00", "to": "13:00", "policy": "low_only"},
                {"from": "00:00", "to": "10:00", "deployed": False},
            ],
            "fresh_air_m3_h_per_occupant": 25.2,
        } | operation,
        "start": {"cabin_temperature_c": 22.0, "state_of_charge": 0.45},
        "comfort": {"measure": "air", "limit": 26.0},
    }  # fmt: skip


def projected(whole: dict[str, Any], from_row: int = NINE, rows: int = 78) -> Projection:
    """Run a document from a moment on, in weather of 5 minutes, cabin and charge as it starts."""
    request = load_projection(whole).value
    hourly = select_weather(request.weather, request.scenario.place, 0, Catalogue((), ())).table
    table = finer(hourly).slice(from_row, rows)
    return project(request.rig, request.scenario, table)


def finer(table: Any) -> Any:
    """Return hourly weather in rows of 5 minutes: radiation held, instants in a straight line."""
    columns = {
        name: np.repeat(getattr(table, name), 12)
        for name in ("ghi", "dni", "dhi", "horizontal_infrared")
    }
    part = np.arange(1, 13) / 12.0
    for name in ("temp_air", "relative_humidity", "pressure", "wind_speed"):
        begin, end = table.instants_at_start(name), getattr(table, name)
        columns[name] = (begin[:, None] + (end - begin)[:, None] * part).ravel()
    return type(table)(
        **{**vars(table), **columns, "interval_s": 300}
    )  # fmt: skip


@pytest.fixture(scope="module")
def day(checkout: Path) -> Projection:
    return projected(document(checkout))


def points(day: Projection, row: int) -> float:
    """Return the charge gained since 09:00, in points of 100, after rows of 5 minutes."""
    return 100.0 * float(day.record[row - 1, ch.STORED] / USABLE_WH - 0.45)


FORENOON, AFTERNOON = slice(0, 48), slice(48, 78)


class Residual(NamedTuple):
    """What practice reports, as a range, and what the model finds for it."""

    quantity: str
    low: float
    high: float
    found: float


# Whatever it is: the figures are written down as they come out and not moved towards practice.
RESIDUAL = (
    Residual("cabin at 13:00, degC", 22.0, 24.0, 25.3),
    Residual("outdoors less cabin at the hottest, K", 11.0, 99.0, 12.5),
    Residual("high stage's share of the afternoon", 0.5, 0.5, 0.59),
    Residual("points of charge in the first four hours", 8.0, 10.0, 7.2),
    Residual("points in the two and a half hours after", -16.0, -16.0, -16.4),
    Residual("points at the end", -7.0, -7.0, -9.1),
    Residual("array input at noon, W", 600.0, 600.0, 655.0),
)


def figures(day: Projection) -> dict[str, float]:
    """Return what the model finds, by the residual's names."""
    cabin, outdoor = day.record[:, ch.CABIN], day.record[:, ch.OUTDOOR]
    hottest = int(np.argmax(outdoor))
    values = (
        cabin[47], outdoor[hottest] - cabin[hottest],
        day.record[AFTERNOON, ch.HIGH_FRACTION].mean(),
        points(day, 48), points(day, 78) - points(day, 48), points(day, 78),
        day.record[30:42, ch.SOLAR].mean(),
    )  # fmt: skip
    return {part.quantity: float(v) for part, v in zip(RESIDUAL, values, strict=True)}


@pytest.mark.parametrize("part", RESIDUAL, ids=lambda part: part.quantity)
def test_the_residual_is_what_is_written_down(part: Residual, day: Projection) -> None:
    # To a unit of the last digit given: nothing is claimed of practice here.
    digits = max(len(f"{part.found:g}".partition(".")[2]), 0)
    assert figures(day)[part.quantity] == pytest.approx(part.found, abs=1.0 * 10.0**-digits)


def test_the_cabin_stays_well_below_the_outdoors_at_the_hottest(day: Projection) -> None:
    outdoor = day.record[:, ch.OUTDOOR]
    assert outdoor.max() == pytest.approx(34.0, abs=0.1)
    assert figures(day)["outdoors less cabin at the hottest, K"] >= 11.0


def test_the_low_stage_runs_nearly_without_a_pause_at_300_to_400_w(day: Projection) -> None:
    forenoon = day.record[FORENOON]
    assert forenoon[:, ch.DUTY].mean() > 0.9
    running = forenoon[forenoon[:, ch.DUTY] > 0.99, ch.COOLER_POWER]
    assert running.min() > 290.0
    assert running.max() < 400.0
    assert (forenoon[:, ch.HIGH_FRACTION] == 0.0).all()


def test_the_high_stage_takes_more_than_700_w_and_a_good_part_of_the_afternoon(
    day: Projection,
) -> None:
    tables = cooler_tables(day.rig.cooler)
    _, _, high_w = steady_stage(tables, 1, 34.0, 22.0, 0.007, 78500.0)
    assert high_w > 700.0


def test_the_arrays_bring_near_600_w_at_noon_and_up_to_700(day: Projection) -> None:
    noon = day.record[30:42, ch.SOLAR].mean()
    assert noon == pytest.approx(600.0, abs=60.0)
    assert day.record[:, ch.SOLAR].max() < 700.0


def test_an_alternator_carries_the_low_stage_with_a_surplus(checkout: Path) -> None:
    whole = document(
        checkout,
        spans=[{"from": "00:00", "to": "24:00", "driving_speed_km_h": 80, "policy": "low_only"}],
    )
    whole["rig"]["arrays"] = []
    whole["place"]["shade"] = []
    whole["rig"]["controllers"] = []
    whole["rig"]["notes"] = {}
    driven = projected(whole).record
    assert 500.0 <= driven[:, ch.ALTERNATOR].max() <= 800.0
    assert (driven[:, ch.DISCHARGE] == 0.0).all()
    assert driven[:, ch.CHARGE].min() > 100.0


def test_holding_takes_less_than_pulling_down_from_37_degrees(
    checkout: Path, day: Projection
) -> None:
    whole = document(checkout)
    whole["start"]["cabin_temperature_c"] = 37.0
    late = projected(whole, from_row=ONE, rows=30)
    held = day.record[AFTERNOON, ch.COOLER_POWER].sum()
    assert held < 0.9 * late.record[:, ch.COOLER_POWER].sum()
