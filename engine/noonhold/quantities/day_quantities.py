"""The figures of a day's verdict, in service, batch and maps alike."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from noonhold.quantities.quantity_type import Quantity

Q = Quantity

_COMFORT = (
    Q("first_failure_hour", "h", "Hour of the clock of the first failure.", 0, 24),
    Q(
        "comfortable_fraction",
        "1",
        "Share of the judged time within the comfort limit; none where nothing is judged.",
        0,
        1,
    ),
    Q(
        "peak_comfort",
        "1",
        "Highest comfort measure in the judged time: degC, or votes for pmv.",
        -100,
        150,
        cell_method="maximum",
    ),
    Q(
        "peak_comfort_hour",
        "h",
        "Hour of the clock at which the hour of that peak begins.",
        0,
        24,
    ),
    Q(
        "uncooled_peak_comfort",
        "1",
        "The same peak with the cooler off all day.",
        -100,
        150,
        cell_method="maximum",
    ),
    Q("comfort_margin_k", "K", "Comfort limit less the peak; votes for pmv.", -150, 150),
    Q(
        "cooling_margin_w",
        "W",
        "Least that the highest allowed stage had to spare in the judged time; below zero what it"
        " lacked to land on the set point; none where nothing was asked of it.",
        -1e6,
        1e6,
    ),
    Q(
        "cooling_margin_hour",
        "h",
        "Hour of the clock at which the hour of that margin begins.",
        0,
        24,
    ),
)
_CHARGE = (
    Q("lowest_charge", "1", "Lowest state of charge.", 0, 1, cell_method="minimum"),
    Q(
        "lowest_charge_hour",
        "h",
        "Hour of the clock at which the hour with the lowest charge begins.",
        0,
        24,
    ),
    Q("charge_at_end", "1", "State of charge at the end.", 0, 1, cell_method="point"),
    Q("energy_margin_wh", "W h", "Lowest energy in the battery less its reserve.", -1e7, 1e7),
)
_SUMS = tuple(
    Q(name, unit, description, 0, upper, cell_method="sum")
    for name, unit, description, upper in (
        ("hours_of_cooling", "h", "Compressor time.", 24),
        ("hours_at_reserve", "h", "Time in which the reserve holds the cooler off.", 24),
        (
            "cooling_wh",
            "W h",
            "Heat taken from the cabin air, sensible and latent, less the fan's.",
            1e8,
        ),
        ("cooler_wh", "W h", "Electricity of the cooler.", 1e8),
        ("load_wh", "W h", "Electricity of house loads and standing draw.", 1e8),
        ("solar_wh", "W h", "Solar electricity used.", 1e8),
        ("curtailed_wh", "W h", "Solar electricity that found no use.", 1e8),
        ("alternator_wh", "W h", "Electricity from the alternator.", 1e8),
        ("shore_wh", "W h", "Electricity from shore power.", 1e8),
        ("unmet_wh", "W h", "Electricity that loads asked for and did not get.", 1e8),
        ("hours_unmet", "h", "Hours in which loads asked for more than they got.", 24),
    )
)

DAY_FIGURES = MappingProxyType({q.name: q for q in (*_COMFORT, *_CHARGE, *_SUMS)})

# In the unit of the comfort measure that was asked for, and in differences of that unit.
IN_COMFORT_UNIT: Final = frozenset({"peak_comfort", "uncooled_peak_comfort"})
COMFORT_DIFFERENCES: Final = frozenset({"comfort_margin_k"})
# Watt-hours that add up over days; a margin does not.
DAY_TOTALS: Final = tuple(q.name for q in _SUMS if q.unit == "W h")
