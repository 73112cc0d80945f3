"""Which days of a result a row sums up: by rig and site, region, month, or all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import numpy as np
import numpy.typing as npt
import xarray as xr

from noonhold.quantities import Verdict
from noonhold_batch.results.result import computed, require, written_by
from noonhold_batch.results.summaries import Days, DaysSummary, sum_up
from noonhold_batch.sweep.result_variables import NEEDED

T = TypeVar("T", bound=np.generic)

By = Literal["site", "region", "month", "rig"]
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NO_REGION = "(none)"
_SUMMED = ("lowest_charge", "cooler_wh", "outdoor_high_c", "reason")


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
    """

    rig: str
    group: str
    summary: DaysSummary | None
    failed: int
    reason: str


class ResultDays:
    """The arrays of a result that tables and maps sum up, read once.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.

    Raises
    ------
    BatchError
        Where it lacks what every summary has. Results of before `result_variables.NEEDED` are read
        without it.
    """

    def __init__(self, result: xr.Dataset) -> None:
        require(result, _SUMMED, "a summary")

        def by_day(name: str) -> npt.NDArray[Any]:
            values: npt.NDArray[Any] = np.asarray(result[name].transpose("rig", "site", "day"))
            return values

        self.rigs = [str(name) for name in result["rig"].to_numpy()]
        self.sites = [str(name) for name in result["site"].to_numpy()]
        self.ok = computed(result)
        self.reasons = np.asarray(result["reason"].transpose("rig", "site"))
        self.months = result["day"].dt.month.to_numpy()
        self._needs: npt.NDArray[np.bool_] = by_day("needs_cooling") == 1
        self._holds: npt.NDArray[np.bool_] = by_day("verdict") >= int(Verdict.NARROWLY)
        self._cause = by_day("first_cause").astype(np.int64)
        needed = [variable.name for variable in NEEDED if variable.name in result]
        self._figures = {name: by_day(name) for name in ("lowest_charge", "cooler_wh", *needed)}
        self._outdoor = np.asarray(result["outdoor_high_c"].transpose("site", "day"))

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
                holds=cut(self._holds),
                cause=cut(self._cause),
                lowest_charge=figures["lowest_charge"],
                cooler_wh=figures["cooler_wh"],
                outdoor_high=self._outdoor[where][:, days],
                needed_battery_wh=figures.get("needed_battery_wh"),
                needed_array_w=figures.get("needed_array_w"),
            )
        )


def told_absent(result: xr.Dataset) -> str:
    """Return in words which columns a table of a result leaves out, empty where it has all.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.

    Returns
    -------
    str
        With the version that wrote the result, and what to do.
    """
    absent = [variable.name for variable in NEEDED if variable.name not in result]
    if not absent:
        return ""
    return (
        f"left out: what a battery or arrays would have had to be; this result was written by"
        f" {written_by(result)} without {', '.join(absent)}, and its sweep's command with"
        " --if-changed recompute adds them"
    )


def rows(result: xr.Dataset, by: By, regions: Mapping[str, str] | None = None) -> list[Row]:
    """Return the rows of a table.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    by : str
        ``site``, ``region``, ``month`` or ``rig``.
    regions : mapping of str to str, optional
        Site to region, in place of the region that each file's header names.

    Returns
    -------
    list of Row
        Sorted: by rig as the sweep had them, then months by the calendar, all else by falling
        share, then name; what needs no cooling and what has no verdicts comes last.
    """
    days = ResultDays(result)
    found = list(_rows(result, days, by, regions))
    if by == "month":
        return found
    order = {rig: place for place, rig in enumerate(days.rigs)}
    return sorted(found, key=lambda row: (order[row.rig], *_rank(row), row.group))


def _rank(row: Row) -> tuple[int, float]:
    """Return the place of a row: by falling share, then without cooling days, then failed."""
    if row.summary is None:
        return 2, 0.0
    if not row.summary.days_needing_cooling:
        return 1, 0.0
    return 0, -row.summary.share


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
        groups = {name: (every, days.months == number + 1) for number, name in enumerate(MONTHS)}
    else:
        groups = {"": (every, slice(None))}
    for r, rig in enumerate(days.rigs):
        for name, (sites, when) in groups.items():
            failed = int((sites & ~days.ok[r]).sum())
            reason = ""
            if by == "site" and failed:
                reason = str(days.reasons[r][sites][0]) or "not computed yet"
            yield Row(rig, name, days.summary(r, sites, when), failed, reason)
