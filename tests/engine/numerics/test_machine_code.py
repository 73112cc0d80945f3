import os
import sys
from pathlib import Path

import pytest

from noonhold.numerics import machine_code
from noonhold.numerics.machine_code import (
    VARIABLE,
    compiled_code_folder,
    set_compiled_code_folder,
    sources_digest,
)


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a small library, with a user's cache folder of its own."""
    monkeypatch.setattr(machine_code, "user_cache_path", lambda name: tmp_path / "cache" / name)
    monkeypatch.setenv(VARIABLE, "restored after the test")
    monkeypatch.delenv(VARIABLE)
    monkeypatch.delitem(sys.modules, "numba", raising=False)
    (tmp_path / "library" / "weather").mkdir(parents=True)
    (tmp_path / "library" / "weather" / "callee.py").write_text("GAS_CONSTANT = 8.3\n")
    return tmp_path / "library"


def test_every_state_of_the_sources_has_a_cache_of_its_own(library: Path) -> None:
    before = compiled_code_folder(library)
    assert compiled_code_folder(library) == before
    (library / "weather" / "callee.py").write_text("GAS_CONSTANT = 8.4\n")
    assert compiled_code_folder(library) != before


def test_the_digest_does_not_depend_on_where_the_library_is(library: Path) -> None:
    before = sources_digest(library)
    assert sources_digest(library.rename(library.with_name("elsewhere"))) == before


def test_caches_not_used_for_long_are_removed(library: Path) -> None:
    old = compiled_code_folder(library).with_name("old")
    old.mkdir(parents=True)
    os.utime(old, (0, 0))
    folder = set_compiled_code_folder(library)
    assert folder is not None and folder.is_dir() and not old.exists()
    assert os.environ[VARIABLE] == str(folder)


def test_a_named_cache_is_left_alone(library: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "elsewhere")
    assert set_compiled_code_folder(library) is None
    assert os.environ[VARIABLE] == "elsewhere"


def test_after_numba_was_imported_nothing_is_changed(
    library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "numba", sys)
    assert set_compiled_code_folder(library) is None
    assert VARIABLE not in os.environ
