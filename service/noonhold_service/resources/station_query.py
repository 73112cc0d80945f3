"""The query of a list of stations."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any, Final

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

_NUMBER: Final = r"[+-]?[0-9]{1,3}(?:\.[0-9]{1,12})?"


class Numbers(fields.Field[tuple[float, ...]]):
    """Degrees with commas between, each within its range."""

    def __init__(self, names: tuple[str, ...], description: str, example: str) -> None:
        self.names = names
        self.limits = tuple(90.0 if "latitude" in name else 180.0 for name in names)
        self.pattern = ",".join([_NUMBER] * len(names))
        super().__init__(
            metadata={
                "type": "string",
                "pattern": f"^{self.pattern}$",
                "description": description,
                "example": example,
            }
        )

    def _deserialize(
        self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any
    ) -> tuple[float, ...]:
        if not isinstance(value, str) or not re.fullmatch(self.pattern, value, re.ASCII):
            raise ValidationError(f"must be {len(self.names)} numbers: {', '.join(self.names)}")
        numbers = tuple(float(part) for part in value.split(","))
        for name, number, limit in zip(self.names, numbers, self.limits, strict=True):
            if not abs(number) <= limit:
                raise ValidationError(f"{name} must be in -{limit:g} to {limit:g}")
        return numbers


class StationQuerySchema(Schema):
    """Which stations, and which page of them."""

    page = fields.Integer(
        load_default=1,
        validate=validate.Range(1, 1_000_000),
        metadata={"description": "Which page, from 1.", "example": 1},
    )
    page_size = fields.Integer(
        load_default=20,
        validate=validate.Range(1, 100),
        metadata={"description": "Stations a page, at most 100.", "example": 20},
    )
    near = Numbers(
        ("latitude", "longitude"),
        "A point as latitude,longitude; the nearest station comes first.",
        "-35.2,-120.5",
    )
    within_km = fields.Float(
        validate=validate.Range(0, 20_100),
        metadata={"description": "Only stations this near to the point. [km]", "example": 150},
    )
    bbox = Numbers(
        ("west longitude", "south latitude", "east longitude", "north latitude"),
        "Only stations in the box west,south,east,north; west may be greater than east.",
        "-125,-36,-118,-33",
    )
    name = fields.String(
        validate=validate.Length(1, 100),
        metadata={
            "description": "Only stations with this in name or identifier.",
            "example": "kelp",
        },
    )
    region = fields.String(
        validate=validate.Length(1, 100),
        metadata={"description": "Only stations with this in their region.", "example": "bas"},
    )

    @validates_schema
    def _check(self, data: Mapping[str, Any], **_: Any) -> None:
        if "within_km" in data and "near" not in data:
            raise ValidationError("goes only with near", "within_km")
        if "bbox" in data and data["bbox"][1] > data["bbox"][3]:
            raise ValidationError("south must not be above north", "bbox")
        if not math.isfinite(data.get("within_km", 0.0)):
            raise ValidationError("must be finite", "within_km")
