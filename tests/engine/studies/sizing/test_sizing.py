"""Sizing: what it finds is what a projection of that rig says, and one size less is not enough."""

import json
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import pytest

from noonhold.documents.rig_document import load_rig
from noonhold.documents.sizing_document import SizingSchema, dump_sizing, load_sizing
from noonhold.errors import DocumentError, StationNotFoundError
from noonhold.projection_result import ProjectionResult, run_projection
from noonhold.quantities import Verdict
from noonhold.rig import Rig
from noonhold.scenario import Start
from noonhold.simulation import channels as ch
from noonhold.studies.sizing.sizes import Reserve, Size, resized
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.sizing.sizing_terms import Outcome, Range, SizingAnswer, SizingRequest, Target
from noonhold.studies.sizing.sizing_words import sentence_of
from noonhold.studies.sizing.trials import Confidence
from noonhold.verdict import CAUTIONS
from noonhold.weather.weather_files import read_weather
from tests.engine.document_samples import changed, without
from tests.engine.studies.study_samples import CHECKOUT, example, sample_rig, sample_stations

BATTERY, FRONTIER = "sizing_battery", "sizing_frontier"
CATALOGUE = sample_stations()
STATION = "/projection/weather/typical_year/station"
SUMMER = (("/projection/weather/typical_year/from", "11-01"),
          ("/projection/weather/typical_year/days", 120))  # fmt: skip


read = lru_cache(read_weather)


def request(name: str, *changes: tuple[str, Any]) -> SizingRequest:
    return load_sizing(changed(example(name), *changes), sample_rig).value


def targeting(size: str, key: str, sizes: dict[str, float], *changes: tuple[str, Any]) -> Any:
    document = without(example(BATTERY), "/battery_wh")
    return changed(document, ("/size", size), (f"/{key}", sizes), *changes)


def settled(asked: SizingRequest, rig: Rig) -> ProjectionResult:
    """Return the projection of a rig whose cabin and charge have settled."""
    scenario = replace(asked.base.scenario, start=Start(None, None, 3))
    return run_projection(rig, scenario, asked.base.weather, CATALOGUE, read)


def score_of(asked: SizingRequest, rig: Rig) -> float | None:
    """Return the share of days needing cooling that hold at the confidence asked for."""
    days = settled(asked, rig).days
    needs = days.needs_cooling
    least = Verdict.HOLDS if asked.confidence is Confidence.ADVERSE else Verdict.NARROWLY
    return float((days.verdict[needs] >= least).mean()) if needs.any() else None


def at_size(asked: SizingRequest, size: Size) -> Rig:
    return resized(asked.base.rig, size, asked.scaling)


@pytest.fixture(scope="module")
def battery() -> SizingAnswer:
    return size_rig(request(BATTERY), CATALOGUE, read)


@pytest.fixture(scope="module")
def frontier() -> SizingAnswer:
    return size_rig(request(FRONTIER), CATALOGUE, read)


def test_a_projection_of_the_rig_found_reaches_the_score(battery: SizingAnswer) -> None:
    assert battery.outcome is Outcome.FOUND
    assert battery.rig is not None
    assert battery.found is not None
    feasible_fraction = score_of(request(BATTERY), battery.rig)
    assert feasible_fraction is not None
    assert feasible_fraction >= 0.9
    assert feasible_fraction == battery.found.feasible_fraction
    assert battery.rig.battery.usable_energy_wh == battery.found.size.battery_wh


def test_one_size_less_is_not_enough(battery: SizingAnswer) -> None:
    asked = request(BATTERY)
    assert battery.found is not None
    assert battery.next_smaller is not None
    step = battery.found.size.battery_wh - battery.next_smaller.size.battery_wh
    assert step == 250.0
    feasible_fraction = score_of(asked, at_size(asked, battery.next_smaller.size))
    assert feasible_fraction is not None
    assert feasible_fraction == battery.next_smaller.feasible_fraction
    assert not battery.next_smaller.reaches(0.9)
    # Either too few days hold, or a house load goes unserved, as stated or when somewhat worse.
    adverse = settled(asked, at_size(asked, battery.next_smaller.size)).projection.adverse
    assert adverse is not None
    assert feasible_fraction < 0.9 or adverse[:, ch.UNMET].sum() > 0.0


def test_the_worth_of_more_is_what_projections_differ_by(battery: SizingAnswer) -> None:
    asked = request(BATTERY)
    at_rig, at_found = battery.worth
    assert at_rig.at == battery.given
    assert battery.found is not None
    assert at_found.at.size == battery.found.size
    for worth in battery.worth:
        size = worth.at.size
        assert worth.array is not None
        assert worth.battery.size == Size(size.battery_wh + 1000.0, size.array_w)
        assert size.array_w is not None
        assert worth.array.size == Size(size.battery_wh, size.array_w + 100.0)
        assert score_of(asked, at_size(asked, worth.array.size)) == worth.array.feasible_fraction


def test_every_point_of_the_frontier_is_the_smallest_battery_that_does_it(
    frontier: SizingAnswer,
) -> None:
    asked = request(FRONTIER)
    assert asked.battery_wh is not None
    assert asked.array_w is not None
    batteries, arrays = asked.battery_wh.values(), asked.array_w.values()
    assert (len(batteries), len(arrays)) == (12, 12)
    assert [point.array_w for point in frontier.frontier] == list(arrays)
    # Every battery to every third array, run by itself.
    for point in frontier.frontier[::3]:
        enough = [
            wh
            for wh in batteries
            if (score_of(asked, at_size(asked, Size(wh, point.array_w))) or 0.0) >= 0.9
        ]
        found = None if point.trial is None else point.trial.size.battery_wh
        assert found == (enough[0] if enough else None)
    assert frontier.runs < 60


def test_a_larger_array_never_asks_for_a_larger_battery(frontier: SizingAnswer) -> None:
    needed = [
        float("inf") if point.trial is None else point.trial.size.battery_wh
        for point in frontier.frontier
    ]
    assert needed == sorted(needed, reverse=True)
    assert needed[0] > needed[-1]


def test_an_array_is_found_and_one_step_less_fails() -> None:
    document = targeting("array", "array_w", {"least": 50, "most": 1500, "step": 50})
    asked = load_sizing(document, sample_rig).value
    found = size_rig(asked, CATALOGUE, read)
    assert found.rig is not None
    assert found.next_smaller is not None
    assert (score_of(asked, found.rig) or 0.0) >= 0.9
    assert (score_of(asked, at_size(asked, found.next_smaller.size)) or 0.0) < 0.9


def test_a_cooler_is_found_and_one_step_less_fails() -> None:
    # Two hot days on a battery and arrays so large that no energy lacks.
    rig = _sample_document()
    rig["battery"]["usable_energy_wh"] = 30000
    rig["arrays"][0]["rated_power_w"] = 3000
    rig["controllers"][0]["max_power_w"] = 4000
    rig.pop("notes", None)
    document = targeting("cooler", "cooler_factor", {"least": 0.2, "most": 2, "step": 0.05},
                         ("/projection/weather/typical_year/from", "01-19"),
                         ("/projection/weather/typical_year/days", 2),
                         ("/projection/rig", rig))  # fmt: skip
    asked = load_sizing(document, sample_rig).value
    found = size_rig(asked, CATALOGUE, read)
    assert found.found is not None
    assert found.rig is not None
    assert found.found.size.cooler_factor < 1.0
    assert found.next_smaller is not None
    assert (score_of(asked, found.rig) or 0.0) >= 0.9
    assert (score_of(asked, at_size(asked, found.next_smaller.size)) or 0.0) < 0.9


def test_where_no_battery_does_it_and_energy_would_not_help_it_names_the_cooler() -> None:
    asked = request(BATTERY, (STATION, "basin_desert_kelpanoor"),
                    ("/projection/place/latitude", -34.12),
                    ("/projection/place/longitude", -120.66),
                    ("/projection/place/elevation_m", 95), ("/projection/place/ground", "soil"),
                    ("/projection/rig", "lined_panel_van"))  # fmt: skip
    told = size_rig(asked, CATALOGUE, read)
    assert told.outcome is Outcome.COOLER_TOO_SMALL
    assert told.rig is None
    assert told.found is None
    assert told.unlimited is not None
    assert told.unlimited.failed_by_energy == 0
    assert told.unlimited.failed_by_capacity > 0
    assert told.cooler_factor_needed is not None
    assert told.cooler_factor_needed > 1.0
    assert told.best is not None
    assert told.best.feasible_fraction is not None
    assert told.best.feasible_fraction < 0.9


def test_where_unlimited_energy_would_do_it_it_does_not_blame_the_cooler() -> None:
    asked = request(BATTERY, (STATION, "river_plain_bendrille"),
                    ("/projection/place/latitude", -34.77),
                    ("/projection/place/longitude", -122.8),
                    ("/projection/place/elevation_m", 115))  # fmt: skip
    told = size_rig(asked, CATALOGUE, read)
    assert told.outcome is Outcome.NOT_ENOUGH_ENERGY
    assert told.unlimited is not None
    assert told.unlimited.reaches(0.9)
    assert told.cooler_factor_needed is None


def test_nominal_confidence_asks_for_less_than_adverse() -> None:
    sizes = {}
    for confidence in Confidence:
        asked = request(BATTERY, ("/confidence", str(confidence)))
        answer = size_rig(asked, CATALOGUE, read)
        assert answer.found is not None and answer.confidence is confidence
        sizes[confidence] = answer.found.size.battery_wh
        assert answer.found.counting_days >= 0.9 * answer.found.days_needing_cooling
        narrow = answer.found.narrow_days if confidence is Confidence.ADVERSE else 0
        assert answer.found.counting_days == answer.found.holding_days - narrow
    assert sizes[Confidence.NOMINAL] < sizes[Confidence.ADVERSE]


def test_the_reserve_stays_in_watt_hours_or_as_a_share() -> None:
    asked = request(BATTERY)
    given = asked.base.rig.battery
    larger = 2.0 * given.usable_energy_wh
    for reserve in Reserve:
        scaling = replace(asked.scaling, reserve=reserve)
        battery = resized(asked.base.rig, Size(larger, None), scaling).battery
        factor = 0.5 if reserve is Reserve.ENERGY else 1.0
        assert battery.reserve_fraction == pytest.approx(factor * given.reserve_fraction)
        assert battery.recovery_fraction == pytest.approx(factor * given.recovery_fraction)
    rig = _sample_document()
    rig.pop("notes", None)
    rig["battery"]["reserve_fraction"] = 0.3
    kept = {
        reserve: size_rig(
            request(
                BATTERY, ("/reserve_stays", reserve), ("/battery_wh/most", 40000),
                ("/projection/rig", rig),
            ),
            CATALOGUE, read,
        )
        for reserve in ("energy", "share")
    }  # fmt: skip
    sizes = {r: a.found.size.battery_wh for r, a in kept.items() if a.found is not None}
    # The example's battery has to grow, and with it a reserve that is a share of it.
    assert sizes["energy"] > given.usable_energy_wh
    assert sizes["share"] > sizes["energy"]
    assert any("same watt-hours" in note for note in kept["energy"].notes)
    assert any("same share" in note for note in kept["share"].notes)


def test_the_margins_of_the_size_found_are_those_of_its_projection(battery: SizingAnswer) -> None:
    assert battery.rig is not None and battery.found is not None
    days = settled(request(BATTERY), battery.rig).days
    hours = {"energy_margin_wh": "lowest_charge_hour", "comfort_margin_k": "peak_comfort_hour",
             "cooling_margin_w": "cooling_margin_hour"}  # fmt: skip
    for name, hour in hours.items():
        margin = getattr(battery.found, name)
        column = np.where(days.holds, getattr(days, name), np.inf)
        row = int(np.nanargmin(column))
        assert margin.value == pytest.approx(column[row], abs=0.01)
        assert margin.value > 0.0
        assert (margin.date, margin.hour) == (str(days.date[row]), getattr(days, hour)[row])


def test_no_size_is_named_with_which_a_house_load_goes_unserved() -> None:
    """The finding: 1,250 Wh recommended with 19 kWh of the loads unserved."""
    asked = replace(
        request(BATTERY, *SUMMER, ("/battery_wh", {"least": 500, "most": 16000}),
                ("/projection/rig", _with_base_load()), ("/confidence", "nominal")),
        required_feasible_fraction=0.0,
    )  # fmt: skip
    answer = size_rig(asked, CATALOGUE, read)
    small = [trial for trial in answer.tried if trial.unmet_wh > 1.0]
    # Without the loads every size would do, for no share of the days is asked for.
    assert small and all(trial.feasible_fraction is not None for trial in small)
    named = [answer.found] if answer.found is not None else []
    assert all(trial.unmet_wh == 0.0 for trial in named)
    for trial in small[:1]:
        days = settled(asked, at_size(asked, trial.size)).days
        assert days.unmet_wh.sum() == pytest.approx(trial.unmet_wh, abs=0.01)
        assert not days.holds[days.unmet_wh > 0.01].any()


def test_a_day_is_sized_day_after_day() -> None:
    """A day that a full battery carries, but that takes more than it gives, is not enough."""
    asked = request(BATTERY, ("/projection/weather", {"hot_day": {
        "date": "2026-01-15", "high_c": 38, "low_c": 22, "dew_point_c": 8}}),
        ("/projection/place/timezone", "America/Los_Angeles"))  # fmt: skip
    answer = size_rig(asked, CATALOGUE, read)
    assert answer.given.daily_balance_wh < 0.0
    assert answer.outcome is Outcome.NOT_ENOUGH_ENERGY
    assert "a battery alone cannot mend that" in sentence_of(answer)
    big = at_size(asked, replace(answer.given.size, battery_wh=15000.0))
    full = replace(asked.base.scenario, start=Start(1.0, None, 3))
    today = run_projection(big, full, asked.base.weather, CATALOGUE, read)
    assert today.summary.holds
    assert today.sustained.verdict is Verdict.FAILS
    # With arrays that give what the day takes, sizing and projection agree day after day.
    document = targeting("array", "array_w", {"least": 200, "most": 4000, "step": 100})
    document = changed(document, ("/projection/weather", {"hot_day": {
        "date": "2026-01-15", "high_c": 38, "low_c": 22, "dew_point_c": 8}}))  # fmt: skip
    asked = load_sizing(document, sample_rig).value
    enough = size_rig(asked, CATALOGUE, read)
    assert enough.rig is not None and enough.next_smaller is not None
    less = at_size(asked, enough.next_smaller.size)
    assert settled(asked, enough.rig).sustained.verdict is Verdict.HOLDS
    assert settled(asked, less).sustained.verdict is not Verdict.HOLDS


def test_a_larger_battery_does_no_worse() -> None:
    """A day holds above the reserve alone, so that what a small battery serves a large one does."""
    asked = request(BATTERY, *SUMMER, ("/battery_wh", {"least": 500, "most": 16000}),
                    ("/projection/rig", _with_base_load()))  # fmt: skip
    few, many = (score_of(asked, at_size(asked, Size(wh, 500.0))) for wh in (1500.0, 12000.0))
    assert few is not None
    assert many is not None
    assert few <= many


def _with_base_load() -> dict[str, Any]:
    document = json.loads(json.dumps(_sample_document()))
    document["loads"].append({"name": "heater of the tank", "power_w": 60})
    document.pop("notes", None)
    return dict(document)


def _sample_document() -> dict[str, Any]:
    path = CHECKOUT / "tests/data/rigs/field_day_cabin.json"
    found: dict[str, Any] = json.loads(path.read_text())
    return found


def test_where_no_day_needs_cooling_it_says_so() -> None:
    asked = request(BATTERY, ("/projection/weather/typical_year/from", "07-01"),
                    ("/projection/weather/typical_year/days", 3))  # fmt: skip
    told = size_rig(asked, CATALOGUE, read)
    assert told.outcome is Outcome.NO_DAY_NEEDS_COOLING
    assert told.given.feasible_fraction is None
    assert told.found is not None
    assert told.next_smaller is not None
    # Even then the smallest that serves the house loads, as stated and when somewhat worse.
    assert told.found.unmet_wh == 0.0 < told.next_smaller.unmet_wh


def test_the_answer_is_a_document_and_its_rig_can_be_read_again(battery: SizingAnswer) -> None:
    loaded = load_sizing(example(BATTERY), sample_rig)
    document = dump_sizing(battery, loaded.assumptions)
    text = json.dumps(document, allow_nan=False)
    assert json.loads(text)["cautions"] == list(CAUTIONS)
    assert load_rig(document["rig"]).value == battery.rig
    assert document["worth"][0]["next_kwh"]["holding_days"] == (
        battery.worth[0].battery.holding_days - battery.given.holding_days
    )
    assert {each["path"] for each in document["assumptions"]} >= {
        "/array", "/battery_limits_grow", "/confidence", "/reserve_stays",
        "/projection/operation/policy",
    }  # fmt: skip


def test_what_the_request_leaves_out_is_told() -> None:
    loaded = load_sizing(example(FRONTIER), sample_rig)
    told = {each.path: each.value for each in loaded.assumptions}
    assert told["/battery_wh/step"] == 1000.0
    assert told["/array_w/step"] == 200.0
    assert told["/array"] == "roof"


FAULTS = [
    (BATTERY, ("/size", "roof"), "/size"),
    (BATTERY, ("/required_feasible_fraction", 95), "/required_feasible_fraction"),
    (BATTERY, ("/battery_wh/most", 400), "/battery_wh/most"),
    (BATTERY, ("/battery_wh/step", 20000), "/battery_wh/step"),
    (BATTERY, ("/battery_wh/step", 1), "/battery_wh/step"),
    (BATTERY, ("/array_w", {"least": 100, "most": 200}), "/array_w"),
    (BATTERY, ("/size", "array"), "/array_w"),
    (BATTERY, ("/array", "attic"), "/array"),
    (BATTERY, ("/battery_limits_grow", "yes"), "/battery_limits_grow"),
    (BATTERY, ("/confidence", "certain"), "/confidence"),
    (BATTERY, ("/reserve_stays", 0.1), "/reserve_stays"),
    (BATTERY, ("/surprise", 1), "/surprise"),
    (FRONTIER, ("/array_w/step", 10), "/array_w/step"),
    (BATTERY, ("/projection/comfort/limit", 82), "/projection/comfort/limit"),
    (BATTERY, ("/projection/rig", "houseboat"), "/projection/rig"),
]


@pytest.mark.parametrize(("name", "change", "pointer"), FAULTS)
def test_a_faulty_request_is_refused_with_its_pointer(
    name: str, change: tuple[str, Any], pointer: str
) -> None:
    with pytest.raises(DocumentError) as caught:
        load_sizing(changed(example(name), change), sample_rig)
    assert pointer in [fault.path for fault in caught.value.faults]


def test_a_rig_without_cooler_or_arrays_is_refused() -> None:
    rig = without(_sample_document(), "/cooler", "/arrays", "/controllers", "/notes")
    document = changed(example(FRONTIER), ("/projection/rig", rig))
    with pytest.raises(DocumentError) as caught:
        load_sizing(document, sample_rig)
    assert [fault.path for fault in caught.value.faults] == [
        "/projection/rig/arrays",
        "/projection/rig/cooler",
    ]


def test_a_station_that_is_not_there_is_told_where_it_was_asked_for() -> None:
    with pytest.raises(StationNotFoundError) as caught:
        size_rig(request(BATTERY, (STATION, "nowhere")), CATALOGUE, read)
    assert caught.value.faults[0].path == STATION


def test_a_range_always_ends_with_its_largest_size() -> None:
    assert Range(500.0, 1100.0, 250.0).values() == (500.0, 750.0, 1000.0, 1100.0)
    assert Range(0.5, 1.0, 0.1).values() == (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


def test_the_schema_describes_every_field() -> None:
    fields = SizingSchema().fields
    assert {"projection", "size", "required_feasible_fraction"} == {
        n for n, f in fields.items() if f.required
    }
    assert all(field.metadata.get("description") for field in fields.values())
    assert {str(target) for target in Target} == set(fields["size"].metadata["enum"])
