"""A default whose plausible range turns the verdict is flagged and comes first."""

from copy import deepcopy
from typing import Any

from noonhold.documents import load_projection
from noonhold.documents.decisive_defaults import PLAUSIBLE, flag_decisive
from noonhold.projection_request import ProjectionRequest
from noonhold.quantities import Verdict
from noonhold.studies.remedies.remedy_search import verdict_of
from noonhold.studies.study_base import ProjectionCache
from noonhold.weather.catalogue import Catalogue

BOX: dict[str, Any] = {
    "name": "A box of which little is said",
    "shell": {
        "contents_heat_capacity_kj_k": 150,
        "leakage": {"air_changes_per_hour": 0.6},
        "box": {
            "length_m": 3.0,
            "width_m": 2.0,
            "height_m": 1.9,
            "walls": {"layers": [{"material": "xps", "thickness_m": 0.03}]},
            "roof": {"layers": [{"material": "xps", "thickness_m": 0.03}]},
            "floor": {"layers": [{"material": "xps", "thickness_m": 0.03}]},
        },
    },
    "cooler": {
        "stages": [{"name": "only", "cooling_w": 1100, "power_w": 420}],
        "airflow_m3_h": 300,
        "sensible_heat_ratio": 0.8,
        "fan_power_w": 30,
    },
    "battery": {"usable_energy_wh": 5000, "reserve_fraction": 0.1},
    "arrays": [
        {
            "name": "roof",
            "rated_power_w": 500,
            "mount": "roof_flush",
            "tilt_deg": 0,
            "azimuth_from_front_deg": 0,
        }
    ],
}
DAY: dict[str, Any] = {
    "rig": BOX,
    "place": {"latitude": -34.0, "longitude": -120.0, "elevation_m": 100},
    "weather": {"hot_day": {"date": "2026-01-20", "high_c": 36, "low_c": 20, "dew_point_c": 10}},
    "operation": {"set_point_c": 24, "cooling_window": {"from": "09:00", "to": "20:00"}},
    "start": {"cabin_temperature_c": "outdoor", "state_of_charge": 1.0},
    "comfort": {"measure": "operative", "limit": 27},
}


def judged(request: ProjectionRequest) -> Verdict:
    return verdict_of(request, ProjectionCache(Catalogue(())))


def at(absorptance: float, high_c: float) -> Verdict:
    """Return the verdict with the skin's colour stated."""
    document = deepcopy(DAY)
    document["weather"]["hot_day"]["high_c"] = high_c
    for part in document["rig"]["shell"]["box"].values():
        if isinstance(part, dict):
            part["solar_absorptance"] = absorptance
    return judged(load_projection(document).value)


def test_the_colour_nobody_stated_is_flagged_where_it_decides() -> None:
    """The finding: absorptance 0.6 by default fails where 0.3 holds, one of 70 assumptions."""
    plausible = PLAUSIBLE["solar_absorptance"]
    for high_c in range(30, 50):
        if at(plausible.low, high_c) is not at(plausible.high, high_c):
            break
    document = deepcopy(DAY)
    document["weather"]["hot_day"]["high_c"] = high_c
    loaded = load_projection(document)
    verdict = judged(loaded.value)
    flagged = flag_decisive(loaded.assumptions, loaded.value, verdict, judged)
    decisive = {each.path.rsplit("/", 1)[-1] for each in flagged if each.decisive}
    assert "solar_absorptance" in decisive
    assert flagged[0].decisive
    order = [each.decisive for each in flagged]
    assert order == sorted(order, reverse=True)
    assert {(e.path, e.reason) for e in flagged} == {(e.path, e.reason) for e in loaded.assumptions}


def test_a_mild_day_has_no_decisive_default() -> None:
    document = deepcopy(DAY)
    document["weather"]["hot_day"].update(high_c=17, low_c=7)
    loaded = load_projection(document)
    verdict = judged(loaded.value)
    assert verdict is Verdict.HOLDS
    flagged = flag_decisive(loaded.assumptions, loaded.value, verdict, judged)
    assert not any(each.decisive for each in flagged)
    assert flagged == tuple(loaded.assumptions)


def test_a_flag_needs_no_run_where_no_default_of_the_table_was_used() -> None:
    loaded = load_projection(deepcopy(DAY))
    others = [e for e in loaded.assumptions if e.path.rsplit("/", 1)[-1] not in PLAUSIBLE]

    def never(_: ProjectionRequest) -> Verdict:
        raise AssertionError("no run was needed")

    assert flag_decisive(others, loaded.value, Verdict.HOLDS, never) == tuple(others)
