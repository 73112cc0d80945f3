"""A map as GeoJSON (RFC 7946): one feature a rig and station, ready for any map software."""

from __future__ import annotations

import json
import math
from typing import Any, NamedTuple

from noonhold.verdict import CAUTIONS
from noonhold_batch.maps.map_points import Point, RigPoints


class Asked(NamedTuple):
    """The question of a map: its horizon in a word or two, and in full."""

    word: str
    question: str


def _number(value: float, digits: int) -> float | None:
    """Return a rounded number, None where it does not exist: GeoJSON has no NaN."""
    return round(value, digits) if math.isfinite(value) else None


def _feature(rig: str, point: Point) -> dict[str, Any]:
    position = [round(point.longitude, 6), round(point.latitude, 6)]
    if math.isfinite(point.elevation_m):
        position.append(round(point.elevation_m, 1))
    properties: dict[str, Any] = {
        "rig": rig,
        "site": point.site,
        "name": point.name,
        "region": point.region,
        "look": point.look.value,
    }
    if point.summary is None:
        properties |= {"feasible_fraction": None, "reason": point.reason or "not computed yet"}
    else:
        summary = point.summary
        properties |= {
            "feasible_fraction": _number(summary.share, 4),
            "cooling_dates": summary.days_needing_cooling,
            "verdict": summary.verdict.word if summary.days_needing_cooling else None,
            "first_cause": summary.first_cause.word,
            "holds_dates": summary.holding_days - summary.narrow_days,
            "narrowly_dates": summary.narrow_days,
            "fails_dates": summary.failing_days,
            "narrowly_fraction": _number(summary.narrow_share, 4),
            "best_months": point.best_months,
            "living_there_unserved_kwh": _number(summary.unmet_kwh, 2),
            "living_there_unserved_hours": (
                None if summary.unmet_h is None else _number(summary.unmet_h, 1)
            ),
            "longest_failing_run_days": summary.longest_failing_run_d,
            "days_cooler_too_small_first": summary.first_capacity,
            "days_energy_out_first": summary.first_energy,
            "days_operation_first": summary.first_operation,
            "outdoor_high_95_percent_degc": _number(summary.hot_high_c, 2),
        }
    return {
        "type": "Feature",
        "id": f"{rig}/{point.site}",
        "geometry": {"type": "Point", "coordinates": position},
        "properties": properties,
    }


def to_geojson(maps: list[RigPoints], asked: Asked, said: str) -> dict[str, Any]:
    """Return a map as a GeoJSON object.

    Parameters
    ----------
    maps : list of RigPoints
        From `noonhold_batch.maps.map_points.map_points`.
    asked : Asked
        The question that they answer.
    said : str
        What was computed, in words.

    Returns
    -------
    dict
        A FeatureCollection; longitude before latitude, WGS 84. Stations without coordinates are
        listed in ``unplaced``.
    """
    return {
        "type": "FeatureCollection",
        "asked": asked.word,
        "question": asked.question,
        "description": said,
        "cautions": list(CAUTIONS),
        "unplaced": sorted({site for each in maps for site in each.unplaced}),
        "features": [_feature(each.rig, point) for each in maps for point in each.points],
    }


def geojson_text(maps: list[RigPoints], asked: Asked, said: str) -> str:
    """Return the same as text, free of NaN and Infinity.

    Parameters
    ----------
    maps, asked, said : see `to_geojson`
        The same.

    Returns
    -------
    str
        UTF-8 JSON.
    """
    return (
        json.dumps(to_geojson(maps, asked, said), ensure_ascii=False, allow_nan=False, indent=1)
        + "\n"
    )
