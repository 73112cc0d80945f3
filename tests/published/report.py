"""Write REPORT.md: every published figure beside ours. ``python -m tests.published``."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from engine import channels as ch
from engine.documents import load_projection, load_rig
from engine.projection import prepare, run_members
from engine.scenario import Comfort, ComfortMeasure, Operation, Place, Scenario, Start
from engine.selection import select_weather, typical_days
from engine.weather.catalogue import Catalogue
from tests.published.standard_140 import (
    FREE_FLOAT,
    LOADS,
    PUBLISHED,
    SUN,
    WEATHER,
    Range,
    figures,
    read_once,
    sun_figures,
    year,
)
from tests.published.standard_140_outside import OUTSIDE
from tests.published.test_mechanical_cooling import CASES, HOURS
from tests.published.test_mechanical_cooling_projection import document

REPORT = Path(__file__).with_name("REPORT.md")
STEPS_S = (600, 300, 150, 60)
ROUNDING = 6e-4
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
    lines += table(
        ("case", "quantity", "published (mean)", "ours", ""),
        (
            (
                case, name, f"{p.low:.6g} to {p.high:.6g} ({p.mean:.6g})", f"{value:.5g}",
                place_of(value, p),
            )
            for case, name, p, value in rows
        ),
    )  # fmt: skip
    lines += ["Outside, and why as far as known:", ""]
    for cause in dict.fromkeys(known.cause for known in OUTSIDE.values()):
        where = ", ".join(f"{c} {q}" for (c, q), known in OUTSIDE.items() if known.cause == cause)
        lines.append(f"- {where}: {cause}")
    return [*lines, ""]


def cooling() -> list[str]:
    rows = []
    for case in CASES:
        request = load_projection(document(case)).value
        selected = select_weather(request.weather, request.scenario.place, 0, Catalogue((), ()))
        member, _ = prepare(request.rig, request.scenario, selected.table)
        row = run_members([member])[0][-1]
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
            apart = f"{100.0 * (ours / middle - 1.0):+.1f} %" if middle else "-"
            ours = 0.0 if abs(ours) < 1e-9 else ours
            said = " / ".join(f"{value:g}" for value in theirs)
            rows.append((case.name, name, said, f"{ours:.4g}", apart))
    title = ["## Mechanical cooling: ANSI/ASHRAE Standard 140, CE100 to CE200", ""]
    return title + table(("case", "quantity", "analytical solutions", "ours", "apart"), rows)


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
    for step in STEPS_S[:-1]:
        energy, peak = (a - b for a, b in zip(_van(step), _van(STEPS_S[-1]), strict=True))
        rows.append(("van, 3 hot days", f"{step}", f"peak cabin degC {peak:+.2f}", f"{energy:.2f}"))
    head = (
        "case",
        "step s",
        "less the figure at 60 s",
        "largest difference of a day (van: of all days), kWh",
    )
    return ["## Convergence", "", *table(head, rows)]


def _daily(case: str, step_s: int) -> np.ndarray:
    """Return a case's heating and cooling by day, kWh."""
    record = year(case, step_s)
    both = record[:, ch.HEATING] + record[:, ch.SENSIBLE]
    return np.asarray(both.reshape(365, 24).sum(axis=1) / 1e3)


def _van(step_s: int) -> tuple[float, float]:
    """Return the largest change of a day's cooling [kWh] and the peak of a sample rig [degC]."""
    rig = load_rig(json.loads((ROOT / "sample_rigs" / "lined_panel_van.json").read_text())).value
    (file,) = WEATHER.glob("USA_NV*")
    table_ = read_once(file)
    place = Place(table_.site.latitude, table_.site.longitude, table_.site.elevation_m)
    scenario = Scenario(
        place, Operation(24.0), Comfort(ComfortMeasure.AIR, 26.0), Start(1.0, settled_days=2)
    )
    weather, warm_up = typical_days(table_, place, 7, 10, 3, 2)
    member, _ = prepare(rig, scenario, weather, warm_up, step_s)
    record = run_members([member])[0]
    energy = float(record[:, ch.SENSIBLE].sum() / 1e3)
    return energy, float(record[:, ch.CABIN].max())


def report() -> str:
    """Return the whole report."""
    lines = [
        "# Published cases",
        "",
        "Written by `python -m tests.published`; a test holds it current. The ranges of "
        "Standard 140 are example results of six programs, no acceptance criteria. Conduction, "
        "parts, sun, arrays, moist air and comfort are tested beside this file, one file a source.",
        "",
    ]
    return "\n".join(lines + envelope() + cooling() + convergence()).rstrip() + "\n"
