"""The ledgers of a record: heat in against heat stored, watt-hours in against out, and water."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.simulation import channels as ch

FloatArray = npt.NDArray[np.float64]


def heat_closes(record: FloatArray) -> None:
    into = [ch.SOLAR_GAIN, ch.ENVELOPE, ch.AIR_EXCHANGE, ch.GAINS, ch.HEATING]
    left = record[:, into].sum(axis=1) - record[:, ch.SENSIBLE] - record[:, ch.STORED_HEAT_CHANGE]
    passed = np.abs(record[:, [*into, ch.SENSIBLE, ch.STORED_HEAT_CHANGE]]).sum(axis=1)
    assert (np.abs(left) <= 1e-6 * passed + 1e-6).all()


def electricity_closes(record: FloatArray, stored_wh: float, hours: float) -> None:
    sources = record[:, [ch.SOLAR_USED, ch.ALTERNATOR, ch.SHORE, ch.DISCHARGE, ch.UNMET]].sum(
        axis=1
    )
    uses = record[
        :, [ch.LOAD_POWER, ch.STANDING_POWER, ch.COOLER_POWER, ch.HEATER_POWER, ch.CHARGE]
    ].sum(axis=1)
    assert sources == pytest.approx(uses, rel=1e-6, abs=1e-6)
    solar = record[:, ch.SOLAR_USED] - record[:, ch.SOLAR]
    assert (solar <= 1e-6).all()
    net = record[:, ch.CHARGE] - record[:, ch.DISCHARGE] - record[:, ch.BATTERY_LOSS]
    change = np.diff(record[:, ch.STORED], prepend=stored_wh)
    through = record[:, ch.CHARGE] + record[:, ch.DISCHARGE]
    assert (np.abs(net * hours - change) <= 1e-6 * through * hours + 1e-6).all()


def water_closes(record: FloatArray, hours: float) -> None:
    """Check the kilograms of water from the end of the first interval on."""
    flows = record[:, [ch.WATER_EXCHANGE, ch.WATER_GAINS, ch.WATER_COIL, ch.WATER_DEW]]
    exchange, gains, coil, dew = flows.T
    stored = record[:, ch.WATER_STORED]
    assert (stored >= 0.0).all()
    left = (exchange + gains - coil - dew)[1:] * hours * 3600.0 - np.diff(stored)
    passed = np.abs(flows[1:]).sum(axis=1) * hours * 3600.0 + stored[1:]
    assert (np.abs(left) <= 1e-6 * passed).all()
    # What is left over leaves as dew; none comes from nowhere.
    assert (dew >= -1e-9 * (np.abs(exchange) + gains + coil) - 1e-15).all()
