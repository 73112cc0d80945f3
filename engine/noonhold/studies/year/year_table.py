"""The days of a year as a table."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.quantities import Cause, Verdict
from noonhold.studies.year.year_run import DAYS
from noonhold.verdict import DayVerdicts

FloatArray = npt.NDArray[np.float64]


def days_frame(
    days: DayVerdicts, outdoor_high_c: FloatArray, cabin_high_c: FloatArray
) -> pd.DataFrame:
    """Return the days of a year as a table.

    Parameters
    ----------
    days : DayVerdicts
        From 1 January on.
    outdoor_high_c, cabin_high_c : numpy.ndarray, shape (365,)
        Highest of each day. [degC]

    Returns
    -------
    pandas.DataFrame
        365 rows; units in the headers, causes in words.
    """
    dates = np.datetime64("2001-01-01") + np.arange(DAYS)
    return pd.DataFrame(
        {
            "day": [str(date)[5:] for date in dates],
            "outdoor_high_degc": outdoor_high_c.round(2),
            "cabin_high_degc": cabin_high_c.round(2),
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
