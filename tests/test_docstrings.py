"""Docstrings say something: no entry that only repeats its name and type, public ones complete."""

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

import noonhold as nh

ROOT = Path(__file__).parents[1]
PACKAGES = ("engine/noonhold", "service/noonhold_service", "batch/noonhold_batch")
HEADINGS = re.compile(r"^([A-Z][A-Za-z ]+)\n-{3,}$", re.MULTILINE)
FILLING = {"a", "all", "an", "and", "are", "as", "at", "by", "each", "for", "in", "is", "it", "its"}
FILLING |= {"of", "on", "one", "or", "that", "the", "their", "this", "to", "with"}
FUNCTIONS = [name for name in nh.__all__ if inspect.isfunction(getattr(nh, name))]


class Entry(NamedTuple):
    """An entry of a section: ``name : type`` or ``type``, and the text below it."""

    name: str
    kind: str
    text: str


def sections(docstring: str) -> dict[str, str]:
    """Return the text of a numpydoc docstring by its headings, the summary under ``""``."""
    parts = HEADINGS.split(inspect.cleandoc(docstring))
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def entries(section: str) -> Iterator[Entry]:
    for found in re.finditer(r"^(\S.*)\n?((?:(?:[ \t].*)?\n?)*)", section.strip() + "\n", re.M):
        name, colon, kind = found[1].partition(" : ")
        yield Entry(name if colon else "", kind if colon else name, " ".join(found[2].split()))


def words(text: str) -> set[str]:
    """Return the words of a text or an identifier, without filling words, plurals as singulars."""
    parted = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", text)
    found = re.findall(r"[a-z0-9]+", parted.lower())
    return {word.rstrip("s") for word in found if word not in FILLING} - {""}


def says_nothing(entry: Entry) -> bool:
    """Whether an entry says no more than its name and type do; a shape or a unit is more."""
    return "shape" not in entry.kind and words(entry.text) <= words(entry.name + " " + entry.kind)


def documented(path: Path) -> Iterator[tuple[str, str]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and (text := ast.get_docstring(node)):
            yield f"{path.relative_to(ROOT)}:{node.lineno} {node.name}", text


@pytest.mark.parametrize("package", PACKAGES)
def test_no_parameter_entry_only_repeats_its_name_and_type(package: str) -> None:
    idle = [
        f"{where}: {entry.name or entry.kind}"
        for path in sorted((ROOT / package).rglob("*.py"))
        for where, text in documented(path)
        for entry in entries(sections(text).get("Parameters", ""))
        if says_nothing(entry)
    ]
    assert idle == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_says_what_it_does_takes_and_returns(name: str) -> None:
    function = getattr(nh, name)
    found = sections(function.__doc__)
    summary = found[""].split("\n\n")[0]
    assert len(summary.splitlines()) == 1
    assert summary.endswith(".")
    taken = {
        each.lstrip("*")
        for entry in entries(found["Parameters"])
        for each in (entry.name or entry.kind).split(", ")
        if entry.text
    }
    assert taken == set(inspect.signature(function).parameters)
    assert all(entry.text and not says_nothing(entry) for entry in entries(found["Returns"]))


def test_the_check_knows_an_idle_entry_from_one_that_says_something() -> None:
    idle = Entry("rig", "Rig", "The rig.")
    assert says_nothing(idle)
    assert says_nothing(Entry("interval_s", "int", "[s]"))
    assert not says_nothing(Entry("rig", "Rig", "Without its cooler."))
    assert not says_nothing(Entry("weights", "numpy.ndarray, shape (n,)", "The weights."))
    docstring = "Do.\n\nParameters\n----------\nrig : Rig\n    The rig.\nn : int\n    Count.\n"
    assert list(entries(sections(docstring)["Parameters"])) == [idle, Entry("n", "int", "Count.")]
