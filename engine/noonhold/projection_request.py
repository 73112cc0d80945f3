"""What a projection is asked for: a rig, a scenario, and which weather."""

from __future__ import annotations

from dataclasses import dataclass

from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.weather.weather_request import WeatherRequest


@dataclass(frozen=True)
class ProjectionRequest:
    """Everything that a projection needs but the weather's numbers.

    Parameters
    ----------
    rig : Rig
        What stands there.
    scenario : Scenario
        Where, what is done, what is comfortable, and the state at the first moment.
    weather : WeatherRequest
        Which weather is asked for.
    chance : bool, optional
        Whether to say how likely the days hold, and which defaults decide it.
    """

    rig: Rig
    scenario: Scenario
    weather: WeatherRequest
    chance: bool = False
