"""Goals in words, and their values as a shop reads them: one table for terminal and paper."""

from __future__ import annotations

from typing import Final

from layout.units import format_fine

GOAL_WORDS: Final = {
    "cost": "least cost",
    "panels": "fewest panels",
    "worst_seam": "least edge lift at the worst seam",
    "different_lengths": "fewest different panel lengths",
    "seam_cost": "least edge lift in all",
    "sheets": "fewest sheets for these panels",
}
"""by the name that job file and plan.json use"""

_LIFTS: Final = frozenset({"worst_seam", "seam_cost"})
"""goals that the solver counts in µm of edge lift"""

_MICRO: Final = 1000
"""µm a mm"""


def goal_value(goal: str, value: float, units: str) -> str:
    """Write a goal's value: counts whole, money to the cent, edge lift as a length of the job's units.

    Examples
    --------
    >>> goal_value("panels", 6.0, "in"), goal_value("cost", 467.2, "in")
    ('6', '467.20')
    >>> goal_value("worst_seam", 254, "in"), goal_value("worst_seam", 254, "mm")
    ('0.0100 in', '0.254 mm')
    """
    if goal in _LIFTS:
        return format_fine(value / _MICRO, units)
    return f"{value:.2f}" if goal == "cost" else f"{value:g}"
