"""GeoJSON that a user gives: lines to draw beneath a map, polygons that make regions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt
import xarray as xr

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.results.result import require
from noonhold_batch.sweep.sweep_cases import read_json

Line: TypeAlias = npt.NDArray[np.float64]
_NAMES = ("name", "NAME", "Name", "region", "id")


def read_lines(path: Path) -> list[Line]:
    """Return every line and ring of a GeoJSON file.

    Parameters
    ----------
    path : pathlib.Path
        Any GeoJSON object (RFC 7946).

    Returns
    -------
    list of numpy.ndarray, shape (n, 2)
        Longitude, latitude. [degree]

    Raises
    ------
    BatchError
        Where it is no GeoJSON, or has neither lines nor polygons.
    """
    found = []
    for geometry, _ in _geometries(read_json(path), path):
        kind, parts = geometry.get("type"), geometry.get("coordinates")
        nesting = {"LineString": 0, "MultiLineString": 1, "Polygon": 1, "MultiPolygon": 2}
        if kind in nesting:
            found += [_line(ring, path) for ring in _flat(parts, nesting[str(kind)])]
    if not found:
        raise BatchError.single(str(path), "has neither lines nor polygons")
    return found


def read_regions(path: Path) -> list[tuple[str, list[list[Line]]]]:
    """Return the named polygons of a GeoJSON file.

    Parameters
    ----------
    path : pathlib.Path
        Features whose properties have a ``name``.

    Returns
    -------
    list of (str, list of polygons)
        A polygon is its outer ring, then its holes.

    Raises
    ------
    BatchError
        Where a polygon has no name, or there is none.
    """
    found: list[tuple[str, list[list[Line]]]] = []
    for geometry, properties in _geometries(read_json(path), path):
        kind = geometry.get("type")
        if kind not in ("Polygon", "MultiPolygon"):
            continue
        name = next((str(properties[key]) for key in _NAMES if properties.get(key)), None)
        if name is None:
            raise BatchError.single(str(path), "a polygon has no name among its properties")
        parts = geometry.get("coordinates") or []
        polygons = [parts] if kind == "Polygon" else parts
        found.append((name, [[_line(ring, path) for ring in polygon] for polygon in polygons]))
    if not found:
        raise BatchError.single(str(path), "has no polygons")
    return found


def regions_of(result: xr.Dataset, path: Path) -> dict[str, str]:
    """Return the region of each site of a result by polygons.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    path : pathlib.Path
        See `read_regions`; where polygons overlap, the first in the file has it.

    Returns
    -------
    dict of str to str
        Site to region; sites in none are left out.

    Raises
    ------
    BatchError
        Where the file holds no polygons, or the result does not say where its sites are.
    """
    require(result, ("latitude", "longitude"), "a table by polygons")
    polygons = read_regions(path)
    found: dict[str, str] = {}
    places = zip(
        result["site"].to_numpy(),
        result["longitude"].to_numpy(),
        result["latitude"].to_numpy(),
        strict=True,
    )
    for site, longitude, latitude in places:
        for name, parts in polygons:
            if any(_inside(float(longitude), float(latitude), rings) for rings in parts):
                found[str(site)] = name
                break
    return found


def _inside(longitude: float, latitude: float, rings: list[Line]) -> bool:
    """Tell whether a point lies in a polygon and in none of its holes."""
    within = [_encloses(ring, longitude, latitude) for ring in rings]
    return within[0] and not any(within[1:])


def _encloses(ring: Line, longitude: float, latitude: float) -> bool:
    """Tell by the even-odd rule: from inside, a ray to the east crosses the ring oddly often."""
    start, end = ring, np.roll(ring, -1, axis=0)
    spans = (start[:, 1] > latitude) != (end[:, 1] > latitude)
    start, end = start[spans], end[spans]
    part = (latitude - start[:, 1]) / (end[:, 1] - start[:, 1])
    crossings = start[:, 0] + part * (end[:, 0] - start[:, 0]) > longitude
    return bool(np.count_nonzero(crossings) % 2)


def _geometries(
    value: Any, path: Path, properties: Mapping[str, Any] | None = None
) -> Iterator[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """Yield every geometry of a GeoJSON value with the properties of its feature."""
    kind = value.get("type") if isinstance(value, Mapping) else None
    if kind == "FeatureCollection":
        for feature in value.get("features", ()):
            yield from _geometries(feature, path)
    elif kind == "Feature":
        if value.get("geometry") is not None:
            found = {"id": value.get("id"), **(value.get("properties") or {})}
            yield from _geometries(value["geometry"], path, found)
    elif kind == "GeometryCollection":
        for geometry in value.get("geometries", ()):
            yield from _geometries(geometry, path, properties)
    elif isinstance(kind, str):
        yield value, properties or {}
    else:
        raise BatchError.single(str(path), "is no GeoJSON")


def _flat(parts: Any, nesting: int) -> Iterator[Any]:
    """Yield the lines of nested coordinates."""
    if nesting == 0:
        yield parts
        return
    for part in parts or ():
        yield from _flat(part, nesting - 1)


def _line(points: Any, path: Path) -> Line:
    """Return coordinates as an array, heights left off."""
    try:
        line = np.array([[float(point[0]), float(point[1])] for point in points])
    except (TypeError, ValueError, IndexError) as exc:
        raise BatchError.single(str(path), "has a position that is no pair of numbers") from exc
    if len(line) < 2 or not np.isfinite(line).all():
        raise BatchError.single(str(path), "has a line of fewer than two positions")
    return line
