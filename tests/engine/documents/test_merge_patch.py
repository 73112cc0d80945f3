"""JSON merge patch: RFC 7396's own examples, then what holds for any pair of documents."""

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.documents.merge_patch import merge_patch

APPENDIX_A: list[tuple[Any, Any, Any]] = [  # RFC 7396, appendix A: target, patch, result
    ({"a": "b"}, {"a": "c"}, {"a": "c"}),
    ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
    ({"a": "b"}, {"a": None}, {}),
    ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
    ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
    ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
    ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
    ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
    (["a", "b"], ["c", "d"], ["c", "d"]),
    ({"a": "b"}, ["c"], ["c"]),
    ({"a": "foo"}, None, None),
    ({"a": "foo"}, "bar", "bar"),
    ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
    ([1, 2], {"a": "b", "c": None}, {"a": "b"}),
    ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
]
SECTION_3 = (  # RFC 7396, section 3
    {
        "title": "Goodbye!",
        "author": {"givenName": "John", "familyName": "Doe"},
        "tags": ["example", "sample"],
        "content": "This will be unchanged",
    },
    {
        "title": "Hello!",
        "phoneNumber": "+01-123-456-7890",
        "author": {"familyName": None},
        "tags": ["example"],
    },
    {
        "title": "Hello!",
        "author": {"givenName": "John"},
        "tags": ["example"],
        "content": "This will be unchanged",
        "phoneNumber": "+01-123-456-7890",
    },
)
SCALARS = st.one_of(st.booleans(), st.integers(-9, 9), st.text(max_size=3))
KEYS = st.text("abc", min_size=1, max_size=1)


def documents(with_null: bool) -> st.SearchStrategy[Any]:
    leaves = st.one_of(SCALARS, st.none()) if with_null else SCALARS
    return st.recursive(
        leaves, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3)
    )


@pytest.mark.parametrize(("target", "patch", "result"), [*APPENDIX_A, SECTION_3])
def test_examples_of_the_rfc(target: Any, patch: Any, result: Any) -> None:
    assert merge_patch(target, patch) == result


@given(documents(with_null=True), documents(with_null=True))
def test_neither_document_is_changed_and_twice_is_once(target: Any, patch: Any) -> None:
    before = copy.deepcopy((target, patch))
    once = merge_patch(target, patch)
    assert merge_patch(once, patch) == once
    assert (target, patch) == before


@given(documents(with_null=False))
def test_an_empty_object_changes_no_object(target: Any) -> None:
    assert merge_patch(target, {}) == (target if isinstance(target, dict) else {})
