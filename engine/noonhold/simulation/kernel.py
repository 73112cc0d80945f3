"""The time loop: one compiled function that steps a rig through its weather.

It reads like the day it computes: the sun falls on the rig, the arrays yield, the cabin network is
prepared, the thermostat asks the cooler or the heater for what it takes to land on the set point,
the battery allows what it can, and every ledger is written down.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from noonhold.air.measure import ComfortTables, comfort_value
from noonhold.air.moist_air import dry_air_density, saturation_humidity_ratio, specific_heat
from noonhold.cooling.coil import vapour_enthalpy
from noonhold.cooling.cooler import steady_stage, thin_air
from noonhold.cooling.cooler_tables import CoolerTables
from noonhold.electricity.arrays import ArrayTables
from noonhold.electricity.battery import (
    BatteryTables,
    bus_step,
    cooler_allowance_w,
    reserve_level_wh,
    reserve_state,
)
from noonhold.envelope.airflow import air_changes_flow, area_flow
from noonhold.envelope.cabin_step import (
    CabinState,
    Surroundings,
    finish_step,
    prepare_step,
    set_faces,
    stored_heat,
)
from noonhold.envelope.convection import buoyancy_cubed, upright_convection, windward_convection
from noonhold.envelope.network import NetworkTables
from noonhold.numerics.compiled import kernel
from noonhold.simulation import channels as ch
from noonhold.simulation.controls import NO_STAGE, ControlTables
from noonhold.simulation.forcing import ForcingTables
from noonhold.simulation.house_loads import house_loads
from noonhold.simulation.record import (
    close_row,
    note_comfort,
    note_energy,
    note_supply,
    open_row,
)
from noonhold.simulation.sunlight import (
    SunlightOnRig,
    faces_sunlight,
    no_sunlight,
    solar_power,
    windows_sunlight,
)
from noonhold.simulation.thermostat import cool, cooler_state, heat

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]


# Saturation pressure is everywhere over a line just below its tangent at 15 degC (1705 Pa, 109.8
# Pa/K, read off `saturation_pressure`), and humidity ratio times pressure over 0.6219 of that: air
# that holds less is not saturated, and needs no exponential.
SURELY_HELD_PA_K: Final = 0.6219 * 109.8
SURELY_HELD_PA: Final = 0.6219 * (1705.0 - 109.8 * 15.0)


ROUNDING: Final = 1e-9  # of the cooling needed; a cooler that gives less falls short of it


class ChargeState(NamedTuple):
    """The bank's state; changed in place."""

    stored_wh: FloatArray  # (1,)
    stopped: IntArray  # (1,) 1 while the reserve holds the cooler off


class PreviousStep(NamedTuple):
    """What a step leaves for the next one to act on; changed in place."""

    battery_loss: FloatArray  # (1,) heat of the battery [W]
    served: FloatArray  # (1,) share of the house loads that found power
    fan_fraction: FloatArray  # (1,) share of the time the indoor fan stirred the air


def simulate(
    net: NetworkTables,
    forcing: ForcingTables,
    cooler: CoolerTables,
    arrays: ArrayTables,
    battery: BatteryTables,
    control: ControlTables,
    comfort: ComfortTables,
    clock_row: IntArray,
    air_density: float,
    air_specific_heat: float,
    cabin: CabinState,
    charge: ChargeState,
    before: PreviousStep,
    record: FloatArray,
    trace: FloatArray,
) -> None:
    """Step one rig through its weather.

    Parameters
    ----------
    net, forcing, cooler, arrays, battery, control, comfort
        The rig, the weather on it and the operation, as tables.
    clock_row : numpy.ndarray of int, shape (n,)
        Row of ``control`` at the start of every interval.
    air_density : float
        Of the cabin air, for its heat and moisture capacity. [kg dry air/m3]
    air_specific_heat : float
        Of the cabin air, constant over the run. [J/(kg dry air K)]
    cabin, charge, before : CabinState, ChargeState, PreviousStep
        The state; changed in place, so that a run can go on.
    record : numpy.ndarray, shape (n, channels)
        Written here; see :mod:`noonhold.simulation.channels`.
    trace : numpy.ndarray, shape (n * steps an interval, 5)
        Supply and demand of every step, written here; or
        :data:`noonhold.simulation.record.NO_TRACE`.
    """
    _step_through(
        net, forcing, cooler, arrays, battery, control, comfort, clock_row, air_density,
        air_specific_heat, cabin, charge, before, no_sunlight(net, arrays), record,
        trace,
    )  # fmt: skip


@kernel
def _step_through(
    net: NetworkTables,
    forcing: ForcingTables,
    cooler: CoolerTables,
    arrays: ArrayTables,
    battery: BatteryTables,
    control: ControlTables,
    comfort: ComfortTables,
    clock_row: IntArray,
    air_density: float,
    air_specific_heat: float,
    cabin: CabinState,
    charge: ChargeState,
    before: PreviousStep,
    sunlight: SunlightOnRig,
    record: FloatArray,
    trace: FloatArray,
) -> None:
    """Do what :func:`simulate` says, in arrays that it brings: nothing is allocated here."""
    step_s = net.step_s
    substeps = round(forcing.interval_s / step_s)
    rows = len(control.set_point)
    transmitted_solar = sunlight.transmitted
    solar_w, clipped_w, incident = 0.0, 0.0, 0.0
    still = windward_convection(0.0)
    air_capacity = net.volume * air_density * air_specific_heat / step_s
    moisture_capacity = net.volume * air_density * net.moisture_buffer / step_s
    stored_before = stored_heat(net, cabin, air_capacity)
    reserve_wh = reserve_level_wh(battery)
    top_stage = len(cooler.gross_capacity_w) - 1

    for i in range(len(forcing.outdoor_end)):
        out = record[i]
        open_row(out, charge.stored_wh[0])
        group = -1
        hardest, hardest_stage = 0.0, NO_STAGE  # the judged step that asks for most cooling
        hardest_outdoor, hardest_air, hardest_humidity, hardest_wind = 0.0, 0.0, 0.0, 0.0
        pressure = forcing.pressure[i]
        buoyancy = buoyancy_cubed(pressure)
        thin = thin_air(cooler, pressure)
        for s in range(substeps):
            row = (clock_row[i] + s) % rows
            speed = control.driving_speed[row]
            cover = control.cover_state[row]
            part = (s + 1.0) / substeps
            outdoor = forcing.outdoor_start[i] + part * (
                forcing.outdoor_end[i] - forcing.outdoor_start[i]
            )
            outdoor_humidity = forcing.humidity_start[i] + part * (
                forcing.humidity_end[i] - forcing.humidity_start[i]
            )
            if control.sun_group[row] != group:
                group = control.sun_group[row]
                deployed = control.deployed[row] == 1
                pass_beam, pass_diffuse = control.cabin_beam[row], control.cabin_diffuse[row]
                faces_sunlight(
                    net, forcing, i, deployed, pass_beam, pass_diffuse,
                    sunlight.on_faces, sunlight.open_sky,
                )  # fmt: skip
                windows_sunlight(
                    net, forcing, i, deployed, pass_beam, pass_diffuse, cover, transmitted_solar
                )
                # On the road the rig stands over no ground of its own.
                ground = forcing.ground_temperature[i]
                under = ground if speed > 0.0 else forcing.under_temperature[i]
                wind = speed if speed > 0.0 else forcing.wind[i]
                windward = windward_convection(wind)
                set_faces(
                    net, cabin.faces, sunlight.on_faces, sunlight.open_sky,
                    transmitted_solar[0], transmitted_solar[1], cover,
                    pass_diffuse * forcing.horizon_sky, ground, under,
                    windward, upright_convection(windward), still,
                )  # fmt: skip
                middle_c = 0.5 * (forcing.outdoor_start[i] + forcing.outdoor_end[i])
                solar_w, clipped_w, incident = solar_power(
                    arrays, forcing, i, control.array_beam[row], control.array_diffuse[row],
                    middle_c, wind, sunlight.raw_power,
                )  # fmt: skip

            # Air exchanged with the outdoors.
            draught = speed if speed > 0.0 else forcing.station_wind[i]
            flow = (
                air_changes_flow(net.air_changes, net.volume)
                + area_flow(
                    net.leakage_area + control.vent_area[row],
                    cabin.air[0] - outdoor,
                    draught,
                    net.stack_coefficient,
                    net.wind_coefficient,
                )
                + control.vent_airflow[row]
            )
            dry_flow = flow * dry_air_density(outdoor, outdoor_humidity, pressure)
            load_w, load_to_air_w, load_to_radiant_w = house_loads(
                control, row, cabin.air[0], outdoor
            )
            gains_air = (
                control.people_sensible[row]
                + before.served[0] * load_to_air_w
                + before.battery_loss[0] * control.battery_in_cabin
                + forcing.imposed_heat[i]
                + transmitted_solar[2]
            )
            gains_radiant = before.served[0] * load_to_radiant_w
            around = Surroundings(
                outdoor, forcing.sky[i],
                dry_flow * specific_heat(outdoor_humidity), air_capacity,
                gains_air, gains_radiant, transmitted_solar[3],
                before.fan_fraction[0], buoyancy,
            )  # fmt: skip
            response = prepare_step(net, cabin, around)

            # The thermostat, within what the battery allows.
            base_w = load_w + control.standing_power
            battery_c = cabin.air[2] if control.battery_in_cabin == 1 else outdoor
            allowance = 0.0
            if charge.stopped[0] == 0:
                allowance = cooler_allowance_w(
                    battery, charge.stored_wh[0], base_w, solar_w, control.alternator[row],
                    control.shore[row], battery_c, step_s,
                )  # fmt: skip
            needed = (response.air_idle - control.set_point[row]) / response.air_slope
            entering_c, entering_humidity = cabin.air[0], cabin.air[3]
            cooling = cool(
                cooler, thin, control.lowest_stage[row], control.highest_stage[row], needed,
                outdoor, cabin.air[0], cabin.air[3], pressure, allowance, wind,
            )  # fmt: skip
            missing = (control.heating_set_point[row] - response.air_idle) / response.air_slope
            heating, heater_w = heat(
                missing, control.heating_w, control.heater_power_w, allowance - cooling.bus_power_w
            )
            through_faces, by_air = finish_step(
                net, cabin, around, response, heating - cooling.net_sensible_w
            )

            # Moisture: one implicit step of the cabin air and what it buffers. What the air cannot
            # hold is dew on the coldest face and gone: with its heat, which leaves through there.
            vapour_w = control.people_latent[row] - cooling.latent_w
            evaporation = vapour_enthalpy(cabin.air[0])
            moist = (
                moisture_capacity * cabin.air[3]
                + dry_flow * outdoor_humidity
                + vapour_w / evaporation
            ) / (moisture_capacity + dry_flow)
            undried = moist
            if moist * pressure > SURELY_HELD_PA + SURELY_HELD_PA_K * cabin.air[0]:
                most = saturation_humidity_ratio(cabin.air[0], pressure)
                if moist > most:
                    moist = most
            cabin.air[3] = max(moist, 0.0)

            # The bus.
            demand = base_w + cooling.bus_power_w + heater_w
            stored_before_wh = charge.stored_wh[0]
            note_supply(
                trace, i * substeps + s, demand, solar_w, control.alternator[row],
                control.shore[row], battery_c,
            )  # fmt: skip
            bus = bus_step(
                battery, charge.stored_wh[0], demand, solar_w, control.alternator[row],
                control.shore[row], battery_c, step_s,
            )  # fmt: skip
            charge.stored_wh[0] = bus.stored_wh
            was_stopped = charge.stopped[0] == 1
            if reserve_state(battery, bus.stored_wh, was_stopped):
                charge.stopped[0] = 1
            else:
                charge.stopped[0] = 0
            before.battery_loss[0] = bus.loss_w
            before.fan_fraction[0] = cooling.duty
            if cooler.fan_power_w > 0.0:
                before.fan_fraction[0] = cooling.fan_power_w / cooler.fan_power_w
            before.served[0] = 1.0 - bus.unmet_w / base_w if base_w > 0.0 else 1.0

            measure = comfort_value(comfort, cabin.air[0], cabin.air[1], cabin.air[3], pressure)
            allowed = control.lowest_stage[row] != NO_STAGE
            met = allowed and cooling.net_sensible_w >= needed - ROUNDING * abs(needed)
            held_back = allowed and not met and cooling.bus_power_w >= allowance
            stage = control.highest_stage[row]
            state = cooler_state(charge.stopped[0] == 1 or held_back, met, stage, top_stage)
            if control.judged[row] == 1 and stage >= 0 and needed > hardest and not held_back:
                hardest, hardest_stage = needed, stage
                hardest_outdoor, hardest_wind = outdoor, wind
                hardest_air, hardest_humidity = entering_c, entering_humidity
            note_comfort(
                out, s * step_s, step_s, measure, measure <= comfort.limit,
                control.in_window[row] == 1, control.judged[row] == 1,
                charge.stopped[0] == 1, held_back, met, state,
            )  # fmt: skip
            note_energy(
                out, s * step_s, step_s, stored_before_wh, bus.stored_wh, reserve_wh, bus.unmet_w
            )
            out[ch.OUTDOOR] += outdoor
            out[ch.CABIN] += cabin.air[0]
            out[ch.RADIANT] += cabin.air[1]
            out[ch.CONTENTS] += cabin.air[2]
            out[ch.HUMIDITY] += cabin.air[3]
            out[ch.SENSIBLE] += cooling.net_sensible_w
            out[ch.LATENT] += cooling.latent_w
            out[ch.DUTY] += cooling.duty
            out[ch.HIGH_FRACTION] += cooling.duty * cooling.high_fraction
            out[ch.COOLER_POWER] += cooling.bus_power_w
            out[ch.COOLER_FAN] += cooling.fan_power_w
            out[ch.HEATING] += heating
            out[ch.HEATER_POWER] += heater_w
            out[ch.LOAD_POWER] += load_w
            out[ch.STANDING_POWER] += control.standing_power
            out[ch.SOLAR] += solar_w
            out[ch.SOLAR_USED] += bus.solar_used_w
            out[ch.CURTAILED] += bus.curtailed_w + clipped_w
            out[ch.ALTERNATOR] += bus.alternator_w
            out[ch.SHORE] += bus.shore_w
            out[ch.CHARGE] += bus.charge_w
            out[ch.DISCHARGE] += bus.discharge_w
            out[ch.BATTERY_LOSS] += bus.loss_w
            out[ch.UNMET] += bus.unmet_w
            out[ch.SOLAR_IN] += transmitted_solar[0] + transmitted_solar[1]
            out[ch.SOLAR_GAIN] += (
                net.beam_kept[cover] * transmitted_solar[0]
                + net.diffuse_kept[cover] * transmitted_solar[1]
            )
            out[ch.ENVELOPE] += through_faces
            out[ch.AIR_EXCHANGE] += by_air
            out[ch.GAINS] += gains_air + gains_radiant
            out[ch.OUTDOOR_AIRFLOW] += flow
            out[ch.COMFORT] += measure
            out[ch.INCIDENT_ARRAYS] += incident
            out[ch.WATER_EXCHANGE] += dry_flow * (outdoor_humidity - cabin.air[3])
            out[ch.WATER_GAINS] += control.people_latent[row] / evaporation
            out[ch.WATER_COIL] += cooling.latent_w / evaporation
            out[ch.WATER_DEW] += (moisture_capacity + dry_flow) * (undried - cabin.air[3])
        if hardest_stage >= 0:
            capacity, _, _ = steady_stage(
                cooler,
                int(hardest_stage),  # else compiled once more for the constant it begins with
                hardest_outdoor,
                hardest_air,
                hardest_humidity,
                pressure,
                hardest_wind,
            )
            out[ch.COOLING_SPARE] = capacity - hardest
        stored_now = stored_heat(net, cabin, air_capacity)
        close_row(
            out, substeps, charge.stored_wh[0], (stored_now - stored_before) / forcing.interval_s,
            moisture_capacity * step_s * cabin.air[3],
        )  # fmt: skip
        stored_before = stored_now
