"""``import noonhold as nh``: light, complete, and the same answers as the service's documents."""

import datetime
import gzip
import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
import xarray as xr

import noonhold as nh
from noonhold import samples
from noonhold.documents import load_projection, load_rig
from noonhold.facade_inputs import log_document
from noonhold.projection_result import run_projection
from noonhold.quantities import Cause, Verdict, quantity
from noonhold.reports import ProjectionReport
from noonhold.rig import Rig
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Start
from noonhold.weather.catalogue import scan
from noonhold.weather.hot_day import HotDay
from tests.engine.made import rig, summer

STATION = "basin_desert_sandrevel"
HEAVY = ("numpy", "pandas", "numba", "matplotlib", "xarray", "pvlib", "marshmallow", "flask")


@pytest.fixture(scope="module")
def report() -> ProjectionReport:
    return nh.project("flatbed_cabin", STATION, date="01-14", days=2)


@pytest.fixture(scope="module")
def one_day() -> ProjectionReport:
    return nh.project("flatbed_cabin", STATION, date="01-14")


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout


def test_importing_it_loads_nothing_heavy() -> None:
    code = f"import sys, noonhold; print([m for m in {HEAVY!r} if m in sys.modules])"
    assert python(code).strip() == "[]"
    code = (
        "import sys; from noonhold.command_line import command_group; command_group();"
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    assert python(code).strip() == "[]"


def test_its_names_are_sorted_and_all_there() -> None:
    assert list(nh.__all__) == sorted(set(nh.__all__))
    assert dir(nh) == nh.__all__
    for name in nh.__all__:
        assert getattr(nh, name).__doc__, name
    with pytest.raises(AttributeError, match="no attribute 'projekt'"):
        nh.projekt  # noqa: B018


def test_the_help_fits_a_screen() -> None:
    said = nh.__doc__
    assert said is not None
    assert len(said.splitlines()) <= 24
    assert max(map(len, said.splitlines())) <= 100
    for name in nh.__all__:
        if not name.endswith("Error"):
            assert name in said, name


def test_the_package_says_that_it_is_typed() -> None:
    assert (Path(nh.__file__).parent / "py.typed").is_file()


def test_a_rig_comes_from_a_name_a_path_or_a_document() -> None:
    path = samples.rig_path("flatbed_cabin")
    assert path is not None
    document = json.loads(path.read_text())
    by_name, by_path, by_document = map(nh.load_rig, ("flatbed_cabin", path, document))
    assert by_name == by_path == by_document
    assert isinstance(by_name, Rig)
    loaded = load_rig(document)
    assert by_name.plain() == loaded.value
    assert by_name.assumptions == loaded.assumptions


def test_a_rig_s_faults_have_pointers_within_the_rig(tmp_path: Path) -> None:
    with pytest.raises(nh.DocumentError) as caught:
        nh.load_rig({"name": "bare", "batery": {}})
    paths = [fault.path for fault in caught.value.faults]
    assert "/batery" in paths
    assert "/shell" in paths
    with pytest.raises(nh.DocumentError, match="cannot be read"):
        nh.load_rig(tmp_path / "none.json")
    (tmp_path / "broken.json").write_text("{")
    with pytest.raises(nh.DocumentError, match="is no JSON"):
        nh.load_rig(tmp_path / "broken.json")


def test_it_answers_as_the_library_does_for_the_same_document(report) -> None:
    document = {
        "rig": json.loads(samples.rig_path("flatbed_cabin").read_text()),
        "place": {"latitude": -34.7, "longitude": -120.29, "elevation_m": 330.0},
        "weather": {"typical_year": {"station": STATION, "from": "01-14", "days": 2}},
        "operation": {"set_point_c": 24.0},
        "start": {"state_of_charge": 1.0, "cabin_temperature_c": "settled"},
        "comfort": {"measure": "operative", "limit": 27.0},
    }
    request = load_projection(document).value
    catalogue = scan(samples.weather_folder())
    found = run_projection(request.rig, request.scenario, request.weather, catalogue)
    np.testing.assert_array_equal(report.result.projection.record, found.projection.record)
    assert report.summary == found.summary


def test_whatever_was_not_given_is_an_assumption(one_day) -> None:
    told = {each.path for each in one_day.assumptions}
    assert {
        "/place/latitude",
        "/operation/set_point_c",
        "/start/state_of_charge",
        "/start/cabin_temperature_c",
        "/comfort/limit",
        "/place/heading_deg",
    } <= told
    assert any(path.startswith("/rig/") for path in told)
    given = nh.project(
        nh.load_rig("flatbed_cabin").plain(),
        STATION,
        date="01-14",
        place=Place(-34.7, -120.29, 330.0),
        operation=Operation(24.0),
        start=Start(1.0, spin_up_days=3),
        comfort=Comfort(ComfortMeasure.OPERATIVE, 27.0),
    )
    # A dataclass states all of its fields, so that some may be reported as without effect.
    defaults = [e for e in given.assumptions if not e.reason.startswith("has no effect")]
    own = [each.path for each in defaults if not each.path.startswith("/weather")]
    assert not [path for path in own if path.split("/")[1] in ("rig", "start", "comfort")]
    np.testing.assert_array_equal(given.result.projection.record, one_day.result.projection.record)


def test_without_a_date_the_hottest_day_is_taken_and_said() -> None:
    report = nh.project("flatbed_cabin", STATION)
    (said,) = [a for a in report.assumptions if a.path == "/weather/typical_year/from"]
    table = nh.read_weather(STATION)
    day = int(np.argmax(table.temp_air.reshape(-1, 24).mean(axis=1)))
    assert said.value == str(table.starts()[24 * day])[5:10]
    assert str(report.days.index[0])[5:10] == said.value


def test_the_report_prints_on_ten_lines(report) -> None:
    lines = repr(report).splitlines()
    assert len(lines) <= 10
    assert max(map(len, lines)) <= 115
    assert "Flatbed cabin" in lines[0]
    assert len(repr(report.result)) < 1000
    page = report._repr_html_()
    assert "<table>" in page
    assert report.sentence in page


def test_a_name_is_escaped_in_html() -> None:
    document = json.loads(samples.rig_path("flatbed_cabin").read_text())
    shown = nh.project({**document, "name": "<b>"}, STATION, date="01-14")
    assert "<b>" not in shown._repr_html_().replace("<body>", "")
    assert "&lt;b&gt;" in shown._repr_html_()


def test_the_dataset_has_units_and_long_names(report) -> None:
    dataset = report.dataset
    assert isinstance(dataset, xr.Dataset)
    assert dataset.sizes == {"time": 48}
    for name, variable in dataset.data_vars.items():
        assert variable.attrs["units"] == quantity(str(name)).unit
        assert variable.attrs["long_name"]
    assert dataset.attrs["verdict"] == report.sentence


def test_the_days_are_a_frame_by_date(report) -> None:
    days = report.days
    assert [str(day.date()) for day in days.index] == ["2025-01-14", "2025-01-15"]
    assert days["lowest_charge"].tolist() == report.result.days.lowest_charge.tolist()
    assert set(days["verdict"]) <= {each.word for each in Verdict}
    assert set(days["first_cause"]) <= {each.word for each in Cause}


def test_the_picture_is_shown_and_saved(report, tmp_path: Path) -> None:
    picture = report.plot()
    assert picture._repr_svg_().lstrip().startswith("<?xml")
    assert picture.save(tmp_path / "day.png").read_bytes().startswith(b"\x89PNG")
    with pytest.raises(ValueError, match=r"svg or \.png"):
        picture.save(tmp_path / "day.jpg")


def test_weather_comes_from_a_path_a_table_or_a_request(one_day) -> None:
    path = samples.weather_path(STATION)
    assert path is not None
    table = nh.read_weather(path)
    for weather in (path, table, {"typical_year": {"station": STATION, "from": "01-14"}}):
        asked = (
            {"place": {"latitude": -34.7, "longitude": -120.29, "elevation_m": 330.0}}
            if isinstance(weather, dict)
            else {"date": "01-14"}
        )
        one = nh.project("flatbed_cabin", weather, **asked)
        np.testing.assert_array_equal(
            one.result.projection.record, one_day.result.projection.record
        )


def test_a_described_day_and_an_open_table_are_weather_too() -> None:
    place = {"latitude": 33.0, "longitude": -112.0, "elevation_m": 300}
    day = HotDay(datetime.date(2026, 7, 21), 40.0, 25.0, 5.0, 2.0)
    shown = nh.project("flatbed_cabin", day, place=place)
    assert shown.dataset["outdoor_temperature_c"].max() == pytest.approx(40.0, abs=0.5)
    two = summer(days=2)
    open_table = nh.project(rig(), two)
    assert open_table.dataset.sizes == {"time": 48}
    np.testing.assert_allclose(
        open_table.result.projection.weather.temp_air, two.temp_air, rtol=0, atol=0
    )
    with pytest.raises(TypeError, match="whole year"):
        nh.project(rig(), two, date="07-01")
    with pytest.raises(TypeError, match="go with weather"):
        nh.project(rig(), day, place=place, days=3)


def test_faults_of_all_parts_come_at_once() -> None:
    with pytest.raises(nh.DocumentError) as caught:
        nh.project(
            "flatbed_cabin",
            STATION,
            date="01-14",
            operation={"set_point_c": 99},
            start={"state_of_charge": 2},
        )
    assert {fault.path for fault in caught.value.faults} == {
        "/operation/set_point_c",
        "/start/state_of_charge",
    }


@pytest.mark.parametrize("pair", [True, False])
def test_the_frame_of_pvlib_s_epw_reader_is_the_file(pair: bool, tmp_path: Path) -> None:
    path = tmp_path / "sandrevel.epw"
    path.write_bytes(gzip.decompress(samples.weather_path(STATION).read_bytes()))
    data, meta = pvlib.iotools.read_epw(path)
    ours = nh.read_weather(path)
    place = {"latitude": -34.7, "longitude": -120.29, "elevation_m": 330.0}
    table = nh.read_weather((data, meta)) if pair else nh.read_weather(data, place=place)
    for name in ("ghi", "dni", "dhi", "temp_air", "relative_humidity", "pressure", "wind_speed"):
        np.testing.assert_array_equal(getattr(table, name), getattr(ours, name), err_msg=name)
    assert (table.full_year, table.site.utc_offset_h) == (True, ours.site.utc_offset_h)
    assert any("start of each interval" in note for note in table.notes) is not pair


def test_each_study_takes_the_same_scenario_and_shows_a_table() -> None:
    scenario = {"date": "01-14", "operation": {"set_point_c": 24}}
    report = nh.compare(
        "flatbed_cabin", STATION, {"cool": {"operation": {"set_point_c": 21}}}, **scenario
    )
    assert report.table["name"].tolist() == ["cool"]
    assert len(repr(report).splitlines()) <= 10
    assert report.cautions
    told = [each.path for each in report.assumptions]
    assert "/base/start/state_of_charge" in told
    assert "<table>" in report._repr_html_()


def test_a_log_is_a_document_or_a_frame() -> None:
    examples = Path(__file__).parents[2] / "openapi" / "examples"
    asked = json.loads((examples / "calibration.request.json").read_text())
    scene = {name: asked[name] for name in ("place", "operation")}
    others = {"options": {"weather": asked["weather"]}}
    log = asked["log"]
    by_document = nh.calibrate(asked["rig"], log, **scene, **others)
    answer = json.loads((examples / "calibration.response.json").read_text())
    names = [factor["name"] for factor in answer["factors"]]
    assert by_document.table["name"].tolist() == names
    frame = pd.DataFrame(log["columns"], index=pd.to_datetime(log["times"]))
    by_frame = nh.calibrate(
        asked["rig"],
        frame,
        temperature_unit=log["temperature_unit"],
        events=log.get("events"),
        **scene,
        **others,
    )
    assert by_frame.document == by_document.document
    assert len(repr(by_frame).splitlines()) <= 10


def test_a_log_s_frame_needs_an_offset() -> None:
    log = pd.DataFrame({"cabin_temperature": [20.0]}, index=pd.DatetimeIndex(["2026-07-01"]))
    with pytest.raises(nh.DocumentError, match="offset from UTC"):
        nh.calibrate(rig(), log, place={}, operation={})


def test_replacing_a_part_of_a_loaded_rig_keeps_it_a_rig() -> None:
    loaded = nh.load_rig("flatbed_cabin")
    larger = replace(loaded, battery=replace(loaded.battery, usable_energy_wh=20000.0))
    shown = nh.project(larger, STATION, date="01-14")
    assert shown.result.projection.rig.battery.usable_energy_wh == 20000.0


def test_a_logger_s_file_is_read_fitted_and_predicts_another() -> None:
    checkout = Path(__file__).parents[2]
    asked = json.loads((checkout / "openapi" / "examples" / "calibration.request.json").read_text())
    log = nh.read_log(
        checkout / "docs" / "field_test" / "teardrop_yard.csv",
        timezone="Etc/GMT+8",
        columns={"Probe 1": "cabin_temperature", "Probe 2": "outdoor_temperature"},
    )
    log["events"] = asked["log"]["events"]
    report = nh.calibrate(
        asked["rig"],
        log,
        place=asked["place"],
        operation=asked["operation"],
        second_log=asked["log"],
        options={"weather": asked["weather"], "fit": {"factors": ["array_power", "cooler_power"]}},
    )
    assert report.table.set_index("name").factor["array_power"] == pytest.approx(0.85, rel=0.03)
    channels = {each["channel"]: each for each in report.document["prediction"]["channels"]}
    assert channels["array_power_w"]["covered_fraction"] > 0.85


def test_a_frame_on_the_clock_of_the_place_needs_no_offset() -> None:
    index = pd.date_range("2026-07-01", periods=3, freq="h")
    frame = pd.DataFrame({"cabin_temperature": [20.0, 21.0, 22.0]}, index=index)
    document = log_document(frame, "degC", "America/Denver")
    assert document["times"][0] == "2026-07-01T00:00:00-06:00"
