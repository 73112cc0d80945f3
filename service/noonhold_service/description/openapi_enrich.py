"""The description made whole: title, description, unit, bounds and example of every field.

The schemas say what is read and written; this fills in, from the field's name and from the tables
of :mod:`noonhold_service.description.field_examples`, what helps a reader and a maker of clients.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from noonhold_service.description.answer_headers import describe_headers, headers_of
from noonhold_service.description.field_examples import EXAMPLES, NAME_BOUNDS, UNIT_BOUNDS, WHOLES
from noonhold_service.description.links import LINKS
from noonhold_service.description.partial_answers import add_partial_answers

KEY_SCHEME: Final = "bearerKey"
_UNIT: Final = re.compile(r"\[([^\[\],]+)\]")
_METHODS: Final = ("get", "post", "put", "patch", "delete")
_REF: Final = "#/components/schemas/"


def complete(document: Mapping[str, Any], meanings: Mapping[str, str]) -> dict[str, Any]:
    """Return an API description with what its schemas leave out.

    Parameters
    ----------
    document : mapping
        As apispec generates it.
    meanings : mapping of str to str
        What a schema is, in one line, by its name.

    Returns
    -------
    dict
        A new one.
    """
    whole: dict[str, Any] = copy.deepcopy(dict(document))
    schemas = whole["components"]["schemas"]
    # flask-smorest describes a page's header whether or not anything uses it.
    if "PaginationMetadata" not in str(whole["paths"]):
        schemas.pop("PaginationMetadata", None)
    for name, schema in schemas.items():
        schema.setdefault("title", _words(name))
        if name in meanings:
            schema.setdefault("description", meanings[name])
    asked = _asked_for(whole, schemas)
    for name, schema in schemas.items():
        for field, shape in schema.get("properties", {}).items():
            _complete_field(name, field, shape, schemas, asked)
    for name, schema in schemas.items():
        schema.setdefault("examples", [_whole_example(name, schemas)])
    add_partial_answers(whole)
    whole["components"]["securitySchemes"] = {
        KEY_SCHEME: {
            "type": "http",
            "scheme": "bearer",
            "description": "A key of the operator's, where the operator set any; else none.",
        }
    }
    describe_headers(whole)
    whole["security"] = [{}, {KEY_SCHEME: []}]
    for path in whole["paths"].values():
        _complete_parameters(path.get("parameters", ()))
    for operation in operations(whole):
        _complete_operation(operation)
    return whole


def operations(document: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every operation of a description.

    Parameters
    ----------
    document : mapping
        An API description.
    """
    for path in document["paths"].values():
        for method in _METHODS:
            if method in path:
                yield path[method]


def _asked_for(document: Mapping[str, Any], schemas: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the example requests say, by ``Schema.field``; the first that says it counts."""
    found: dict[str, Any] = {}
    for operation in operations(document):
        for body in operation.get("requestBody", {}).get("content", {}).values():
            for example in body.get("examples", {}).values():
                _gather(body["schema"], example["value"], schemas, found)
    return found


def _gather(
    shape: Mapping[str, Any], value: Any, schemas: Mapping[str, Any], found: dict[str, Any]
) -> None:
    for several in ("oneOf", "anyOf", "allOf"):
        for part in shape.get(several, ()):
            _gather(part, value, schemas, found)
    if isinstance(value, list):
        for each in value:
            _gather(shape.get("items", {}), each, schemas, found)
    if isinstance(value, dict) and "$ref" in shape:
        name = _target(shape)
        for field, inner in schemas[name].get("properties", {}).items():
            if field in value:
                given = value[field]
                if not isinstance(given, dict | list):
                    found.setdefault(f"{name}.{field}", given)
                _gather(inner, given, schemas, found)


def _complete_operation(operation: dict[str, Any]) -> None:
    _complete_parameters(operation.get("parameters", ()))
    if operation.get("security") != []:
        for status in ("401", "429"):
            problem = {"$ref": f"#/components/responses/Problem{status}"}
            operation["responses"].setdefault(status, problem)
    operation["responses"]["200"]["headers"] = headers_of(operation)
    links = LINKS.get(operation["operationId"])
    if links:
        operation["responses"]["200"]["links"] = copy.deepcopy(dict(links))


def _complete_parameters(parameters: Iterable[dict[str, Any]]) -> None:
    for parameter in parameters:
        shape = parameter["schema"]
        shape.setdefault("title", parameter["name"].replace("_", " "))
        if "example" in parameter:
            shape["example"] = parameter.pop("example")
        _modern_example(shape)


def _complete_field(
    schema: str,
    field: str,
    shape: dict[str, Any],
    schemas: Mapping[str, Any],
    asked: Mapping[str, Any],
) -> None:
    shape.setdefault("title", field.replace("_", " "))
    if "$ref" in shape:
        shape.setdefault("description", schemas[_target(shape)].get("description", ""))
        return
    _modern_example(shape)
    if isinstance(shape.get("default"), dict):
        # Makers of clients cannot write an object as a default; a reader can see it.
        shape["description"] += f" Default: {json.dumps(shape.pop('default'))}"
    numbers = numbers_of(shape)
    if numbers is not None:
        unit = _UNIT.search(shape.get("description", ""))
        shape["x-unit"] = "1" if unit is None else unit[1]
        bounds = NAME_BOUNDS.get(field) or UNIT_BOUNDS.get(shape["x-unit"])
        if bounds is not None and "enum" not in numbers:
            numbers.setdefault("minimum", bounds[0])
            numbers.setdefault("maximum", bounds[1])
    made_of_another = any("$ref" in each for each in shape.get("anyOf", ()))
    if "examples" not in shape and not made_of_another:
        place = f"{schema}.{field}"
        known = EXAMPLES.get(place, asked.get(place, EXAMPLES.get(field, ...)))
        if known is not ...:
            shape["examples"] = [known]
        elif shape.get("default") is not None:
            shape["examples"] = [shape["default"]]
        elif "enum" in shape:
            shape["examples"] = [shape["enum"][0]]


def _modern_example(shape: dict[str, Any]) -> None:
    """Write an example as JSON Schema 2020-12 and OpenAPI 3.1 have it."""
    if "example" in shape:
        shape["examples"] = [shape.pop("example")]


def numbers_of(shape: dict[str, Any]) -> dict[str, Any] | None:
    """Return the part of a field's shape that is a number.

    Parameters
    ----------
    shape : dict
        A field, a list of numbers, or a choice with a number in it.

    Returns
    -------
    dict or None
        Itself, its items, or the branch; ``None`` where there is none.
    """
    for part in (shape, shape.get("items", {}), *shape.get("oneOf", ())):
        kinds = part.get("type", ())
        if {"number", "integer"} & ({kinds} if isinstance(kinds, str) else set(kinds)):
            found: dict[str, Any] = part
            return found
    return None


def _whole_example(name: str, schemas: Mapping[str, Any]) -> Any:
    """Return an example of a schema: its own, else one of its required fields."""
    if name in WHOLES:
        return WHOLES[name]
    schema = schemas[name]
    if schema.get("examples"):
        return schema["examples"][0]
    required = schema.get("required", ())
    return {
        field: _example(shape, schemas)
        for field, shape in schema.get("properties", {}).items()
        if field in required
    }


def _example(shape: Mapping[str, Any], schemas: Mapping[str, Any]) -> Any:
    if "$ref" in shape:
        return _whole_example(_target(shape), schemas)
    if "examples" in shape:
        return shape["examples"][0]
    for several in ("oneOf", "anyOf", "allOf"):
        if several in shape:
            return _example(shape[several][0], schemas)
    if "items" in shape:
        return [_example(shape["items"], schemas)]
    return None


def _target(shape: Mapping[str, Any]) -> str:
    return str(shape["$ref"]).removeprefix(_REF)


def _words(name: str) -> str:
    """Return a schema's name in words: ``RigRecord`` is a rig record."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).capitalize()
