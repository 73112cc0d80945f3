"""The cooler and heater in a rig document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from marshmallow import missing

from noonhold.documents.fields import Choice, Described, Flag, Items, Number, Part, Text, refuse
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.rig import Cooler, Heater, PerformanceMap, RatingPoint, Stage, Supply

_NAMED = {
    # Air states from memory of ISO 5151:2017 table 1 and AHRI 210/240; all at sea level.
    "ISO 5151 T1": RatingPoint(35.0, 27.0, 19.0),
    "ISO 5151 T3": RatingPoint(46.0, 29.0, 19.0),
    "AHRI 210/240": RatingPoint(35.0, 26.7, 19.4),
}


class StageSchema(DocumentSchema):
    """One stage of the cooler at its rating point."""

    target = Stage

    name = Text("Its name, unlike every other stage's.", required=True)
    cooling_w = Number("cooling_w", required=True)
    power_w = Number("power_w", description="All electricity, both fans included.", required=True)


class RatingSchema(DocumentSchema):
    """The air states that the stages are rated at."""

    target = RatingPoint

    outdoor_c = Number("outdoor_c", required=True)
    inside_c = Number("inside_c", required=True)
    inside_wet_bulb_c = Number("inside_wet_bulb_c", required=True)
    pressure_pa = Number("pressure_pa", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold the wet bulb below the dry bulb."""
        if "inside_c" in data and data.get("inside_wet_bulb_c", -99.0) > data["inside_c"]:
            problems.add(
                "inside_wet_bulb_c",
                "a wet bulb cannot exceed the dry bulb",
                f"value <= {data['inside_c']:.10g} degC",
            )


class Rating(Described):
    """A rating point by the name of its standard, or by its values."""

    def __init__(self) -> None:
        schema = RatingSchema()
        values = {
            "type": "object",
            "properties": {name: dict(field.metadata) for name, field in schema.fields.items()},
            "required": list(schema.fields),
            "additionalProperties": False,
        }
        super().__init__(
            default=_NAMED["ISO 5151 T1"],
            reason="the usual rating point, ISO 5151 T1",
            metadata={
                "description": "The air states that the stages are rated at.",
                "oneOf": [{"type": "string", "enum": list(_NAMED)}, values],
            },
        )
        self.schema = schema

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, Mapping):
            return self.schema.build(self.schema.load(value))
        if not isinstance(value, str) or value not in _NAMED:
            raise refuse(
                "must be an object, or the name of a rating point", "one of " + ", ".join(_NAMED)
            )
        return _NAMED[value]

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return self.schema.dump(value)


class PointSchema(DocumentSchema):
    """One point of a performance map."""

    outdoor_c = Number("outdoor_c", required=True)
    wet_bulb_c = Number("wet_bulb_c", required=True)
    capacity_ratio = Number("capacity_ratio", required=True)
    power_ratio = Number("power_ratio", required=True)


class Points(Items):
    """A performance map as the list of its points."""

    def __init__(self) -> None:
        super().__init__(
            Part(PointSchema),
            "Ratios to the rating point over a full grid of outdoor and entering wet bulb.",
            least=1,
            most=2500,
            default=missing,
            reason="the documented default map",
        )

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        if not isinstance(value, PerformanceMap):
            return None
        return [
            {
                "outdoor_c": outdoor,
                "wet_bulb_c": wet,
                "capacity_ratio": value.capacity_ratio[i][j],
                "power_ratio": value.power_ratio[i][j],
            }
            for i, outdoor in enumerate(value.outdoor_c)
            for j, wet in enumerate(value.wet_bulb_c)
        ]


class SupplySchema(DocumentSchema):
    """How the cooler gets its power."""

    target = Supply

    path = Choice(
        ("direct", "inverter"),
        "Straight from the battery bus, or through an inverter.",
        default="direct",
        reason="a cooler on the battery bus",
    )
    efficiency = Number("efficiency")
    idle_power_w = Number("idle_power_w")

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Let an inverter lose, and the bus not."""
        inverter = data["path"] == "inverter"
        if "efficiency" not in data:
            if inverter:
                yield "efficiency", 0.9, "an inverter, common practice, no source"
            else:
                yield "efficiency", 1.0, "straight from the bus"
        if "idle_power_w" not in data:
            if inverter:
                yield "idle_power_w", 15.0, "an inverter, common practice, no source"
            else:
                yield "idle_power_w", 0.0, "straight from the bus"

    def build(self, data: dict[str, Any]) -> Supply:
        """Make the supply."""
        return Supply(data["efficiency"], data["idle_power_w"], data["path"] == "inverter")

    def dumped(self, data: dict[str, Any], source: Supply) -> dict[str, Any]:
        """Write the path as its word."""
        return {**data, "path": "inverter" if source.through_inverter else "direct"}


class CoolerSchema(DocumentSchema):
    """A vapour-compression cooler with one or more stages."""

    target = Cooler

    stages = Items(Part(StageSchema), "From low to high.", least=1, most=8, required=True)
    airflow_m3_h = Number("airflow_m3_h", lower=10.0, required=True)
    sensible_heat_ratio = Number("sensible_heat_ratio", required=True)
    fan_power_w = Number("fan_power_w", description="Indoor fan.", required=True)
    rating = Rating()
    performance_map = Points()
    degradation_coefficient = Number(
        "degradation_coefficient", default=0.25, reason="AHRI 210/240 default, from memory"
    )
    variable_speed = Flag(
        "Whether it runs between its stages.", default=False, reason="fixed stages"
    )
    fan_always_on = Flag(
        "Whether the indoor fan also runs while it rests.", default=False, reason="the fan cycles"
    )
    condenser_air_rise_k = Number(
        "condenser_air_rise_k", default=0.0, reason="the condenser takes the station's air"
    )
    supply = Part(SupplySchema, "How it gets its power.", fill=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Ask for stages that rise, a fan within their power, a map without holes."""
        self._check_stages(data, problems)
        if "performance_map" in data:
            check_grid(data["performance_map"], problems)

    def _check_stages(self, data: dict[str, Any], problems: Problems) -> None:
        stages = [stage or {} for stage in data.get("stages", ())]
        seen: set[str] = set()
        before: dict[str, Any] = {}
        for index, stage in enumerate(stages):
            if stage.get("name") in seen:
                problems.add(
                    ("stages", index, "name"), "another stage has this name", "no name twice"
                )
            seen.add(stage.get("name", ""))
            if before.get("cooling_w", 0.0) >= stage.get("cooling_w", float("inf")):
                problems.add(
                    ("stages", index, "cooling_w"),
                    "must rise from stage to stage",
                    f"value > {before['cooling_w']:.10g} W",
                )
            if before.get("power_w", 0.0) > stage.get("power_w", float("inf")):
                problems.add(
                    ("stages", index, "power_w"),
                    "must not fall from stage to stage",
                    f"value >= {before['power_w']:.10g} W",
                )
            if data.get("fan_power_w", 0.0) > stage.get("power_w", float("inf")):
                problems.add(
                    ("stages", index, "power_w"),
                    "includes the indoor fan and cannot be less than fan_power_w",
                    f"value >= {data['fan_power_w']:.10g} W",
                )
            before = stage

    def built(self, data: dict[str, Any]) -> dict[str, Any]:
        """Turn the map's points into its grid."""
        points = data.get("performance_map")
        rest = super().built({k: v for k, v in data.items() if k != "performance_map"})
        return rest if points is None else {**rest, "performance_map": _grid(points)}


class HeaterSchema(DocumentSchema):
    """A heater that puts its heat into the cabin air."""

    target = Heater

    heating_w = Number("heating_w", required=True)
    power_w = Number("power_w", description="Electricity drawn while it heats.", required=True)


def check_grid(points: list[dict[str, Any] | None], problems: Problems) -> None:
    """Note points that are there twice, and those that a full grid lacks."""
    places: list[tuple[float, float] | None] = [
        (p["outdoor_c"], p["wet_bulb_c"]) if p and "outdoor_c" in p and "wet_bulb_c" in p else None
        for p in points
    ]
    seen: set[tuple[float, float]] = set()
    for index, place in enumerate(places):
        if place in seen:
            problems.add(
                ("performance_map", index), "another point stands at these temperatures already"
            )
        if place is not None:
            seen.add(place)
    if None in places:
        return  # holes cannot be told before every point can be placed
    outdoor, wet = ({place[axis] for place in seen} for axis in (0, 1))
    holes = sorted({(o, w) for o in outdoor for w in wet} - seen)
    if holes:
        names = ", ".join(f"{o:g}/{w:g}" for o, w in holes[:10])
        more = f" and {len(holes) - 10} more" if len(holes) > 10 else ""
        problems.add(
            "performance_map",
            f"the grid lacks outdoor_c/wet_bulb_c {names}{more}",
            f"{len(outdoor)} x {len(wet)} points",
        )


def _grid(points: list[dict[str, Any]]) -> PerformanceMap:
    """Return the map whose full grid the points are, in whatever order they came."""
    at = {(p["outdoor_c"], p["wet_bulb_c"]): p for p in points}
    outdoor = tuple(sorted({o for o, _ in at}))
    wet = tuple(sorted({w for _, w in at}))

    def table(name: str) -> tuple[tuple[float, ...], ...]:
        return tuple(tuple(at[o, w][name] for w in wet) for o in outdoor)

    return PerformanceMap(outdoor, wet, table("capacity_ratio"), table("power_ratio"))
