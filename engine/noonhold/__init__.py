"""How warm an off-grid cabin gets, how full its battery is, whether its cooler holds all day.

>>> import noonhold as nh
>>> rig = nh.load_rig("flatbed_cabin")  # a sample, a path or a dict
>>> weather = nh.read_weather("basin_desert_sandrevel")  # a sample, a path, a pvlib frame
>>> report = nh.project(rig, weather, date="01-14")  # then .days .dataset .plot() .assumptions

load_rig, read_weather     what is there, and under which sky
project                    hour by hour, and the verdict
compare, size, plan        what matters, how large, how to run the day
estimate_uncertainty       what the verdict is worth
warm_up                    how soon it is hot once the cooler stops
calibrate, read_log        a rig fitted to a field log; a logger's CSV file as one
samples                    sample rigs and weather stations
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from noonhold.numerics.machine_code import set_compiled_code_folder

if TYPE_CHECKING:
    from noonhold import samples
    from noonhold.errors import DocumentError, NoonholdError, NumericalError, WeatherError
    from noonhold.facade import load_rig, project, read_weather
    from noonhold.facade_logs import calibrate, read_log
    from noonhold.facade_studies import compare, estimate_uncertainty, plan, size, warm_up

# numba reads the folder of its cache when it is imported, which happens in the modules below here.
set_compiled_code_folder()

__all__ = [
    "DocumentError",
    "NoonholdError",
    "NumericalError",
    "WeatherError",
    "calibrate",
    "compare",
    "estimate_uncertainty",
    "load_rig",
    "plan",
    "project",
    "read_log",
    "read_weather",
    "samples",
    "size",
    "warm_up",
]
_MODULES: Final = {
    "samples": "noonhold.samples",
    **dict.fromkeys(("load_rig", "project", "read_weather"), "noonhold.facade"),
    **dict.fromkeys(("calibrate", "read_log"), "noonhold.facade_logs"),
    **dict.fromkeys(
        ("DocumentError", "NoonholdError", "NumericalError", "WeatherError"), "noonhold.errors"
    ),
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for (PEP 562), so that the package is light."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module = import_module(_MODULES.get(name, "noonhold.facade_studies"))
    found = module if name == "samples" else getattr(module, name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
