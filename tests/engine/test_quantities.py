from typing import Any

import pytest
from marshmallow import fields

from noonhold.documents import ProjectionSchema, RigSchema
from noonhold.documents.fields import Number
from noonhold.quantities import INPUTS, OUTPUTS, QUANTITIES, describe, quantity
from noonhold.weather.rules import BOUNDS


def numbers_of(schema: Any) -> set[str]:
    """Return the names of all quantities that a schema's fields use, parts included."""
    found: set[str] = set()
    for field in schema.fields.values():
        inner = field.inner if isinstance(field, fields.List) else field
        if isinstance(inner, Number):
            found.add(inner.quantity.name)
        elif isinstance(getattr(inner, "number", None), Number):
            found.add(inner.number.quantity.name)
        elif hasattr(inner, "schema"):
            found |= numbers_of(inner.schema)
    return found


USED = numbers_of(ProjectionSchema()) | numbers_of(RigSchema())


def test_no_quantity_is_idle() -> None:
    assert set(INPUTS) - USED == set()


def test_no_name_is_an_input_and_an_output_twice() -> None:
    assert set(INPUTS) & set(OUTPUTS) == set()
    assert len(QUANTITIES) == len(INPUTS) + len(OUTPUTS)


def test_describe_tells_which_outputs_a_document_also_gives() -> None:
    kinds = {entry["name"]: entry["kind"] for entry in describe()}
    assert list(kinds) == sorted(QUANTITIES)
    assert {name for name, kind in kinds.items() if kind == "both"} == USED & set(OUTPUTS)
    assert {name for name, kind in kinds.items() if kind == "input"} == set(INPUTS)


@pytest.mark.parametrize("name", sorted(QUANTITIES))
def test_every_quantity_is_complete(name: str) -> None:
    entry = quantity(name)
    assert entry.name == name
    assert entry.lower < entry.upper
    assert entry.unit
    assert entry.description.endswith(".")


@pytest.mark.parametrize("name", sorted(OUTPUTS))
def test_every_output_says_how_it_covers_its_interval(name: str) -> None:
    assert OUTPUTS[name].cell_method in ("mean", "minimum", "point")


@pytest.mark.parametrize("name", sorted(BOUNDS))
def test_weather_columns_have_the_bounds_of_the_readers(name: str) -> None:
    assert (INPUTS[name].lower, INPUTS[name].upper) == BOUNDS[name][:2]


def test_bound_text_leaves_out_the_unit_of_a_ratio() -> None:
    assert quantity("solar_absorptance").bound == "0 <= value <= 1"
    assert quantity("set_point_c").bound == "-20 <= value <= 60 degC"
