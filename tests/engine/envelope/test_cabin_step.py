"""The cabin's step against hand calculations: steady state, published slabs, the heat ledger."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from noonhold.air.moist_air import dry_air_density, specific_heat
from noonhold.envelope.network import network_tables
from noonhold.envelope.shell import u_value
from noonhold.rig import (
    Exposure,
    FixedCoefficients,
    Heater,
    Layer,
    Leakage,
    Panel,
    Rig,
    Shell,
)
from noonhold.scenario import Ground, Operation, Place
from noonhold.simulation import channels as ch
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare
from tests.engine.made import PLACE, box, rig, scene, steady, summer

GLASS_FILMS = FixedCoefficients(inside_film_w_m2k=8.29, outside_film_w_m2k=21.0)


def heated(
    shell_rig: Rig,
    outdoor_c: float = 0.0,
    inside_c: float = 20.0,
    days: int = 10,
    *,
    place: Place = PLACE,
    infrared_w_m2: float | None = None,
) -> float:
    """Return the heat that holds a cabin in weather that never changes, once it is steady. [W]."""
    warm = replace(
        shell_rig, cooler=None, heater=Heater(20000.0, 0.0), arrays=(), loads=(),
        standing_power_w=0.0,
    )  # fmt: skip
    operation = Operation(set_point_c=90.0, heating_set_point_c=inside_c)
    weather = steady(outdoor_c, hours=24 * days, infrared_w_m2=infrared_w_m2)
    case, _ = prepare(warm, scene(operation=operation, place=place), weather)
    record = run_cases([case])[0]
    assert record[-1, ch.CABIN] == pytest.approx(inside_c, abs=1e-9)
    heat: float = record[-1, ch.HEATING]
    assert record[-25, ch.HEATING] == pytest.approx(heat, rel=1e-6, abs=1e-3)  # steady
    return heat


def with_iso_films() -> Rig:
    """Return the box with films such that every part has its rated U-value exactly."""
    panels = []
    for panel in box().panels:
        inside = {0.0: 0.10, 90.0: 0.13, 180.0: 0.17}[panel.tilt_deg]
        films = FixedCoefficients(inside_film_w_m2k=1 / inside, outside_film_w_m2k=1 / 0.04)
        panels.append(replace(panel, coefficients=films))
    # A single pane: what a gap conducts is as rated at one temperature only.
    windows = tuple(replace(w, coefficients=GLASS_FILMS, panes=1) for w in box().windows)
    return rig(shell=box(panels=tuple(panels), windows=windows))


def test_heat_loss_at_20_kelvin_is_the_sum_of_ua_and_leakage() -> None:
    whole = with_iso_films()
    shell = whole.shell
    ua = sum(panel.area_m2 * u_value(panel) for panel in shell.panels)
    ua += sum(window.area_m2 * window.u_value_w_m2k for window in shell.windows)
    # 0.5 changes an hour of 8 m3 of outdoor air at its own density, ISO 13789 in substance.
    weather = steady(0.0, hours=1)
    vapour = prepare(whole, scene(), weather)[0].start_humidity
    flow = 0.5 * 8.0 / 3600.0
    leakage = flow * dry_air_density(0.0, vapour, 101325.0) * specific_heat(vapour)
    assert heated(whole) == pytest.approx(20.0 * (ua + leakage), rel=1e-6)


def test_leakage_alone() -> None:
    # ASHRAE 1052-RP (Spitler, Rees 2001), infiltration test: 0.5 m3/s of air from 10 to 20 degC
    # is 6304.7 W; its air is dry air at standard pressure in the mean of both densities.
    sealed = tuple(replace(p, exposed_to=Exposure.ADIABATIC) for p in box().panels)
    shell = box(panels=sealed, windows=(), leakage=Leakage(air_changes_per_hour=0.5 * 3600 / 8.0))
    heat = heated(rig(shell=shell), outdoor_c=10.0, days=20)
    # We take outdoor density, the flow's own: 1.247 against 1.204 kg/m3 at 20 degC, moist a bit.
    assert heat == pytest.approx(6304.7, rel=0.02)


def test_thermal_bridges_add_their_watts_per_kelvin() -> None:
    # ISO 14683 in substance: 12 m of frame at 0.15 W/mK and ten fixings at 0.02 W/K: 2.0 W/K.
    bridged = 12.0 * 0.15 + 10 * 0.02
    whole = with_iso_films()
    with_frames = replace(whole, shell=replace(whole.shell, thermal_bridges_w_k=bridged))
    assert heated(with_frames) - heated(whole) == pytest.approx(20.0 * bridged, rel=1e-6)


def test_bridges_take_part_in_the_radiant_temperature() -> None:
    """What joins them to the air loses in full; the rest finds a radiant node cooler than that."""
    bridged = rig(shell=box(thermal_bridges_w_k=4.0))
    more = heated(bridged) - heated(rig())
    to_air = 2.5 / (2.5 + 5.13)
    assert 20.0 * 4.0 * to_air < more < 20.0 * 4.0


def test_the_ledger_has_what_bridges_take_from_the_air_and_from_the_faces() -> None:
    """Of a tight cabin in the dark all heat leaves through the shell, bridges included."""
    shell = box(thermal_bridges_w_k=4.0, leakage=Leakage(air_changes_per_hour=0.0))
    warm = rig(
        shell=shell, cooler=None, heater=Heater(20000.0, 0.0), arrays=(), loads=(),
        standing_power_w=0.0,
    )  # fmt: skip
    operation = Operation(set_point_c=90.0, heating_set_point_c=20.0)
    case, _ = prepare(warm, scene(operation=operation), steady(0.0, hours=240))
    last = run_cases([case])[0][-1]
    assert last[ch.ENVELOPE] == pytest.approx(-last[ch.HEATING], rel=1e-5)


def slab(layers: tuple[Layer, ...], area: float, films: FixedCoefficients) -> Panel:
    return Panel("slab", 90.0, 0.0, area, layers, coefficients=films)


@pytest.mark.parametrize(
    ("layers", "area", "inside_h", "outside_h", "heat_w"),
    [
        # ASHRAE 1052-RP convection test: 9 m2, 0.1 m of 1 W/mK, 40 outside, 10 inside: 360.06 W.
        ((Layer(0.1, 1.0, 2000.0, 900.0),), 9.0, 3.076, 3.079, 360.06),
        # Conduction test: 1 + 1 + 0.2 m2K/W; its printed 90.488 W at 9 m2 with h_out 2.18.
        (
            (Layer(1.0, 1.0, 10.0, 900.0), Layer(1.0, 1.0, 10.0, 900.0),
             Layer(0.2, 1.0, 10.0, 900.0)),
            9.0, 3.076, 2.18, 90.488,
        ),
    ],
)  # fmt: skip
def test_published_slabs(
    layers: tuple[Layer, ...], area: float, inside_h: float, outside_h: float, heat_w: float
) -> None:
    films = FixedCoefficients(inside_film_w_m2k=inside_h, outside_film_w_m2k=outside_h)
    shell = box(
        panels=(slab(layers, area, films),), windows=(), leakage=Leakage(air_changes_per_hour=0.0)
    )
    # Held at 40 inside and 10 outside the slab carries the same heat the other way.
    turned = replace(
        shell.panels[0], layers=layers[::-1],
        coefficients=FixedCoefficients(inside_film_w_m2k=outside_h, outside_film_w_m2k=inside_h),
    )  # fmt: skip
    heat = heated(rig(shell=replace(shell, panels=(turned,))), 10.0, 40.0, days=30)
    assert heat == pytest.approx(heat_w, rel=1e-3)


def test_an_adiabatic_panel_passes_nothing() -> None:
    sealed = tuple(replace(p, exposed_to=Exposure.ADIABATIC) for p in box().panels)
    shell = box(panels=sealed, windows=(), leakage=Leakage(air_changes_per_hour=0.0))
    assert heated(rig(shell=shell)) == pytest.approx(0.0, abs=1e-3)


def test_without_any_heat_all_falls_to_the_outdoors() -> None:
    still = rig(cooler=None, arrays=(), loads=(), standing_power_w=0.0)
    weather = steady(12.0, hours=240)
    start = replace(scene().start, cabin_temperature_c=35.0)
    case, _ = prepare(still, scene(start=start), weather)
    record = run_cases([case])[0]
    for channel in (ch.CABIN, ch.RADIANT, ch.CONTENTS):
        assert record[-1, channel] == pytest.approx(12.0, abs=0.01)
        assert (np.diff(record[:, channel]) <= 1e-9).all()  # without overshoot


def test_sunlight_on_contents_warms_the_air_at_once_by_the_share_of_its_film() -> None:
    """Against their massless skin: ISO 6946's 1/0.13 to the air, ISO 13790's 9.1 to the mass."""
    net = network_tables(rig(), 300.0)
    film, to_mass = 1.0 / 0.13, 9.1
    assert net.contents_skin_fraction == pytest.approx(film / (film + to_mass))
    both = 10.0 / (1.0 / film + 1.0 / to_mass)  # 10 m2 of contents
    assert net.contents_conductance == pytest.approx(both)
    for capacity in (1e9, 0.0):  # kJ/K: no sun warms it; none at all
        shell = box(contents_heat_capacity_kj_k=capacity, contents_solar_fraction=1.0)
        # Without anything electric, for the battery feels how warm the contents are.
        bare = rig(shell=shell, cooler=None, arrays=(), loads=(), standing_power_w=0.0)
        case, _ = prepare(bare, scene(), summer())
        whole = run_cases([case])[0]
        # The same without the skin, its share given as known heat where a mass would swallow it;
        # without a mass it comes to the air anyway.
        skinless = replace(case, network=case.network._replace(contents_skin_fraction=0.0))
        if capacity:
            known = np.ascontiguousarray(net.contents_skin_fraction * whole[:, ch.SOLAR_IN])
            skinless = replace(skinless, forcing=case.forcing._replace(imposed_heat=known))
        parts = run_cases([skinless])[0]
        assert whole[:, ch.CABIN] == pytest.approx(parts[:, ch.CABIN], abs=1e-3)


def test_a_clear_sky_cools_the_roof_below_the_air() -> None:
    still = rig(cooler=None, arrays=(), loads=(), standing_power_w=0.0)
    case, _ = prepare(still, scene(), steady(12.0, hours=240, infrared_w_m2=250.0))
    assert run_cases([case])[0][-1, ch.CABIN] < 11.0


def heat_through_a_sheet(shell: Shell, sky: float, sky_k: float) -> float:
    """Return the heat through a sheet with the films of `radiating` at 20 degC inside. [W]

    Stefan and Boltzmann's law per square metre, what is not ``sky`` being as warm as the air:
    ``(T_in - T_s) / R = h_c (T_s - T_a) + ε σ (F (T_s^4 - T_sky^4) + (1 - F) (T_s^4 - T_a^4))``,
    solved by scipy for the surface.
    """
    outside_w_m2k, emittance, sigma, air_k = 4.0, 0.9, 5.670374419e-8, 273.15
    resistance = 1.0 / 7.69 + 0.002 / 50.0
    surroundings = sky * sky_k**4 + (1.0 - sky) * air_k**4

    def surplus(surface_k: float) -> float:
        lost = outside_w_m2k * (surface_k - air_k)
        lost += emittance * sigma * (surface_k**4 - surroundings)
        return (293.15 - surface_k) / resistance - lost

    surface_k = float(brentq(surplus, 230.0, 293.15))
    return shell.panels[0].area_m2 * (293.15 - surface_k) / resistance


def radiating(tilt: float) -> Shell:
    films = FixedCoefficients(inside_film_w_m2k=7.69, outside_convection_w_m2k=4.0)
    sheet = Layer(0.002, 50.0, 7800.0, 450.0)
    face = Panel("face", tilt, 0.0, 5.0, (sheet,), thermal_emittance=0.9, coefficients=films)
    return box(panels=(face,), windows=(), leakage=Leakage(air_changes_per_hour=0.0))


def test_beam_and_scattered_light_land_by_shares_of_their_own() -> None:
    passive = rig(cooler=None, arrays=(), loads=(), standing_power_w=0.0)
    case, _ = prepare(passive, scene(), summer())
    on_the_first = np.zeros_like(case.network.beam_fraction)
    on_the_first[:, 0] = 1.0
    warmth = [run_cases([case])[0][:, ch.RADIANT].max()]
    for share in ("beam_fraction", "diffuse_fraction"):
        moved = replace(case, network=case.network._replace(**{share: on_the_first}))
        warmth.append(run_cases([moved])[0][:, ch.RADIANT].max())
    assert len(np.unique(np.round(warmth, 3))) == 3


@pytest.mark.parametrize("tilt", [0.0, 60.0, 90.0])
def test_a_face_radiates_once_in_all_directions(tilt: float) -> None:
    shell = radiating(tilt)
    heat_w = heat_through_a_sheet(shell, 1.0, 273.15)
    assert heated(rig(shell=shell)) == pytest.approx(heat_w, rel=1e-4)


@pytest.mark.parametrize(("elevation", "sky"), [(0.0, 1.0), (30.0, 0.75), (60.0, 0.25)])
def test_a_roof_radiates_to_the_sky_above_the_horizon_alone(elevation: float, sky: float) -> None:
    """A skyline all round leaves a level plane the squared cosine of its height of the dome.

    The view factor is Howell's, Catalog of Radiation Heat Transfer Configuration Factors (from
    memory).
    """
    shell, infrared = radiating(0.0), 200.0
    ring = tuple((float(azimuth), elevation) for azimuth in range(0, 360, 45))
    place = replace(PLACE, horizon=ring, ground=Ground.AIR_TEMPERATURE)
    heat_w = heat_through_a_sheet(shell, sky, (infrared / 5.670374419e-8) ** 0.25)
    found = heated(rig(shell=shell), place=place, infrared_w_m2=infrared)
    assert found == pytest.approx(heat_w, rel=1e-4)


def test_wind_lets_more_heat_through() -> None:
    calm = heated(rig())
    windy = rig()
    warm = replace(windy, cooler=None, heater=Heater(20000.0, 0.0), arrays=(), loads=())
    operation = Operation(set_point_c=90.0, heating_set_point_c=20.0)
    case, _ = prepare(warm, scene(operation=operation), steady(0.0, hours=240, wind_speed=8.0))
    assert run_cases([case])[0][-1, ch.HEATING] > 1.02 * calm
