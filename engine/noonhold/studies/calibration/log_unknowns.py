"""The unknowns of a field log: a rig's factors, the sky above it, and how each piece began."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from noonhold.studies.calibration.factors import ARRAY_POWER, SOLAR_GAIN
from noonhold.studies.calibration.field_log import FloatArray
from noonhold.studies.calibration.identifiability import DEVIATIONS, WIDTH_RATIO, Posterior
from noonhold.studies.calibration.log_runs import LogModel

# What is unknown of a piece's start, with its unit and standard error: the air is one reading, and
# contents and inner faces may well be a kelvin or two from that; the outer side of the walls has
# had sun, or a clear sky, in hours that nobody logged (common practice, no source).
STARTS: Final = (("cabin", "K", 1.5), ("state_of_charge", "1", 0.02), ("walls", "K", 3.0))
_START_WIDTHS: Final = np.array([width for _, _, width in STARTS])
# Of a sky temperature that follows from humidity and cloud [K]: the published emissivities differ
# by 10 to 20 W/m2 (from memory).
SKY_WIDTH_K: Final = 3.0
# Of the logarithm of a clear sky's light, where none was measured: turbidity differs from its
# table by as much (from memory).
LIGHT_WIDTH: Final = 0.05

# To either side for the slopes, of a prior width: wide enough that a cooler's switching, which
# jumps from one run to the next, does not pass for a slope, and narrow beside what a log leaves
# open.
STEP: Final = 0.1


@dataclass(frozen=True)
class StartEstimate:
    """What a log says of the first state of one of its pieces.

    Parameters
    ----------
    piece : int
        Which, from 0.
    quantity : str
        ``cabin`` (air, contents and inner faces), ``state_of_charge``, or ``walls`` (their outer
        faces; between both a straight line).
    shift, low, high : float
        By how much it began above the first reading, or for the walls above the outdoor air, with
        its 95 % interval. [unit]
    identified : bool
        Whether the log narrowed its prior enough.
    """

    piece: int
    quantity: str
    unit: str
    shift: float
    low: float
    high: float
    identified: bool


@dataclass(frozen=True)
class Learned:
    """What a log taught, as a prediction of another log needs it.

    Parameters
    ----------
    widths : mapping of str to float
        The factors sought and the prior widths of their logarithms.
    best : numpy.ndarray, shape (k,)
        The logarithms over those widths; 0 where a factor is not identified.
    covariance : numpy.ndarray, shape (k, k)
        Of ``best``; a factor that is not identified has its prior's variance.
    spreads : mapping of str to float
        By channel, standard deviation of modelled less logged over the assumed error of a row.
    """

    widths: Mapping[str, float]
    best: FloatArray
    covariance: FloatArray
    spreads: Mapping[str, float]


class Unknowns:
    """What is sought of a log, in units of prior widths.

    The factors' logarithms stand first, then the error of the sky's temperature, and of its light
    where that was not logged, then for every piece those of `STARTS`: none of them was measured
    well enough to be taken for truth.

    Parameters
    ----------
    model : LogModel
        The log's pieces, ready to be run.
    widths : mapping of str to float
        The factors sought and the prior widths of their logarithms.
    """

    def __init__(self, model: LogModel, widths: Mapping[str, float]) -> None:
        self.model = model
        self.names = tuple(widths)
        self.widths = np.array([widths[name] for name in self.names])
        self.starts_at = len(self.names) + (1 if model.lit else 2)
        self.count = self.starts_at + len(STARTS) * len(model.pieces)

    def widths_by_name(self) -> dict[str, float]:
        """Return the factors and their prior widths."""
        return dict(zip(self.names, self.widths.tolist(), strict=True))

    def logs(self, z: FloatArray) -> FloatArray:
        """Return the factors' logarithms at some unknowns."""
        result: FloatArray = z[: len(self.names)] * self.widths
        return result

    def starts(self, z: FloatArray) -> FloatArray:
        """Return what the pieces began with above their readings, shape (pieces, starts)."""
        result: FloatArray = z[self.starts_at :].reshape(-1, len(STARTS)) * _START_WIDTHS
        return result

    def records(self, z: FloatArray) -> list[FloatArray]:
        """Return the runs at some unknowns, a record a piece."""
        named = zip(self.names, self.logs(z), strict=True)
        factors = {name: math.exp(value) for name, value in named}
        count = len(self.names)
        if not self.model.lit:
            light = math.exp(LIGHT_WIDTH * float(z[count + 1]))
            for name in (SOLAR_GAIN, ARRAY_POWER):
                factors[name] = factors.get(name, 1.0) * light
        return self.model.run(factors, self.starts(z), float(z[count]) * SKY_WIDTH_K)


def start_estimates(
    unknowns: Unknowns, z: FloatArray, posterior: Posterior
) -> tuple[StartEstimate, ...]:
    """Return what a log says of the first state of its pieces.

    Parameters
    ----------
    z : numpy.ndarray, shape (u,)
        The best unknowns.
    posterior : Posterior
        There.
    """
    ratios = np.sqrt(np.diag(posterior.covariance()))[unknowns.starts_at :]
    found = []
    for number, shift in enumerate(unknowns.starts(z).ravel().tolist()):
        piece, which = divmod(number, len(STARTS))
        quantity, unit, width = STARTS[which]
        ratio = float(ratios[number])
        reach = DEVIATIONS * ratio * width
        identified = ratio <= WIDTH_RATIO
        found.append(
            StartEstimate(piece, quantity, unit, shift, shift - reach, shift + reach, identified)
        )
    return tuple(found)
