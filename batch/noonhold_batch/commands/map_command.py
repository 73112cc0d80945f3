"""``map``: stations coloured by the part of dates that hold, marked by what fails first."""

from __future__ import annotations

from pathlib import Path

import click

from noonhold.pictures.map_picture import draw_map as drawn
from noonhold.pictures.picture_output import Kind
from noonhold.quantities import Horizon
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import (
    ANY_PATH,
    FILE,
    OUT_FILE,
    asks_horizon,
    tells_faults,
)
from noonhold_batch.maps.boundaries import read_lines
from noonhold_batch.maps.map_geojson import Asked, geojson_text
from noonhold_batch.maps.map_html import map_page
from noonhold_batch.maps.map_points import map_points, picture_of, told_unplaced
from noonhold_batch.results.result import choose_rig, open_result
from noonhold_batch.results.wording import question, rig_title, rule, weather_change
from noonhold_batch.whole_file import write_whole

_PICTURES: dict[str, Kind] = {".png": "png", ".svg": "svg"}
_SUFFIXES = (*_PICTURES, ".html", ".geojson", ".json")
_REACH_KM = 125.0


@click.command("map")
@click.argument("result", type=ANY_PATH)
@click.option("--out", type=OUT_FILE, required=True, help="MAP.png, .svg, .html or .geojson.")
@click.option("--rig", "rigs", multiple=True, help="Only this rig; may be repeated.")
@click.option("--boundaries", type=FILE, default=None, help="GeoJSON lines to draw beneath.")
@click.option(
    "--layer",
    "reach_km",
    type=click.FloatRange(min=0.0),
    default=_REACH_KM,
    show_default=True,
    metavar="KM",
    help="Colour between three neighbouring stations that stand within KM of each other (PNG, SVG);"
    " 0 for none.",
)
@asks_horizon
@tells_faults
def draw_map(
    result: Path,
    out: Path,
    rigs: tuple[str, ...],
    boundaries: Path | None,
    reach_km: float,
    horizon: Horizon,
) -> None:
    """Draw the stations of a result on a map, one a rig: where it holds, narrowly, and fails."""
    suffix = out.suffix.lower()
    if suffix not in _SUFFIXES:
        raise BatchError.single("--out", f"must end in {', '.join(_SUFFIXES)}", out.name)
    opened = open_result(result)
    every = [str(name) for name in opened["rig"].to_numpy()]
    chosen = [choose_rig(opened, rig) for rig in rigs] or every
    maps = map_points(opened, chosen, horizon)
    asked = Asked(horizon.word, question(opened, chosen, horizon, "where"))
    rules = dict.fromkeys(rule(opened, rig, horizon) for rig in chosen)
    said = " ".join(filter(None, (*rules, weather_change(opened))))
    lines = read_lines(boundaries) if boundaries else []
    titles = {rig: rig_title(opened, rig) for rig in chosen}
    if suffix in (".geojson", ".json"):
        write_whole(out, geojson_text(maps, asked, said))
    elif suffix == ".html":
        write_whole(out, map_page(maps, titles, asked, said, lines))
    else:
        drawings = [picture_of(each, titles[each.rig], horizon) for each in maps]
        words = f"{said} {told_unplaced(maps)}".strip()
        write_whole(out, drawn(drawings, asked.question, words, _PICTURES[suffix], lines, reach_km))
    click.echo(f"{out}: {horizon.word}, {len(chosen)} rigs, {len(maps[0].points)} stations")
