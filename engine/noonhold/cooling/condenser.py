r"""The air at the condenser: warmer than the weather's by what it breathes of its own exhaust.

A part of the discharged air comes round to the inlet. With that part :math:`r`, the heat rejected
:math:`Q` and the heat capacity rate of the condenser's air :math:`C`, the mixing balance is

.. math:: T_{in} - T_{out} = \frac{r}{1 - r} \frac{Q}{C}

so the rise grows with the heat and is nothing when the cooler rests. Wind carries the exhaust off:
:math:`r = r_0 / (1 + w / w_0)`.

The parts and winds by installation are common practice, no source: they put a condenser at full
load in calm air 0.6, 2, 4 and 10 K above the weather's, the span that installers report. The sun on
a hot roof around the inlet is not counted.
"""

from __future__ import annotations

from typing import Final

from numba import njit

from noonhold.rig import CondenserInstallation

DISCHARGE_RISE_K: Final = 12.0
"""Warming of the condenser's air at its rating where no airflow is given; common practice."""
AIR_HEAT_J_M3K: Final = 1.146 * 1006.0
"""Heat capacity of dry air at 35 degC and sea level. [J/(m3 K)]"""
SEA_LEVEL_PA: Final = 101325.0

RECIRCULATION: Final = {
    CondenserInstallation.FREE: (0.05, 3.0),
    CondenserInstallation.BESIDE_WALL: (0.15, 4.0),
    CondenserInstallation.ROOF_SHROUD: (0.25, 6.0),
    CondenserInstallation.ENCLOSED: (0.45, 12.0),
}
"""Part of the exhaust breathed again in calm air [-], and the wind that halves it [m/s]."""


def heat_capacity_rate(rejected_w: float, airflow_m3_h: float | None) -> float:
    """Heat capacity rate of the condenser's air at sea level.

    Parameters
    ----------
    rejected_w : float
        Heat that the highest stage rejects at its rating. [W]
    airflow_m3_h : float or None
        Air through the condenser, where it is known. [m3/h]

    Returns
    -------
    float
        From the airflow, or such that the air warms by `DISCHARGE_RISE_K`. [W/K]
    """
    if airflow_m3_h is None:
        return rejected_w / DISCHARGE_RISE_K
    return airflow_m3_h / 3600.0 * AIR_HEAT_J_M3K


@njit(cache=True, nogil=True)
def rise_per_watt(
    recirculation: float,
    halving_wind_m_s: float,
    capacity_rate_w_k: float,
    wind_m_s: float,
    pressure_pa: float,
) -> float:
    """Rise of the inlet air for each watt rejected.

    Parameters
    ----------
    recirculation : float
        Part of the exhaust that is breathed again in calm air; 0 gives no rise. [-]
    halving_wind_m_s : float
        Wind that halves it. [m/s]
    capacity_rate_w_k : float
        Of the condenser's air at sea level; its fan moves a volume, so thin air carries less.
        [W/K]
    wind_m_s : float
        Wind at the rig, or the driving speed. [m/s]

    Returns
    -------
    float
        [K/W]
    """
    if recirculation <= 0.0:
        return 0.0
    part = recirculation / (1.0 + wind_m_s / halving_wind_m_s)
    return part / (1.0 - part) / (capacity_rate_w_k * pressure_pa / SEA_LEVEL_PA)
