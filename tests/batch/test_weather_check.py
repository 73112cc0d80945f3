"""``weather check`` and the doubts that a sweep and its tables report."""

from __future__ import annotations

import gzip
import shutil
from pathlib import Path

from noonhold.exit_codes import ExitCode
from tests.batch.commands import run

SITE = "coast_ostmarrow"


def doubtful(source: Path, target: Path) -> Path:
    """Write a file whose radiation is halved."""
    lines = gzip.decompress(source.read_bytes()).decode("latin-1").splitlines()
    out = lines[:8]
    for line in lines[8:]:
        fields = line.split(",")
        for place in (13, 14, 15):
            fields[place] = f"{float(fields[place]) / 2.0:g}"
        out.append(",".join(fields))
    target.write_text("\n".join(out) + "\n", encoding="latin-1")
    return target


def test_good_doubted_and_refused_files_are_told_apart(checkout: Path, tmp_path: Path) -> None:
    source = checkout / "sample_weather" / f"{SITE}.epw.gz"
    shutil.copy(source, tmp_path)
    assert run("weather", "check", tmp_path / source.name).exit_code == ExitCode.OK
    doubtful(source, tmp_path / "half.epw")
    (tmp_path / "none.epw").write_text("nothing")
    told = run("weather", "check", tmp_path)
    assert told.exit_code == ExitCode.PARTIAL
    assert f"{source.name}: good" in told.output
    assert "half.epw: doubt: units of radiation" in told.output
    assert "Haurwitz 1946" in told.output
    assert "none.epw: refused: " in told.output
    assert "3 files, 2 doubted or refused" in told.output


def test_a_sweep_and_its_table_tell_doubts(
    rigs: tuple[str, ...], checkout: Path, tmp_path: Path
) -> None:
    weather, out = tmp_path / "weather", tmp_path / "r.zarr"
    weather.mkdir()
    doubtful(checkout / "sample_weather" / f"{SITE}.epw.gz", weather / "half.epw")
    ended = run("sweep", *rigs[:2], "--weather", weather, "--out", out, "--workers", 1)
    assert "doubtful weather: half: DOUBT (units of radiation)" in ended.output
    assert "doubtful weather: half: DOUBT (units of radiation)" in run("table", out).output
