"""Comfort indices against the NWS heat index chart and ISO 7730's own table."""

import pytest

from engine import comfort

RH_PERCENT = (40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95, 100)

# US National Weather Service, heat index chart (whole degF), air temperature down, relative
# humidity across.
NWS_CHART_F = {
    80: (80, 80, 81, 81, 82, 82, 83, 84, 84, 85, 86, 86, 87),
    82: (81, 82, 83, 84, 84, 85, 86, 88, 89, 90, 91, 93, 95),
    84: (83, 84, 85, 86, 88, 89, 90, 92, 94, 96, 98, 100, 103),
    86: (85, 87, 88, 89, 91, 93, 95, 97, 100, 102, 105, 108, 112),
    88: (88, 89, 91, 93, 95, 98, 100, 103, 106, 110, 113, 117, 121),
    90: (91, 93, 95, 97, 100, 103, 106, 109, 113, 117, 122, 127, 132),
    92: (94, 96, 99, 101, 105, 108, 112, 116, 121, 126, 131),
    94: (97, 100, 103, 106, 110, 114, 119, 124, 129, 135),
    96: (101, 104, 108, 112, 116, 121, 126, 132),
    98: (105, 109, 113, 117, 123, 128, 134),
    100: (109, 114, 118, 124, 129, 136),
    102: (114, 119, 124, 130, 137),
    104: (119, 124, 131, 137),
    106: (124, 130, 137),
    108: (130, 137),
    110: (136,),
}
CHART = [
    (temp_f, rh, index_f)
    for temp_f, row in NWS_CHART_F.items()
    for rh, index_f in zip(RH_PERCENT, row, strict=False)
]


def fahrenheit(temp_c: float) -> float:
    return 1.8 * temp_c + 32.0


def celsius(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


@pytest.mark.parametrize(("temp_f", "rh_percent", "index_f"), CHART)
def test_heat_index_is_that_of_the_nws_chart(temp_f: int, rh_percent: int, index_f: int) -> None:
    ours_f = fahrenheit(comfort.heat_index_c(celsius(temp_f), rh_percent / 100.0))
    # The chart is of the regression alone: it lacks the adjustment that the NWS procedure adds
    # above 85 % humidity up to 87 degF (2.1 degF at 80 degF and 100 %, where the chart has 87).
    humid = (rh_percent - 85) / 10 * (87 - temp_f) / 5 if rh_percent > 85 and temp_f <= 87 else 0.0
    # Whole degrees are printed; 92.49 degF, of 90 degF and 45 %, is the one not rounded down.
    assert abs(ours_f - humid - index_f) <= 0.51


@pytest.mark.parametrize(
    ("index_f", "name"),
    [
        # NWS: caution 80-90, extreme caution 90-103, danger 103-124, extreme danger from 125.
        (79.9, "none"),
        (80.0, "caution"),
        (89.9, "caution"),
        (90.0, "extreme caution"),
        (102.9, "extreme caution"),
        (103.0, "danger"),
        (124.9, "danger"),
        (125.0, "extreme danger"),
        (137.0, "extreme danger"),
    ],
)
def test_categories_begin_where_the_nws_has_them(index_f: float, name: str) -> None:
    category = comfort.heat_index_category(celsius(index_f))
    assert comfort.HEAT_INDEX_CATEGORIES[category] == name


@pytest.mark.parametrize(
    ("temp_air_c", "mean_radiant_c", "air_speed_m_s", "rh_percent", "met", "clo", "vote"),
    [
        # ISO 7730:2005, table D.1
        (22.0, 22.0, 0.10, 60, 1.2, 0.5, -0.75),
        (27.0, 27.0, 0.10, 60, 1.2, 0.5, 0.77),
        (27.0, 27.0, 0.30, 60, 1.2, 0.5, 0.44),
        (23.5, 25.5, 0.10, 60, 1.2, 0.5, -0.01),
        (19.0, 19.0, 0.10, 40, 1.2, 1.0, -0.60),
        (23.5, 23.5, 0.30, 40, 1.2, 1.0, 0.12),
        (22.0, 22.0, 0.10, 60, 1.6, 0.5, 0.05),
        (27.0, 27.0, 0.30, 60, 1.6, 0.5, 0.95),
    ],
)
def test_pmv_and_ppd_are_those_of_iso_7730_table_d1(
    temp_air_c: float,
    mean_radiant_c: float,
    air_speed_m_s: float,
    rh_percent: int,
    met: float,
    clo: float,
    vote: float,
) -> None:
    conditions = (temp_air_c, mean_radiant_c, air_speed_m_s, rh_percent / 100.0, met, clo)
    # Programs that solve the clothing temperature otherwise lie within 0.1 of the table. With
    # annex D's own iteration and constants only its rounding is left, half of the last digit.
    assert comfort.pmv(*conditions) == pytest.approx(vote, abs=0.0055)
    assert comfort.pmv_applies(*conditions)


@pytest.mark.parametrize(
    ("vote", "percentage"),
    # ISO 7730:2005, equation 5 and the classes A, B, C of its annex A (from memory): a vote of
    # 0.2, 0.5, 0.7 goes with 6, 10, 15 %; neutral leaves 5 %.
    [(0.0, 5.0), (0.2, 6.0), (-0.2, 6.0), (0.5, 10.0), (-0.5, 10.0), (0.7, 15.0)],
)
def test_ppd_of_the_standards_classes(vote: float, percentage: float) -> None:
    assert comfort.ppd(vote) == pytest.approx(percentage, abs=0.5)
