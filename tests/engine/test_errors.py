"""The tree of errors: every fault in one, each with its place, value and bound."""

import pickle

import pytest

from noonhold import errors
from noonhold.errors import DocumentError, Fault, NoonholdError, WeatherError

TREE = {
    errors.DocumentError: NoonholdError,
    errors.WeatherError: NoonholdError,
    errors.WeatherFormatError: WeatherError,
    errors.WeatherGapError: WeatherError,
    errors.StationNotFoundError: WeatherError,
    errors.NumericalError: NoonholdError,
}
FAULTS = (
    Fault("/a", "is too small", 1.0, "2 <= value <= 3 m", "perhaps in feet"),
    Fault("", "is no object"),
)


@pytest.mark.parametrize(("kind", "parent"), TREE.items(), ids=lambda kind: kind.__name__)
def test_the_tree_is_as_drawn(kind: type[NoonholdError], parent: type[NoonholdError]) -> None:
    assert kind.__mro__[1] is parent
    assert kind.__name__ in (errors.__doc__ or "")


def test_every_fault_is_told_on_its_line() -> None:
    error = DocumentError(FAULTS)
    assert error.faults == FAULTS
    assert str(error).splitlines() == [
        "/a: is too small (allowed: 2 <= value <= 3 m); perhaps in feet",
        "/: is no object",
    ]


def test_an_error_without_a_fault_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="at least one fault"):
        DocumentError([])


def test_errors_cross_processes_whole() -> None:
    error = errors.WeatherGapError.single("file: ghi", "is missing", 5, "at most 3 h")
    back = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own bytes of a moment ago
    assert type(back) is errors.WeatherGapError
    assert back.faults == error.faults
