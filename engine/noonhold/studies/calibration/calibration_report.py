"""The answer of a calibration as plain values."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from noonhold.studies.calibration.calibration_study import Calibration
from noonhold.studies.calibration.factors import KINDS
from noonhold.studies.calibration.field_log import GRID_S
from noonhold.studies.calibration.identifiability import CONFIDENCE, WIDTH_RATIO, Estimate
from noonhold.studies.calibration.log_prediction import LogPrediction
from noonhold.studies.calibration.log_residuals import ChannelFit
from noonhold.studies.plain_values import plain
from noonhold.verdict import CAUTIONS

_LOG_CAUTION: Final = (
    "The factors fit one log of one rig under that log's weather; what differed then from what was"
    " stated (a door left open, a shadow, a wrong set point) is in them too."
)


def calibration_report(calibration: Calibration) -> dict[str, Any]:
    """Return an answer as dicts, lists, texts, numbers and nulls.

    Parameters
    ----------
    calibration : Calibration
        From :func:`noonhold.studies.calibration.calibration_study.calibrate`.

    Returns
    -------
    dict
        ``factors``, ``not_identified``, ``correlations``, ``starts``, ``fitted`` and ``held_out``
        by channel with and without the factors, ``notes`` and ``cautions``. A value that does not
        exist is ``None``.
    """
    names = [estimate.name for estimate in calibration.estimates]
    rows = calibration.correlations
    return {
        "cautions": [*CAUTIONS, _LOG_CAUTION],
        "confidence": CONFIDENCE,
        "identified_up_to_width_ratio": WIDTH_RATIO,
        "interval_s": GRID_S,
        "intervals": calibration.intervals,
        "factors": [_factor(estimate) for estimate in calibration.estimates],
        "not_identified": [e.name for e in calibration.estimates if not e.identified],
        "correlations": {
            name: {other: plain(rows[i, j]) for j, other in enumerate(names)}
            for i, name in enumerate(names)
        },
        "starts": [plain(start) for start in calibration.starts],
        "fitted": _channels(calibration.fitted, calibration.prior_fitted),
        "held_out": _channels(calibration.held_out, calibration.prior_held_out),
        "notes": list(calibration.notes),
    }


def prediction_report(prediction: LogPrediction) -> dict[str, Any]:
    """Return the prediction of a second log as plain values.

    Parameters
    ----------
    prediction : LogPrediction
        From :func:`noonhold.studies.calibration.log_prediction.predict_log`.

    Returns
    -------
    dict
        ``confidence``, ``channels`` with a row each of ``ends`` (UTC), ``predicted``, ``low``,
        ``high`` and ``logged``, and ``notes``.
    """
    return {
        "confidence": CONFIDENCE,
        "channels": [
            {
                "channel": each.channel,
                "unit": each.unit,
                "rows": len(each.logged),
                "covered_fraction": plain(each.covered()),
                "rmse": plain(each.rmse()),
                "ends": [f"{end}Z" for end in np.datetime_as_string(each.ends, unit="s").tolist()],
                "predicted": plain(each.predicted),
                "low": plain(each.low),
                "high": plain(each.high),
                "logged": plain(each.logged),
            }
            for each in prediction.channels
        ],
        "notes": list(prediction.notes),
    }


def _factor(estimate: Estimate) -> dict[str, Any]:
    """Return one factor, with the reason of its prior."""
    document: dict[str, Any] = plain(estimate)
    document["prior_reason"] = KINDS[estimate.name].reason
    document["reason"] = estimate.reason or None
    return document


def _channels(
    after: tuple[ChannelFit, ...], before: tuple[ChannelFit, ...]
) -> list[dict[str, Any]]:
    """Return how each channel is met, and how the rig as described meets it."""
    rows = []
    for fit, prior in zip(after, before, strict=True):
        row: dict[str, Any] = plain(fit)
        row["rmse_as_described"] = plain(prior.rmse)
        row["bias_as_described"] = plain(prior.bias)
        rows.append(row)
    return rows
