"""The schemas describe themselves to whoever generates an API description from them."""

from typing import Any

import pytest
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from noonhold.documents import ProjectionSchema, RigSchema, dump_projection, load_projection
from noonhold.documents.short_rig_schema import ShortRigSchema
from tests.engine.document_samples import PROJECTION, changed


@pytest.fixture(scope="module")
def spec() -> dict[str, Any]:
    made = APISpec("test", "1", "3.1.0", plugins=[MarshmallowPlugin()])
    made.components.schema("Rig", schema=RigSchema)
    made.components.schema("ShortRig", schema=ShortRigSchema)
    made.components.schema("Projection", schema=ProjectionSchema)
    found: dict[str, Any] = made.to_dict()
    return found


@pytest.fixture(scope="module")
def validator(spec: dict[str, Any]) -> Draft202012Validator:
    return Draft202012Validator({**spec, "$ref": "#/components/schemas/Projection"})


def test_the_description_is_valid(spec: dict[str, Any]) -> None:
    assert list(OpenAPIV31SpecValidator(spec).iter_errors()) == []


def test_a_number_bears_unit_bounds_and_default(spec: dict[str, Any]) -> None:
    found = spec["components"]["schemas"]["Panel"]["properties"]["solar_absorptance"]
    assert found == {
        "title": "solar absorptance",
        "description": "Share of sunlight absorbed outside.",
        "type": "number",
        "minimum": 0,
        "maximum": 1,
        "default": 0.6,
    }
    energy = spec["components"]["schemas"]["Battery"]["properties"]["usable_energy_wh"]
    assert energy["description"].endswith("[W h]")


def test_every_part_refuses_what_it_does_not_know(spec: dict[str, Any]) -> None:
    schemas = spec["components"]["schemas"]
    assert {name for name, s in schemas.items() if s.get("additionalProperties") is not False} == (
        set()
    )


def test_every_field_is_described_or_is_a_part_that_is(spec: dict[str, Any]) -> None:
    bare = [
        f"{name}.{field}"
        for name, schema in spec["components"]["schemas"].items()
        for field, shape in schema["properties"].items()
        if "description" not in shape
    ]
    assert bare == []


def test_the_description_accepts_what_the_reader_accepts(validator: Draft202012Validator) -> None:
    validator.validate(PROJECTION)
    validator.validate(dump_projection(load_projection(PROJECTION).value))
    for rating in ("ISO 5151 T3", {"outdoor_c": 35, "inside_c": 27, "inside_wet_bulb_c": 19}):
        shape = changed(PROJECTION, ("/rig/cooler/rating", rating))
        assert validator.is_valid(shape) == isinstance(rating, str)


@pytest.mark.parametrize(
    ("where", "value"),
    [
        ("/rig/battery/usable_energy_wh", 5),
        ("/rig/battery/usable_energy_wh", "5000"),
        ("/rig/loads/0/hours/0/from", "24:00"),
        ("/rig/colour", "red"),
        ("/place/terrain", "sea"),
        ("/start/cabin_temperature_c", "warm"),
        ("/weather/typical_year/from", "July"),
    ],
)
def test_the_description_refuses_what_the_reader_refuses(
    validator: Draft202012Validator, where: str, value: Any
) -> None:
    assert not validator.is_valid(changed(PROJECTION, (where, value)))
