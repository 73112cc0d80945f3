"""What ``?fields=`` leaves of an answer, as the description has it: any of its parts."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, Final

from noonhold_service.http.field_selection import SUMMARY

JSON: Final = "application/json"
_REF: Final = "#/components/schemas/"
_ENDING: Final = "Part"


def add_partial_answers(document: dict[str, Any]) -> None:
    """Let every operation that takes ``fields`` answer with a part of its whole answer.

    Parameters
    ----------
    document : dict
        An API description; changed. The names that ``fields`` takes become its pattern.
    """
    schemas = document["components"]["schemas"]
    for path in document["paths"].values():
        operation = path.get("post", {})
        for parameter in operation.get("parameters", ()):
            if parameter["name"] != "fields":
                continue
            content = operation["responses"]["200"]["content"][JSON]
            name = content["schema"]["$ref"].removeprefix(_REF)
            part = f"{name}{_ENDING}"
            schemas[part] = _part(schemas[name], name)
            content["schema"] = {"anyOf": [{"$ref": _REF + name}, {"$ref": _REF + part}]}
            word = "|".join(dict.fromkeys((SUMMARY, *schemas[name]["properties"])))
            parameter["schema"] |= {"pattern": f"^({word})(,({word}))*$", "maxLength": 500}


def _part(whole: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return the schema of an answer of which any part may be missing, and nothing is added."""
    example = whole["examples"][0]
    first = next(iter(example))
    return {
        "type": "object",
        "title": f"{whole['title']} part",
        "description": f"Those parts of {name} that `fields` names.",
        "properties": copy.deepcopy(whole["properties"]),
        "additionalProperties": False,
        "examples": [{first: example[first]}],
    }
