"""Results of other versions: read as far as they go, and what they lack is reported."""

import csv
import io
import json
import shutil
from pathlib import Path

import pytest
import xarray as xr

from noonhold_batch.results.short_names import TERMINAL
from tests.batch.commands import run

NEW = ["first_day_verdict", "stay_days", "adverse_stay_days", "stay_first_cause", "hours_unmet"]


@pytest.fixture(scope="module")
def older(swept: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the result as a version wrote it that knew no stays."""
    out = tmp_path_factory.mktemp("older") / "older.nc"
    run("export", swept, "--out", out)
    result = xr.load_dataset(out, engine="h5netcdf")
    result = result.isel(stay=0, drop=True).drop_vars(NEW)
    result.attrs["versions"] = json.dumps({"noonhold": "0.0.9", "model": "1234567890abcdef"})
    result.to_netcdf(out, engine="h5netcdf")
    return out


@pytest.mark.parametrize("by", ["site", "region", "month", "rig"])
def test_a_result_without_stays_says_what_it_holds(older: Path, by: str) -> None:
    text = run("table", older, "--by", by, "--living-there")
    assert text.exit_code == 0, text.output
    assert "battery" not in text.output.splitlines()[3]
    assert max(map(len, text.output.splitlines())) <= TERMINAL
    said = " ".join(text.output.split())
    assert "noonhold 0.0.9 (model 12345678) without hours_unmet" in said
    assert "--if-changed recompute" in said
    written = run("table", older, "--by", by, "--living-there", "--format", "csv")
    assert "without hours_unmet" in written.stderr
    table = list(csv.DictReader(io.StringIO(written.stdout)))
    assert not {"battery_alone_kwh", "living_there_unserved_h"} & set(table[0])
    assert any(row["feasible_percent"] for row in table)
    assert {row["asked"] for row in table} == {"living there"}


@pytest.mark.parametrize("asked", [(), ("--days", 3)])
def test_a_stay_is_refused_in_words_where_a_result_has_none(
    older: Path, tmp_path: Path, asked: tuple[object, ...]
) -> None:
    for command in (("table", older), ("map", older, "--out", tmp_path / "m.png")):
        told = run(*command, *asked)
        assert told.exit_code == 2
        assert f"{older}: lacks first_day_verdict, stay_days" in told.output
        assert "written by noonhold 0.0.9 (model 12345678)" in told.output
        assert "--living-there" in told.output and "--if-changed recompute" in told.output
    told = run("compare", older, older)
    assert (told.exit_code, "lacks first_day_verdict" in told.output) == (2, True)
    told = run("baseline", older, "--out", tmp_path / "base.nc")
    assert (told.exit_code, "lacks first_day_verdict" in told.output) == (2, True)


def test_a_map_of_living_there_needs_no_stays(older: Path, tmp_path: Path) -> None:
    assert run("map", older, "--living-there", "--out", tmp_path / "m.geojson").exit_code == 0


def test_what_a_result_lacks_is_told_with_its_version(
    swept: Path, older: Path, tmp_path: Path
) -> None:
    base = tmp_path / "base.nc"
    run("baseline", swept, "--out", base)
    kept = xr.load_dataset(base, engine="h5netcdf")
    kept.attrs["versions"] = xr.load_dataset(older, engine="h5netcdf").attrs["versions"]
    kept.to_netcdf(base, engine="h5netcdf")
    for command, missing in (
        (("table", base), "outdoor_high_c"),
        (("map", base, "--out", tmp_path / "m.png"), "site_name"),
    ):
        told = run(*command)
        assert told.exit_code == 2, told.output
        assert f"{base}: lacks" in told.output
        assert missing in told.output
        assert "written by noonhold 0.0.9 (model 12345678)" in told.output
        assert "--if-changed recompute" in told.output
    result = xr.load_dataset(older, engine="h5netcdf")
    bare = tmp_path / "bare.nc"
    del result.attrs["versions"]
    result.drop_vars(["region", "solar_wh"]).to_netcdf(bare, engine="h5netcdf")
    told = run("table", bare, "--by", "region", "--living-there")
    assert (told.exit_code, "lacks region" in told.output) == (2, True)
    assert "a version that it does not name" in told.output
    told = run("compare", base, bare)
    assert (told.exit_code, "solar_wh" in told.output) == (2, True)


def test_a_sweep_of_other_variables_is_not_gone_on_with(
    swept: Path, broken_weather: tuple[Path, dict[str, str]], rigs: tuple[str, ...], tmp_path: Path
) -> None:
    """The same model may have been swept by a batch that stored less."""
    out = tmp_path / "r.zarr"
    shutil.copytree(swept, out)
    shutil.rmtree(out / "needed_array_w")
    told = run("sweep", *rigs, "--weather", broken_weather[0], "--out", out, "--workers", 1)
    assert told.exit_code == 2
    assert "another set of variables" in told.output
    assert "--if-changed recompute" in told.output
