"""Numbers that only a study's request has, described beside the study instead of in the table."""

from __future__ import annotations

from typing import Any

from noonhold.documents.fields import Described, Number
from noonhold.quantities import Quantity


class StudyNumber(Number):
    """A number with a quantity of its own.

    Parameters
    ----------
    own : Quantity
        Its name, unit, meaning and bounds.
    whole : bool
        Whether only whole numbers are allowed.
    options
        As :class:`noonhold.documents.fields.Described` takes them.
    """

    def __init__(self, own: Quantity, *, whole: bool = False, **options: Any) -> None:
        self.quantity = own
        self.lower, self.upper = own.lower, own.upper
        self.whole = whole
        self.words = ()
        self.bound = own.bound
        metadata = {
            "title": own.name.replace("_", " "),
            "description": own.description + ("" if own.unit == "1" else f" [{own.unit}]"),
            "type": "integer" if whole else "number",
            "minimum": own.lower,
            "maximum": own.upper,
        }
        Described.__init__(self, metadata=metadata, **options)
        self.require_bound()
