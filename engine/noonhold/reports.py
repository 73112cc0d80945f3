"""What the facade returns: results that print on a screen and open as tables and pictures."""

from __future__ import annotations

import html
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr

from noonhold.dataset import to_dataset
from noonhold.documents import Assumption
from noonhold.pictures.day_picture import draw_day
from noonhold.projection_result import ProjectionResult
from noonhold.quantities import Cause, Verdict
from noonhold.simulation import channels as ch
from noonhold.verdict import CAUTIONS, Summary
from noonhold.verdict_sentence import sentence

_WIDTH: Final = 96
_MOST_SHOWN: Final = 4


@dataclass(frozen=True)
class Picture:
    """A picture that a notebook shows and that can be saved.

    Parameters
    ----------
    svg, png : callable
        Return its bytes.
    """

    svg: Callable[[], bytes]
    png: Callable[[], bytes]

    def save(self, path: str | Path) -> Path:
        """Write the picture to a file, ``.svg`` or ``.png``.

        Raises
        ------
        ValueError
            For another suffix.
        """
        path = Path(path)
        draw = {".svg": self.svg, ".png": self.png}.get(path.suffix.lower())
        if draw is None:
            raise ValueError(f"{path.name}: a picture is .svg or .png")
        path.write_bytes(draw())
        return path

    def _repr_svg_(self) -> str:
        return self.svg().decode()

    def _repr_png_(self) -> bytes:
        return self.png()


@dataclass(frozen=True, repr=False)
class ProjectionReport:
    """What a projection found: the verdict first, every hour behind it.

    Parameters
    ----------
    result : ProjectionResult
        Of the library, as plain arrays.
    assumptions : tuple of Assumption
        Everything that was not said: path, value, reason.
    """

    result: ProjectionResult
    assumptions: tuple[Assumption, ...]

    @property
    def sentence(self) -> str:
        """The verdict as a person would say it."""
        return sentence(self.result)

    @property
    def summary(self) -> Summary:
        """The verdict over all days."""
        return self.result.summary

    @property
    def cautions(self) -> tuple[str, ...]:
        """What everyone who acts on this must know."""
        return CAUTIONS

    @property
    def dataset(self) -> xr.Dataset:
        """Every hour: an xarray Dataset over ``time`` with units and long names."""
        made = to_dataset(self.result.projection)
        return made.assign_attrs(verdict=self.sentence, cautions=" ".join(CAUTIONS))

    @property
    def days(self) -> pd.DataFrame:
        """Every day's verdict and figures: a pandas DataFrame by date."""
        days = self.result.days
        columns = {each.name: getattr(days, each.name) for each in fields(days)}
        columns["verdict"] = [Verdict(int(value)).word for value in days.verdict]
        columns["first_cause"] = [Cause(int(value)).word for value in days.first_cause]
        date = pd.DatetimeIndex(columns.pop("date"), name="date")
        return pd.DataFrame(columns, index=date)

    def plot(self) -> Picture:
        """Return temperatures, charge and power over the hours as a picture."""
        found, said = self.result, self.sentence
        return Picture(lambda: draw_day(found, said, "svg"), lambda: draw_day(found, said, "png"))

    def _rows(self) -> list[tuple[str, str]]:
        return [
            *_projection_rows(self.result),
            ("assumptions", f"{len(self.assumptions)} values that were not given: .assumptions"),
            ("more", ".dataset .days .summary .plot() .cautions"),
        ]

    def _title(self) -> str:
        projection = self.result.projection
        starts = projection.clock.starts
        first, last = str(starts[0])[:10], str(starts[-1])[:10]
        when = first if first == last else f"{first} to {last}"
        return f"{projection.rig.name}, {projection.weather.site.name}, {when}"

    def __repr__(self) -> str:
        """Return ten lines at most."""
        return _text(self._title(), self.sentence, self._rows(), CAUTIONS[0])

    def _repr_html_(self) -> str:
        return _page(self._title(), self.sentence, self._rows(), CAUTIONS[0])


def _projection_rows(found: ProjectionResult) -> list[tuple[str, str]]:
    projection, summary = found.projection, found.summary
    record = projection.record
    hours = projection.weather.interval_s / 3600.0

    def span(values: Any) -> str:
        return f"{np.min(values):.1f} to {np.max(values):.1f} degC"

    def kwh(*numbers: int) -> str:
        return f"{sum(projection.channel(n).sum() for n in numbers) * hours / 1000.0:.1f} kWh"

    return [
        (
            "cabin",
            f"{span(record[:, ch.CABIN])}; without the cooler"
            f" {span(projection.uncooled[:, ch.CABIN])}; outdoors {span(record[:, ch.OUTDOOR])}",
        ),
        ("lowest charge", f"{100.0 * summary.lowest_charge:.0f} % at {summary.lowest_charge_at}"),
        (
            "energy",
            f"solar {kwh(ch.SOLAR)}, cooler {kwh(ch.COOLER_POWER)},"
            f" house loads {kwh(ch.LOAD_POWER)}, not served {kwh(ch.UNMET)}",
        ),
    ]


@dataclass(frozen=True, repr=False)
class StudyReport:
    """What a study found.

    Parameters
    ----------
    found : object
        The study's own frozen dataclass.
    document : dict
        The same as the service sends it: plain values, cautions first.
    assumptions : tuple of Assumption
        Everything that was not said.
    rows : tuple of mapping
        What `table` shows: variants, sizes, hours, cases, plans or factors.
    """

    study: str
    found: Any
    document: Mapping[str, Any]
    assumptions: tuple[Assumption, ...]
    rows: tuple[Mapping[str, Any], ...]

    @property
    def table(self) -> pd.DataFrame:
        """The study's main list as a pandas DataFrame, nested values as ``part.name``."""
        return pd.json_normalize([dict(each) for each in self.rows])

    @property
    def cautions(self) -> tuple[str, ...]:
        """What everyone who acts on this must know."""
        return tuple(self.document.get("cautions", CAUTIONS))

    @property
    def sentence(self) -> str:
        """What was found, in a sentence where the study has one."""
        return str(self.document.get("sentence") or f"{len(self.rows)} rows in .table")

    def _rows(self) -> list[tuple[str, str]]:
        plain = (str, int, float, bool)
        shown = [
            (key, f"{value:.6g}" if isinstance(value, float) else str(value))
            for key, value in self.document.items()
            if isinstance(value, plain) and key != "sentence"
        ]
        return [
            *shown[:_MOST_SHOWN],
            ("assumptions", f"{len(self.assumptions)} values that were not given: .assumptions"),
            ("more", f".table ({len(self.rows)} rows) .document .found .cautions"),
        ]

    def __repr__(self) -> str:
        """Return ten lines at most."""
        return _text(self.study, self.sentence, self._rows(), self.cautions[0])

    def _repr_html_(self) -> str:
        return _page(self.study, self.sentence, self._rows(), self.cautions[0])


def _short(text: str, lines: int) -> list[str]:
    return textwrap.wrap(text, _WIDTH, max_lines=lines, placeholder=" ...")


def _text(title: str, said: str, rows: list[tuple[str, str]], caution: str) -> str:
    """Return title, sentence (three lines at most), rows and a caution on ten lines at most."""
    below = [f"  {name:14}{_short(value, 1)[0] if value else ''}" for name, value in rows]
    words = _short(said, min(3, 8 - len(below)))
    return "\n".join([*_short(title, 1), *words, *below, *_short(caution, 1)])


def _page(title: str, said: str, rows: list[tuple[str, str]], caution: str) -> str:
    """Return the same as a small table for notebooks."""
    body = "".join(
        f"<tr><th style='text-align:left'>{html.escape(name)}</th>"
        f"<td style='text-align:left'>{html.escape(value)}</td></tr>"
        for name, value in rows
    )
    return (
        f"<div><strong>{html.escape(title)}</strong><p>{html.escape(said)}</p>"
        f"<table>{body}</table><p><em>{html.escape(caution)}</em></p></div>"
    )
