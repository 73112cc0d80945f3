"""The ledgers close to 1e-6, hour by hour, on every rig that stands beside published values."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.projection import project
from noonhold.scenario import Comfort, ComfortMeasure, Operation, Scenario, Start
from noonhold.simulation import channels as ch
from tests.engine.made import summer
from tests.properties.ledgers import electricity_closes, heat_closes, water_closes
from tests.published import test_field_practice as field
from tests.published import test_mechanical_cooling_projection as cooling
from tests.published import test_vdi_6007 as vdi
from tests.published.cabins import run
from tests.published.standard_140 import year
from tests.published.standard_140_documents import CASES
from tests.published.test_parked_vehicle import CAR, PLACE

FloatArray = npt.NDArray[np.float64]
STANDARD_140_WH = 1e6  # what its batteries hold, full at the start


def closes(record: FloatArray, stored_wh: float, hours: float = 1.0) -> None:
    heat_closes(record)
    electricity_closes(record, stored_wh, hours)
    water_closes(record, hours)


@pytest.mark.parametrize("case", CASES)
def test_a_year_of_standard_140(case: str) -> None:
    record = year(case)
    closes(record, STANDARD_140_WH)
    # Over the year too: what came in against what the cabin holds more at its end.
    into = [ch.SOLAR_GAIN, ch.ENVELOPE, ch.AIR_EXCHANGE, ch.GAINS, ch.HEATING]
    left = record[:, into].sum() - record[:, [ch.SENSIBLE, ch.STORED_HEAT_CHANGE]].sum()
    assert abs(left) <= 1e-6 * np.abs(record[:, into]).sum()


@pytest.mark.parametrize("case", cooling.CASES, ids=lambda case: case.name)
def test_mechanical_cooling(case: cooling.Case) -> None:
    closes(run(cooling.document(case)), 1e6)


@pytest.mark.parametrize("case", vdi.CASES)
def test_vdi_6007(case: str) -> None:
    closes(run(vdi.request(vdi.CASES[case])), 1e6)


def test_a_day_in_the_field(checkout: Path) -> None:
    day = field.projected(field.document(checkout))
    for record in (day.record, day.uncooled):
        closes(record, 0.45 * field.USABLE_WH, 1.0 / 12.0)


def test_a_parked_car() -> None:
    scenario = Scenario(PLACE, Operation(22.0), Comfort(ComfortMeasure.AIR, 27.0), Start(0.5))
    done = project(CAR, scenario, summer(PLACE, utc_offset_h=-8.0))
    closes(done.record, 0.5 * CAR.battery.usable_energy_wh)
