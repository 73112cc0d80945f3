"""The figures of a whole run, by which the studies compare runs."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.quantities import IN_COMFORT_UNIT, Cause, Verdict, quantity
from noonhold.scenario import ComfortMeasure
from noonhold_service.description.field_examples import NAME_BOUNDS
from noonhold_service.description.study_schemas.schema_parts import real, text, whole

_MEASURE = (-1e6, 1e6)  # a regression and a vote beyond what people bear: anything finite
_SHARE, _MARGIN, _HOURS, _ENERGY = (0.0, 1.0), (-1.0, 1.0), (0.0, 1e5), (0.0, 1e12)

# Name, meaning with unit (empty where the quantity of that name says it), example, bounds, whether
# it may not exist.
_NUMBERS = (
    ("feasible_fraction", "Share of the days needing cooling that hold.", 0.8, _SHARE, True),
    ("comfort_limit", "Limit of the comfort measure. [degC or votes]", 27.0, (-3.0, 60.0), False),
    ("comfortable_fraction", "", 0.97, _SHARE, True),
    ("worst_day_comfortable_fraction", "The same of the day with the least.", 0.95, _SHARE, True),
    ("peak_comfort", "", 27.4, _MEASURE, True),
    ("uncooled_peak_comfort", "", 41.2, _MEASURE, True),
    ("lowest_charge", "", 0.31, _SHARE, False),
    ("charge_at_end", "", 0.62, _SHARE, False),
    ("comfort_margin", "Share of the worst day less the share required.", 0.02, _MARGIN, True),
    ("charge_margin", "Lowest charge less the reserve.", 0.21, _MARGIN, False),
    ("worst_margin", "The smaller of the two margins.", 0.02, _MARGIN, False),
    ("hours_of_cooling", "", 7.5, _HOURS, False),
    ("hours_at_reserve", "", 0.0, _HOURS, False),
    ("cooling_wh", "", 5200.0, _ENERGY, False),
    ("cooler_wh", "", 2100.0, _ENERGY, False),
    ("load_wh", "", 1500.0, _ENERGY, False),
    ("solar_wh", "", 3300.0, _ENERGY, False),
    ("curtailed_wh", "", 240.0, _ENERGY, False),
    ("alternator_wh", "", 0.0, _ENERGY, False),
    ("shore_wh", "", 0.0, _ENERGY, False),
    ("unmet_wh", "", 0.0, _ENERGY, False),
)
_COUNTS = (
    ("days", "Days of the run.", 1),
    ("days_needing_cooling", "Days that would leave the limit without the cooler.", 1),
    ("holding_days_needing_cooling", "Of those, days that hold.", 1),
)


def _meaning(name: str, meaning: str) -> str:
    """Return what a figure means: a run's of a day's name is the quantity of that name."""
    if meaning:
        return meaning
    known = quantity(name)
    unit = "degC or votes" if name in IN_COMFORT_UNIT else known.unit
    return known.description if unit == "1" else f"{known.description} [{unit}]"


def _figure(
    name: str, meaning: str, example: float, bounds: tuple[float, float], null: bool
) -> fields.Field[Any]:
    # A figure of a run is that of its days, and cannot be bounded otherwise.
    low, high = NAME_BOUNDS.get(name, bounds)
    return real(_meaning(name, meaning), example, low=low, high=high, null=null)


class FiguresSchema(Schema):
    """The figures of a whole run; null where a figure does not exist."""

    class Meta:
        """The numbers stand in the tables above."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            **{name: whole(meaning, example) for name, meaning, example in _COUNTS},
            **{
                name: _figure(name, meaning, example, bounds, null)
                for name, meaning, example, bounds, null in _NUMBERS
            },
        }

    verdict = text("The lowest of all days.", "holds", enum=[verdict.word for verdict in Verdict])
    first_cause = text(
        "What the first day that fails failed by; none where none does.",
        "none",
        enum=[cause.word for cause in Cause],
    )
    failed_day = text("Date of the first day that fails.", None, null=True, format="date")
    first_failure_hour = real("Hour of the clock at which it fails. [h]", None, null=True)
    comfort_measure = text(
        "By which number comfort is judged.", "operative", enum=[str(m) for m in ComfortMeasure]
    )
    lowest_charge_at = text(
        "Start of the hour with the lowest charge.",
        "2025-01-20T07:00:00-08:00",
        format="date-time",
    )


def _delta(meaning: str) -> fields.Field[object]:
    return real(f"Variant less base of: {meaning[0].lower()}{meaning[1:]}", 0.0, null=True)


class DifferencesSchema(Schema):
    """Variant less base, by figure."""

    class Meta:
        """One a number of the figures."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            **{name: _delta(meaning) for name, meaning, _ in _COUNTS},
            **{name: _delta(_meaning(name, meaning)) for name, meaning, *_ in _NUMBERS},
        }
