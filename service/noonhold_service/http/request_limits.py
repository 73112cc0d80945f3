"""What one request may ask for, at most; each refusal names the limit and the value."""

from __future__ import annotations

from typing import Final

from noonhold.documents import ProjectionRequest
from noonhold.errors import Fault
from noonhold.simulation.simulation_case import DEFAULT_STEP_S
from noonhold.weather.hot_day import HotDay
from noonhold.weather.weather_request import Hourly
from noonhold_service.http.study_costs import Work
from noonhold_service.problems import ProblemError
from noonhold_service.settings import Settings

_DAY_S: Final = 86_400
_SETUP_S: Final = 0.03  # remedies are searched for by runs where the days fail


def days_of(request: ProjectionRequest, settings: Settings) -> int:
    """Refuse what is more than this service computes at once.

    Parameters
    ----------
    request : ProjectionRequest
        A sound request.
    settings : Settings
        The operator's limits.

    Returns
    -------
    int
        How many days it asks for, settling included.

    Raises
    ------
    ProblemError
        ``limit-exceeded`` with every limit that is exceeded.
    """
    weather, settled = request.weather, request.scenario.start.spin_up_days
    faults = []
    if isinstance(weather, Hourly):
        rows = max(len(column) for column in weather.columns.values())
        days = -(-rows * weather.interval_s // _DAY_S)
        path = "/weather/hourly/columns"
        if rows > settings.max_rows:
            faults.append(
                Fault(path, "has more rows than are allowed", rows, f"<= {settings.max_rows} rows")
            )
    else:
        days = weather.days
        name = "hot_day" if isinstance(weather, HotDay) else "typical_year"
        path = f"/weather/{name}/days"
    if days > settings.max_days:
        faults.append(
            Fault(path, "asks for more days than are allowed", days, f"<= {settings.max_days} d")
        )
    if settled > settings.max_spin_up_days:
        bound = f"<= {settings.max_spin_up_days} d"
        faults.append(
            Fault("/start/spin_up_days", "settles for longer than is allowed", settled, bound)
        )
    if faults:
        message = "; ".join(f"{f.path} {f.message}: {f.value}, allowed {f.bound}" for f in faults)
        raise ProblemError("limit-exceeded", message, faults)
    return days + settled


def check_limits(request: ProjectionRequest, settings: Settings) -> Work:
    """Refuse what is more than this service computes at once; see :func:`days_of`.

    Returns
    -------
    Work
        Of the rig and of its uncooled twin.
    """
    return Work(2, 2 * days_of(request, settings), _SETUP_S)


def step_of(request: ProjectionRequest) -> int:
    """Return the step of the time loop: the usual one, or less where the weather is finer.

    Returns
    -------
    int
        Divides the weather's interval. [s]
    """
    if isinstance(request.weather, Hourly):
        interval = request.weather.interval_s
        return next(step for step in range(DEFAULT_STEP_S, 0, -1) if interval % step == 0)
    return DEFAULT_STEP_S
