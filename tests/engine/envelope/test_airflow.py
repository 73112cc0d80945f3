"""Flows through cracks and vents; published values stand in tests/published/test_leakage.py."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.envelope.airflow import air_changes_flow, area_flow
from noonhold.envelope.network import STACK_COEFFICIENT, WIND_COEFFICIENTS

area = st.floats(0.1, 500.0)
delta = st.floats(-60.0, 60.0)
wind = st.floats(0.0, 40.0)


def flow(area_cm2: float, delta_k: float, wind_m_s: float, shelter_class: int = 2) -> float:
    coefficient = WIND_COEFFICIENTS[shelter_class]
    return area_flow(area_cm2, delta_k, wind_m_s, STACK_COEFFICIENT, coefficient)


def test_air_changes_are_volumes_an_hour() -> None:
    assert air_changes_flow(2.0, 18.0) == pytest.approx(0.01)


def test_no_area_no_flow_and_no_drive_no_flow() -> None:
    assert flow(0.0, 20.0, 5.0) == 0.0
    assert flow(50.0, 0.0, 0.0) == 0.0


@given(area, delta, wind)
def test_warm_and_cold_cabins_draw_alike(area_cm2: float, delta_k: float, wind_m_s: float) -> None:
    assert flow(area_cm2, delta_k, wind_m_s) == flow(area_cm2, -delta_k, wind_m_s)


@given(area, delta, wind)
def test_squares_of_stack_and_wind_add_up(area_cm2: float, delta_k: float, wind_m_s: float) -> None:
    stack, by_wind = flow(area_cm2, delta_k, 0.0), flow(area_cm2, 0.0, wind_m_s)
    both = flow(area_cm2, delta_k, wind_m_s)
    assert both**2 == pytest.approx(stack**2 + by_wind**2, abs=1e-15)
    assert flow(2.0 * area_cm2, delta_k, wind_m_s) == pytest.approx(2.0 * both)


def test_shelter_slows_the_wind() -> None:
    flows = [flow(50.0, 0.0, 5.0, number) for number in sorted(WIND_COEFFICIENTS)]
    assert flows == sorted(flows, reverse=True)
    assert len(set(flows)) == len(flows)
