"""The rows of an EPW file as figures: compiled, for files without anything unusual in them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from noonhold.numerics.compiled import inlined, kernel

Bytes = npt.NDArray[np.uint8]
FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

_COMMA, _LINE_END, _QUOTE = ord(","), ord("\n"), ord('"')
_MINUS, _POINT, _ZERO, _NINE = ord("-"), ord("."), ord("0"), ord("9")
# So many digits are exact in a double, and so is the power of ten that they are divided by: their
# ratio is the double next to the decimal number, as any good reader finds it.
_MOST_DIGITS = 15
_POWERS = 10.0 ** np.arange(_MOST_DIGITS + 1)


@inlined
def _plain_number(text: Bytes, begin: int, end: int) -> tuple[float, int]:
    """Return the number between two places and its decimals; -1 decimals for anything unusual."""
    negative = begin < end and text[begin] == _MINUS
    at = begin + 1 if negative else begin
    whole, digits, decimals, in_fraction = 0, 0, 0, False
    for place in range(at, end):
        byte = int(text[place])
        if byte == _POINT and not in_fraction and place > at:
            in_fraction = True
        elif _ZERO <= byte <= _NINE:
            whole = 10 * whole + (byte - _ZERO)
            digits += 1
            decimals += in_fraction
        else:
            return 0.0, -1
    odd = digits == 0 or digits > _MOST_DIGITS or (in_fraction and decimals == 0)
    if odd or (negative and whole == 0):
        return 0.0, -1
    value = whole / _POWERS[decimals]
    return -value if negative else value, decimals


@kernel
def _read_rows(
    text: Bytes, begin: int, fields: int, places: IntArray, integers: int, figures: FloatArray
) -> int:
    """Fill ``figures``, shape (places, rows), and return the rows; -1 for anything unusual."""
    row, field, wanted, at = 0, 0, 0, begin
    for place in range(begin, len(text) + 1):
        byte = text[place] if place < len(text) else _LINE_END
        if byte == _QUOTE:
            return -1
        if byte != _COMMA and byte != _LINE_END:
            continue
        if wanted < len(places) and field == places[wanted]:
            value, decimals = _plain_number(text, at, place)
            if decimals < 0 or (wanted < integers and decimals > 0):
                return -1
            figures[wanted, row] = value
            wanted += 1
        field += 1
        at = place + 1
        if byte == _LINE_END:
            if field != fields:
                return -1
            row, field, wanted = row + 1, 0, 0
            if at >= len(text):
                break
    return row


def regular_rows(
    content: bytes, begin: int, fields: int, places: list[int], integers: int
) -> FloatArray | None:
    """Read columns of comma-separated rows that all have the same plain form.

    Parameters
    ----------
    begin : int
        Where its first row begins.
    fields : int
        Fields that every row has.
    places : list of int
        Rising places of the columns wanted.
    integers : int
        So many of them, the first ones, are whole numbers.

    Returns
    -------
    numpy.ndarray, shape (places, rows), or None
        Figures to the last bit as a general reader has them. ``None`` where a row has another
        number of fields, a figure is missing or written in any way but ``-12.34``, a whole number
        has decimals, or something is quoted: such a file is for the general reader to judge.
    """
    figures = np.empty((len(places), content.count(b"\n", begin) + 1))
    text = np.frombuffer(content, dtype=np.uint8)
    rows = _read_rows(text, begin, fields, np.array(places), integers, figures)
    return figures[:, :rows] if rows > 0 else None
