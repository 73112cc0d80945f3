"""The cooler and heater in a rig document."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from marshmallow import missing

from noonhold.cooling.performance_map import FIXED_SPEED_MAP, VARIABLE_SPEED_MAP
from noonhold.documents.fields import Choice, Described, Flag, Items, Number, Part, Text, refuse
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.rig import (
    CondenserInstallation,
    Cooler,
    Ducts,
    Heater,
    Modulation,
    PerformanceMap,
    RatingPoint,
    SpeedPoint,
    Stage,
    Supply,
)

_NAMED = {
    # ISO 5151:2017, table 1 (T3's inside from memory), AHRI 210/240 test A (95, 80/67 degF); all at
    # sea level.
    "ISO 5151 T1": RatingPoint(35.0, 27.0, 19.0),
    "ISO 5151 T3": RatingPoint(46.0, 29.0, 19.0),
    "AHRI 210/240": RatingPoint(35.0, 26.7, 19.4),
}


class StageSchema(DocumentSchema):
    """One stage of the cooler at its rating point."""

    target = Stage

    name = Text("Unique stage name.", required=True)
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


class SpeedPointSchema(DocumentSchema):
    """Efficiency of a variable-speed cooler at part load."""

    target = SpeedPoint

    cooling_fraction = Number("cooling_fraction", upper=0.99, required=True)
    efficiency_ratio = Number("efficiency_ratio", required=True)


class ModulationSchema(DocumentSchema):
    """How a variable-speed cooler runs between its least and its most cooling."""

    target = Modulation

    least_fraction = Number(
        "least_fraction",
        default=1.0 / 3.0,
        reason="the least speed of the laboratory's mini-split (ResStock, OpenStudio-HPXML)",
    )
    part_load = Items(
        Part(SpeedPointSchema),
        "Net efficiency at part load over that at the highest stage, from low to high. Without it"
        " several stages are the points, and one stage has the laboratory's.",
        most=20,
        default=missing,
        reason="its stages where it has several; below them the laboratory test of a mini-split at"
        " ten speeds that NREL publishes with ResStock and OpenStudio-HPXML: 1.9 times the"
        " efficiency at a third of the cooling, 1.67 at half",
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require points that rise."""
        before = 0.0
        for index, point in enumerate(data.get("part_load", ())):
            here = (point or {}).get("cooling_fraction")
            if here is not None and here <= before:
                problems.add(
                    ("part_load", index, "cooling_fraction"),
                    "must rise from point to point",
                    f"value > {before:.10g}",
                )
            before = before if here is None else here


class DuctsSchema(DocumentSchema):
    """What ducts lose between the cooler and the cabin."""

    target = Ducts

    loss_fraction = Number("loss_fraction", required=True)
    to_cabin_fraction = Number(
        "to_cabin_fraction", default=0.0, reason="the ducts lose to the outdoors"
    )


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
    variable_speed = Flag("Whether its compressor changes speed and so runs between its stages.")
    modulation = Part(
        ModulationSchema,
        "How far down a variable-speed compressor goes, and how efficient it is there.",
    )
    fan_always_on = Flag(
        "Whether the indoor fan also runs while it rests.", default=False, reason="the fan cycles"
    )
    condenser_air_rise_k = Number("condenser_air_rise_k")
    condenser_installation = Choice(
        CondenserInstallation,
        "How freely the condenser breathes, instead of a fixed condenser_air_rise_k: the rise grows"
        " with the heat rejected and falls with the wind. At full load in calm air: 0.6 K (free),"
        " 2 K (beside_wall), 4 K (roof_shroud), 10 K (enclosed): common practice, no source.",
    )
    condenser_airflow_m3_h = Number("condenser_airflow_m3_h")
    standby_power_w = Number(
        "standby_power_w", default=0.0, reason="no draw between its runs is given"
    )
    ducts = Part(DuctsSchema, "What the ducts to the cabin lose.")
    supply = Part(SupplySchema, "How it gets its power.", fill=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require stages that rise, a fan within their power, a map without holes."""
        self._check_stages(data, problems)
        if "performance_map" in data:
            check_grid(data["performance_map"], problems)
        if "modulation" in given and given.get("variable_speed") is False:
            problems.add("modulation", "goes with a variable-speed cooler only", "left out")
        if len(data.get("stages", ())) > 1 and (data.get("modulation") or {}).get("part_load"):
            problems.add(
                ("modulation", "part_load"),
                "the several stages are the points of part load already",
                "one stage, or left out",
            )
        if "condenser_installation" in given and "condenser_air_rise_k" in given:
            problems.add(
                "condenser_air_rise_k",
                "is what condenser_installation computes",
                "one of the two",
            )
        if "condenser_airflow_m3_h" in given and "condenser_installation" not in given:
            problems.add(
                "condenser_airflow_m3_h", "acts only with a condenser_installation", "left out"
            )

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Take the class from what is given, and from the class what is not."""
        one = len(data["stages"]) == 1
        if "variable_speed" not in data:
            given = "modulation" in data
            yield "variable_speed", given, "it modulates" if given else "fixed stages"
        if data["variable_speed"] and one and "modulation" not in data:
            yield (
                "modulation",
                {"least_fraction": 1.0 / 3.0},
                "a variable-speed cooler known by one rated point: the laboratory test of a"
                " mini-split that NREL publishes with ResStock and OpenStudio-HPXML",
            )
        if not {"condenser_air_rise_k", "condenser_installation"} & data.keys():
            yield "condenser_air_rise_k", 0.0, "the condenser takes the station's air"
        if "condenser_installation" in data and "condenser_airflow_m3_h" not in data:
            yield (
                "condenser_airflow_m3_h",
                None,
                "as much as warms by 12 K at its rating, common practice, no source",
            )
        if "performance_map" not in data:
            known = "known by one rated point, " if one else ""
            kind = VARIABLE_SPEED_MAP if data["variable_speed"] else FIXED_SPEED_MAP
            yield "performance_map", None, known + kind

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

    def dumped(self, data: dict[str, Any], source: Cooler) -> dict[str, Any]:
        """Leave out the rise that the installation computes."""
        if source.condenser_installation is None:
            return data
        return {k: v for k, v in data.items() if k != "condenser_air_rise_k"}

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
        return  # holes cannot be found before every point can be placed
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
