"""How the check speaks, and every tolerance that it judges by. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable

SHARE = 1e-7
"""share of a length by which two ways of summing it may differ (no unit)"""

PLACE = 1e-4
"""mm: stations and points closer than this are one place, on a line of up to `LONG`"""

LONG = 1e5
"""mm: on a longer line places may differ by `PLACE` for each of these"""

FINE = 1e-6
"""mm: what short sums (take-up, panel sizes, cuts) may differ by"""

BEND = 1e-5
"""share by which a radius from finite differences may differ (no unit)"""

FLAT = 1e-10
"""1/mm: a curvature under this is none; 10 km of radius"""

LIFT = 1e-5
"""mm by which a lift may differ: its curvature comes from finite differences"""

TIGHT = 1e-6
"""share of the tight radius, and of the pitch around a seam, in which neither verdict counts (no unit)"""

EDGE = 1e-5
"""mm at either end of a seam-free stretch in which neither verdict counts"""

MONEY = 1e-6
"""share by which sums of money may differ (no unit)"""

COUNT = 1e-6
"""scallops by which a panel may seem too long, or a count not the nearest, from rounding alone"""


def agree(claimed: float, own: float, within: float) -> bool:
    """Tell whether two numbers agree; what is no number agrees with nothing.

    >>> agree(1.0, 1.0, 0.0), agree(1.0, 2.0, 0.5), agree(float("nan"), 1.0, 9.0)
    (True, False, False)
    """
    return abs(claimed - own) <= within


def differs(what: str, claimed: float, own: float, within: float) -> list[str]:
    """Return a finding where the plan's number is not the check's.

    >>> differs("pitch", 70.0, 69.85, 0.1)
    ['pitch: the plan says 70, the check finds 69.85']
    """
    if agree(claimed, own, within):
        return []
    return [f"{what}: the plan says {claimed:.12g}, the check finds {own:.12g}"]


def counted(what: str, claimed: float, own: int) -> list[str]:
    """Return a finding where the plan's count is not the check's; a count agrees exactly."""
    return differs(what, claimed, own, 0.0)


def unless(holds: bool, finding: str) -> list[str]:
    """Return the finding unless the fact holds."""
    return [] if holds else [finding]


def joined(parts: Iterable[Iterable[str]]) -> list[str]:
    """Return the findings of several checks as one list."""
    return [finding for part in parts for finding in part]
