"""How sure a fit is of each factor, and which factors its log does not identify."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from noonhold.studies.calibration.factors import KINDS, FactorLimits

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

WIDTH_RATIO: Final = 0.7  # half of the prior's variance is left
CONFIDENCE: Final = 0.95
DEVIATIONS: Final = 1.959964  # of the normal distribution, for that confidence


@dataclass(frozen=True)
class Estimate:
    """One factor as the log has it.

    Parameters
    ----------
    name, meaning : str
        Which, and what it multiplies.
    factor : float
        1 where it is not identified.
    low, high : float
        Its 95 % interval; of the prior where it is not identified.
    identified : bool
        Whether the log narrowed the prior enough.
    width_ratio : float
        Standard deviation of its logarithm after the log over that before it.
    prior_width : float
        The latter.
    lower_bound, upper_bound : float
        Between which it was looked for.
    at_bound : bool
        Whether it was found at one of them.
    reason : str
        Why it is not identified; empty where it is.
    """

    name: str
    meaning: str
    factor: float
    low: float
    high: float
    identified: bool
    width_ratio: float
    prior_width: float
    lower_bound: float
    upper_bound: float
    at_bound: bool
    reason: str


@dataclass(frozen=True)
class Posterior:
    """The information that a log holds about the unknowns, in units of their prior widths.

    Parameters
    ----------
    information : numpy.ndarray, shape (u, u)
        ``J^T J`` with the prior's rows; the factors stand first.
    factors : int
        How many of the unknowns are factors.
    """

    information: FloatArray
    factors: int

    def covariance(self) -> FloatArray:
        """Return the covariance with every unknown free, shape (u, u)."""
        inverse: FloatArray = np.linalg.inv(self.information).astype(np.float64)
        return inverse

    def ratios(self) -> FloatArray:
        """Return each factor's width after the log over that before it, shape (factors,)."""
        result: FloatArray = np.sqrt(np.diag(self.covariance()))[: self.factors]
        return result

    def alone(self) -> FloatArray:
        """Return the same if every other unknown were known, shape (factors,)."""
        result: FloatArray = 1.0 / np.sqrt(np.diag(self.information))[: self.factors]
        return result

    def correlations(self) -> FloatArray:
        """Return the factors' correlations, shape (factors, factors)."""
        covariance = self.covariance()[: self.factors, : self.factors]
        width = np.sqrt(np.diag(covariance))
        result: FloatArray = covariance / np.outer(width, width)
        return result

    def with_fixed(self, best: FloatArray, free: BoolArray) -> FloatArray:
        """Return where the best unknowns move when some are fixed at their prior's middle, 0.

        Parameters
        ----------
        best : numpy.ndarray, shape (u,)
            The best unknowns with all of them free.
        free : numpy.ndarray of bool, shape (u,)
            Those that stay free.

        Returns
        -------
        numpy.ndarray, shape (u,)
            As far as the residuals are linear.
        """
        inside, across = self.information[np.ix_(free, free)], self.information[np.ix_(free, ~free)]
        moved = np.zeros(len(best))
        moved[free] = best[free] + np.linalg.solve(inside, across @ best[~free])
        return moved

    def widths_with_fixed(self, free: BoolArray) -> FloatArray:
        """Return the widths of a fit in which some unknowns are fixed at their prior's middle.

        Parameters
        ----------
        free : numpy.ndarray of bool, shape (u,)
            Those that were fitted.

        Returns
        -------
        numpy.ndarray, shape (u,)
            Of the fixed ones 1, their prior's.

        Notes
        -----
        With blocks ``A`` (free) and ``B`` (free by fixed) of the information, an error of a fixed
        unknown moves the free ones by ``-A^-1 B``; fixed unknowns have unit variance, so the
        covariance is ``A^-1 + A^-1 B B^T A^-1``.
        """
        inverse = np.linalg.inv(self.information[np.ix_(free, free)])
        moved = inverse @ self.information[np.ix_(free, ~free)]
        widths = np.ones(len(free))
        widths[free] = np.sqrt(np.diag(inverse + moved @ moved.T))
        return widths

    def covariance_with_fixed(self, free: BoolArray) -> FloatArray:
        """Return the factors' covariance of that fit, shape (factors, factors)."""
        inverse = np.linalg.inv(self.information[np.ix_(free, free)])
        moved = inverse @ self.information[np.ix_(free, ~free)]
        whole = np.eye(len(free))
        whole[np.ix_(free, free)] = inverse + moved @ moved.T
        whole[np.ix_(free, ~free)] = -moved
        whole[np.ix_(~free, free)] = -moved.T
        return whole[: self.factors, : self.factors]


def identified(posterior: Posterior) -> BoolArray:
    """Return which factors a log identifies, shape (factors,)."""
    result: BoolArray = posterior.ratios() <= WIDTH_RATIO
    return result


def _reason(posterior: Posterior, names: tuple[str, ...], number: int) -> str:
    """Return why a factor is not identified."""
    if posterior.alone()[number] > WIDTH_RATIO:
        return "nothing in the log depends enough on it"
    partners = np.abs(posterior.correlations()[number])
    partners[number] = 0.0
    partner = int(np.argmax(partners))
    if partners[partner] < 0.3:
        return "the start of the log hides it"
    return f"the log cannot tell it from {names[partner]}"


def estimates(
    names: tuple[str, ...],
    logs: FloatArray,
    widths: FloatArray,
    posterior: Posterior,
    free: BoolArray,
    limits: Mapping[str, FactorLimits],
) -> tuple[Estimate, ...]:
    """Return what a fit says of each factor.

    Parameters
    ----------
    names : tuple of str
        The factors.
    logs, widths : numpy.ndarray, shape (factors,)
        Their logarithms, and the widths of their priors.
    posterior : Posterior
        At these logarithms.
    free : numpy.ndarray of bool, shape (u,)
        Unknowns that were fitted.
    limits : mapping of str to FactorLimits
        By name.
    """
    after = posterior.widths_with_fixed(free)
    ratios = posterior.ratios()
    found = []
    for number, name in enumerate(names):
        fitted = bool(free[number])
        value = math.exp(float(logs[number])) if fitted else 1.0
        reach = math.exp(DEVIATIONS * float(after[number] * widths[number]))
        bound = limits[name]
        margin = 1e-3 * value
        found.append(
            Estimate(
                name=name,
                meaning=KINDS[name].meaning,
                factor=value,
                low=value / reach,
                high=value * reach,
                identified=fitted,
                width_ratio=float(after[number]) if fitted else float(ratios[number]),
                prior_width=float(widths[number]),
                lower_bound=bound.lower,
                upper_bound=bound.upper,
                at_bound=fitted and not bound.lower + margin < value < bound.upper - margin,
                reason="" if fitted else _reason(posterior, names, number),
            )
        )
    return tuple(found)
