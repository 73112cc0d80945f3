"""What part of the earth a map shows, and how degrees lie on the paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from noonhold.pictures.map_stations import Station
from noonhold.pictures.style import FloatArray

_MARGIN = 0.08
_LOWEST_SHAPE, _HIGHEST_SHAPE = 0.35, 1.6


@dataclass(frozen=True)
class Frame:
    """What every map of a figure shows.

    Parameters
    ----------
    west, east, south, north : float
        Edges; longitudes may pass half a circle. [degree]
    middle : float
        Longitude about which others are turned. [degree]
    """

    west: float
    east: float
    south: float
    north: float
    middle: float

    @property
    def shape(self) -> float:
        """Return height over width on paper."""
        wide = (self.east - self.west) * self.narrowing
        return min(max((self.north - self.south) / wide, _LOWEST_SHAPE), _HIGHEST_SHAPE)

    @property
    def narrowing(self) -> float:
        """Return the length of a degree of longitude over one of latitude, in the middle."""
        return max(math.cos(math.radians(0.5 * (self.south + self.north))), 0.1)

    def turned(self, longitude: FloatArray) -> FloatArray:
        """Return longitudes within half a circle of the middle, shape kept. [degree]."""
        result: FloatArray = self.middle + (longitude - self.middle + 180.0) % 360.0 - 180.0
        return result


def frame_of(stations: Sequence[Station]) -> Frame:
    """Return the frame that holds stations with a margin.

    Parameters
    ----------
    stations : sequence of Station
        May be empty: the whole earth.

    Returns
    -------
    Frame
        A region astride the 180th meridian stays in one piece.
    """
    if not stations:
        return Frame(-180.0, 180.0, -90.0, 90.0, 0.0)
    longitude = np.array([each.longitude for each in stations])
    radians = np.radians(longitude)
    middle = math.degrees(math.atan2(np.sin(radians).mean(), np.cos(radians).mean()))
    turned = Frame(0.0, 0.0, 0.0, 0.0, middle).turned(longitude)
    east, west = float(turned.max()), float(turned.min())
    north = max(each.latitude for each in stations)
    south = min(each.latitude for each in stations)
    grow = _MARGIN * max(north - south, east - west, 1.0)
    return Frame(
        west=west - grow,
        east=east + grow,
        south=max(south - grow, -90.0),
        north=min(north + grow, 90.0),
        middle=middle,
    )
