"""Solar arrays: from sunlight on the cells to power on the battery bus.

Sunlight warms the cells (:func:`cell_temperature`), lit cells give power (:func:`array_power`),
and the charge controllers pass it on up to their limit (:func:`controlled_power`). How much
sunlight reaches a plane is the sun's business, not this module's.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from noonhold.errors import DocumentError, Fault
from noonhold.rig import Mount, Rig, SolarArray

__all__ = [
    "HEAT_LOSS_FACTORS",
    "NO_CONTROLLER",
    "ArrayTables",
    "array_power",
    "array_tables",
    "cell_temperature",
    "controlled_power",
    "faiman_from_pvsyst",
]

RATING_IRRADIANCE_W_M2 = 1000.0  # standard test conditions, IEC 60904-3
RATING_CELL_C = 25.0
NO_CONTROLLER = -1

# PVsyst's form is T_cell = T_air + alpha (1 - eta) G / (U_c + U_v w); dividing its factors by
# alpha (1 - eta) gives Faiman's. alpha and eta are the defaults of pvlib.temperature.pvsyst_cell.
# Today's modules convert nearer 20 %, which would make the cells cooler by a ninth of their rise;
# but off grid a full battery idles the array and all its sunlight turns to heat, so the low
# efficiency stays as the middle way.
PVSYST_ABSORPTANCE = 0.9
PVSYST_EFFICIENCY = 0.1
PVSYST_SEMI_INTEGRATED_W_M2K = 20.0
PVSYST_INSULATED_BACK_W_M2K = 15.0


def faiman_from_pvsyst(
    u_c: float,
    u_v: float,
    absorptance: float = PVSYST_ABSORPTANCE,
    efficiency: float = PVSYST_EFFICIENCY,
) -> tuple[float, float]:
    """Faiman's heat-loss factors that give PVsyst's cell temperature.

    Parameters
    ----------
    u_c : float
        PVsyst's constant heat-loss factor. [W/m2K]
    u_v : float
        PVsyst's heat-loss factor per wind speed. [W/m2K per m/s]
    absorptance : float
        Absorbed part of the sunlight. [-]
    efficiency : float
        Electrical efficiency of the module. [-]

    Returns
    -------
    tuple of float
        ``u0`` [W/m2K] and ``u1`` [W/m2K per m/s] of :func:`cell_temperature`.

    Examples
    --------
    >>> u0, u1 = faiman_from_pvsyst(29.0, 0.0)
    >>> round(u0, 2), u1
    (35.8, 0.0)
    """
    heated = absorptance * (1.0 - efficiency)
    return u_c / heated, u_v / heated


HEAT_LOSS_FACTORS: dict[Mount, tuple[float, float]] = {
    # Faiman's own seven modules on an open rack, doi:10.1002/pip.813.
    Mount.OPEN_STAND: (25.0, 6.84),
    # PVsyst 7 help, "Array thermal losses", as tabled by pvlib 0.16.1: air gap under the module
    # ("semi-integrated") and none ("insulated"). Without a wind
    # term they are too warm while driving.
    Mount.ROOF_RAISED: faiman_from_pvsyst(PVSYST_SEMI_INTEGRATED_W_M2K, 0.0),
    Mount.ROOF_FLUSH: faiman_from_pvsyst(PVSYST_INSULATED_BACK_W_M2K, 0.0),
}
"""Faiman's factors u0 [W/m2K] and u1 [W/m2K per m/s] by mount."""


class ArrayTables(NamedTuple):
    """The arrays and controllers of a rig as plain arrays, for the compiled loop.

    The first seven have one entry an array (a,), the last two one a controller (k,).
    ``controller`` is the index of the array's controller, or :data:`NO_CONTROLLER`;
    ``folding`` is 1 for an array that is set out and yields only while deployed, else 0.
    """

    rated_power_w: NDArray[np.float64]
    temperature_coefficient_per_k: NDArray[np.float64]
    system_loss_fraction: NDArray[np.float64]
    u0: NDArray[np.float64]
    u1: NDArray[np.float64]
    controller: NDArray[np.int64]
    folding: NDArray[np.int64]
    controller_max_power_w: NDArray[np.float64]
    controller_efficiency: NDArray[np.float64]


def _controller_indices(rig: Rig) -> NDArray[np.int64]:
    """Return each array's place among the controllers; a name that is not there is a fault."""
    known = {controller.name: index for index, controller in enumerate(rig.controllers)}
    known[""] = NO_CONTROLLER
    faults = [
        Fault(
            f"/arrays/{place}/controller",
            "the rig has no charge controller of that name",
            array.controller,
            "a name under /controllers, or left out",
        )
        for place, array in enumerate(rig.arrays)
        if array.controller not in known
    ]
    if faults:
        raise DocumentError(faults)
    return np.array([known[array.controller] for array in rig.arrays], dtype=np.int64)


def array_tables(rig: Rig) -> ArrayTables:
    """Lay the arrays and controllers of a rig out for the compiled loop.

    Parameters
    ----------
    rig : Rig
        A rig whose values lie within their bounds; it may have no arrays at all.

    Returns
    -------
    ArrayTables
        In the order of ``rig.arrays`` and ``rig.controllers``.

    Raises
    ------
    DocumentError
        If arrays name controllers that the rig does not have; one fault for each.
    """

    def column(values: list[float]) -> NDArray[np.float64]:
        return np.array(values, dtype=np.float64)

    arrays: tuple[SolarArray, ...] = rig.arrays
    return ArrayTables(
        rated_power_w=column([array.rated_power_w for array in arrays]),
        temperature_coefficient_per_k=column([a.temperature_coefficient_per_k for a in arrays]),
        system_loss_fraction=column(
            [
                a.system_loss_fraction + (1.0 - a.system_loss_fraction) * a.soiling_fraction
                for a in arrays
            ]
        ),
        u0=column([HEAT_LOSS_FACTORS[array.mount][0] for array in arrays]),
        u1=column([HEAT_LOSS_FACTORS[array.mount][1] for array in arrays]),
        controller=_controller_indices(rig),
        folding=np.array([array.folding for array in arrays], dtype=np.int64),
        controller_max_power_w=column([c.max_power_w for c in rig.controllers]),
        controller_efficiency=column([c.efficiency for c in rig.controllers]),
    )


@njit(cache=True, nogil=True)
def cell_temperature(
    poa_w_m2: float, temp_air_c: float, wind_m_s: float, u0: float, u1: float
) -> float:
    r"""Temperature of the cells of an array in the sun.

    Parameters
    ----------
    poa_w_m2 : float
        Irradiance on the plane of the array, before reflection. [W/m2]
    temp_air_c : float
        Temperature of the outdoor air. [degC]
    wind_m_s : float
        Wind speed at the height of the array. [m/s]
    u0 : float
        Constant heat-loss factor. [W/m2K]
    u1 : float
        Heat-loss factor per wind speed. [W/m2K per m/s]

    Returns
    -------
    float
        Cell temperature. [degC]

    Notes
    -----
    The model of Faiman [1]_, adopted in IEC 61853-2, without a heat capacity:

    .. math:: T_{cell} = T_{air} + G / (u_0 + u_1 w)

    References
    ----------
    .. [1] D. Faiman, "Assessing the outdoor operating temperature of photovoltaic modules",
       Progress in Photovoltaics 16(4), 307-315, 2008. :doi:`10.1002/pip.813`

    Examples
    --------
    >>> round(cell_temperature(900.0, 20.0, 5.0, 25.0, 6.84), 3)
    35.203
    """
    return temp_air_c + poa_w_m2 / (u0 + u1 * wind_m_s)


@njit(cache=True, nogil=True)
def array_power(
    rated_power_w: float,
    effective_irradiance_w_m2: float,
    cell_c: float,
    temperature_coefficient_per_k: float,
    system_loss_fraction: float,
) -> float:
    r"""Power an array gives its controller at its maximum power point.

    Parameters
    ----------
    rated_power_w : float
        Power at 1000 W/m2 and 25 degC cell temperature. [W]
    effective_irradiance_w_m2 : float
        Irradiance that reaches the cells, after reflection and shade. [W/m2]
    cell_c : float
        Cell temperature. [degC]
    temperature_coefficient_per_k : float
        Change of power per kelvin, as a part of the rated power; negative. [1/K]
    system_loss_fraction : float
        Lost to dirt, mismatch, wiring and ageing. [-]

    Returns
    -------
    float
        Direct-current power, never negative; NaN in gives NaN. [W]

    Notes
    -----
    The direct-current side of PVWatts version 5 [1]_, with its losses taken off at once:

    .. math:: P = P_0 \frac{G_{eff}}{1000} (1 + \gamma (T_{cell} - 25)) (1 - L)

    References
    ----------
    .. [1] A. P. Dobos, "PVWatts Version 5 Manual", NREL/TP-6A20-62641, 2014.
       :doi:`10.2172/1158421`

    Examples
    --------
    >>> round(array_power(400.0, 1000.0, 25.0, -0.0035, 0.1), 6)
    360.0
    """
    relative = 1.0 + temperature_coefficient_per_k * (cell_c - RATING_CELL_C)
    irradiance = effective_irradiance_w_m2 / RATING_IRRADIANCE_W_M2
    if relative < 0.0 or irradiance < 0.0:
        return 0.0
    return rated_power_w * irradiance * relative * (1.0 - system_loss_fraction)


@njit(cache=True, nogil=True)
def controlled_power(tables: ArrayTables, raw_power_w: NDArray[np.float64]) -> tuple[float, float]:
    """Pass the power of all arrays through their controllers to the bus.

    Parameters
    ----------
    tables : ArrayTables
        The rig's arrays and controllers.
    raw_power_w : ndarray, shape (a,)
        What each array gives at its maximum power point. [W]

    Returns
    -------
    delivered_w : float
        Power on the bus after each controller's efficiency and limit. [W]
    clipped_w : float
        Power the limits kept off the bus, counted after the efficiency. [W]

    Notes
    -----
    A controller's limit is on its output, as its rated charge current times the battery voltage
    is (common practice, no source). Arrays that share a controller add up before the limit; an
    array without one passes whole.
    """
    delivered_w = 0.0
    clipped_w = 0.0
    for place in range(raw_power_w.size):
        if tables.controller[place] == NO_CONTROLLER:
            delivered_w += raw_power_w[place]
    for index in range(tables.controller_max_power_w.size):
        offered_w = 0.0
        for place in range(raw_power_w.size):
            if tables.controller[place] == index:
                offered_w += raw_power_w[place]
        offered_w *= tables.controller_efficiency[index]
        limit_w = tables.controller_max_power_w[index]
        if offered_w > limit_w:
            clipped_w += offered_w - limit_w
            offered_w = limit_w
        delivered_w += offered_w
    return delivered_w, clipped_w
