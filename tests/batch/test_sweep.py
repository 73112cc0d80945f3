import json
import os
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from noonhold.projection import project
from noonhold.simulation import simulation_case
from noonhold.simulation.forcing import forcing_tables
from noonhold.verdict import judge
from noonhold.weather.selection import relabelled
from noonhold.weather.weather_files import read_weather
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.results.result import open_result
from noonhold_batch.sweep.result_variables import FIGURES, FLAGS, NEEDED, STAYS
from noonhold_batch.sweep.run_status import Status
from noonhold_batch.sweep.site_block import run_block
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.sweep.sweep_plan import Plan, default_block_size, find_sites
from tests.batch.commands import run
from tests.batch.conftest import GOOD, epw_lines, write_lines


def tree(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder with its bytes."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_every_broken_file_has_a_reason_and_stops_nothing(
    swept: Path, broken_weather: tuple[Path, dict[str, str]]
) -> None:
    result = open_result(swept)
    status = result["status"].to_series().unstack("rig")
    reason = result["reason"].to_series().unstack("rig")
    for site, word in broken_weather[1].items():
        known = {Status.UNREADABLE, Status.GAPS, Status.NO_WHOLE_YEAR}
        assert set(status.loc[site]) <= (known if site != "b_dangling" else {Status.UNREACHABLE})
        for text in reason.loc[site]:
            assert word in text
            assert len(text) > 15
            assert "Traceback" not in text
    for site in GOOD:
        assert set(status.loc[site]) == {Status.OK}
        assert set(reason.loc[site]) == {""}


def test_a_failure_is_never_a_zero(swept: Path) -> None:
    result = open_result(swept)
    failed = result["status"].isel(rig=0).to_numpy() != Status.OK
    for variable in (*FIGURES, *NEEDED):
        assert np.isnan(result[variable.name].to_numpy()[:, failed]).all(), variable.name
    for variable in (*FLAGS, *STAYS):
        assert (result[variable.name].to_numpy()[:, failed] == -1).all(), variable.name
    assert np.isnan(result["outdoor_high_c"].to_numpy()[failed]).all()


def test_the_verdicts_are_those_of_the_engine(swept: Path, checkout: Path) -> None:
    """Same weather, rig and scenario by the engine's own way from projection to days."""
    rig = checkout / "sample_rigs" / "flatbed_cabin.json"
    case = load_cases([rig], DEFAULT_SCENARIO, [])[0]
    weather = relabelled(read_weather(checkout / "sample_weather" / f"{GOOD[2]}.epw.gz"))
    settling = 24 * case.scenario.start.spin_up_days
    table = weather.slice(-settling, 8760 + settling)
    days = judge(project(case.rig, case.at_site(weather.site), table, settling))
    stored = open_result(swept).sel(rig="flatbed_cabin", site=GOOD[2])
    np.testing.assert_array_equal(stored["verdict"].to_numpy(), days.verdict)
    np.testing.assert_array_equal(stored["first_cause"].to_numpy(), days.first_cause)
    np.testing.assert_array_equal(stored["lowest_charge"], days.lowest_charge.astype("float32"))
    np.testing.assert_array_equal(stored["cooler_wh"], days.cooler_wh.astype("float32"))
    highs = weather.temp_air.reshape(365, 24).max(axis=1)
    np.testing.assert_array_equal(stored["outdoor_high_c"], highs.astype("float32"))


def test_it_opens_in_plain_xarray_with_units(swept: Path) -> None:
    result = xr.open_zarr(swept)
    assert result.sizes == {"rig": 2, "site": 17, "day": 365, "stay": 5}
    assert result.attrs["Conventions"] == "CF-1.11"
    assert ": noonhold sweep --rig " in result.attrs["history"]
    assert result.attrs["history"].endswith("--workers 1")
    assert result["cooler_wh"].attrs["units"] == "W h"
    assert result["peak_comfort"].attrs["units"] == "degC"
    assert result["first_cause"].attrs["flag_meanings"].split()[-1] == "schedule"
    assert list(result["first_cause"].attrs["flag_values"]) == [-1, 0, 1, 2, 3, 4, 5]
    assert str(result["day"].to_numpy()[0])[:10] == "2001-01-01"
    assert json.loads(result.attrs["versions"])["numpy"]
    assert "kill" in result.attrs["comment"]
    sums = result["weather_sha256"].to_series()
    assert sums[GOOD[0]] and len(sums[GOOD[0]]) == 64
    assert sums["b_folder"] == ""


def test_workers_and_blocks_change_no_number(
    swept: Path, broken_weather: tuple[Path, dict[str, str]], rigs: tuple[str, ...], tmp_path: Path
) -> None:
    out = tmp_path / "two.zarr"
    ended = run(
        *("sweep", *rigs, "--weather", broken_weather[0], "--out", out),
        *("--workers", 2, "--block-size", 5, "--quiet"),
    )
    assert ended.exit_code == 3, ended.output
    xr.testing.assert_equal(open_result(out).load(), open_result(swept).load())


@pytest.fixture(scope="module")
def three_sites(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("three")
    for name in GOOD:
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder)
    return folder


@pytest.fixture(scope="module")
def one_rig(rigs: tuple[str, ...], tmp_path_factory: pytest.TempPathFactory) -> Path:
    rig = tmp_path_factory.mktemp("rig") / "rig.json"
    shutil.copy(rigs[1], rig)
    return rig


@dataclass(frozen=True)
class Command:
    """The sweep of one rig over three sites as a user gives it, in any folder."""

    arguments: tuple[str, ...]
    environment: dict[str, str]

    def popen(self, folder: Path) -> subprocess.Popen[str]:
        folder.mkdir(exist_ok=True)
        return subprocess.Popen(
            [sys.executable, "-m", "noonhold", *self.arguments],
            cwd=folder,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, folder: Path) -> str:
        with self.popen(folder) as process:
            said, faults = process.communicate()
        assert process.returncode == 0, faults
        return said


@pytest.fixture(scope="module")
def command(three_sites: Path, one_rig: Path) -> Command:
    environment = {**os.environ, "SOURCE_DATE_EPOCH": "1700000000"}
    # A relative name, so that the history of all runs reads the same.
    sweep = ("sweep", "--rig", str(one_rig), "--weather", str(three_sites), "--out", "r.zarr")
    return Command((*sweep, "--workers", "1"), environment)


@pytest.fixture(scope="module")
def whole(command: Command, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the result of a run that nothing disturbed."""
    folder = tmp_path_factory.mktemp("whole")
    command.run(folder)
    return folder / "r.zarr"


def test_killed_at_any_moment_it_goes_on_to_the_same_bytes(
    command: Command, whole: Path, tmp_path: Path
) -> None:
    with command.popen(tmp_path) as process:
        first = tmp_path / "r.zarr" / "status" / "c" / "0" / "0"
        while not first.exists():
            assert process.poll() is None, "ended before it could be killed"
            time.sleep(0.01)
        process.send_signal(signal.SIGKILL)
    assert open_result(tmp_path / "r.zarr").attrs["sweep_state"] == "running"
    # What a kill in the middle of a write leaves behind.
    (tmp_path / "r.zarr" / "cooler_wh" / "c" / "0" / "0" / "0.abc.partial").write_bytes(b"half")

    assert "0 kept" not in command.run(tmp_path)
    assert tree(tmp_path / "r.zarr") == tree(whole)


def test_a_second_run_of_a_whole_sweep_computes_nothing(
    whole: Path, three_sites: Path, one_rig: Path, tmp_path: Path
) -> None:
    out = tmp_path / "r.zarr"
    shutil.copytree(whole, out)
    sweep = ("sweep", "--rig", one_rig, "--weather", three_sites, "--out", out, "--workers", 1)
    ended = run(*sweep)
    assert ended.exit_code == 0
    assert "0 blocks run, 3 kept" in ended.output
    assert tree(out) == tree(whole)


def test_changed_inputs_are_noticed(
    whole: Path, three_sites: Path, one_rig: Path, tmp_path: Path
) -> None:
    weather, rig, out = tmp_path / "weather", tmp_path / "rig.json", tmp_path / "r.zarr"
    shutil.copytree(three_sites, weather)
    shutil.copy(one_rig, rig)
    shutil.copytree(whole, out)
    sweep = ("sweep", "--rig", rig, "--weather", weather, "--out", out, "--workers", 1)
    before = open_result(out).load()

    shutil.copy(weather / f"{GOOD[0]}.epw.gz", weather / f"{GOOD[1]}.epw.gz")
    refused = run(*sweep)
    assert refused.exit_code == 2
    assert f"another weather of {GOOD[1]}" in refused.output
    redone = run(*sweep, "--if-changed", "recompute")
    assert redone.exit_code == 0
    assert "1 blocks run, 2 kept" in redone.output
    after = open_result(out).load()
    np.testing.assert_array_equal(after["cooler_wh"][0, 1], before["cooler_wh"][0, 0])
    np.testing.assert_array_equal(after["cooler_wh"][0, 2], before["cooler_wh"][0, 2])
    assert after["weather_sha256"][1] == before["weather_sha256"][0]

    document = json.loads(rig.read_text())
    document["battery"]["usable_energy_wh"] *= 2
    rig.write_text(json.dumps(document))
    refused = run(*sweep)
    assert refused.exit_code == 2
    assert "another rig rig" in refused.output
    redone = run(*sweep, "--if-changed", "recompute")
    assert "3 blocks run, 0 kept" in redone.output
    assert float(open_result(out)["lowest_charge"].mean()) > float(after["lowest_charge"].mean())
    assert not list(tmp_path.glob(".r.zarr*"))


def test_a_leap_year_is_the_year_without_its_leap_day(
    swept: Path, checkout: Path, tmp_path: Path
) -> None:
    """8784 rows are a year where 29 February is among them, and no year otherwise."""
    source = checkout / "sample_weather" / f"{GOOD[2]}.epw.gz"
    lines = epw_lines(source)
    first = 8 + 24 * 59
    leap = [f"2004,2,29,{line.split(',', 3)[3]}" for line in lines[first - 24 : first]]
    write_lines(tmp_path / "leap.epw", [*lines[:first], *leap, *lines[first:]])
    rig = checkout / "sample_rigs" / "flatbed_cabin.json"
    plan = Plan(load_cases([rig], DEFAULT_SCENARIO, []), find_sites(tmp_path), 1, None, 300)
    found = run_block(plan.block(0)).arrays
    assert found["status"][0, 0] == Status.OK
    assert "29 February dropped: 24 rows" in found["weather_notes"][0]
    stored = open_result(swept).sel(rig="flatbed_cabin", site=GOOD[2])
    # The sun's calendar is that of another year of the leap cycle: a quarter of a day's march.
    for name in ("cooler_wh", "solar_wh"):
        assert found[name][0, 0].sum() == pytest.approx(float(stored[name].sum()), rel=1e-3)


def test_layout_of_a_rig_document_is_no_change(rigs: tuple[str, ...], tmp_path: Path) -> None:
    rig = tmp_path / "flatbed_cabin.json"
    rig.write_text(json.dumps(json.loads(Path(rigs[1]).read_text()), indent=7, sort_keys=True))
    first = load_cases([Path(rigs[1])], DEFAULT_SCENARIO, [])[0]
    assert load_cases([rig], DEFAULT_SCENARIO, [])[0].fingerprint == first.fingerprint


def test_a_variant_is_the_rig_with_its_patch(
    three_sites: Path, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    patch = tmp_path / "twice.json"
    patch.write_text(json.dumps({"rig": {"battery": {"usable_energy_wh": 20000}}}))
    patched = json.loads(Path(rigs[1]).read_text())
    patched["battery"]["usable_energy_wh"] = 20000
    whole = tmp_path / "whole.json"
    whole.write_text(json.dumps(patched))
    by_patch = load_cases([Path(rigs[1])], DEFAULT_SCENARIO, [patch])
    by_hand = load_cases([whole], DEFAULT_SCENARIO, [])
    assert [case.name for case in by_patch] == ["flatbed_cabin", "flatbed_cabin+twice"]
    sites = find_sites(three_sites)
    shared = run_block(Plan(by_patch, sites, 1, None, 300).block(0)).arrays
    alone = run_block(Plan(by_hand, sites, 1, None, 300).block(0)).arrays
    # The variant shares its rig's sunlight: no number may know it.
    np.testing.assert_array_equal(shared["lowest_charge"][1], alone["lowest_charge"][0])
    assert not np.array_equal(shared["lowest_charge"][1], shared["lowest_charge"][0])


@pytest.mark.parametrize(
    ("scenario", "told"),
    [
        ({"operation": {}}, ["/comfort: is missing", "/start: is missing"]),
        ({"operation": {}, "comfort": {}, "start": {}, "weather": 1}, ["/weather: is unknown"]),
        (
            {
                "operation": {"set_point_c": 75},
                "comfort": {"measure": "operative", "limit": 26},
                "start": {"state_of_charge": 3},
                "place": {"latitude": 5, "timezone": "UTC"},
            },
            [
                "/operation/set_point_c",
                "/start/state_of_charge",
                "/place/latitude",
                "/place/timezone",
            ],
        ),
    ],
)
def test_a_faulty_scenario_tells_every_fault(
    scenario: object, told: list[str], rigs: tuple[str, ...], checkout: Path, tmp_path: Path
) -> None:
    path = tmp_path / "scenario.json"
    path.write_text(json.dumps(scenario))
    ended = run(
        *("sweep", *rigs[:2], "--weather", checkout / "sample_weather"),
        *("--out", tmp_path / "r.zarr", "--scenario", path),
    )
    assert ended.exit_code == 2
    for text in told:
        assert text in ended.output
    assert not (tmp_path / "r.zarr").exists()


def test_variants_share_the_sun_and_no_number_shows_it(
    rigs: tuple[str, ...], three_sites: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What sun and weather do not depend on leaves them alone; a longer spin-up moves the rows."""
    patches = {
        "small": {"rig": {"battery": {"usable_energy_wh": 2000}}, "place": {"shade": []}},
        "settled": {"start": {"spin_up_days": 5}},
    }
    for name, patch in patches.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(patch))
    made = []

    def counted(*arguments: object) -> object:
        made.append(arguments)
        return forcing_tables(*arguments)

    monkeypatch.setattr(simulation_case, "forcing_tables", counted)
    variants = [tmp_path / f"{name}.json" for name in patches]
    sites = find_sites(three_sites)[:1]
    cases = load_cases([Path(rigs[1])], DEFAULT_SCENARIO, variants)
    together = run_block(Plan(cases, sites, 1, None, 300).block(0)).arrays
    assert len(made) == 2  # the small battery stands in the same sun, the settled one its own
    for number, case in enumerate(cases):
        alone = run_block(Plan((case,), sites, 1, None, 300).block(0)).arrays
        assert together["status"][number, 0] == Status.OK
        np.testing.assert_array_equal(together["lowest_charge"][number], alone["lowest_charge"][0])


@pytest.mark.parametrize("by_variant", [False, True])
def test_shade_on_an_array_that_the_rig_lacks_is_a_fault(
    by_variant: bool, three_sites: Path, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    """A name written wrongly once ran to exit 0, as if nothing stood in the shade."""
    shade = {"from": "08:00", "to": "18:00", "beam_blocked": 0.9, "diffuse_blocked": 0.4}
    place = {"place": {"shade": [{**shade, "applies_to": ["cabin", "roof_arays"]}]}}
    scenario, variant = tmp_path / "scenario.json", tmp_path / "under_trees.json"
    whole = json.loads(DEFAULT_SCENARIO.read_text())
    scenario.write_text(json.dumps(whole if by_variant else whole | place))
    variant.write_text(json.dumps(place if by_variant else {}))
    ended = run(
        *("sweep", *rigs[:2], "--weather", three_sites, "--out", tmp_path / "r.zarr"),
        *("--scenario", scenario, "--variant", variant),
    )
    assert ended.exit_code == 2
    assert "/place/shade/0/applies_to/1" in ended.output
    assert "cabin, ground, arrays, roof" in ended.output  # the names that are known
    assert not (tmp_path / "r.zarr").exists()


@pytest.mark.parametrize("place", [5, ["shade"]])
def test_a_place_that_is_no_object_is_a_fault(
    place: object, three_sites: Path, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    scenario = tmp_path / "scenario.json"
    whole = json.loads(DEFAULT_SCENARIO.read_text())
    scenario.write_text(json.dumps({**whole, "place": place}))
    ended = run(
        *("sweep", *rigs[:2], "--weather", three_sites),
        *("--out", tmp_path / "r.zarr", "--scenario", scenario),
    )
    assert ended.exit_code == 2
    assert "/place: must be an object" in ended.output


def test_other_folders_are_not_touched(
    three_sites: Path, rigs: tuple[str, ...], tmp_path: Path
) -> None:
    out = tmp_path / "mine"
    out.mkdir()
    (out / "letter.txt").write_text("dear")
    ended = run("sweep", *rigs[:2], "--weather", three_sites, "--out", out)
    assert ended.exit_code == 2
    assert "no result of a sweep" in ended.output
    assert tree(out) == {"letter.txt": b"dear"}


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BatchError, match="no weather files"):
        find_sites(tmp_path)


def test_two_files_of_one_station_are_two_sites(checkout: Path, tmp_path: Path) -> None:
    shutil.copy(checkout / "sample_weather" / f"{GOOD[0]}.epw.gz", tmp_path)
    (tmp_path / f"{GOOD[0]}.epw").write_text("x")
    assert [site.site_id for site in find_sites(tmp_path)] == [GOOD[0], f"{GOOD[0]}.epw.gz"]


@pytest.mark.parametrize(("sites", "size"), [(1, 1), (24, 1), (41, 2), (1000, 25), (10_000, 25)])
def test_block_size_follows_from_the_sites_alone(sites: int, size: int) -> None:
    assert default_block_size(sites) == size
