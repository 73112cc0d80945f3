"""A TypeScript client made from the API description: its types hold, and it gets its answer."""

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from flask import Flask

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from tests.browser import tool
from tests.live import listening

HERE = Path(__file__).parent / "typescript"


def installed_modules() -> Path:
    """Return the folder of what package-lock.json names, installed by ``npm ci``."""
    named = os.environ.get("TYPESCRIPT_CLIENT_MODULES")
    modules = Path(named) if named else HERE / "node_modules"
    if not modules.is_dir():
        said = f"run npm ci --prefix {HERE} first (see .ci/run)"
        # At home a person may do without node; CI may not.
        pytest.fail(said) if os.environ.get("TESTS_NEED_ALL_TOOLS") else pytest.skip(said)
    return modules


def run(*command: str | Path, folder: Path) -> str:
    done = subprocess.run(
        command, cwd=folder, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app(Settings())


def test_its_types_hold_and_its_script_is_answered(
    app: Flask, checkout: Path, tmp_path: Path
) -> None:
    modules, node = installed_modules(), tool("node")
    for name in ("package.json", "tsconfig.json", "ask.ts"):
        shutil.copy(HERE / name, tmp_path)
    (tmp_path / "node_modules").symlink_to(modules)
    description = checkout / "openapi" / "openapi.json"
    maker = modules / "openapi-typescript" / "bin" / "cli.js"
    # A field that has a default may be left out of a request.
    options = ("--default-non-nullable=false", "-o", "schema.d.ts")
    run(node, maker, description, *options, folder=tmp_path)
    run(node, modules / "typescript" / "bin" / "tsc", folder=tmp_path)
    call = "import('./out/ask.js').then(m => m.ask(process.argv[1])).then(console.log)"
    with listening(app) as address:
        said = run(node, "-e", call, address, folder=tmp_path)
    assert re.fullmatch(
        r"(holds|narrowly|fails); basin_desert_kelpanoor; cabin at most \d\d\.\d{3}\n", said
    )


def test_the_lock_file_has_a_digest_of_every_package() -> None:
    lock = json.loads((HERE / "package-lock.json").read_text(encoding="utf-8"))
    packages = {name: each for name, each in lock["packages"].items() if name}
    assert len(packages) > 20
    assert [name for name, each in packages.items() if "integrity" not in each] == []
