"""A chunk that is missing or damaged was never computed, whoever reads the result."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from noonhold.exit_codes import ExitCode
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands import sweep_command
from noonhold_batch.results.result import open_result
from noonhold_batch.sweep.chunk_integrity import chunk_faults
from noonhold_batch.sweep.run_status import Status
from noonhold_batch.sweep.site_block import BlockResult, run_block
from noonhold_batch.sweep.sweep_plan import Block
from tests.batch.commands import run
from tests.batch.conftest import GOOD


@pytest.fixture(scope="module")
def weather(checkout: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("two")
    for name in GOOD[:2]:
        shutil.copy(checkout / "sample_weather" / f"{name}.epw.gz", folder)
    return folder


@pytest.fixture(scope="module")
def sweep(rigs: tuple[str, ...], weather: Path) -> Callable[..., list[object]]:
    def words(out: Path, folder: Path = weather, *more: object) -> list[object]:
        given = ["--weather", folder, "--out", out, "--workers", 1, "--block-size", 1, "--quiet"]
        return ["sweep", *rigs[:2], *given, *more]

    return words


@pytest.fixture(scope="module")
def whole(sweep: Callable[..., list[object]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("whole") / "r.zarr"
    ended = run(*sweep(out))
    assert ended.exit_code == 0, ended.output
    return out


@pytest.fixture
def result(whole: Path, tmp_path: Path) -> Path:
    shutil.copytree(whole, tmp_path / "r.zarr")
    return tmp_path / "r.zarr"


def verdicts(result: Path) -> np.ndarray:
    return np.asarray(open_result(result)["verdict"][0])


def test_a_lost_chunk_is_not_computed_and_the_sweep_computes_it(
    result: Path, whole: Path, sweep: Callable[..., list[object]]
) -> None:
    assert run("verify", result).exit_code == 0
    (result / "verdict" / "c" / "0" / "1" / "0").unlink()
    told = run("verify", result)
    assert told.exit_code == ExitCode.DAMAGED
    assert "verdict missing" in told.output
    found = open_result(result)
    assert found["status"].to_numpy().tolist() == [[Status.OK, Status.NOT_COMPUTED]]
    assert "verdict is missing on disk" in str(found["reason"][0, 1].item())
    table = run("table", result)
    assert table.exit_code == 0
    assert "not computed: verdict is missing" in " ".join(table.output.split())
    again = run(*sweep(result))
    assert "1 blocks run, 1 kept" in again.output
    np.testing.assert_array_equal(verdicts(result), verdicts(whole))
    assert run("verify", result).exit_code == 0


def test_no_flipped_bit_is_a_verdict(result: Path, whole: Path) -> None:
    chunks = [path for path in sorted(result.rglob("*")) if "c" in path.parts and path.is_file()]
    dice = np.random.default_rng(17)
    kept = verdicts(whole)
    for _ in range(30):
        path = chunks[dice.integers(len(chunks))]
        content = path.read_bytes()
        place, bit = int(dice.integers(len(content))), int(dice.integers(8))
        path.write_bytes(
            content[:place] + bytes([content[place] ^ 1 << bit]) + content[place + 1 :]
        )
        assert [fault.path for fault in chunk_faults(result)] == [path]
        try:
            found = open_result(result).load()
        except BatchError as exc:
            assert "axes are damaged" in str(exc)
        else:
            there = (found["status"][0] == int(Status.OK)).to_numpy()
            assert there.sum() == 1
            np.testing.assert_array_equal(found["verdict"][0].to_numpy()[there], kept[there])
        path.write_bytes(content)


def test_a_file_that_was_lost_is_tried_again_and_others_on_request(
    sweep: Callable[..., list[object]], weather: Path, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """A worker that does not see a file says so, and the next run of the same command reads it."""
    folder, out = tmp_path / "weather", tmp_path / "r.zarr"
    shutil.copytree(weather, folder)
    (folder / "z_broken.epw").write_text("LOCATION,nowhere")

    def blind(blocks: Iterable[Block]) -> Iterable[BlockResult]:
        for block in blocks:
            sites = tuple(replace(s, path=s.path.with_name("gone.epw")) for s in block.sites)
            yield run_block(replace(block, sites=sites) if block.index == 0 else block)

    with monkeypatch.context() as patch:
        patch.setattr(sweep_command, "run_here", blind)
        first = run(*sweep(out, folder))
    assert first.exit_code == ExitCode.PARTIAL
    status = open_result(out)["status"].to_numpy()
    assert status.tolist() == [[Status.UNREACHABLE, Status.OK, Status.UNREADABLE]]
    second = run(*sweep(out, folder))
    assert "1 blocks run, 2 kept" in second.output
    assert open_result(out)["status"].to_numpy()[0, 0] == Status.OK
    third = run(*sweep(out, folder, "--retry-failed"))
    assert "1 blocks run, 2 kept" in third.output
    assert third.exit_code == ExitCode.PARTIAL


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"model": "0" * 64}, "another version of the model"),
        ({"weather_sha256": ("0" * 64,)}, "read another file"),
    ],
)
def test_a_worker_of_other_physics_or_weather_is_refused(
    change: dict[str, object], said: str, sweep: Callable[..., list[object]], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    def other(blocks: Iterable[Block]) -> Iterable[BlockResult]:
        for block in blocks:
            yield replace(run_block(block), **change)

    monkeypatch.setattr(sweep_command, "run_here", other)
    ended = run(*sweep(tmp_path / "r.zarr"))
    assert ended.exit_code == ExitCode.BAD_INPUT
    assert said in ended.output


def test_a_file_replaced_after_planning_is_not_computed_under_the_old_hash(
    sweep: Callable[..., list[object]], weather: Path, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    folder, out = tmp_path / "weather", tmp_path / "r.zarr"
    shutil.copytree(weather, folder)

    def replaced(blocks: Iterable[Block]) -> Iterable[BlockResult]:
        for block in blocks:
            shutil.copy(weather / f"{GOOD[1]}.epw.gz", folder / f"{GOOD[0]}.epw.gz")
            yield run_block(block)

    monkeypatch.setattr(sweep_command, "run_here", replaced)
    assert run(*sweep(out, folder)).exit_code == ExitCode.PARTIAL
    found = open_result(out)
    assert (found["status"] == int(Status.UNREACHABLE)).sum() == 1
    assert "not the one that the sweep was planned with" in str(found["reason"].to_numpy())
