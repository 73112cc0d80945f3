"""The state at the first moment as a document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from noonhold.documents.fields import Number
from noonhold.documents.schema import (
    DocumentSchema,
    Loaded,
    Path,
    Problems,
    dump_value,
    load_value,
)
from noonhold.scenario import Start


class StartTemperature(Number):
    """A number, or how the cabin's temperature is found."""

    def __init__(self) -> None:
        super().__init__(
            "cabin_temperature_c",
            description="Cabin and shell at the first moment: a number, the outdoor air's, or "
            "settled by the days before.",
            lower=-50.0,
            upper=80.0,
            words=("outdoor", "settled"),
            default="outdoor",
            reason="the cabin begins at the outdoor air's temperature",
        )


class StartSchema(DocumentSchema):
    """The state at the first moment."""

    target = Start

    state_of_charge = Number(
        "state_of_charge",
        description="Charge over usable at the first moment: a number, or settled, the charge with"
        " which a described day repeats, and on a stretch of a typical year the one carried"
        " through the days that settle the cabin, full at their beginning.",
        words=("settled",),
        required=True,
    )
    cabin_temperature_c = StartTemperature()
    spin_up_days = Number("spin_up_days", whole=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require settled days only where the cabin is settled."""
        temperature = data.get("cabin_temperature_c", "outdoor")
        if data.get("state_of_charge") == "settled" and temperature != "settled":
            problems.add("state_of_charge", "'settled' goes only with a cabin that is 'settled'")
        if "spin_up_days" in given and data.get("cabin_temperature_c", "settled") != "settled":
            problems.add("spin_up_days", "goes only with cabin_temperature_c 'settled'")

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Settle over three days where no number is given."""
        if data["cabin_temperature_c"] == "settled" and "spin_up_days" not in data:
            yield "spin_up_days", 3, "a light cabin forgets its start in less, from memory"

    def build(self, data: dict[str, Any]) -> Start:
        """Make the start, where words become an absent temperature."""
        temperature = data["cabin_temperature_c"]
        return Start(
            None if data["state_of_charge"] == "settled" else data["state_of_charge"],
            None if isinstance(temperature, str) else temperature,
            data.get("spin_up_days", 0),
        )

    def dumped(self, data: dict[str, Any], source: Start) -> dict[str, Any]:
        """Write an absent temperature as its word."""
        if source.state_of_charge is None:
            data = {**data, "state_of_charge": "settled"}
        if source.spin_up_days:
            return {**data, "cabin_temperature_c": "settled"}
        word = "outdoor" if source.cabin_temperature_c is None else source.cabin_temperature_c
        return {"state_of_charge": source.state_of_charge, "cabin_temperature_c": word}


def load_start(document: object, root: Path = ()) -> Loaded[Start]:
    """Read a start; see `rig_document.load_rig` for arguments and faults."""
    return load_value(_START, document, root)


def dump_start(start: Start) -> dict[str, Any]:
    """Return the document of a start."""
    return dump_value(_START, start)


_START: Final = StartSchema()
