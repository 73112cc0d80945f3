"""The batch's commands under ``noonhold``, named without being imported."""

from __future__ import annotations

from typing import Final

from noonhold.command_line import LazyCommand

_IN: Final = "noonhold_batch.commands."
COMMANDS: Final = (
    LazyCommand("sweep", _IN + "sweep_command:sweep", "Run every rig at every site of a folder."),
    LazyCommand("table", _IN + "table_command:table", "Sum a result up by site, region or month."),
    LazyCommand("map", _IN + "map_command:draw_map", "Draw the stations of a result on a map."),
    LazyCommand("weather", _IN + "weather_command:weather", "Look at weather files: check."),
    LazyCommand("place", _IN + "place_command:place", "Show one rig's year at one place."),
    LazyCommand("size", _IN + "study_commands:size", "Find the size that is enough, by site."),
    LazyCommand(
        "warm-up", _IN + "study_commands:warm_up", "How soon it is hot once the cooler stops."
    ),
    LazyCommand("verify", _IN + "verify_command:verify", "Hold a result against its checksums."),
    LazyCommand("export", _IN + "export_command:export", "Write a result as one NetCDF file."),
    LazyCommand("baseline", _IN + "compare_command:baseline", "Store what compare needs."),
    LazyCommand("compare", _IN + "compare_command:compare", "What drifted from a baseline."),
    LazyCommand(
        "perturb", _IN + "perturb_command:perturb", "Many weather files out of a few, for trials."
    ),
)
