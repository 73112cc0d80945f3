"""The one table of numbers: name, unit, meaning, bounds, and the names CF gives them.

Schemas, faults, the service's ``GET /v1/quantities`` and the attributes of a result all read it,
so a number has one unit and one pair of bounds wherever it appears. The bounds are wide: they
keep out slips of the unit and the sign, not unusual rigs.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import IntEnum
from types import MappingProxyType

FAHRENHEIT = "it may be in degF: take 32 away and divide by 1.8"
PERCENT = "it may be in percent: divide by 100"
KILOWATT = "it may be in kW: multiply by 1000"
BTU = "it may be in BTU/h: divide by 3.412"
MILLIMETRE = "it may be in mm: divide by 1000"
SQUARE_FEET = "it may be in square feet: divide by 10.76"
PASCAL = "it may be in hPa (multiply by 100) or kPa (multiply by 1000)"
SWAPPED = "latitude and longitude may be swapped"
FEET = "it may be in feet: divide by 3.281"


class Verdict(IntEnum):
    """What a day does, the better the higher; in documents its name in small letters."""

    FAILS = 0
    NARROWLY = 1  # it holds, and its adverse twin does not
    HOLDS = 2

    @property
    def word(self) -> str:
        """Return the word that stands for it in every document."""
        return self.name.lower()


class Cause(IntEnum):
    """What made a day fail, by what came first in time; in documents its name in small letters."""

    NONE = 0
    CAPACITY = 1  # the highest stage full out and still above the set point, or no cooler
    ENERGY_BALANCE = 2  # at the reserve, or loads unserved: the day takes more than it gives
    ENERGY_STORAGE = 3  # the same, though the day gives what it takes: too small a battery
    MEASURE = 4  # capacity to spare, yet walls or humidity keep the measure above the limit
    SCHEDULE = 5  # cooling not allowed, a stage not allowed, or begun too late to pull down

    @property
    def word(self) -> str:
        """Return the word that stands for it in every document."""
        return self.name.lower()

    @property
    def of_energy(self) -> bool:
        """Tell whether energy was lacking."""
        return self in (Cause.ENERGY_BALANCE, Cause.ENERGY_STORAGE)


@dataclass(frozen=True)
class Quantity:
    """One number of the documents or of a result.

    Parameters
    ----------
    name : str
        The field's or variable's name.
    unit : str
        Unit as UDUNITS writes it, ``1`` for a ratio.
    description : str
        What it is, in one sentence.
    lower, upper : float
        Inclusive bounds.
    standard_name : str, optional
        CF standard name, where CF has one that says no more than we do.
    cell_method : str, optional
        ``mean`` or ``minimum`` over the interval, ``point`` at its end, for a result's variables.
    low_hint, high_hint : str, optional
        The likely unit mix-up behind a value below or above the bounds.
    """

    name: str
    unit: str
    description: str
    lower: float
    upper: float
    standard_name: str | None = None
    cell_method: str | None = None
    low_hint: str | None = None
    high_hint: str | None = None

    @property
    def bound(self) -> str:
        """Return the bounds in short, for example ``0 <= value <= 1``."""
        return bound_text(self.lower, self.upper, self.unit)


def bound_text(lower: float, upper: float, unit: str) -> str:
    """Return bounds as a fault tells them.

    Parameters
    ----------
    lower, upper : float
        Inclusive bounds.
    unit : str
        Unit, left out where it is ``1``.

    Returns
    -------
    str

    Examples
    --------
    >>> bound_text(0.0, 60.0, "degC")
    '0 <= value <= 60 degC'
    """
    return f"{lower:.10g} <= value <= {upper:.10g}" + ("" if unit == "1" else f" {unit}")


Q = Quantity

_SHELL = (
    Q("tilt_deg", "degree", "Tilt of the outer face: 0 up, 90 upright, 180 down.", 0, 180),
    Q(
        "azimuth_from_front_deg",
        "degree",
        "Where the outer face looks, clockwise from the rig's front seen from above.",
        -360,
        360,
    ),
    Q("area_m2", "m2", "Area.", 0.0001, 1000, high_hint=SQUARE_FEET),
    Q("thickness_m", "m", "Thickness of a layer.", 0.00001, 2, high_hint=MILLIMETRE),
    Q("conductivity_w_mk", "W m-1 K-1", "Thermal conductivity of a layer.", 0.001, 500),
    Q("density_kg_m3", "kg m-3", "Density of a layer; 0 for no heat capacity.", 0, 25000),
    Q("specific_heat_j_kgk", "J kg-1 K-1", "Specific heat of a layer.", 0, 10000),
    Q("thermal_resistance_m2k_w", "m2 K W-1", "Resistance of a massless layer.", 0.0001, 100),
    Q("u_value_w_m2k", "W m-2 K-1", "Air-to-air thermal transmittance.", 0.005, 10),
    Q("heat_capacity_kj_m2k", "kJ m-2 K-1", "Heat capacity of a panel per area.", 0, 5000),
    Q("solar_absorptance", "1", "Share of sunlight absorbed outside.", 0, 1, high_hint=PERCENT),
    Q("thermal_emittance", "1", "Long-wave emittance outside.", 0, 1, high_hint=PERCENT),
    Q("inside_solar_absorptance", "1", "Share of sunlight absorbed inside.", 0, 1),
    Q("inside_thermal_emittance", "1", "Long-wave emittance inside.", 0, 1),
    Q("inside_convection_w_m2k", "W m-2 K-1", "Fixed inside convection.", 0, 1000),
    Q("inside_radiation_w_m2k", "W m-2 K-1", "Fixed inside radiative coefficient.", 0, 1000),
    Q("inside_film_w_m2k", "W m-2 K-1", "Fixed combined inside coefficient.", 0.01, 1000),
    Q("outside_convection_w_m2k", "W m-2 K-1", "Fixed outside convection.", 0, 1000),
    Q("outside_film_w_m2k", "W m-2 K-1", "Fixed combined outside coefficient.", 0.01, 1000),
    Q("width_m", "m", "Width.", 0.01, 100, high_hint=MILLIMETRE),
    Q("height_m", "m", "Height.", 0.01, 100, high_hint=MILLIMETRE),
    Q("length_m", "m", "Length.", 0.01, 100, high_hint=MILLIMETRE),
    Q("depth_m", "m", "Reach of an awning out from its wall.", 0.01, 20, high_hint=MILLIMETRE),
    Q(
        "left_curtain_drop_m",
        "m",
        "How far a curtain hangs down from an awning's left end, seen from outside; 0 for none.",
        0,
        100,
        high_hint=MILLIMETRE,
    ),
    Q(
        "right_curtain_drop_m",
        "m",
        "How far a curtain hangs down from an awning's right end, seen from outside; 0 for none.",
        0,
        100,
        high_hint=MILLIMETRE,
    ),
    Q("bottom_m", "m", "Height of the lower edge above that of the wall.", 0, 50),
    Q("offset_m", "m", "Place along the wall, right of its middle positive.", -50, 50),
    Q(
        "solar_heat_gain_coefficient",
        "1",
        "Solar heat gain of the glass at normal incidence.",
        0,
        1,
        high_hint=PERCENT,
    ),
    Q("solar_transmittance", "1", "Share of sunlight let through.", 0, 1, high_hint=PERCENT),
    Q("solar_reflectance", "1", "Share of sunlight thrown back.", 0, 1, high_hint=PERCENT),
    Q("added_resistance_m2k_w", "m2 K W-1", "Resistance that a drawn cover adds.", 0, 20),
    Q("panes", "1", "Panes of a window, for its angular curve.", 1, 4),
    Q("air_changes_per_hour", "h-1", "Constant leakage.", 0, 100),
    Q("leakage_area_cm2", "cm2", "Effective leakage area at 4 Pa.", 0, 100000),
    Q("shelter_class", "1", "Shelter from wind: 1 none to 5 dense.", 1, 5),
    Q("airflow_m3_h", "m3 h-1", "Volume flow of air.", 0, 1e6),
    Q("opening_area_cm2", "cm2", "Open area of a vent.", 0, 100000),
    Q("fan_power_w", "W", "Electric power of a fan.", 0, 50000),
    Q(
        "volume_m3",
        "m3",
        "Air volume of the cabin.",
        0.2,
        1000,
        high_hint="it may be in cubic feet (divide by 35.31) or litres (divide by 1000)",
    ),
    Q("contents_heat_capacity_kj_k", "kJ K-1", "Heat capacity of all contents.", 0, 1e6),
    Q("contents_area_m2", "m2", "Surface of the contents towards the air.", 0.01, 5000),
    Q("moisture_buffer_factor", "1", "Moisture capacity as a multiple of the air's.", 1, 1000),
    Q("contents_solar_fraction", "1", "Share of the sun inside that the contents take.", 0, 1),
    Q("mid_height_m", "m", "Height of the cabin's middle above the ground.", 0.1, 50),
)

_MACHINES = (
    Q(
        "cooling_w",
        "W",
        "Net total cooling at the rating point.",
        1,
        1e6,
        None,
        None,
        KILOWATT,
        BTU,
    ),
    Q("heating_w", "W", "Heat that the heater gives.", 1, 1e6, None, None, KILOWATT, BTU),
    Q("power_w", "W", "Electric power drawn.", 0, 1e6),
    Q("outdoor_c", "degC", "Outdoor dry bulb.", -50, 75, high_hint=FAHRENHEIT),
    Q("inside_c", "degC", "Inside dry bulb.", -20, 60, high_hint=FAHRENHEIT),
    Q("inside_wet_bulb_c", "degC", "Inside wet bulb.", -20, 50, high_hint=FAHRENHEIT),
    Q("wet_bulb_c", "degC", "Wet bulb entering the coil.", -20, 50, high_hint=FAHRENHEIT),
    Q(
        "pressure_pa",
        "Pa",
        "Air pressure of the place.",
        30000,
        110000,
        "surface_air_pressure",
        low_hint=PASCAL,
    ),
    Q("capacity_ratio", "1", "Gross capacity over that at the rating point.", 0.01, 10),
    Q("power_ratio", "1", "Compressor power over that at the rating point.", 0.01, 10),
    Q("sensible_heat_ratio", "1", "Net sensible over net total.", 0.2, 1, high_hint=PERCENT),
    Q("degradation_coefficient", "1", "Loss by cycling, C_D.", 0, 0.9, high_hint=PERCENT),
    Q("condenser_air_rise_k", "K", "Condenser air above the outdoor air.", 0, 50),
    Q("condenser_airflow_m3_h", "m3 h-1", "Volume flow of air at the condenser.", 10, 1e6),
    Q("least_fraction", "1", "Least cooling over that of the highest stage.", 0.05, 1),
    Q("cooling_fraction", "1", "Cooling over that of the highest stage.", 0.02, 1),
    Q("efficiency_ratio", "1", "Net efficiency over that at the highest stage.", 0.2, 5),
    Q("standby_power_w", "W", "Draw while it is on and its compressor rests.", 0, 1000),
    Q("loss_fraction", "1", "Part of the cooling that ducts lose.", 0, 0.9, high_hint=PERCENT),
    Q("to_cabin_fraction", "1", "Part of that loss which still cools the cabin.", 0, 1),
    Q("efficiency", "1", "Power out over power in.", 0.2, 1, high_hint=PERCENT),
    Q("idle_power_w", "W", "Draw of a converter while it is on.", 0, 10000),
    Q(
        "usable_energy_wh",
        "W h",
        "Usable energy of the battery.",
        25,
        1e7,
        low_hint="it may be in kWh: multiply by 1000",
    ),
    Q("charge_efficiency", "1", "Energy stored over energy in.", 0.2, 1, high_hint=PERCENT),
    Q("discharge_efficiency", "1", "Energy out over energy taken.", 0.2, 1, high_hint=PERCENT),
    Q("max_charge_w", "W", "Highest charging power.", 1, 1e6, low_hint=KILOWATT),
    Q("max_discharge_w", "W", "Highest discharging power.", 1, 1e6, low_hint=KILOWATT),
    Q("charge_c_rate", "h-1", "Highest charging power over the usable energy.", 0.01, 20),
    Q("discharge_c_rate", "h-1", "Highest discharging power over the usable energy.", 0.01, 20),
    Q("taper_from_fraction", "1", "Charge from which the charging limit falls.", 0.2, 1),
    Q("temperature_c", "degC", "Temperature of the battery.", -40, 70, high_hint=FAHRENHEIT),
    Q("reserve_fraction", "1", "Charge at which the cooler stops.", 0, 0.95, high_hint=PERCENT),
    Q("recovery_fraction", "1", "Charge above the reserve to restart.", 0, 1, high_hint=PERCENT),
    Q("charge_temperature_c", "degC", "Range in which charging works.", -60, 100),
    Q("discharge_temperature_c", "degC", "Range in which discharging works.", -60, 100),
    Q("rated_power_w", "W", "Array power at 1000 W/m2 and 25 degC.", 1, 1e6, low_hint=KILOWATT),
    Q(
        "temperature_coefficient_per_k",
        "K-1",
        "Change of array power per kelvin of the cells.",
        -0.02,
        0.005,
        low_hint=PERCENT,
    ),
    Q("system_loss_fraction", "1", "Soiling, wiring, mismatch.", 0, 0.9, high_hint=PERCENT),
    Q("soiling_fraction", "1", "Lost to dirt on the glass.", 0, 0.9, high_hint=PERCENT),
    Q("right_m", "m", "Middle right of the array's middle.", -50, 50),
    Q("front_m", "m", "Middle before the array's middle.", -50, 50),
    Q("bypass_strips", "1", "Strips of an array that bypass diodes bridge.", 1, 60),
    Q("max_power_w", "W", "Output limit of a charge controller.", 1, 1e6, low_hint=KILOWATT),
    Q("alternator_w", "W", "Charging power while driving.", 0, 1e6),
    Q("heat_to_cabin_fraction", "1", "Share of a load's power that heats the cabin.", 0, 1),
    Q("radiant_fraction", "1", "Share of that heat given off as radiation.", 0, 1),
    Q("rated_ambient_c", "degC", "Temperature around a load at its rated power.", 5, 60),
    Q("constant_fraction", "1", "Part of a load's power that no temperature moves.", 0, 1),
    Q("most_power_w", "W", "Highest power of a load.", 0, 1e6),
    Q("standing_power_w", "W", "Constant draw of the electronics.", 0, 10000),
)

_SCENARIO = (
    Q("latitude", "degrees_north", "North positive.", -90, 90, "latitude", None, SWAPPED, SWAPPED),
    Q("longitude", "degrees_east", "East positive.", -180, 180, "longitude"),
    Q(
        "elevation_m",
        "m",
        "Height above sea level.",
        -450,
        9000,
        "surface_altitude",
        high_hint=FEET,
    ),
    Q("heading_deg", "degree", "Compass direction of the rig's front.", 0, 360),
    Q("ground_albedo", "1", "Share of sunlight the ground reflects.", 0, 1, high_hint=PERCENT),
    Q("beam_blocked", "1", "Share of the direct sun kept off.", 0, 1, high_hint=PERCENT),
    Q("diffuse_blocked", "1", "Share of the diffuse sun kept off.", 0, 1, high_hint=PERCENT),
    Q("azimuth_deg", "degree", "Compass direction, clockwise from north.", 0, 360),
    Q("elevation_deg", "degree", "Angle above the level.", 0, 90),
    Q("set_point_c", "degC", "Cabin air the cooler holds.", -20, 60, high_hint=FAHRENHEIT),
    Q("heating_set_point_c", "degC", "Cabin air the heater holds.", -50, 60, high_hint=FAHRENHEIT),
    Q("driving_speed_km_h", "km h-1", "Driving speed; 0 is parked.", 0, 200),
    Q("occupants", "1", "People inside.", 0, 50),
    Q("fresh_air_m3_h_per_occupant", "m3 h-1", "Outdoor air for each occupant.", 0, 1000),
    Q("sensible_w_per_occupant", "W", "Sensible heat of each occupant.", 0, 1000),
    Q("latent_w_per_occupant", "W", "Latent heat of each occupant.", 0, 1000),
    Q("limit", "1", "Comfort limit: degC, or votes for pmv.", -3, 60, high_hint=FAHRENHEIT),
    Q("required_fraction", "1", "Share of the time within the limit.", 0, 1, high_hint=PERCENT),
    Q("allowance_h", "h", "Pull-down time that is not judged.", 0, 24),
    Q("metabolic_met", "1", "Metabolic rate in met, for pmv.", 0.7, 5),
    Q("clothing_clo", "1", "Clothing in clo, for pmv.", 0, 3),
    Q("air_speed_m_s", "m s-1", "Air speed at the body, for pmv.", 0, 5),
    Q("spin_up_days", "d", "Days before the start to spin the rig up on.", 1, 60),
)

_WEATHER = (
    Q("days", "d", "Number of days.", 1, 366),
    Q("max_distance_km", "km", "How far off a station may stand.", 0, 20100),
    Q("interval_s", "s", "Length of an interval; divides an hour.", 60, 3600),
    Q("temp_air", "degC", "Dry bulb, at the interval's end.", -90, 60, high_hint=FAHRENHEIT),
    Q("relative_humidity", "%", "Relative humidity, at the interval's end.", 0, 110),
    Q("temp_dew", "degC", "Dew point, at the interval's end.", -99, 60, high_hint=FAHRENHEIT),
    Q("pressure", "Pa", "Pressure, at the interval's end.", 30000, 110000, low_hint=PASCAL),
    Q("wind_speed", "m s-1", "Wind at 10 m, at the interval's end.", 0, 100),
    Q("ghi", "W m-2", "Global horizontal irradiance, interval mean.", -10, 1500),
    Q("dni", "W m-2", "Direct normal irradiance, interval mean.", -10, 1500),
    Q("dhi", "W m-2", "Diffuse horizontal irradiance, interval mean.", -10, 1200),
    Q("horizontal_infrared", "W m-2", "Long wave from the sky, interval mean.", 30, 700),
    Q("opaque_sky_cover", "1", "Cloud in tenths, at the interval's end.", 0, 10),
    Q("high_c", "degC", "Highest outdoor temperature of the day.", -60, 60, high_hint=FAHRENHEIT),
    Q("low_c", "degC", "Lowest outdoor temperature of the day.", -80, 60, high_hint=FAHRENHEIT),
    Q("dew_point_c", "degC", "Dew point, constant over the day.", -80, 40, high_hint=FAHRENHEIT),
    Q("cloud_fraction", "1", "Share of the sky under cloud.", 0, 1, high_hint=PERCENT),
    Q("wind_speed_m_s", "m s-1", "Wind at 10 m, constant over the day.", 0, 50),
)

INPUTS = MappingProxyType({q.name: q for q in (*_SHELL, *_MACHINES, *_SCENARIO, *_WEATHER)})

# ---------------------------------------------------------------------------------------------
# OUTPUTS: the variables of a projection: means over the interval, or its end where said.
# ---------------------------------------------------------------------------------------------

_TEMPERATURES = (
    Q("outdoor_temperature_c", "degC", "Outdoor air.", -90, 65, "air_temperature", "mean"),
    Q("cabin_temperature_c", "degC", "Cabin air.", -100, 150, None, "mean"),
    Q("mean_radiant_temperature_c", "degC", "Mean radiant.", -100, 150, None, "mean"),
    Q("operative_temperature_c", "degC", "Mean of air and radiant.", -100, 150, None, "mean"),
    Q("contents_temperature_c", "degC", "Contents of the cabin.", -100, 150, None, "mean"),
    Q("uncooled_cabin_temperature_c", "degC", "Without the cooler.", -100, 150, None, "mean"),
    Q("cabin_relative_humidity", "%", "Cabin humidity.", 0, 100, None, "mean"),
    Q("comfort_measure", "1", "The measure asked for, in its own unit.", -100, 150, None, "mean"),
)
_COOLER = (
    Q("duty", "1", "Share of the time the compressor runs.", 0, 1, None, "mean"),
    Q("high_stage_fraction", "1", "Share of it above the lowest stage.", 0, 1, None, "mean"),
    Q("sensible_cooling_w", "W", "Sensible heat taken, net of the fan's.", -1e6, 1e6, None, "mean"),
    Q("latent_cooling_w", "W", "Latent heat taken.", 0, 1e6, None, "mean"),
    Q("cooler_power_w", "W", "Cooler, drawn from the bus.", 0, 1e6, None, "mean"),
    Q("heating_output_w", "W", "Heat from the heater.", 0, 1e6, None, "mean"),
    Q("heater_power_w", "W", "Heater, drawn from the bus.", 0, 1e6, None, "mean"),
)
_ELECTRICITY = (
    Q("load_power_w", "W", "House loads and vent fans.", 0, 1e6, None, "mean"),
    Q("standing_draw_w", "W", "Electronics that never rest.", 0, 1e6, None, "mean"),
    Q("solar_power_w", "W", "Solar at the bus, used or not.", 0, 1e6, None, "mean"),
    Q("solar_used_w", "W", "Solar that served or charged.", 0, 1e6, None, "mean"),
    Q("curtailed_solar_w", "W", "Solar that found no place.", 0, 1e6, None, "mean"),
    Q("alternator_power_w", "W", "Alternator power taken.", 0, 1e6, None, "mean"),
    Q("shore_power_w", "W", "Shore power.", 0, 1e6, None, "mean"),
    Q("battery_charge_w", "W", "Into the battery, at the bus.", 0, 1e6, None, "mean"),
    Q("battery_discharge_w", "W", "Out of the battery, at the bus.", 0, 1e6, None, "mean"),
    Q("battery_loss_w", "W", "Heat of the battery.", 0, 1e6, None, "mean"),
    Q("unmet_load_w", "W", "Demand that found no power.", 0, 1e6, None, "mean"),
    Q("state_of_charge", "1", "Charge over usable.", 0, 1, None, "point", None, PERCENT),
    Q("lowest_state_of_charge", "1", "Lowest within the interval.", 0, 1, None, "minimum"),
    Q("array_irradiance_w_m2", "W m-2", "On the arrays, by rated power.", 0, 2000, None, "mean"),
)
_HEAT = (
    Q("solar_gain_w", "W", "Sunlight that stays in the cabin.", 0, 1e6, None, "mean"),
    Q("envelope_gain_w", "W", "Heat through the outer faces.", -1e6, 1e6, None, "mean"),
    Q("air_exchange_gain_w", "W", "Heat with exchanged air.", -1e6, 1e6, None, "mean"),
    Q("inside_gain_w", "W", "People, loads, battery, glass.", -1e6, 1e6, None, "mean"),
    Q("stored_heat_change_w", "W", "Heat that the cabin stores.", -1e6, 1e6, None, "mean"),
    Q("outdoor_airflow_m3_s", "m3 s-1", "Exchanged outdoor air.", 0, 1000, None, "mean"),
)

OUTPUTS = MappingProxyType({q.name: q for q in (*_TEMPERATURES, *_COOLER, *_ELECTRICITY, *_HEAT)})

# Outputs that a document gives, too: the start's temperature and charge, the shore's power.
_ALSO_GIVEN = frozenset({"cabin_temperature_c", "state_of_charge", "shore_power_w"})

QUANTITIES = MappingProxyType({**INPUTS, **OUTPUTS})


def quantity(name: str) -> Quantity:
    """Return the quantity of a name.

    Parameters
    ----------
    name : str
        Name of a document's number field or of a result's variable.

    Returns
    -------
    Quantity

    Raises
    ------
    KeyError
        If the table has no such name.
    """
    return QUANTITIES[name]


def describe() -> list[dict[str, object]]:
    """Return the whole table as plain dicts, sorted by name, each with its ``kind``.

    Returns
    -------
    list of dict
        ``kind`` is ``input``, ``output`` or ``both`` where a document gives and a result has it.
    """
    return [
        {
            **asdict(q),
            "kind": "both" if name in _ALSO_GIVEN else "output" if name in OUTPUTS else "input",
        }
        for name, q in sorted(QUANTITIES.items())
    ]
