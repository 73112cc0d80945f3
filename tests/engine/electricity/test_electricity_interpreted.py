"""Arrays and bus give the same numbers interpreted as compiled."""

import os
import subprocess
import sys

PROGRAM = """
import sys
import numba
import numpy as np
from noonhold.electricity.arrays import (
    HEAT_LOSS_FACTORS,
    ArrayTables,
    array_power,
    cell_temperature,
    controlled_power,
)
from noonhold.electricity.battery import battery_tables, bus_step, cooler_allowance_w, reserve_state
from noonhold.rig import Battery, Mount

assert bool(numba.config.DISABLE_JIT) == (sys.argv[1] == "interpreted")
rng = np.random.default_rng(1)
two, controller = np.ones(2), np.array([0, -1, 0])
three = np.ones(3)
tables = ArrayTables(
    three, three, three, three, three, controller, controller,
    np.array([300.0]), np.array([0.97]),
)
for case in range(60):
    rated, light, air, wind = rng.uniform([50, 0, -10, 0], [900, 1200, 45, 9])
    for mount in Mount:
        cell = float(cell_temperature(light, air, wind, *HEAT_LOSS_FACTORS[mount]))
        print(cell.hex(), float(array_power(rated, light, cell, -0.0035, 0.1)).hex())
    print([float(w).hex() for w in controlled_power(tables, rng.uniform(0, 400, 3))])
    limits = rng.uniform(50, 2000, 2)
    battery = battery_tables(Battery(2000.0, max_charge_w=limits[0], max_discharge_w=limits[1]))
    stored, demand, sun, alternator, shore, temp = rng.uniform(
        [0, 0, 0, 0, 0, -30], [2000, 1500, 900, 400, 400, 70]
    )
    state = (stored, demand, sun, alternator * (case % 3 == 0), shore * (case % 4 == 0), temp)
    print([float(value).hex() for value in bus_step(battery, *state, 300.0)])
    print(float(cooler_allowance_w(battery, *state, 300.0)).hex())
    print(bool(reserve_state(battery, stored, case % 2 == 0)))
"""


def run(checkout, mode):
    environment = dict(os.environ, NUMBA_DISABLE_JIT="1" if mode == "interpreted" else "0")
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", PROGRAM, mode],
        cwd=checkout,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    ).stdout


def test_interpreted_equals_compiled(checkout):
    compiled, interpreted = run(checkout, "compiled"), run(checkout, "interpreted")
    assert len(compiled.splitlines()) == 60 * 7
    for ours, plain in zip(compiled.splitlines(), interpreted.splitlines(), strict=True):
        assert ours == plain
