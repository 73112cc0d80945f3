from pathlib import Path

import numpy as np

from noonhold.weather.weather_files import read_weather
from tests.batch.commands import run

STATIONS = ("coast_ostmarrow", "plateau_highorrin")


def folder_of_two(checkout: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "two"
    folder.mkdir()
    for name in STATIONS:
        (folder / f"{name}.epw.gz").symlink_to(checkout / "sample_weather" / f"{name}.epw.gz")
    return folder


def test_each_file_is_its_station_some_kelvin_warmer(checkout: Path, tmp_path: Path) -> None:
    folder, out = folder_of_two(checkout, tmp_path), tmp_path / "many"
    ended = run("perturb", "--weather", folder, "--out", out, "--count", 5, "--kelvin", 1.5)
    assert ended.exit_code == 0, ended.output
    names = sorted(path.name for path in out.iterdir())
    assert names == sorted(f"{STATIONS[number % 2]}_{number}.epw.gz" for number in range(5))
    shifts = set()
    for name in names:
        before = read_weather(folder / f"{name[:-9]}.epw.gz")
        after = read_weather(out / name)
        difference = after.temp_air - before.temp_air
        shifts.add(round(float(difference.mean()), 3))
        # Written to a hundredth of a kelvin, from values written to a tenth.
        np.testing.assert_allclose(difference, difference.mean(), atol=0.006)
        assert abs(difference.mean()) <= 1.5
        np.testing.assert_array_equal(after.ghi, before.ghi)
        np.testing.assert_array_equal(after.relative_humidity, before.relative_humidity)
    assert len(shifts) == 5


def test_the_same_seed_gives_the_same_bytes(checkout: Path, tmp_path: Path) -> None:
    folder = folder_of_two(checkout, tmp_path)
    for out, seed in (("a", 3), ("b", 3), ("c", 4)):
        run("perturb", "--weather", folder, "--out", tmp_path / out, "--count", 1, "--seed", seed)
    one, same, other = (next((tmp_path / out).iterdir()).read_bytes() for out in ("a", "b", "c"))
    assert one == same
    assert one != other


def test_what_is_no_epw_is_bad_input(tmp_path: Path) -> None:
    ended = run("perturb", "--weather", tmp_path, "--out", tmp_path / "out")
    assert ended.exit_code == 2
    assert "no EPW files" in ended.output
    (tmp_path / "a.epw").write_text("dear\n")
    ended = run("perturb", "--weather", tmp_path, "--out", tmp_path / "out")
    assert ended.exit_code == 2
    assert "does not begin with LOCATION" in ended.output
