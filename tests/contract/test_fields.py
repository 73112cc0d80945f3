"""Every field of the description: title, description, unit, bounds, an example that fits."""

from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from noonhold.documents import load_projection, load_rig
from noonhold_service.description.openapi import description_of
from noonhold_service.description.openapi_enrich import KEY_SCHEME, numbers_of, operations
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings
from noonhold_service.state.app_state import AppState


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture(scope="module")
def spec(app: Flask) -> dict[str, Any]:
    return description_of(app)


def fields(spec: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield every field of every schema, and every parameter, with where it stands."""
    for name, schema in spec["components"]["schemas"].items():
        for field, shape in schema.get("properties", {}).items():
            yield f"{name}.{field}", shape
    for operation in operations(spec):
        for parameter in operation.get("parameters", ()):
            shape = parameter["schema"] | {"description": parameter.get("description", "")}
            yield f"{operation['operationId']}?{parameter['name']}", shape
    for path, item in spec["paths"].items():
        for parameter in item.get("parameters", ()):
            shape = parameter["schema"] | {"description": parameter.get("description", "")}
            yield f"{path}?{parameter['name']}", shape


def is_made_of_another(shape: dict[str, Any]) -> bool:
    """Tell whether a field's example is that of the schema it is made of."""
    parts = [shape, shape.get("items", {})]
    parts += [each for key in ("oneOf", "anyOf", "allOf") for each in shape.get(key, ())]
    return any("$ref" in part for part in parts)


def lacking(shape: dict[str, Any]) -> list[str]:
    lacks = [key for key in ("title", "description") if not shape.get(key)]
    if not shape.get("examples") and not is_made_of_another(shape):
        lacks.append("examples")
    numbers = numbers_of(shape)
    if numbers is not None and "enum" not in numbers:
        lacks += [key for key in ("minimum", "maximum") if key not in numbers]
    return lacks


def test_every_field_has_all_that_a_reader_needs(spec: dict[str, Any]) -> None:
    """Mend it in the schema, or by an entry in ``description/field_examples.py``."""
    found = {where: lacking(shape) for where, shape in fields(spec)}
    assert len(found) > 300
    assert {where: lacks for where, lacks in found.items() if lacks} == {}


def test_every_number_has_its_unit(spec: dict[str, Any]) -> None:
    schemas = spec["components"]["schemas"].items()
    bare = [
        f"{name}.{field}"
        for name, schema in schemas
        for field, shape in schema.get("properties", {}).items()
        if numbers_of(shape) is not None and not shape.get("x-unit")
    ]
    assert bare == []
    assert spec["components"]["schemas"]["Battery"]["properties"]["usable_energy_wh"][
        "x-unit"
    ] == "W h"  # fmt: skip


def test_every_schema_has_a_title_a_meaning_and_an_example_that_fits(spec: dict[str, Any]) -> None:
    unfit = []
    for name, schema in spec["components"]["schemas"].items():
        assert schema["title"] and schema["description"], name
        for example in schema["examples"]:
            whole = Draft202012Validator({**spec, "$ref": f"#/components/schemas/{name}"})
            unfit += [f"{name}: {error.message}" for error in whole.iter_errors(example)]
    assert unfit == []


def test_every_example_of_a_field_fits_it(spec: dict[str, Any]) -> None:
    unfit = [
        f"{where}: {error.message}"
        for where, shape in fields(spec)
        for example in shape.get("examples", ())
        for error in Draft202012Validator({"components": spec["components"], **shape}).iter_errors(
            example
        )
    ]
    assert unfit == []


def test_the_examples_of_whole_documents_are_read(app: Flask, spec: dict[str, Any]) -> None:
    held: AppState = app.extensions["noonhold"]
    for example in spec["components"]["schemas"]["Rig"]["examples"]:
        assert load_rig(example).value.name
    for example in spec["components"]["schemas"]["Projection"]["examples"]:
        assert load_projection(example, held.resolve_rig).value.rig.name


def test_keys_are_described_and_the_open_addresses_named(spec: dict[str, Any]) -> None:
    assert spec["components"]["securitySchemes"][KEY_SCHEME]["scheme"] == "bearer"
    # A key is needed only where the operator set one: none is an alternative.
    assert spec["security"] == [{}, {KEY_SCHEME: []}]
    open_ones = {each["operationId"] for each in operations(spec) if each.get("security") == []}
    assert open_ones == {"getHealth", "getReadiness"}
    for operation in operations(spec):
        assert ("401" in operation["responses"]) == (operation["operationId"] not in open_ones)


def test_links_lead_to_operations_that_are_there(spec: dict[str, Any]) -> None:
    names = {each["operationId"] for each in operations(spec)}
    links = [
        link
        for operation in operations(spec)
        for response in operation["responses"].values()
        for link in response.get("links", {}).values()
    ]
    assert len(links) >= 5
    assert {link["operationId"] for link in links} <= names
