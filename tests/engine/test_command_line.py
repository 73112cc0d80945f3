"""The one command: its table agrees with what it loads, and listing it loads nothing."""

import json
import os
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from noonhold import samples
from noonhold.command_line import LazyCommand, command_group, installed_commands

COMMANDS = installed_commands()


@pytest.mark.parametrize("each", COMMANDS, ids=lambda each: each.name)
def test_every_entry_loads_the_command_of_its_name(each: LazyCommand) -> None:
    loaded = each.load()
    assert isinstance(loaded, click.Command)
    assert loaded.name == each.name
    assert loaded.help


@pytest.mark.parametrize("each", COMMANDS, ids=lambda each: each.name)
def test_the_list_of_commands_says_what_the_command_says(each: LazyCommand) -> None:
    loaded = each.load()
    assert each.short_help == loaded.get_short_help_str(limit=200)
    assert each.short_help.endswith(".")
    assert len(each.short_help) <= 60


def test_names_are_unique_and_all_are_listed() -> None:
    names = [each.name for each in COMMANDS]
    assert len(set(names)) == len(names)
    shown = CliRunner().invoke(command_group(), ["--help"])
    assert shown.exit_code == 0
    for each in COMMANDS:
        assert each.name in shown.output
    assert CliRunner().invoke(command_group(), ["swep"]).exit_code == 2


def test_it_runs_as_a_module_and_knows_its_version() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "noonhold", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"noonhold, version {version('noonhold')}\n"


def test_a_shell_can_complete_it() -> None:
    code = "from noonhold.command_line import main; main()"
    for shell in ("bash", "zsh", "fish"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "_NOONHOLD_COMPLETE": f"{shell}_source"},
            capture_output=True,
            text=True,
            check=shell != "bash",  # bash itself is asked for its version
        )
        if done.returncode == 0:
            assert "noonhold" in done.stdout
    asked = {"_NOONHOLD_COMPLETE": "fish_complete", "COMP_WORDS": "noonhold sw", "COMP_CWORD": "sw"}
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, **asked},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "sweep" in done.stdout


def test_the_samples_are_listed_and_copied(tmp_path: Path) -> None:
    listed = CliRunner().invoke(command_group(), ["samples"])
    assert listed.output.split() == [*samples.rigs(), *samples.stations()]
    copied = CliRunner().invoke(command_group(), ["samples", "--to", str(tmp_path)])
    assert copied.exit_code == 0
    assert copied.output == f"{tmp_path}: 3 rigs, 24 stations\n"
    assert sorted(path.name for path in (tmp_path / "rigs").iterdir()) == [
        f"{name}.json" for name in samples.rigs()
    ]
    assert len(list((tmp_path / "weather").glob("*.epw.gz"))) == 24
    again = CliRunner().invoke(command_group(), ["samples", "--to", str(tmp_path)])
    assert again.exit_code == 2
    assert "27 of the files are there already" in again.output


def test_the_log_of_a_logger_is_written_for_a_calibration(tmp_path: Path, checkout: Path) -> None:
    source = checkout / "docs" / "field_test" / "teardrop_yard.csv"
    told = tmp_path / "log.json"
    command = command_group()
    options = [
        "--timezone",
        "Etc/GMT+8",
        "--column",
        "Probe 1=cabin_temperature",
        "--out",
        str(told),
    ]
    missing = CliRunner().invoke(command, ["log", str(source), *options])
    assert missing.exit_code == 2
    assert "outdoor_temperature" in missing.stderr
    assert not told.exists()
    options += ["--column", "Probe 2=outdoor_temperature"]
    done = CliRunner().invoke(command, ["log", str(source), *options])
    assert done.exit_code == 0, done.stderr
    assert "480 rows" in done.stderr
    log = json.loads(told.read_text())
    assert log["times"][0] == "2026-01-20T18:05:00-08:00"
    assert len(log["columns"]["cabin_temperature"]) == 480
