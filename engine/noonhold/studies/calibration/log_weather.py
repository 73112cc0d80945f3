"""The weather along a field log: what was read, and the sky as its own arrays saw it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta, timezone
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd
import pvlib
from scipy.ndimage import median_filter

from noonhold.errors import DocumentError, Fault, WeatherError
from noonhold.scenario import Place
from noonhold.studies.calibration.field_log import GRID_S, LogPiece
from noonhold.weather.own_columns import hourly_table
from noonhold.weather.sky import CLOUD_GLOBAL_LOSS, cloud_transmission
from noonhold.weather.weather_table import FloatArray, Site, WeatherTable

CLOUDS: Final = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)  # skies tried against an array [share]
LIGHT: Final = ("ghi", "dni", "dhi")
_SUN_UP: Final = 150.0  # clear sky's global irradiance with the sun well up [W/m2]
_CLEAR: Final = (
    0.97  # of the clear sky's light; no instrument distinguishes a smaller loss from cloud
)
_HOUR: Final = 3600 // GRID_S + 1
_FULL: Final = 0.97  # charge above which an array may be curtailed, and says nothing of the sky
_BRIGHT: Final = 0.3  # of the brightest hour; below it an array says little of the sky
_CLEAREST: Final = 0.9  # quantile of array over clear sky that is taken as a clear sky
# Columns of a piece's weather, and where a calibration's document has what they were made from.
_LOGGED_AS: Final = {
    "temp_air": "/log/columns/outdoor_temperature",
    "temp_dew": "/weather/dew_point_c",
}
_THINNED: Final = 0.97  # of the clear array; below it the sky was made to fit the array


@dataclass(frozen=True)
class Background:
    """What the log does not say of the weather.

    Parameters
    ----------
    dew_point_c : float or None
        Where no humidity was logged. [degC]
    wind_speed_m_s : float
        At 10 m above open ground, where no wind was logged. [m/s]
    """

    dew_point_c: float | None = None
    wind_speed_m_s: float = 2.0


@dataclass(frozen=True)
class Sky:
    """ForcingCache on the grid of a piece.

    Parameters
    ----------
    light : mapping of str to numpy.ndarray, shape (n,)
        ``ghi`` at least. [W/m2]
    cloud : numpy.ndarray, shape (n,)
        Share of the sky, for its long wave; by night that of the evening and morning.
    fitted : numpy.ndarray of bool, shape (n,)
        Intervals whose sky was made to fit the array, so that the array proves nothing there.
    """

    light: Mapping[str, FloatArray]
    cloud: FloatArray
    fitted: npt.NDArray[np.bool_]


def site_of(place: Place, utc_offset_h: float) -> Site:
    """Return a place as the site of its own weather.

    Parameters
    ----------
    place : Place
        Where the rig stands.
    utc_offset_h : float
        Clock of the log. [h]
    """
    return Site(
        name="the place itself",
        latitude=place.latitude,
        longitude=place.longitude,
        elevation_m=place.elevation_m,
        utc_offset_h=utc_offset_h,
        source="field log",
    )


def standard_start(piece: LogPiece, site: Site) -> np.datetime64:
    """Return a piece's start on the site's clock."""
    start: np.datetime64 = piece.start + np.timedelta64(round(site.utc_offset_h * 3600.0), "s")
    return start


def sky_light(
    site: Site, start: np.datetime64, count: int, cloud: float | FloatArray = 0.0
) -> dict[str, FloatArray]:
    """Return the light of a sky over intervals of the grid.

    Parameters
    ----------
    start : numpy.datetime64
        Start of the first interval on the site's clock.
    count : int
        Number of intervals.
    cloud : float or numpy.ndarray, shape (count,)
        Share of the sky under cloud.

    Returns
    -------
    dict of str to numpy.ndarray, shape (count,)
        ``ghi``, ``dni``, ``dhi`` with the sun in the middle of each interval. [W/m2]

    Notes
    -----
    Clear sky by Ineichen and Perez, thinned by Kasten and Czeplak's cloud, as
    :func:`noonhold.weather.hot_day.hot_day` has it.
    """
    to_utc = round(0.5 * GRID_S - site.utc_offset_h * 3600.0)
    seconds = to_utc + np.arange(count) * GRID_S
    middles = start.astype("datetime64[s]") + seconds.astype("timedelta64[s]")
    place = pvlib.location.Location(site.latitude, site.longitude, "UTC", site.elevation_m)
    times = pd.DatetimeIndex(middles).tz_localize("UTC")
    table = place.get_clearsky(times, model="ineichen")
    clear = {name: table[name].to_numpy(dtype=np.float64) for name in LIGHT}
    share = np.broadcast_to(np.asarray(cloud, dtype=np.float64), (count,))
    kept = cloud_transmission(share)
    beam_kept = kept * (1.0 - share**2)
    ghi = clear["ghi"] * kept
    dhi = ghi - (clear["ghi"] - clear["dhi"]) * beam_kept
    return {"ghi": ghi, "dni": clear["dni"] * beam_kept, "dhi": dhi}


def is_lit(piece: LogPiece) -> bool:
    """Tell whether the light of a piece was logged."""
    return "ghi" in piece.rows and not bool(np.isnan(piece.rows["ghi"]).all())


def logged_sky(piece: LogPiece, site: Site) -> Sky | None:
    """Return the light that was logged, ``None`` where no global irradiance was.

    Returns
    -------
    Sky or None
        Where only ``ghi`` was logged it stands alone, for the weather table to split. Gaps have
        the cloud of the hours beside them.
    """
    if not is_lit(piece):
        return None
    ghi = piece.rows["ghi"]
    count, start = len(piece), standard_start(piece, site)
    clear = sky_light(site, start, count)["ghi"]
    logged = ~np.isnan(ghi) & (clear > _SUN_UP)
    cloud = np.zeros(count)
    if logged.any():
        # An hour's usual clearness: single readings err by more than thin cloud takes.
        kept = median_filter(ghi[logged] / clear[logged], size=_HOUR, mode="nearest")
        seen = np.where(kept > _CLEAR, 0.0, cloud_of(kept))
        cloud = np.interp(np.arange(count), np.flatnonzero(logged), seen)
    light = {name: piece.rows[name] for name in LIGHT if name in piece.rows}
    if any(np.isnan(values).any() for values in light.values()):
        beside = sky_light(site, start, count, cloud)
        light = {n: np.where(np.isnan(v), beside[n], v) for n, v in light.items()}
    return Sky(light, cloud, np.zeros(count, dtype=bool))


def plain_sky(site: Site, start: np.datetime64, count: int, cloud: float) -> Sky:
    """Return the same sky over a whole stretch; see `sky_light`."""
    light = sky_light(site, start, count, cloud)
    return Sky(light, np.full(count, cloud), np.zeros(count, dtype=bool))


def cloud_of(kept: FloatArray) -> FloatArray:
    """Return the cloud that lets a share of the clear sky's light through.

    Parameters
    ----------
    kept : numpy.ndarray
        Global irradiance over that of the clear sky.

    Returns
    -------
    numpy.ndarray
        :func:`noonhold.weather.sky.cloud_transmission` solved for the cloud, 0 to 1.
    """
    lost = np.clip((1.0 - kept) / CLOUD_GLOBAL_LOSS, 0.0, 1.0)
    cloud: FloatArray = lost ** (1.0 / 3.4)
    return cloud


def sky_by_array(
    piece: LogPiece, site: Site, modelled: Mapping[float, FloatArray], usual_cloud: float = 0.0
) -> Sky:
    """Return the sky that an array's power implies.

    Parameters
    ----------
    piece : LogPiece
        With ``array_power_w``, and the charge where it is known.
    modelled : mapping of float to numpy.ndarray, shape (n,)
        Power that the rig's arrays would give under each of `CLOUDS`. [W]
    usual_cloud : float
        Cloud where the array says nothing at all.

    Returns
    -------
    Sky
        Clear where the array gave what it gives under the clearest skies of the log.

    Notes
    -----
    The log's clearest tenth of the bright hours is taken as a clear sky, so that array power and
    cloud can be distinguished at all. An interval that gave less has the cloud under which the
    modelled array loses as much. While the battery is full the array may be curtailed, and the
    cloud of the hours beside is kept.
    """
    power, clear = piece.rows["array_power_w"], modelled[0.0]
    charge = piece.rows.get("state_of_charge", np.full(len(piece), np.nan))
    held_back = np.interp(np.arange(len(piece)), *_known(charge, 0.0)) > _FULL
    bright = clear > _BRIGHT * max(float(clear.max(initial=0.0)), 1.0)
    tells = bright & ~held_back & ~np.isnan(power)
    start = standard_start(piece, site)
    if not tells.any():
        return plain_sky(site, start, len(piece), usual_cloud)
    # An hour's usual share: a single reading's error would pass for thin cloud.
    share = median_filter(power[tells] / clear[tells], size=_HOUR, mode="nearest")
    share = share / max(float(np.quantile(share, _CLEAREST)), 1e-6)
    losses = np.column_stack([modelled[cloud] for cloud in CLOUDS])
    cloud = np.full(len(piece), np.nan)
    for row, kept in zip(np.flatnonzero(tells), share, strict=True):
        # Power falls with cloud, and interpolation wants it to rise.
        thin = float(np.interp(kept * clear[row], losses[row, ::-1], CLOUDS[::-1]))
        cloud[row] = 0.0 if kept >= _THINNED else thin
    filled = np.interp(np.arange(len(piece)), *_known(cloud, usual_cloud))
    return Sky(sky_light(site, start, len(piece), filled), filled, filled > 0.0)


def _known(values: FloatArray, otherwise: float) -> tuple[FloatArray, FloatArray]:
    """Return places and values of what is known, one made up where nothing is."""
    known = np.flatnonzero(~np.isnan(values))
    if not len(known):
        return np.zeros(1), np.full(1, otherwise)
    return known.astype(np.float64), values[known]


def piece_weather(piece: LogPiece, site: Site, sky: Sky, background: Background) -> WeatherTable:
    """Return the weather table of a piece.

    Parameters
    ----------
    background : Background
        What was not logged.

    Returns
    -------
    WeatherTable
        At the grid's interval.

    Raises
    ------
    DocumentError
        Where neither humidity nor a dew point is known.
    WeatherError
        Where the columns cannot be weather.
    """
    count = len(piece)
    columns: dict[str, FloatArray] = {"temp_air": piece.rows["outdoor_temperature_c"]}
    columns |= {name: values for name, values in sky.light.items()}
    columns["opaque_sky_cover"] = 10.0 * sky.cloud
    places = np.arange(count, dtype=np.float64)
    if "relative_humidity" in piece.rows:
        known = _known(piece.rows["relative_humidity"], 50.0)
        columns["relative_humidity"] = np.interp(places, *known)
    elif background.dew_point_c is not None:
        columns["temp_dew"] = np.minimum(background.dew_point_c, columns["temp_air"])
    else:
        raise DocumentError.single(
            "/weather/dew_point_c", "is needed where the log holds no relative_humidity"
        )
    wind = piece.rows.get("wind_speed", np.full(count, background.wind_speed_m_s))
    columns["wind_speed"] = np.interp(places, *_known(wind, background.wind_speed_m_s))
    start = standard_start(piece, site)
    try:
        table = hourly_table(site, start, GRID_S, columns, pointer="/log/columns")
    except WeatherError as error:
        raise type(error)(_in_log(fault, start, site) for fault in error.faults) from None
    at_start = np.array(
        [
            piece.opening["outdoor_temperature_c"],
            table.relative_humidity[0],
            table.pressure[0],
            table.wind_speed[0],
        ]
    )
    return replace(table, opening=at_start)


def _in_log(fault: Fault, start: np.datetime64, site: Site) -> Fault:
    """Return a fault of a piece's weather at the column of the log it came from."""
    path = fault.path
    for name, logged in _LOGGED_AS.items():
        path = path.replace(f"/log/columns/{name}", logged)
    clock = timezone(timedelta(hours=site.utc_offset_h))
    first = start.astype("datetime64[s]").item().replace(tzinfo=clock).isoformat()
    rows = f"its rows are brought to every {GRID_S} s from {first} on, and counted from 0 there"
    return replace(fault, path=path, hint=f"{fault.hint}; {rows}" if fault.hint else rows)
