"""What is uncertain about a rig and its day, how far, and how a sample of it becomes a run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.envelope.network import NetworkTables
from noonhold.simulation.changed_case import CaseChange, changed_case
from noonhold.simulation.simulation_case import SimulationCase
from noonhold.studies.study_base import Prepared
from noonhold.studies.uncertainty.conduction import conducting_networks

FloatArray = npt.NDArray[np.float64]

SHELL_CONDUCTANCE: Final = "shell_conductance_factor"
LEAKAGE: Final = "leakage_factor"
ABSORPTANCE: Final = "solar_absorptance_factor"
COOLER_CAPACITY: Final = "cooler_capacity_factor"
COOLER_POWER: Final = "cooler_power_factor"
ARRAY: Final = "array_factor"
BATTERY: Final = "battery_factor"
SUN: Final = "sun_factor"
TEMPERATURE: Final = "temperature_offset_k"
WIND: Final = "wind_factor"


class Condition(StrEnum):
    """What state the rig is in, which decides how far it may be from what was stated."""

    AS_BUILT = "as_built"
    AFTER_SOME_YEARS = "after_some_years"


@dataclass(frozen=True)
class Range:
    """From where to where an input may lie, everything between equally likely.

    Parameters
    ----------
    low, high : float
        Equal for an input that is fixed.
    """

    low: float
    high: float


@dataclass(frozen=True)
class UncertainInput:
    """One thing that nobody knows exactly.

    Parameters
    ----------
    name : str
        As documents and answers call it.
    meaning : str
        What it multiplies or is added to.
    likely : Range
        The default range as built, about the stated value as its middle.
    reason : str
        Why that range, with its source.
    as_stated : float
        The value that leaves the run as it was stated.
    aged : Range, optional
        The default range after some years of use, where they change it.
    aged_reason : str, optional
        Why that range.
    """

    name: str
    meaning: str
    likely: Range
    reason: str
    as_stated: float = 1.0
    aged: Range | None = None
    aged_reason: str | None = None

    def default(self, condition: Condition = Condition.AS_BUILT) -> tuple[Range, str]:
        """Return the default range in a condition of the rig, and its reason.

        Parameters
        ----------
        condition : Condition, optional
            What years change has a range of its own.

        Returns
        -------
        range : Range
        reason : str
        """
        if condition is Condition.AS_BUILT or self.aged is None or self.aged_reason is None:
            return self.likely, self.reason
        return self.aged, self.aged_reason


INPUTS: Final = (
    UncertainInput(
        SHELL_CONDUCTANCE,
        "conductivity of every layer, and conductance of every window between its faces",
        Range(0.85, 1.15),
        "insulation varies by some percent, joints and fastenings by more than is in a list of"
        " layers; common practice, no source",
    ),
    UncertainInput(
        LEAKAGE,
        "leakage, as air changes or as area",
        Range(0.5, 1.5),
        "seldom measured; like builds differ by half either way; common practice, no source",
        aged=Range(0.8, 2.0),
        aged_reason="seals harden and doors sag; common practice, no source",
    ),
    UncertainInput(
        ABSORPTANCE,
        "solar absorptance of every outer face, at most 1 in all",
        Range(0.9, 1.1),
        "one colour's paints differ by as much; common practice, no source",
        aged=Range(1.0, 1.35),
        aged_reason="dirt and age darken light colours; common practice, no source",
    ),
    UncertainInput(
        COOLER_CAPACITY,
        "gross capacity of every stage, its coil as it is",
        Range(0.95, 1.05),
        "the tolerance of makers' ratings; common practice, no source",
        aged=Range(0.85, 1.0),
        aged_reason="dust on the condenser and a little refrigerant lost; common practice, no"
        " source",
    ),
    UncertainInput(
        COOLER_POWER,
        "power of the compressor, the indoor fan's not",
        Range(0.95, 1.05),
        "the tolerance of makers' ratings; common practice, no source",
        aged=Range(1.0, 1.12),
        aged_reason="a dirty or ageing machine draws more; common practice, no source",
    ),
    UncertainInput(
        ARRAY,
        "rated power of every array, controllers as they are",
        Range(0.95, 1.05),
        "tolerance of 2 to 3 % and the spread of everyday soiling; common practice, no source",
        aged=Range(0.82, 0.98),
        aged_reason="ageing of about half a percent a year and dust that stays; common practice,"
        " no source",
    ),
    UncertainInput(
        BATTERY,
        "usable energy of the battery, the reserve's share and the charge at the start as stated",
        Range(0.95, 1.05),
        "cells differ by a few percent from their rating; common practice, no source",
        aged=Range(0.8, 0.97),
        aged_reason="a battery is commonly kept until a fifth of its energy is lost; common"
        " practice, no source",
    ),
    UncertainInput(
        SUN,
        "sunlight on every face, window and array",
        Range(0.9, 1.1),
        "haze and cloud beside those of the weather, and the few percent by which irradiance from"
        " satellites and models errs; common practice, no source",
    ),
    UncertainInput(
        TEMPERATURE,
        "added to the outdoor air and to the sky's temperature, humidity ratio as it is unless"
        " the air cannot hold it",
        Range(-1.5, 1.5),
        "the place is not the station, and forecasts err by a degree or two; common practice, no"
        " source",
        0.0,
    ),
    UncertainInput(
        WIND,
        "wind speed",
        Range(0.6, 1.4),
        "how open the camp is beside the terrain that was stated; common practice, no source",
    ),
)
NAMES: Final = tuple(each.name for each in INPUTS)
AS_STATED: Final = {each.name: each.as_stated for each in INPUTS}


def sampled_members(prepared: Prepared, samples: Mapping[str, FloatArray]) -> list[SimulationCase]:
    """Return one run a sample, on tables changed in place of documents.

    Parameters
    ----------
    prepared : Prepared
        The question as stated.
    samples : mapping of str to numpy.ndarray, shape (s,)
        Values by input; an input that is missing is as stated.

    Notes
    -----
    Leakage, absorptance, compressor power, rated array power and battery are linear in the tables
    and come out as a changed document's would. So does the shell's conductance, but that a layer
    keeps its number of nodes. Three are defined by what they do to the tables: the capacity's
    factor leaves the coil's bypass alone (a document's would make it another coil, or none), the
    sun's factor multiplies the light on each plane after it was brought there, and the offset
    warms the sky along with the air.
    """
    count = len(next(iter(samples.values())))
    given = {
        name: samples.get(name, np.full(count, AS_STATED[name], dtype=np.float64)) for name in NAMES
    }
    case = prepared.case
    networks = conducting_networks(prepared.request.rig, case.network, given[SHELL_CONDUCTANCE])
    start_follows = prepared.request.scenario.start.cabin_temperature_c is None
    return [
        _sampled(case, networks[s], {n: float(v[s]) for n, v in given.items()}, start_follows)
        for s in range(count)
    ]


def _sampled(
    case: SimulationCase, network: NetworkTables, value: Mapping[str, float], start_follows: bool
) -> SimulationCase:
    """Return a run with one sample's values."""
    change = CaseChange(
        leakage=value[LEAKAGE],
        absorptance=value[ABSORPTANCE],
        cooler_capacity=value[COOLER_CAPACITY],
        cooler_power=value[COOLER_POWER],
        array=value[ARRAY],
        battery=value[BATTERY],
        sun=value[SUN],
        wind=value[WIND],
        outdoor_offset_k=value[TEMPERATURE],
    )
    return changed_case(replace(case, network=network), change, start_follows)
