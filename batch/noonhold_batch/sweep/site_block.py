"""One block of sites from files to day arrays: the function that every worker runs."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from noonhold.errors import WeatherReadError
from noonhold.simulation.forcing_cache import ForcingCache
from noonhold.studies.year.stay_sizes import LENGTHS_D, StaySizes, stay_sizes
from noonhold.studies.year.year_run import NoWholeYearError, days_of_year
from noonhold.studies.year.year_stays import YearStays, year_stays
from noonhold.verdict import DayVerdicts
from noonhold.weather.plausibility import NOTES_SEPARATOR
from noonhold.weather.weather_files import read_weather
from noonhold.weather.weather_table import WeatherTable
from noonhold_batch.sweep.result_variables import BY_BLOCK, NEEDED, VERDICTS, axis_sizes
from noonhold_batch.sweep.run_status import Status, reason_of, status_of
from noonhold_batch.sweep.site_year import DAYS, judge_year, run_year
from noonhold_batch.sweep.sweep_plan import Block, SiteFile, file_hash
from noonhold_batch.sweep.sweep_versions import model_digest
from noonhold_batch.sweep.warmer import warmed
from noonhold_batch.sweep.worker_usage import Usage, usage_since

AnyArray = npt.NDArray[np.generic]

# Sun on this many rigs is kept at a site: rigs come with their variants, most of which share it.
_RIGS_IN_LIGHT = 4


@dataclass(frozen=True)
class BlockResult:
    """What a block found; nothing hourly leaves its worker.

    Parameters
    ----------
    index : int
        Number of the block.
    first : int
        Place of its first site in the result.
    arrays : dict of str to numpy.ndarray
        Every variable of ``BY_BLOCK``, site axis as long as the block.
    usage : Usage
        Of the process that ran it.
    weather_sha256 : tuple of str
        Hash of each site's file as the worker read it, empty where it could not.
    model : str
        Hash of the worker's model.
    """

    index: int
    first: int
    arrays: dict[str, AnyArray]
    usage: Usage
    weather_sha256: tuple[str, ...]
    model: str


def run_block(block: Block) -> BlockResult:
    """Run every rig at every site of a block.

    Parameters
    ----------
    block : Block
        Sites and rigs.

    Returns
    -------
    BlockResult
        A site that failed has its status and reason, and nothing else.
    """
    begun_cpu_s = time.process_time()
    shape = axis_sizes(len(block.cases), len(block.sites))
    arrays: dict[str, AnyArray] = {
        variable.name: np.full(
            [shape[dim] for dim in variable.dims],
            variable.fill_value,
            dtype=object if variable.dtype == "string" else variable.dtype,
        )
        for variable in BY_BLOCK
    }
    hashes = []
    for s, site in enumerate(block.sites):
        hashes.append(_run_site(block, s, site, arrays))
    return BlockResult(
        block.index, block.first, arrays, usage_since(begun_cpu_s), tuple(hashes), model_digest()
    )


def _run_site(block: Block, s: int, site: SiteFile, arrays: dict[str, AnyArray]) -> str:
    """Read one site's weather once and run every rig through it; return the hash of its file."""
    used = ""
    try:
        weather = read_weather(site.path)
        used = file_hash(site.path)
        if used != site.sha256:
            raise WeatherReadError.single(
                site.path.name, "the file is not the one that the sweep was planned with"
            )
        if block.warming is not None:
            weather = warmed(weather, block.warming)
        days = days_of_year(weather)
    except Exception as exc:  # whatever a file does, it must not stop the sweep
        arrays["status"][:, s] = _status(exc)
        arrays["reason"][:, s] = reason_of(exc)
        return ""
    _describe_site(weather, s, days, arrays)
    forcing = ForcingCache(_RIGS_IN_LIGHT)
    for r, case in enumerate(block.cases):
        try:
            run = run_year(case, weather, block.step_s, forcing)
            verdicts = judge_year(case, run, weather.interval_s)
            comfort, charge = case.scenario.comfort, case.charge_on_arrival
            stays = year_stays(case.rig, comfort, run, weather.interval_s, charge)
            sizes = stay_sizes(case.rig, comfort, run, stays, LENGTHS_D)
            _fill_days(verdicts, stays, sizes, r, s, days, arrays)
        except Exception as exc:  # nor must a rig at a site
            arrays["status"][r, s] = _status(exc)
            arrays["reason"][r, s] = reason_of(exc)
            continue
        arrays["status"][r, s] = Status.OK
    return used


def _status(error: Exception) -> Status:
    return Status.NO_WHOLE_YEAR if isinstance(error, NoWholeYearError) else status_of(error)


def _describe_site(
    weather: WeatherTable, s: int, days: npt.NDArray[np.int64], arrays: dict[str, AnyArray]
) -> None:
    """Fill what belongs to the site alone."""
    site = weather.site
    arrays["latitude"][s] = site.latitude
    arrays["longitude"][s] = site.longitude
    arrays["elevation"][s] = site.elevation_m
    arrays["utc_offset"][s] = site.utc_offset_h
    arrays["site_name"][s] = site.name
    arrays["region"][s] = site.region
    arrays["source"][s] = site.source
    arrays["weather_notes"][s] = NOTES_SEPARATOR.join(weather.notes)
    by_day = weather.temp_air.reshape(DAYS, -1)
    arrays["outdoor_high_c"][s, days] = by_day.max(axis=1)
    arrays["outdoor_low_c"][s, days] = by_day.min(axis=1)


def _fill_days(
    verdicts: DayVerdicts,
    stays: YearStays,
    sizes: StaySizes,
    r: int,
    s: int,
    days: npt.NDArray[np.int64],
    arrays: dict[str, AnyArray],
) -> None:
    """Fill the verdicts of one rig at one site."""
    for variable in VERDICTS:
        arrays[variable.name][r, s, days] = getattr(verdicts, variable.name)
    arrays["first_day_verdict"][r, s, days] = stays.verdict(1)
    arrays["stay_days"][r, s, days] = stays.days
    arrays["adverse_stay_days"][r, s, days] = stays.adverse_days
    arrays["stay_first_cause"][r, s, days] = stays.first_cause
    for variable in NEEDED:
        arrays[variable.name][r, s, days] = getattr(sizes, variable.name)
