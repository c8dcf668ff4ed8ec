"""Figures of a remedy, rounded to the side on which they do: applied as told, they must be enough."""

from __future__ import annotations

import math

from layout.units import MM_PER_INCH, format_fine, format_length

_NOISE = 1e-6
"""share of a step that is rounding of sums, not a need"""

LENGTH_STEP = {"in": float(MM_PER_INCH) / 16, "mm": 0.1}
"""mm, the last figure of `format_length`"""

FINE_STEP = {"in": float(MM_PER_INCH) / 10_000, "mm": 0.001}
"""mm, the last figure of `format_fine`"""


def up(mm: float, step: float) -> float:
    """Return the least multiple of the step that is no less.

    >>> up(10.01, 0.1) > 10.01, round(up(10.0, 0.1), 9)
    (True, 10.0)
    """
    return math.ceil(mm / step - _NOISE) * step


def down(mm: float, step: float) -> float:
    """Return the greatest multiple of the step that is no more.

    >>> round(down(10.19, 0.1), 9), round(down(10.1, 0.1), 9)
    (10.1, 10.1)
    """
    return math.floor(mm / step + _NOISE) * step


def at_least(mm: float, units: str, *, fine: bool = False) -> str:
    """Show a length that must not fall short.

    >>> at_least(25.5, "in"), at_least(25.5, "in", fine=True)
    ('1 1/16 in', '1.0040 in')
    """
    if fine:
        return format_fine(up(mm, FINE_STEP[units]), units)
    return format_length(up(mm, LENGTH_STEP[units]), units)


def at_most(mm: float, units: str, *, fine: bool = False) -> str:
    """Show a length that must not be passed.

    >>> at_most(25.5, "in"), at_most(25.5, "in", fine=True)
    ('1 in', '1.0039 in')
    """
    if fine:
        return format_fine(down(mm, FINE_STEP[units]), units)
    return format_length(down(mm, LENGTH_STEP[units]), units)
