"""Write REPORT.md: every published figure beside ours. ``python -m tests.published``."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from noonhold.documents import load_projection, load_rig
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Place, Scenario, Start
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from noonhold.weather.catalogue import Catalogue
from noonhold.weather.selection import select_weather, typical_days
from tests.published import (
    test_arrays,
    test_comfort,
    test_conduction,
    test_coolers_in_heat,
    test_ground,
    test_leakage,
    test_loads_and_shade,
    test_moist_air,
    test_parked_vehicle,
    test_sun,
    test_vdi_6007,
)
from tests.published.mechanical_cooling_cases import REFERENCE_CASES, published
from tests.published.standard_140 import (
    WEATHER,
    difference,
    figures,
    hours_of_extremes,
    read_once,
    sun_figures,
    year,
)
from tests.published.standard_140_outside import DIFFERENCES_OUTSIDE, OUTSIDE, Known
from tests.published.standard_140_ranges import FREE_FLOAT, LOADS, PUBLISHED, SUN, Range
from tests.published.standard_140_sensitivities import SENSITIVITIES
from tests.published.test_mechanical_cooling import CASES, HOURS
from tests.published.test_mechanical_cooling_projection import document
from tests.published.test_mechanical_cooling_reference import ALLOWED, steady

FloatArray = npt.NDArray[np.float64]

REPORT = Path(__file__).with_name("REPORT.md")
STEPS_S = (600, 300, 150, 60)
ROUNDING = 6e-4
WHY_300 = (
    "The default step is 300 s: against 60 s it moves no annual energy or peak load by more than "
    "0.2 %, no free-floating extreme by more than about 0.1 K, and no day of a rig with energy to "
    "spare by more than 0.1 %, at a fifth of the work; 600 s doubles that. A rig at its reserve is "
    "another matter: when a stop comes one step earlier or later, the next start does too, and "
    "the cooling of such a day moves by some percent at every step length."
)
ROOT = Path(__file__).resolve().parents[2]


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Return a Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return lines + ["| " + " | ".join(row) + " |" for row in rows] + [""]


def envelope_rows() -> list[tuple[str, str, Range, float]]:
    """Return case, quantity, range and our value of every figure of the envelope cases."""
    rows = []
    for case, ranges in PUBLISHED.items():
        names = FREE_FLOAT if case.endswith("FF") else LOADS
        found = figures(case)
        rows += [(case, n, r, found[n]) for n, r in zip(names, ranges, strict=True)]
    found = sun_figures()
    return rows + [("weather", name, SUN[name], found[name]) for name in SUN]


def place_of(value: float, published: Range) -> str:
    """Tell where a value lies."""
    if published.low - ROUNDING <= value <= published.high + ROUNDING:
        return "inside"
    edge = published.low if value < published.low else published.high
    return f"**outside** {100.0 * (value - edge) / abs(edge):+.1f} %"


def envelope() -> list[str]:
    rows = envelope_rows()
    inside = sum(place_of(value, published) == "inside" for _, _, published, value in rows)
    lines = [
        "## Building envelope: ANSI/ASHRAE Standard 140-2020, Annex B8",
        "",
        f"{inside} of {len(rows)} figures lie inside the range of the six reference programs.",
        "",
    ]
    when = {
        (case, name): hour for case in PUBLISHED for name, hour in hours_of_extremes(case).items()
    }
    lines += table(
        ("case", "quantity", "published (mean)", "ours", "", "when"),
        (
            (
                case, name, f"{p.low:.6g} to {p.high:.6g} ({p.mean:.6g})", f"{value:.5g}",
                place_of(value, p), when.get((case, name), ""),
            )
            for case, name, p, value in rows
        ),
    )  # fmt: skip
    return lines + causes(OUTSIDE)


def causes(outside: dict[tuple[str, str], Known]) -> list[str]:
    """Return why figures lie outside, each cause with its figures."""
    lines = ["Outside, and why as far as known:", ""]
    for cause in dict.fromkeys(known.cause for known in outside.values()):
        where = ", ".join(f"{c} {q}" for (c, q), known in outside.items() if known.cause == cause)
        lines.append(f"- {where}: {cause}")
    return [*lines, ""]


def sensitivities() -> list[str]:
    """Return the table of one envelope case less another."""
    rows, inside = [], 0
    for case, less, effect, source, ranges in SENSITIVITIES:
        for quantity, p in ranges.items():
            value = difference(case, less, quantity)
            value = 0.0 if abs(value) < 1e-9 else value
            place = place_of(value, p)
            inside += place == "inside"
            said = f"{p.low:.4g} to {p.high:.4g} ({p.mean:.4g})"
            rows.append((f"{case}-{less}", effect, quantity, source, said, f"{value:.4f}", place))
    lines = [
        "## Sensitivities: ANSI/ASHRAE Standard 140-2020, tables B8-6 to B8-10",
        "",
        f"What one case has more than another, stricter than the cases: {inside} of {len(rows)} "
        "differences lie inside the range of the six reference programs.",
        "",
    ]
    head = ("cases", "effect", "quantity", "table", "published (mean)", "ours", "")
    return lines + table(head, rows) + causes(DIFFERENCES_OUTSIDE)


def cooling() -> list[str]:
    rows = []
    for case in CASES:
        request = load_projection(document(case)).value
        selected = select_weather(request.weather, request.scenario.place, 0, Catalogue((), ()))
        simulation_case, _ = prepare(request.rig, request.scenario, selected.table)
        row = run_cases([simulation_case])[0][-1]
        kwh = HOURS / 1000.0
        electricity = row[ch.COOLER_POWER] * kwh
        cop = (row[ch.SENSIBLE] + row[ch.LATENT]) / row[ch.COOLER_POWER]
        coil = (row[ch.SENSIBLE] + row[ch.COOLER_FAN] + row[ch.LATENT]) * kwh
        published = (
            (case.electricity_kwh, electricity, "electricity kWh"),
            (case.cop, cop, "COP"),
            ((case.coil_total_kwh,), coil, "coil total kWh"),
            ((case.coil_latent_kwh,), row[ch.LATENT] * kwh, "coil latent kWh"),
            (case.humidity_ratio, row[ch.HUMIDITY], "zone kg/kg"),
        )
        for theirs, ours, name in published:
            middle = float(np.mean(theirs))
            within = 0.02 if name == "zone kg/kg" else 0.01
            apart, place = "-", "inside" if abs(ours) < 0.5 else "**outside**"
            if middle:
                apart = f"{100.0 * (ours / middle - 1.0):+.1f} %"
                low, high = (1.0 - within) * min(theirs), (1.0 + within) * max(theirs)
                place = "inside" if low <= ours <= high else "**outside**"
            ours = 0.0 if abs(ours) < 1e-9 else ours
            said = " / ".join(f"{value:g}" for value in theirs)
            rows.append((case.name, name, said, f"{ours:.4g}", apart, place))
    title = [
        "## Mechanical cooling: ANSI/ASHRAE Standard 140, CE100 to CE200",
        "",
        "Inside is within 1 % of the two solutions, humidity within 2 %. In the dry cases the zone "
        "dries until the coil is just dry.",
        "",
    ]
    head = ("case", "quantity", "analytical solutions", "ours", "apart", "")
    return title + table(head, rows)


def reference_cooling() -> list[str]:
    """Return the table of the cases that are compared with a reference program."""
    rows = []
    for case in REFERENCE_CASES:
        ours = steady(case)
        for name, (reference,) in published(case).items():
            apart = ours[name] / reference - 1.0
            dry = name == "zone kg/kg" and case.latent_gain_w == 0
            inside = apart <= ALLOWED[name] and (dry or apart >= -ALLOWED[name])
            place = "inside" if inside else "**outside**"
            rows.append(
                (case.name, name, f"{reference:g}", f"{ours[name]:.4g}", f"{100 * apart:+.1f} %",
                 place)
            )  # fmt: skip
    said = ", ".join(f"{name} {100 * within:.1f} %" for name, within in ALLOWED.items())
    title = [
        "The other seven cases beside a reference program (EnergyPlus 25.1 as NREL publishes its "
        "results), whose own distance from the analytical solutions of the cases above is added to "
        f"what is allowed: {said}.",
        "",
    ]
    return title + table(("case", "quantity", "reference program", "ours", "apart", ""), rows)


PARTS = [
    part
    for module in (
        test_conduction, test_vdi_6007, test_leakage, test_coolers_in_heat, test_moist_air,
        test_comfort, test_sun, test_arrays, test_loads_and_shade, test_ground, test_parked_vehicle,
    )
    for part in module.PARTS
]  # fmt: skip


def parts() -> list[str]:
    """Return the table of everything smaller than a building."""
    rows, inside = [], 0
    for part in PARTS:
        value = part.ours()
        value = 0.0 if abs(value) < 1e-9 else value
        place = part.place(value)
        inside += place == "inside"
        rows.append((part.source, part.case, part.quantity, part.published, f"{value:.6g}", place))
    said = f"{inside} of {len(rows)} figures lie inside what is published or exact."
    head = ("source", "case", "quantity", "published", "ours", "")
    return ["## Parts", "", said, "", *table(head, rows)]


def convergence() -> list[str]:
    rows = []
    for case, names in (("600", LOADS), ("900", LOADS), ("600FF", FREE_FLOAT)):
        finest = figures(case, STEPS_S[-1])
        daily = _daily(case, STEPS_S[-1])
        for step in STEPS_S[:-1]:
            found = figures(case, step)
            apart = "; ".join(f"{name} {found[name] - finest[name]:+.3f}" for name in names)
            worst = np.abs(_daily(case, step) - daily).max()
            rows.append((case, f"{step}", apart, f"{worst:.2f}"))
    for battery in ("ample", "its own"):
        finest_days, finest_peak = van(battery, STEPS_S[-1])
        for step in STEPS_S[:-1]:
            days, peak = van(battery, step)
            worst = np.abs(days - finest_days).max()
            apart = f"peak cabin degC {peak - finest_peak:+.2f}"
            rows.append((f"van, {battery} battery", f"{step}", apart, f"{worst:.2f}"))
    head = ("case", "step s", "less the figure at 60 s", "largest difference of a day, kWh")
    return ["## Convergence", "", WHY_300, "", *table(head, rows)]


def _daily(case: str, step_s: int) -> FloatArray:
    """Return a case's heating and cooling by day, kWh."""
    record = year(case, step_s)
    both = record[:, ch.HEATING] + record[:, ch.SENSIBLE]
    return np.asarray(both.reshape(365, 24).sum(axis=1) / 1e3)


@cache
def van(battery: str, step_s: int) -> tuple[FloatArray, float]:
    """Return the cooling of three hot days [kWh] and the peak of a sample rig [degC]."""
    rig = load_rig(json.loads((ROOT / "sample_rigs" / "lined_panel_van.json").read_text())).value
    if battery == "ample":
        rig = replace(rig, battery=replace(rig.battery, usable_energy_wh=1e5))
    (file,) = WEATHER.glob("USA_NV*")
    year_table = read_once(file)
    site = year_table.site
    place = Place(site.latitude, site.longitude, site.elevation_m)
    scenario = Scenario(
        place, Operation(24.0), Comfort(ComfortMeasure.AIR, 26.0), Start(1.0, spin_up_days=2)
    )
    weather, spin_up = typical_days(year_table, place, 7, 10, 3, 2)
    simulation_case, _ = prepare(rig, scenario, weather, spin_up, step_s)
    record = run_cases([simulation_case])[0]
    days = record[:, ch.SENSIBLE].reshape(3, 24).sum(axis=1) / 1e3
    return np.asarray(days), float(record[:, ch.CABIN].max())


def report() -> str:
    """Return the whole report."""
    lines = [
        "# Published cases",
        "",
        "Written by `python -m tests.published`; a test holds it current. The ranges of "
        "Standard 140 are example results of six programs, no acceptance criteria. The values and "
        "their sources in full stand beside this file, one file a source.",
        "",
    ]
    return (
        "\n".join(
            lines
            + envelope()
            + sensitivities()
            + cooling()
            + reference_cooling()
            + parts()
            + convergence()
        ).rstrip()
        + "\n"
    )
