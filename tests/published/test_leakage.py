"""Leakage through an area by the basic model of the ASHRAE Handbook - Fundamentals, ch. 16.

Q = A / 1000 sqrt(C_s dT + C_w U^2), cm2, K, m/s, m3/s. Coefficients by storeys and shelter class
as in the EnergyPlus Input Output Reference, ZoneInfiltration:EffectiveLeakageArea. The worked
example (a house of two storeys, 500 cm2, 340 m3, 39 K, 6.7 m/s: 0.0736 m3/s or 0.78 air changes an
hour) is from memory, in agreement with the example in inch units. A rig is one
storey: C_s 0.000145; C_w 0.000319, 0.000246, 0.000174, 0.000104, 0.000032 for classes 1 to 5.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from noonhold.envelope.airflow import air_changes_flow, area_flow
from noonhold.simulation import channels as ch
from tests.published.cabins import document, run
from tests.published.part import Part, held, name, near

SOURCE = "ASHRAE HoF ch. 16"
TWO_STOREYS = (0.000290, 0.000231)
ONE_STOREY = 0.000145
BY_CLASS = {1: 0.000319, 2: 0.000246, 3: 0.000174, 4: 0.000104, 5: 0.000032}


def house(air_changes: bool) -> float:
    flow = area_flow(500.0, 39.0, 6.7, *TWO_STOREYS)
    return flow / air_changes_flow(1.0, 340.0) if air_changes else flow


def formula(area_cm2: float, delta_k: float, wind_m_s: float, shelter_class: int) -> float:
    """Return the basic model's flow for one storey. [L/s]"""
    pressure = ONE_STOREY * delta_k + BY_CLASS[shelter_class] * wind_m_s**2
    return float(area_cm2 * np.sqrt(pressure))


def through_the_loop(
    shelter_class: int, delta_k: float, wind_m_s: float, driving_km_h: float = 0.0
) -> float:
    """Return the flow through 50 cm2 of a cabin held above the outdoors, from a document. [L/s]"""
    panel = {
        "name": "wall", "face": "front", "area_m2": 4.0, "exposed_to": "adiabatic",
        "layers": [{"thermal_resistance_m2k_w": 1.0}],
    }  # fmt: skip
    request = document(np.full(48, 0.0), [panel], start_c=delta_k, volume_m3=10.0, heat_c=delta_k)
    request["rig"]["shell"]["leakage"] = {
        "leakage_area_cm2": 50.0, "shelter_class": shelter_class
    }  # fmt: skip
    request["weather"]["hourly"]["columns"]["wind_speed"] = [wind_m_s] * 48
    request["operation"]["spans"][0]["driving_speed_km_h"] = driving_km_h
    return 1000.0 * float(run(request)[-1, ch.OUTDOOR_AIRFLOW])


PARTS = [
    near(SOURCE, "worked example", "m3/s", 0.0736, 0.00005, partial(house, False)),
    near(SOURCE, "worked example", "air changes 1/h", 0.78, 0.005, partial(house, True)),
    *(near(SOURCE, f"50 cm2, class {number}, {delta:g} K, {wind:g} m/s", "L/s",
           round(formula(50.0, delta, wind, number), 3), 0.001,
           partial(through_the_loop, number, delta, wind))
      for number, delta, wind in ((1, 20.0, 3.0), (2, 20.0, 3.0), (3, 20.0, 0.0), (4, 10.0, 6.0),
                                  (5, 20.0, 3.0))),
    # The air that a driven rig meets is in the place of the wind.
    *(near(SOURCE, f"50 cm2, class {number}, 20 K, driven at {speed * 3.6:g} km/h", "L/s",
           round(formula(50.0, 20.0, speed, number), 3), 0.001,
           partial(through_the_loop, number, 20.0, 3.0, speed * 3.6))
      for number, speed in ((1, 15.0), (4, 25.0))),
]  # fmt: skip


@pytest.mark.parametrize("part", PARTS, ids=name)
def test_the_basic_model_gives_its_values(part: Part) -> None:
    held(part)
