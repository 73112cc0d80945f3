import csv
import io
import json
import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

import matplotlib.image
import numpy as np
import pandas as pd
import pytest
import xarray as xr

from noonhold.quantities import LIVING_THERE, Cause, Horizon, Verdict
from noonhold_batch.results.result import open_result
from noonhold_batch.results.row_selection import rows
from noonhold_batch.results.seasons import month_words
from noonhold_batch.results.short_names import shortened, shortened_apart
from noonhold_batch.results.summaries import longest_run
from tests.batch.commands import run
from tests.batch.conftest import GOOD

FOAM = "flatbed_cabin"

ENERGY = (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE)


def tree(path: Path) -> ElementTree.Element:
    """Return the root of an XML file that the test itself had written."""
    return ElementTree.fromstring(path.read_text())  # noqa: S314 - our own output


def polygon(name: str, west: float, south: float, east: float, north: float) -> dict[str, object]:
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    return {"type": "Feature", "properties": {"name": name}, "geometry": geometry}


# ------------------------------------------------------------------------------------ tables


def test_the_share_is_of_the_days_that_need_cooling(swept: Path) -> None:
    result = open_result(swept)
    one = result.sel(rig=FOAM, site=GOOD[2])
    needs, held = one["needs_cooling"].to_numpy() == 1, one["verdict"].to_numpy() >= 1
    cause = one["first_cause"].to_numpy()
    found = [
        row for row in rows(result, "site", LIVING_THERE) if (row.rig, row.group) == (FOAM, GOOD[2])
    ]
    summary = found[0].summary
    assert summary is not None
    assert summary.days_needing_cooling == needs.sum()
    assert summary.share == pytest.approx((needs & held).sum() / needs.sum())
    assert (
        summary.first_energy
        == (needs & np.isin(cause, (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE))).sum()
    )
    assert summary.first_capacity == (needs & (cause == Cause.CAPACITY)).sum()
    assert (
        summary.first_energy + summary.first_capacity + summary.first_operation
        == (needs & ~held).sum()
    )
    # inverted CDF: 347 of 365 days (95.07 %) are at or below it, 346 (94.8 %) are not enough
    assert summary.hot_high_c == np.sort(one["outdoor_high_c"].to_numpy())[346]


@pytest.mark.parametrize("length", [1, 3])
def test_the_sizes_are_those_of_the_failed_stays(swept: Path, length: int) -> None:
    result = open_result(swept)
    for rig in (FOAM, "lined_panel_van"):
        one = result.sel(rig=rig, site=GOOD[0])
        found = rows(result, "site", Horizon(length))
        summary = next(row.summary for row in found if (row.rig, row.group) == (rig, GOOD[0]))
        assert summary is not None
        document = json.loads(result.attrs["rig_documents"])[rig]
        given = (
            document["battery"]["usable_energy_wh"],
            sum(array["rated_power_w"] for array in document["arrays"]),
        )
        names = ("needed_battery_wh", "needed_array_w")
        needs = one["needs_cooling"].to_numpy() == 1
        for name, least, told in zip(names, given, (summary.battery, summary.array), strict=True):
            sizes = one[name].sel(stay=length).to_numpy()
            assert np.isnan(sizes[one["stay_days"].to_numpy() >= length]).all()
            there = sizes[np.isfinite(sizes) & needs]
            assert (there > least).all()
            assert told is not None and told.days == len(there)
            if len(there):
                assert told.size == there.max()
        assert length == 1 or summary.battery.days > 20
    table = run("table", swept, "--by", "rig", "--format", "csv", "--days", length).output
    row = next(csv.DictReader(io.StringIO(table)))
    assert row["asked"] == ("first day" if length == 1 else "3 days")
    sizes = result["needed_battery_wh"].sel(rig=FOAM, stay=length)
    sizes = sizes.where(result["needs_cooling"].sel(rig=FOAM) == 1)
    if np.isfinite(sizes).any():
        most = float(sizes.max()) / 1000
        assert float(row["battery_alone_kwh"]) == pytest.approx(most, abs=0.005)


# --------------------------------------------------------------------------------- questions


def test_the_three_questions_are_answered_from_the_same_dates(swept: Path) -> None:
    result = open_result(swept)
    asked = {
        "first day": ((), result["first_day_verdict"]),
        "3 days": (("--days", 3), None),
        "living there": (("--living-there",), result["verdict"]),
    }
    needs = result["needs_cooling"] == 1
    shares = []
    for word, (options, verdict) in asked.items():
        table = run("table", swept, "--by", "rig", "--format", "csv", *options).output
        row = next(row for row in csv.DictReader(io.StringIO(table)) if row["rig"] == FOAM)
        assert row["asked"] == word
        counts = [int(row[f"{each.word}_d"]) for each in (Verdict.HOLDS, Verdict.NARROWLY)]
        counts.append(int(row["fails_d"]))
        assert sum(counts) == int(row["cooling_dates_d"]) == int(needs.sel(rig=FOAM).sum())
        if verdict is not None:
            here = verdict.sel(rig=FOAM).where(needs.sel(rig=FOAM))
            states = (Verdict.HOLDS, Verdict.NARROWLY, Verdict.FAILS)
            assert counts == [int((here == int(each)).sum()) for each in states]
        shares.append(float(row["feasible_percent"]))
    assert shares[0] > shares[1] > shares[2]
    assert run("table", swept, "--days", 3, "--living-there").exit_code == 2
    assert run("table", swept, "--days", 15).exit_code == 2


def test_the_first_day_holds_wherever_it_holds_living_there(swept: Path) -> None:
    result = open_result(swept)
    known = result["verdict"] >= 0
    assert bool((result["first_day_verdict"] >= result["verdict"]).where(known, True).all())
    days, adverse = result["stay_days"], result["adverse_stay_days"]
    assert bool((adverse <= days).all())
    first = xr.where(adverse >= 1, 2, xr.where(days >= 1, 1, 0)).where(known, -1)
    assert bool((first == result["first_day_verdict"]).all())


@pytest.mark.parametrize(
    ("options", "word", "question"),
    [
        ((), "first day", "Where does the first day hold, arriving with a full battery?"),
        (("--days", 3), "3 days", "Where do three days in a row hold, arriving with a full"),
        (("--living-there",), "living there", "Where does the rig hold, living there?"),
    ],
)
def test_every_output_says_which_question_it_answers(
    swept: Path,
    checkout: Path,
    tmp_path: Path,
    options: tuple[object, ...],
    word: str,
    question: str,
) -> None:
    for kind in ("text", "markdown"):
        told = run("table", swept, "--by", "region", "--format", kind, *options).output
        assert question in " ".join(told.split())
    out = {name: tmp_path / f"m.{name}" for name in ("svg", "geojson", "html", "png")}
    for path in out.values():
        assert word in run("map", swept, "--out", path, *options).output
    found = json.loads(out["geojson"].read_text())
    assert (found["asked"], question in found["question"]) == (word, True)
    assert word.capitalize() in found["description"]
    assert f"<title>{question}" in out["html"].read_text()
    drawn = " ".join(" ".join(tree(out["svg"]).itertext()).split())
    assert question in drawn and f", {word}: holds on every date" in drawn
    assert f"{word}: holds".encode() in out["png"].read_bytes()  # the title within the file
    common = ("--rig", checkout / "sample_rigs" / f"{FOAM}.json", "--weather")
    weather = checkout / "sample_weather" / f"{GOOD[2]}.epw.gz"
    for suffix in ("csv", "svg"):
        year = tmp_path / f"year.{suffix}"
        assert word in run("place", *common, weather, "--out", year, *options).output
        text = " ".join(year.read_text().split())
        assert (f",{word}," if suffix == "csv" else f"{word.capitalize()}: holds on") in text


def test_a_battery_stated_is_that_of_every_arrival(
    checkout: Path, tmp_path: Path, rigs: tuple[str, ...]
) -> None:
    """Charge on arrival is the scenario's, and full only where none is stated."""
    weather = tmp_path / "weather"
    weather.mkdir()
    shutil.copy(checkout / "sample_weather" / f"{GOOD[0]}.epw.gz", weather)
    half = tmp_path / "half.json"
    half.write_text(json.dumps({"start": {"state_of_charge": 0.5}}))
    out = tmp_path / "r.zarr"
    ended = run(
        "sweep", *rigs[:2], "--variant", half, "--weather", weather, "--out", out, "--workers", 1
    )
    assert ended.exit_code == 0, ended.output
    result = open_result(out)
    full, less = (result["stay_days"].sel(rig=rig) for rig in (FOAM, f"{FOAM}+half"))
    assert bool((less <= full).all()) and int((less < full).sum()) > 100
    told = run("map", out, "--rig", f"{FOAM}+half", "--out", tmp_path / "m.svg")
    assert told.exit_code == 0, told.output
    assert "a battery at 50 %" in " ".join((tmp_path / "m.svg").read_text().split())
    assumed = json.loads(result.attrs["assumptions"])
    assert any("charge on arrival = 1.0" in each for each in assumed[FOAM])
    assert any("before the spin-up days = 1.0" in each for each in assumed[FOAM])
    assert not any("charge on arrival" in each for each in assumed[f"{FOAM}+half"])


def test_loads_that_go_short_stand_in_the_table_where_every_cooling_date_holds(
    checkout: Path, tmp_path: Path
) -> None:
    """A cool place whose winter has little sun: no date that needs cooling tells of its nights."""
    weather = tmp_path / "weather"
    weather.mkdir()
    shutil.copy(checkout / "sample_weather" / f"{GOOD[1]}.epw.gz", weather)
    document = json.loads((checkout / "sample_rigs" / f"{FOAM}.json").read_text())
    # A fridge more: in winter it takes more than the sun gives, and stands still in summer.
    rig = tmp_path / "rig.json"
    document["battery"]["usable_energy_wh"] *= 0.6
    for load in document["loads"]:
        load["power_w"] *= 1.5
    rig.write_text(json.dumps(document))
    out = tmp_path / "r.zarr"
    swept = run("sweep", "--rig", rig, "--weather", weather, "--out", out, "--workers", 1)
    assert swept.exit_code == 0, swept.output
    result = open_result(out).isel(rig=0, site=0)
    short = result["unmet_wh"].to_numpy() > 0.0
    assert short.sum() > 50
    assert (result["verdict"].to_numpy()[short] == int(Verdict.FAILS)).all()
    assert (result["hours_unmet"].to_numpy()[short] > 0.0).all()
    assert (result["hours_unmet"].to_numpy()[~short] == 0.0).all()
    table = run("table", out, "--format", "csv").output
    row = next(csv.DictReader(io.StringIO(table)))
    assert float(row["feasible_percent"]) == 100.0
    assert float(row["living_there_unserved_kwh"]) == pytest.approx(
        float(result["unmet_wh"].sum()) / 1000.0, abs=0.01
    )
    assert float(row["living_there_unserved_h"]) == pytest.approx(
        float(result["hours_unmet"].sum()), abs=0.1
    )
    assert int(row["living_there_unserved_d"]) == short.sum()
    assert "unserved" in run("table", out).output
    feature = tmp_path / "m.geojson"
    run("map", out, "--out", feature)
    told = json.loads(feature.read_text())["features"][0]["properties"]
    assert told["living_there_unserved_kwh"] > 0.0 and told["living_there_unserved_hours"] > 0.0


# ------------------------------------------------------------------------------------ months


def test_months_stand_with_the_summer_in_the_middle_and_hemispheres_apart(
    swept: Path, tmp_path: Path
) -> None:
    south = run("table", swept, "--by", "month", "--format", "csv").output
    months = [row["month"] for row in csv.DictReader(io.StringIO(south)) if row["rig"] == FOAM]
    assert months[:2] == ["Jul", "Aug"] and months[6] == "Jan"
    assert "south of the equator" in run("table", swept, "--by", "month").output
    out = tmp_path / "both.nc"
    run("export", swept, "--out", out)
    both = xr.load_dataset(out, engine="h5netcdf")
    place = list(both["site_id"].to_numpy()).index(GOOD[0])
    both["latitude"][place] = 35.0
    both.to_netcdf(out, engine="h5netcdf")
    table = list(
        csv.DictReader(io.StringIO(run("table", out, "--by", "month", "--format", "csv").output))
    )
    months = [row["month"] for row in table if row["rig"] == FOAM]
    assert months[:2] == ["Jan north", "Feb north"] and months[12:14] == ["Jul south", "Aug south"]
    assert {row["site_years"] for row in table[:12]} == {"1"}
    assert {row["site_years"] for row in table[12:24]} == {"2"}
    assert "apart" in run("table", out, "--by", "month").output
    # Best months of a row that has both are none that could be named.
    row = next(
        csv.DictReader(io.StringIO(run("table", out, "--by", "rig", "--format", "csv").output))
    )
    assert not row.get("best_months")


def test_best_months_are_those_without_a_failing_date(swept: Path) -> None:
    result = open_result(swept)
    table = run("table", swept, "--format", "csv", "--days", 3).output
    for row in csv.DictReader(io.StringIO(table)):
        if not row["cooling_dates_d"]:
            continue
        days = result["stay_days"].sel(rig=row["rig"], site=row["site"])
        fine = (days >= 3).groupby("day.month").all()
        best = {int(month) for month in fine["month"][fine.to_numpy()]}
        assert row["best_months"] == month_words(best, south=True)


def test_long_names_are_shortened_in_the_middle() -> None:
    name = "USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3"
    assert shortened(name, 20) == "USA_NV_Las…3860_TMY3"
    assert shortened(name, 80) == name


def test_shortened_names_stay_apart() -> None:
    near = [f"USA_NV_Las.Vegas-{part}.723860_TMY3" for part in ("McCarran", "Nellis", "North")]
    near += ["USA_NV_Las.Vegas-Nellis.723861_TMY3", "Reno"]
    for width in (8, 12, 20, 24):
        found = shortened_apart(near * 2, width)
        assert list(found) == near
        assert len(set(found.values())) == len(near)
        assert found["Reno"] == "Reno"
    assert max(map(len, shortened_apart(near, 24).values())) <= 24
    # Where only the middle distinguishes two, and no part of that length contains it.
    twins = ["a" * 30 + "1" + "b" * 30, "a" * 30 + "2" + "b" * 30]
    assert len(set(shortened_apart(twins, 12).values())) == 2


def test_runs_of_failing_days_do_not_join_across_site_years() -> None:
    assert longest_run(np.array([[False, True, True], [True, True, False]])) == 2
    assert longest_run(np.zeros((0, 3), dtype=bool)) == 0


@pytest.mark.parametrize("by", ["site", "region", "month", "rig"])
def test_every_table_parses_and_text_fits_the_terminal(swept: Path, by: str) -> None:
    text = run("table", swept, "--by", by)
    assert text.exit_code == 0, text.output
    assert max(map(len, text.output.splitlines())) <= 100
    assert "comfort limit" in text.output  # the legend says what the heads leave out
    table = list(
        csv.DictReader(io.StringIO(run("table", swept, "--by", by, "--format", "csv").output))
    )
    assert len(table) == {"site": 34, "region": 8, "month": 24, "rig": 2}[by]
    for row in table:
        share = row["feasible_percent"]
        assert share == "" or 0.0 <= float(share) <= 100.0
    marked = run("table", swept, "--by", by, "--format", "markdown").output.splitlines()[2:]
    assert len({len(re.findall(r"(?<!\\)\|", line)) for line in marked}) == 1


def test_a_parquet_table_is_the_table_with_its_types(swept: Path, tmp_path: Path) -> None:
    out = tmp_path / "table.parquet"
    ended = run("table", swept, "--format", "parquet", "--out", out)
    assert ended.exit_code == 0, ended.output
    found = pd.read_parquet(out)
    text = run("table", swept, "--format", "csv").output
    assert found.to_csv(index=False, lineterminator="\n") == text
    assert found["cooling_dates_d"].dtype == "Int64"  # a whole number that may be missing
    assert found["battery_alone_kwh"].dtype == "float64"
    told = run("table", swept, "--format", "parquet")
    assert told.exit_code == 2
    assert "needs a file" in told.output


def test_sites_are_sorted_and_failures_come_last_with_their_reason(swept: Path) -> None:
    table = run("table", swept, "--format", "csv").output
    found = [row for row in csv.DictReader(io.StringIO(table)) if row["rig"] == FOAM]
    shares = [float(row["feasible_percent"]) for row in found[:3]]
    assert shares == sorted(shares, reverse=True)
    for row in found[3:]:
        assert row["feasible_percent"] == ""
        assert row["cooling_dates_d"] == ""
        assert row["reason"]


def test_regions_come_from_polygons(swept: Path, tmp_path: Path) -> None:
    result = open_result(swept)
    sites = {name: result.sel(site=name) for name in GOOD}
    box = [
        polygon(
            "here",
            *(
                float(sites[name][axis]) + sign * 0.05
                for sign in (-1, 1)
                for axis in ("longitude", "latitude")
            ),
        )
        for name in GOOD[:1]
    ]
    path = tmp_path / "regions.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": box}))
    ended = run("table", swept, "--by", "region", "--format", "csv", "--regions", path)
    groups = [row["region"] for row in csv.DictReader(io.StringIO(ended.output))]
    assert sorted(groups) == [
        "(none)",
        "(none)",
        "here",
        "here",
    ]
    path.write_text('{"type": "FeatureCollection", "features": []}')
    assert run("table", swept, "--by", "region", "--regions", path).exit_code == 2


# -------------------------------------------------------------------------------------- maps


def test_the_geojson_has_a_feature_a_rig_and_station(swept: Path, tmp_path: Path) -> None:
    out = tmp_path / "map.geojson"
    assert run("map", swept, "--out", out).exit_code == 0
    found = json.loads(out.read_text(), parse_constant=pytest.fail)
    assert found["type"] == "FeatureCollection"
    assert len(found["features"]) == 6
    for feature in found["features"]:
        longitude, latitude, height = feature["geometry"]["coordinates"]
        assert -125 < longitude < -118
        assert -37 < latitude < -32
        assert 0 < height < 4000
        assert 0.0 <= feature["properties"]["feasible_fraction"] <= 1.0
    assert set(found["unplaced"]) >= {"b_binary", "b_folder"}
    assert "26" in found["description"]


def test_pictures_are_pictures_and_the_same_each_time(swept: Path, tmp_path: Path) -> None:
    lines = tmp_path / "lines.geojson"
    lines.write_text('{"type": "LineString", "coordinates": [[-124, -36], [-119, -33, 9]]}')
    for suffix in ("png", "svg"):
        first, second = tmp_path / f"a.{suffix}", tmp_path / f"b.{suffix}"
        for out in (first, second):
            ended = run("map", swept, "--out", out, "--rig", FOAM, "--boundaries", lines)
            assert ended.exit_code == 0, ended.output
        assert first.read_bytes() == second.read_bytes()
    assert matplotlib.image.imread(tmp_path / "a.png").std() > 0.05
    texts = " ".join(tree(tmp_path / "a.svg").itertext())
    assert "battery stays above its reserve all day" in " ".join(texts.split())


def test_the_page_loads_nothing_and_carries_its_data(swept: Path, tmp_path: Path) -> None:
    out = tmp_path / "map.html"
    assert run("map", swept, "--out", out).exit_code == 0
    page = out.read_text()
    loads = re.findall(r"(?:src|href)\s*=|url\(|@import|fetch\(|XMLHttpRequest", page)
    assert not loads
    assert "default-src 'none'" in page
    text = re.search(r'id="data">(.*?)</script>', page, re.DOTALL)
    assert text is not None
    data = json.loads(text[1])
    assert len(data["features"]) == 6
    assert data["titles"][FOAM]


@pytest.mark.parametrize(
    "arguments",
    [
        ("map", "nowhere.zarr", "--out", "m.png"),
        ("table", "nowhere.zarr"),
        ("compare", "nowhere.nc", "nowhere.zarr"),
    ],
)
def test_what_is_not_there_is_bad_input(arguments: tuple[str, ...]) -> None:
    ended = run(*arguments)
    assert ended.exit_code == 2
    assert "no such result" in ended.output


@pytest.mark.parametrize("command", ["table", "map", "export", "baseline"])
def test_a_folder_that_is_not_there_is_told_before_the_work(
    swept: Path, tmp_path: Path, command: str
) -> None:
    told = run(command, swept, "--out", tmp_path / "typo" / "out.png")
    assert told.exit_code == 2
    assert "there is no folder" in told.output
    assert list(tmp_path.iterdir()) == []


def test_what_is_no_result_is_told_as_such(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    assert "no result of a sweep" in run("table", tmp_path).output
    told = run("table", tmp_path / "letter.txt")
    assert told.exit_code == 2
    assert "cannot be opened as a file of `export` or `baseline`" in told.output


def test_an_unknown_rig_or_suffix_is_bad_input(swept: Path, tmp_path: Path) -> None:
    ended = run("map", swept, "--out", tmp_path / "m.png", "--rig", "boat")
    assert ended.exit_code == 2
    assert FOAM in ended.output
    assert run("map", swept, "--out", tmp_path / "m.bmp").exit_code == 2


# --------------------------------------------------------------------- the exported file


def test_the_export_is_the_result(swept: Path, tmp_path: Path) -> None:
    out = tmp_path / "result.nc"
    assert run("export", swept, "--out", out).exit_code == 0
    xr.testing.assert_equal(open_result(out).load(), open_result(swept).load())
    plain = xr.open_dataset(out, engine="h5netcdf")
    assert plain.attrs["Conventions"] == "CF-1.11"
    assert plain["first_cause"].dtype == np.int8
    assert plain["first_cause"].attrs["flag_values"].dtype == np.int8
    assert plain["outdoor_high_c"].attrs["units_metadata"] == "temperature: on_scale"
    assert list(plain["rig_id"].to_numpy()) == [FOAM, "lined_panel_van"]
    plain.close()


# --------------------------------------------------------------------------------- the place


def test_the_year_of_a_place_agrees_with_the_sweep(
    swept: Path, checkout: Path, tmp_path: Path
) -> None:
    weather = checkout / "sample_weather" / f"{GOOD[2]}.epw.gz"
    common = ("place", "--rig", checkout / "sample_rigs" / f"{FOAM}.json", "--weather", weather)
    table, picture = tmp_path / "year.csv", tmp_path / "year.png"
    assert run(*common, "--living-there", "--out", table).exit_code == 0
    found = list(csv.DictReader(io.StringIO(table.read_text())))
    stored = open_result(swept).sel(rig=FOAM, site=GOOD[2])
    words = [Verdict(int(each)).word for each in stored["verdict"].to_numpy()]
    assert [row["verdict"] for row in found] == words
    assert [row["living_there_verdict"] for row in found] == words
    for name in ("stay_days", "adverse_stay_days"):
        assert [int(row[name]) for row in found] == stored[name].to_numpy().tolist()
    assert run(*common, "--out", table).exit_code == 0
    first = [row["verdict"] for row in csv.DictReader(io.StringIO(table.read_text()))]
    assert first == [Verdict(int(each)).word for each in stored["first_day_verdict"].to_numpy()]
    assert float(found[0]["lowest_charge"]) == pytest.approx(
        float(stored["lowest_charge"][0]), abs=5.1e-5
    )
    assert run(*common, "--out", picture).exit_code == 0
    assert matplotlib.image.imread(picture).std() > 0.05
