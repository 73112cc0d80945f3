"""From a field log to a better rig: factors by least squares with priors, and what they are worth.

The log is run through the same time loop as any projection. What is sought are the logarithms of
a few factors (`calibration.factors`); what is compared are cabin temperature, state of
charge, and the watts of arrays and cooler. Everything is done in two passes: the first finds the
factors with assumed errors of the instruments, the second with the errors the first one left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.optimize import least_squares

from noonhold.errors import DocumentError, Fault
from noonhold.rig import Rig
from noonhold.studies.calibration.factors import (
    ARRAY_POWER,
    KINDS,
    SHELL_CONDUCTANCE,
    SOLAR_GAIN,
    FactorLimits,
    applicable,
    evenly_divided,
    factor_limits,
    scaled_rig,
)
from noonhold.studies.calibration.field_log import (
    GRID_S,
    BoolArray,
    FieldLog,
    FloatArray,
    log_pieces,
)
from noonhold.studies.calibration.identifiability import Estimate, Posterior, estimates, identified
from noonhold.studies.calibration.log_channels import FITTED, HELD_OUT, ChannelRows, channel_rows
from noonhold.studies.calibration.log_residuals import ChannelFit, channel_fits, error_scale
from noonhold.studies.calibration.log_runs import LogModel, LogSetup
from noonhold.studies.calibration.log_sun import log_findings, sun_signal

# Standard errors of a piece's start: of cabin and contents [K], for which a single reading of the
# air stands, and the contents may well be a kelvin or two from that; and of the charge [1].
START_WIDTHS: Final = np.array([1.5, 0.02])
# Of a sky temperature that follows from humidity and cloud [K]: the published emissivities differ
# by 10 to 20 W/m2 (from memory).
SKY_WIDTH_K: Final = 3.0
# Of the logarithm of a clear sky's light, where none was measured: turbidity differs from its
# table by as much (from memory).
LIGHT_WIDTH: Final = 0.05

# To either side for the slopes, of a prior width: wide enough that a cooler's switching, which
# jumps from one run to the next, does not pass for a slope, and narrow beside what a log leaves
# open.
_STEP: Final = 0.1
_WIDEST_START: Final = 4.0  # prior widths
_INSIDE: Final = 1e-6
_TOLERANCE: Final = 1e-5
_MOST_EVALUATIONS: Final = 30
_WORTH_KEEPING: Final = 1.5  # a misfit so many times that of the first search loses too much of it
_MISFIT: Final = 2.0  # times the instruments' error, from which on the model is said to misfit


@dataclass(frozen=True)
class FitOptions:
    """How a log is fitted.

    Parameters
    ----------
    factors : tuple of str
        Those sought; empty for all that the rig has something for.
    prior_widths : mapping of str to float
        Over those of `FACTORS`. [standard deviation of the logarithm]
    held_out_fraction : float
        Last part of the log that is predicted and not fitted.
    settling_h : float
        First part of every stretch that is run and not compared, while walls and contents find
        their temperatures. [h]
    accepted : tuple of str
        Names of log faults (`log_checks.LogFault`) that the sender knows of
        and accepts.
    """

    factors: tuple[str, ...] = ()
    prior_widths: Mapping[str, float] | None = None
    held_out_fraction: float = 0.25
    settling_h: float = 1.0
    accepted: tuple[str, ...] = ()


@dataclass(frozen=True)
class Calibration:
    """What a log says about its rig.

    Parameters
    ----------
    rig : Rig
        As it was described.
    fitted_rig : Rig
        To use from then on: factors that the log identifies applied, the others left.
    estimates : tuple of Estimate
        One a factor sought.
    correlations : numpy.ndarray, shape (k, k)
        Of the factors' logarithms once the log is seen, in the order of ``estimates``.
    fitted : tuple of ChannelFit
        How the fitted part of the log is met, a channel each; and before the fit.
    held_out : tuple of ChannelFit
        How the rest is predicted.
    prior_fitted, prior_held_out : tuple of ChannelFit
        The same with the rig as it was described.
    intervals : int
        Intervals of the grid that were run.
    notes : tuple of str
        What was assumed, bridged, cut or accepted.
    """

    rig: Rig
    fitted_rig: Rig
    estimates: tuple[Estimate, ...]
    correlations: FloatArray
    fitted: tuple[ChannelFit, ...]
    held_out: tuple[ChannelFit, ...]
    prior_fitted: tuple[ChannelFit, ...]
    prior_held_out: tuple[ChannelFit, ...]
    intervals: int
    notes: tuple[str, ...]


class _Fit:
    """A log and its priors. Unknowns are in units of their prior widths.

    The factors' logarithms stand first, then the error of the sky's temperature, and of its light
    where that was not logged, then those of every piece's first temperature and charge: none of
    them was measured well enough to be taken for truth.

    A run is what a search costs. Slopes at one point are therefore kept before they are scaled by
    the errors of the rows: a search with new errors begins where the one before it ended.
    """

    def __init__(
        self,
        model: LogModel,
        rows: tuple[ChannelRows, ...],
        widths: Mapping[str, float],
        limits: Mapping[str, FactorLimits],
    ) -> None:
        self.model, self.rows = model, rows
        self.names = tuple(widths)
        self.widths = np.array([widths[name] for name in self.names])
        self.starts_at = len(self.names) + (1 if model.lit else 2)
        self.unknowns = self.starts_at + 2 * len(model.pieces)
        self.high = np.full(self.unknowns, _WIDEST_START)
        self.low = -self.high
        for number, name in enumerate(self.names):
            self.low[number] = math.log(limits[name].lower) / widths[name]
            self.high[number] = math.log(limits[name].upper) / widths[name]
        records = self.records(np.zeros(self.unknowns))
        self.errors = [
            np.where(row.comparable(records, FITTED), row.assumed_errors(records, FITTED), np.inf)
            for row in rows
        ]
        self._point = np.zeros(0)
        self._slopes: dict[int, FloatArray] = {}

    def records(self, z: FloatArray) -> list[FloatArray]:
        """Return the runs at some unknowns."""
        count = len(self.names)
        logs = z[:count] * self.widths
        factors = {name: math.exp(value) for name, value in zip(self.names, logs, strict=True)}
        if not self.model.lit:
            light = math.exp(LIGHT_WIDTH * float(z[count + 1]))
            for name in (SOLAR_GAIN, ARRAY_POWER):
                factors[name] = factors.get(name, 1.0) * light
        starts = z[self.starts_at :].reshape(-1, 2) * START_WIDTHS
        return self.model.run(factors, starts, float(z[count]) * SKY_WIDTH_K)

    def differences(self, z: FloatArray) -> FloatArray:
        """Return modelled less logged of all channels."""
        records = self.records(z)
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
        own = np.eye(self.unknowns)[:, free]
        return np.vstack([by_unknown / np.concatenate(self.errors)[:, None], own])

    def _slope(self, z: FloatArray, place: int) -> FloatArray:
        """Return the derivative of the differences by one unknown."""
        below, above = z.copy(), z.copy()
        # Beyond its limits a rig cannot be.
        below[place] = max(z[place] - _STEP, self.low[place])
        above[place] = min(z[place] + _STEP, self.high[place])
        moved: FloatArray = self.differences(above) - self.differences(below)
        moved /= above[place] - below[place]
        return moved

    def solve(self, z: FloatArray, free: BoolArray) -> FloatArray:
        """Return the unknowns at which the residuals are least; those not free are 0."""

        def whole(part: FloatArray) -> FloatArray:
            every = np.zeros(self.unknowns)
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
        records = self.records(z)
        for number, row in enumerate(self.rows):
            assumed = row.assumed_errors(records, FITTED)
            comparable = row.comparable(records, FITTED)
            scaled = row.differences(records, FITTED) / assumed
            scale = error_scale(scaled[comparable & row.active(records, FITTED)])
            self.errors[number] = np.where(comparable, scale * assumed, np.inf)

    def posterior(self, z: FloatArray) -> Posterior:
        """Return the information at some unknowns, all of them free."""
        slopes = self.slopes(z, np.ones(self.unknowns, dtype=bool))
        return Posterior(slopes.T @ slopes, len(self.names))

    def misfit(self, z: FloatArray) -> float:
        """Return the root mean square of the differences over the instruments' assumed errors."""
        records = self.records(z)
        scaled = [
            (row.differences(records, FITTED) / row.assumed_errors(records, FITTED))[
                row.comparable(records, FITTED)
            ]
            for row in self.rows
        ]
        return float(np.sqrt(np.mean(np.concatenate(scaled) ** 2)))

    def search(self) -> tuple[FloatArray, BoolArray, Posterior]:
        """Return the best unknowns, which of them were free, and what is known there."""
        every = np.ones(self.unknowns, dtype=bool)
        z = self.solve(np.zeros(self.unknowns), every)
        closest = z
        self.learn_errors(z)
        z = self.solve(z, every)
        self.learn_errors(z)
        posterior = self.posterior(z)
        free = every.copy()
        free[: len(self.names)] = identified(posterior)
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


def calibrate(setup: LogSetup, log: FieldLog, options: FitOptions | None = None) -> Calibration:
    """Fit a rig's uncertain numbers to a field log.

    Parameters
    ----------
    setup : LogSetup
        The rig and its circumstances.
    log : FieldLog
        What was written down.

    Returns
    -------
    Calibration
        Factors with their intervals, the rig to use, and how well it meets the log.

    Raises
    ------
    DocumentError
        With every fault of the log that was not accepted, by name and rows.

    Notes
    -----
    Minimised is ``Σ (e / s)² + Σ (x / w)²``: errors ``e`` of each channel over their scale ``s``,
    and logarithms ``x`` of the factors over their prior width ``w``: the maximum of a posterior
    with independent normal errors and log-normal priors about 1 [1]_. The scale of a channel is
    the spread of its residuals times ``sqrt((1 + ρ) / (1 - ρ))`` with their lag-one
    autocorrelation ρ, so that a run of like errors counts as the few independent ones that it
    is worth [2]_, and more where the rows are few. The covariance is the inverse of
    ``J^T J + W^-2`` at the minimum.

    Where no irradiance was logged its level is uncertain, and with it the sun on shell and arrays.
    A factor whose width the log narrows by less than three tenths is not identified: it is fixed
    at 1, the others are fitted again, and its prior variance is carried into their intervals.
    Where that would meet the log more than half as badly again as the first search did, the first
    search's factors are kept, all of them, with the wide intervals that its errors make; a note
    says by how much the model misfits.

    References
    ----------
    .. [1] A. Tarantola, "Inverse Problem Theory", SIAM, 2005, chapter 3,
       DOI 10.1137/1.9780898717921 (from memory).
    .. [2] G. V. Bayley, J. M. Hammersley, "The effective number of independent observations in
       an autocorrelated time series", Suppl. J. R. Stat. Soc. 8 (1946) 184,
       DOI 10.2307/2983560 (from memory).
    """
    options = options or FitOptions()
    accepted = _accepted(setup, log, options)
    pieces = log_pieces(log)
    if not pieces:
        raise DocumentError.single(
            "/log/columns",
            "missing_channel: outdoor and cabin temperature never stand together for two hours",
        )
    widths = _widths(setup.rig, options)
    limits = factor_limits(setup.rig, widths)
    least = limits[SHELL_CONDUCTANCE].lower if SHELL_CONDUCTANCE in limits else 1.0
    model = LogModel(replace(setup, rig=evenly_divided(setup.rig, least)), log, pieces)
    rows = channel_rows(model, options.held_out_fraction, options.settling_h)
    fit = _Fit(model, rows, widths, limits)
    z, free, posterior = fit.search()
    count = len(fit.names)
    found = estimates(fit.names, z[:count] * fit.widths, fit.widths, posterior, free, limits)
    before, after = model.run({}), fit.records(z)
    met = channel_fits(rows, after, FITTED)
    return Calibration(
        rig=setup.rig,
        fitted_rig=scaled_rig(setup.rig, {e.name: e.factor for e in found}),
        estimates=found,
        correlations=posterior.correlations(),
        fitted=met,
        held_out=channel_fits(rows, after, HELD_OUT),
        prior_fitted=channel_fits(rows, before, FITTED),
        prior_held_out=channel_fits(rows, before, HELD_OUT),
        intervals=sum(len(piece) for piece in pieces),
        notes=(*accepted, *_notes(setup, log, model), *_misfits(met, rows)),
    )


def _misfits(met: tuple[ChannelFit, ...], rows: tuple[ChannelRows, ...]) -> tuple[str, ...]:
    """Return where a fit misses the log by more than its instruments do, as notes."""
    notes = []
    for fit, row in zip(met, rows, strict=True):
        error = row.channel.error
        relative = row.channel.relative_error
        if relative or fit.rmse is None or fit.rmse <= _MISFIT * error:
            continue
        unit = "" if fit.unit == "1" else f" {fit.unit}"
        notes.append(
            f"the model misfits: {fit.channel} is met within {fit.rmse:.2g}{unit} (root mean"
            f" square), where its instrument explains {error:g}; the factors carry what the model"
            " lacks, and hold for weather and use like the log's"
        )
    return tuple(notes)


def _accepted(setup: LogSetup, log: FieldLog, options: FitOptions) -> tuple[str, ...]:
    """Raise what stands against a log; return what of it was accepted, as notes."""
    findings = log_findings(setup, log)
    against = [finding for finding in findings if finding.kind not in options.accepted]
    if against:
        raise DocumentError(finding.fault() for finding in against)
    return tuple(
        f"accepted: {finding.kind} in {finding.column}: {finding.message}" for finding in findings
    )


def _widths(rig: Rig, options: FitOptions) -> dict[str, float]:
    """Return the factors to look for with their prior widths, or what stands against them."""
    possible = applicable(rig)
    wanted = options.factors or possible
    faults = [
        Fault(f"/fit/factors/{number}", "the rig has nothing for this factor", name)
        for number, name in enumerate(wanted)
        if name not in possible
    ]
    if faults:
        raise DocumentError(faults)
    given = options.prior_widths or {}
    return {name: given.get(name, KINDS[name].prior_width) for name in possible if name in wanted}


def _notes(setup: LogSetup, log: FieldLog, model: LogModel) -> tuple[str, ...]:
    """Return what was assumed of the log."""
    notes = []
    bridged = sum(piece.bridged for piece in model.pieces)
    if bridged:
        notes.append(f"outdoor temperature was interpolated over {bridged * GRID_S // 60} minutes")
    if len(model.pieces) > 1:
        notes.append(
            f"the log was cut into {len(model.pieces)} pieces where outdoors or cabin is missing"
            " for more than three hours; each begins at its own readings"
        )
    signal = sun_signal(setup, log)
    if signal is None:
        notes.append("nothing in the log follows the sun: its clock could not be checked")
    if signal != "ghi":
        how = "a clear sky was assumed"
        if signal is not None:
            how = (
                "the clearest tenth of the array's bright hours was taken as a clear sky, and"
                " cloud for the rest from the array's power"
            )
        notes.append(f"no irradiance was logged: {how}")
    if "load_power_w" not in log.columns:
        notes.append("no loads were logged: those of the rig were taken")
    return tuple(notes)
