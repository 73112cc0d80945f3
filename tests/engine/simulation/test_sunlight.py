"""What reaches faces, windows and arrays in a step, behind shade, awnings and covers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from noonhold.envelope.network import square_to_square
from noonhold.rig import Awning, Extent, Rig
from noonhold.scenario import COVER_STATES, CoverState
from noonhold.simulation.simulation_case import SimulationCase, prepare
from noonhold.simulation.sunlight import faces_sunlight, solar_power, windows_sunlight
from tests.engine.made import ROOF_ARRAY, box, rig, scene, summer

FloatArray = npt.NDArray[np.float64]

NOON, OPEN = 12, COVER_STATES.index(CoverState.OPEN)
DAY = summer()


def made(whole: Rig) -> SimulationCase:
    return prepare(whole, scene(), DAY)[0]


def on_faces(
    case: SimulationCase, beam: float = 1.0, diffuse: float = 1.0, **how: Any
) -> FloatArray:
    sun, sky = (np.zeros(len(case.network.area)) for _ in range(2))
    hour, deployed = how.get("hour", NOON), how.get("deployed", False)
    faces_sunlight(case.network, case.forcing, hour, deployed, beam, diffuse, sun, sky)
    return np.array([sun, sky])


def transmitted_solar(
    case: SimulationCase, cover: int = OPEN, beam: float = 1.0, diffuse: float = 1.0, **how: Any
) -> FloatArray:
    light = np.zeros(4)
    hour, deployed = how.get("hour", NOON), how.get("deployed", False)
    windows_sunlight(case.network, case.forcing, hour, deployed, beam, diffuse, cover, light)
    return light


BARE = made(rig(arrays=(), controllers=()))
ROOF, FLOOR = 4, 5


def test_a_level_roof_absorbs_its_share_of_the_global_irradiance() -> None:
    sun, sky = on_faces(BARE)
    # The described day closes: ghi is what a level plane receives, to the width of its hour.
    assert sun[ROOF] == pytest.approx(0.6 * DAY.ghi[NOON], rel=5e-3)
    # The underside sees of it what open ground reflects into its view past the rig's own shadow.
    beyond = 1.0 - square_to_square(2.0, 0.8)
    assert sun[FLOOR] == pytest.approx(0.6 * beyond * 0.2 * DAY.ghi[NOON], rel=5e-3)
    assert (sky == 1.0).all()


def test_light_is_what_shade_lets_through() -> None:
    # What the ground reflects has met its own shade: the cabin's does not dim it once more.
    reflected = on_faces(BARE, 0.0, 0.0)[0]
    whole, beam, diffuse = (
        on_faces(BARE, *share)[0] - reflected for share in ((1, 1), (1, 0), (0, 1))
    )
    assert whole == pytest.approx(beam + diffuse)
    assert on_faces(BARE, 0.25, 0.5)[0] - reflected == pytest.approx(0.25 * beam + 0.5 * diffuse)
    assert reflected[ROOF] == 0.0
    walls = reflected[:4]
    assert walls == pytest.approx(0.6 * 0.5 * 0.2 * DAY.ghi[NOON], rel=5e-3)
    inside = transmitted_solar(BARE, beam=0.25, diffuse=0.5)
    assert inside[0] == pytest.approx(0.25 * transmitted_solar(BARE)[0])
    from_ground = transmitted_solar(BARE, beam=0.0, diffuse=0.0)[1]
    from_sky = transmitted_solar(BARE)[1] - from_ground
    assert inside[1] == pytest.approx(0.5 * from_sky + from_ground)


def test_at_night_nothing_shines() -> None:
    assert (on_faces(BARE, hour=0)[0] == 0.0).all()
    assert (transmitted_solar(BARE, hour=0) == 0.0).all()


def test_an_array_flush_on_the_roof_shades_it() -> None:
    covered = made(rig(arrays=(replace(ROOF_ARRAY, shades_panel="roof", area_m2=3.0),)))
    bare, shaded = on_faces(BARE)[0], on_faces(covered)[0]
    assert shaded[ROOF] == pytest.approx(0.25 * bare[ROOF])
    others = [p for p in range(len(bare)) if p != ROOF]
    assert (shaded[others] == bare[others]).all()


def test_windows_pass_by_their_area_and_their_glass() -> None:
    larger = tuple(replace(w, area_m2=2.0 * w.area_m2) for w in box().windows)
    double = transmitted_solar(made(rig(shell=box(windows=larger))))
    assert double[:3] == pytest.approx(2.0 * transmitted_solar(BARE)[:3])
    assert (transmitted_solar(made(rig(shell=box(windows=())))) == 0.0).all()
    passed = sum(transmitted_solar(BARE)[:2])
    full_sun = 4 * 0.4 * 1100.0
    assert 0.0 < passed < full_sun


@pytest.mark.parametrize("state", [state for state in CoverState if state != CoverState.OPEN])
def test_covers_keep_light_out(state: CoverState) -> None:
    drawn = transmitted_solar(BARE, COVER_STATES.index(state))
    bare = transmitted_solar(BARE)
    assert drawn[0] < 0.1 * bare[0]
    assert drawn[1] < 0.1 * bare[1]
    # What an inside cover absorbs heats the air; an outside one keeps that outside.
    assert (drawn[2] > 0.0) == (state != CoverState.OUTSIDE) or state == CoverState.ALL


def under_an_awning() -> SimulationCase:
    """The wall and window that look to the front stand behind a deep awning."""
    walls = tuple(
        replace(p, extent=Extent(2.0, 2.0)) if p.tilt_deg == 90.0 else p for p in box().panels
    )
    windows = tuple(replace(w, extent=Extent(0.6, 0.6, 0.9)) for w in box().windows)
    shell = box(panels=walls, windows=windows)
    return made(rig(shell=shell, arrays=(), awnings=(Awning(180.0, 2.0, 3.0, 2.0),)))


def test_an_awning_shades_its_side_while_it_is_out() -> None:
    case = under_an_awning()
    (in_sun, all_sky), (in_shade, less_sky) = (
        on_faces(case, deployed=out) for out in (False, True)
    )
    rear = 2  # looks south: the rig heads north
    assert (all_sky == 1.0).all()
    assert in_shade[rear] < in_sun[rear]
    assert less_sky[rear] < 1.0
    assert in_shade[ROOF] == in_sun[ROOF]
    assert transmitted_solar(case, deployed=True)[0] < transmitted_solar(case)[0]


def power(case: SimulationCase, share: float = 1.0) -> tuple[float, float, float]:
    arrays = case.arrays
    count = len(arrays.rated_power_w)
    passed = np.full(count, share)
    return solar_power(
        arrays, case.forcing, NOON, passed, passed, 34.0, 2.0, np.zeros(count)
    )  # fmt: skip


def test_a_controller_keeps_back_what_is_over_its_limit() -> None:
    free, held = (
        made(rig(controllers=(replace(rig().controllers[0], max_power_w=limit),)))
        for limit in (1e4, 100.0)
    )
    delivered, clipped, incident = power(free)
    assert clipped == 0.0
    assert incident == pytest.approx(DAY.ghi[NOON], rel=5e-3)
    # 400 W at noon, hot cells, a tenth lost, 3 % in the controller.
    assert 0.65 < delivered / (400.0 * incident / 1000.0) < 0.87
    limited, over, _ = power(held)
    assert limited == pytest.approx(100.0)
    assert over > 0.0


def test_a_stowed_array_yields_nothing_and_no_array_is_no_fault() -> None:
    assert power(made(rig()), 0.0) == (0.0, 0.0, 0.0)
    assert power(made(rig(arrays=()))) == (0.0, 0.0, 0.0)
