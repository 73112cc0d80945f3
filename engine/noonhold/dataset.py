"""A projection as an xarray Dataset: named variables with units, one row an interval."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
import numpy.typing as npt
import xarray as xr

from noonhold.air.moist_air_arrays import relative_humidity_array
from noonhold.projection import Projection
from noonhold.quantities import quantity
from noonhold.simulation import channels as ch

FloatArray = npt.NDArray[np.float64]
Maker = Callable[[Projection], FloatArray]


def _channel(number: int) -> Maker:
    """Return a maker of a variable that is a channel of the record."""
    return lambda projection: projection.record[:, number]


def _operative(projection: Projection) -> FloatArray:
    record = projection.record
    result: FloatArray = 0.5 * (record[:, ch.CABIN] + record[:, ch.RADIANT])
    return result


def _humidity(projection: Projection) -> FloatArray:
    record, weather = projection.record, projection.weather
    pressure = 0.5 * (weather.instants_at_start("pressure") + weather.pressure)
    share = relative_humidity_array(record[:, ch.CABIN], record[:, ch.HUMIDITY], pressure)
    result: FloatArray = np.clip(100.0 * share, 0.0, 100.0)
    return result


def _charge(number: int) -> Maker:
    """Return a maker of a state of charge."""
    return lambda projection: projection.record[:, number] / projection.rig.battery.usable_energy_wh


def _uncooled(projection: Projection) -> FloatArray:
    return projection.uncooled[:, ch.CABIN]


# Variables of an interval, in the order of a reader's interest.
VARIABLES: Final[dict[str, Maker]] = {
    "outdoor_temperature_c": _channel(ch.OUTDOOR),
    "cabin_temperature_c": _channel(ch.CABIN),
    "mean_radiant_temperature_c": _channel(ch.RADIANT),
    "operative_temperature_c": _operative,
    "contents_temperature_c": _channel(ch.CONTENTS),
    "uncooled_cabin_temperature_c": _uncooled,
    "cabin_relative_humidity": _humidity,
    "comfort_measure": _channel(ch.COMFORT),
    "duty": _channel(ch.DUTY),
    "high_stage_fraction": _channel(ch.HIGH_FRACTION),
    "sensible_cooling_w": _channel(ch.SENSIBLE),
    "latent_cooling_w": _channel(ch.LATENT),
    "cooler_power_w": _channel(ch.COOLER_POWER),
    "heating_output_w": _channel(ch.HEATING),
    "heater_power_w": _channel(ch.HEATER_POWER),
    "load_power_w": _channel(ch.LOAD_POWER),
    "standing_draw_w": _channel(ch.STANDING_POWER),
    "solar_power_w": _channel(ch.SOLAR),
    "solar_used_w": _channel(ch.SOLAR_USED),
    "curtailed_solar_w": _channel(ch.CURTAILED),
    "alternator_power_w": _channel(ch.ALTERNATOR),
    "shore_power_w": _channel(ch.SHORE),
    "battery_charge_w": _channel(ch.CHARGE),
    "battery_discharge_w": _channel(ch.DISCHARGE),
    "battery_loss_w": _channel(ch.BATTERY_LOSS),
    "unmet_load_w": _channel(ch.UNMET),
    "state_of_charge": _charge(ch.STORED),
    "lowest_state_of_charge": _charge(ch.STORED_LOWEST),
    "array_irradiance_w_m2": _channel(ch.INCIDENT_ARRAYS),
    "solar_gain_w": _channel(ch.SOLAR_GAIN),
    "envelope_gain_w": _channel(ch.ENVELOPE),
    "air_exchange_gain_w": _channel(ch.AIR_EXCHANGE),
    "inside_gain_w": _channel(ch.GAINS),
    "stored_heat_change_w": _channel(ch.STORED_HEAT_CHANGE),
    "outdoor_airflow_m3_s": _channel(ch.OUTDOOR_AIRFLOW),
}


def to_dataset(projection: Projection) -> xr.Dataset:
    """Return a projection as a Dataset over time.

    Parameters
    ----------
    projection : Projection
        From :func:`noonhold.projection.project`.

    Returns
    -------
    xarray.Dataset
        Dimension ``time``: each interval's start in universal time, rising even where a clock
        is set back and reads an hour twice. Coordinates along it: ``clock_time``, what the clock
        reads then, no zone attached, and ``utc_offset_s``. Every variable carries the units and
        description of :mod:`noonhold.quantities`.
    """
    clock = projection.clock
    variables = {}
    for name, make in VARIABLES.items():
        known = quantity(name)
        attributes = {"units": known.unit, "long_name": known.description}
        if known.standard_name:
            attributes["standard_name"] = known.standard_name
        if known.cell_method:
            attributes["cell_methods"] = f"time: {known.cell_method}"
        variables[name] = ("time", make(projection), attributes)
    reading = clock.starts.astype("datetime64[ns]")
    universal = (clock.starts - clock.offset_s.astype("timedelta64[s]")).astype("datetime64[ns]")
    offset = ("time", clock.offset_s, {"units": "s", "long_name": "clock less UTC"})
    return xr.Dataset(
        variables,
        coords={
            "time": ("time", universal, {"standard_name": "time", "long_name": "start, UTC"}),
            "clock_time": ("time", reading, {"long_name": "clock reading at the start"}),
            "utc_offset_s": offset,
        },
        attrs={
            "rig": projection.rig.name,
            "site": projection.weather.site.name,
            "clock": clock.name,
            "interval_s": projection.weather.interval_s,
            "step_s": projection.step_s,
        },
    )
