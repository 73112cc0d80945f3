"""Rig documents by name: the sample rigs, and the cabin that only tests run."""

from pathlib import Path

_CHECKOUT = Path(__file__).resolve().parents[1]


def rig_path(stem: str) -> Path:
    """Return the file of a sample rig, or of a rig under ``tests/data/rigs``."""
    own = _CHECKOUT / "tests" / "data" / "rigs" / f"{stem}.json"
    return own if own.is_file() else _CHECKOUT / "sample_rigs" / f"{stem}.json"
