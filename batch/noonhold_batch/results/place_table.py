"""The annual story of a place as a table by day."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from noonhold.pictures.year_picture import YearOfPlace
from noonhold.quantities import Verdict
from noonhold.studies.year.year_table import days_frame
from noonhold.verdict import DayVerdicts


def to_frame(
    year: YearOfPlace, living: DayVerdicts, adverse_stay_days: npt.NDArray[np.int64]
) -> pd.DataFrame:
    """Return what the figure shows by day, and what the other questions answer.

    Parameters
    ----------
    year : YearOfPlace
        The year; ``verdict`` and ``first_cause`` answer the question named in ``asked``.
    living : DayVerdicts
        The same year, living there.
    adverse_stay_days : numpy.ndarray of int, shape (365,)
        Days that hold from each date on, of the adverse twin.

    Returns
    -------
    pandas.DataFrame
        365 rows; units in the headers, causes in words.
    """
    frame = days_frame(year.verdicts, year.outdoor_high_c, year.cabin_c.max(axis=1))
    frame.insert(1, "asked", year.horizon.word)
    if year.stay_days is not None:
        frame["stay_days"] = year.stay_days
        frame["adverse_stay_days"] = adverse_stay_days
    frame["living_there_verdict"] = [Verdict(int(each)).word for each in living.verdict]
    frame["living_there_unserved_wh"] = living.unmet_wh.round(1)
    frame["living_there_unserved_h"] = living.hours_unmet.round(2)
    return frame
