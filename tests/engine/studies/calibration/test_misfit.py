"""A log that no factors meet to its instruments' errors: the fit is kept, the misfit reported."""

from dataclasses import replace

import numpy as np
import pytest

from noonhold.studies.calibration.calibration_study import Calibration, calibrate
from noonhold.studies.calibration.log_residuals import error_scale
from tests.engine.studies.field_logs import SETUP, Noise, synthetic_log

CABIN = "cabin_temperature_c"


@pytest.fixture(scope="module")
def misfitting() -> Calibration:
    """Return the fit of a cabin that is far worse than described, with a slow error beside it.

    Twice the conductance, half the contents; the error of the model is a wave of 1.2 K over ten
    hours, as of something that stores heat and stands in no document.
    """
    log = synthetic_log({"shell_conductance": 1.6, "contents_capacity": 0.5}, 3, Noise())
    hours = log.seconds() / 3600.0
    cabin = log.columns[CABIN] + 1.2 * np.sin(2.0 * np.pi * hours / 10.0)
    return calibrate(SETUP, replace(log, columns={**log.columns, CABIN: cabin}))


def rmse(fits: tuple) -> float:
    (found,) = [fit.rmse for fit in fits if fit.channel == CABIN]
    assert found is not None
    return float(found)


def test_a_fit_that_meets_the_log_far_better_is_kept(misfitting: Calibration) -> None:
    described, fitted = rmse(misfitting.prior_fitted), rmse(misfitting.fitted)
    assert fitted < 0.6 * described
    by_name = {e.name: e for e in misfitting.estimates}
    shell = by_name["shell_conductance"]
    assert shell.identified
    assert shell.low < 1.6 < shell.high
    assert misfitting.fitted_rig != misfitting.rig


def test_the_misfit_is_told_with_its_size(misfitting: Calibration) -> None:
    (note,) = [note for note in misfitting.notes if "misfits" in note]
    assert CABIN in note
    assert f"{rmse(misfitting.fitted):.2g} K" in note


def test_one_long_wave_does_not_multiply_errors_by_hundreds() -> None:
    wave = 5.0 * np.sin(np.linspace(0.0, np.pi, 120))
    spread = np.sqrt(np.mean(wave**2))
    # Neighbours correlated by 0.98 and more: sqrt(1.98 / 0.02), and nothing on top of it.
    assert error_scale(wave) == pytest.approx(spread * np.sqrt(99.0), rel=1e-2)
