"""What the answers are made of, for the API description; the tests hold the answers to it."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.dataset import VARIABLES
from noonhold.documents import RigSchema
from noonhold.quantities import DAY_TOTALS, quantity
from noonhold.studies.remedies.levers import Lever
from noonhold_service.answers.projection_answer import DAY_NUMBERS
from noonhold_service.description.answer_fields import many, part, real, text, truth, whole
from noonhold_service.description.horizon_schemas import (
    MarginsSchema,
    StaySchema,
    SustainedSchema,
    cause_field,
    day_text,
    verdict_field,
)


class FaultSchema(Schema):
    """One broken rule."""

    pointer = text("JSON pointer (RFC 6901) into the request; empty for the whole of it.")
    detail = text("What is wrong.")
    value = fields.Raw(
        required=True, allow_none=True, metadata={"description": "What was found there."}
    )
    bound = text("What is allowed.", null=True)
    hint = text("A likely cause, for example a mix-up of units.", null=True)


class ProblemSchema(Schema):
    """A problem by RFC 9457."""

    type = text("Which kind of problem; the address of its page.", format="uri-reference")
    title = text("The kind in words.")
    status = fields.Integer(required=True, metadata={"description": "The HTTP status."})
    detail = text("What is the matter this time.")
    request_id = fields.String(metadata={"description": "Names this request in the logs."})
    errors = fields.List(
        fields.Nested(FaultSchema), metadata={"description": "Every fault found, at most 100."}
    )
    errors_omitted = fields.Integer(
        metadata={
            "description": "How many more faults were counted, where there are more.",
            "minimum": 1,
            "maximum": 1e9,
            "example": 250,
        }
    )


class TotalsSchema(Schema):
    """Energies of the whole span."""

    class Meta:
        """The fields are those of the answer's own list."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            name: real(day_text(name)) for name in DAY_TOTALS
        }


class RemedySchema(Schema):
    """A single change with which the days hold."""

    lever = text("What is changed.", enum=[str(each) for each in Lever])
    sentence = text("The change and what it does, in words.")
    verdict = verdict_field("With the change.")
    value = real("The new value, in its unit; null where the change has none.", null=True)
    unit = text("Of the value, as UDUNITS writes it.", null=True)


class ChanceSchema(Schema):
    """How likely something is, from samples."""

    probability = real("Share of the samples. [1]")
    standard_error = real("Of that share. [1]")


class SummarySchema(Schema):
    """The verdict over all days."""

    verdict = verdict_field("The lowest verdict of all days.")
    first_cause = cause_field(
        "What the first day that fails failed by, first in time: energy_balance (it takes more"
        " than it gives), energy_storage (the battery is too small, or gives too little power),"
        " capacity (the highest stage full out and still above the set point), measure (capacity"
        " to spare, yet walls or humidity keep the measure above the limit), schedule (a stage not"
        " allowed, or begun too late)."
    )
    sentence = text("The verdict in plain words.")
    sustained = part(SustainedSchema, "Day after day.")
    stay = part(StaySchema, "From an arrival on; null for own columns.", null=True)
    margins = part(MarginsSchema, "The smallest of all days.")
    days = whole("Days of the projection.")
    holding_days = whole("Days that hold, narrowly or not.")
    narrow_days = whole("Days that hold narrowly.")
    days_needing_cooling = whole("Days that would leave the limit without the cooler.")
    holding_days_needing_cooling = whole("Of those, days that hold.")
    feasible_fraction = real(
        "Share of the days needing cooling that hold; null if none needs it.", null=True
    )
    comfort_measure = text("By which number comfort was judged.")
    comfort_limit = real("The limit that was set. [degC, or votes for pmv]")
    comfortable_fraction = real(day_text("comfortable_fraction"), null=True)
    peak_comfort = real(day_text("peak_comfort"), null=True)
    uncooled_peak_comfort = real(day_text("uncooled_peak_comfort"), null=True)
    charge_at_start = real("State of charge at the first moment.")
    lowest_charge = real(day_text("lowest_charge"))
    lowest_charge_at = text("Start of the hour with the lowest charge.", format="date-time")
    charge_at_end = real(day_text("charge_at_end"))
    hours_of_cooling = real(day_text("hours_of_cooling"))
    totals = part(TotalsSchema, "Energies of the whole span.")
    remedies = many(
        fields.Nested(RemedySchema),
        "Single changes with which the days hold, each shown by a run, in the order of how little"
        " they ask; empty where they hold, or where none of the changes tried is enough.",
    )
    lasting_remedies = many(
        fields.Nested(RemedySchema),
        "The same for days that hold, but not day after day: single changes with which they hold"
        " once the charge has settled. Empty where they do, or where today fails already.",
    )
    chance = part(
        ChanceSchema,
        "How likely every day holds with the rig as built, within the ranges of the uncertainty"
        " study; null where the request does not ask for it.",
        null=True,
    )


class DaySchema(Schema):
    """The verdict of one day."""

    class Meta:
        """The numbers are those of the answer's own list."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            name: real(day_text(name), null=True) for name in DAY_NUMBERS
        }

    date = text("The day of the clock.", format="date")
    verdict = verdict_field("What the day does.")
    needs_cooling = truth("Whether the day leaves the limit without the cooler.")
    judged = truth("Whether any of it lies in the judged part of the cooling window.")
    first_cause = cause_field("What failed first.")
    first_failure_hour = real(day_text("first_failure_hour"), null=True)


class StationUsedSchema(Schema):
    """The station that the weather came from."""

    id = text("Its identifier.")
    name = text("Its name.")
    distance_km = real("From the place. [km]")
    elevation_difference_m = real("Station above the place. [m]", null=True)


class ClockSchema(Schema):
    """Which clock hours and days are on."""

    name = text("IANA name, or the offset from UTC.")
    basis = text("Legal or standard time.")
    interval_s = whole("Length of a row of hours. [s]")
    step_s = whole("Step of the computation. [s]")


class AssumptionSchema(Schema):
    """Something that the request did not say."""

    path = text("JSON pointer into the request; * for every item of a list.")
    value = fields.Raw(
        required=True, allow_none=True, metadata={"description": "What was taken; null: nothing."}
    )
    reason = text("Why.")
    decisive = truth("Whether its own plausible range turns the verdict; tried with chance alone.")


def _column(name: str) -> fields.Field[Any]:
    known = quantity(name)
    unit = "" if known.unit == "1" else f" [{known.unit}]"
    over = {"mean": " Mean of the interval.", "point": " At the interval's end."}
    when = over.get(known.cell_method or "", "")
    return many(fields.Float(allow_none=True), f"{known.description}{when}{unit}")


class HourColumnsSchema(Schema):
    """The hours as columns of equal length."""

    class Meta:
        """The columns are the variables of a projection."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            name: _column(name) for name in VARIABLES
        }

    time = many(
        fields.String(metadata={"format": "date-time"}), "Starts of the intervals, with offset."
    )


class ProjectionAnswerSchema(Schema):
    """The answer to a request for a projection; numbers have six decimals, null is no value."""

    summary = part(SummarySchema, "The verdict over all days.")
    cautions = many(fields.String(), "To be read before anyone acts on the answer.")
    rig = text("Name of the rig.")
    station = part(StationUsedSchema, "Where the weather came from; null for none.", null=True)
    clock = part(ClockSchema, "The clock of hours and days.")
    assumptions = many(fields.Nested(AssumptionSchema), "What the request did not say.")
    days = many(fields.Nested(DaySchema), "Day by day.")
    hours = part(HourColumnsSchema, "Hour by hour.")
    versions = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        required=True,
        metadata={"description": "Which releases computed this."},
    )


class StationSchema(Schema):
    """A station of the catalogue."""

    id = text("Its identifier, for weather.typical_year.station.")
    name = text("Its name.")
    region = text("Its region, as its file has it.")
    latitude = real("North positive. [degrees_north]")
    longitude = real("East positive. [degrees_east]")
    elevation_m = real("Height above sea level. [m]")
    utc_offset_h = real("Its standard time. [h]")
    source = text("Where its file comes from.")
    format = text("Format of its file.")
    distance_km = real("From the point asked for; null without one. [km]", null=True)


class StationPageSchema(Schema):
    """A page of stations."""

    stations = many(fields.Nested(StationSchema), "The stations of this page.")
    page = whole("This page, from 1.")
    page_size = whole("Stations a page.")
    pages = whole("Pages in all; 0 where nothing fits the filters.")
    total = whole("Stations that fit the filters.")


class MonthSchema(Schema):
    """A month of a typical year; days are those of the file's standard time."""

    month = fields.Integer(
        required=True, metadata={"description": "Its number.", "minimum": 1, "maximum": 12}
    )
    mean_high_c = real("Mean of the days' highest temperatures. [degC]")
    mean_low_c = real("Mean of the days' lowest temperatures. [degC]")
    mean_dew_point_c = real("Mean dew point. [degC]")
    mean_sun_wh_m2 = real("Mean daily irradiation of level ground. [W h m-2]")
    typical_day = text(
        "The day most like the month, as MM-DD, for weather.typical_year.from.",
        pattern="^[0-9]{2}-[0-9]{2}$",
        example="01-17",
    )


class StretchSchema(Schema):
    """Some days of a typical year."""

    first_day = text(
        "The first of them, as MM-DD, for weather.typical_year.from.",
        pattern="^[0-9]{2}-[0-9]{2}$",
        example="01-19",
    )
    days = whole("How many.")
    mean_c = real("Mean temperature. [degC]")
    high_c = real("Highest temperature. [degC]")
    low_c = real("Lowest temperature. [degC]")
    mean_dew_point_c = real("Mean dew point. [degC]")


class StationClimateSchema(Schema):
    """A station and its typical year in short."""

    station = part(StationSchema, "The station.")
    months = many(fields.Nested(MonthSchema), "January to December.")
    hottest_day = part(StretchSchema, "The day with the highest mean temperature.")
    hottest_week = part(
        StretchSchema, "The seven days with the highest mean temperature, at times over New Year."
    )


class RigEntrySchema(Schema):
    """A rig of the service in short."""

    id = text("Its identifier, which a request may give instead of a rig.")
    name = text("Its name.")
    usable_energy_wh = real("Usable energy of the battery. [W h]")
    rated_solar_w = real("Rated power of all arrays. [W]")
    cooling_w = real("Cooling of the highest stage; null without a cooler. [W]", null=True)


class RigListSchema(Schema):
    """The rigs of the service."""

    rigs = many(fields.Nested(RigEntrySchema), "In the order of their identifiers.")


class ConductanceSchema(Schema):
    """What a panel or window passes on at steady state."""

    name = text("Its name.")
    kind = text("Which it is.", enum=["panel", "window"])
    area_m2 = real("Area. [m2]")
    u_value_w_m2k = real("Air-to-air transmittance; panels by ISO 6946. [W m-2 K-1]")
    ua_w_k = real("Their product. [W K-1]")


class RigRecordSchema(Schema):
    """A rig of the service with its document and what follows from it."""

    id = text("Its identifier.")
    rig = fields.Nested(RigSchema, required=True)
    conductances = many(fields.Nested(ConductanceSchema), "Panels and windows.")
    total_ua_w_k = real("Sum over panels and windows, without leakage. [W K-1]")
    assumptions = many(fields.Nested(AssumptionSchema), "What the document does not say.")


class RigExpansionSchema(Schema):
    """A rig of the short form, written out."""

    rig = fields.Nested(RigSchema, required=True)
    conductances = many(fields.Nested(ConductanceSchema), "Panels and windows.")
    total_ua_w_k = real("Sum over panels and windows, without leakage. [W K-1]")
    assumptions = many(fields.Nested(AssumptionSchema), "What was filled in, the decisive first.")


class QuantitySchema(Schema):
    """A number of the documents or of the answers."""

    name = text("Its name.")
    kind = text("Where it stands.", enum=["input", "output", "both", "day"])
    unit = text("As UDUNITS writes it; 1 for a ratio.")
    description = text("What it is.")
    lower = real("Lowest value that is allowed or expected.")
    upper = real("Highest value that is allowed or expected.")
    standard_name = text("CF standard name.", null=True)
    cell_method = text(
        "mean or minimum over the interval, sum or extreme over the day, point at its end.",
        null=True,
    )
    low_hint = text("Likely mix-up behind a value that is too low.", null=True)
    high_hint = text("Likely mix-up behind a value that is too high.", null=True)


class StudyNumberSchema(Schema):
    """A number of a study's request."""

    study = text("Whose request.")
    pointer = text("JSON pointer into it.")
    unit = text("As UDUNITS writes it; 1 for a ratio.")
    description = text("What it is.")
    lower = real("Lowest value that is allowed.")
    upper = real("Highest value that is allowed.")
    default = fields.Raw(
        required=True,
        allow_none=True,
        metadata={"description": "What is taken where it is absent; null for nothing."},
    )
    reason = text("Why that default.", null=True)


class AdverseStepSchema(Schema):
    """By how much the adverse twin's day is worse than the day as stated, all steps at once."""

    name = text("What is worse.")
    unit = text("As UDUNITS writes it; 1 for a factor.")
    value = real("An offset in that unit, or a factor.")
    reason = text("Why so much, with the source.")


class QuantityListSchema(Schema):
    """Every number there is."""

    quantities = many(fields.Nested(QuantitySchema), "By name.")
    study_numbers = many(fields.Nested(StudyNumberSchema), "By study and place.")
    adverse_steps = many(
        fields.Nested(AdverseStepSchema),
        "A day that holds while its adverse twin fails holds narrowly.",
    )


class NoQuerySchema(Schema):
    """No parameters."""


class HealthSchema(Schema):
    """How the process is."""

    status = text("In a word.", enum=["ok"])
