"""The rig: what the workshop builds, as frozen dataclasses in SI units.

Nothing here computes; `noonhold.documents` makes these from JSON and the modules of the physics
turn them into plain arrays.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Exposure(StrEnum):
    """What the outer face of a panel sees."""

    OUTDOORS = "outdoors"  # sun, sky, ground and wind
    UNDERSIDE = "underside"  # outdoor air and wind, the ground under the rig and beside it
    SHELTERED = "sheltered"  # outdoor air, no sun, no wind
    ADIABATIC = "adiabatic"  # no heat passes, as at a wall to a space kept alike


class Roughness(StrEnum):
    """How rough an outer face is to the wind, with the surfaces that the words were made for."""

    VERY_ROUGH = "very_rough"  # stucco
    ROUGH = "rough"  # brick, rough plaster
    MEDIUM_ROUGH = "medium_rough"  # concrete
    MEDIUM_SMOOTH = "medium_smooth"  # clear pine
    SMOOTH = "smooth"  # smooth plaster
    VERY_SMOOTH = "very_smooth"  # glass, painted wood


class Mount(StrEnum):
    """How air reaches the back of a solar array; sets its heat-loss factors."""

    ROOF_FLUSH = "roof_flush"
    ROOF_RAISED = "roof_raised"
    OPEN_STAND = "open_stand"


class Policy(StrEnum):
    """Which stages of the cooler the thermostat may use."""

    LOW_ONLY = "low_only"
    LOW_THEN_HIGH = "low_then_high"
    HIGH_ONLY = "high_only"
    FAN_ONLY = "fan_only"
    OFF = "off"


class CoverPosition(StrEnum):
    """On which side of the glass a window cover hangs."""

    INSIDE = "inside"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class Layer:
    """A homogeneous layer of a panel; zero density or specific heat makes it a resistance only."""

    thickness_m: float
    conductivity_w_mk: float
    density_kg_m3: float
    specific_heat_j_kgk: float
    material: str = ""

    @property
    def resistance_m2k_w(self) -> float:
        """Thermal resistance of the layer, in m2K/W."""
        return self.thickness_m / self.conductivity_w_mk

    @property
    def capacity_j_m2k(self) -> float:
        """Heat capacity of the layer per area, in J/m2K."""
        return self.thickness_m * self.density_kg_m3 * self.specific_heat_j_kgk


@dataclass(frozen=True)
class FixedCoefficients:
    """Constant surface coefficients, as standard test cases ask; ``None`` means computed.

    ``inside_film`` and ``outside_film`` combine convection and radiation into one coefficient to
    the air and so switch off the separate long-wave exchange of that face.
    """

    inside_convection_w_m2k: float | None = None
    inside_radiation_w_m2k: float | None = None
    inside_film_w_m2k: float | None = None
    outside_convection_w_m2k: float | None = None
    outside_film_w_m2k: float | None = None


@dataclass(frozen=True)
class Extent:
    """Where an upright rectangle lies on its side of the rig; needed only under an awning.

    ``bottom_m`` is the height of its lower edge above the lower edge of that side's wall,
    ``offset_m`` the place of its middle along the wall from the wall's middle, positive to the
    right seen from outside.
    """

    width_m: float
    height_m: float
    bottom_m: float = 0.0
    offset_m: float = 0.0


@dataclass(frozen=True)
class Panel:
    """An opaque part of the shell: a wall, the roof, the floor or a piece of one.

    ``tilt_deg`` is 0 facing up, 90 upright, 180 facing down; ``azimuth_from_front_deg`` is the
    direction the outer face looks, clockwise seen from above, 0 at the rig's front.
    Either ``layers`` from the outer to the inner face, or an air-to-air ``u_value_w_m2k`` with
    ``heat_capacity_kj_m2k``.
    """

    name: str
    tilt_deg: float
    azimuth_from_front_deg: float
    area_m2: float
    layers: tuple[Layer, ...] = ()
    u_value_w_m2k: float | None = None
    heat_capacity_kj_m2k: float | None = None
    solar_absorptance: float = 0.6
    thermal_emittance: float = 0.9
    inside_solar_absorptance: float = 0.6
    inside_thermal_emittance: float = 0.9
    surface_roughness: Roughness = Roughness.SMOOTH
    exposed_to: Exposure = Exposure.OUTDOORS
    coefficients: FixedCoefficients = field(default_factory=FixedCoefficients)
    extent: Extent | None = None


@dataclass(frozen=True)
class Cover:
    """A cover drawn over a window: what it transmits, reflects and insulates."""

    position: CoverPosition
    solar_transmittance: float
    solar_reflectance: float
    added_resistance_m2k_w: float


@dataclass(frozen=True)
class Window:
    """A window: a resistance without capacity that lets sun in.

    ``u_value_w_m2k`` is with the standard films 8.29 inside and 21.0 outside [W/m2K];
    ``solar_heat_gain_coefficient`` is at normal incidence. ``solar_transmittance`` is the part of
    it that passes directly; ``None`` lets it follow from the coefficient. ``panes`` shapes the
    angular curve.
    """

    name: str
    tilt_deg: float
    azimuth_from_front_deg: float
    area_m2: float
    u_value_w_m2k: float
    solar_heat_gain_coefficient: float
    solar_transmittance: float | None = None
    panes: int = 2
    thermal_emittance: float = 0.84
    covers: tuple[Cover, ...] = ()
    coefficients: FixedCoefficients = field(default_factory=FixedCoefficients)
    extent: Extent | None = None


@dataclass(frozen=True)
class Leakage:
    """Air that leaks unasked: constant air changes or an area, driven by stack and wind."""

    air_changes_per_hour: float | None = None
    leakage_area_cm2: float | None = None
    shelter_class: int = 2


@dataclass(frozen=True)
class Vent:
    """An opening or fan that the schedule opens: a driven flow, or an area like the leakage's."""

    name: str
    airflow_m3_h: float = 0.0
    opening_area_cm2: float = 0.0
    fan_power_w: float = 0.0


@dataclass(frozen=True)
class Shell:
    """The cabin: its air, its contents, its panels and windows.

    ``ground_clearance_m`` is the height of its underside above the ground.
    ``thermal_bridges_w_k`` is what frames, corners and fixings conduct beside the layers: lengths
    times linear transmittances and point transmittances, added up.
    """

    volume_m3: float
    contents_heat_capacity_kj_k: float
    contents_area_m2: float
    leakage: Leakage
    panels: tuple[Panel, ...]
    windows: tuple[Window, ...] = ()
    vents: tuple[Vent, ...] = ()
    moisture_buffer_factor: float = 10.0
    contents_solar_fraction: float = 0.2
    mid_height_m: float = 1.7
    ground_clearance_m: float = 0.8
    thermal_bridges_w_k: float = 0.0


@dataclass(frozen=True)
class Awning:
    """A level cloth set out from one side of the rig: shades by geometry while deployed.

    ``side_azimuth_from_front_deg`` is the direction the wall it hangs on looks. ``height_m`` is
    its height above the lower edge of that wall, ``length_m`` its extent along the wall, centred,
    ``depth_m`` its reach out from the wall. ``left_curtain_drop_m`` and ``right_curtain_drop_m``
    say how far an upright curtain of the same cloth, as deep, hangs down from that end, left and
    right seen from outside; 0 is none.
    """

    side_azimuth_from_front_deg: float
    depth_m: float
    length_m: float
    height_m: float
    solar_transmittance: float = 0.0
    left_curtain_drop_m: float = 0.0
    right_curtain_drop_m: float = 0.0


@dataclass(frozen=True)
class Stage:
    """One stage of the cooler at its rating point: net total cooling and all electricity."""

    name: str
    cooling_w: float
    power_w: float


@dataclass(frozen=True)
class RatingPoint:
    """The air states a cooler is rated at; the defaults are ISO 5151 T1."""

    outdoor_c: float = 35.0
    inside_c: float = 27.0
    inside_wet_bulb_c: float = 19.0
    pressure_pa: float = 101325.0


@dataclass(frozen=True)
class PerformanceMap:
    """Gross capacity and compressor power over outdoor dry bulb and entering wet bulb.

    Both tables are ratios to the values at the rating point, shape (outdoor, wet bulb).
    """

    outdoor_c: tuple[float, ...]
    wet_bulb_c: tuple[float, ...]
    capacity_ratio: tuple[tuple[float, ...], ...]
    power_ratio: tuple[tuple[float, ...], ...]


class CondenserInstallation(StrEnum):
    """How freely the condenser's exhaust gets away from its inlet."""

    FREE = "free"  # open air on all sides
    BESIDE_WALL = "beside_wall"  # blowing along or against a wall close by
    ROOF_SHROUD = "roof_shroud"  # under a cowl on the roof
    ENCLOSED = "enclosed"  # in a locker behind a grille


@dataclass(frozen=True)
class SpeedPoint:
    """Net efficiency at part of the highest stage's cooling, over that at the highest stage."""

    cooling_fraction: float
    efficiency_ratio: float


@dataclass(frozen=True)
class Modulation:
    """How far a variable-speed cooler goes down, and how efficient it is on the way.

    ``least_fraction`` is of the highest stage's cooling; below it the cooler cycles. Without
    ``part_load`` several stages are the points, and one stage follows the laboratory's.
    """

    least_fraction: float = 1.0 / 3.0
    part_load: tuple[SpeedPoint, ...] = ()


@dataclass(frozen=True)
class Ducts:
    """Cooled air lost on its way: a part of the cooling, of which a part still cools the cabin."""

    loss_fraction: float
    to_cabin_fraction: float = 0.0


@dataclass(frozen=True)
class Supply:
    """How the cooler gets its power: straight from the battery bus, or through an inverter."""

    efficiency: float = 1.0
    idle_power_w: float = 0.0
    through_inverter: bool = False


@dataclass(frozen=True)
class Cooler:
    """A vapour-compression cooler with one or more stages.

    ``cooling_w`` of a stage is net of the indoor fan's heat and ``power_w`` includes both fans, as
    ISO 5151 rates it; ``sensible_heat_ratio`` is net sensible over net total at the rating point.
    The condenser's air is warmer by ``condenser_air_rise_k``, or by what ``condenser_installation``
    lets it breathe again.
    """

    stages: tuple[Stage, ...]
    airflow_m3_h: float
    sensible_heat_ratio: float
    fan_power_w: float
    rating: RatingPoint = field(default_factory=RatingPoint)
    performance_map: PerformanceMap | None = None
    degradation_coefficient: float = 0.25
    variable_speed: bool = False
    fan_always_on: bool = False
    condenser_air_rise_k: float = 0.0
    condenser_installation: CondenserInstallation | None = None
    condenser_airflow_m3_h: float | None = None
    modulation: Modulation | None = None
    standby_power_w: float = 0.0
    ducts: Ducts | None = None
    supply: Supply = field(default_factory=Supply)


@dataclass(frozen=True)
class Heater:
    """A heater that puts its heat into the cabin air."""

    heating_w: float
    power_w: float


@dataclass(frozen=True)
class BatteryPoint:
    """What a battery has at a temperature, over what it has at its rating."""

    temperature_c: float
    capacity_ratio: float = 1.0
    efficiency_ratio: float = 1.0


@dataclass(frozen=True)
class Battery:
    """The house battery as an energy store.

    The lower of a power limit and a C-rate holds. Above ``taper_from_fraction`` of its charge the
    charging limit falls to a twentieth at full. ``by_temperature`` is linear between its points
    and constant beyond: energy that a cold battery cannot give stays in it.
    """

    usable_energy_wh: float
    charge_efficiency: float = 0.97
    discharge_efficiency: float = 0.97
    max_charge_w: float = float("inf")
    max_discharge_w: float = float("inf")
    charge_c_rate: float = float("inf")
    discharge_c_rate: float = float("inf")
    taper_from_fraction: float = 1.0
    by_temperature: tuple[BatteryPoint, ...] = ()
    reserve_fraction: float = 0.1
    recovery_fraction: float = 0.05
    charge_temperature_c: tuple[float, float] = (0.0, 45.0)
    discharge_temperature_c: tuple[float, float] = (-20.0, 60.0)
    in_cabin: bool = True


@dataclass(frozen=True)
class Aim:
    """Where a set-out array looks from an hour of the clock on (compass azimuth)."""

    from_hour: float
    tilt_deg: float
    azimuth_deg: float


@dataclass(frozen=True)
class Obstacle:
    """A raised part of the rig beside a fixed array: an upright box on the array's plane.

    Its middle stands ``right_m`` and ``front_m`` from the array's middle; ``width_m`` is across
    the rig, ``length_m`` along it. ``hours`` are spans of the clock in which it is up, empty means
    always.
    """

    name: str
    right_m: float
    front_m: float
    width_m: float
    length_m: float
    height_m: float
    hours: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class SolarArray:
    """A photovoltaic array on the roof or set out beside the rig.

    A fixed array turns with the rig (``azimuth_from_front_deg``); a set-out one (``folding``)
    stands on the ground, looks to the compass azimuths of ``aims`` and yields only while deployed.
    ``mirrored_south`` says that the aims are written for the northern hemisphere and are mirrored
    (180 degrees less the azimuth) south of the equator, so that one rig serves both.
    """

    name: str
    rated_power_w: float
    mount: Mount
    tilt_deg: float = 0.0
    azimuth_from_front_deg: float = 0.0
    folding: bool = False
    aims: tuple[Aim, ...] = ()
    mirrored_south: bool = False
    temperature_coefficient_per_k: float = -0.0035
    system_loss_fraction: float = 0.1
    controller: str = ""
    shades_panel: str = ""
    area_m2: float = 0.0
    soiling_fraction: float = 0.0
    width_m: float = 0.0
    length_m: float = 0.0
    obstacles: tuple[Obstacle, ...] = ()
    bypass_strips: int = 3


@dataclass(frozen=True)
class Controller:
    """A charge controller that one or more arrays share."""

    name: str
    max_power_w: float
    efficiency: float = 0.97


@dataclass(frozen=True)
class Charging:
    """Other sources: the vehicle's alternator while driving, shore power where switched on."""

    alternator_w: float = 0.0
    shore_power_w: float = 0.0


@dataclass(frozen=True)
class Thermostatic:
    """What makes a load follow the temperature around it, as a refrigerator does.

    The load's power is that at ``rated_ambient_c``; ``inside_c`` is the mean temperature it keeps.
    """

    rated_ambient_c: float = 25.0
    inside_c: float = 4.0
    constant_fraction: float = 0.0
    most_power_w: float = float("inf")
    in_cabin: bool = True


@dataclass(frozen=True)
class Load:
    """A house load; ``hours`` are spans of the clock, empty means all day."""

    name: str
    power_w: float
    hours: tuple[tuple[float, float], ...] = ()
    heat_to_cabin_fraction: float = 1.0
    radiant_fraction: float = 0.0
    thermostatic: Thermostatic | None = None


@dataclass(frozen=True)
class Rig:
    """The whole rig."""

    name: str
    shell: Shell
    battery: Battery
    cooler: Cooler | None = None
    heater: Heater | None = None
    arrays: tuple[SolarArray, ...] = ()
    controllers: tuple[Controller, ...] = ()
    charging: Charging = field(default_factory=Charging)
    loads: tuple[Load, ...] = ()
    standing_power_w: float = 0.0
    awnings: tuple[Awning, ...] = ()
