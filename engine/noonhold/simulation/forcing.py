"""What the weather and the sun do to one rig at one place, interval by interval.

Everything here is computed once per (rig geometry, place, weather) with whole arrays; variants that
change only cooler, battery or operation share it.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.air.moist_air_arrays import (
    humidity_ratio_from_rh_array,
)
from noonhold.electricity.module_glass import array_angular_factor, array_diffuse_factors
from noonhold.envelope.convection import (
    STATION_HEIGHT_M,
    STEFAN_BOLTZMANN,
    ZERO_CELSIUS_K,
    wind_at_height,
)
from noonhold.envelope.glazing import angular_factors, for_each_glass, hemispherical_factors
from noonhold.envelope.ground_surface import ground_surface
from noonhold.rig import Exposure, Panel, Rig, SolarArray, Window
from noonhold.scenario import Ground, Place
from noonhold.simulation.ground_forcing import ground_forcing
from noonhold.solar.array_shading import own_shade
from noonhold.solar.shading import (
    awning_sky_fraction,
    awning_sunlit_fraction,
    horizon_mask,
    horizon_sky_fraction,
)
from noonhold.solar.sun import SolarGeometry, solar_geometry
from noonhold.solar.transposition import SurfaceIrradiance, sky_brightening, surface_irradiance
from noonhold.weather.weather_table import WeatherTable

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

NO_SUN: Final = -1
_SAME_DIRECTION_DEG: Final = 1e-6
_LEAST_BEAM: Final = 1e-6  # [W/m2]


class ForcingTables(NamedTuple):
    """``n`` intervals, ``o`` orientations, ``p`` chains, ``w`` windows, ``a`` arrays."""

    outdoor_start: FloatArray  # (n,) [degC]
    outdoor_end: FloatArray  # (n,) [degC]
    humidity_start: FloatArray  # (n,) [kg/kg]
    humidity_end: FloatArray  # (n,) [kg/kg]
    pressure: FloatArray  # (n,) [Pa]
    station_wind: FloatArray  # (n,) [m/s]
    wind: FloatArray  # (n,) at the height of the rig [m/s]
    sky: FloatArray  # (n,) sky temperature [degC]
    ground_temperature: FloatArray  # (n,) open ground, NaN for as warm as the air [degC]
    under_temperature: FloatArray  # (n,) and of the ground under the parked rig [degC]
    orientation: IntArray  # (p,) or NO_SUN
    beam: FloatArray  # (n, o) on the plane, far horizon counted [W/m2]
    sky_diffuse: FloatArray  # (n, o) [W/m2]
    ground: FloatArray  # (n, o) reflected, the place's shade on the ground counted [W/m2]
    window_beam: FloatArray  # (n, w, 2) beam by the angular factors of the glass [W/m2]
    window_hemispherical: FloatArray  # (w, 2) the factors for diffuse light
    awning_sunlit: FloatArray  # (n, p), or (0, p) for a rig without awnings
    awning_sky: FloatArray  # (p,) share of the sky left open by awnings
    array_beam: FloatArray  # (n, a) [W/m2]
    array_diffuse: FloatArray  # (n, a) [W/m2]
    array_beam_effective: FloatArray  # (n, a) after reflection [W/m2]
    array_diffuse_effective: FloatArray  # (n, a) after reflection [W/m2]
    imposed_heat: FloatArray  # (n,) known heat into the cabin air, 0 but for field logs [W]
    horizon_sky: float  # share of the sky dome above the far horizon
    interval_s: int


def _orientations(
    parts: tuple[Panel | Window, ...], heading_deg: float, underside_lit: bool
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return each part's orientation number and the tilts and azimuths of the numbers."""
    dark = {Exposure.SHELTERED, Exposure.ADIABATIC}
    if not underside_lit:
        dark.add(Exposure.UNDERSIDE)
    found: list[tuple[float, float]] = []
    number = np.full(len(parts), NO_SUN, dtype=np.int64)
    for i, part in enumerate(parts):
        tilt = part.tilt_deg
        if isinstance(part, Panel):
            if part.exposed_to in dark:
                continue
            if part.exposed_to is Exposure.UNDERSIDE:
                tilt = 180.0
        level = min(tilt, 180.0 - tilt) < _SAME_DIRECTION_DEG
        azimuth = 0.0 if level else (heading_deg + part.azimuth_from_front_deg) % 360.0
        key = (round(tilt, 6), round(azimuth, 6))
        if key not in found:
            found.append(key)
        number[i] = found.index(key)
    table = np.array(found).reshape(-1, 2)
    return number, table[:, 0].copy(), table[:, 1].copy()


def _awnings(
    rig: Rig, heading_deg: float, geometry: SolarGeometry
) -> tuple[FloatArray, FloatArray]:
    """Return the sunlit share (n, p) and the sky share (p,) that awnings leave."""
    parts: tuple[Panel | Window, ...] = (*rig.shell.panels, *rig.shell.windows)
    sky = np.ones(len(parts))
    if not rig.awnings:
        return np.ones((0, len(parts))), sky
    sunlit = np.ones((len(geometry.zenith_deg), len(parts)))
    for awning in rig.awnings:
        for p, part in enumerate(parts):
            turned = part.azimuth_from_front_deg - awning.side_azimuth_from_front_deg
            same_side = abs((turned + 180.0) % 360.0 - 180.0) < _SAME_DIRECTION_DEG
            if not same_side or part.extent is None or abs(part.tilt_deg - 90.0) > 1.0:
                continue
            azimuth = (heading_deg + part.azimuth_from_front_deg) % 360.0
            sunlit[:, p] *= awning_sunlit_fraction(geometry, azimuth, part.extent, awning)
            sky[p] *= awning_sky_fraction(part.extent, awning)
    return sunlit, sky


def _own_shade(
    rig: Rig, heading_deg: float, geometry: SolarGeometry, clock_hours: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the shaded part of each array and what it loses of the beam, both (n, a)."""
    shape = (len(clock_hours), len(rig.arrays))
    dark, lost = np.zeros(shape), np.zeros(shape)
    turn = np.deg2rad(heading_deg)
    east, north, up = geometry.mean_towards_sun.T
    towards_sun = np.column_stack(
        [
            east * np.cos(turn) - north * np.sin(turn),  # right
            east * np.sin(turn) + north * np.cos(turn),  # front
            up,
        ]
    )
    for a, array in enumerate(rig.arrays):
        if array.obstacles:
            dark[:, a], lost[:, a] = own_shade(array, towards_sun, clock_hours)
    return dark, lost


def array_angles(
    array: SolarArray, heading_deg: float, clock_hours: FloatArray, latitude: float
) -> tuple[FloatArray, FloatArray]:
    """Return where an array looks in every interval.

    Parameters
    ----------
    array : SolarArray
        A fixed array turns with the rig; a set-out one follows its aims by the clock.
    heading_deg : float
        Compass direction of the rig's front. [degree]
    clock_hours : numpy.ndarray, shape (n,)
        Hour of the clock in the middle of each interval. [h]
    latitude : float
        South of the equator the aims of a ``mirrored_south`` array are mirrored. [degree]

    Returns
    -------
    tilt_deg, azimuth_deg : numpy.ndarray, shape (n,)
        Compass azimuths. [degree]
    """
    if not array.aims:
        azimuth = array.azimuth_from_front_deg + (0.0 if array.folding else heading_deg)
        return np.full_like(clock_hours, array.tilt_deg), np.full_like(clock_hours, azimuth % 360.0)
    aims = sorted(array.aims, key=lambda aim: aim.from_hour)
    starts = np.array([aim.from_hour for aim in aims])
    # Before the day's first aim the array still looks where it was left the evening before.
    chosen = (np.searchsorted(starts, clock_hours, side="right") - 1) % len(aims)
    tilts = np.array([aim.tilt_deg for aim in aims])
    azimuths = np.array([aim.azimuth_deg for aim in aims])
    if array.mirrored_south and latitude < 0.0:
        azimuths = (180.0 - azimuths) % 360.0
    return tilts[chosen], azimuths[chosen]


def sky_temperature(horizontal_infrared: FloatArray) -> FloatArray:
    """Return the black-body temperature of the sky.

    Parameters
    ----------
    horizontal_infrared : numpy.ndarray
        Long-wave irradiance from the sky on a horizontal plane. [W/m2]

    Returns
    -------
    numpy.ndarray
        ``(I / σ)^(1/4)``, same shape. [degC]
    """
    result: FloatArray = (horizontal_infrared / STEFAN_BOLTZMANN) ** 0.25 - ZERO_CELSIUS_K
    return result


def forcing_tables(
    rig: Rig, place: Place, weather: WeatherTable, clock_hours: FloatArray
) -> ForcingTables:
    """Bring sun and weather onto every face, window and array of a rig.

    Parameters
    ----------
    rig : Rig
        For orientations, awnings, glass and arrays.
    place : Place
        Where it stands: heading, albedo, terrain, far horizon.
    weather : WeatherTable
        The weather over the run.
    clock_hours : numpy.ndarray, shape (n,)
        Hour of the operation's clock in the middle of each interval, for re-aimed arrays. [h]

    Returns
    -------
    ForcingTables
        One row an interval of the weather.

    Notes
    -----
    The sun is that of the weather's site, so that it fits the radiation that was measured there;
    for weather made for the place itself the two are one.
    """
    temp_start = weather.instants_at_start("temp_air")
    rh_start = weather.instants_at_start("relative_humidity")
    pressure = 0.5 * (weather.instants_at_start("pressure") + weather.pressure)
    station_wind = 0.5 * (weather.instants_at_start("wind_speed") + weather.wind_speed)
    offset = np.timedelta64(round(weather.site.utc_offset_h * 3600), "s")
    geometry = solar_geometry(
        weather.starts() - offset,
        weather.interval_s,
        weather.site.latitude,
        weather.site.longitude,
        weather.site.elevation_m,
        pressure_pa=pressure,
        temp_air=0.5 * (temp_start + weather.temp_air),
    )
    shell = rig.shell
    underside_lit = place.ground is not Ground.AIR_TEMPERATURE
    orientation, tilts, azimuths = _orientations(
        (*shell.panels, *shell.windows), place.heading_deg, underside_lit
    )
    above = horizon_mask(geometry, place.horizon)
    dome = float(horizon_sky_fraction(place.horizon))
    wind = wind_at_height(station_wind, shell.mid_height_m, place.terrain)
    sky = sky_temperature(weather.horizontal_infrared)
    humidity_end = humidity_ratio_from_rh_array(
        weather.temp_air, weather.relative_humidity / 100.0, pressure
    )
    over_ground = wind_at_height(station_wind, STATION_HEIGHT_M, place.terrain)
    below = ground_forcing(
        place, weather, geometry, clock_hours, sky, over_ground, humidity_end, above, dome
    )
    albedo = ground_surface(place).albedo

    brightening = sky_brightening(geometry, weather.dni, weather.dhi)

    def onto(tilt: FloatArray, azimuth: FloatArray) -> SurfaceIrradiance:
        return surface_irradiance(
            geometry,
            weather.ghi,
            weather.dni,
            weather.dhi,
            tilt,
            azimuth,
            albedo,
            brightening,
        )

    faces = onto(tilts, azimuths)
    glass = orientation[len(shell.panels) :]
    glass_beam = np.zeros((len(weather), len(glass), 2))
    for w, (o, window) in enumerate(zip(glass, shell.windows, strict=True)):
        # A beam along the glass is none: between panes that throw all back it would be 0 / 0.
        lit = np.flatnonzero(faces.beam[:, o] * above > _LEAST_BEAM)
        factors = angular_factors(faces.cos_incidence[lit, o], window)
        glass_beam[lit, w] = faces.beam[lit, o, None] * factors
    sunlit, awning_sky = _awnings(rig, place.heading_deg, geometry)

    latitude = weather.site.latitude
    angles = [array_angles(a, place.heading_deg, clock_hours, latitude) for a in rig.arrays]
    empty = np.zeros((len(weather), 0))
    array_tilt = np.column_stack([tilt for tilt, _ in angles] or [empty])
    array_azimuth = np.column_stack([azimuth for _, azimuth in angles] or [empty])
    onto_arrays = onto(array_tilt, array_azimuth)
    passed_beam = array_angular_factor(onto_arrays.cos_incidence)
    passed_sky, passed_ground = array_diffuse_factors(array_tilt)
    array_beam = onto_arrays.beam * above[:, None]
    dark, lost = _own_shade(rig, place.heading_deg, geometry, clock_hours)
    array_sky = onto_arrays.sky * dome

    return ForcingTables(
        outdoor_start=temp_start,
        outdoor_end=weather.temp_air,
        humidity_start=humidity_ratio_from_rh_array(temp_start, rh_start / 100.0, pressure),
        humidity_end=humidity_end,
        pressure=pressure,
        station_wind=station_wind,
        wind=wind,
        sky=sky,
        ground_temperature=below.ground_c,
        under_temperature=below.under_c,
        orientation=orientation,
        beam=faces.beam * above[:, None],
        sky_diffuse=faces.sky * dome,
        ground=faces.ground * below.lit[:, None],
        window_beam=glass_beam,
        window_hemispherical=np.array(for_each_glass(shell.windows, hemispherical_factors)).reshape(
            -1, 2
        ),
        awning_sunlit=sunlit,
        awning_sky=awning_sky,
        array_beam=array_beam * (1.0 - dark),
        array_diffuse=array_sky + onto_arrays.ground,
        array_beam_effective=array_beam * passed_beam * (1.0 - lost),
        array_diffuse_effective=array_sky * passed_sky + onto_arrays.ground * passed_ground,
        imposed_heat=np.zeros(len(weather)),
        horizon_sky=dome,
        interval_s=weather.interval_s,
    )
