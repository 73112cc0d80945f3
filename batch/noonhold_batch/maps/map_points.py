"""What a map shows: one point a station, for one rig."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from noonhold.pictures.map_stations import Look, RigMap, Station
from noonhold.quantities import Cause, Horizon, Verdict
from noonhold_batch.results.result import require
from noonhold_batch.results.row_selection import ResultDays
from noonhold_batch.results.seasons import month_words
from noonhold_batch.results.summaries import DaysSummary

_OF_SITES = ("latitude", "longitude", "elevation", "site_name", "region")


@dataclass(frozen=True)
class Point:
    """One station on a map.

    Parameters
    ----------
    site, name, region : str
        Of the station.
    latitude, longitude, elevation_m : float
        [degree], [degree], [m]
    look : Look
        How it is drawn.
    summary : DaysSummary or None
        None without verdicts.
    reason : str
        Why there are none.
    best_months : str
        Months of which no date fails, in words.
    """

    site: str
    name: str
    region: str
    latitude: float
    longitude: float
    elevation_m: float
    look: Look
    summary: DaysSummary | None
    reason: str
    best_months: str

    @property
    def station(self) -> Station:
        """Return what a picture shows of it."""
        if self.summary is None:
            return Station(self.longitude, self.latitude, self.look, float("nan"))
        shares = self.summary.share, self.summary.narrow_share
        return Station(self.longitude, self.latitude, self.look, *shares)


@dataclass(frozen=True)
class RigPoints:
    """All stations for one rig.

    Parameters
    ----------
    points : tuple of Point
        Stations whose coordinates are known.
    unplaced : tuple of str
        Stations whose file does not even say where they are.
    """

    rig: str
    points: tuple[Point, ...]
    unplaced: tuple[str, ...]


def look_of(summary: DaysSummary | None) -> Look:
    """Return how a station with this summary is drawn.

    Parameters
    ----------
    summary : DaysSummary or None
        Of its year.

    Returns
    -------
    Look
        By its lowest verdict, and by what fails first.
    """
    if summary is None:
        return Look.NO_VERDICT
    if not summary.days_needing_cooling:
        return Look.NO_NEED
    if summary.verdict is not Verdict.FAILS:
        return Look.HOLDS if summary.verdict is Verdict.HOLDS else Look.NARROWLY
    if summary.first_cause.of_energy:
        return Look.ENERGY
    return Look.CAPACITY if summary.first_cause is Cause.CAPACITY else Look.OPERATION


def map_points(result: xr.Dataset, rigs: list[str], horizon: Horizon) -> list[RigPoints]:
    """Return the points of one map a rig.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    rigs : list of str
        Names on the ``rig`` axis.
    horizon : Horizon
        What is asked of every date.

    Returns
    -------
    list of RigPoints
        In the order of ``rigs``.

    Raises
    ------
    BatchError
        Where the result does not hold what a map shows.
    """
    require(result, _OF_SITES, "a map")
    days = ResultDays(result, horizon)
    figures = {name: result[name].to_numpy() for name in ("latitude", "longitude", "elevation")}
    texts = {name: result[name].to_numpy() for name in ("site_name", "region")}
    placed = np.isfinite(figures["latitude"]) & np.isfinite(figures["longitude"])
    found = []
    for rig in rigs:
        r = days.rigs.index(rig)
        points = []
        for s in np.flatnonzero(placed):
            only = np.arange(len(days.sites)) == s
            south = bool(days.south[s])
            summary = days.summary(r, only, slice(None))
            points.append(
                Point(
                    days.sites[s],
                    str(texts["site_name"][s]),
                    str(texts["region"][s]),
                    float(figures["latitude"][s]),
                    float(figures["longitude"][s]),
                    float(figures["elevation"][s]),
                    look_of(summary),
                    summary,
                    str(days.reasons[r, s]),
                    "" if summary is None else month_words(summary.best_months, south),
                )
            )
        unplaced = tuple(days.sites[s] for s in np.flatnonzero(~placed))
        found.append(RigPoints(rig, tuple(points), unplaced))
    return found


def picture_of(points: RigPoints, title: str, horizon: Horizon) -> RigMap:
    """Return what a picture shows of one rig.

    Parameters
    ----------
    points : RigPoints
        From `map_points`.
    title : str
        Name that people read.
    horizon : Horizon
        What is asked of every date.
    """
    return RigMap(title, horizon.word, tuple(point.station for point in points.points))


def told_unplaced(maps: Sequence[RigPoints]) -> str:
    """Return in words how many stations no map can show, empty where it shows all.

    Parameters
    ----------
    maps : sequence of RigPoints
        From `map_points`.
    """
    unplaced = {site for each in maps for site in each.unplaced}
    if not unplaced:
        return ""
    return f"Not on the map, as their files do not tell where they stand: {len(unplaced)}."
