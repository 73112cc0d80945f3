"""The answer of a sizing."""

from __future__ import annotations

from marshmallow import Schema

from noonhold.documents import RigSchema
from noonhold.studies.sizing.sizing_terms import Outcome
from noonhold.studies.sizing.trials import Confidence
from noonhold_service.description.answer_fields import part
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    parts,
    real,
    text,
    whole,
)


class SizeSchema(Schema):
    """How large a rig is in what is sized."""

    battery_wh = real("Usable energy of the battery. [W h]", 4500.0)
    array_w = real("Rated power of the array in question; null for none. [W]", 600.0, null=True)
    cooler_factor = real("Cooler over that of the rig as given.", 1.0)


class MarginSchema(Schema):
    """Where a rig came nearest to failing, of the days that hold."""

    value = real("The least, in the unit of the field's name.", 310.0)
    date = text("The day of it.", "2025-01-17", format="date")
    hour = real("Hour of the clock at which the hour of it begins. [h]", 6.0)


class SizeTrialSchema(Schema):
    """What a rig of one size did, once its charge had settled."""

    size = part(SizeSchema, "The size.")
    days_needing_cooling = whole("Days that need cooling.", 14)
    holding_days = whole("Of those, days that hold, narrowly or not.", 13)
    narrow_days = whole("Of these, days that hold narrowly.", 0)
    counting_days = whole("Days needing cooling that hold at the confidence asked for.", 13)
    feasible_fraction = real(
        "Counting over needing; null where no day needs cooling.", 0.93, null=True
    )
    failed_by_capacity = whole("Of the others, those that fail first by capacity.", 0)
    failed_by_operation = whole(
        "Of the others, those that fail first by set point, measure or schedule.", 0
    )
    failed_by_energy = whole("Of the others, those that fail first by energy.", 1)
    daily_balance_wh = real(
        "What the mean day gives more than it takes, to a battery never full nor empty. [W h]",
        150.0,
    )
    lowest_charge = real("Lowest state of charge over the whole run.", 0.1)
    hours_at_reserve = real("Time in which the reserve holds the cooler off. [h]", 2.5)
    cooler_wh = real("Electricity of the cooler. [W h]", 30500.0)
    solar_wh = real("Solar electricity used. [W h]", 41000.0)
    curtailed_wh = real("Solar electricity that found no use. [W h]", 3800.0)
    unmet_wh = real(
        "House loads unserved, days that need no cooling included; at adverse confidence also in"
        " the adverse twin. [W h]",
        0.0,
    )
    peak_comfort = real(
        "Highest comfort measure in the judged time. [degC or votes]", 28.4, null=True
    )
    energy_margin_wh = part(MarginSchema, "Energy above the reserve. [W h]", null=True)
    comfort_margin_k = part(MarginSchema, "Comfort below the limit. [K or votes]", null=True)
    cooling_margin_w = part(
        MarginSchema, "What the highest allowed stage had to spare. [W]", null=True
    )


class FrontierPointSchema(Schema):
    """The smallest battery to one array."""

    array_w = real("Rated power of the array. [W]", 600.0)
    trial = part(
        SizeTrialSchema, "The smallest battery that does it; null where none does.", null=True
    )


class GainSchema(Schema):
    """What one rig has over another on the same days."""

    feasible_fraction = real("Share of the days.", 0.03, low=-1.0, high=1.0, null=True)
    holding_days = real("Days; below zero where more makes it worse. [d]", 1.0)
    counting_days = real("The same of the days that count. [d]", 1.0)
    lowest_charge = real("Lowest charge.", 0.04)
    hours_at_reserve = real("Time at the reserve. [h]", -1.5)


class WorthSchema(Schema):
    """What more would be worth to a rig."""

    at = part(SizeSchema, "The rig that gets it.")
    next_kwh = part(GainSchema, "One more kWh of battery.")
    next_100_w = part(GainSchema, "100 W more of the array; null without one.", null=True)


class WorseSchema(Schema):
    """A larger size that holds fewer days than a smaller one."""

    smaller = part(SizeTrialSchema, "The smaller one.")
    larger = part(SizeTrialSchema, "The larger one, in all else equal to it.")


class SizingAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a sizing."""

    outcome = text(
        "found; no_day_needs_cooling; cooler_too_small: not even unlimited energy does it;"
        " not_enough_energy: unlimited energy does it, the sizes allowed do not;"
        " no_cooler_does_it: none of the coolers allowed does it.",
        "found",
        enum=[str(each) for each in Outcome],
    )
    sentence = text("The answer in a sentence or two.", "A battery of 4500 Wh does it.")
    rig = part(
        RigSchema, "The rig of the size found; null for a frontier or where nothing is found.",
        null=True,
    )  # fmt: skip
    found = part(
        SizeTrialSchema, "The size found, as a projection of that rig judges it.", null=True
    )
    next_smaller = part(
        SizeTrialSchema, "The size below, which does not do it; null where there is none.",
        null=True,
    )  # fmt: skip
    frontier = parts(FrontierPointSchema, "By rising array; empty for a single size.")
    given = part(SizeTrialSchema, "The rig as given.")
    best = part(
        SizeTrialSchema, "Where nothing does it, the best of the sizes that were run.", null=True
    )
    unlimited = part(
        SizeTrialSchema, "Where nothing does it, the rig with unlimited energy.", null=True
    )
    cooler_factor_needed = real(
        "Where the cooler is too small, the factor on it that does it with unlimited energy.",
        None,
        null=True,
    )
    worth = parts(WorthSchema, "At the rig as given, and at the size found.")
    larger_is_worse = parts(
        WorseSchema,
        "Sizes run that hold fewer days than the next smaller, all else equal; empty for none.",
    )
    confidence = text(
        "How sure a day had to hold to count.",
        "adverse",
        enum=[str(each) for each in Confidence],
    )
    required_feasible_fraction = real("As asked.", 0.9, low=0.0, high=1.0)
    place = text("Whose weather it was.", "Mesaquorn, 1240 m")
    runs = whole("Sizes that were run, the uncooled twin counted.", 12)
    notes = notes()
