"""Invented scenarios for the studies: the sample rigs at the sample stations."""

import json
from pathlib import Path
from typing import Any

from noonhold.documents import Loaded, load_rig
from noonhold.rig import Rig
from noonhold.weather.catalogue import Catalogue, scan
from tests.rig_files import rig_path

EXAMPLES = Path(__file__).parent / "examples"
CHECKOUT = Path(__file__).resolve().parents[3]


def example(name: str) -> dict[str, Any]:
    """Return an example request."""
    found: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text())
    return found


def sample_rig(name: str) -> Loaded[Rig] | None:
    """Return a sample rig by its identifier, as a service would."""
    path = rig_path(name)
    return load_rig(json.loads(path.read_text()), ("rig",)) if path.is_file() else None


def sample_stations() -> Catalogue:
    """Return the catalogue of the sample stations."""
    return scan(CHECKOUT / "sample_weather")
