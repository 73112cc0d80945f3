import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.glazing import (
    angular_factors,
    clear_glass,
    direct_transmittance,
    for_each_glass,
    glass_absorptance,
    hemispherical_factors,
    transmittance_from_shgc,
)
from noonhold.rig import Cover, CoverPosition, Window


def cosines(*degrees: float) -> np.ndarray:
    return np.cos(np.radians(degrees))


def window(**changes) -> Window:
    values = {
        "name": "side",
        "tilt_deg": 90.0,
        "azimuth_from_front_deg": 90.0,
        "area_m2": 0.5,
        "u_value_w_m2k": 3.0,
        "solar_heat_gain_coefficient": 0.789,
    } | changes
    return Window(**values)


MESH = Cover(CoverPosition.OUTSIDE, 0.3, 0.2, 0.05)

# ---- published values ---------------------------------------------------------------------------


def test_clear_glass_of_the_standard_test_window():
    # ANSI/ASHRAE Standard 140-2011, window of case 600: single-pane normal transmittance 0.862
    assert clear_glass(1, 1.0).transmittance == pytest.approx(0.862, abs=0.001)


# ASHRAE Handbook - Fundamentals 2017, ch. 15, table 10, center of glass (from memory), uncoated
# clear 3 mm: solar heat gain, transmittance at 0, 40, 50, 60, 70, 80 degrees and hemispherical.
HANDBOOK = [
    (1, 5.91, 0.86, [0.83, 0.82, 0.80, 0.75, 0.64, 0.39, 0.75]),
    (2, 2.73, 0.76, [0.70, 0.68, 0.65, 0.58, 0.44, 0.21, 0.60]),
]


@pytest.mark.parametrize(("panes", "u_value", "gain", "table"), HANDBOOK)
def test_transmittance_by_angle_is_the_handbooks(panes, u_value, gain, table):
    glass = window(
        u_value_w_m2k=u_value, solar_heat_gain_coefficient=gain, solar_transmittance=table[0],
        panes=panes,
    )  # fmt: skip
    by_angle = angular_factors(cosines(0, 40, 50, 60, 70, 80), glass)[:, 0] * table[0]
    assert by_angle == pytest.approx(table[:6], abs=0.011)
    assert hemispherical_factors(glass)[0] * table[0] == pytest.approx(table[6], abs=0.011)


def test_two_panes_absorb_more_at_an_angle_as_the_handbook_has_it():
    # the same table, front and back pane together: 0.17 normal, 0.20 at 60, 0.19 hemispherical
    glass = window(
        u_value_w_m2k=2.73, solar_heat_gain_coefficient=0.76, solar_transmittance=0.70, panes=2
    )
    factors = angular_factors(cosines(60), glass)[0, 1], hemispherical_factors(glass)[1]
    assert factors == pytest.approx((0.20 / 0.17, 0.19 / 0.17), abs=0.06)


def test_transmittance_by_hand():
    # LBNL-2804E: each of the four regressions and the middle of the band between them
    assert transmittance_from_shgc(5.8, 0.86) == pytest.approx(1.30415 * 0.86 - 0.30515)
    assert transmittance_from_shgc(5.8, 0.50) == pytest.approx(0.939998 * 0.25 + 0.20332 * 0.5)
    two = 0.085775 * 0.25 + 0.963954 * 0.5 - 0.084958
    assert transmittance_from_shgc(2.0, 0.50) == pytest.approx(two)
    assert transmittance_from_shgc(2.0, 0.10) == pytest.approx(0.04104)
    one = 0.939998 * 0.25 + 0.20332 * 0.5
    assert transmittance_from_shgc(3.95, 0.50) == pytest.approx(0.5 * (one + two))


def test_transmittance_of_the_standard_test_window():
    # two clear panes of case 600: solar heat gain 0.789 at normal; transmittance by Fresnel
    fresnel = clear_glass(2, 1.0).transmittance
    assert transmittance_from_shgc(3.0, 0.789) == pytest.approx(fresnel, abs=0.02)


# ---- shapes and ends ----------------------------------------------------------------------------


@pytest.mark.parametrize("panes", [1, 2, 3])
def test_angular_curves_run_from_one_to_nothing(panes):
    factors = angular_factors(cosines(*np.linspace(0.0, 90.0, 361)), window(panes=panes))
    assert factors[0] == pytest.approx([1.0, 1.0])
    assert factors[-1] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert np.all(np.diff(factors[:, 0]) <= 1e-12)


def test_dark_glass_absorbs_what_it_does_not_reflect():
    dark = window(solar_heat_gain_coefficient=0.35, solar_transmittance=0.0, panes=1)
    reflected = np.array([clear_glass(1, c).reflectance for c in cosines(0, 60)])
    absorbed = angular_factors(cosines(60), dark)[0, 1]
    # one face throws light back instead of two: half of clear glass's, so the fall is gentler
    assert (1.0 - reflected[1]) / (1.0 - reflected[0]) < absorbed < 1.0


@given(
    shgc=st.floats(0.02, 0.95),
    share=st.floats(0.0, 1.0),
    u_value=st.floats(0.8, 6.0),
    panes=st.integers(1, 4),
    angle=st.floats(0.0, 90.0),
)
def test_glass_never_gives_more_light_than_falls_on_it(shgc, share, u_value, panes, angle):
    glass = window(
        solar_heat_gain_coefficient=shgc, solar_transmittance=share * shgc,
        u_value_w_m2k=u_value, panes=panes,
    )  # fmt: skip
    factors = angular_factors(cosines(angle), glass)[0]
    total = factors[0] * share * shgc + factors[1] * glass_absorptance(glass)
    assert 0.0 <= total <= 1.0 + 1e-9


def test_more_panes_pass_less():
    factors = [hemispherical_factors(window(panes=panes))[0] for panes in (1, 2, 3)]
    assert factors == sorted(factors, reverse=True)
    stacks = [clear_glass(panes) for panes in (1, 2, 3)]
    assert stacks[0].transmittance > stacks[1].transmittance > stacks[2].transmittance
    assert stacks[0].reflectance < stacks[1].reflectance < stacks[2].reflectance


def test_given_transmittance_goes_before_the_derived():
    assert direct_transmittance(window(solar_transmittance=0.7)) == 0.7
    assert direct_transmittance(window()) == transmittance_from_shgc(3.0, 0.789)


@given(shgc=st.floats(0.0, 1.0), u_value=st.floats(0.5, 7.0))
def test_transmittance_stays_below_the_solar_factor(shgc, u_value):
    assert 0.0 <= transmittance_from_shgc(u_value, shgc) <= shgc


@given(panes=st.integers(1, 3), cosine=st.floats(0.001, 1.0))
def test_glass_keeps_energy(panes, cosine):
    glass = clear_glass(panes, cosine)
    assert 0.0 < glass.transmittance < 1.0
    assert glass.reflectance > 0.0
    assert glass.transmittance + glass.reflectance <= 1.0


def test_windows_of_one_glass_and_cover_are_asked_about_once() -> None:
    asked = []

    def name(pane: Window) -> str:
        asked.append(pane.name)
        return pane.name

    panes = (
        window(covers=(MESH,), name="left"),
        window(covers=(MESH,), name="right", area_m2=2.0, tilt_deg=60.0),
        window(name="bare"),
        window(covers=(MESH,), name="triple", panes=3),
    )
    assert for_each_glass(panes, name) == ["left", "left", "bare", "triple"]
    assert asked == ["left", "bare", "triple"]
