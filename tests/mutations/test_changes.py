"""The list of changes keeps up with the library: each still has its line, once."""

import ast
from pathlib import Path

import pytest

from tests.mutations.changes import MUTATIONS, Mutation
from tests.mutations.run import LIBRARY, TESTS


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.meaning)
def test_the_line_stands_once_and_its_change_is_python(mutation: Mutation, checkout: Path) -> None:
    text = (checkout / LIBRARY / mutation.path).read_text(encoding="utf-8")
    assert text.count(mutation.old) == 1
    changed = text.replace(mutation.old, mutation.new)
    assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text))


def test_every_room_is_covered_and_every_test_exists(checkout: Path) -> None:
    assert {mutation.room for mutation in MUTATIONS} == set(TESTS)
    for paths in TESTS.values():
        for path in paths:
            assert (checkout / path.split("::")[0]).exists(), path


def test_a_meaning_names_one_change() -> None:
    meanings = [mutation.meaning for mutation in MUTATIONS]
    assert len(set(meanings)) == len(meanings)
