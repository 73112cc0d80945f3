"""Published results of ANSI/ASHRAE Standard 140-2020, envelope cases, Annex B8."""

from typing import NamedTuple

import numpy as np


class Range(NamedTuple):
    """Lowest, highest and mean of the six reference programs (Annex B8)."""

    low: float
    high: float
    mean: float


LOADS = ("heating MWh", "sensible cooling MWh", "peak heating kW", "peak cooling kW")
FREE_FLOAT = ("maximum degC", "minimum degC", "mean degC")

# Annex B8.1, in the order of LOADS, or of FREE_FLOAT for cases that end in FF.
PUBLISHED: dict[str, tuple[Range, ...]] = {
    "195": (
        Range(3.951, 4.217, 4.08),
        Range(0.592, 0.712, 0.627),
        Range(1.791, 1.802, 1.797),
        Range(0.944, 1.118, 1.011),
    ),
    "200": (
        Range(4.813, 5.226, 5.042),
        Range(0.788, 0.839, 0.813),
        Range(2.226, 2.353, 2.296),
        Range(1.198, 1.307, 1.248),
    ),
    "210": (
        Range(5.627, 6.531, 6.153),
        Range(0.459, 0.688, 0.537),
        Range(2.374, 2.75, 2.599),
        Range(0.877, 1.193, 0.987),
    ),
    "220": (
        Range(6.377, 7.178, 6.712),
        Range(0.498, 0.803, 0.608),
        Range(2.631, 2.879, 2.782),
        Range(0.968, 1.336, 1.108),
    ),
    "230": (
        Range(9.812, 10.417, 10.031),
        Range(0.897, 1.184, 0.991),
        Range(4.133, 4.316, 4.228),
        Range(1.694, 1.994, 1.782),
    ),
    "240": (
        Range(5.116, 5.944, 5.496),
        Range(0.834, 1.287, 0.98),
        Range(2.431, 2.693, 2.595),
        Range(1.15, 1.534, 1.292),
    ),
    "250": (
        Range(4.733, 5.373, 5.015),
        Range(2.904, 3.612, 3.344),
        Range(2.631, 2.874, 2.777),
        Range(2.688, 3.034, 2.84),
    ),
    "400": (
        Range(5.906, 7.047, 6.536),
        Range(0.013, 0.063, 0.028),
        Range(2.559, 2.879, 2.77),
        Range(0.372, 0.798, 0.531),
    ),
    "410": (
        Range(7.63, 8.661, 8.179),
        Range(0.035, 0.096, 0.055),
        Range(3.338, 3.597, 3.483),
        Range(0.604, 1.011, 0.746),
    ),
    "600": (
        Range(3.993, 4.504, 4.213),
        Range(5.432, 6.162, 5.856),
        Range(3.02, 3.359, 3.184),
        Range(5.422, 6.481, 6.024),
    ),
    "620": (
        Range(4.094, 4.719, 4.413),
        Range(3.841, 4.404, 4.09),
        Range(3.038, 3.385, 3.186),
        Range(3.955, 4.797, 4.527),
    ),
    "640": (
        Range(2.403, 2.682, 2.612),
        Range(5.237, 5.893, 5.636),
        Range(4.039, 4.658, 4.369),
        Range(5.365, 6.429, 5.973),
    ),
    "650": (
        Range(0.0, 0.0, 0.0),
        Range(4.186, 4.945, 4.644),
        Range(0.0, 0.0, 0.0),
        Range(5.045, 6.29, 5.813),
    ),
    "900": (
        Range(1.379, 1.814, 1.626),
        Range(2.267, 2.714, 2.467),
        Range(2.443, 2.778, 2.591),
        Range(2.556, 3.376, 2.975),
    ),
    "920": (
        Range(2.956, 3.607, 3.326),
        Range(2.549, 3.128, 2.786),
        Range(2.512, 2.895, 2.71),
        Range(2.71, 3.481, 3.127),
    ),
    "600FF": (Range(62.37, 68.36, 64.6), Range(-13.84, -9.9, -12.7), Range(24.26, 26.1, 25.23)),
    "650FF": (Range(61.13, 66.85, 63.07), Range(-17.76, -16.7, -17.32), Range(17.6, 18.93, 18.31)),
    "900FF": (Range(43.25, 46.0, 44.57), Range(0.6, 2.16, 1.26), Range(24.46, 25.69, 25.23)),
}
# Annex B8-13, B8-14 and B8-16: incident and transmitted sun, kWh/m2 a year; sky, mean degC.
SUN: dict[str, Range] = {
    "incident horizontal": Range(1662.5, 1670.0, 1666.4),
    "incident north": Range(399.0, 477.0, 440.0),
    "incident east": Range(1017.0, 1068.0, 1048.0),
    "incident south": Range(1291.0, 1387.0, 1352.0),
    "incident west": Range(903.0, 997.0, 951.0),
    "transmitted south (600)": Range(804.0, 826.0, 815.0),
    "transmitted west (620)": Range(569.0, 624.0, 593.0),
    "sky temperature": Range(-5.9, -2.0, -4.7),
}
# Case 600FF on 1 February by hour, mean of the six, degC.
FEBRUARY = np.array(
    [
        6.8,
        5.0,
        3.3,
        1.8,
        0.4,
        -0.7,
        -1.7,
        -1.6,
        2.1,
        8.9,
        17.3,
        26.4,
        35.1,
        42.1,
        46.3,
        47.7,
        45.7,
        40.2,
        33.8,
        28.1,
        23.1,
        18.5,
        14.5,
        11.1,
    ]
)
