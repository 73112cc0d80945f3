"""The columns of the time loop's record: one row an interval, one column a channel.

The compiled loop writes by number, everything else reads by name; both lists stand here, side by
side, and a test holds them equal. Columns are means over the interval unless said otherwise.
"""

from __future__ import annotations

from typing import Final

# fmt: off
OUTDOOR: Final = 0             # outdoor air [degC]
CABIN: Final = 1               # cabin air [degC]
RADIANT: Final = 2             # mean radiant [degC]
CONTENTS: Final = 3            # contents [degC]
HUMIDITY: Final = 4            # humidity ratio of the cabin air [kg/kg]
SENSIBLE: Final = 5            # net sensible heat the cooler takes from the air [W]
LATENT: Final = 6              # latent heat the cooler takes [W]
DUTY: Final = 7                # share of the time the compressor runs
HIGH_FRACTION: Final = 8          # share of the interval above the lowest allowed stage
COOLER_POWER: Final = 9        # cooler, drawn from the bus [W]
COOLER_FAN: Final = 10         # indoor fan, part of the cooler's own power [W]
HEATING: Final = 11            # heat from the heater [W]
HEATER_POWER: Final = 12       # heater, drawn from the bus [W]
LOAD_POWER: Final = 13         # house loads and vent fans [W]
STANDING_POWER: Final = 14     # electronics [W]
SOLAR: Final = 15              # solar at the bus, used or not [W]
SOLAR_USED: Final = 16         # [W]
CURTAILED: Final = 17            # solar that nothing could take, controller limits included [W]
ALTERNATOR: Final = 18         # [W]
SHORE: Final = 19              # [W]
CHARGE: Final = 20             # into the battery, at the bus [W]
DISCHARGE: Final = 21          # out of the battery, at the bus [W]
BATTERY_LOSS: Final = 22       # [W]
UNMET: Final = 23              # loads that found no power [W]
STORED: Final = 24             # energy in the battery at the interval's end [Wh]
STORED_LOWEST: Final = 25      # lowest within the interval [Wh]
SOLAR_IN: Final = 26           # sunlight transmitted by the windows [W]
SOLAR_GAIN: Final = 27         # what of it stays in the cabin [W]
ENVELOPE: Final = 28           # heat through the outer faces, sun on them included [W]
AIR_EXCHANGE: Final = 29       # sensible heat of exchanged air [W]
GAINS: Final = 30              # people, loads, and what covers and glass give to the air [W]
STORED_HEAT_CHANGE: Final = 31 # of the cabin network [W]
OUTDOOR_AIRFLOW: Final = 32    # exchanged outdoor air [m3/s]
COMFORT: Final = 33            # the comfort measure
COMFORT_PEAK: Final = 34       # its highest value within the interval, in the judged time
COMFORT_PEAK_WINDOW: Final = 35# the same within the whole cooling window
WINDOW_S: Final = 36           # seconds within the cooling window [s]
JUDGED_S: Final = 37           # of them, seconds after the allowance [s]
COMFORTABLE_S: Final = 38      # of them, seconds within the limit [s]
RESERVE_S: Final = 39          # seconds in which the cooler is stopped by the reserve [s]
FIRST_DISCOMFORT: Final = 40   # seconds into the interval of the first judged discomfort, or NaN
FIRST_RESERVE: Final = 41      # the same of the store being at its reserve, at any hour, or NaN
FIRST_SHORTAGE: Final = 42     # the same of energy holding the cooler back, or NaN
INCIDENT_ARRAYS: Final = 43    # irradiance on the arrays, weighted by rated power [W/m2]
FIRST_UNMET: Final = 44        # seconds into the interval of the first load not served, or NaN
FIRST_AT_SET_POINT: Final = 45 # the same of the set point being met in the window, or NaN
DISCOMFORT_STATE: Final = 46   # what the cooler did at the first discomfort, or 0
COOLING_SPARE: Final = 47      # of the highest allowed stage, where most is asked of it, or NaN [W]
WATER_EXCHANGE: Final = 48     # water that exchanged air brings, less what it carries off [kg/s]
WATER_GAINS: Final = 49        # water vapour that people give off [kg/s]
WATER_COIL: Final = 50         # water that the cooler's coil takes out [kg/s]
WATER_DEW: Final = 51          # dew on the coldest face, which the cabin air loses [kg/s]
WATER_STORED: Final = 52       # in the air and what it buffers, at the interval's end [kg]
# fmt: on

CHANNELS: Final = (
    "outdoor",
    "cabin",
    "radiant",
    "contents",
    "humidity",
    "sensible",
    "latent",
    "duty",
    "high_fraction",
    "cooler_power",
    "cooler_fan",
    "heating",
    "heater_power",
    "load_power",
    "standing_power",
    "solar",
    "solar_used",
    "curtailed",
    "alternator",
    "shore",
    "charge",
    "discharge",
    "battery_loss",
    "unmet",
    "stored",
    "stored_lowest",
    "solar_in",
    "solar_gain",
    "envelope",
    "air_exchange",
    "gains",
    "stored_heat_change",
    "outdoor_airflow",
    "comfort",
    "comfort_peak",
    "comfort_peak_window",
    "window_s",
    "judged_s",
    "comfortable_s",
    "reserve_s",
    "first_discomfort",
    "first_reserve",
    "first_shortage",
    "incident_arrays",
    "first_unmet",
    "first_at_set_point",
    "discomfort_state",
    "cooling_spare",
    "water_exchange",
    "water_gains",
    "water_coil",
    "water_dew",
    "water_stored",
)
