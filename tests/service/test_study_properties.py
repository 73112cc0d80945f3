"""What must hold between the studies and the projection, over HTTP, for days that nobody chose.

A larger battery is compared from a full start: by its share, one that starts half empty begins
nearer to its reserve in watt-hours, and whether a day holds is then no question of size alone. And
once the reserve stops the cooler, nothing is promised (see ``tests/properties/
test_order_any_rig.py``): a reserve is a share of its battery.
"""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from noonhold.studies.uncertainty.uncertain_inputs import AS_STATED
from noonhold_service.description.request_examples import REQUESTS
from tests.engine.document_samples import changed

Document = dict[str, Any]
OWN_RIG: Document = REQUESTS["own_hours"].document["rig"]
# A sum of a day's watt-hours in an answer is rounded to six decimals.
ROUNDED = 2e-6


def some(examples: int) -> settings:
    """Return settings for requests that take from a hundredth of a second to a whole one."""
    return settings(
        max_examples=examples,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=[HealthCheck.too_slow],
    )


def whole(low: int, high: int) -> st.SearchStrategy[int]:
    return st.integers(low, high)


@st.composite
def projections(draw: st.DrawFn, charges: tuple[float, ...] = (0.3, 0.6, 1.0)) -> Document:
    """Draw a small rig on a described day: cold ones and hot ones, holding and failing."""
    rig = changed(
        OWN_RIG,
        ("/battery/usable_energy_wh", draw(whole(4, 40)) * 100),
        ("/battery/reserve_fraction", draw(whole(0, 4)) / 10),
        ("/arrays/0/rated_power_w", draw(whole(0, 8)) * 100 + 50),
        ("/shell/leakage/air_changes_per_hour", draw(whole(1, 20)) / 10),
        ("/cooler/stages/0", {"name": "only", "cooling_w": 900, "power_w": draw(whole(200, 400))}),
        ("/loads/0/power_w", draw(whole(0, 60))),
    )
    opens = draw(whole(6, 12))
    high = draw(whole(26, 44))
    return {
        "rig": rig,
        "place": {
            "latitude": draw(whole(-60, 60)),
            "longitude": draw(whole(-179, 179)),
            "elevation_m": draw(whole(0, 25)) * 100,
            "heading_deg": draw(whole(0, 359)),
        },
        "weather": {
            "hot_day": {
                "date": f"2026-{draw(whole(1, 12)):02d}-{draw(whole(1, 28)):02d}",
                "high_c": high,
                "low_c": high - draw(whole(4, 18)),
                "dew_point_c": draw(whole(-5, 20)),
                "cloud_fraction": draw(whole(0, 10)) / 10,
            }
        },
        "operation": {
            "set_point_c": draw(whole(20, 26)),
            "cooling_window": {
                "from": f"{opens:02d}:00",
                "to": f"{opens + draw(whole(3, 11)):02d}:00",
            },
        },
        "start": {
            "state_of_charge": draw(st.sampled_from(charges)),
            "cabin_temperature_c": draw(st.sampled_from([20, 28, "outdoor", "settled"])),
        },
        "comfort": {
            "measure": draw(st.sampled_from(["air", "operative", "heat_index"])),
            "limit": draw(whole(24, 32)),
        },
    }


@pytest.fixture(scope="module")
def client(app: Flask) -> FlaskClient:
    return app.test_client()


def answer(client: FlaskClient, address: str, document: Document) -> Document:
    response = client.post(f"/v1/{address}", json=document)
    assert response.status_code == 200, response.text[:800]
    found: Document = response.get_json()
    return found


def assert_same_run(figures: Document, summary: Document) -> None:
    """Assert that a study's figures are those of a projection."""
    for name, value in summary["totals"].items():
        assert figures[name] == pytest.approx(value, abs=ROUNDED), name
    for name in ("lowest_charge", "charge_at_end", "hours_of_cooling"):
        assert figures[name] == pytest.approx(summary[name], abs=ROUNDED), name
    for name in ("days_needing_cooling", "holding_days_needing_cooling", "feasible_fraction"):
        assert figures[name] == summary[name], name
    assert (figures["verdict"] == "fails") == (summary["verdict"] == "fails")


@given(base=projections(), data=st.data())
@some(10)
def test_a_patch_that_says_nothing_new_is_the_base(
    client: FlaskClient, base: Document, data: st.DataObject
) -> None:
    part = data.draw(st.sampled_from(sorted(base)))
    variants = [{"name": "empty", "patch": {}}, {"name": "again", "patch": {part: base[part]}}]
    told = answer(client, "comparisons", {"base": base, "variants": variants})
    for variant in told["variants"]:
        assert variant["changes_nothing"]
        assert variant["direction"] == "same"
        assert not variant["verdict_changes"]
        assert variant["figures"] == told["base"]["figures"]
        assert set(variant["difference"].values()) <= {0.0, None}
    assert_same_run(told["base"]["figures"], answer(client, "projections", base)["summary"])


@given(base=projections(charges=(1.0,)), factor=st.sampled_from([1.25, 2.0, 5.0]))
@some(15)
def test_more_battery_never_reaches_a_reserve_that_less_does_not(
    client: FlaskClient, base: Document, factor: float
) -> None:
    larger = base["rig"]["battery"]["usable_energy_wh"] * factor
    patch = {"rig": {"battery": {"usable_energy_wh": larger}}}
    told = answer(
        client, "comparisons", {"base": base, "variants": [{"name": "more", "patch": patch}]}
    )
    less, more = told["base"]["figures"], told["variants"][0]["figures"]
    assume(less["hours_at_reserve"] == 0.0 and less["unmet_wh"] == 0.0)
    assert more["hours_at_reserve"] == 0.0
    assert more["unmet_wh"] == 0.0
    assert more["verdict"] != "fails" or less["verdict"] == "fails"
    # Energy above the reserve is what a battery is for.
    reserve = base["rig"]["battery"]["reserve_fraction"]
    above = [
        (figures["lowest_charge"] - reserve) * size
        for figures, size in ((less, larger / factor), (more, larger))
    ]
    assert above[1] >= above[0] - 0.01 * larger / factor


@given(base=projections(), required=st.sampled_from([0.5, 1.0]))
@some(8)
def test_a_size_found_holds_and_the_next_smaller_does_not(
    client: FlaskClient, base: Document, required: float
) -> None:
    base = changed(base, ("/weather/hot_day/days", 3))
    asked = {
        "projection": base,
        "size": "battery",
        "required_feasible_fraction": required,
        "battery_wh": {"least": 200, "most": 5000, "step": 400},
    }
    told = answer(client, "sizings", asked)
    assume(told["outcome"] == "found")
    settled = {"state_of_charge": "settled", "cabin_temperature_c": "settled"}
    base = {**base, "start": settled}
    days = answer(client, "projections", {**base, "rig": told["rig"]})["days"]
    needing = [day for day in days if day["needs_cooling"]]
    # Where no day needs cooling there is no fraction, and every size that serves is enough.
    assert sum(day["verdict"] == "holds" for day in needing) >= required * len(needing)
    assert all(day["unmet_wh"] <= 0.01 for day in days)
    size = told["found"]["size"]["battery_wh"]
    assert (size - 200) % 400 == 0
    if told["next_smaller"] is None:
        assert size == 200
        return
    smaller = told["next_smaller"]["size"]["battery_wh"]
    assert smaller == size - 400
    below = told["next_smaller"]
    assert below["feasible_fraction"] is None or (
        below["feasible_fraction"] < required or below["unmet_wh"] > 0.0
    )


# Factors that come out as a document's number multiplied would: name, pointer into the rig.
AS_DOCUMENTS = {
    "leakage_factor": "/shell/leakage/air_changes_per_hour",
    "array_factor": "/arrays/0/rated_power_w",
    "battery_factor": "/battery/usable_energy_wh",
}


@given(
    base=projections(),
    held=st.sampled_from(sorted(AS_DOCUMENTS)),
    factor=st.sampled_from([0.5, 0.8, 1.0, 1.6]),
)
@some(10)
def test_ranges_without_width_are_the_projection(
    client: FlaskClient, base: Document, held: str, factor: float
) -> None:
    """One input must vary: the capacity of a cooler that is off, which nothing follows from."""
    base = changed(base, ("/operation/policy", "off"))
    values = {**AS_STATED, held: factor}
    ranges = {name: {"low": value, "high": value} for name, value in values.items()}
    ranges["cooler_capacity_factor"] = {"low": 0.5, "high": 2.0}
    told = answer(
        client,
        "uncertainties",
        {"projection": base, "ranges": ranges, "samples": 16, "sensitivity_samples": 0},
    )
    number = base["rig"]
    for part in AS_DOCUMENTS[held][1:].split("/"):
        number = number[int(part)] if isinstance(number, list) else number[part]
    rig = changed(base["rig"], (AS_DOCUMENTS[held], number * factor))
    alone = answer(client, "projections", {**base, "rig": rig})
    hours, summary = alone["hours"], alone["summary"]
    assert told["times"] == hours["time"]
    for name in ("cabin_temperature_c", "operative_temperature_c", "state_of_charge"):
        for band in ("p10", "p50", "p90"):
            assert told[name][band] == pytest.approx(hours[name], abs=ROUNDED), name
    for band in ("p10", "p50", "p90"):
        assert told["lowest_charge"][band] == pytest.approx(summary["lowest_charge"], abs=ROUNDED)
    assert told["holds"]["probability"] == float(summary["verdict"] != "fails")


@given(base=projections(), hour=st.none() | whole(6, 20))
@some(8)
def test_a_warm_up_reaches_its_thresholds_in_order(
    client: FlaskClient, base: Document, hour: int | None
) -> None:
    stop = {} if hour is None else {"stop_at": f"{hour:02d}:00"}
    told = answer(client, "warm-ups", {"projection": base, "horizon_h": 3, **stop})
    for case in told["cases"]:
        reached = [each["minutes"] for each in case["minutes_until"]]
        assert [each["temperature_c"] for each in case["minutes_until"]] == [30, 35, 40]
        known = [minutes for minutes in reached if minutes is not None]
        # One that is reached was passed by all below it, and no two in the same moment unless
        # the cabin was that warm already.
        assert reached[: len(known)] == known == sorted(known)
        later = [minutes for minutes in known if minutes > 0]
        assert len(set(later)) == len(later)
        for limit, minutes in zip((30, 35, 40), reached, strict=True):
            assert (minutes is None) == (case["highest_c"] < limit)
        assert case["highest_c"] == pytest.approx(max(case["temperature_c"]), abs=ROUNDED)


@given(base=projections(), drives=st.booleans())
@some(5)
def test_a_plan_posted_back_is_the_same_day(
    client: FlaskClient, base: Document, drives: bool
) -> None:
    asked = {
        "projection": base,
        "lowest_set_point_c": 20,
        "highest_set_point_c": 27,
        "most_runs": 40,
    }
    if drives:
        asked["drive"] = {
            "earliest": "07:00", "latest": "12:00", "duration_h": 1, "speed_km_h": 60,
        }  # fmt: skip
    told = answer(client, "plans", asked)
    posted = {**base, "operation": told["operation"]}
    assert_same_run(told["figures"], answer(client, "projections", posted)["summary"])
    fixed = told["best_fixed"]["figures"]
    assert told["figures"]["verdict"] != "fails" or fixed["verdict"] == "fails"
