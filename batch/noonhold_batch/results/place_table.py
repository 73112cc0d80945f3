"""The annual story of a place as a table by day."""

from __future__ import annotations

import pandas as pd

from noonhold.pictures.year_picture import YearOfPlace
from noonhold.studies.year.year_table import days_frame


def to_frame(year: YearOfPlace) -> pd.DataFrame:
    """Return what the figure shows by day; see :func:`noonhold.studies.year.year_table.days_frame`.

    Returns
    -------
    pandas.DataFrame
        365 rows; units in the headers, causes in words.
    """
    return days_frame(year.verdicts, year.outdoor_high_c, year.cabin_c.max(axis=1))
