"""A day's verdict, and the three horizons of it, for the API description."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.quantities import DAY_FIGURES, Cause, Verdict
from noonhold_service.answers.projection_answer import MARGINS
from noonhold_service.description.answer_fields import part, real, text, whole


def day_text(name: str) -> str:
    """Return the description of a figure of a day's verdict, with its unit."""
    known = DAY_FIGURES[name]
    return known.description + ("" if known.unit == "1" else f" [{known.unit}]")


def cause_field(description: str) -> fields.Field[Any]:
    """Return a first cause of an answer, null for none."""
    words = [cause.word for cause in Cause if cause is not Cause.NONE]
    return text(description, null=True, enum=[*words, None])


def verdict_field(description: str, null: bool = False) -> fields.Field[Any]:
    """Return a verdict of an answer, with what it means."""
    words: list[str | None] = [verdict.word for verdict in Verdict]
    return text(
        f"{description} It holds where the comfort measure is within the limit for the required"
        " share of the judged time, the battery is above its reserve at every moment and every"
        " watt-hour of the loads is served; narrowly where its adverse twin does not.",
        null=null,
        enum=[*words, None] if null else words,
    )


class FirstFailureSchema(Schema):
    """The first day that fails."""

    day = whole("Its number, 1 for the first day.")
    date = text("Its date; null for a day that is repeated.", null=True, format="date")
    first_cause = cause_field("What failed first.")
    first_failure_hour = real("Hour of the clock of that failure. [h]")


class MarginsSchema(Schema):
    """The smallest margins, each with the day and the hour it was at; null where there is none."""

    class Meta:
        """One a margin of a day."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            field_name: field
            for name in MARGINS
            for field_name, field in (
                (name, real(day_text(name), null=True)),
                (f"{name}_date", text("The day of that.", null=True, format="date")),
                (
                    f"{name}_hour",
                    real("Hour of the clock at which the hour of that begins. [h]", null=True),
                ),
            )
        }


class SustainedSchema(Schema):
    """What becomes of the day that comes again and again, or of a stretch, once settled."""

    verdict = verdict_field(
        "Of the settled day, or the lowest of the stretch; null for a reason.", True
    )
    reason = text("Why there is no verdict.", null=True)
    daily_balance_wh = real(
        "What the day, or the mean day, gives more than it takes, to a battery that is never full"
        " nor empty. [W h]",
        null=True,
    )
    settled_charge = real(
        "State of charge with which the settled day, or the stretch, begins; null where the day"
        " takes more than it gives, or empties the battery.",
        null=True,
    )
    first_failure = part(
        FirstFailureSchema,
        "The first day that fails from the stated start, the day asked for being the first; of a"
        " stretch, from its settled start. Null where none does.",
        null=True,
    )
    margins = part(MarginsSchema, "Of the settled day or stretch.", null=True)


class StaySchema(Schema):
    """Days that hold from an arrival with a full battery on the first day."""

    days = whole("How many hold until the first that does not.")
    most_days = whole("How many were looked at.")
    charge_on_arrival = real("State of charge.")
    first_failure = part(FirstFailureSchema, "The day after them; null where all hold.", null=True)
