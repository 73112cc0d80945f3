"""A result against a baseline: what drifted, where, in a table that fits the terminal."""

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import xarray as xr

from noonhold_batch.results.drift import TOLERANCES
from noonhold_batch.results.short_names import TERMINAL
from tests.batch.commands import run
from tests.batch.conftest import GOOD


def tree(path: Path) -> ElementTree.Element:
    """Return the root of an XML file that the test itself had written."""
    return ElementTree.fromstring(path.read_text())  # noqa: S314 - our own output


def test_no_drift_leaves_with_0_and_drift_with_1(swept: Path, tmp_path: Path) -> None:
    base, report = tmp_path / "base.nc", tmp_path / "junit.xml"
    assert run("baseline", swept, "--out", base).exit_code == 0
    same = run("compare", base, swept, "--junit", report)
    assert same.exit_code == 0, same.output
    suite = tree(report)
    assert suite.attrib == {"tests": str(2 * len(TOLERANCES) + 1), "failures": "0", "errors": "0"}
    assert len(suite.findall("testsuite/testcase")) == 2 * len(TOLERANCES) + 1

    moved = xr.load_dataset(base, engine="h5netcdf")
    moved["cooler_wh"][0, 14, 40] += 5.0
    moved["verdict"][1, 16, 200] = 2 - moved["verdict"][1, 16, 200]
    other = tmp_path / "other.nc"
    moved.to_netcdf(other, engine="h5netcdf")
    drift = run("compare", other, swept, "--junit", report)
    assert drift.exit_code == 1
    assert re.search(rf" 02-10  {GOOD[0]}$", drift.output, re.MULTILINE)
    assert "2001-02-10" in report.read_text()
    every = run("compare", other, swept, "--all").output.splitlines()
    assert max(map(len, every)) <= TERMINAL
    assert sum(line.startswith(tuple(TOLERANCES)) for line in every) == 2 * len(TOLERANCES)
    assert f"2 of {2 * len(TOLERANCES)} variables drifted" in drift.output
    failures = tree(report).findall("testsuite/testcase/failure")
    assert len(failures) == 2
    for name in ("stay_days", "first_day_verdict", "unmet_wh"):
        seen = xr.load_dataset(base, engine="h5netcdf")
        seen[name][0, 14, 40] += 2
        seen.to_netcdf(other.with_name("seen.nc"), engine="h5netcdf")
        told = run("compare", other.with_name("seen.nc"), swept)
        assert (told.exit_code, name in told.output) == (1, True)
    allowed = run("compare", other, swept, "--tolerance", "cooler_wh=6", "--tolerance", "verdict=2")
    assert allowed.exit_code == 0
    assert run("compare", other, swept, "--tolerance", "cooler_wh=nan").exit_code == 2
    assert run("compare", other, swept, "--tolerance", "mood=1").exit_code == 2


def test_long_sites_of_a_comparison_fit_the_terminal_and_stay_apart(
    swept: Path, tmp_path: Path
) -> None:
    base, other = tmp_path / "base.nc", tmp_path / "other.nc"
    run("baseline", swept, "--out", base)
    long = xr.load_dataset(base, engine="h5netcdf")
    names = [
        f"NOW_{n:02d}_A.Very.Long.Name.Of.A.Place.With.An.Airport.999999_TMYx" for n in range(17)
    ]
    long["site_id"] = ("site", np.array(names, dtype=object))
    long.to_netcdf(base, engine="h5netcdf")
    long["cooler_wh"][0, 14, 40] += 5.0
    long["solar_wh"][0, 16, 41] += 5.0
    long.to_netcdf(other, engine="h5netcdf")
    lines = run("compare", other, base).output.splitlines()
    assert max(map(len, lines)) <= TERMINAL
    places = {line.split()[-1] for line in lines if line.startswith(("cooler_wh", "solar_wh"))}
    assert len(places) == 2
    assert all(place.startswith("NOW_1") and "…" in place for place in places)


def test_a_missing_site_is_drift(swept: Path, tmp_path: Path) -> None:
    base = tmp_path / "base.nc"
    run("baseline", swept, "--out", base)
    fewer = xr.load_dataset(base, engine="h5netcdf").isel(site=slice(0, 16))
    fewer.to_netcdf(tmp_path / "fewer.nc", engine="h5netcdf")
    ended = run("compare", tmp_path / "fewer.nc", swept)
    assert ended.exit_code == 1
    assert f"site {GOOD[2]} is only in the result" in ended.output
