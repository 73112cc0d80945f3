"""Where the rig stands and what is done with it: place, operation, comfort, start."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from noonhold.rig import Policy


class ComfortMeasure(StrEnum):
    """By which number comfort is judged."""

    OPERATIVE = "operative"
    AIR = "air"
    HEAT_INDEX = "heat_index"
    PMV = "pmv"


class Terrain(StrEnum):
    """Roughness of the ground around the rig, for bringing the station's wind down to it."""

    OPEN = "open"
    SUBURBAN = "suburban"
    URBAN = "urban"


class Ground(StrEnum):
    """What the rig stands on."""

    ASPHALT = "asphalt"
    CONCRETE = "concrete"
    GRAVEL = "gravel"
    SOIL = "soil"
    GRASS = "grass"
    SNOW = "snow"
    AIR_TEMPERATURE = (
        "air_temperature"  # no balance: as warm as the air, underside dark, for test cases
    )


class CoverState(StrEnum):
    """Which covers are drawn."""

    OPEN = "open"
    INSIDE = "inside"
    OUTSIDE = "outside"
    ALL = "all"


COVER_STATES = tuple(CoverState)  # the order of every axis of cover states


@dataclass(frozen=True)
class Shade:
    """Shade that stands at the place by hour: which share of beam and diffuse it keeps off.

    ``applies_to`` names ``cabin``, ``ground``, ``arrays`` or single arrays. What falls on the
    cabin falls on the ground around it, too.
    """

    from_hour: float
    to_hour: float
    beam_blocked: float
    diffuse_blocked: float
    applies_to: tuple[str, ...] = ("cabin", "arrays")


@dataclass(frozen=True)
class Place:
    """Where the rig stands. ``heading_deg`` is the compass direction of the rig's front.

    What is ``None`` of the ground is that of the ground named, see
    :func:`noonhold.envelope.ground_surface.ground_surface`.
    """

    latitude: float
    longitude: float
    elevation_m: float
    timezone: str | None = None
    heading_deg: float = 0.0
    ground: Ground = Ground.SOIL
    ground_albedo: float | None = None
    ground_emittance: float | None = None
    ground_thermal_inertia_j_m2ks05: float | None = None
    ground_evaporation_resistance_s_m: float | None = None
    terrain: Terrain = Terrain.OPEN
    shade: tuple[Shade, ...] = ()
    horizon: tuple[tuple[float, float], ...] = ()  # (compass azimuth, elevation) in degrees


@dataclass(frozen=True)
class Setting:
    """What a span of the clock changes; ``None`` leaves the earlier setting."""

    set_point_c: float | None = None
    heating_set_point_c: float | None = None
    policy: Policy | None = None
    driving_speed_km_h: float | None = None
    covers: CoverState | None = None
    vents_open: bool | None = None
    occupants: float | None = None
    deployed: bool | None = None
    shore: bool | None = None


@dataclass(frozen=True)
class Span:
    """A setting from one hour of the clock to another, every day; may pass midnight."""

    from_hour: float
    to_hour: float
    setting: Setting


@dataclass(frozen=True)
class Operation:
    """What is done over a day of the clock; later spans overrule earlier ones.

    Outside ``cooling_window`` the cooler is off whatever the policy says. Set-out arrays stand
    outside in ``set_out``, unless a span says whether they are deployed. Parked, covers open,
    vents closed, nobody inside, arrays and awnings deployed, no shore power, unless a span says
    otherwise.
    """

    set_point_c: float
    policy: Policy = Policy.LOW_THEN_HIGH
    cooling_window: tuple[float, float] = (0.0, 24.0)
    heating_set_point_c: float | None = None
    spans: tuple[Span, ...] = ()
    set_out: tuple[float, float] = (8.0, 20.0)
    fresh_air_m3_h_per_occupant: float = 0.0
    sensible_w_per_occupant: float = 70.0
    latent_w_per_occupant: float = 45.0


@dataclass(frozen=True)
class Comfort:
    """The comfort limit, by which measure, and what a day must reach."""

    measure: ComfortMeasure
    limit: float
    required_fraction: float = 0.95
    allowance_h: float = 1.0
    metabolic_met: float = 1.2
    clothing_clo: float = 0.5
    air_speed_m_s: float = 0.2


@dataclass(frozen=True)
class Start:
    """The state at the first moment.

    ``cabin_temperature_c`` of ``None`` with ``spin_up_days`` of zero starts at the outdoor air;
    ``spin_up_days`` above zero spins the rig up on that many days before. ``state_of_charge`` of
    ``None`` is the settled one: the charge with which a described day repeats, or the one carried
    through the days before a stretch of a year, full at their beginning.
    """

    state_of_charge: float | None
    cabin_temperature_c: float | None = None
    spin_up_days: int = 0


@dataclass(frozen=True)
class Scenario:
    """Everything about a run that is not the rig or the weather."""

    place: Place
    operation: Operation
    comfort: Comfort
    start: Start = field(default_factory=lambda: Start(state_of_charge=1.0))
