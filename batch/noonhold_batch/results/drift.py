"""A result against a baseline: what drifted, where, and by how much."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import xarray as xr

from noonhold_batch.batch_errors import BatchError
from noonhold_batch.results.result import require
from noonhold_batch.results.short_names import TERMINAL, shortened_apart

# What a baseline keeps, and how far each may move before it counts as drift. Measured on the sample
# region (three rigs, six stations, a year each): weather moved by 1e-9 K, a thousand times the
# rounding by which other processors and libraries differ, moves none of them as far; weather moved
# by 1e-3 K, which no person would notice, moves most of them further.
TOLERANCES: Mapping[str, float] = {
    "status": 0.0,
    "verdict": 0.0,
    "needs_cooling": 0.0,
    "first_cause": 0.0,
    "first_day_verdict": 0.0,
    "stay_days": 0.0,
    "adverse_stay_days": 0.0,
    "stay_first_cause": 0.0,
    "comfortable_fraction": 1e-3,
    "peak_comfort": 1e-2,
    "lowest_charge": 1e-3,
    "hours_at_reserve": 0.1,
    "hours_unmet": 0.1,
    "unmet_wh": 1.0,
    "cooler_wh": 1.0,
    "solar_wh": 1.0,
    "curtailed_wh": 1.0,
}
# A baseline keeps its figures as multiples of a small part of the tolerance.
STEPS = 10


@dataclass(frozen=True)
class Check:
    """One variable of one rig compared.

    Parameters
    ----------
    rig, variable : str
        Of both sides.
    compared, drifted : int
        Values, and those beyond the tolerance.
    tolerance : float
        Largest difference that is no drift, in the variable's unit.
    worst : float
        Largest difference; infinity where only one side has a value.
    site, day : str
        Where it is; the day is empty for a variable that has none.
    before, now : float
        The two values there.
    """

    rig: str
    variable: str
    compared: int
    drifted: int
    tolerance: float
    worst: float
    site: str
    day: str
    before: float
    now: float

    @property
    def where(self) -> str:
        """Return site and day in one."""
        return f"{self.site} {self.day}".rstrip()


@dataclass(frozen=True)
class Comparison:
    """All checks, and what only one side has.

    Parameters
    ----------
    checks : tuple of Check
        By rig, then variable.
    unmatched : tuple of str
        Rigs and sites that only one side has, in words.
    """

    checks: tuple[Check, ...]
    unmatched: tuple[str, ...]

    @property
    def drifted(self) -> bool:
        """Return whether anything moved or is missing."""
        return bool(self.unmatched) or any(check.drifted for check in self.checks)


def parse_tolerances(given: tuple[str, ...]) -> dict[str, float]:
    """Return the tolerances with those that a user sets.

    Parameters
    ----------
    given : tuple of str
        Each ``variable=number``.

    Returns
    -------
    dict of str to float
        For every variable of a baseline.

    Raises
    ------
    BatchError
        Naming every one that is not of that form.
    """
    found = dict(TOLERANCES)
    for text in given:
        name, _, number = text.partition("=")
        try:
            value = float(number)
        except ValueError:
            value = float("nan")
        if name not in TOLERANCES or not 0.0 <= value < float("inf"):
            allowed = f"one of {', '.join(TOLERANCES)}, = and a number of 0 or more"
            raise BatchError.single("--tolerance", "cannot be used", text, allowed)
        found[name] = value
    return found


def compare(
    baseline: xr.Dataset, result: xr.Dataset, tolerances: Mapping[str, float]
) -> Comparison:
    """Compare a result with a baseline.

    Parameters
    ----------
    baseline, result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    tolerances : mapping of str to float
        Variable to largest difference that is no drift.

    Returns
    -------
    Comparison
        Over the rigs and sites that both have.

    Raises
    ------
    BatchError
        Where a side lacks a variable, or both have no rig or site in common.
    """
    for side in (baseline, result):
        require(side, tolerances, "a comparison")
    unmatched, common = [], {}
    for axis in ("rig", "site"):
        before, now = (list(side[axis].to_numpy()) for side in (baseline, result))
        unmatched += [f"{axis} {name} is only in the baseline" for name in set(before) - set(now)]
        unmatched += [f"{axis} {name} is only in the result" for name in set(now) - set(before)]
        common[axis] = [name for name in before if name in set(now)]
        if not common[axis]:
            raise BatchError.single("compare", f"both have no {axis} in common")
    before_all, now_all = baseline.sel(common), result.sel(common)
    checks = [
        _check(before_all[name].sel(rig=rig), now_all[name].sel(rig=rig), str(rig), tolerance)
        for rig in common["rig"]
        for name, tolerance in tolerances.items()
    ]
    return Comparison(tuple(checks), tuple(sorted(unmatched)))


def _check(before: xr.DataArray, now: xr.DataArray, rig: str, tolerance: float) -> Check:
    """Compare one variable of one rig."""
    now = now.transpose(*before.dims)
    old, new = (np.asarray(side, dtype=np.float64) for side in (before, now))
    difference = np.abs(new - old)
    difference[np.isnan(old) & np.isnan(new)] = 0.0
    difference[np.isnan(difference)] = np.inf
    place = np.unravel_index(int(np.argmax(difference)), difference.shape)
    where = {
        str(dim): str(before[dim].to_numpy()[i]) for dim, i in zip(before.dims, place, strict=True)
    }
    return Check(
        rig=rig,
        variable=str(before.name),
        compared=difference.size,
        drifted=int((difference > tolerance).sum()),
        tolerance=tolerance,
        worst=float(difference[place]),
        site=where["site"],
        day=where.get("day", "")[:10],
        before=float(old[place]),
        now=float(new[place]),
    )


def table_text(found: Comparison, every: bool = False) -> str:
    """Return what drifted as a table.

    Parameters
    ----------
    found : Comparison
        From `compare`.
    every : bool
        True to show what did not drift, too.

    Returns
    -------
    str
        A block a rig with one line a variable, then what only one side has; within
        `short_names.TERMINAL` columns, long names of sites shortened so that they stay apart.
    """
    shown = [check for check in found.checks if check.drifted or every]
    cells = [
        (
            check.variable,
            str(check.drifted),
            str(check.compared),
            *(f"{value:.4g}" for value in (check.worst, check.tolerance)),
            *(f"{value:.6g}" if check.worst else "" for value in (check.before, check.now)),
            check.day[5:] if check.worst else "",  # a typical year has no year
        )
        for check in shown
    ]
    heads = ("variable", "drifted", "of", "worst", "allowed", "baseline", "now", "day")
    widths = [max(map(len, column)) for column in zip(heads, *cells, strict=True)]
    room = TERMINAL - sum(widths) - 2 * len(widths)
    sites = shortened_apart((check.site for check in shown if check.worst), room)

    def line(row: tuple[str, ...], site: str) -> str:
        name, *figures = row
        aligned = map(str.rjust, figures, widths[1:])
        return "  ".join([name.ljust(widths[0]), *aligned, site]).rstrip()

    lines: list[str] = []
    rig = None
    for check, row in zip(shown, cells, strict=True):
        if check.rig != rig:
            rig = check.rig
            lines += ["", rig] if lines else [rig]
            lines += [line(heads, "site"), "-" * TERMINAL]
        lines.append(line(row, sites[check.site] if check.worst else ""))
    text = "".join(f"{each}\n" for each in lines)
    if lines:
        text += (
            "\nworst: the largest difference, in the unit of the variable, at that day and site\n"
        )
    if any(name != short for name, short in sites.items()):
        text += "--junit writes the names of sites in full\n"
    text += "".join(f"{line}\n" for line in found.unmatched)
    moved = sum(check.drifted > 0 for check in found.checks)
    return text + f"{moved} of {len(found.checks)} variables drifted\n"
