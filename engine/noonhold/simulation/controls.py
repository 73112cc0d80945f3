"""The operation as a table: one row a step of the clock's day, one column a setting.

Spans repeat every day, so a year needs no more rows than a day; the time loop looks its row up by
the clock of each interval.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.cooling.speeds import running_stages
from noonhold.rig import Load, Policy, Rig, Thermostatic
from noonhold.scenario import COVER_STATES, Operation, Scenario, Setting
from noonhold.weather.clock import DAY_S

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

FAN_ONLY: Final = -2  # in ``lowest_stage``: the fan runs, no stage may
NO_STAGE: Final = -1  # in ``lowest_stage``: the cooler rests

_PARKED = Setting(
    driving_speed_km_h=0.0,
    covers=COVER_STATES[0],
    vents_open=False,
    occupants=0.0,
    deployed=True,
    shore=False,
)


class ControlTables(NamedTuple):
    """The settings by row; ``r`` rows, ``a`` arrays."""

    set_point: FloatArray  # (r,) [degC]
    heating_set_point: FloatArray  # (r,) NaN where there is no heating [degC]
    lowest_stage: IntArray  # (r,) or NO_STAGE, FAN_ONLY
    highest_stage: IntArray  # (r,)
    cover_state: IntArray  # (r,)
    vent_airflow: FloatArray  # (r,) driven flow, fresh air of the occupants included [m3/s]
    vent_area: FloatArray  # (r,) [cm2]
    people_sensible: FloatArray  # (r,) [W]
    people_latent: FloatArray  # (r,) [W]
    driving_speed: FloatArray  # (r,) 0 when parked [m/s]
    deployed: IntArray  # (r,) awnings are out
    alternator: FloatArray  # (r,) offered [W]
    shore: FloatArray  # (r,) offered [W]
    load_power: FloatArray  # (r,) house loads that go by the clock, and vent fans [W]
    load_to_air: FloatArray  # (r,) their heat to the cabin air [W]
    load_to_radiant: FloatArray  # (r,) their heat to the faces [W]
    thermostatic_power: FloatArray  # (r, k) rated power of loads that follow the temperature [W]
    thermostatic_inside: FloatArray  # (k,) [degC]
    thermostatic_rated: FloatArray  # (k,) temperature around them at that power [degC]
    thermostatic_constant: FloatArray  # (k,) part that does not depend on temperature
    thermostatic_most: FloatArray  # (k,) highest power [W]
    thermostatic_to_air: FloatArray  # (k,) part of the power that heats the cabin air
    thermostatic_to_radiant: FloatArray  # (k,) part that heats the faces
    thermostatic_in_cabin: IntArray  # (k,) 1 in the cabin, 0 outdoors
    in_window: IntArray  # (r,) within the cooling window
    judged: IntArray  # (r,) within it and after the allowance
    cabin_beam: FloatArray  # (r,) share of the beam that the place's shade lets through
    cabin_diffuse: FloatArray  # (r,)
    array_beam: FloatArray  # (r, a) 0 where an array is stowed
    array_diffuse: FloatArray  # (r, a)
    sun_group: IntArray  # (r,) neighbours with the same number let the same sun through
    standing_power: float  # [W]
    heating_w: float  # heater's largest heat [W]
    heater_power_w: float  # at that heat [W]
    battery_in_cabin: int


def in_span(hours: FloatArray, from_hour: float, to_hour: float) -> npt.NDArray[np.bool_]:
    """Return which hours of the clock lie in a span.

    Parameters
    ----------
    hours : numpy.ndarray
        Hours of the clock, 0 to 24. [h]
    from_hour, to_hour : float
        The span, its end excluded; an end before its beginning means past midnight. [h]

    Returns
    -------
    numpy.ndarray of bool
        Same shape.
    """
    if from_hour <= to_hour:
        return (hours >= from_hour) & (hours < to_hour)
    return (hours >= from_hour) | (hours < to_hour)


def _settings(operation: Operation, hours: FloatArray) -> dict[str, npt.NDArray[np.object_]]:
    """Return every field of a setting by row, later spans over earlier ones."""
    base = {
        **vars(_PARKED),
        "set_point_c": operation.set_point_c,
        "heating_set_point_c": operation.heating_set_point_c,
        "policy": operation.policy,
    }
    rows = {name: np.full(len(hours), value, dtype=object) for name, value in base.items()}
    for span in operation.spans:
        inside = in_span(hours, span.from_hour, span.to_hour)
        for name, value in vars(span.setting).items():
            if value is not None:
                rows[name][inside] = value
    return rows


def _load_rows(load: Load, hours: FloatArray) -> FloatArray:
    """Return one load's power by row, in W."""
    if not load.hours:
        return np.full(len(hours), load.power_w)
    on = np.zeros(len(hours), dtype=bool)
    for from_hour, to_hour in load.hours:
        on |= in_span(hours, from_hour, to_hour)
    return np.where(on, load.power_w, 0.0)


def _shade_rows(
    scenario: Scenario, hours: FloatArray, names: tuple[str, ...]
) -> tuple[FloatArray, FloatArray]:
    """Return what shade of the place lets through to something with these names."""
    beam, diffuse = np.ones(len(hours)), np.ones(len(hours))
    for shade in scenario.place.shade:
        if set(names) & set(shade.applies_to):
            inside = in_span(hours, shade.from_hour, shade.to_hour)
            beam[inside] *= 1.0 - shade.beam_blocked
            diffuse[inside] *= 1.0 - shade.diffuse_blocked
    return beam, diffuse


def _stages(rig: Rig, policy: Policy) -> tuple[int, int]:
    """Return the lowest and highest stage the thermostat may use in the cooling window."""
    # Equal, not identical: numpy hands the rows back as plain text.
    if rig.cooler is None or policy == Policy.OFF:
        return NO_STAGE, NO_STAGE
    _, places = running_stages(rig.cooler)
    return {
        # The low stage of a cooler that modulates includes the speeds below it.
        Policy.LOW_ONLY: (0, places[0]),
        Policy.LOW_THEN_HIGH: (0, places[-1]),
        Policy.HIGH_ONLY: (places[-1], places[-1]),
        Policy.FAN_ONLY: (FAN_ONLY, FAN_ONLY),
    }[policy]


def control_tables(rig: Rig, scenario: Scenario, step_s: int) -> ControlTables:
    """Lay a day's operation out by steps of the clock.

    Parameters
    ----------
    rig : Rig
        For its loads, vents, sources and arrays.
    scenario : Scenario
        For the operation, the place's shade and the comfort allowance.
    step_s : int
        Step of the time loop; divides a day. [s]

    Returns
    -------
    ControlTables
        ``86400 / step_s`` rows; a row holds for the step that begins there.

    Notes
    -----
    A rig on the move has its folding arrays and awnings stowed and leaves the place's shade behind;
    its alternator charges.
    """
    operation = scenario.operation
    hours: FloatArray = np.arange(DAY_S // step_s, dtype=np.float64) * (step_s / 3600.0)
    rows = _settings(operation, hours)

    def number(name: str) -> FloatArray:
        return rows[name].astype(np.float64)

    window_from, window_to = operation.cooling_window
    in_window = in_span(hours, window_from, window_to)
    into = (hours - window_from) % 24.0
    judged = in_window & (into >= scenario.comfort.allowance_h)
    stages = np.full((len(hours), 2), NO_STAGE, dtype=np.int64)
    for policy in set(rows["policy"].tolist()):
        stages[in_window & (rows["policy"] == policy)] = _stages(rig, policy)

    speed = number("driving_speed_km_h") / 3.6
    moving = speed > 0.0
    deployed = rows["deployed"].astype(bool) & ~moving
    set_out = in_span(hours, *operation.set_out)
    for span in operation.spans:
        if span.setting.deployed is not None:
            set_out[in_span(hours, span.from_hour, span.to_hour)] = span.setting.deployed
    vents_open = rows["vents_open"].astype(np.float64)
    occupants = number("occupants")
    vents = rig.shell.vents
    vent_flow = vents_open * sum(v.airflow_m3_h for v in vents)
    fresh = occupants * operation.fresh_air_m3_h_per_occupant

    load_power = vents_open * sum(v.fan_power_w for v in vents)
    to_air, to_radiant = np.zeros(len(hours)), np.zeros(len(hours))
    followers: list[tuple[Load, Thermostatic]] = []
    for load in rig.loads:
        if load.thermostatic is not None:
            followers.append((load, load.thermostatic))
            continue
        power = _load_rows(load, hours)
        heat = power * load.heat_to_cabin_fraction
        load_power = load_power + power
        to_air += heat * (1.0 - load.radiant_fraction)
        to_radiant += heat * load.radiant_fraction

    cabin_beam, cabin_diffuse = _shade_rows(scenario, hours, ("cabin",))
    cabin_beam[moving] = cabin_diffuse[moving] = 1.0
    count = len(rig.arrays)
    array_beam, array_diffuse = np.ones((len(hours), count)), np.ones((len(hours), count))
    for a, array in enumerate(rig.arrays):
        beam, diffuse = _shade_rows(scenario, hours, ("arrays", array.name))
        beam[moving] = diffuse[moving] = 1.0
        out = set_out & ~moving if array.folding else np.ones(len(hours), dtype=bool)
        array_beam[:, a] = np.where(out, beam, 0.0)
        array_diffuse[:, a] = np.where(out, diffuse, 0.0)

    cover_state = np.zeros(len(hours), dtype=np.int64)
    for number_of_state, state in enumerate(COVER_STATES):
        cover_state[rows["covers"] == state] = number_of_state
    key = np.column_stack(
        [cabin_beam, cabin_diffuse, array_beam, array_diffuse, cover_state, deployed, speed]
    )
    changes = (key[1:] != key[:-1]).any(axis=1)
    sun_group = np.concatenate([[0], np.cumsum(changes)]).astype(np.int64)
    return ControlTables(
        set_point=number("set_point_c"),
        heating_set_point=number("heating_set_point_c"),
        lowest_stage=stages[:, 0].copy(),
        highest_stage=stages[:, 1].copy(),
        cover_state=cover_state,
        vent_airflow=(vent_flow + fresh) / 3600.0,
        vent_area=vents_open * sum(v.opening_area_cm2 for v in vents),
        people_sensible=occupants * operation.sensible_w_per_occupant,
        people_latent=occupants * operation.latent_w_per_occupant,
        driving_speed=speed,
        deployed=deployed.astype(np.int64),
        alternator=np.where(moving, rig.charging.alternator_w, 0.0),
        shore=np.where(rows["shore"].astype(bool), rig.charging.shore_power_w, 0.0),
        load_power=load_power,
        load_to_air=to_air,
        load_to_radiant=to_radiant,
        thermostatic_power=np.column_stack(
            [np.empty((len(hours), 0)), *(_load_rows(load, hours) for load, _ in followers)]
        ),
        thermostatic_inside=np.array([each.inside_c for _, each in followers]),
        thermostatic_rated=np.array([each.rated_ambient_c for _, each in followers]),
        thermostatic_constant=np.array([each.constant_fraction for _, each in followers]),
        thermostatic_most=np.array([each.most_power_w for _, each in followers]),
        thermostatic_to_air=np.array(
            [load.heat_to_cabin_fraction * (1.0 - load.radiant_fraction) for load, _ in followers]
        ),
        thermostatic_to_radiant=np.array(
            [load.heat_to_cabin_fraction * load.radiant_fraction for load, _ in followers]
        ),
        thermostatic_in_cabin=np.array([each.in_cabin for _, each in followers], dtype=np.int64),
        in_window=in_window.astype(np.int64),
        judged=judged.astype(np.int64),
        cabin_beam=cabin_beam,
        cabin_diffuse=cabin_diffuse,
        array_beam=array_beam,
        array_diffuse=array_diffuse,
        sun_group=sun_group,
        standing_power=rig.standing_power_w,
        heating_w=rig.heater.heating_w if rig.heater else 0.0,
        heater_power_w=rig.heater.power_w if rig.heater else 0.0,
        battery_in_cabin=int(rig.battery.in_cabin),
    )
