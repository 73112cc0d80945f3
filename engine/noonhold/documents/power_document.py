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
from noonhold.rig import (
    Aim,
    Battery,
    BatteryPoint,
    Charging,
    Controller,
    Load,
    Mount,
    Obstacle,
    SolarArray,
    Thermostatic,
)

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


class BatteryPointSchema(DocumentSchema):
    """What the battery has at a temperature, over what it has at its rating."""

    target = BatteryPoint

    temperature_c = Number("temperature_c", required=True)
    capacity_ratio = Number("capacity_ratio", upper=1.0, default=1.0, reason="all of its energy")
    efficiency_ratio = Number(
        "efficiency_ratio",
        description="Charge and discharge efficiency over those at its rating.",
        upper=1.0,
        default=1.0,
        reason="its rated efficiencies",
    )


class BatterySchema(DocumentSchema):
    """The house battery as an energy store."""

    target = Battery

    usable_energy_wh = Number("usable_energy_wh", required=True)
    charge_efficiency = Number("charge_efficiency", default=0.97, reason=LITHIUM)
    discharge_efficiency = Number("discharge_efficiency", default=0.97, reason=LITHIUM)
    max_charge_w = Number("max_charge_w", reason=NO_LIMIT)
    max_discharge_w = Number("max_discharge_w", reason=NO_LIMIT)
    charge_c_rate = Number("charge_c_rate")
    discharge_c_rate = Number("discharge_c_rate")
    taper_from_fraction = Number(
        "taper_from_fraction", default=1.0, reason="it takes its charging limit until it is full"
    )
    by_temperature = Items(
        Part(BatteryPointSchema),
        "Capacity and efficiency by its temperature, from cold to warm; linear between.",
        most=40,
    )
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
        limits = {"max_charge_w", "charge_c_rate"}
        if given.get("taper_from_fraction", 1.0) != 1.0 and not limits & given.keys():
            problems.add(
                "taper_from_fraction",
                "tapers a charging limit, and none is given",
                "max_charge_w or charge_c_rate",
            )
        before = float("-inf")
        for index, point in enumerate(data.get("by_temperature", ())):
            here = (point or {}).get("temperature_c", before)
            if index and here <= before:
                problems.add(
                    ("by_temperature", index, "temperature_c"),
                    "must rise from point to point",
                    f"value > {before:.10g} degC",
                )
            before = here
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


class ObstacleSchema(DocumentSchema):
    """A raised part of the rig, as a hood, a hatch or a rack, beside a fixed array."""

    target = Obstacle

    name = Text("What it is.", required=True)
    right_m = Number("right_m", required=True)
    front_m = Number("front_m", required=True)
    width_m = Number("width_m", description="Across the rig.", required=True)
    length_m = Number("length_m", description="Along the rig.", required=True)
    height_m = Number("height_m", description="Above the array's plane.", required=True)
    hours = Items(
        Part(HoursSchema), "When it is up.", least=1, most=48, default=missing, reason="always"
    )


class ArraySchema(DocumentSchema):
    """A photovoltaic array, fixed to the rig or set out beside it."""

    target = SolarArray

    name = Text("Unique array name.", required=True)
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
    soiling_fraction = Number(
        "soiling_fraction", default=0.0, reason="the system loss holds a clean array's dirt"
    )
    width_m = Number("width_m", description="Across the rig; needed where it has obstacles.")
    length_m = Number("length_m", description="Along the rig; needed where it has obstacles.")
    obstacles = Items(
        Part(ObstacleSchema), "The rig's own raised parts that may shade it.", most=12
    )
    bypass_strips = Number("bypass_strips", whole=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require aims of a set-out array, angles of a fixed one, an area of one that shades."""
        folding = data.get("folding")
        if folding:
            if not given.get("aims"):
                problems.add("aims", "a set-out array needs at least one aim")
            for name in ("tilt_deg", "azimuth_from_front_deg", "shades_panel", "obstacles"):
                if name in given:
                    problems.add(name, "not allowed for a set-out array")
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
        _check_obstacles(given, problems)
        if "shades_panel" in given and "area_m2" not in given:
            problems.add("area_m2", "required where the array shades a panel")

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Lay a fixed array flat whose angles are not given."""
        if not data["folding"]:
            if "tilt_deg" not in data:
                yield "tilt_deg", 0.0, "it lies flat"
            if "azimuth_from_front_deg" not in data:
                yield "azimuth_from_front_deg", 0.0, "it looks to the front"
        if data.get("obstacles") and "bypass_strips" not in data:
            yield "bypass_strips", 3, "three bypass diodes to a module, common practice, no source"

    def dumped(self, data: dict[str, Any], source: SolarArray) -> dict[str, Any]:
        """Leave out what an array of its kind does not have."""
        absent: dict[str, object] = {"controller": "", "shades_panel": "", "area_m2": 0.0}
        if not source.obstacles:
            absent |= {"width_m": 0.0, "length_m": 0.0, "bypass_strips": 3}
        if source.folding:
            absent |= {"tilt_deg": 0.0, "azimuth_from_front_deg": 0.0}
        return {k: v for k, v in data.items() if k not in absent or v != absent[k]}


def _check_obstacles(given: Mapping[str, Any], problems: Problems) -> None:
    """Ask for the size of an array that may be shaded, and for none of another."""
    if given.get("obstacles"):
        for name in ("width_m", "length_m"):
            if name not in given:
                problems.add(name, "required where the array has obstacles")
    else:
        for name in ("width_m", "length_m", "bypass_strips"):
            if name in given:
                problems.add(name, "acts only with obstacles", "left out")


class ControllerSchema(DocumentSchema):
    """A charge controller."""

    target = Controller

    name = Text("Unique controller name.", required=True)
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


def check_span(data: Mapping[str, Any], problems: Problems, path: Path = ()) -> None:
    """Note a span of the clock that begins where it ends."""
    start, end = data.get("from_hour"), data.get("to_hour")
    if start is not None and start == end:
        hint = "the end of the day is 24:00" if end == 0.0 else None
        problems.add((*path, "to"), "a span cannot end where it begins", "to is not from", hint)


class ThermostaticSchema(DocumentSchema):
    """A load that follows the temperature around it, as a refrigerator does."""

    target = Thermostatic

    rated_ambient_c = Number(
        "rated_ambient_c", default=25.0, reason="the test room of EN 62552 (ISO 15502), from memory"
    )
    inside_c = Number(
        "inside_c",
        description="Mean temperature that it keeps; with a freezer about -5.",
        default=4.0,
        reason="a refrigerator without freezer, IEC 62552, from memory",
    )
    constant_fraction = Number(
        "constant_fraction", default=0.0, reason="all of its power follows the temperature"
    )
    most_power_w = Number("most_power_w", reason=NO_LIMIT)
    in_cabin = Flag(
        "Whether the cabin's air is around it, or the outdoors.",
        default=True,
        reason="it stands in the cabin",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for an inside well below the room that it was rated in."""
        inside, rated = data.get("inside_c"), data.get("rated_ambient_c")
        if inside is not None and rated is not None and inside > rated - 1.0:
            problems.add(
                "inside_c", "must be below rated_ambient_c", f"value <= {rated - 1.0:.10g} degC"
            )


class LoadSchema(DocumentSchema):
    """A house load."""

    target = Load

    name = Text("Unique load name.", required=True)
    power_w = Number("power_w", required=True)
    hours = Items(
        Part(HoursSchema), "When it is on.", least=1, most=48, default=missing, reason="all day"
    )
    heat_to_cabin_fraction = Number(
        "heat_to_cabin_fraction", default=1.0, reason="all of its power stays in the cabin"
    )
    radiant_fraction = Number("radiant_fraction", default=0.0, reason="it heats the air only")
    thermostatic = Part(ThermostaticSchema, "For a load that follows the temperature around it.")
