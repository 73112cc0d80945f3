"""The service against its own description, and the description against the committed one."""

import json
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from noonhold_service.description.golden_files import differences
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.process.app import create_app
from noonhold_service.settings import Settings


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture(scope="module")
def spec(app: Flask) -> dict[str, Any]:
    found: dict[str, Any] = app.test_client().get("/openapi.json").get_json()
    return found


def validator(spec: dict[str, Any], name: str) -> Draft202012Validator:
    return Draft202012Validator({**spec, "$ref": f"#/components/schemas/{name}"})


def test_the_description_is_valid(spec: dict[str, Any]) -> None:
    assert list(OpenAPIV31SpecValidator(spec).iter_errors()) == []


def test_what_is_committed_is_what_the_code_gives(app: Flask, checkout: Path) -> None:
    """Mend it by ``noonhold openapi``, after looking at what changed and why."""
    assert differences(app, checkout / "openapi") == []


def test_every_operation_has_its_name_its_words_and_its_problems(spec: dict[str, Any]) -> None:
    names = []
    for path, operations in spec["paths"].items():
        for method, operation in operations.items():
            if method == "parameters":
                continue
            names.append(operation["operationId"])
            assert operation["summary"] and operation["tags"], path
            for status, response in operation["responses"].items():
                assert "$ref" in response or response["description"], (path, status)
                if status == "default" or int(status) >= 400:
                    assert response["$ref"].startswith("#/components/responses/Problem")
    assert len(names) == len(set(names)) >= 8


def test_problems_are_described_with_their_media_type(spec: dict[str, Any]) -> None:
    responses = spec["components"]["responses"]
    assert {name for name in responses if not name.startswith("Problem")} == set()
    for response in responses.values():
        assert list(response["content"]) == ["application/problem+json"]


@pytest.mark.parametrize("name", REQUESTS)
def test_the_examples_fit_the_description(spec: dict[str, Any], checkout: Path, name: str) -> None:
    examples = checkout / "openapi" / "examples"
    request = json.loads((examples / f"{name}.request.json").read_text(encoding="utf-8"))
    answer = json.loads((examples / f"{name}.response.json").read_text(encoding="utf-8"))
    assert list(validator(spec, "Projection").iter_errors(request)) == []
    answer["versions"] = {}
    assert list(validator(spec, "ProjectionAnswer").iter_errors(answer)) == []
    assert set(answer) == set(spec["components"]["schemas"]["ProjectionAnswer"]["properties"])


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("/v1/rigs", "RigList"),
        ("/v1/rigs/plywood_teardrop", "RigRecord"),
        ("/v1/stations?near=-34,-120&within_km=300", "StationPage"),
        ("/v1/stations", "StationPage"),
        ("/v1/quantities", "QuantityList"),
        ("/healthz", "Health"),
        ("/v1/rigs/none", "Problem"),
        ("/v1/stations?page=0", "Problem"),
    ],
)
def test_answers_fit_the_description(
    app: Flask, spec: dict[str, Any], path: str, name: str
) -> None:
    answer = app.test_client().get(path).get_json()
    assert list(validator(spec, name).iter_errors(answer)) == []
    assert set(answer) <= set(spec["components"]["schemas"][name]["properties"])
