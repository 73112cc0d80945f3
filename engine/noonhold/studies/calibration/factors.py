"""What a field log may correct of a rig: eight factors, their priors, and the rig they make."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from noonhold.cooling.cooler_tables import cooler_tables
from noonhold.envelope.glazing import direct_transmittance
from noonhold.envelope.shell import (
    MOST_U_VALUE_W_M2K,
    OUTSIDE_RESISTANCE,
    inside_surface_resistance,
    layer_nodes,
    panel_layers,
)
from noonhold.envelope.window_conductance import INSIDE_FILM, OUTSIDE_FILM, window_resistance
from noonhold.errors import DocumentError
from noonhold.quantities import quantity
from noonhold.rig import Cooler, Layer, Panel, Rig, Shell, Window

SHELL_CONDUCTANCE: Final = "shell_conductance"
SOLAR_GAIN: Final = "solar_gain"
CONTENTS_CAPACITY: Final = "contents_capacity"
CONTENTS_COUPLING: Final = "contents_coupling"
LEAKAGE: Final = "leakage"
COOLER_CAPACITY: Final = "cooler_capacity"
COOLER_POWER: Final = "cooler_power"
ARRAY_POWER: Final = "array_power"

_WIDEST: Final = 3.0  # prior widths to either side that a fit may go
_HALVINGS: Final = 20
_CLEAR_GLASS: Final = 0.87  # solar heat gain of one clear pane, ASHRAE HoF ch. 15 (from memory)
_LEAST_ROOM: Final = 1.0  # a rig that takes all it can already is only ever too dark
_UNDER_ALL: Final = 1.0 - 1e-9  # of the sun, so that rounding never makes it more than all


@dataclass(frozen=True)
class FactorKind:
    """One number that a calibration may find.

    Parameters
    ----------
    name : str
        As documents and answers call it.
    meaning : str
        What it multiplies.
    prior_width : float
        Standard deviation of its logarithm before the log is seen.
    reason : str
        Why that width.
    """

    name: str
    meaning: str
    prior_width: float
    reason: str


FACTORS: Final = (
    FactorKind(
        SHELL_CONDUCTANCE,
        "conductivity of every panel's layers and of every window between its faces",
        0.25,
        "studs, seams and compressed insulation: a quarter either way (common practice, no source)",
    ),
    FactorKind(
        SOLAR_GAIN,
        "solar absorptance of the panels and solar heat gain of the windows",
        0.25,
        "dirt, age and colour of the paint (common practice, no source)",
    ),
    FactorKind(
        CONTENTS_CAPACITY,
        "heat capacity of the contents",
        0.4,
        "seldom weighed; half as much to twice as much (common practice, no source)",
    ),
    FactorKind(
        CONTENTS_COUPLING,
        "surface by which the contents exchange heat with the air",
        0.5,
        "seldom measured; shelves and cushions show more or less of themselves to the air (common"
        " practice, no source)",
    ),
    FactorKind(
        LEAKAGE,
        "air changes, or leakage area",
        0.5,
        "seldom measured; spread of tightness among like builds (common practice, no source)",
    ),
    FactorKind(
        COOLER_CAPACITY,
        "cooling of every stage at the rating point",
        0.1,
        "rating tolerance, charge and dirt of the coils (common practice, no source)",
    ),
    FactorKind(
        COOLER_POWER,
        "electric power of every stage at the rating point",
        0.1,
        "as for the cooling",
    ),
    FactorKind(
        ARRAY_POWER,
        "rated power of every array",
        0.15,
        "dirt, tilt, heat and tolerance (common practice, no source)",
    ),
)
KINDS: Final[Mapping[str, FactorKind]] = {kind.name: kind for kind in FACTORS}


@dataclass(frozen=True)
class FactorLimits:
    """Between which values a factor may be looked for."""

    lower: float
    upper: float


def applicable(rig: Rig) -> tuple[str, ...]:
    """Return the factors that a rig has something for.

    Returns
    -------
    tuple of str
        In the order of `FACTORS`.
    """
    leakage = rig.shell.leakage
    absent = set()
    if not leakage.air_changes_per_hour and not leakage.leakage_area_cm2:
        absent.add(LEAKAGE)
    if rig.shell.contents_heat_capacity_kj_k == 0.0:
        absent |= {CONTENTS_CAPACITY, CONTENTS_COUPLING}
    if rig.cooler is None:
        absent |= {COOLER_CAPACITY, COOLER_POWER}
    if not rig.arrays:
        absent.add(ARRAY_POWER)
    return tuple(kind.name for kind in FACTORS if kind.name not in absent)


def scaled_rig(rig: Rig, factors: Mapping[str, float]) -> Rig:
    """Return a rig with its uncertain numbers multiplied.

    Parameters
    ----------
    factors : mapping of str to float
        By name; one that is missing is 1.

    Returns
    -------
    Rig
        Of the same geometry and orientations, so that it shares sun and weather tables.
    """
    machines = scaled_machines(rig, factors)
    return replace(machines, shell=_scaled_shell(rig.shell, factors))


def scaled_machines(rig: Rig, factors: Mapping[str, float]) -> Rig:
    """Return a rig with the numbers of its cooler and arrays multiplied, its shell as it was.

    Parameters
    ----------
    rig, factors
        As `scaled_rig` takes them.
    """
    capacity, power = factors.get(COOLER_CAPACITY, 1.0), factors.get(COOLER_POWER, 1.0)
    sun = factors.get(ARRAY_POWER, 1.0)
    cooler = None if rig.cooler is None else _scaled_cooler(rig.cooler, capacity, power)
    arrays = tuple(replace(array, rated_power_w=array.rated_power_w * sun) for array in rig.arrays)
    return replace(rig, cooler=cooler, arrays=arrays)


def _scaled_shell(shell: Shell, factors: Mapping[str, float]) -> Shell:
    """Return a shell with its conductances, sun, contents and leakage multiplied."""
    conductance, sun = factors.get(SHELL_CONDUCTANCE, 1.0), factors.get(SOLAR_GAIN, 1.0)
    leakage, tightness = shell.leakage, factors.get(LEAKAGE, 1.0)
    if leakage.air_changes_per_hour is not None:
        rate = leakage.air_changes_per_hour * tightness
        leakage = replace(leakage, air_changes_per_hour=rate)
    if leakage.leakage_area_cm2 is not None:
        leakage = replace(leakage, leakage_area_cm2=leakage.leakage_area_cm2 * tightness)
    capacity = shell.contents_heat_capacity_kj_k * factors.get(CONTENTS_CAPACITY, 1.0)
    surface = shell.contents_area_m2 * factors.get(CONTENTS_COUPLING, 1.0)
    return replace(
        shell,
        contents_heat_capacity_kj_k=capacity,
        contents_area_m2=surface,
        leakage=leakage,
        panels=tuple(_scaled_panel(panel, conductance, sun) for panel in shell.panels),
        windows=tuple(_scaled_window(window, conductance, sun) for window in shell.windows),
    )


def _scaled_panel(panel: Panel, conductance: float, sun: float) -> Panel:
    """Return a panel with its resistance divided and its absorptance multiplied."""
    layers = tuple(_scaled_layer(layer, conductance) for layer in panel.layers)
    u_value = panel.u_value_w_m2k
    if u_value is not None and not layers and conductance != 1.0:
        films = inside_surface_resistance(panel.tilt_deg) + OUTSIDE_RESISTANCE
        u_value = 1.0 / (films + (1.0 / u_value - films) / conductance)
    absorptance = panel.solar_absorptance * sun
    return replace(panel, layers=layers, u_value_w_m2k=u_value, solar_absorptance=absorptance)


def _scaled_layer(layer: Layer, conductance: float) -> Layer:
    """Return a layer with its resistance divided; a bare resistance stays one in a document."""
    if layer.capacity_j_m2k == 0.0 and layer.conductivity_w_mk == 1.0:
        return replace(layer, thickness_m=layer.thickness_m / conductance)
    return replace(layer, conductivity_w_mk=layer.conductivity_w_mk * conductance)


def _scaled_window(window: Window, conductance: float, sun: float) -> Window:
    """Return a window with its face-to-face resistance divided and its sun multiplied."""
    films = 1.0 / INSIDE_FILM + 1.0 / OUTSIDE_FILM
    u_value = window.u_value_w_m2k
    passed = window.solar_transmittance
    if conductance != 1.0 or sun != 1.0:
        resistance = window_resistance(window)
        u_value = 1.0 / (films + resistance / conductance)
        # What passes is given from then on: derived again it would follow the new U-value, too.
        passed = direct_transmittance(window) * sun
    return replace(
        window,
        u_value_w_m2k=u_value,
        solar_heat_gain_coefficient=window.solar_heat_gain_coefficient * sun,
        solar_transmittance=passed,
    )


def _scaled_cooler(cooler: Cooler, capacity: float, power: float) -> Cooler:
    """Return a cooler with the rated points of its stages multiplied."""
    stages = tuple(
        replace(stage, cooling_w=stage.cooling_w * capacity, power_w=stage.power_w * power)
        for stage in cooler.stages
    )
    return replace(cooler, stages=stages)


def factor_limits(rig: Rig, widths: Mapping[str, float]) -> dict[str, FactorLimits]:
    """Return between which values each factor may be looked for.

    Parameters
    ----------
    rig : Rig
        What a factor makes of it must stay a rig that can be: no face absorbs more than all, no
        coil takes more than its air can carry.
    widths : mapping of str to float
        Prior widths by name; the factors wanted.

    Returns
    -------
    dict of str to FactorLimits
        Three prior widths to either side of 1, less where the rig forbids it.
    """
    limits = {}
    for name, width in widths.items():
        lower, upper = math.exp(-_WIDEST * width), math.exp(_WIDEST * width)
        if name == SHELL_CONDUCTANCE:
            upper = min(upper, _most_conductance(rig))
        if name == ARRAY_POWER and rig.arrays:
            # A document may state no smaller array than this; what is fitted can be sent back.
            least = min(array.rated_power_w for array in rig.arrays)
            lower = max(lower, min(quantity("rated_power_w").lower / least, 1.0))
        if name == SOLAR_GAIN:
            upper = min(upper, _most_sun(rig))
        if name == COOLER_POWER and rig.cooler is not None:
            least = min(stage.power_w for stage in rig.cooler.stages)
            lower = max(lower, rig.cooler.fan_power_w / least)
        if name == COOLER_CAPACITY and rig.cooler is not None:
            lower = _last_possible(rig.cooler, lower)
            upper = _last_possible(rig.cooler, upper)
        limits[name] = FactorLimits(lower, upper)
    return limits


def _most_conductance(rig: Rig) -> float:
    """Return the factor at which a panel stated by its U-value passes all that a document may say.

    Never below 1: a rig as it is given can be.
    """
    most = math.inf
    for panel in rig.shell.panels:
        if panel.layers or panel.u_value_w_m2k is None:
            continue
        films = inside_surface_resistance(panel.tilt_deg) + OUTSIDE_RESISTANCE
        stated, highest = 1.0 / panel.u_value_w_m2k - films, 1.0 / MOST_U_VALUE_W_M2K - films
        most = min(most, max(stated / highest, 1.0))
    return most


def _most_sun(rig: Rig) -> float:
    """Return the factor at which the darkest face or the clearest glass takes all it can."""
    dark = [1.0 / max(panel.solar_absorptance, 1e-3) for panel in rig.shell.panels]
    clear = [
        max(_CLEAR_GLASS / max(window.solar_heat_gain_coefficient, 1e-3), 1.0)
        for window in rig.shell.windows
    ]
    return _UNDER_ALL * max(min([*dark, *clear], default=1e3), _LEAST_ROOM)


def _last_possible(cooler: Cooler, limit: float) -> float:
    """Return the factor on the way from 1 to a limit up to which a coil can be."""
    if _possible(cooler, limit):
        return limit
    good, bad = 1.0, limit
    for _ in range(_HALVINGS):
        middle = 0.5 * (good + bad)
        good, bad = (middle, bad) if _possible(cooler, middle) else (good, middle)
    return good


def _possible(cooler: Cooler, capacity: float) -> bool:
    """Tell whether a coil can have the rated points of a cooler of so much capacity."""
    try:
        cooler_tables(_scaled_cooler(cooler, capacity, 1.0))
    except DocumentError:
        return False
    return True


def evenly_divided(rig: Rig, least_conductance: float) -> Rig:
    """Return a rig whose panels keep their nodes whatever the factor of conductance.

    Parameters
    ----------
    least_conductance : float
        The lowest factor that will be tried.

    Returns
    -------
    Rig
        Each layer cut into parts that are one node each at that factor and above. The number of
        nodes of a layer follows its diffusivity, and a node more or less amid a search would be
        a step in what is minimised.
    """
    panels = []
    for panel in rig.shell.panels:
        parts: list[Layer] = []
        for layer in panel_layers(panel):
            slowest = replace(layer, conductivity_w_mk=layer.conductivity_w_mk * least_conductance)
            count = max(layer_nodes(slowest), 1)
            parts += [replace(layer, thickness_m=layer.thickness_m / count)] * count
        panels.append(replace(panel, layers=tuple(parts), u_value_w_m2k=None))
    return replace(rig, shell=replace(rig.shell, panels=tuple(panels)))
