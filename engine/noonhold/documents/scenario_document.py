"""Place, operation and comfort as documents."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from noonhold.documents.fields import (
    Choice,
    Clock,
    Flag,
    Items,
    Number,
    Part,
    Text,
    refuse,
)
from noonhold.documents.power_document import HoursSchema, check_span
from noonhold.documents.schema import (
    DocumentSchema,
    Loaded,
    Path,
    Problems,
    dump_value,
    load_value,
)
from noonhold.envelope.ground_surface import GROUND_SURFACES
from noonhold.rig import Policy
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    CoverState,
    Ground,
    Operation,
    Place,
    Setting,
    Shade,
    Span,
    Terrain,
)

SEATED = "seated, very light work: ASHRAE Fundamentals 2021, ch. 18, table 1"
ISO_7730 = "used by pmv only; ISO 7730 summer example, from memory"
CLOCK_FIELDS = ("from_hour", "to_hour")


class TimeZone(Text):
    """A name of the IANA time zone database."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        name = super()._deserialize(value, attr, data, **kwargs)
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            # A folder of the database, such as America, raises an OSError.
            raise refuse(
                "is no name of the IANA time zone database", "for example America/Denver"
            ) from None
        return name


class ShadeSchema(DocumentSchema):
    """Shade that stands at the place from one hour to another."""

    target = Shade

    from_hour = Clock("Start.", key="from", required=True)
    to_hour = Clock("End; 24:00 for the end of the day.", end=True, key="to", required=True)
    beam_blocked = Number("beam_blocked", required=True)
    diffuse_blocked = Number("diffuse_blocked", required=True)
    applies_to = Items(
        Text("'cabin', 'ground', 'arrays' or the name of an array."),
        "What it falls on; what falls on the cabin falls on the ground around it, too.",
        least=1,
        most=40,
        default=lambda: ["cabin", "arrays"],
        reason="it falls on everything",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Validate that the span has a length."""
        check_span(data, problems)


class HorizonSchema(DocumentSchema):
    """One point of the far horizon."""

    azimuth_deg = Number("azimuth_deg", required=True)
    elevation_deg = Number("elevation_deg", required=True)

    def build(self, data: dict[str, Any]) -> tuple[float, float]:
        """Make the pair of angles."""
        return data["azimuth_deg"], data["elevation_deg"]

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read a pair of angles as if it had names."""
        if isinstance(obj, tuple):
            return obj[0 if attr == "azimuth_deg" else 1]
        return super().get_attribute(obj, attr, default)


class PlaceSchema(DocumentSchema):
    """Where the rig stands."""

    target = Place

    latitude = Number("latitude", required=True)
    longitude = Number("longitude", required=True)
    elevation_m = Number("elevation_m", required=True)
    timezone = TimeZone(
        "IANA name; its legal time is the clock of the operation.",
        reason="the clock is the standard time of the weather",
        example="America/Denver",
    )
    heading_deg = Number("heading_deg", default=0.0, reason="the front looks north")
    ground = Choice(
        Ground,
        "What the rig stands on: sets its temperature by sun, sky and wind, and what it reflects. "
        "air_temperature computes none and keeps the underside dark, as standard cases have it.",
        default=Ground.SOIL,
        reason="dry bare ground; pavement is hotter, green grass cooler",
    )
    ground_albedo = Number("ground_albedo")
    ground_emittance = Number("ground_emittance")
    ground_thermal_inertia_j_m2ks05 = Number("ground_thermal_inertia_j_m2ks05")
    ground_evaporation_resistance_s_m = Number("ground_evaporation_resistance_s_m")
    terrain = Choice(
        Terrain, "Roughness of the ground around.", default=Terrain.OPEN, reason="open ground"
    )
    shade = Items(Part(ShadeSchema), "Shade of the place, by hour.", most=96)
    horizon = Items(Part(HorizonSchema), "The far horizon, by rising azimuth.", most=720)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for a horizon in order, and for a ground whose temperature is computed."""
        if data.get("ground") is Ground.AIR_TEMPERATURE:
            for name in _OF_THE_BALANCE:
                if name in given:
                    problems.add(name, "does not go with ground air_temperature")
        azimuths = [(point or {}).get("azimuth_deg") for point in data.get("horizon", ())]
        for index in range(1, len(azimuths)):
            before, here = azimuths[index - 1], azimuths[index]
            if before is not None and here is not None and here <= before:
                problems.add(
                    ("horizon", index, "azimuth_deg"),
                    "must rise from point to point",
                    f"value > {before:.10g} degree",
                )
        if len(azimuths) > 1 and azimuths[0] == 0.0 and azimuths[-1] == 360.0:
            problems.add(
                ("horizon", len(azimuths) - 1, "azimuth_deg"), "360 is 0, which is there already"
            )

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Take what is not stated of the ground from the table of grounds."""
        named = GROUND_SURFACES[data["ground"]]
        if "ground_albedo" not in data:
            yield "ground_albedo", named.albedo, named.source
        if data["ground"] is Ground.AIR_TEMPERATURE:
            return
        if "ground_emittance" not in data:
            yield "ground_emittance", named.emittance, named.source
        if "ground_thermal_inertia_j_m2ks05" not in data:
            yield "ground_thermal_inertia_j_m2ks05", named.thermal_inertia, named.source
        wet = math.isfinite(named.evaporation_resistance_s_m)
        if "ground_evaporation_resistance_s_m" not in data and wet:
            name = "ground_evaporation_resistance_s_m"
            yield name, named.evaporation_resistance_s_m, named.source


class SettingSchema(DocumentSchema):
    """What a span of the clock or an event of a log changes."""

    set_point_c = Number("set_point_c")
    heating_set_point_c = Number("heating_set_point_c")
    policy = Choice(Policy, "Which stages may run.")
    driving_speed_km_h = Number("driving_speed_km_h")
    covers = Choice(CoverState, "Which window covers are drawn.")
    vents_open = Flag("Whether the vents are open.")
    occupants = Number("occupants")
    deployed = Flag("Whether set-out arrays and awnings are out.")
    shore = Flag("Whether shore power is connected.")


class SpanSchema(SettingSchema):
    """What changes from one hour of the clock to another."""

    class Meta(DocumentSchema.Meta):
        """The hours stand first."""

        fields = ("from_hour", "to_hour", *Setting.__dataclass_fields__)

    from_hour = Clock("Start.", key="from", required=True)
    to_hour = Clock("End; 24:00 for the end of the day.", end=True, key="to", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require a length and something that changes."""
        check_span(data, problems)
        if set(given) <= {"from", "to"}:
            problems.add((), "a span must change something", "any of " + ", ".join(_SETTINGS))

    def build(self, data: dict[str, Any]) -> Span:
        """Make the span and its setting."""
        setting = Setting(**{k: v for k, v in data.items() if k not in CLOCK_FIELDS})
        return Span(data["from_hour"], data["to_hour"], setting)

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        """Read a span's setting as if its fields were the span's."""
        source = obj.setting if isinstance(obj, Span) and attr not in CLOCK_FIELDS else obj
        return super().get_attribute(source, attr, default)


class OperationSchema(DocumentSchema):
    """What is done over a day of the clock; later spans overrule earlier ones."""

    target = Operation

    set_point_c = Number("set_point_c", required=True)
    policy = Choice(
        Policy,
        "Which stages may run.",
        default=Policy.LOW_THEN_HIGH,
        reason="every stage may run, the lowest first",
    )
    cooling_window = Part(HoursSchema, "When the cooler may run; otherwise it is off.")
    heating_set_point_c = Number("heating_set_point_c")
    set_out = Part(
        HoursSchema,
        "When set-out arrays stand outside, unless a span says whether they are deployed.",
    )
    spans = Items(Part(SpanSchema), "Changes by the clock.")
    fresh_air_m3_h_per_occupant = Number(
        "fresh_air_m3_h_per_occupant", default=0.0, reason="no fresh air beside the leakage"
    )
    sensible_w_per_occupant = Number("sensible_w_per_occupant", default=70.0, reason=SEATED)
    latent_w_per_occupant = Number("latent_w_per_occupant", default=45.0, reason=SEATED)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require that heating never aims above cooling, at any hour."""
        spans = [span or {} for span in data.get("spans", ())]
        hours = {0.0} | {
            span[edge] % 24.0 for span in spans for edge in CLOCK_FIELDS if edge in span
        }
        reported: set[Path] = set()
        for hour in sorted(hours):
            active = {"heating_set_point_c": data, "set_point_c": data}
            places: dict[str, Path] = dict.fromkeys(active, ())
            for index, span in enumerate(spans):
                if not holds_at(span, hour):
                    continue
                for name in active:
                    if name in span:
                        active[name], places[name] = span, ("spans", index)
            heat, cool = (part.get(name) for name, part in active.items())
            # The fault belongs to whatever was said last.
            path = max(((*p, n) for n, p in places.items()), key=lambda p: (len(p), p[1:-1]))
            if cool is not None and heat is not None and heat > cool and path not in reported:
                reported.add(path)
                problems.add(
                    path,
                    f"heating to {heat:g} and cooling to {cool:g} degC work against each other",
                    "heating_set_point_c <= set_point_c",
                )

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Let the cooler run at any hour where no window is given."""
        if "cooling_window" not in data:
            window = {"from_hour": 0.0, "to_hour": 24.0}
            yield "cooling_window", window, "the cooler may run at any hour"
        if "set_out" not in data:
            yield (
                "set_out",
                {"from_hour": 8.0, "to_hour": 20.0},
                "somebody is up to set arrays out and to stow them, common practice, no source",
            )


class ComfortSchema(DocumentSchema):
    """The comfort limit, by which measure, and what a day must reach."""

    target = Comfort

    measure = Choice(ComfortMeasure, "By which number comfort is judged.", required=True)
    limit = Number("limit", required=True)
    required_fraction = Number(
        "required_fraction", default=0.95, reason="the share that a day which holds must reach"
    )
    allowance_h = Number("allowance_h", default=1.0, reason="an hour for the pull-down")
    metabolic_met = Number("metabolic_met", default=1.2, reason=ISO_7730)
    clothing_clo = Number("clothing_clo", default=0.5, reason=ISO_7730)
    air_speed_m_s = Number("air_speed_m_s", default=0.2, reason=ISO_7730)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Validate the limit against the scale of its measure."""
        measure, limit = data.get("measure"), data.get("limit")
        if measure is None or limit is None:
            return
        low, high = (-3.0, 3.0) if measure is ComfortMeasure.PMV else (10.0, 60.0)
        if not low <= limit <= high:
            problems.add("limit", f"is off the scale of {measure}", f"{low:g} <= value <= {high:g}")


def holds_at(span: Mapping[str, Any], hour: float) -> bool:
    """Return whether a span of the clock includes an hour; its end is outside.

    Parameters
    ----------
    span : mapping
        With ``from_hour`` and ``to_hour``; false where one is missing. [h]
    hour : float
        From 0 to 24. [h]
    """
    start, end = span.get("from_hour"), span.get("to_hour")
    if start is None or end is None:
        return False
    if start < end:
        return bool(start <= hour < end)
    return bool(hour >= start or hour < end)


def load_place(document: object, root: Path = ()) -> Loaded[Place]:
    """Read a place; see `rig_document.load_rig` for arguments and faults."""
    return load_value(_PLACE, document, root)


def load_operation(document: object, root: Path = ()) -> Loaded[Operation]:
    """Read an operation; see `rig_document.load_rig` for arguments and faults."""
    return load_value(_OPERATION, document, root)


def load_comfort(document: object, root: Path = ()) -> Loaded[Comfort]:
    """Read a comfort limit; see `rig_document.load_rig` for arguments and faults."""
    return load_value(_COMFORT, document, root)


def dump_place(place: Place) -> dict[str, Any]:
    """Return the document of a place."""
    return dump_value(_PLACE, place)


def dump_operation(operation: Operation) -> dict[str, Any]:
    """Return the document of an operation."""
    return dump_value(_OPERATION, operation)


def dump_comfort(comfort: Comfort) -> dict[str, Any]:
    """Return the document of a comfort limit."""
    return dump_value(_COMFORT, comfort)


_OF_THE_BALANCE = (
    "ground_emittance",
    "ground_thermal_inertia_j_m2ks05",
    "ground_evaporation_resistance_s_m",
)
_SETTINGS = tuple(Setting.__dataclass_fields__)
_PLACE = PlaceSchema()
_OPERATION = OperationSchema()
_COMFORT = ComfortSchema()
