"""Ready means: the model is compiled, and a projection with a known ledger came out right."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from noonhold.documents import load_projection
from noonhold.projection import Projection
from noonhold.projection_result import run_projection
from noonhold.simulation import channels as ch
from noonhold.weather.catalogue import Catalogue
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.state.app_state import AppState

_LEDGER_TOLERANCE_W: Final = 1e-3
_CHARGE_TOLERANCE_WH: Final = 1e-3


class SelfCheckError(RuntimeError):
    """The model computes something that cannot be."""


def make_ready(state: AppState) -> None:
    """Compile the model, check it, and open the service.

    Parameters
    ----------
    state : AppState
        Becomes ready.

    Raises
    ------
    SelfCheckError
        Where the check fails; the service must not answer then.
    """
    document: dict[str, Any] = REQUESTS["own_hours"].document
    request = load_projection(document).value
    found = run_projection(request.rig, request.scenario, request.weather, Catalogue(()))
    check(found.projection)
    # Only now: compiling is no computation, and takes longer than any of them.
    state.gate.limit_s = state.settings.compute_s
    state.ready.set()


def check(projection: Projection) -> None:
    """Hold a projection to its ledgers and to the physical range.

    Raises
    ------
    SelfCheckError
        Naming what does not close.

    Notes
    -----
    Of every interval: power onto the bus equals power from it; the battery's energy changes by
    what went in less what went out and was lost; heat into the cabin equals heat stored.
    """
    row = projection.record.T
    bus = (
        row[ch.SOLAR_USED] + row[ch.ALTERNATOR] + row[ch.SHORE] + row[ch.DISCHARGE] + row[ch.UNMET]
        - row[ch.COOLER_POWER] - row[ch.HEATER_POWER] - row[ch.LOAD_POWER]
        - row[ch.STANDING_POWER] - row[ch.CHARGE]
    )  # fmt: skip
    hours = projection.weather.interval_s / 3600.0
    battery = projection.rig.battery
    first = projection.charge_at_start * battery.usable_energy_wh
    change = np.diff(row[ch.STORED], prepend=first)
    stored = change - hours * (row[ch.CHARGE] - row[ch.DISCHARGE] - row[ch.BATTERY_LOSS])
    heat = (
        row[ch.ENVELOPE] + row[ch.AIR_EXCHANGE] + row[ch.GAINS] + row[ch.SOLAR_GAIN]
        + row[ch.HEATING] - row[ch.SENSIBLE] - row[ch.STORED_HEAT_CHANGE]
    )  # fmt: skip
    for name, rest, most in (
        ("electricity", bus, _LEDGER_TOLERANCE_W),
        ("the battery", stored, _CHARGE_TOLERANCE_WH),
        ("heat", heat, _LEDGER_TOLERANCE_W),
    ):
        if not np.abs(rest).max() <= most:
            raise SelfCheckError(f"the ledger of {name} does not close: {np.abs(rest).max():g}")
