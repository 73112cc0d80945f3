"""The annual story of a place as a table by day."""

from __future__ import annotations

import numpy as np
import pandas as pd

from noonhold.pictures.year_picture import DAYS, YearOfPlace
from noonhold.quantities import Cause, Verdict


def to_frame(year: YearOfPlace) -> pd.DataFrame:
    """Return what the figure shows by day, as a table.

    Parameters
    ----------
    year : YearOfPlace
        The year.

    Returns
    -------
    pandas.DataFrame
        365 rows; units in the headers, causes in words.
    """
    days = year.verdicts
    dates = np.datetime64("2001-01-01") + np.arange(DAYS)
    return pd.DataFrame(
        {
            "day": [str(date)[5:] for date in dates],
            "outdoor_high_degc": year.outdoor_high_c.round(2),
            "cabin_high_degc": year.cabin_c.max(axis=1).round(2),
            "needs_cooling": days.needs_cooling,
            "verdict": [Verdict(int(verdict)).word for verdict in days.verdict],
            "first_cause": [Cause(int(cause)).word for cause in days.first_cause],
            "comfortable_fraction": days.comfortable_fraction.round(4),
            "lowest_charge": days.lowest_charge.round(4),
            "cooler_wh": days.cooler_wh.round(1),
            "solar_wh": days.solar_wh.round(1),
            "curtailed_wh": days.curtailed_wh.round(1),
        }
    )
