"""Studies at every site: they report what the study reports there, and bad files are rows."""

import json
import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from noonhold.projection_result import run_projection
from noonhold.studies.sizing.sizing_terms import Range, Target
from noonhold.studies.sizing.trials import Confidence
from noonhold.studies.year.year_study import YearRequest, project_year
from noonhold.weather.catalogue import scan
from noonhold.weather.weather_request import TypicalYear
from noonhold_batch.results.short_names import TERMINAL
from noonhold_batch.site_studies.study_sites import SizeOrder, size_at, warm_up_at
from noonhold_batch.sweep.site_block import run_block
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.sweep.sweep_plan import Plan, find_sites
from tests.batch.commands import run
from tests.batch.conftest import epw_lines, write_lines

SITE = "plateau_highorrin"


@pytest.fixture
def folder(checkout: Path, tmp_path: Path) -> Path:
    weather = tmp_path / "weather"
    weather.mkdir()
    shutil.copy(checkout / "sample_weather" / f"{SITE}.epw.gz", weather)
    (weather / "broken.epw").write_text("LOCATION,nowhere\n")
    return weather


def rig(checkout: Path) -> Path:
    return checkout / "sample_rigs" / "flatbed_cabin.json"


def test_the_size_found_holds_the_share_and_the_bad_file_has_its_reason(
    checkout: Path, folder: Path, tmp_path: Path
) -> None:
    out = tmp_path / "sizes.csv"
    ended = run(
        "size", "--rig", rig(checkout), "--weather", folder, "--least", 1000, "--most", 40000,
        "--step", 1000, "--required-fraction", 0.8, "--confidence", "nominal", "--workers", 1,
        "--out", out,
    )  # fmt: skip
    assert ended.exit_code == 3, ended.output
    frame = pd.read_csv(out).set_index("site")
    row = frame.loc[SITE]
    assert row["cooling_days_d"] > 50
    assert row["outcome"] == "found"
    assert 1000 <= row["needed_battery_wh"] <= 40000
    assert f"{row['needed_battery_wh']:g} Wh" in row["said"]
    assert pd.isna(row["reason"])
    assert isinstance(frame.loc["broken.epw", "reason"], str)


def test_every_command_gives_one_site_one_count_of_days(checkout: Path, tmp_path: Path) -> None:
    """Sweep, size, the year and a projection of 365 days: the same days, cooled and held."""
    folder = tmp_path / "weather"
    folder.mkdir()
    shutil.copy(checkout / "sample_weather" / f"{SITE}.epw.gz", folder)
    (case,) = load_cases([rig(checkout)], DEFAULT_SCENARIO, [])
    catalogue = scan(folder)
    (station,) = catalogue.stations
    swept = run_block(Plan((case,), find_sites(folder), 1, None, 300).block(0)).arrays
    needs = swept["needs_cooling"][0, 0] == 1
    expected = (int(needs.sum()), int((needs & (swept["verdict"][0, 0] >= 1)).sum()))
    assert 0 < expected[1] < expected[0]

    battery_wh = case.rig.battery.usable_energy_wh
    order = SizeOrder(
        Target.BATTERY, Range(battery_wh, 2 * battery_wh, battery_wh), 0.01, Confidence.NOMINAL
    )
    sized = size_at(station, case, order)
    assert (sized["cooling_days_d"], sized["held_as_given_d"]) == expected
    scenario, weather = case.at_site(station.site), TypicalYear(1, 1, 365, station.station_id)
    year = project_year(YearRequest(case.rig, scenario, weather), catalogue).days
    assert (int(year.needs_cooling.sum()), int((year.needs_cooling & year.holds).sum())) == expected
    np.testing.assert_array_equal(year.verdict, swept["verdict"][0, 0])
    days = run_projection(case.rig, scenario, weather, catalogue).days
    np.testing.assert_array_equal(days.verdict, swept["verdict"][0, 0])
    np.testing.assert_array_equal(days.needs_cooling, needs)


def test_warm_up_tells_the_hottest_days_worst_stop(checkout: Path, folder: Path) -> None:
    (folder / "broken.epw").unlink()
    ended = run("warm-up", "--rig", rig(checkout), "--weather", folder, "--workers", 1)
    assert ended.exit_code == 0, ended.output
    assert "within minutes of a cooler stopping" in ended.output
    (case,) = load_cases([rig(checkout)], DEFAULT_SCENARIO, [])
    (station,) = scan(folder).stations
    cells = warm_up_at(station, case, (30.0, 35.0, 40.0))
    table = station.read()
    assert cells["outdoor_high_degc"] == pytest.approx(table.temp_air.max(), abs=0.06)
    minutes = [cells[f"to_{t}_degc_min"] for t in (30, 35, 40)]
    reached = [m for m in minutes if m is not None]
    assert reached and reached == sorted(reached)
    assert str(cells["stop"]) in ended.output


@pytest.mark.parametrize("command", [("warm-up",), ("size", "--least", 1000, "--most", 9000)])
def test_reasons_point_into_no_document_that_nobody_posted(
    checkout: Path, folder: Path, tmp_path: Path, command: tuple[object, ...]
) -> None:
    """A file whose header is sound is found out by the study itself; so is a rig."""
    lines = epw_lines(folder / f"{SITE}.epw.gz")
    write_lines(folder / "cut.epw", lines[:5000])
    plain = json.loads(rig(checkout).read_text())
    del plain["cooler"], plain["notes"]
    bare = tmp_path / "bare.json"
    bare.write_text(json.dumps(plain))
    out = tmp_path / "table.csv"
    ended = run(
        *command, "--rig", bare, "--rig", rig(checkout), "--weather", folder, "--workers", 1,
        "--out", out,
    )  # fmt: skip
    assert ended.exit_code == 3, ended.output
    reasons = pd.read_csv(out).set_index(["rig", "site"])["reason"]
    assert not reasons.dropna().str.contains("projection").any()
    cut = reasons["flatbed_cabin", "cut"]
    assert "cut.epw" in cut and "4992" in cut
    told = reasons["bare", SITE]
    assert "/rig/cooler" in told or "/operation" in told
    text = run(
        *command, "--rig", bare, "--rig", rig(checkout), "--weather", folder, "--workers", 1
    ).output
    assert max(map(len, text.splitlines())) <= TERMINAL
    assert text.count("no answer: ") == 5  # two rigs at the cut and the broken file, one without
    assert "no answer: " in text.split("\ncut ")[1].splitlines()[1]


@pytest.mark.parametrize(("least", "most", "step"), [(5, 1, 1), (1, 5, 9), (0, 5, 1), (1, 5, 0)])
def test_a_range_that_does_not_rise_is_refused(
    checkout: Path, folder: Path, least: float, most: float, step: float
) -> None:
    ended = run(
        "size", "--rig", rig(checkout), "--weather", folder, "--least", least, "--most", most,
        "--step", step,
    )  # fmt: skip
    assert ended.exit_code == 2
