"""Battery, arrays, controllers, charging and loads in a rig document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from marshmallow import missing

from noonhold.documents.fields import (
    Choice,
    Clock,
    Described,
    Flag,
    Items,
    Number,
    Part,
    Text,
    refuse,
)
from noonhold.documents.schema import DocumentSchema, Path, Problems
from noonhold.quantities import bound_text, quantity
from noonhold.rig import Aim, Battery, Charging, Controller, Load, Mount, SolarArray

LITHIUM = "lithium iron phosphate, from memory"
NO_LIMIT = "no limit is given"


class Range(Described):
    """A lower and an upper number as a list of two."""

    def __init__(self, name: str, default: tuple[float, float], reason: str) -> None:
        self.number = Number(name)
        self.span = quantity(name)
        metadata = {
            "type": "array",
            "items": {
                "type": "number",
                "minimum": self.span.lower,
                "maximum": self.span.upper,
            },
            "minItems": 2,
            "maxItems": 2,
            "description": f"{self.span.description} [{self.span.unit}]",
        }
        super().__init__(default=default, reason=reason, metadata=metadata)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        bound = bound_text(self.span.lower, self.span.upper, self.span.unit)
        if not isinstance(value, list) or len(value) != 2:
            raise refuse("must be a list of two numbers, the lower first", bound)
        low, high = (self.number.checked(each) for each in value)
        if low >= high:
            raise refuse("the lower number must come first", bound)
        return low, high

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else list(value)


class BatterySchema(DocumentSchema):
    """The house battery as an energy store."""

    target = Battery

    usable_energy_wh = Number("usable_energy_wh", required=True)
    charge_efficiency = Number("charge_efficiency", default=0.97, reason=LITHIUM)
    discharge_efficiency = Number("discharge_efficiency", default=0.97, reason=LITHIUM)
    max_charge_w = Number("max_charge_w", reason=NO_LIMIT)
    max_discharge_w = Number("max_discharge_w", reason=NO_LIMIT)
    reserve_fraction = Number("reserve_fraction", default=0.1, reason="common practice, no source")
    recovery_fraction = Number(
        "recovery_fraction", default=0.05, reason="common practice, no source"
    )
    charge_temperature_c = Range("charge_temperature_c", (0.0, 45.0), LITHIUM)
    discharge_temperature_c = Range("discharge_temperature_c", (-20.0, 60.0), LITHIUM)
    in_cabin = Flag(
        "Whether it stands in the cabin and has its temperature.",
        default=True,
        reason="it stands in the cabin",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Make sure that the cooler can come back."""
        reserve = data.get("reserve_fraction", 0.0)
        if reserve + data.get("recovery_fraction", 0.0) > 1.0:
            problems.add(
                "recovery_fraction",
                "with reserve_fraction asks for more than a full battery",
                f"value <= {1.0 - reserve:.10g}",
            )


class AimSchema(DocumentSchema):
    """Where a set-out array looks from an hour on."""

    target = Aim

    from_hour = Clock("From this hour on.", key="from", required=True)
    tilt_deg = Number("tilt_deg", required=True)
    azimuth_deg = Number("azimuth_deg", required=True)


class ArraySchema(DocumentSchema):
    """A photovoltaic array, fixed to the rig or set out beside it."""

    target = SolarArray

    name = Text("Its name, unlike every other array's.", required=True)
    rated_power_w = Number("rated_power_w", required=True)
    mount = Choice(Mount, "How air reaches its back.", required=True)
    tilt_deg = Number("tilt_deg")
    azimuth_from_front_deg = Number("azimuth_from_front_deg")
    folding = Flag("Whether it is set out on the ground.", default=False, reason="fixed to the rig")
    aims = Items(Part(AimSchema), "Where a set-out array looks, by hour.", most=24)
    mirrored_south = Flag(
        "Whether aims written for the north are mirrored (180 less the azimuth) in the south.",
        default=False,
        reason="it looks where its aims say",
    )
    temperature_coefficient_per_k = Number(
        "temperature_coefficient_per_k", default=-0.0035, reason="crystalline silicon, from memory"
    )
    system_loss_fraction = Number(
        "system_loss_fraction", default=0.1, reason="soiling, wiring, mismatch, from memory"
    )
    controller = Text("Name of its controller.", reason="none: no limit and no loss")
    shades_panel = Text("Name of the panel that it shades.")
    area_m2 = Number("area_m2", description="Needed where it shades a panel.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask aims of a set-out array, angles of a fixed one, an area of one that shades."""
        folding = data.get("folding")
        if folding:
            if not given.get("aims"):
                problems.add("aims", "a set-out array needs at least one aim")
            for name in ("tilt_deg", "azimuth_from_front_deg", "shades_panel"):
                if name in given:
                    problems.add(name, "does not go with a set-out array")
        elif folding is False:
            if given.get("aims"):
                problems.add("aims", "only a set-out array (folding) can be aimed")
            if given.get("mirrored_south"):
                problems.add("mirrored_south", "only a set-out array (folding) has aims to mirror")
        hours = [(aim or {}).get("from_hour") for aim in data.get("aims", ())]
        for index in range(1, len(hours)):
            before, here = hours[index - 1], hours[index]
            if before is not None and here is not None and here <= before:
                problems.add(("aims", index, "from"), "aims must follow each other in the day")
        if "shades_panel" in given and "area_m2" not in given:
            problems.add("area_m2", "is needed where the array shades a panel")

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Lay a fixed array flat whose angles are not given."""
        if not data["folding"]:
            if "tilt_deg" not in data:
                yield "tilt_deg", 0.0, "it lies flat"
            if "azimuth_from_front_deg" not in data:
                yield "azimuth_from_front_deg", 0.0, "it looks to the front"

    def dumped(self, data: dict[str, Any], source: SolarArray) -> dict[str, Any]:
        """Leave out what an array of its kind does not have."""
        absent = {"controller": "", "shades_panel": "", "area_m2": 0.0}
        if source.folding:
            absent |= {"tilt_deg": 0.0, "azimuth_from_front_deg": 0.0}
        return {k: v for k, v in data.items() if k not in absent or v != absent[k]}


class ControllerSchema(DocumentSchema):
    """A charge controller."""

    target = Controller

    name = Text("Its name, unlike every other controller's.", required=True)
    max_power_w = Number("max_power_w", required=True)
    efficiency = Number("efficiency", default=0.97, reason="a tracking controller, from memory")


class ChargingSchema(DocumentSchema):
    """Other sources of charge."""

    target = Charging

    alternator_w = Number("alternator_w", default=0.0, reason="no alternator charging is given")
    shore_power_w = Number(
        "shore_power_w",
        description="Power available where shore is switched on.",
        default=0.0,
        reason="no shore power is given",
    )


class HoursSchema(DocumentSchema):
    """A span of the clock; may pass midnight."""

    from_hour = Clock("Start.", key="from", required=True)
    to_hour = Clock("End; 24:00 for the end of the day.", end=True, key="to", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for a span that has a length."""
        check_span(data, problems)

    def build(self, data: dict[str, Any]) -> tuple[float, float]:
        """Make the pair of hours."""
        return data["from_hour"], data["to_hour"]

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read a pair of hours as if it had names."""
        if isinstance(obj, tuple):
            return obj[0 if attr == "from_hour" else 1]
        return super().get_attribute(obj, attr, default)


def check_span(data: Mapping[str, Any], problems: Problems, path: Path = ()) -> None:
    """Note a span of the clock that begins where it ends."""
    start, end = data.get("from_hour"), data.get("to_hour")
    if start is not None and start == end:
        hint = "the end of the day is 24:00" if end == 0.0 else None
        problems.add((*path, "to"), "a span cannot end where it begins", "to is not from", hint)


class LoadSchema(DocumentSchema):
    """A house load."""

    target = Load

    name = Text("Its name, unlike every other load's.", required=True)
    power_w = Number("power_w", required=True)
    hours = Items(
        Part(HoursSchema), "When it is on.", least=1, most=48, default=missing, reason="all day"
    )
    heat_to_cabin_fraction = Number(
        "heat_to_cabin_fraction", default=1.0, reason="all of its power stays in the cabin"
    )
    radiant_fraction = Number("radiant_fraction", default=0.0, reason="it heats the air only")
