"""Draw the two pictures of README.md anew: ``python docs/draw.py``, about two minutes.

They are what the README's own commands give: the day of its request to the service, and the map
of its sweep over the sample region. Draw them when numbers change; a test compares them with the
committed answer.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings

ROOT = Path(__file__).resolve().parents[1]
REQUEST = ROOT / "openapi" / "examples" / "typical_day.request.json"
RIG = ROOT / "sample_rigs" / "flatbed_cabin.json"
DAY, REGION = ROOT / "docs" / "day.png", ROOT / "docs" / "region.png"


def draw_day() -> None:
    """Ask the service for a picture of the README's day."""
    client = create_app(Settings()).test_client()
    headers = {"Accept": "image/png", "Content-Type": "application/json"}
    answer = client.post("/v1/projections", data=REQUEST.read_bytes(), headers=headers)
    if answer.status_code != 200:
        raise SystemExit(answer.text)
    DAY.write_bytes(answer.data)


def draw_region() -> None:
    """Sweep the sample region and draw its map, as a user does."""
    with tempfile.TemporaryDirectory() as folder:
        result = str(Path(folder) / "flatbed.zarr")
        weather = str(ROOT / "sample_weather")
        noonhold("sweep", "--rig", str(RIG), "--weather", weather, "--out", result)
        noonhold("map", result, "--days", "3", "--out", str(REGION))


def noonhold(*arguments: str) -> None:
    """Run a command."""
    subprocess.run([sys.executable, "-m", "noonhold", *arguments], cwd=ROOT, check=True)  # noqa: S603 - our own


if __name__ == "__main__":
    draw_day()
    draw_region()
