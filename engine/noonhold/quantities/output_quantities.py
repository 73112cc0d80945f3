"""The variables of a projection: means over the interval, or its end where said."""

from __future__ import annotations

from types import MappingProxyType

from noonhold.quantities.quantity_type import PERCENT, Quantity

Q = Quantity

_TEMPERATURES = (
    Q("outdoor_temperature_c", "degC", "Outdoor air.", -90, 65, "air_temperature", "mean"),
    Q("cabin_temperature_c", "degC", "Cabin air.", -100, 150, None, "mean"),
    Q("mean_radiant_temperature_c", "degC", "Mean radiant.", -100, 150, None, "mean"),
    Q("operative_temperature_c", "degC", "Mean of air and radiant.", -100, 150, None, "mean"),
    Q("contents_temperature_c", "degC", "Contents of the cabin.", -100, 150, None, "mean"),
    Q("uncooled_cabin_temperature_c", "degC", "Without the cooler.", -100, 150, None, "mean"),
    Q("cabin_relative_humidity", "%", "Cabin humidity.", 0, 100, None, "mean"),
    Q("comfort_measure", "1", "The measure asked for, in its own unit.", -100, 150, None, "mean"),
)
_COOLER = (
    Q("duty", "1", "Share of the time the compressor runs.", 0, 1, None, "mean"),
    Q("high_stage_fraction", "1", "Share of it above the lowest stage.", 0, 1, None, "mean"),
    Q("sensible_cooling_w", "W", "Sensible heat taken, net of the fan's.", -1e6, 1e6, None, "mean"),
    Q("latent_cooling_w", "W", "Latent heat taken.", 0, 1e6, None, "mean"),
    Q("cooler_power_w", "W", "Cooler, drawn from the bus.", 0, 1e6, None, "mean"),
    Q("heating_output_w", "W", "Heat from the heater.", 0, 1e6, None, "mean"),
    Q("heater_power_w", "W", "Heater, drawn from the bus.", 0, 1e6, None, "mean"),
)
_ELECTRICITY = (
    Q("load_power_w", "W", "House loads and vent fans.", 0, 1e6, None, "mean"),
    Q("standing_draw_w", "W", "Electronics that never rest.", 0, 1e6, None, "mean"),
    Q("solar_power_w", "W", "Solar at the bus, used or not.", 0, 1e6, None, "mean"),
    Q("solar_used_w", "W", "Solar that served or charged.", 0, 1e6, None, "mean"),
    Q("curtailed_solar_w", "W", "Solar that found no use.", 0, 1e6, None, "mean"),
    Q("alternator_power_w", "W", "Alternator power taken.", 0, 1e6, None, "mean"),
    Q("shore_power_w", "W", "Shore power.", 0, 1e6, None, "mean"),
    Q("battery_charge_w", "W", "Into the battery, at the bus.", 0, 1e6, None, "mean"),
    Q("battery_discharge_w", "W", "Out of the battery, at the bus.", 0, 1e6, None, "mean"),
    Q("battery_loss_w", "W", "Heat of the battery.", 0, 1e6, None, "mean"),
    Q("unmet_load_w", "W", "Demand that found no power.", 0, 1e6, None, "mean"),
    Q("state_of_charge", "1", "Charge over usable.", 0, 1, None, "point", None, PERCENT),
    Q("lowest_state_of_charge", "1", "Lowest within the interval.", 0, 1, None, "minimum"),
    Q("array_irradiance_w_m2", "W m-2", "On the arrays, by rated power.", 0, 2000, None, "mean"),
)
_HEAT = (
    Q("solar_gain_w", "W", "Sunlight that stays in the cabin.", 0, 1e6, None, "mean"),
    Q("envelope_gain_w", "W", "Heat through the outer faces.", -1e6, 1e6, None, "mean"),
    Q("air_exchange_gain_w", "W", "Heat with exchanged air.", -1e6, 1e6, None, "mean"),
    Q("inside_gain_w", "W", "People, loads, battery, glass.", -1e6, 1e6, None, "mean"),
    Q("stored_heat_change_w", "W", "Heat that the cabin stores.", -1e6, 1e6, None, "mean"),
    Q("outdoor_airflow_m3_s", "m3 s-1", "Exchanged outdoor air.", 0, 1000, None, "mean"),
)

OUTPUTS = MappingProxyType({q.name: q for q in (*_TEMPERATURES, *_COOLER, *_ELECTRICITY, *_HEAT)})
