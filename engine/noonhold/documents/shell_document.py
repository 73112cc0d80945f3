"""The shell's part of a rig document: layers, panels, windows, leakage, vents."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from marshmallow import missing

from noonhold.documents.fields import Choice, Items, Number, Part, Text
from noonhold.documents.materials import MATERIALS
from noonhold.documents.schema import DocumentSchema, Problems
from noonhold.envelope.shell import MOST_U_VALUE_W_M2K
from noonhold.rig import (
    Cover,
    CoverPosition,
    Exposure,
    Extent,
    FixedCoefficients,
    Layer,
    Leakage,
    Panel,
    Roughness,
    Vent,
    Window,
)

FACES: dict[str, tuple[float, float]] = {
    "front": (90.0, 0.0),
    "right": (90.0, 90.0),
    "rear": (90.0, 180.0),
    "left": (90.0, 270.0),
    "roof": (0.0, 0.0),
    "floor": (180.0, 0.0),
}
COMPUTED = "absent coefficients are computed"
_EXPLICIT = ("conductivity_w_mk", "density_kg_m3", "specific_heat_j_kgk")


class LayerSchema(DocumentSchema):
    """A layer: a material of the table with a thickness, or its own values, or a resistance."""

    target = Layer

    material = Text("Name of a material of the table, or a label beside own values.")
    thickness_m = Number("thickness_m")
    conductivity_w_mk = Number("conductivity_w_mk")
    density_kg_m3 = Number("density_kg_m3")
    specific_heat_j_kgk = Number("specific_heat_j_kgk")
    thermal_resistance_m2k_w = Number("thermal_resistance_m2k_w")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold a layer to one of its three ways."""
        if "thermal_resistance_m2k_w" in given:
            for name in ("thickness_m", *_EXPLICIT):
                if name in given:
                    problems.add(name, "mutually exclusive with thermal_resistance_m2k_w")
            return
        if "thickness_m" not in given:
            problems.add("thickness_m", "required field is missing")
        lacking = [name for name in _EXPLICIT if name not in given]
        material = data.get("material")
        if not lacking or material in MATERIALS or ("material" in given and material is None):
            return
        if material is not None and len(lacking) == len(_EXPLICIT):
            problems.add(
                "material",
                "is not in the table of materials; give its values beside it",
                "one of " + ", ".join(MATERIALS),
            )
            return
        for name in lacking:
            problems.add(name, "required field is missing where no material of the table is named")

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Take absent values from the table of materials, reported once for the layer."""
        lacking = [name for name in _EXPLICIT if name not in data]
        if "thermal_resistance_m2k_w" in data or not lacking:
            return
        material = data["material"]
        entry = MATERIALS[material]
        for name in lacking:
            data[name] = getattr(entry, name)
        values = ", ".join(f"{name} {getattr(entry, name):g}" for name in lacking)
        yield "material", material, f"{values}: {entry.source}"

    def build(self, data: dict[str, Any]) -> Layer:
        """Make the layer; a bare resistance becomes that many metres of 1 W/mK without capacity."""
        resistance = data.get("thermal_resistance_m2k_w")
        if resistance is not None:
            return Layer(resistance, 1.0, 0.0, 0.0, data.get("material", ""))
        return Layer(**data)

    def dumped(self, data: dict[str, Any], source: Layer) -> dict[str, Any]:
        """Leave an empty label out; write what has no capacity and no thickness as resistance."""
        data["material"] = data["material"] or None
        massless = data["density_kg_m3"] == 0.0 and data["specific_heat_j_kgk"] == 0.0
        if massless and data["conductivity_w_mk"] == 1.0:
            resistance = data.pop("thickness_m")
            data = {k: v for k, v in data.items() if k not in _EXPLICIT}
            data["thermal_resistance_m2k_w"] = resistance
        return data


class CoefficientsSchema(DocumentSchema):
    """Fixed surface coefficients, as standard test cases ask."""

    target = FixedCoefficients

    inside_convection_w_m2k = Number("inside_convection_w_m2k")
    inside_radiation_w_m2k = Number("inside_radiation_w_m2k")
    inside_film_w_m2k = Number("inside_film_w_m2k")
    outside_convection_w_m2k = Number("outside_convection_w_m2k")
    outside_film_w_m2k = Number("outside_film_w_m2k")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Refuse beside a film what it already holds."""
        for side, parts in (("inside", ("convection", "radiation")), ("outside", ("convection",))):
            if f"{side}_film_w_m2k" in given:
                for part in parts:
                    if f"{side}_{part}_w_m2k" in given:
                        problems.add(
                            f"{side}_{part}_w_m2k", f"mutually exclusive with {side}_film_w_m2k"
                        )


class ExtentSchema(DocumentSchema):
    """Where an upright rectangle lies on its side of the rig."""

    target = Extent

    width_m = Number("width_m", required=True)
    height_m = Number("height_m", required=True)
    bottom_m = Number("bottom_m", default=0.0, reason="it begins at the wall's lower edge")
    offset_m = Number("offset_m", default=0.0, reason="it lies in the wall's middle")


class FacedSchema(DocumentSchema):
    """What looks somewhere: by a face's name, or by tilt and azimuth."""

    face = Choice(tuple(FACES), "Which way it looks, instead of tilt and azimuth.")
    tilt_deg = Number("tilt_deg")
    azimuth_from_front_deg = Number("azimuth_from_front_deg")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold it to one way of saying where it looks, and turn a face into angles."""
        angles = ("tilt_deg", "azimuth_from_front_deg")
        if "face" in given:
            for name in angles:
                if name in given:
                    problems.add(name, "mutually exclusive with face")
            if "face" in data:
                data.update(zip(angles, FACES[data["face"]], strict=True))
            return
        absent = [name for name in angles if name not in given]
        if len(absent) == len(angles):
            problems.add(
                "face", "required field is missing; or give tilt_deg and azimuth_from_front_deg"
            )
        elif absent:
            problems.add(absent[0], "required field is missing beside the other angle")


class ConstructionSchema(DocumentSchema):
    """How an opaque part is made, and its surfaces."""

    layers = Items(
        Part(LayerSchema), "From the outer to the inner face.", least=1, most=40, default=missing
    )
    # The air films of ISO 6946 alone pass 4.76 W/m2K of a floor, 5.88 of a wall and 7.14 of a roof;
    # nothing is left for a panel above them, and a bare sheet is described by its layer.
    u_value_w_m2k = Number("u_value_w_m2k", upper=MOST_U_VALUE_W_M2K)
    heat_capacity_kj_m2k = Number("heat_capacity_kj_m2k")
    solar_absorptance = Number("solar_absorptance", default=0.6, reason="a mid colour, from memory")
    thermal_emittance = Number(
        "thermal_emittance", default=0.9, reason="paint and most non-metals, from memory"
    )
    surface_roughness = Choice(
        Roughness,
        "How rough the outer face is to the wind: very_rough as stucco, rough as brick, "
        "medium_rough as concrete, medium_smooth as bare wood, smooth as plaster, very_smooth as "
        "glass.",
        default=Roughness.SMOOTH,
        reason="a painted or coated skin with its seams, from memory of the table of surfaces",
    )
    inside_solar_absorptance = Number(
        "inside_solar_absorptance", default=0.6, reason="a mid colour, from memory"
    )
    inside_thermal_emittance = Number(
        "inside_thermal_emittance", default=0.9, reason="most non-metals, from memory"
    )

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold it to layers, or to a U-value with a heat capacity."""
        if not given.get("layers", True):
            return  # an empty list is reported by the field itself
        if "layers" in given:
            for name in ("u_value_w_m2k", "heat_capacity_kj_m2k"):
                if name in given:
                    problems.add(name, "mutually exclusive with layers")
        elif "u_value_w_m2k" not in given and "heat_capacity_kj_m2k" not in given:
            problems.add(
                "layers",
                "required field is missing; or give u_value_w_m2k and heat_capacity_kj_m2k",
            )
        else:
            for name in ("u_value_w_m2k", "heat_capacity_kj_m2k"):
                if name not in given:
                    problems.add(name, "required field is missing where there are no layers")


class PanelSchema(ConstructionSchema, FacedSchema):
    """An opaque part of the shell."""

    target = Panel

    name = Text("Unique panel name.", required=True)
    area_m2 = Number("area_m2", description="Area without the windows in it.", required=True)
    exposed_to = Choice(Exposure, "What the outer face sees.")
    coefficients = Part(CoefficientsSchema, COMPUTED)
    extent = Part(ExtentSchema, "Needed for a wall on an awning's side.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold construction and direction each to one way of saying them."""
        ConstructionSchema.rules(self, data, given, problems)
        FacedSchema.rules(self, data, given, problems)

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Let what faces the ground see the underside."""
        if "exposed_to" not in data:
            if data["tilt_deg"] > 135.0:
                yield "exposed_to", Exposure.UNDERSIDE, "it faces the ground"
            else:
                yield "exposed_to", Exposure.OUTDOORS, "nothing else is said"


class CoverSchema(DocumentSchema):
    """A cover of a window."""

    target = Cover

    position = Choice(CoverPosition, "On which side of the glass it hangs.", required=True)
    solar_transmittance = Number("solar_transmittance", required=True)
    solar_reflectance = Number("solar_reflectance", required=True)
    added_resistance_m2k_w = Number("added_resistance_m2k_w", required=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold what passes and what is thrown back below what comes."""
        total = data.get("solar_transmittance", 0.0) + data.get("solar_reflectance", 0.0)
        if total > 1.0:
            problems.add(
                "solar_reflectance",
                f"with solar_transmittance makes {total:.10g}, more sun than comes",
                "solar_transmittance + solar_reflectance <= 1",
            )


class WindowSchema(FacedSchema):
    """A window and its covers."""

    target = Window

    name = Text("Unique window name.", required=True)
    area_m2 = Number("area_m2", required=True)
    u_value_w_m2k = Number(
        "u_value_w_m2k", description="With films 8.29 inside and 21.0 outside.", required=True
    )
    solar_heat_gain_coefficient = Number("solar_heat_gain_coefficient", required=True)
    solar_transmittance = Number(
        "solar_transmittance",
        description="Part of the sun that passes directly at normal incidence.",
        reason="it follows from solar_heat_gain_coefficient and u_value_w_m2k",
    )
    panes = Number("panes", whole=True, default=2, reason="a double pane")
    thermal_emittance = Number(
        "thermal_emittance", default=0.84, reason="uncoated glass, from memory"
    )
    covers = Items(Part(CoverSchema), "At most one on each side.", most=2)
    coefficients = Part(CoefficientsSchema, COMPUTED)
    extent = Part(ExtentSchema, "Needed for a window on an awning's side.")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Hold it to one direction, one cover a side, and no more sun through than gained."""
        FacedSchema.rules(self, data, given, problems)
        gain = data.get("solar_heat_gain_coefficient", 1.0)
        if data.get("solar_transmittance", 0.0) > gain:
            problems.add(
                "solar_transmittance",
                "is part of the solar heat gain and cannot exceed it",
                f"value <= {gain:.10g}",
            )
        positions = [cover.get("position") for cover in data.get("covers", ()) if cover]
        for index, position in enumerate(positions):
            if position is not None and position in positions[:index]:
                problems.add(
                    ("covers", index, "position"),
                    f"another cover hangs {position} already",
                    "one cover a side",
                )


class LeakageSchema(DocumentSchema):
    """Air that leaks: constant changes, or an area driven by stack and wind."""

    target = Leakage

    air_changes_per_hour = Number("air_changes_per_hour")
    leakage_area_cm2 = Number("leakage_area_cm2")
    shelter_class = Number("shelter_class", whole=True)

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require exactly one of the two ways."""
        if "air_changes_per_hour" in given and "leakage_area_cm2" in given:
            problems.add("leakage_area_cm2", "mutually exclusive with air_changes_per_hour")
        elif "air_changes_per_hour" not in given and "leakage_area_cm2" not in given:
            problems.add(
                "air_changes_per_hour", "required field is missing; or give leakage_area_cm2"
            )

    def derived(self, data: dict[str, Any]) -> Iterable[tuple[str, Any, str]]:
        """Take light shelter where the wind matters."""
        if "shelter_class" not in data and "leakage_area_cm2" in data:
            yield "shelter_class", 2, "light local shelter (ASHRAE class 2, from memory)"


class VentSchema(DocumentSchema):
    """An opening or fan that the schedule opens."""

    target = Vent

    name = Text("Unique vent name.", required=True)
    airflow_m3_h = Number("airflow_m3_h", description="What its fan moves.")
    opening_area_cm2 = Number("opening_area_cm2")
    fan_power_w = Number("fan_power_w")

    def rules(self, data: dict[str, Any], given: Mapping[str, Any], problems: Problems) -> None:
        """Require that the vent moves air in one way or the other."""
        if "airflow_m3_h" not in given and "opening_area_cm2" not in given:
            problems.add("airflow_m3_h", "required field is missing; or give opening_area_cm2")
        if "airflow_m3_h" in given and "fan_power_w" not in given:
            problems.add("fan_power_w", "required beside airflow_m3_h; 0 for a flow of its own")
