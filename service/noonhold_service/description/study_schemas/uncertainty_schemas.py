"""The answer of an uncertainty."""

from __future__ import annotations

from typing import Any, ClassVar

from marshmallow import Schema, fields

from noonhold.studies.uncertainty.uncertain_inputs import INPUTS
from noonhold_service.description.answer_fields import part
from noonhold_service.description.answer_schemas import ChanceSchema
from noonhold_service.description.study_schemas.schema_parts import (
    StudyAnswerSchema,
    notes,
    parts,
    real,
    reals,
    share,
    station,
    text,
    texts,
    whole,
)


class RangeUsedSchema(Schema):
    """From where to where an input was drawn, everything between equally likely."""

    low = real("Low end.", 0.9)
    high = real("High end.", 1.3)


class RangesUsedSchema(Schema):
    """The inputs that vary; one that is fixed is missing."""

    class Meta:
        """One field an input."""

        include: ClassVar[dict[str, fields.Field[Any]]] = {
            each.name: fields.Nested(
                RangeUsedSchema, metadata={"description": f"Of: {each.meaning}."}
            )
            for each in INPUTS
        }


class HourlyBandSchema(Schema):
    """Percentiles over the samples, hour by hour."""

    p10 = reals("10th percentile.", [24.0, 24.1])
    p50 = reals("50th percentile.", [25.0, 25.2])
    p90 = reals("90th percentile.", [26.1, 26.4])


class BandSchema(Schema):
    """Percentiles of one figure over the samples."""

    p10 = real("10th percentile.", 0.22)
    p50 = real("50th percentile.", 0.31)
    p90 = real("90th percentile.", 0.38)


class InputShareSchema(Schema):
    """What one input does to one output."""

    input = text("Its name.", "shell_conductance_factor", enum=[each.name for each in INPUTS])
    first_order = real("Sobol index of first order: its own share of the variance.", 0.41)
    total = real("Total Sobol index: its share with all it does together with others.", 0.44)
    first_order_range = reals("5th to 95th percentile of resampled rows.", [0.35, 0.47])
    total_range = reals("5th to 95th percentile of resampled rows.", [0.38, 0.5])


class SharesSchema(Schema):
    """Sobol indices by output; empty where not asked for, null where an output does not vary."""

    lowest_charge = fields.List(
        fields.Nested(InputShareSchema),
        allow_none=True,
        metadata={"description": "On the lowest charge, the largest total first."},
    )
    peak_temperature_c = fields.List(
        fields.Nested(InputShareSchema),
        allow_none=True,
        metadata={"description": "On the peak temperature, the largest total first."},
    )


class UncertaintyAnswerSchema(StudyAnswerSchema):
    """The answer to a request for an uncertainty."""

    times = texts("Starts of the hours.", ["2025-01-20T00:00:00-08:00"], format="date-time")
    ranges = part(RangesUsedSchema, "Inputs that vary, and how far.")
    samples = whole("Runs for bands and probability.", 256)
    sensitivity_samples = whole("Rows for the Sobol indices.", 64)
    seed = whole("The same seed gives the same answer.", 0)
    cabin_temperature_c = part(HourlyBandSchema, "Cabin air. [degC]")
    operative_temperature_c = part(HourlyBandSchema, "Mean of air and mean radiant. [degC]")
    state_of_charge = part(HourlyBandSchema, "Charge at the hour's end, over usable. [1]")
    lowest_charge = part(BandSchema, "Lowest state of charge. [1]")
    peak_temperature_c = part(
        BandSchema,
        "Highest hourly operative temperature in the judged time, at any time where nothing is"
        " judged. [degC]",
    )
    holds = part(ChanceSchema, "That every day holds.")
    holding_days = parts(ChanceSchema, "The same day by day.")
    fails_by_capacity = share("Share of the samples that fail first by capacity.", 0.09)
    fails_by_energy = share("Share of the samples that fail first by energy.", 0.04)
    fails_by_operation = share(
        "Share of the samples that fail first by set point, measure or schedule.", 0.0
    )
    shares = part(SharesSchema, "What matters how much.")
    station = station()
    notes = notes()
