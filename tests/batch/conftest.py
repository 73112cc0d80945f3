"""One small sweep that most tests of the batch look at: two rigs, good and broken weather.

Nothing here imports ``batch`` or ``engine``: pytest loads this file before it configures itself,
and numba would then keep its machine code where stale code is not recognised.
"""

import gzip
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

GOOD = ("basin_desert_alkumbra", "high_mountain_snowquill", "plateau_highorrin")


def epw_lines(path: Path) -> list[str]:
    """Return the lines of a gzip EPW file: 8 of header, 8760 of hours."""
    return gzip.decompress(path.read_bytes()).decode("latin-1").splitlines()


def write_lines(path: Path, lines: list[str]) -> None:
    path.write_text("\n".join(lines) + "\n", encoding="latin-1")


def break_files(source: Path, folder: Path) -> dict[str, str]:
    """Write every kind of broken weather and return station to a word its reason must have."""
    lines = epw_lines(source)
    head, hours = lines[:8], lines[8:]
    whole = source.read_bytes()

    def field(row: str, place: int, text: str) -> str:
        cells = row.split(",")
        cells[place] = text
        return ",".join(cells)

    write_lines(folder / "b_truncated.epw", head + hours[:5000])
    write_lines(folder / "b_columns.epw", head + [",".join(r.split(",")[:20]) for r in hours])
    write_lines(folder / "b_header.epw", ["PLACE,Nowhere", *head[1:], *hours])
    write_lines(folder / "b_comma.epw", head + [r.replace(".", ",") for r in hours])
    write_lines(folder / "b_codes.epw", head + [field(r, 6, "99.9") for r in hours])
    write_lines(folder / "b_shuffled.epw", head + hours[::2] + hours[1::2])
    write_lines(folder / "b_8784.epw", lines + hours[-24:])
    (folder / "b_utf16.epw").write_text("\n".join(lines), encoding="utf-16")
    (folder / "b_binary.epw").write_bytes(bytes(range(256)) * 40)
    (folder / "b_empty.epw").write_bytes(b"")
    (folder / "b_cut.epw.gz").write_bytes(whole[: len(whole) // 2])
    (folder / "b_notgzip.epw.gz").write_bytes(b"LOCATION,x")
    (folder / "b_folder.epw").mkdir()
    (folder / "b_dangling.epw").symlink_to(folder / "nowhere.epw")
    return {
        "b_truncated": "5000",
        "b_columns": "20 fields",
        "b_header": "no known format",
        "b_comma": "decimal mark",
        "b_codes": "no values at all",
        "b_shuffled": "",
        "b_8784": "8784 hourly rows",
        "b_utf16": "UTF-16",
        "b_binary": "binary",
        "b_empty": "empty",
        "b_cut": "gzip",
        "b_notgzip": "not gzip",
        "b_folder": "folder",
        "b_dangling": "no such file",
    }


@pytest.fixture(scope="session")
def broken_weather(
    checkout: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, dict[str, str]]:
    """Return a folder of three good and many broken files, and what the reasons must say."""
    folder = tmp_path_factory.mktemp("weather")
    for name in GOOD:
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder)
    reasons = break_files(checkout / "sample_weather" / f"{GOOD[0]}.epw.gz", folder)
    return folder, reasons


@pytest.fixture(scope="session")
def rigs(checkout: Path) -> tuple[str, ...]:
    """Return the options that name two sample rigs."""
    folder = checkout / "sample_rigs"
    return (
        "--rig",
        str(folder / "flatbed_cabin.json"),
        "--rig",
        str(folder / "lined_panel_van.json"),
    )


@pytest.fixture(scope="session")
def swept(
    broken_weather: tuple[Path, dict[str, str]],
    rigs: tuple[str, ...],
    checkout: Path,
    tmp_path_factory: pytest.TempPathFactory,
) -> Path:
    """Return the result of a sweep over the folder, run as a user runs it."""
    out = tmp_path_factory.mktemp("swept") / "result.zarr"
    sweep = ("sweep", *rigs, "--weather", str(broken_weather[0]), "--out", str(out))
    command = [sys.executable, "-m", "noonhold", *sweep, "--workers", "1"]
    ended = subprocess.run(command, cwd=checkout, capture_output=True, text=True)
    assert ended.returncode == 3, ended.stderr
    return out
