"""A site's figures checked, whoever gave them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from noonhold.errors import Fault, WeatherFormatError
from noonhold.quantities import INPUTS, Quantity
from noonhold.weather.weather_table import Site

SITE_BOUNDS: Mapping[str, Quantity] = {
    **{name: INPUTS[name] for name in ("latitude", "longitude", "elevation_m")},
    # Of a file's header; a document gives a time zone or an offset within its moments.
    "utc_offset_h": Quantity("utc_offset_h", "h", "Standard time less UTC.", -12, 14),
}


def _figure(prefix: str, name: str, given: object) -> float | Fault:
    """Return a figure of the site, or the fault that stands against it."""
    limits = SITE_BOUNDS[name]
    path = prefix + name
    try:
        value = float(str(given))
    except ValueError:
        return Fault(path, f"{name} must be a number", given, limits.bound)
    if not math.isfinite(value) or not limits.lower <= value <= limits.upper:
        return Fault(path, f"{name} is {value:g}", value, limits.bound)
    return value


def site_faults(prefix: str, figures: Mapping[str, object]) -> list[Fault]:
    """Return a fault for every figure of a site that cannot be.

    Parameters
    ----------
    prefix : str
        Put before the name in a fault's path.
    figures : mapping
        Any of ``latitude``, ``longitude``, ``elevation_m``, ``utc_offset_h``, as found.

    Returns
    -------
    list of Fault
        Empty where all is well.
    """
    found = (_figure(prefix, name, given) for name, given in figures.items())
    return [item for item in found if isinstance(item, Fault)]


def make_site(
    prefix: str,
    figures: Mapping[str, object],
    name: str,
    station: str = "",
    region: str = "",
    source: str = "",
) -> Site:
    """Return a site from figures as they were found.

    Parameters
    ----------
    prefix : str
        Put before the name in a fault's path.
    figures : mapping
        ``latitude``, ``longitude``, ``elevation_m``, ``utc_offset_h``: numbers, or their text.
    name, station, region, source : str
        See `Site`.

    Returns
    -------
    Site
        With figures in their bounds.

    Raises
    ------
    WeatherFormatError
        Naming every figure that is no number or out of bounds.
    """
    faults = site_faults(prefix, figures)
    if faults:
        raise WeatherFormatError(faults)
    numbers = {key: float(str(figures[key])) for key in SITE_BOUNDS}
    return Site(name=name, station=station, region=region, source=source, **numbers)
