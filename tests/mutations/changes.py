"""The changes: which file of the library, what stands there, what is put instead, what that means.

``old`` stands exactly once in its file; `tests/mutations/test_changes.py` holds that, so that the
list does not go stale while the library moves on.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Mutation(NamedTuple):
    """A change of one line of the physics."""

    path: str  # under engine/noonhold
    old: str
    new: str
    meaning: str

    @property
    def room(self) -> str:
        """Folder of the library that the file lies in."""
        return self.path.split("/", 1)[0]


AIR: Final = (
    Mutation(
        "air/moist_air.py",
        "volume_factor = 1.0 + humidity_ratio / MOLAR_MASS_RATIO",
        "volume_factor = 1.0 + humidity_ratio",
        "water vapour as heavy as air",
    ),
    Mutation(
        "air/moist_air.py",
        "return DRY_AIR_SPECIFIC_HEAT + VAPOUR_SPECIFIC_HEAT * humidity_ratio",
        "return DRY_AIR_SPECIFIC_HEAT",
        "vapour without specific heat",
    ),
    Mutation("air/moist_air.py", "** 5.2559", "** 5.0", "thinner air by another power of height"),
    Mutation(
        "air/saturation.py",
        "if temp_c < TRIPLE_POINT_C:",
        "if temp_c < LOWEST_C:",
        "supercooled water instead of ice",
    ),
    Mutation(
        "air/wet_bulb.py",
        "- capacity * wick_c\n",
        "\n",
        "condensate of the wick without heat",
    ),
    Mutation(
        "air/comfort.py",
        "return 0.5 * (temp_air_c + mean_radiant_c)",
        "return temp_air_c",
        "operative temperature without walls",
    ),
    Mutation(
        "air/comfort.py",
        "forced = 12.1 * math.sqrt(air_speed_m_s)",
        "forced = 12.1 * air_speed_m_s",
        "convection of a clothed body by the draught itself, not its root",
    ),
)

SOLAR: Final = (
    Mutation(
        "solar/transposition.py",
        "sky = dhi[:, None] * (0.5 * (1.0 + cos_tilt))",
        "sky = dhi[:, None] * (0.5 * (1.0 + cos_tilt**2))",
        "another view of the sky from a tilted plane",
    ),
    Mutation(
        "solar/transposition.py",
        "ground = ghi[:, None] *",
        "ground = dhi[:, None] *",
        "ground lit by diffuse light alone",
    ),
    Mutation(
        "solar/transposition.py",
        "rest += (dhi[up] * horizon)[:, None] * np.sin(np.radians(tilt))",
        "rest += 0.0 * (dhi[up] * horizon)[:, None] * np.sin(np.radians(tilt))",
        "no bright horizon",
    ),
    Mutation(
        "solar/shading.py",
        "np.mean(np.cos(np.radians(skyline)) ** 2)",
        "np.mean(np.cos(np.radians(skyline)))",
        "dome above the skyline without its cosine",
    ),
    Mutation(
        "solar/shading.py",
        "fall, slide = awning.depth_m * up / out,",
        "fall, slide = awning.depth_m * up,",
        "shadow of an awning by elevation, not profile angle",
    ),
    Mutation(
        "solar/sun.py",
        "elevation -= PARALLAX_DEG / slow[:, 2] * np.cos(np.radians(elevation))",
        "elevation -= PARALLAX_DEG / slow[:, 2]",
        "parallax the same at every height",
    ),
    Mutation(
        "solar/sun.py",
        "extraterrestrial_w_m2=SOLAR_CONSTANT_W_M2 / slow[:, 2] ** 2",
        "extraterrestrial_w_m2=SOLAR_CONSTANT_W_M2 / slow[:, 2]",
        "sunlight by distance, not its square",
    ),
)

ENVELOPE: Final = (
    Mutation(
        "envelope/convection.py",
        "_WINDWARD: Final = (3.26, 0.89)",
        "_WINDWARD: Final = (3.26, 0.80)",
        "film to windward by another power of the wind",
    ),
    Mutation(
        "envelope/convection.py",
        "_LEEWARD: Final = (3.55, 0.617)",
        "_LEEWARD: Final = (2.55, 0.617)",
        "weaker film to leeward",
    ),
    Mutation(
        "envelope/convection.py",
        "cos_facing > 0.0 if warmer else cos_facing < 0.0",
        "cos_facing < 0.0 if warmer else cos_facing > 0.0",
        "stable and unstable air swapped",
    ),
    Mutation(
        "envelope/convection.py",
        "return ratio * ratio",
        "return ratio",
        "thin air rises by its root",
    ),
    Mutation(
        "envelope/convection.py",
        "return natural_w_m2k + roughness * (swept - natural_w_m2k)",
        "return swept",
        "every face as smooth as glass",
    ),
    Mutation(
        "envelope/convection.py",
        "* (height_m / layer) ** exponent",
        "* (height_m / station_layer) ** exponent",
        "wind over open ground everywhere",
    ),
    Mutation(
        "envelope/airflow.py",
        "wind * wind_m_s * wind_m_s)",
        "wind * wind_m_s)",
        "leakage by the wind, not its pressure",
    ),
    Mutation(
        "envelope/cabin_step.py",
        "to_air[lane] = emitted * (1.0 - sky_view - below)",
        "to_air[lane] = emitted",
        "faces radiate to the air at full view besides the sky",
    ),
    Mutation(
        "envelope/cabin_step.py",
        "envelope += net.bridge_to_radiant * (around.outdoor_c - radiant)",
        "envelope += 0.0",
        "thermal bridges to the radiant node, not in the ledger",
    ),
    Mutation(
        "envelope/ground_column.py",
        "+ 0.00097 * rising**0.3",
        "",
        "no natural convection over hot ground",
    ),
    Mutation(
        "envelope/network.py",
        "open_view[beneath], under_view[beneath] = 1.0 - under, under",
        "open_view[beneath], under_view[beneath] = 0.0, 1.0",
        "an underside that sees only its own shadow",
    ),
    Mutation(
        "envelope/cabin_step.py",
        "+ net.diffuse_fraction[cover, p] * diffuse_in_w",
        "+ net.beam_fraction[cover, p] * diffuse_in_w",
        "scattered light lands where the beam does",
    ),
    Mutation(
        "envelope/network.py",
        "return view * math.sqrt(view)",
        "return view",
        "the sky as cold at the horizon as overhead",
    ),
    Mutation(
        "envelope/network.py",
        "sky_view=sky * (1.0 - cover)",
        "sky_view=sky",
        "a roof under an array sees the whole sky",
    ),
    Mutation(
        "envelope/network.py",
        "/ (1.0 / _CONTENTS_FILM + 1.0 / _SKIN_TO_MASS)",
        "* _CONTENTS_FILM",
        "contents without a skin",
    ),
    Mutation(
        "envelope/window_conductance.py",
        "radiant_w_m2k * warmth * warmth * warmth",
        "radiant_w_m2k * warmth",
        "radiation in the gap linear in temperature",
    ),
    Mutation(
        "envelope/window_covers.py",
        "/ (1.0 - outside.solar_reflectance * back)",
        "/ 1.0",
        "no light to and fro between shutter and glass",
    ),
    Mutation(
        "envelope/glazing.py",
        "stack_r + stack_t * stack_t * pane_r / bounce",
        "stack_r + stack_t * pane_r / bounce",
        "light from behind passes a stack unweakened",
    ),
    Mutation(
        "envelope/glazing.py",
        "share = (outer + 0.5 * glass) /",
        "share = outer /",
        "what glass absorbs heats its outer face",
    ),
    Mutation(
        "envelope/interior.py",
        "1.0 / ((1.0 - emittance) / emittance + 1.0 / view_weights(area_m2))",
        "emittance + 0.0 * view_weights(area_m2)",
        "inner faces radiate without their view",
    ),
    Mutation(
        "envelope/shell.py",
        "half = layer.resistance_m2k_w / nodes / 2.0",
        "half = layer.resistance_m2k_w / nodes",
        "layers twice as thick for heat",
    ),
    Mutation(
        "envelope/shell.py",
        "resistance = 1.0 / panel.u_value_w_m2k - films",
        "resistance = 1.0 / panel.u_value_w_m2k",
        "films counted twice in a stated U-value",
    ),
)

COOLING: Final = (
    Mutation(
        "cooling/cooler.py",
        "capacity_modifier = 0.8 + 0.2 * flow_ratio",
        "capacity_modifier = 1.0",
        "a cooler as strong in thin air",
    ),
    Mutation(
        "cooling/cooler.py",
        "outdoor_c + tables.condenser_air_rise_k,",
        "outdoor_c,",
        "condenser air as at the station",
    ),
    Mutation(
        "cooling/cooler.py",
        "part_load / (1.0 - tables.degradation_coefficient * (1.0 - part_load))",
        "part_load",
        "no loss by cycling",
    ),
    Mutation(
        "cooling/cooler.py",
        "delivered * (total_w - latent_w) - fan_w,",
        "delivered * (total_w - latent_w),",
        "the fan's heat gone",
    ),
    Mutation(
        "cooling/cooler.py",
        "delivered * latent_w,",
        "latent_w,",
        "water taken by a duct's lost air too",
    ),
    Mutation(
        "cooling/cooler.py",
        "if surplus < 0.0:",
        "if surplus < -1.0:",
        "a dry coil taken for a wet one",
    ),
    Mutation(
        "cooling/coil.py",
        "surface_c = temp_c - total_w / (apparatus_flow_kg_s * specific_heat(humidity_ratio))",
        "surface_c = temp_c",
        "the coil's surface as warm as the air",
    ),
    Mutation(
        "cooling/cooler_tables.py",
        "ratio = (cooler.sensible_heat_ratio * stage.cooling_w + cooler.fan_power_w) / gross_w",
        "ratio = cooler.sensible_heat_ratio",
        "net sensible ratio taken for the gross one",
    ),
)

ELECTRICITY: Final = (
    Mutation(
        "electricity/arrays.py",
        "* (cell_c - RATING_CELL_C)",
        "* cell_c",
        "cells rated at 0 degC",
    ),
    Mutation(
        "electricity/arrays.py",
        "poa_w_m2 / (u0 + u1 * wind_m_s)",
        "poa_w_m2 / u0",
        "no wind on the cells",
    ),
    Mutation(
        "electricity/arrays.py",
        "offered_w *= tables.controller_efficiency[index]",
        "offered_w *= 1.0",
        "controllers without loss",
    ),
    Mutation(
        "electricity/module_glass.py",
        "np.exp(-_MODULE_DEPTH / refracted)",
        "np.exp(-_MODULE_DEPTH)",
        "light as short in the glass at every angle",
    ),
    Mutation(
        "electricity/battery.py",
        "filling_w = space_wh / charge_efficiency / hours",
        "filling_w = space_wh / hours",
        "a battery filled without its loss",
    ),
    Mutation(
        "electricity/battery.py",
        "_at_least_zero(above_wh) * (battery.discharge_efficiency * ratio) / hours",
        "_at_least_zero(above_wh) * ratio / hours",
        "an allowance without the loss of discharging",
    ),
)

SIMULATION: Final = (
    Mutation(
        "simulation/forcing.py",
        "sky_diffuse=faces.sky * dome",
        "sky_diffuse=faces.sky",
        "the whole sky's light under a far horizon",
    ),
    Mutation(
        "simulation/forcing.py",
        "array_sky = onto_arrays.sky * dome",
        "array_sky = onto_arrays.sky",
        "the whole sky's light on arrays under a far horizon",
    ),
    Mutation(
        "simulation/forcing.py",
        "wind = wind_at_height(station_wind, shell.mid_height_m, place.terrain)",
        "wind = station_wind",
        "the station's wind at the rig",
    ),
    Mutation(
        "simulation/kernel.py",
        "dry_flow = flow * dry_air_density(",
        "dry_flow = flow * (1.0 + outdoor_humidity) * dry_air_density(",
        "moist instead of dry air in the balances",
    ),
    Mutation(
        "simulation/kernel.py",
        "wind = speed if speed > 0.0 else forcing.wind[i]",
        "wind = forcing.wind[i]",
        "films without the driving speed",
    ),
    Mutation(
        "simulation/kernel.py",
        "draught = speed if speed > 0.0 else forcing.station_wind[i]",
        "draught = forcing.station_wind[i]",
        "leakage without the driving speed",
    ),
    Mutation(
        "simulation/kernel.py",
        "pass_diffuse * forcing.horizon_sky,",
        "pass_diffuse,",
        "faces radiate to the sky behind a far horizon",
    ),
    Mutation(
        "simulation/kernel.py",
        "+ before.served[0] * load_to_air_w",
        "+ load_to_air_w",
        "loads without power heat the cabin",
    ),
    Mutation(
        "simulation/kernel.py",
        "+ before.battery_loss[0] * control.battery_in_cabin",
        "+ before.battery_loss[0]",
        "a battery outside heats the cabin",
    ),
    Mutation(
        "simulation/kernel.py",
        "battery_c = cabin.air[2] if control.battery_in_cabin == 1 else outdoor",
        "battery_c = outdoor",
        "every battery as cold as the outdoors",
    ),
    Mutation(
        "simulation/sunlight.py",
        "* net.absorptance[p] * (1.0 - net.array_cover[p])",
        "* net.absorptance[p]",
        "no shade under a flush array",
    ),
    Mutation(
        "simulation/controls.py",
        'speed = number("driving_speed_km_h") / 3.6',
        'speed = number("driving_speed_km_h")',
        "km/h taken for m/s",
    ),
)

WEATHER: Final = (
    Mutation(
        "weather/hot_day.py",
        "(1.0 - cloud**2)",
        "(1.0 - cloud)",
        "beam thinned by cloud, not its square",
    ),
    Mutation(
        "weather/sky.py",
        "CLOUD_GLOBAL_POWER = 3.4",
        "CLOUD_GLOBAL_POWER = 3.0",
        "another thinning by cloud",
    ),
    Mutation("weather/sky.py", "np.minimum(clear * cloudy, 1.0)", "np.minimum(clear, 1.0)",
             "sky infrared without cloud"),
    Mutation(
        "weather/radiation.py",
        '"dhi": np.maximum(ghi - dni * cosine, 0.0)',
        '"dhi": np.maximum(ghi - dni, 0.0)',
        "missing diffuse light without the sun's height",
    ),
    Mutation("weather/epw.py", "month, day, hour - 1, lines)", "month, day, hour % 24, lines)",
             "EPW hours labelled at their end taken for starts"),
    Mutation("weather/pvgis.py", "whole.columns, seen, over, first_h - sunny_h)",
             "whole.columns, seen, over, first_h)", "the satellite's minute ignored"),
)  # fmt: skip

MUTATIONS: Final = (*AIR, *SOLAR, *ENVELOPE, *COOLING, *ELECTRICITY, *SIMULATION, *WEATHER)
