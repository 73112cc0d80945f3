from collections.abc import Iterator
from dataclasses import MISSING, replace
from datetime import date
from typing import Any, get_type_hints

import pytest
from marshmallow import fields, missing

from noonhold.documents import ProjectionSchema, RigSchema
from noonhold.documents.fields import Number, Part
from noonhold.documents.schema import DocumentSchema
from noonhold.errors import DocumentError
from noonhold.numerics.array_types import FloatArray
from noonhold.quantities import DAY_FIGURES, INPUTS, OUTPUTS, QUANTITIES, describe, quantity
from noonhold.verdict import DayVerdicts
from noonhold.weather.hot_day import HotDay, hot_day
from noonhold.weather.site_header import site_faults
from noonhold.weather.weather_table import Site


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
    assert set(DAY_FIGURES) & (set(INPUTS) | set(OUTPUTS)) == set()
    assert len(QUANTITIES) == len(INPUTS) + len(OUTPUTS) + len(DAY_FIGURES)


def test_describe_tells_which_outputs_a_document_also_gives() -> None:
    kinds = {entry["name"]: entry["kind"] for entry in describe()}
    assert list(kinds) == sorted(QUANTITIES)
    assert {name for name, kind in kinds.items() if kind == "both"} == USED & set(OUTPUTS)
    assert {name for name, kind in kinds.items() if kind == "input"} == set(INPUTS)
    assert {name for name, kind in kinds.items() if kind == "day"} == set(DAY_FIGURES)


def test_every_figure_of_a_verdict_is_in_the_table() -> None:
    """Service, batch and maps list and describe a day by the table."""
    figures = {
        name
        for name, kind in get_type_hints(DayVerdicts).items()
        if kind == FloatArray and name != "date"
    }
    assert figures == set(DAY_FIGURES)


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


@pytest.mark.parametrize("name", ["high_c", "low_c", "dew_point_c", "wind_speed_m_s"])
def test_a_described_day_has_the_bounds_of_its_document(name: str) -> None:
    day = HotDay(date(2024, 7, 1), 35.0, 20.0, 10.0, 2.0)
    site = Site("somewhere", 35.0, -110.0, 1000.0, -7.0)
    beyond = INPUTS[name].upper + 0.5
    with pytest.raises(DocumentError, match=name):
        hot_day(site, replace(day, **{name: beyond}))


def test_a_file_s_site_has_the_bounds_of_a_place() -> None:
    for name in ("latitude", "longitude", "elevation_m"):
        beyond = INPUTS[name].lower - 0.5
        assert [f.bound for f in site_faults("", {name: beyond})] == [INPUTS[name].bound]


def schemas_of(schema: Any) -> Iterator[DocumentSchema]:
    """Yield a schema and those of its parts."""
    yield schema
    for field in schema.fields.values():
        inner = field.inner if isinstance(field, fields.List) else field
        if isinstance(getattr(inner, "schema", None), DocumentSchema):
            yield from schemas_of(inner.schema)


def defaults() -> dict[tuple[str, str], tuple[object, object]]:
    """Return the defaults of all documents, and of the dataclasses that they become."""
    found = {}
    for schema in (*schemas_of(ProjectionSchema()), *schemas_of(RigSchema())):
        known = getattr(schema.target, "__dataclass_fields__", {})
        for name, field in schema.fields.items():
            value = field.load_default
            if name not in known or isinstance(field, Part) or value is missing:
                continue
            of_class = known[name].default
            if known[name].default_factory is not MISSING:
                of_class = known[name].default_factory()
            if of_class is MISSING:
                continue
            value = value() if callable(value) else value
            value = tuple(value) if isinstance(value, list) else value
            found[schema.target.__name__, name] = value, of_class
    return found


def test_a_document_and_a_dataclass_have_the_same_defaults() -> None:
    """A rig made in Python and one read from a document that says as little are the same rig."""
    found = defaults()
    assert len(found) > 50
    # The word of a document for what a dataclass says by None.
    assert found.pop(("Start", "cabin_temperature_c")) == ("outdoor", None)
    assert {key: pair for key, pair in found.items() if pair[0] != pair[1]} == {}


def test_bound_text_leaves_out_the_unit_of_a_ratio() -> None:
    assert quantity("solar_absorptance").bound == "0 <= value <= 1"
    assert quantity("set_point_c").bound == "-20 <= value <= 60 degC"
