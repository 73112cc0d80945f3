"""The wind of driving over the roof: outer film and heat through a panel, by hand.

Forced convection of smooth glass to windward ``3.26 v^0.89`` (Yazdanian and Klems, ASHRAE
Transactions 100(1), 1994, coefficients as in EnergyPlus, "MoWiTT windward"): 15 m/s gives
36.30, 25 m/s 57.20 W/m2K. Natural convection (Walton, NBSIR 83-2655) adds by its square and is
below 0.5 % of the sum at these speeds.
"""

from __future__ import annotations

import numpy as np
import pytest

from noonhold.envelope.convection import upright_convection, windward_convection
from noonhold.simulation import channels as ch
from tests.published.cabins import document, run

AREA_M2, RESISTANCE, INSIDE_FILM = 4.0, 0.05, 8.0


def through_the_roof(speed_km_h: float) -> float:
    """Return the steady heat through a roof of a cabin held at 40 degC in calm 0 degC. [W]"""
    roof = {
        "name": "roof", "face": "roof", "area_m2": AREA_M2, "surface_roughness": "very_smooth",
        "layers": [{"thermal_resistance_m2k_w": RESISTANCE}], "thermal_emittance": 0.0,
        "coefficients": {"inside_film_w_m2k": INSIDE_FILM},
    }  # fmt: skip
    request = document(np.zeros(24), [roof], start_c=40.0, heat_c=40.0)
    span = request["operation"]["spans"][0]
    span["driving_speed_km_h"] = speed_km_h
    return float(run(request)[-1, ch.HEATING])


@pytest.mark.parametrize(("speed_km_h", "film"), [(54.0, 36.30), (90.0, 57.20)])
def test_the_outer_film_is_that_of_the_driving_speed(speed_km_h: float, film: float) -> None:
    assert windward_convection(speed_km_h / 3.6) == pytest.approx(film, abs=0.005)
    expected = AREA_M2 * 40.0 / (1.0 / INSIDE_FILM + RESISTANCE + 1.0 / film)
    assert through_the_roof(speed_km_h) == pytest.approx(expected, rel=1e-3)


def test_standing_in_calm_air_has_natural_convection_alone() -> None:
    assert through_the_roof(0.0) < 0.75 * through_the_roof(54.0)


def test_the_leeward_side_counts_half_on_an_upright_face() -> None:
    """Leeward ``3.55 v^0.617`` of the same source: at 15 m/s 18.87; the mean with 36.30, 27.59."""
    assert upright_convection(windward_convection(15.0)) == pytest.approx(27.59, abs=0.01)
