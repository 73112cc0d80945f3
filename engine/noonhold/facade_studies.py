"""The library's studies of a projection: each takes a rig and its weather as ``project`` does.

What a study needs beyond the scenario are its own arguments; ``options`` takes any further field of
the service's document.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from noonhold.documents import Loaded
from noonhold.documents.comparison_document import load_comparison
from noonhold.documents.plan_document import dump_plan, load_plan
from noonhold.documents.sizing_document import dump_sizing, load_sizing
from noonhold.documents.uncertainty_document import load_uncertainty
from noonhold.documents.warm_up_document import load_warm_up
from noonhold.facade_inputs import (
    Document,
    RigLike,
    WeatherLike,
    moved,
    question,
    step_of,
    study_document,
)
from noonhold.reports import StudyReport
from noonhold.studies.comparison import comparison_study
from noonhold.studies.plan.plan_study import plan_day
from noonhold.studies.sizing.sizing_study import size_rig
from noonhold.studies.uncertainty import uncertainty_study
from noonhold.studies.warm_up import warm_up_study


def compare(
    rig: RigLike,
    weather: WeatherLike,
    variants: Mapping[str, Document],
    **scenario: Any,
) -> StudyReport:
    """Set variants beside a base and order what matters.

    Parameters
    ----------
    rig, weather
        The base, see :func:`noonhold.project`.
    variants : mapping of str to dict
        By name, what changes: JSON merge patches of ``rig``, ``place``, ``operation``, ``start``,
        ``comfort``.
    **scenario
        The scenario's arguments of :func:`noonhold.project`, from ``place`` to ``days``.

    Returns
    -------
    StudyReport
        Its ``table`` has a row a variant.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.compare(
    ...     "flatbed_cabin",
    ...     "basin_desert_sandrevel",
    ...     {"cooler inside": {"operation": {"set_point_c": 22}}},
    ...     date="01-14",
    ... )
    >>> report.table["name"].tolist()
    ['cooler inside']
    """
    asked = question(rig, weather, **scenario)
    listed = [{"name": name, "patch": dict(patch)} for name, patch in variants.items()]
    loaded = load_comparison({"base": asked.document, "variants": listed}, asked.resolver)
    base = loaded.value.base
    found = comparison_study.compare(
        base, loaded.value.variants, asked.catalogue, asked.read, step_of(base)
    )
    document = comparison_study.comparison_report(found)
    assumptions = moved(asked.assumptions, "/base") + loaded.assumptions
    return StudyReport("comparison", found, document, assumptions, tuple(document["variants"]))


def size(
    rig: RigLike,
    weather: WeatherLike,
    what: str = "battery",
    *,
    battery_wh: Document | None = None,
    array_w: Document | None = None,
    cooler_factor: Document | None = None,
    required_feasible_fraction: float = 0.95,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Find the smallest battery, array or cooler that holds the asked share of days.

    Parameters
    ----------
    rig, weather
        See :func:`noonhold.project`.
    what : str, optional
        ``battery``, ``array``, ``cooler`` or another ``size`` of the service's sizing.
    battery_wh, array_w, cooler_factor : dict, optional
        ``least``, ``most``, and optionally ``step`` of what may be chosen. [Wh], [W], [1]
    required_feasible_fraction : float, optional
        Of the days that need cooling; 0.95 by default.
    options : dict, optional
        Further fields of the service's sizing document.
    **scenario
        The scenario's arguments of :func:`noonhold.project`, from ``place`` to ``days``.

    Returns
    -------
    StudyReport
        Its ``table`` has the sizes that were looked at: as given, found, next smaller, frontier.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.size(
    ...     "flatbed_cabin",
    ...     "plateau_highorrin",
    ...     battery_wh={"least": 2000, "most": 12000, "step": 1000},
    ...     date="01-14",
    ...     days=2,
    ... )
    >>> report.table["which"].tolist()[0]
    'given'
    """
    asked = question(rig, weather, **scenario)
    fields = {
        "size": what,
        "battery_wh": battery_wh,
        "array_w": array_w,
        "cooler_factor": cooler_factor,
        "required_feasible_fraction": required_feasible_fraction,
        **(options or {}),
    }
    loaded = load_sizing(study_document(asked, **fields), asked.resolver)
    found = size_rig(loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base))
    document = dump_sizing(found)
    trials = [
        {"which": which, **document[which]}
        for which in ("given", "found", "next_smaller", "best", "unlimited")
        if document.get(which) is not None
    ]
    rows = trials + [{"which": "frontier", **each} for each in document["frontier"]]
    return _study("sizing", found, document, asked.assumptions, loaded, rows)


def estimate_uncertainty(
    rig: RigLike,
    weather: WeatherLike,
    *,
    ranges: Document | None = None,
    samples: int | None = None,
    sensitivity_samples: int | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Say what a verdict is worth: bands by hour and the chance that every day holds.

    Parameters
    ----------
    rig, weather
        See :func:`noonhold.project`.
    ranges : dict, optional
        By input, ``low`` and ``high``; by default each input's likely range, which is noted.
    samples : int, optional
        A power of two; 256 by default.
    sensitivity_samples : int, optional
        Rows of the indices that say which input matters, at most `samples`; 0 for none.
    options : dict, optional
        Further fields of the service's uncertainty document.
    **scenario
        The scenario's arguments of :func:`noonhold.project`, from ``place`` to ``days``.

    Returns
    -------
    StudyReport
        Its ``table`` has a row an hour.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.estimate_uncertainty(
    ...     "flatbed_cabin",
    ...     "basin_desert_sandrevel",
    ...     samples=16,
    ...     sensitivity_samples=0,
    ...     date="01-14",
    ... )
    >>> len(report.table)
    24
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(
        asked,
        ranges=ranges,
        samples=samples,
        sensitivity_samples=sensitivity_samples,
        **(options or {}),
    )
    loaded = load_uncertainty(fields, asked.resolver)
    found = uncertainty_study.estimate_uncertainty(
        loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base)
    )
    document = uncertainty_study.uncertainty_report(found)
    bands = ("cabin_temperature_c", "operative_temperature_c", "state_of_charge")
    rows = [
        {
            "time": time,
            **{name: {k: v[hour] for k, v in document[name].items()} for name in bands},
        }
        for hour, time in enumerate(document["times"])
    ]
    return _study("uncertainty", found, document, asked.assumptions, loaded, rows)


def warm_up(
    rig: RigLike,
    weather: WeatherLike,
    *,
    stop_at: str | None = None,
    thresholds_c: Sequence[float] | None = None,
    occupants: float | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Say how soon the cabin is dangerously warm once its cooler stops.

    Parameters
    ----------
    rig, weather
        See :func:`noonhold.project`.
    stop_at : str, optional
        ``HH:MM``; by default the worst moment is looked for.
    thresholds_c : sequence of float, optional
        Cabin temperatures whose times are looked for, rising. [degC]
    occupants : float, optional
        How many people are inside; their heat warms the cabin.
    options : dict, optional
        Further fields of the service's warm-up document.
    **scenario
        The scenario's arguments of :func:`noonhold.project`, from ``place`` to ``days``.

    Returns
    -------
    StudyReport
        Its ``table`` has a row a case.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.warm_up(
    ...     "flatbed_cabin", "basin_desert_sandrevel", stop_at="14:00", date="01-14"
    ... )
    >>> report.cautions[0][:55]
    'These minutes are a warning, not an allowance. A person'
    >>> len(report.table) > 0
    True
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(
        asked,
        stop_at=stop_at,
        thresholds_c=None if thresholds_c is None else list(thresholds_c),
        occupants=occupants,
        **(options or {}),
    )
    loaded = load_warm_up(fields, asked.resolver)
    found = warm_up_study.warm_up(loaded.value, asked.catalogue, asked.read)
    document = warm_up_study.warm_up_report(found)
    return _study("warm-up", found, document, asked.assumptions, loaded, document["cases"])


def plan(
    rig: RigLike,
    weather: WeatherLike,
    *,
    drive: Document | None = None,
    options: Document | None = None,
    **scenario: Any,
) -> StudyReport:
    """Find the plan of the day that keeps the comfort limit with most charge left.

    Parameters
    ----------
    rig, weather
        See :func:`noonhold.project`.
    drive : dict, optional
        ``duration_h``, ``speed_km_h``, ``earliest``, ``latest`` of a drive that belongs to the day.
    options : dict, optional
        Further fields of the service's plan document.
    **scenario
        The scenario's arguments of :func:`noonhold.project`, from ``place`` to ``days``.

    Returns
    -------
    StudyReport
        Its ``table`` sets the plan beside the operation as asked and the best fixed schedule.

    Examples
    --------
    >>> import noonhold as nh
    >>> report = nh.plan(
    ...     "flatbed_cabin", "plateau_highorrin", options={"most_runs": 20}, date="01-14"
    ... )
    >>> report.table["which"].tolist()
    ['plan', 'as asked', 'best fixed']
    """
    asked = question(rig, weather, **scenario)
    fields = study_document(asked, drive=drive, **(options or {}))
    loaded = load_plan(fields, asked.resolver)
    found = plan_day(loaded.value, asked.catalogue, asked.read, step_of(loaded.value.base))
    document = dump_plan(found)
    rows = [
        {"which": "plan", **document["figures"]},
        {"which": "as asked", **document["as_asked"]},
        {"which": "best fixed", **document["best_fixed"]["figures"]},
    ]
    return _study("plan", found, document, asked.assumptions, loaded, rows)


def _study(
    name: str,
    found: object,
    document: Mapping[str, Any],
    assumed: tuple[Any, ...],
    loaded: Loaded[Any],
    rows: Sequence[Mapping[str, Any]],
) -> StudyReport:
    """Return the report of a study over a projection."""
    assumptions = moved(assumed, "/projection") + loaded.assumptions
    return StudyReport(name, found, document, assumptions, tuple(rows))
