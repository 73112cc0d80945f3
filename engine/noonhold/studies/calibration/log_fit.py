"""The search for the factors of a field log: least squares with priors, in two passes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from scipy.optimize import least_squares

from noonhold.studies.calibration.factors import FactorLimits
from noonhold.studies.calibration.field_log import BoolArray, FloatArray
from noonhold.studies.calibration.identifiability import Posterior, identified
from noonhold.studies.calibration.log_channels import FITTED, ChannelRows
from noonhold.studies.calibration.log_residuals import error_scale
from noonhold.studies.calibration.log_unknowns import STEP, Unknowns

_WIDEST_START: Final = 4.0  # prior widths
_INSIDE: Final = 1e-6
_TOLERANCE: Final = 1e-5
_MOST_EVALUATIONS: Final = 30
_WORTH_KEEPING: Final = 1.5  # a misfit so many times that of the first search loses too much of it


class LogFit:
    """A log, its unknowns in units of their prior widths, and the search for them.

    A run is what a search costs. Slopes at one point are therefore kept before they are scaled by
    the errors of the rows: a search with new errors begins where the one before it ended.
    """

    def __init__(
        self,
        unknowns: Unknowns,
        rows: tuple[ChannelRows, ...],
        limits: Mapping[str, FactorLimits],
    ) -> None:
        self.unknowns, self.rows = unknowns, rows
        self.high = np.full(unknowns.count, _WIDEST_START)
        self.low = -self.high
        for number, (name, width) in enumerate(unknowns.widths_by_name().items()):
            self.low[number] = math.log(limits[name].lower) / width
            self.high[number] = math.log(limits[name].upper) / width
        records = self.unknowns.records(np.zeros(unknowns.count))
        self.errors = [
            np.where(row.comparable(records, FITTED), row.assumed_errors(records, FITTED), np.inf)
            for row in rows
        ]
        self._point = np.zeros(0)
        self._slopes: dict[int, FloatArray] = {}

    def differences(self, z: FloatArray) -> FloatArray:
        """Return modelled less logged of all channels."""
        records = self.unknowns.records(z)
        return np.concatenate([row.differences(records, FITTED) for row in self.rows])

    def residuals(self, z: FloatArray) -> FloatArray:
        """Return scaled errors of all channels, then the unknowns themselves."""
        return np.concatenate([self.differences(z) / np.concatenate(self.errors), z])

    def slopes(self, z: FloatArray, free: BoolArray) -> FloatArray:
        """Return the derivative of the residuals by the free unknowns."""
        if not np.array_equal(z, self._point):
            self._point, self._slopes = z.copy(), {}
        places = [int(place) for place in np.flatnonzero(free)]
        for place in places:
            if place not in self._slopes:
                self._slopes[place] = self._slope(z, place)
        by_unknown = np.column_stack([self._slopes[place] for place in places])
        own = np.eye(self.unknowns.count)[:, free]
        return np.vstack([by_unknown / np.concatenate(self.errors)[:, None], own])

    def _slope(self, z: FloatArray, place: int) -> FloatArray:
        """Return the derivative of the differences by one unknown."""
        below, above = z.copy(), z.copy()
        # Beyond its limits a rig cannot be.
        below[place] = max(z[place] - STEP, self.low[place])
        above[place] = min(z[place] + STEP, self.high[place])
        moved: FloatArray = self.differences(above) - self.differences(below)
        moved /= above[place] - below[place]
        return moved

    def solve(self, z: FloatArray, free: BoolArray) -> FloatArray:
        """Return the unknowns at which the residuals are least; those not free are 0."""

        def whole(part: FloatArray) -> FloatArray:
            every = np.zeros(self.unknowns.count)
            every[free] = part
            return every

        def residuals(part: FloatArray) -> FloatArray:
            return self.residuals(whole(part))

        def slopes(part: FloatArray) -> FloatArray:
            return self.slopes(whole(part), free)

        found = least_squares(
            residuals,
            np.clip(z, self.low + _INSIDE, self.high - _INSIDE)[free],
            jac=slopes,
            bounds=(self.low[free], self.high[free]),
            xtol=_TOLERANCE,
            ftol=_TOLERANCE,
            max_nfev=_MOST_EVALUATIONS,
        )
        return whole(np.asarray(found.x, dtype=np.float64))

    def learn_errors(self, z: FloatArray) -> None:
        """Set the errors of each channel's rows by what its differences show.

        A row that cannot be compared with the run has an infinite one.
        """
        records = self.unknowns.records(z)
        for number, row in enumerate(self.rows):
            assumed = row.assumed_errors(records, FITTED)
            compared = row.comparable(records, FITTED)
            scaled = row.differences(records, FITTED) / assumed
            scale = error_scale(scaled[compared & row.active(records, FITTED)])
            self.errors[number] = np.where(compared, scale * assumed, np.inf)

    def posterior(self, z: FloatArray) -> Posterior:
        """Return the information at some unknowns, all of them free."""
        slopes = self.slopes(z, np.ones(self.unknowns.count, dtype=bool))
        return Posterior(slopes.T @ slopes, len(self.unknowns.names))

    def misfit(self, z: FloatArray) -> float:
        """Return the root mean square of the differences over the instruments' assumed errors."""
        records = self.unknowns.records(z)
        scaled = [
            (row.differences(records, FITTED) / row.assumed_errors(records, FITTED))[
                row.comparable(records, FITTED)
            ]
            for row in self.rows
        ]
        return float(np.sqrt(np.mean(np.concatenate(scaled) ** 2)))

    def search(self) -> tuple[FloatArray, BoolArray, Posterior]:
        """Return the best unknowns, which of them were free, and what is known there."""
        every = np.ones(self.unknowns.count, dtype=bool)
        z = self.solve(np.zeros(self.unknowns.count), every)
        closest = z
        self.learn_errors(z)
        z = self.solve(z, every)
        self.learn_errors(z)
        posterior = self.posterior(z)
        free = every.copy()
        free[: len(self.unknowns.names)] = identified(posterior)
        if not free.all():
            z = self.solve(posterior.with_fixed(z, free), free)
            self.learn_errors(z)
            posterior = self.posterior(z)
        if self.misfit(z) > _WORTH_KEEPING * self.misfit(closest):
            # Errors that stay alike for hours make the log look as if it said nothing, and yet it
            # is met far better: that is kept, with intervals as wide as the errors make them.
            z, free = closest, every
            self.learn_errors(z)
            posterior = self.posterior(z)
        return z, free, posterior
