"""From a field log to a better rig: factors by least squares with priors, and what they are worth.

The log is run through the same time loop as any projection. What is sought are the logarithms of
a few factors (`calibration.factors`); what is compared are cabin temperature, state of
charge, and the watts of arrays and cooler. Everything is done in two passes: the first finds the
factors with assumed errors of the instruments, the second with the errors the first one left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from noonhold.errors import DocumentError, Fault
from noonhold.rig import Rig
from noonhold.studies.calibration.factors import (
    KINDS,
    SHELL_CONDUCTANCE,
    applicable,
    evenly_divided,
    factor_limits,
    scaled_rig,
)
from noonhold.studies.calibration.field_log import (
    GRID_S,
    FieldLog,
    FloatArray,
    log_pieces,
)
from noonhold.studies.calibration.identifiability import Estimate, estimates
from noonhold.studies.calibration.log_channels import FITTED, HELD_OUT, ChannelRows, channel_rows
from noonhold.studies.calibration.log_fit import LogFit
from noonhold.studies.calibration.log_residuals import ChannelFit, channel_fits, row_spreads
from noonhold.studies.calibration.log_runs import LogModel, LogSetup
from noonhold.studies.calibration.log_sun import log_findings, sun_signal
from noonhold.studies.calibration.log_unknowns import (
    Learned,
    StartEstimate,
    Unknowns,
    start_estimates,
)

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
    starts : tuple of StartEstimate
        What the log says of the first state of each of its pieces.
    learned : Learned
        What a prediction of another log needs: factors, how sure they are, and how far rows lie
        from the run.
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
    starts: tuple[StartEstimate, ...]
    learned: Learned
    notes: tuple[str, ...]


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
    accepted = accepted_findings(setup, log, options.accepted)
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
    fit = LogFit(Unknowns(model, widths), rows, limits)
    z, free, posterior = fit.search()
    unknowns = fit.unknowns
    found = estimates(unknowns.names, unknowns.logs(z), unknowns.widths, posterior, free, limits)
    before, after = model.run({}), unknowns.records(z)
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
        starts=start_estimates(unknowns, z, posterior),
        learned=Learned(
            unknowns.widths_by_name(),
            z[: len(unknowns.names)],
            posterior.covariance_with_fixed(free),
            row_spreads(rows, after),
        ),
        notes=(*log.notes, *accepted, *_notes(setup, log, model), *_misfits(met, rows)),
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
            f"the model misfits: the fitted rig misses {fit.channel} by {fit.rmse:.2g}{unit} (root"
            f" mean square), {fit.rmse / error:.1f} times its instrument's error of"
            f" {error:g}{unit}; the factors make up for what the model lacks, so they hold for"
            " weather and use like the log's"
        )
    return tuple(notes)


def accepted_findings(setup: LogSetup, log: FieldLog, accepted: tuple[str, ...]) -> tuple[str, ...]:
    """Raise what stands against a log; return what of it was accepted, as notes."""
    findings = log_findings(setup, log)
    against = [finding for finding in findings if finding.kind not in accepted]
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
