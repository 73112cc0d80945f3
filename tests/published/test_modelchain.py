"""A year of one array on real weather, against pvlib's ModelChain.

Three typical years: Greensboro (TMY3, shipped with pvlib), Denver and Las Vegas (NREL TMY3 as EPW).
ModelChain reads the files by pvlib's own readers and places the sun by the full algorithm. With the
same models on both sides (Perez, Fresnel reflection, Faiman cell, PVWatts) four things still part
the two, all below:

- ModelChain takes the sun at the label it is given. A label is an end or a start of the hour, so it
  is handed mid-hour times here; the last test shows what the labels themselves would do.
- In the hours of sunrise and sunset we take the sun in the middle of its lit part, ModelChain in
  the middle of the hour, where it may still be down: about 0.1 % of the plane's irradiation.
- ModelChain takes air temperature and wind as they stand in the row, an observation at one end of
  the hour; we take the mean of the hour's two ends: about 0.2 % of the energy.
- ModelChain loses by reflection on the direct beam only, we on all light: circumsolar light as the
  beam, sky and ground by their own factors. That is 1 to 2 % of the energy on a tilted plane and
  up to 3 % on an upright one. ModelChain has one number for all diffuse light (``FD``, 1 unless
  given); with our factor for the sky there, the two agree within 1 % again.
"""

import gzip
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from pvlib.location import Location
from pvlib.modelchain import ModelChain
from pvlib.pvsystem import Array, FixedMount, PVSystem

from noonhold.electricity.arrays import array_power, cell_temperature
from noonhold.electricity.module_glass import array_angular_factor, array_diffuse_factors
from noonhold.solar.sun import solar_geometry
from noonhold.solar.transposition import surface_irradiance
from noonhold.weather.weather_files import read_weather

TILTED = 30.0
PLANES = {
    "roof": (0.0, 180.0),
    "south": (TILTED, 180.0),
    "east": (TILTED, 90.0),
    "west": (TILTED, 270.0),
    "wall": (90.0, 180.0),
}
RATED_W, PER_KELVIN, ALBEDO = 400.0, -0.0035, 0.2
FAIMAN = {"u0": 25.0, "u1": 6.84}
HALF_HOUR = pd.Timedelta(minutes=30)

GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
DENVER = "USA_CO_Denver.Intl.AP.725650_TMY3.epw.gz"
LAS_VEGAS = "USA_NV_Las.Vegas-McCarran.Intl.AP.723860_TMY3.epw.gz"


@dataclass(frozen=True)
class Year:
    """A year on one plane: irradiation in Wh/m2, energy in Wh."""

    irradiation: float
    energy: float


@dataclass(frozen=True)
class Station:
    path: Path
    rows: pd.DataFrame
    location: Location
    to_middle: pd.Timedelta

    def by_modelchain(self, plane: str, shift: pd.Timedelta, diffuse: float = 1.0) -> Year:
        tilt, azimuth = PLANES[plane]
        module = {"pdc0": RATED_W, "gamma_pdc": PER_KELVIN, "FD": diffuse}
        array = Array(
            FixedMount(tilt, azimuth),
            albedo=ALBEDO,
            module_parameters=module,
            temperature_model_parameters=FAIMAN,
        )
        chain = ModelChain(
            PVSystem(arrays=[array], inverter_parameters={"pdc0": 10.0 * RATED_W}),
            self.location,
            dc_model="pvwatts",
            ac_model="pvwatts",
            aoi_model="physical",
            spectral_model="no_loss",
            temperature_model="faiman",
            losses_model="no_loss",
            transposition_model="perez",
        )
        chain.run_model(self.rows.set_axis(self.rows.index + shift))
        plane_of_array = chain.results.total_irrad["poa_global"]
        return Year(float(plane_of_array.sum()), float(chain.results.dc.sum()))

    def by_engine(self, plane: str, all_light_reflects: bool) -> Year:
        tilt, azimuth = PLANES[plane]
        table = read_weather(self.path)
        site = table.site
        geometry = solar_geometry(
            table.starts() - np.timedelta64(round(3600 * site.utc_offset_h), "s"),
            table.interval_s,
            site.latitude,
            site.longitude,
            site.elevation_m,
        )
        light = surface_irradiance(
            geometry, table.ghi, table.dni, table.dhi, [tilt], [azimuth], ALBEDO
        )
        passed = array_angular_factor(light.cos_incidence)
        if all_light_reflects:
            sky, ground = array_diffuse_factors([tilt])
            effective = light.beam * passed + light.sky * sky + light.ground * ground
        else:  # as ModelChain: only what is direct
            effective = light.total - table.dni[:, None] * light.cos_incidence * (1.0 - passed)
        air = 0.5 * (table.temp_air + table.instants_at_start("temp_air"))
        wind = 0.5 * (table.wind_speed + table.instants_at_start("wind_speed"))
        power = [
            array_power(
                RATED_W,
                effective[i, 0],
                cell_temperature(light.total[i, 0], air[i], wind[i], FAIMAN["u0"], FAIMAN["u1"]),
                PER_KELVIN,
                0.0,
            )
            for i in range(len(table))
        ]
        return Year(float(light.total.sum()), float(np.sum(power)))


@pytest.fixture(scope="module", params=["Greensboro", "Denver", "Las Vegas"])
def station(request: pytest.FixtureRequest, checkout: Path) -> Station:
    if request.param == "Greensboro":
        path = GREENSBORO
        rows, head = pvlib.iotools.read_tmy3(path, coerce_year=2019, map_variables=True)
        to_middle = -HALF_HOUR  # the reader keeps the file's labels, ends of the hours
    else:
        name = DENVER if request.param == "Denver" else LAS_VEGAS
        path = checkout / "tests" / "data" / "weather" / name
        with gzip.open(path, "rt") as lines:
            rows, head = pvlib.iotools.read_epw(lines, coerce_year=2019)
        to_middle = HALF_HOUR  # the reader moves the labels to the hours' starts
    location = Location(head["latitude"], head["longitude"], altitude=head["altitude"])
    columns = ["ghi", "dni", "dhi", "temp_air", "wind_speed"]
    return Station(path, rows[columns], location, to_middle)


@pytest.mark.parametrize("plane", PLANES)
def test_irradiation_and_energy_with_the_same_models(station, plane):
    theirs = station.by_modelchain(plane, station.to_middle)
    ours = station.by_engine(plane, all_light_reflects=False)
    assert ours.irradiation == pytest.approx(theirs.irradiation, rel=0.002)
    assert ours.energy == pytest.approx(theirs.energy, rel=0.005)


@pytest.mark.parametrize("plane", PLANES)
def test_energy_with_reflection_of_diffuse_light_on_both_sides(station, plane):
    (sky,), _ = array_diffuse_factors([PLANES[plane][0]])
    without = station.by_modelchain(plane, station.to_middle)
    theirs = station.by_modelchain(plane, station.to_middle, diffuse=float(sky))
    ours = station.by_engine(plane, all_light_reflects=True)
    assert ours.energy == pytest.approx(theirs.energy, rel=0.01)
    assert 0.965 < ours.energy / without.energy < 0.995  # what the diffuse light loses


@pytest.mark.parametrize("plane", ["east", "west"])
def test_sun_taken_at_the_label_would_turn_the_day(station, plane):
    # half an hour is 7.5 degrees: an array to one side gains or loses some 5 % of its year
    middle = station.by_modelchain(plane, station.to_middle)
    label = station.by_modelchain(plane, pd.Timedelta(0))
    late = station.to_middle < pd.Timedelta(0)
    gains = (plane == "west") == late
    change = label.energy / middle.energy - 1.0
    assert 0.03 < (change if gains else -change) < 0.08
