"""Every end of a command has its code: drift is drift, and nothing is left half written."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Generator, Iterable
from pathlib import Path

import pytest

from noonhold.exit_codes import MEANINGS, ExitCode
from noonhold_batch.commands import sweep_command, table_command
from noonhold_batch.sweep.site_block import BlockResult, run_block
from noonhold_batch.sweep.sweep_plan import Block
from tests.batch.commands import run


def test_the_help_and_the_manual_have_the_table(checkout: Path) -> None:
    helped = " ".join(run("--help").output.split())
    manual = (checkout / "docs/reference/commands.md").read_text(encoding="utf-8")
    for code, meaning in MEANINGS.items():
        assert f"{int(code)} {meaning}" in helped
        assert f"| {int(code)} | {meaning} |" in manual
    assert set(MEANINGS) == set(ExitCode)


def small_disk() -> None:
    """Let files grow to 200 bytes: what a full disk does, without one."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (200, 200))


@pytest.mark.parametrize(
    "words",
    [
        ("table", "--format", "csv", "--out", "{out}/t.csv"),
        ("map", "--out", "{out}/m.geojson"),
        ("map", "--out", "{out}/m.svg"),
        ("export", "--out", "{out}/r.nc"),
        ("baseline", "--out", "{out}/b.nc"),
    ],
    ids=lambda words: words[-1],
)
def test_a_full_disk_leaves_what_was_there(
    words: tuple[str, ...], swept: Path, tmp_path: Path, checkout: Path
) -> None:
    name, *rest = (word.format(out=tmp_path) for word in words)
    out = Path(rest[-1])
    out.write_text("of yesterday")
    ended = subprocess.run(
        [sys.executable, "-m", "noonhold", name, str(swept), *rest],
        cwd=checkout, capture_output=True, text=True, preexec_fn=small_disk,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip
    assert ended.returncode == ExitCode.CANNOT_WRITE, ended.stderr
    assert "Traceback" not in ended.stderr
    assert "error: " in ended.stderr
    assert out.read_text() == "of yesterday"
    assert list(tmp_path.iterdir()) == [out]


def test_a_result_that_is_removed_ends_the_sweep_and_is_not_begun_anew(
    rigs: tuple[str, ...], checkout: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "result.zarr"

    def removes(blocks: Iterable[Block]) -> Generator[BlockResult, None, None]:
        for block in blocks:
            found = run_block(block)
            shutil.rmtree(out, ignore_errors=True)
            yield found

    monkeypatch.setattr(sweep_command, "run_here", removes)
    weather = tmp_path / "weather"
    weather.mkdir()
    shutil.copy(checkout / "sample_weather" / "basin_desert_kelpanoor.epw.gz", weather)
    ended = run("sweep", *rigs[:2], "--weather", weather, "--out", out, "--workers", 1)
    assert ended.exit_code == ExitCode.CANNOT_WRITE, ended.output
    assert "removed while the sweep ran" in ended.output
    assert not out.exists()


def test_an_internal_failure_is_no_drift_and_shows_its_trace_on_request(
    swept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(path: Path) -> None:
        raise ZeroDivisionError("of nothing")

    monkeypatch.setattr(table_command, "open_result", fails)
    monkeypatch.delenv("NOONHOLD_TRACEBACK", raising=False)
    ended = run("table", swept)
    assert ended.exit_code == ExitCode.INTERNAL
    assert "ZeroDivisionError: of nothing" in ended.output
    assert "Traceback" not in ended.output
    monkeypatch.setenv("NOONHOLD_TRACEBACK", "1")
    assert "Traceback" in run("table", swept).output


def test_ctrl_c_is_130_in_every_command(swept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stops(path: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(table_command, "open_result", stops)
    assert run("table", swept).exit_code == ExitCode.INTERRUPTED


def test_a_reader_that_goes_away_is_no_drift(swept: Path, checkout: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    ended = subprocess.run(
        [sys.executable, "-m", "noonhold", "table", str(swept)],
        cwd=checkout, stdout=write, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    os.close(write)
    assert ended.returncode == ExitCode.PIPE_CLOSED, ended.stderr
    assert ended.stderr == ""
