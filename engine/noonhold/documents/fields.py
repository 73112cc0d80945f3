"""The kinds of field a document is made of, strict and self-describing.

Each field raises :class:`Problem` messages, which carry bound and hint to the fault, and bears the
metadata from which the OpenAPI description is generated.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from typing import Any

from marshmallow import Schema, ValidationError, fields, missing

from noonhold.quantities import bound_text, quantity


class Problem(str):
    """A message of marshmallow's that also carries a bound, a hint and the known choices."""

    __slots__ = ("bound", "choices", "hint")

    bound: str | None
    hint: str | None
    choices: tuple[str, ...]

    def __new__(
        cls,
        message: str,
        bound: str | None = None,
        hint: str | None = None,
        choices: tuple[str, ...] = (),
    ) -> Problem:
        """Return the message with what it carries."""
        problem = super().__new__(cls, message)
        problem.bound, problem.hint, problem.choices = bound, hint, choices
        return problem


def refuse(message: str, bound: str | None = None, hint: str | None = None) -> ValidationError:
    """Return the error that holds one problem."""
    return ValidationError([Problem(message, bound, hint)])


MESSAGES: dict[str, str | list[Any] | dict[Any, Any]] = {
    "required": Problem("required field is missing"),
    "null": Problem("must not be null; leave the field out instead"),
}


class Described(fields.Raw):
    """The ground of every field: strict, never null, with a reason where it has a default.

    Parameters
    ----------
    required : bool
        Whether the document must have it.
    default : object
        What is filled in where it is absent, or a callable that makes it.
    reason : str, optional
        Why that default; a default with a reason is reported as an assumption.
    key : str, optional
        The name in the document where it differs from the dataclass.
    metadata : mapping
        What goes to the OpenAPI description as it stands.
    """

    def __init__(
        self,
        *,
        required: bool = False,
        default: Any = missing,
        reason: str | None = None,
        key: str | None = None,
        metadata: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(
            required=required,
            load_default=default,
            data_key=key,
            allow_none=False,
            error_messages=MESSAGES,
            metadata=metadata,
        )
        self.reason = reason


class Number(Described):
    """A finite number within the bounds of its quantity; no strings, no booleans.

    Parameters
    ----------
    name : str
        Name of the quantity.
    description : str, optional
        Overrules the quantity's.
    lower, upper : float, optional
        Tighter bounds than the quantity's.
    whole : bool
        Whether only whole numbers are allowed.
    words : sequence of str
        Words that may stand instead of the number.
    options
        As :class:`Described` takes them.
    """

    def __init__(
        self,
        name: str,
        *,
        description: str | None = None,
        lower: float | None = None,
        upper: float | None = None,
        whole: bool = False,
        words: Sequence[str] = (),
        **options: Any,
    ) -> None:
        self.quantity = quantity(name)
        self.lower = self.quantity.lower if lower is None else lower
        self.upper = self.quantity.upper if upper is None else upper
        self.whole = whole
        self.words = tuple(words)
        self.bound = bound_text(self.lower, self.upper, self.quantity.unit)
        unit = "" if self.quantity.unit == "1" else f" [{self.quantity.unit}]"
        shape = {
            "type": "integer" if whole else "number",
            "minimum": self.lower,
            "maximum": self.upper,
        }
        metadata = {
            "title": name.replace("_", " "),
            "description": (description or self.quantity.description) + unit,
            **({"oneOf": [shape, {"type": "string", "enum": list(words)}]} if words else shape),
        }
        super().__init__(metadata=metadata, **options)
        self.require_bound()

    def require_bound(self) -> None:
        """Let the fault of its absence state unit and range, too."""
        self.error_messages = {
            **self.error_messages,
            "required": Problem(str(MESSAGES["required"]), self.bound),
        }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, str) and value in self.words:
            return value
        return self.checked(value)

    def checked(self, value: object) -> float | int:
        """Return the number, or raise what is wrong with it."""
        bound = self.bound
        if isinstance(value, bool) or not isinstance(value, int | float):
            also = "".join(f" or '{word}'" for word in self.words)
            raise refuse(f"must be a number{also}", bound)
        if isinstance(value, float) and not math.isfinite(value):
            raise refuse("must be a finite number", bound)
        if value < self.lower:
            raise refuse("is too small", bound, self.quantity.low_hint)
        if value > self.upper:
            raise refuse("is too large", bound, self.quantity.high_hint)
        if not self.whole:
            return float(value)
        if value != int(value):
            raise refuse("must be a whole number", bound)
        return int(value)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        # An infinite limit means no limit, which a document says by leaving the field out.
        return None if isinstance(value, float) and not math.isfinite(value) else value


class Text(Described):
    """A text that is not empty and not endless."""

    def __init__(
        self, description: str, *, longest: int = 200, example: str | None = None, **options: Any
    ) -> None:
        self.longest = longest
        metadata = {
            **({} if example is None else {"example": example}),
            "type": "string",
            "description": description,
            "minLength": 1,
            "maxLength": longest,
        }
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        bound = f"1 to {self.longest} characters"
        if not isinstance(value, str):
            raise refuse("must be a text", bound)
        if not 1 <= len(value) <= self.longest or not value.strip():
            raise refuse("must not be empty or too long", bound)
        return value


class Flag(Described):
    """True or false, nothing that merely looks like it."""

    def __init__(self, description: str, **options: Any) -> None:
        super().__init__(metadata={"type": "boolean", "description": description}, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise refuse("must be true or false", "true or false")
        return value


class Choice(Described):
    """One word of a few; becomes the member where the words are those of an enumeration."""

    def __init__(
        self, words: type[StrEnum] | Sequence[str], description: str, **options: Any
    ) -> None:
        self.words = {str(word): word for word in words}
        metadata = {"type": "string", "enum": list(self.words), "description": description}
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, str) or value not in self.words:
            raise refuse("must be one of the allowed words", "one of " + ", ".join(self.words))
        return self.words[value]

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:
        return None if value is None else str(value)


class Clock(Described):
    """An hour of the clock as ``HH:MM``; ``24:00`` only where it ends something."""

    _PATTERN = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])\Z")

    def __init__(self, description: str, *, end: bool = False, **options: Any) -> None:
        self.end = end
        metadata = {
            "type": "string",
            "pattern": "^(([01][0-9]|2[0-3]):[0-5][0-9]" + ("|24:00)$" if end else ")$"),
            "description": description,
            "example": "18:00" if end else "09:00",
        }
        super().__init__(metadata=metadata, **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> float:
        if self.end and value == "24:00":
            return 24.0
        match = self._PATTERN.match(value) if isinstance(value, str) else None
        if match is None:
            raise refuse(
                "must be an hour of the clock as 'HH:MM'",
                "00:00 to " + ("24:00" if self.end else "23:59"),
            )
        return int(match[1]) + int(match[2]) / 60

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> str | None:
        return None if value is None else clock_text(value)


def clock_text(hour: float) -> str:
    """Return an hour of the clock as ``HH:MM``.

    Parameters
    ----------
    hour : float
        From 0 to 24. [h]

    Raises
    ------
    ValueError
        If it is not a whole minute, which the documents cannot say.

    Examples
    --------
    >>> clock_text(18.5)
    '18:30'
    """
    minutes = round(hour * 60)
    if abs(minutes - hour * 60) > 1e-9:
        raise ValueError(f"{hour} h is not a whole minute and cannot be written as HH:MM")
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


class Items(fields.List[Any]):
    """A list whose items keep their index even where one of them is wrong."""

    def __init__(
        self,
        inner: fields.Field[Any],
        description: str,
        *,
        least: int = 0,
        most: int = 200,
        required: bool = False,
        default: Any = list,
        reason: str | None = None,
    ) -> None:
        super().__init__(
            inner,
            required=required,
            load_default=missing if required else default,
            allow_none=False,
            error_messages=MESSAGES,
            metadata={"description": description, "minItems": least, "maxItems": most},
        )
        self.least, self.most = least, most
        self.reason = reason

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> list[Any]:
        bound = f"{self.least} to {self.most} items"
        if not isinstance(value, list):
            raise refuse("must be a list", bound)
        if not self.least <= len(value) <= self.most:
            raise refuse("has too few or too many items", bound)
        items: list[Any] = []
        errors: dict[int, Any] = {}
        for index, each in enumerate(value):
            try:
                items.append(self.inner.deserialize(each, **kwargs))
            except ValidationError as error:
                errors[index] = error.messages
                # The rules that look across the list need every place filled.
                items.append(error.valid_data if isinstance(error.valid_data, dict) else None)
        if errors:
            raise ValidationError(errors, valid_data=items)
        return items


class Part(fields.Nested):
    """A part of a document that has a schema of its own.

    With ``fill``, an absent part is taken as an empty one: its defaults are filled in and reported.
    """

    def __init__(
        self,
        schema: type[Schema] | Callable[[], Schema],
        description: str = "",
        *,
        required: bool = False,
        fill: bool = False,
    ) -> None:
        super().__init__(
            schema,
            required=required,
            load_default=self._filled if fill else missing,
            allow_none=False,
            error_messages=MESSAGES,
            metadata={"description": description} if description else None,
        )
        self.fill = fill
        self.reason: str | None = None

    def _filled(self) -> Any:
        return self.schema.load({})
