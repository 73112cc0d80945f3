"""The one table of a result's variables: where each comes from, its type and its CF attributes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from noonhold.quantities import (
    COMFORT_DIFFERENCES,
    DAY_FIGURES,
    IN_COMFORT_UNIT,
    LONGEST_STAY_D,
    Cause,
    Quantity,
    Verdict,
)
from noonhold.scenario import ComfortMeasure
from noonhold.studies.year.stay_sizes import LENGTHS_D
from noonhold.studies.year.year_run import DAYS
from noonhold_batch.sweep.run_status import Status

COMFORT_UNIT = "comfort"  # stands for the unit of the comfort measure, known per sweep
COMFORT_DIFFERENCE = "comfort difference"  # and for that of its differences
BY_DAY = ("rig", "site", "day")
BY_STAY = (*BY_DAY, "stay")
WEATHER_BY_DAY = ("site", "day")


@dataclass(frozen=True)
class Variable:
    """One variable of a result.

    Parameters
    ----------
    name : str
        In the result; for verdicts also the field of ``DayVerdicts``.
    dims : tuple of str
        Dimensions, in order.
    dtype : str
        ``float32``, ``float64``, ``int8`` or ``string``. A float that does not exist is NaN, a
        flag that does not exist is -1, a text that does not exist is empty: none is a zero.
    description : str
        The ``long_name``.
    unit : str or None
        UDUNITS, None for flags and text.
    cell_methods : str or None
        How the day was summed up.
    flags : tuple of (int, str)
        Values and meanings of a flag.
    standard_name : str or None
        CF standard name.
    """

    name: str
    dims: tuple[str, ...]
    dtype: str
    description: str
    unit: str | None = None
    cell_methods: str | None = None
    flags: tuple[tuple[int, str], ...] = ()
    standard_name: str | None = None

    @property
    def fill_value(self) -> float | int | str:
        """Return what stands where nothing was computed."""
        if self.dtype == "string":
            return ""
        return -1 if self.dtype == "int8" else float("nan")

    def attributes(self, measure: ComfortMeasure) -> dict[str, Any]:
        """Return the CF attributes.

        Parameters
        ----------
        measure : ComfortMeasure
            Of the sweep, for the unit of comfort.

        Returns
        -------
        dict
            Ready for a file.
        """
        found: dict[str, Any] = {"long_name": self.description}
        if self.unit is not None:
            comfort = "1" if measure is ComfortMeasure.PMV else "degC"
            found["units"] = comfort if self.unit == COMFORT_UNIT else self.unit
            if self.unit == COMFORT_DIFFERENCE:
                found["units"] = "1" if measure is ComfortMeasure.PMV else "K"
            if found["units"] == "degC":
                found["units_metadata"] = "temperature: on_scale"  # CF-1.11, section 3.1.2
        if self.standard_name:
            found["standard_name"] = self.standard_name
        if self.cell_methods:
            found["cell_methods"] = self.cell_methods
        if self.flags:
            found["flag_values"] = [value for value, _ in self.flags]
            found["flag_meanings"] = " ".join(meaning for _, meaning in self.flags)
        if self.dims and self.dtype != "string" and self.dims != ("site",):
            found["coordinates"] = "latitude longitude elevation"
        return found


_YES_NO = ((-1, "not_computed"), (0, "no"), (1, "yes"))


def _flag(name: str, text: str, flags: tuple[tuple[int, str], ...] = _YES_NO) -> Variable:
    return Variable(name, BY_DAY, "int8", text, flags=flags)


def _day(name: str, text: str, unit: str, method: str | None = None) -> Variable:
    return Variable(name, BY_DAY, "float32", text, unit, method)


def _figure(known: Quantity) -> Variable:
    """Return a figure of a day's verdict as a variable."""
    unit = known.unit
    if known.name in IN_COMFORT_UNIT:
        unit = COMFORT_UNIT
    elif known.name in COMFORT_DIFFERENCES:
        unit = COMFORT_DIFFERENCE
    # A long name is no sentence: without its capital and full stop.
    text = known.description[0].lower() + known.description[1:].rstrip(".")
    method = None if known.cell_method is None else f"day: {known.cell_method}"
    return _day(known.name, text, unit, method)


_VERDICTS = ((-1, "not_computed"), *((int(each), each.word) for each in Verdict))
_CAUSES = ((-1, "not_computed"), *((int(cause), cause.word) for cause in Cause))

FLAGS = (
    _flag("judged", "any of the day lies in the judged part of the cooling window"),
    _flag(
        "verdict",
        "living there, the charge carried from day to day: comfortable long enough, the battery"
        " always above its reserve and every load served; narrowly where the adverse twin is not",
        _VERDICTS,
    ),
    _flag("needs_cooling", "the same cabin without its cooler leaves the comfort limit"),
    _flag("first_cause", "living there: what failed first on a day that fails", _CAUSES),
)
FIGURES = tuple(_figure(known) for known in DAY_FIGURES.values())
VERDICTS = FLAGS + FIGURES
STAYS = (
    _flag(
        "first_day_verdict",
        "arriving with the charge on arrival at the midnight with which this date begins: the"
        " verdict on the date itself",
        _VERDICTS,
    ),
    Variable(
        "stay_days",
        BY_DAY,
        "int8",
        f"arriving so on this date: days in a row that hold, at most {LONGEST_STAY_D}",
        "d",
    ),
    Variable(
        "adverse_stay_days",
        BY_DAY,
        "int8",
        "the same for the adverse twin: a stay of more days than that holds narrowly",
        "d",
    ),
    _flag("stay_first_cause", "what failed first on the day that ends such a stay", _CAUSES),
)
NEEDED = (
    Variable(
        "needed_battery_wh",
        BY_STAY,
        "float32",
        "usable battery energy with which a stay of this length that begins on this date and fails"
        " would hold, all else as it is; missing where it holds or no battery alone does it",
        "W h",
    ),
    Variable(
        "needed_array_w",
        BY_STAY,
        "float32",
        "rated power of all arrays together, grown alike with their controllers, with which such a"
        " stay would hold, all else as it is; missing where it holds or no arrays alone do it",
        "W",
    ),
)
WEATHER = (
    Variable(
        "outdoor_high_c",
        WEATHER_BY_DAY,
        "float32",
        "highest outdoor temperature",
        "degC",
        "day: maximum",
        standard_name="air_temperature",
    ),
    Variable(
        "outdoor_low_c",
        WEATHER_BY_DAY,
        "float32",
        "lowest outdoor temperature",
        "degC",
        "day: minimum",
        standard_name="air_temperature",
    ),
)
SITE_FIGURES = (
    Variable(
        "latitude", ("site",), "float64", "latitude", "degrees_north", standard_name="latitude"
    ),
    Variable(
        "longitude", ("site",), "float64", "longitude", "degrees_east", standard_name="longitude"
    ),
    Variable(
        "elevation",
        ("site",),
        "float64",
        "height above sea level",
        "m",
        standard_name="surface_altitude",
    ),
    Variable("utc_offset", ("site",), "float64", "offset of the standard time from UTC", "h"),
)
SITE_TEXTS = (
    Variable("site_name", ("site",), "string", "name of the station as its file has it"),
    Variable("region", ("site",), "string", "state, province or zone as the file's header has it"),
    Variable("source", ("site",), "string", "data set and format of the weather"),
    Variable("weather_notes", ("site",), "string", "what the reader filled, dropped or assumed"),
)
REASON = Variable("reason", ("rig", "site"), "string", "why there are no verdicts")
STATUS = Variable(
    "status",
    ("rig", "site"),
    "int8",
    "how the run ended",
    flags=tuple((int(status), status.name.lower()) for status in Status),
)
# A block is written in this order: a status that is there says that all the rest is.
BY_BLOCK = (*SITE_FIGURES, *SITE_TEXTS, *WEATHER, *VERDICTS, *STAYS, *NEEDED, REASON, STATUS)


def axis_sizes(rigs: int, sites: int) -> dict[str, int]:
    """Return the length of every dimension of a result or a block."""
    return {"rig": rigs, "site": sites, "day": DAYS, "stay": len(LENGTHS_D)}
