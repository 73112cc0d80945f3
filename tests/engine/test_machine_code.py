import os
from pathlib import Path

import pytest

from engine.machine_code import VARIABLE, compiled_code_folder, keep_compiled_code_apart


def checkout_at(folder: Path) -> Path:
    (folder / "engine" / "weather").mkdir(parents=True)
    (folder / "pyproject.toml").touch()
    return folder


def test_machine_code_is_kept_apart_for_every_state_of_the_engine(tmp_path: Path) -> None:
    callee = checkout_at(tmp_path) / "engine" / "weather" / "callee.py"
    callee.write_text("GAS_CONSTANT = 8.3\n")
    before = compiled_code_folder(tmp_path)
    assert compiled_code_folder(tmp_path) == before
    callee.write_text("GAS_CONSTANT = 8.4\n")
    assert compiled_code_folder(tmp_path) != before


def test_old_caches_are_dropped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "restored after the test")
    monkeypatch.delenv(VARIABLE)
    old = checkout_at(tmp_path) / ".numba_cache" / "old"
    old.mkdir(parents=True)
    os.utime(old, (0, 0))
    folder = keep_compiled_code_apart(tmp_path)
    assert folder is not None and folder.is_dir() and not old.exists()
    assert os.environ[VARIABLE] == str(folder)


def test_a_named_cache_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "elsewhere")
    assert keep_compiled_code_apart(checkout_at(tmp_path)) is None
    assert os.environ[VARIABLE] == "elsewhere"


def test_an_installation_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "restored after the test")
    monkeypatch.delenv(VARIABLE)
    assert keep_compiled_code_apart(tmp_path) is None
    assert VARIABLE not in os.environ
