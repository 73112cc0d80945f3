"""Functions of `air.moist_air` over arrays: same names with ``_array``, same arguments.

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
