"""A projection as a Dataset: names, units, values."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from noonhold.dataset import VARIABLES, to_dataset
from noonhold.projection import project
from noonhold.quantities import quantity
from noonhold.simulation import channels as ch
from tests.engine.made import PLACE, rig, scene, summer


def test_every_variable_carries_its_unit_and_is_a_number() -> None:
    done = project(rig(), scene(), summer())
    data = to_dataset(done)
    assert list(data.data_vars) == list(VARIABLES)
    for name, variable in data.data_vars.items():
        assert variable.dims == ("time",)
        assert variable.attrs["units"] == quantity(str(name)).unit
        assert np.isfinite(variable.to_numpy()).all(), name


def test_values_are_the_records() -> None:
    done = project(rig(), scene(), summer())
    data = to_dataset(done)
    assert (data["cabin_temperature_c"] == done.record[:, ch.CABIN]).all()
    assert (data["uncooled_cabin_temperature_c"] == done.uncooled[:, ch.CABIN]).all()
    middle = (done.record[:, ch.CABIN] + done.record[:, ch.RADIANT]) / 2.0
    assert data["operative_temperature_c"].to_numpy() == pytest.approx(middle)
    assert data["state_of_charge"].to_numpy() == pytest.approx(done.record[:, ch.STORED] / 3000.0)
    assert data["cabin_relative_humidity"].to_numpy().max() <= 100.0
    assert str(data["time"].to_numpy()[0]).startswith("2026-07-15T09:00:00")
    assert str(data["clock_time"].to_numpy()[0]).startswith("2026-07-15T00:00:00")
    assert set(data["utc_offset_s"].to_numpy().tolist()) == {-9 * 3600}


def test_time_rises_where_the_clock_reads_an_hour_twice() -> None:
    place = replace(PLACE, timezone="America/Denver")
    weather = summer(place, first=date(2026, 11, 1), days=2, utc_offset_h=-7.0)
    data = to_dataset(project(rig(), scene(place=place), weather))
    time = data["time"].to_numpy()
    assert (np.diff(time) == np.timedelta64(1, "h")).all()
    assert data.indexes["time"].is_unique
    reading = data["clock_time"].to_numpy()
    assert len(np.unique(reading)) == len(reading) - 1
    back = reading - data["utc_offset_s"].to_numpy().astype("timedelta64[s]")
    assert (back == data["time"].to_numpy()).all()
