"""A map as one HTML page that asks nobody for anything: data, drawing and style are inside."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path

from noonhold_batch.maps.boundaries import Line
from noonhold_batch.maps.map_geojson import Asked, to_geojson
from noonhold_batch.maps.map_points import RigPoints

_PAGE = Path(__file__).with_name("map_page.html")
_PLACE, _QUESTION = "__DATA__", "__QUESTION__"


def map_page(
    maps: list[RigPoints],
    titles: Mapping[str, str],
    asked: Asked,
    said: str,
    boundaries: Sequence[Line] = (),
) -> str:
    """Return the page.

    Parameters
    ----------
    maps : list of RigPoints
        From `noonhold_batch.maps.map_points.map_points`.
    titles : mapping of str to str
        Rig to the name that people read.
    asked : Asked
        The question that they answer.
    said : str
        What was computed, in words.
    boundaries : sequence of arrays, shape (n, 2), optional
        Lines to draw beneath; kept to a thousandth of a degree, about 100 m. [degree]

    Returns
    -------
    str
        HTML that draws offline; its policy forbids it to load anything.
    """
    lines = [line.round(3).tolist() for line in boundaries]
    data = {**to_geojson(maps, asked, said), "titles": dict(titles), "boundaries": lines}
    text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    # Within a script element only "<" could end it, whatever a station is named.
    page = _PAGE.read_text(encoding="utf-8").replace(_QUESTION, escape(asked.question))
    return page.replace(_PLACE, text.replace("<", "\\u003c"))
