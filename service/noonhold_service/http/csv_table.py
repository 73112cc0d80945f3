"""The hours of a projection as CSV."""

from __future__ import annotations

import csv
import io
from typing import Any, Final

MEDIA_TYPE: Final = "text/csv"


def hours_csv(document: dict[str, Any]) -> str:
    """Return the hours of an answer as CSV, its verdict and cautions in comments above.

    Parameters
    ----------
    document : dict
        From :func:`noonhold_service.answers.projection_answer.projection_document`.

    Returns
    -------
    str
        Lines that begin with ``#``, then a header and a row an interval by RFC 4180; a value that
        does not exist is an empty cell.
    """
    text = io.StringIO(newline="")
    for line in (document["summary"]["sentence"], *document["cautions"]):
        text.write(f"# {line}\r\n")
    hours = document["hours"]
    writer = csv.writer(text)
    writer.writerow(hours)
    writer.writerows(zip(*hours.values(), strict=True))
    return text.getvalue()
