"""What a year and a request cost beside something known: ``python -m tests.benchmarks path``.

- A site-year, from the EPW file to the days' verdicts, beside pvlib's reading of the file and one
  run of its ModelChain for one array: with the run as stated and its uncooled twin, with the
  adverse twin, and with all twins. Below it the parts, each beside the same pair, so that it shows
  where the time goes.
- A request for one day, three settling days before it, over the service's WSGI application, beside
  the bare time loop of all the runs that it makes: twins, day after day, the stay, and remedies
  where the day fails. The rig is one that was asked about before.

Both in turn and by the processor time of this process, so that a busy machine blurs them less; of
all turns the least, for whatever else the machine does only ever adds.
"""

from __future__ import annotations

import gzip
import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple
from unittest.mock import patch

import pvlib
from pvlib.location import Location
from pvlib.modelchain import ModelChain
from pvlib.pvsystem import Array, FixedMount, PVSystem

from noonhold.adverse import adverse_case
from noonhold.documents import load_rig
from noonhold.projection import project
from noonhold.rig import Rig
from noonhold.scenario import (
    Comfort,
    ComfortMeasure,
    CoverState,
    Operation,
    Place,
    Scenario,
    Setting,
    Span,
    Start,
)
from noonhold.simulation import run_state
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.changed_case import with_endless_battery
from noonhold.simulation.kernel import simulate
from noonhold.simulation.rig_tables import rig_tables
from noonhold.simulation.simulation_case import DEFAULT_STEP_S, prepare, without_cooling
from noonhold.verdict import DayVerdicts, Summary, day_verdicts, judge, summarise
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings

CHECKOUT = Path(__file__).resolve().parents[2]
LAS_VEGAS = CHECKOUT / "tests/data/weather/USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3.epw.gz"
RIG = CHECKOUT / "tests/data/rigs/field_day_cabin.json"
DAY = CHECKOUT / "openapi" / "examples" / "typical_day.request.json"
TURNS = 9


class Pair(NamedTuple):
    """A piece of work beside another."""

    name: str
    ours: Callable[[], Any]
    other: Callable[[], Any]


def sample_rig() -> Rig:
    """Return the slide-in: seven panels, four windows, two arrays."""
    return load_rig(json.loads(RIG.read_text(encoding="utf-8"))).value


def all_year(weather: WeatherTable) -> Scenario:
    """Return a year of cooling from nine to eight, the windows' inside covers drawn."""
    site = weather.site
    by_day = Span(8.0, 20.0, Setting(covers=CoverState.INSIDE))
    return Scenario(
        Place(site.latitude, site.longitude, site.elevation_m),
        Operation(24.0, cooling_window=(9.0, 20.0), spans=(by_day,)),
        Comfort(ComfortMeasure.OPERATIVE, 26.5),
        Start(0.6),
    )


def verdicts(path: Path, rig: Rig) -> Summary:
    """Go the whole way of a site-year: file, tables, the run and all its twins, verdicts."""
    weather = read_weather(path)
    done = project(rig, all_year(weather), weather)
    return summarise(done, judge(done))


def verdicts_of_two(path: Path, rig: Rig) -> DayVerdicts:
    """Go the same way with the run as stated and its uncooled twin alone."""
    weather = read_weather(path)
    scenario = all_year(weather)
    case, clock = prepare(rig, scenario, weather)
    record, uncooled = run_cases([case, without_cooling(case)])
    return day_verdicts(rig, scenario.comfort, clock, record, uncooled, weather.interval_s)


def verdicts_of_three(path: Path, rig: Rig) -> DayVerdicts:
    """Go the same way with the adverse twin beside these two."""
    weather = read_weather(path)
    scenario = all_year(weather)
    case, clock = prepare(rig, scenario, weather)
    record, uncooled, adverse = run_cases([case, without_cooling(case), adverse_case(case)])
    return day_verdicts(rig, scenario.comfort, clock, record, uncooled, weather.interval_s, adverse)


def model_chain(path: Path, rig: Rig) -> float:
    """Return the energy of the rig's first array over the year by pvlib's own chain, in Wh."""
    data, head = pvlib.iotools.read_epw(str(path), coerce_year=2019)
    array = Array(
        FixedMount(surface_tilt=rig.arrays[0].tilt_deg, surface_azimuth=180.0),
        module_parameters={"pdc0": rig.arrays[0].rated_power_w, "gamma_pdc": -0.0035},
        temperature_model_parameters={"u0": 25.0, "u1": 6.84},
    )
    chain = ModelChain(
        PVSystem(arrays=[array], inverter_parameters={"pdc0": rig.arrays[0].rated_power_w}),
        Location(head["latitude"], head["longitude"], altitude=head["altitude"]),
        aoi_model="physical",
        spectral_model="no_loss",
        temperature_model="faiman",
    )
    chain.run_model(data)
    return float(chain.results.ac.sum())


def site_years(folder: Path) -> list[Pair]:
    """Return a site-year and its parts beside pvlib's; the file is unpacked, as pvlib wants it."""
    path = folder / "las_vegas.epw"
    path.write_bytes(gzip.decompress(LAS_VEGAS.read_bytes()))
    rig, weather = sample_rig(), read_weather(path)
    scenario = all_year(weather)
    case, _ = prepare(rig, scenario, weather)
    tables = rig_tables(rig, DEFAULT_STEP_S)
    done = project(rig, scenario, weather)
    parts: dict[str, Callable[[], Any]] = {
        "site-year, file to verdicts, as stated and uncooled": lambda: verdicts_of_two(path, rig),
        "site-year, file to verdicts, with the adverse twin": lambda: verdicts_of_three(path, rig),
        "site-year, file to verdicts, with all twins": lambda: verdicts(path, rig),
        "  file": lambda: read_weather(path),
        "  rig's tables": lambda: rig_tables(rig, DEFAULT_STEP_S),
        "  forcing and operation": lambda: prepare(rig, scenario, weather, tables=tables),
        "  loop, as stated": lambda: run_cases([case]),
        "  loop, uncooled": lambda: run_cases([without_cooling(case)]),
        "  loop, adverse": lambda: run_cases([adverse_case(case)]),
        "  loop, endless battery": lambda: run_cases([with_endless_battery(case)]),
        "  judge": lambda: judge(done),
    }
    return [
        Pair(f"{name} / pvlib's read_epw and one ModelChain", work, lambda: model_chain(path, rig))
        for name, work in parts.items()
    ]


def request_of_a_day(inline: bool) -> Pair:
    """Return a POST of one day, its rig by name or written out, beside its bare runs."""
    document = json.loads(DAY.read_text(encoding="utf-8"))
    written_out = {**document, "rig": json.loads(RIG.read_text(encoding="utf-8"))}
    client = create_app(Settings()).test_client()
    body = written_out if inline else document

    def post() -> bytes:
        response = client.post("/v1/projections", json=body)
        assert response.status_code == 200, response.data
        return response.data

    how = "written out" if inline else "by name"
    return Pair(
        f"POST of one day, rig {how} / bare time loop of its runs",
        post,
        loop_of(post),
    )


def loop_of(work: Callable[[], Any]) -> Callable[[], None]:
    """Return the bare time loop of all runs that some work makes, each from where it ended."""
    runs: list[tuple[Any, ...]] = []

    def simulate_and_note(*arguments: Any) -> None:
        runs.append(arguments)
        simulate(*arguments)

    with patch.object(run_state, "simulate", simulate_and_note):
        work()

    def again() -> None:
        for arguments in runs:
            simulate(*arguments)

    return again


def spent(work: Callable[[], Any]) -> float:
    """Return the processor time of one go, in seconds."""
    began = time.process_time()
    work()
    return time.process_time() - began


def measured(pair: Pair, turns: int = TURNS) -> tuple[float, float]:
    """Return the least of both in milliseconds, taken in turn."""
    pair.ours(), pair.other()  # compiled, and whatever is kept is kept
    times = [(spent(pair.ours), spent(pair.other)) for _ in range(turns)]
    ours, other = (1e3 * min(each) for each in zip(*times, strict=True))
    return ours, other


def table(folder: Path) -> str:
    """Return all ratios as lines of text."""
    pairs = (*site_years(folder), request_of_a_day(False), request_of_a_day(True))
    lines = [f"{'ms':>8} {'beside':>8} {'ratio':>6}  least of {TURNS} turns, processor time"]
    for pair in pairs:
        ours, other = measured(pair)
        lines.append(f"{ours:8.1f} {other:8.1f} {ours / other:6.2f}  {pair.name}")
    return "\n".join(lines)
