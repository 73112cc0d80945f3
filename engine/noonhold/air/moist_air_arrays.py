"""The functions of `air.moist_air` over arrays: same names with ``_array``, same arguments.

Each broadcasts its arguments and is compiled at its first call; units, domains and equations
stand at the scalar it is made of. NaN, in or out of the domain, stays in its own element.
"""

from noonhold.air import moist_air
from noonhold.numerics.elementwise import elementwise


@elementwise
def saturation_pressure_array(temp_c: float) -> float:
    """Vector form of `noonhold.air.moist_air.saturation_pressure`."""
    return moist_air.saturation_pressure(temp_c)


@elementwise
def dew_point_array(vapour_pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.dew_point`."""
    return moist_air.dew_point(vapour_pressure_pa)


@elementwise
def humidity_ratio_array(vapour_pressure_pa: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.humidity_ratio`."""
    return moist_air.humidity_ratio(vapour_pressure_pa, pressure_pa)


@elementwise
def vapour_pressure_array(humidity_ratio: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.vapour_pressure`."""
    return moist_air.vapour_pressure(humidity_ratio, pressure_pa)


@elementwise
def saturation_humidity_ratio_array(temp_c: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.saturation_humidity_ratio`."""
    return moist_air.saturation_humidity_ratio(temp_c, pressure_pa)


@elementwise
def humidity_ratio_from_rh_array(temp_c: float, rh_fraction: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.humidity_ratio_from_rh`."""
    return moist_air.humidity_ratio_from_rh(temp_c, rh_fraction, pressure_pa)


@elementwise
def relative_humidity_array(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.relative_humidity`."""
    return moist_air.relative_humidity(temp_c, humidity_ratio, pressure_pa)


@elementwise
def specific_heat_array(humidity_ratio: float) -> float:
    """Vector form of `noonhold.air.moist_air.specific_heat`."""
    return moist_air.specific_heat(humidity_ratio)


@elementwise
def enthalpy_array(temp_c: float, humidity_ratio: float) -> float:
    """Vector form of `noonhold.air.moist_air.enthalpy`."""
    return moist_air.enthalpy(temp_c, humidity_ratio)


@elementwise
def temperature_from_enthalpy_array(enthalpy: float, humidity_ratio: float) -> float:
    """Vector form of `noonhold.air.moist_air.temperature_from_enthalpy`."""
    return moist_air.temperature_from_enthalpy(enthalpy, humidity_ratio)


@elementwise
def dry_air_density_array(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.dry_air_density`."""
    return moist_air.dry_air_density(temp_c, humidity_ratio, pressure_pa)


@elementwise
def density_array(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.density`."""
    return moist_air.density(temp_c, humidity_ratio, pressure_pa)


@elementwise
def standard_pressure_array(elevation_m: float) -> float:
    """Vector form of `noonhold.air.moist_air.standard_pressure`."""
    return moist_air.standard_pressure(elevation_m)


@elementwise
def humidity_ratio_from_wet_bulb_array(
    temp_c: float, wet_bulb_c: float, pressure_pa: float
) -> float:
    """Vector form of `noonhold.air.moist_air.humidity_ratio_from_wet_bulb`."""
    return moist_air.humidity_ratio_from_wet_bulb(temp_c, wet_bulb_c, pressure_pa)


@elementwise
def wet_bulb_array(temp_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.wet_bulb`."""
    return moist_air.wet_bulb(temp_c, humidity_ratio, pressure_pa)


@elementwise
def saturated_temperature_from_enthalpy_array(enthalpy: float, pressure_pa: float) -> float:
    """Vector form of `noonhold.air.moist_air.saturated_temperature_from_enthalpy`."""
    return moist_air.saturated_temperature_from_enthalpy(enthalpy, pressure_pa)
