"""The answer of a calibration."""

from __future__ import annotations

from marshmallow import Schema, fields

from noonhold.documents import RigSchema
from noonhold.studies.calibration.factors import KINDS
from noonhold.studies.calibration.log_unknowns import STARTS
from noonhold_service.description.answer_fields import part
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    parts,
    real,
    reals,
    share,
    text,
    texts,
    truth,
    whole,
)


class FactorFoundSchema(Schema):
    """One factor as the log has it."""

    name = text("Its name.", "shell_conductance", enum=list(KINDS))
    meaning = text("What it multiplies.", "conductance of the shell")
    factor = real("Its value; 1 where the log does not identify it.", 1.21)
    low = real(
        "Low end of its 95 % interval; of the prior where the log does not identify it.", 1.12
    )
    high = real("High end of that.", 1.31)
    identified = truth("Whether the log identifies it.", True)
    width_ratio = real("Width of its interval after the log over that before it.", 0.2)
    prior_width = real("Standard deviation of its logarithm before the log.", 0.25)
    prior_reason = text("Why that.", "common practice, no source")
    lower_bound = real("Between this ...", 0.4)
    upper_bound = real("... and this it was looked for.", 2.6)
    at_bound = truth("Whether it was found at one of them.", False)
    reason = text("Why it is not identified; null where it is.", None, null=True)


class StartFoundSchema(Schema):
    """What the log says of the first state of one of its pieces."""

    piece = whole("Which stretch of the log, from 0.", 0)
    quantity = text(
        "cabin: air, contents and inner faces; walls: their outer faces; or the charge.",
        "walls",
        enum=[name for name, _, _ in STARTS],
    )
    unit = text("Of the numbers below.", "K")
    shift = real("By how much it began above the reading, walls above the outdoor air.", 1.8)
    low = real("Low end of its 95 % interval.", 0.4)
    high = real("High end of that.", 3.2)
    identified = truth("Whether the log identifies it.", True)


class ChannelPredictedSchema(Schema):
    """A channel of the second log: predicted, and what was read; one value a row in each list."""

    channel = text("Which.", "cabin_temperature_c")
    unit = text("In what; the numbers below are in it.", "K")
    rows = whole("How many rows.", 466)
    covered_fraction = share("Of the readings, the part within their intervals.", 0.95, null=True)
    rmse = real("Root mean square of predicted less logged.", 0.9, null=True)
    ends = texts("End of each row, UTC.", ["2026-01-21T03:05:00Z"], format="date-time")
    predicted = reals("What the fitted rig does.", [24.1])
    low = reals("Low end of the interval for a reading.", [22.9])
    high = reals("High end of that.", [25.3])
    logged = reals("What was read.", [24.6])


class PredictionFoundSchema(Schema):
    """The second log, predicted."""

    confidence = real("Probability that an interval holds the reading.", 0.95)
    channels = parts(ChannelPredictedSchema, "One a channel that the second log holds.")
    notes = notes()


class ChannelMetSchema(Schema):
    """How a run meets a channel of the log; differences are modelled less logged."""

    channel = text("Which.", "cabin_temperature_c")
    unit = text("In what; the numbers below are in it.", "degC")
    rows = whole("How many rows were compared.", 118)
    rmse = real("Root mean square of the differences.", 0.31, null=True)
    bias = real("Their mean.", 0.02, null=True)
    largest = real("The largest by size.", 0.9, null=True)
    autocorrelation = real("Of neighbouring rows' differences.", 0.4, null=True)
    rmse_as_described = real("With the rig as it was described.", 1.4, null=True)
    bias_as_described = real("With the rig as it was described.", -0.8, null=True)


class CalibrationAnswerSchema(StudyAnswerSchema):
    """The answer to a request for a calibration."""

    confidence = real("Probability that an interval holds the truth.", 0.95)
    identified_up_to_width_ratio = real("A factor with a larger ratio is not identified.", 0.7)
    interval_s = whole("Of the grid that the log was brought onto. [s]", 300)
    intervals = whole("Intervals that were run.", 480)
    factors = parts(FactorFoundSchema, "One a factor sought.")
    not_identified = texts("Factors that this log does not identify.", ["leakage"])
    correlations = fields.Dict(
        keys=fields.String(),
        values=fields.Dict(keys=fields.String(), values=fields.Float()),
        required=True,
        metadata={
            "description": "Of the factors' logarithms once the log is seen, by name and name.",
            "example": {"leakage": {"leakage": 1.0}},
        },
    )
    starts = parts(StartFoundSchema, "How the pieces of the log began.")
    fitted = parts(ChannelMetSchema, "How the fitted part of the log is met.")
    held_out = parts(ChannelMetSchema, "How the rest is predicted.")
    prediction = fields.Nested(
        PredictionFoundSchema,
        required=True,
        allow_none=True,
        metadata={"description": "The second log, predicted; null where none was given."},
    )
    rig_patch = fields.Dict(
        required=True,
        metadata={
            "description": "JSON merge patch (RFC 7396) on the rig's document, to use from then"
            " on: whatever of a rig the factors change.",
            "example": {"cooler": {"fan_power_w": 33.0}},
        },
    )
    rig = part(RigSchema, "The whole rig to use from then on.")
    notes = notes()
