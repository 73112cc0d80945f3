"""Which days of a result a row sums up: by rig and site, region, month, or all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import numpy as np
import numpy.typing as npt
import xarray as xr

from noonhold.quantities import Cause, Horizon, Verdict
from noonhold.studies.year.year_stays import stay_verdicts
from noonhold_batch.results.result import computed, require, written_by
from noonhold_batch.results.seasons import MONTHS, season_order
from noonhold_batch.results.summaries import Days, DaysSummary, sum_up
from noonhold_batch.sweep.result_variables import NEEDED, STAYS

T = TypeVar("T", bound=np.generic)

By = Literal["site", "region", "month", "rig"]
NO_REGION = "(none)"
_SUMMED = ("lowest_charge", "cooler_wh", "unmet_wh", "outdoor_high_c", "latitude", "reason")
_NORTH, _SOUTH = "north", "south"


@dataclass(frozen=True)
class Row:
    """One row of a table before it is formatted.

    Parameters
    ----------
    group : str
        Site, region or month; empty by rig.
    summary : DaysSummary or None
        None where no run of the group has verdicts.
    failed : int
        Runs of the group without verdicts.
    reason : str
        Why, for a single site.
    hemispheres : tuple of bool
        Of its sites: False for north, True for south of the equator; empty for a month.
    """

    rig: str
    group: str
    summary: DaysSummary | None
    failed: int
    reason: str
    hemispheres: tuple[bool, ...]


class ResultDays:
    """The arrays of a result that tables and maps sum up, read once, for one question.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    horizon : Horizon
        What is asked of every date.

    Raises
    ------
    BatchError
        Where the result lacks what every summary has, or the stays that the question is about.
    """

    def __init__(self, result: xr.Dataset, horizon: Horizon) -> None:
        require(result, _SUMMED, "a summary")

        def by_day(name: str) -> npt.NDArray[Any]:
            values: npt.NDArray[Any] = np.asarray(result[name].transpose("rig", "site", "day"))
            return values

        self.rigs = [str(name) for name in result["rig"].to_numpy()]
        self.sites = [str(name) for name in result["site"].to_numpy()]
        self.ok = computed(result)
        self.reasons = np.asarray(result["reason"].transpose("rig", "site"))
        self.months = result["day"].dt.month.to_numpy()
        self.latitude = np.asarray(result["latitude"], dtype=np.float64)
        self._needs: npt.NDArray[np.bool_] = by_day("needs_cooling") == 1
        self._needed: dict[str, npt.NDArray[Any]] = {}
        if horizon.days is None:
            self._verdict = by_day("verdict").astype(np.int64)
            self._cause = by_day("first_cause").astype(np.int64)
        else:
            require_stays(result, horizon)
            self._verdict = stay_verdicts(
                by_day("stay_days"), by_day("adverse_stay_days"), horizon.days
            )
            cause = by_day("stay_first_cause").astype(np.int64)
            failing = self._verdict == int(Verdict.FAILS)
            self._cause = np.where(failing, cause, int(Cause.NONE))
            if horizon.days in result["stay"].to_numpy():
                of_stay = result.sel(stay=horizon.days)
                self._needed = {
                    each.name: np.asarray(of_stay[each.name].transpose("rig", "site", "day"))
                    for each in NEEDED
                    if each.name in result
                }
        figures = ("lowest_charge", "cooler_wh", "unmet_wh", "hours_unmet")
        self._figures = {name: by_day(name) for name in figures if name in result}
        self._outdoor = np.asarray(result["outdoor_high_c"].transpose("site", "day"))

    @property
    def south(self) -> npt.NDArray[np.bool_]:
        """Return which sites lie south of the equator; one that is nowhere does not."""
        return self.latitude < 0.0

    def hemispheres(self, sites: npt.NDArray[np.bool_]) -> tuple[bool, ...]:
        """Return whether some sites lie north (False), south (True), or both."""
        placed = sites & np.isfinite(self.latitude)
        return tuple(each for each in (False, True) if (placed & (self.south == each)).any())

    def summary(
        self, rig: int, sites: npt.NDArray[np.bool_], days: npt.NDArray[np.bool_] | slice
    ) -> DaysSummary | None:
        """Return the summary of a rig over some sites and days.

        Parameters
        ----------
        rig : int
            Place on the axis.
        sites : numpy.ndarray of bool, shape (site,)
            Which sites; those without verdicts are left out.

        Returns
        -------
        DaysSummary or None
            None where no site has verdicts.
        """
        where = sites & self.ok[rig]
        if not where.any():
            return None

        def cut(values: npt.NDArray[T]) -> npt.NDArray[T]:
            rows: npt.NDArray[T] = values[rig][where][:, days]
            return rows

        figures = {name: cut(values) for name, values in self._figures.items()}
        return sum_up(
            Days(
                needs=cut(self._needs),
                verdict=cut(self._verdict),
                cause=cut(self._cause),
                months=self.months[days],
                lowest_charge=figures["lowest_charge"],
                cooler_wh=figures["cooler_wh"],
                unmet_wh=figures["unmet_wh"],
                hours_unmet=figures.get("hours_unmet"),
                outdoor_high=self._outdoor[where][:, days],
                **{
                    name: cut(self._needed[name]) if name in self._needed else None
                    for name in ("needed_battery_wh", "needed_array_w")
                },
            )
        )


def require_stays(result: xr.Dataset, horizon: Horizon) -> None:
    """Refuse a result without stays where the question is about one.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    horizon : Horizon
        What is asked.

    Raises
    ------
    BatchError
        Saying which version wrote the result, and what can be asked of it.
    """
    if not horizon.living_there:
        names = [variable.name for variable in STAYS]
        use = f"a stay of {horizon.days} days" if horizon.days != 1 else "the first day of a stay"
        require(result, [*names, "stay"], use, "--living-there asks what it holds")


def told_absent(result: xr.Dataset, horizon: Horizon) -> str:
    """Return in words which columns a table of a result leaves out, empty where it has all.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    horizon : Horizon
        What is asked.
    """
    notes = []
    if horizon.days is None:
        notes.append("what battery or arrays it would take is known for stays: --days")
    elif horizon.days not in (lengths := result["stay"].to_numpy().tolist()):
        known = ", ".join(map(str, lengths))
        notes.append(f"what battery or arrays it would take is known for stays of {known} days")
    names = ["hours_unmet", *([] if horizon.living_there else [each.name for each in NEEDED])]
    if absent := [name for name in names if name not in result]:
        notes.append(
            f"left out: this result was written by {written_by(result)} without"
            f" {', '.join(absent)}; its sweep's command with --if-changed recompute adds them"
        )
    return "; ".join(notes)


def rows(
    result: xr.Dataset, by: By, horizon: Horizon, regions: Mapping[str, str] | None = None
) -> list[Row]:
    """Return the rows of a table.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    by : str
        ``site``, ``region``, ``month`` or ``rig``.
    horizon : Horizon
        What is asked of every date.
    regions : mapping of str to str, optional
        Site to region, in place of the region that each file's header names.

    Returns
    -------
    list of Row
        Sorted: by rig as the sweep had them, then months with the summer in the middle, those of
        the two hemispheres apart; all else by falling share, then name; what needs no cooling and
        what has no verdicts comes last.
    """
    days = ResultDays(result, horizon)
    found = list(_rows(result, days, by, regions))
    if by == "month":
        return found
    order = {rig: place for place, rig in enumerate(days.rigs)}
    return sorted(found, key=lambda row: (order[row.rig], *_rank(row), row.group))


def _rank(row: Row) -> tuple[int, float, float]:
    """Return the place of a row: by falling share, then without cooling days, then failed."""
    if row.summary is None:
        return 2, 0.0, 0.0
    if not row.summary.days_needing_cooling:
        return 1, 0.0, 0.0
    return 0, -row.summary.share, row.summary.narrow_share


def _rows(
    result: xr.Dataset, days: ResultDays, by: By, regions: Mapping[str, str] | None
) -> Iterator[Row]:
    """Yield the rows as they come."""
    every = np.ones(len(days.sites), dtype=bool)
    groups: dict[str, tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_] | slice]]
    if by == "site":
        groups = {name: (every & False, slice(None)) for name in days.sites}
        for place, name in enumerate(days.sites):
            groups[name][0][place] = True
    elif by == "region":
        if regions is None:
            require(result, ["region"], "a table by region")
            regions = dict(zip(days.sites, map(str, result["region"].to_numpy()), strict=True))
        named = [regions.get(site, "") or NO_REGION for site in days.sites]
        groups = {name: (np.array(named) == name, slice(None)) for name in sorted(set(named))}
    elif by == "month":
        groups = _months(days, every)
    else:
        groups = {"": (every, slice(None))}
    for r, rig in enumerate(days.rigs):
        for name, (sites, when) in groups.items():
            failed = int((sites & ~days.ok[r]).sum())
            reason = ""
            if by == "site" and failed:
                reason = str(days.reasons[r][sites][0]) or "not computed yet"
            of_months = () if by == "month" else days.hemispheres(sites)
            yield Row(rig, name, days.summary(r, sites, when), failed, reason, of_months)


def _months(
    days: ResultDays, every: npt.NDArray[np.bool_]
) -> dict[str, tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_] | slice]]:
    """Return the months of a table: a hemisphere's summer in the middle, the two never mixed.

    Where there are both, a site whose file does not tell where it stands counts in neither.
    """
    found: dict[str, tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_] | slice]] = {}
    there = days.hemispheres(every) or (False,)
    for south in there:
        sites, word = every, ""
        if len(there) == 2:
            sites = np.isfinite(days.latitude) & (days.south == south)
            word = f" {_SOUTH if south else _NORTH}"
        for month in season_order(south):
            found[MONTHS[month - 1] + word] = (sites, days.months == month)
    return found
