"""A station with its typical year in short, as a document."""

from __future__ import annotations

from typing import Any

from noonhold.weather.catalogue import Station
from noonhold.weather.climate import Climate, Stretch
from noonhold_service.answers.projection_answer import number


def station_entry(station: Station, distance_km: float | None = None) -> dict[str, Any]:
    """Return a station as an entry of a list.

    Parameters
    ----------
    station : Station
        Of the catalogue.
    distance_km : float, optional
        From the point that was asked for. [km]
    """
    site = station.site
    return {
        "id": station.station_id,
        "name": site.name,
        "region": site.region,
        "latitude": site.latitude,
        "longitude": site.longitude,
        "elevation_m": site.elevation_m,
        "utc_offset_h": site.utc_offset_h,
        "source": site.source,
        "format": station.format.name,
        "distance_km": number(distance_km),
    }


def climate_document(station: Station, climate: Climate) -> dict[str, Any]:
    """Return a station and its typical year.

    Parameters
    ----------
    station : Station
        Of the catalogue.
    climate : Climate
        Of its file.
    """
    months = [
        {
            "month": each.month,
            "mean_high_c": number(each.mean_high_c),
            "mean_low_c": number(each.mean_low_c),
            "mean_dew_point_c": number(each.mean_dew_point_c),
            "mean_sun_wh_m2": number(each.mean_sun_wh_m2),
            "typical_day": each.typical_day,
        }
        for each in climate.months
    ]
    return {
        "station": station_entry(station),
        "months": months,
        "hottest_day": _stretch(climate.hottest_day),
        "hottest_week": _stretch(climate.hottest_week),
    }


def _stretch(stretch: Stretch) -> dict[str, Any]:
    return {
        "first_day": stretch.first_day,
        "days": stretch.days,
        "mean_c": number(stretch.mean_c),
        "high_c": number(stretch.high_c),
        "low_c": number(stretch.low_c),
        "mean_dew_point_c": number(stretch.mean_dew_point_c),
    }
