"""``place``: the annual story of one rig at one place, as a picture or a table."""

from __future__ import annotations

from pathlib import Path

import click

from noonhold.pictures.picture_output import Kind
from noonhold.pictures.year_picture import YearOfPlace, draw_year
from noonhold.quantities import Horizon
from noonhold.simulation import channels as ch
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.studies.year.year_run import days_of_year
from noonhold.studies.year.year_stays import asked_of, in_order, year_stays
from noonhold.studies.year.year_words import rule_of
from noonhold.weather.weather_files import read_weather
from noonhold_batch.batch_errors import BatchError
from noonhold_batch.commands.command_common import FILE, OUT_FILE, asks_horizon, tells_faults
from noonhold_batch.results.place_table import to_frame
from noonhold_batch.sweep.site_year import judge_year, run_year
from noonhold_batch.sweep.sweep_cases import DEFAULT_SCENARIO, load_cases
from noonhold_batch.whole_file import write_whole

_PICTURES: dict[str, Kind] = {".png": "png", ".svg": "svg"}
_SUFFIXES = (*_PICTURES, ".csv")


@click.command()
@click.option("--rig", type=FILE, required=True, help="A rig document.")
@click.option("--weather", type=FILE, required=True, help="A typical-year file.")
@click.option(
    "--scenario",
    type=FILE,
    default=DEFAULT_SCENARIO,
    show_default="batch/noonhold_batch/sweep/default_scenario.json",
)
@click.option("--out", type=OUT_FILE, required=True, help="YEAR.png, YEAR.svg or YEAR.csv.")
@asks_horizon
@tells_faults
def place(rig: Path, weather: Path, scenario: Path, out: Path, horizon: Horizon) -> None:
    """Show a year: the dates that hold, narrowly, and fail, with causes, and the cabin by hour."""
    suffix = out.suffix.lower()
    if suffix not in _SUFFIXES:
        raise BatchError.single("--out", f"must end in {', '.join(_SUFFIXES)}", out.name)
    case = load_cases([rig], scenario, [])[0]
    table = read_weather(weather)
    days = days_of_year(table)
    run = run_year(case, table, DEFAULT_STEP_S)
    living = judge_year(case, run, table.interval_s)
    charge = case.charge_on_arrival
    stays = year_stays(case.rig, case.scenario.comfort, run, table.interval_s, charge)
    order = days.argsort()
    record = run.twins.record if horizon.living_there else run.fed.nominal.record
    year = YearOfPlace(
        rig=case.rig.name,
        place=f"{table.site.name}, {table.site.elevation_m:.0f} m",
        cabin_c=record[:, ch.CABIN].reshape(len(days), -1)[order],
        outdoor_high_c=table.temp_air.reshape(len(days), -1).max(axis=1)[order],
        verdicts=in_order(asked_of(living, stays, horizon), order),
        scenario=case.scenario,
        reserve_fraction=case.rig.battery.reserve_fraction,
        horizon=horizon,
        stay_days=stays.days[order],
        charge_on_arrival=charge,
    )
    if suffix == ".csv":
        frame = to_frame(year, in_order(living, order), stays.adverse_days[order])
        write_whole(out, frame.to_csv(index=False, lineterminator="\n"))
    else:
        write_whole(out, draw_year(year, rule_of(case.document), _PICTURES[suffix]))
    click.echo(f"{out}: {horizon.word}")
