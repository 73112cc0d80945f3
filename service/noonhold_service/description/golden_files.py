"""What is committed under ``openapi/``: the description, and the examples with their answers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from flask import Flask

from noonhold_service.description.openapi import description_of
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import STUDY_REQUESTS

TOLERANCE: Final = 1e-6  # relative; machines differ in the last digits of exp and pow
_ROUNDING: Final = 2e-6  # absolute; the sixth decimal may tip either way
_FITTED: Final = 1e-3  # both, where an answer is the end of a fit that stops at 1e-5


def files(app: Flask) -> dict[str, Any]:
    """Return what the committed files should hold.

    Parameters
    ----------
    app : flask.Flask
        With the sample weather and the sample rigs.

    Returns
    -------
    dict of str to object
        By path within the folder.
    """
    found: dict[str, Any] = {"openapi.json": description_of(app)}
    client = app.test_client()
    requests = {name: ("/v1/projections", each) for name, each in REQUESTS.items()}
    for name, (address, example) in (requests | STUDY_REQUESTS).items():
        response = client.post(address, json=example.document)
        answer = response.get_json()
        if response.status_code != 200:
            raise RuntimeError(f"the example {name} is refused: {answer}")
        # Releases change without the contract or the numbers changing.
        del answer["versions"]
        found[f"examples/{name}.request.json"] = example.document
        found[f"examples/{name}.response.json"] = answer
    return found


def write(app: Flask, folder: Path) -> None:
    """Regenerate the committed files.

    Parameters
    ----------
    app : flask.Flask
        With the sample weather and the sample rigs.
    folder : pathlib.Path
        ``openapi/``.
    """
    for name, content in files(app).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(as_text(content), encoding="utf-8")


def as_text(content: Any) -> str:
    """Return JSON that a diff can show: one field a line, a list of numbers on one line.

    Parameters
    ----------
    content : object
        Plain.
    """
    return "".join(_lines(content, "")) + "\n"


def _lines(value: Any, indent: str) -> Iterator[str]:
    deeper = indent + "  "
    if isinstance(value, dict) and value:
        yield "{\n"
        for index, (key, each) in enumerate(value.items()):
            yield ("" if index == 0 else ",\n") + deeper + json.dumps(key) + ": "
            yield from _lines(each, deeper)
        yield "\n" + indent + "}"
    elif isinstance(value, list) and any(isinstance(each, dict | list) for each in value):
        yield "[\n"
        for index, each in enumerate(value):
            yield ("" if index == 0 else ",\n") + deeper
            yield from _lines(each, deeper)
        yield "\n" + indent + "]"
    else:
        yield json.dumps(value, ensure_ascii=False, allow_nan=False)


def differences(app: Flask, folder: Path) -> list[str]:
    """Return where the committed files differ from what the code gives.

    Parameters
    ----------
    app : flask.Flask
        With the sample weather and the sample rigs.
    folder : pathlib.Path
        ``openapi/``.

    Returns
    -------
    list of str
        One line a difference; numbers may differ by ``TOLERANCE``.
    """
    found = []
    for name, content in files(app).items():
        path = folder / name
        if not path.is_file():
            found.append(f"{name}: is not there; run noonhold openapi")
            continue
        committed = json.loads(path.read_text(encoding="utf-8"))
        fitted = name == "examples/calibration.response.json"
        within = (_FITTED, _FITTED) if fitted else (TOLERANCE, _ROUNDING)
        found += [f"{name}{where}" for where in _unlike(committed, content, "", within)]
    return found


def _unlike(old: Any, new: Any, path: str, within: tuple[float, float]) -> Iterator[str]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in {**old, **new}:
            if key not in old or key not in new:
                yield f" {path}/{key}: {'is new' if key in new else 'is gone'}"
            else:
                yield from _unlike(old[key], new[key], f"{path}/{key}", within)
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield f" {path}: had {len(old)} items, has {len(new)}"
        for index, (before, after) in enumerate(zip(old, new, strict=False)):
            yield from _unlike(before, after, f"{path}/{index}", within)
    elif _is_number(old) and _is_number(new):
        relative, absolute = within
        if abs(old - new) > max(absolute, relative * max(abs(old), abs(new))):
            yield f" {path}: was {old}, is {new}"
    elif old != new:
        yield f" {path}: was {old!r}, is {new!r}"


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
