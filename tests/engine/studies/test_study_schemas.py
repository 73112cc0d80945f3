"""The requests of comparison, warm-up and bounds describe themselves for an API description."""

from typing import Any

import pytest
from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from noonhold.documents import ProjectionSchema, RigSchema
from noonhold.documents.comparison_document import ComparisonSchema
from noonhold.documents.short_rig_schema import ShortRigSchema
from noonhold.documents.uncertainty_document import UncertaintySchema
from noonhold.documents.warm_up_document import WarmUpSchema
from tests.engine.document_samples import changed
from tests.engine.studies.study_samples import example

SCHEMAS = {
    "Rig": RigSchema,
    "Projection": ProjectionSchema,
    "Comparison": ComparisonSchema,
    "WarmUp": WarmUpSchema,
    "Uncertainty": UncertaintySchema,
    "ShortRig": ShortRigSchema,
}
EXAMPLES = [
    ("Comparison", "comparison_slide_in"),
    ("Comparison", "comparison_van"),
    ("Comparison", "comparison_teardrop"),
    ("WarmUp", "warm_up_desert"),
    ("WarmUp", "warm_up_van"),
    ("Uncertainty", "uncertainty_plateau"),
]


@pytest.fixture(scope="module")
def spec() -> dict[str, Any]:
    made = APISpec("test", "1", "3.1.0", plugins=[MarshmallowPlugin()])
    for name, schema in SCHEMAS.items():
        made.components.schema(name, schema=schema)
    found: dict[str, Any] = made.to_dict()
    return found


def validator(spec: dict[str, Any], name: str) -> Draft202012Validator:
    return Draft202012Validator({**spec, "$ref": f"#/components/schemas/{name}"})


def test_the_description_is_valid_and_whole(spec: dict[str, Any]) -> None:
    assert list(OpenAPIV31SpecValidator(spec).iter_errors()) == []
    shapes = spec["components"]["schemas"]
    assert {name for name, s in shapes.items() if s.get("additionalProperties") is not False} == (
        set()
    )
    fields = [(n, f, shape) for n, s in shapes.items() for f, shape in s["properties"].items()]
    assert [(n, f) for n, f, shape in fields if "description" not in shape] == []


@pytest.mark.parametrize(("name", "request_name"), EXAMPLES)
def test_the_description_accepts_the_examples(
    spec: dict[str, Any], name: str, request_name: str
) -> None:
    assert validator(spec, name).is_valid(example(request_name))


@pytest.mark.parametrize(
    ("name", "request_name", "pointer", "value"),
    [
        ("Comparison", "comparison_slide_in", "/variants/0/patch", "shade"),
        ("Comparison", "comparison_slide_in", "/base/place/latitude", 99),
        ("WarmUp", "warm_up_van", "/stop_at", "24:00"),
        ("WarmUp", "warm_up_van", "/projection/rig", 3),
        ("Uncertainty", "uncertainty_plateau", "/ranges", {"array_factor": {"low": 1}}),
        ("Uncertainty", "uncertainty_plateau", "/samples", 8),
    ],
)
def test_the_description_refuses_what_the_reader_refuses(
    spec: dict[str, Any], name: str, request_name: str, pointer: str, value: Any
) -> None:
    assert not validator(spec, name).is_valid(changed(example(request_name), (pointer, value)))
