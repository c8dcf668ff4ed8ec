"""What it takes to hold a formed panel to a curve.

Wrapped on a radius R the sheet changes curvature by p/(R·S) along its developed length, so it bears a moment
M = E·t³/12·p/(R·S) per height, at most σy·t²/4, where all of it has yielded. Held on point supports b
apart, it is a continuous beam of one curvature: from its free end the moments over the supports are
M·(1 − λ^i), λ = √3 − 2 (three-moment equation), so that the first fixing pulls (3 − √3)·M/b. Closer
fixings pull harder.
"""

from __future__ import annotations

import math
from typing import Final

from layout.metal.metals import Metal
from layout.metal.profile import Profile

END_PULL: Final = 3 - math.sqrt(3)
"""pull of a panel's first fixing over M/b (dimensionless): continuous beam on many point supports"""


def wrap_moment(profile: Profile, metal: Metal, radius: float) -> float:
    """Return the moment (N·mm per mm of height) that holds the sheet on a radius, mm, signed or not.

    Past the full plastic moment σy·t²/4 it does not rise.
    """
    t = profile.thickness
    elastic = metal.modulus * t**3 / 12 * profile.pitch / (abs(radius) * profile.developed)
    return min(elastic, metal.yield_ * t**2 / 4)


def end_pull(moment: float, height: float, every: float) -> float:
    """Return the pull (N) on all fixings of the valley nearest a panel's end, on a convex wall.

    Parameters
    ----------
    moment
        N·mm per mm of height, `wrap_moment`.
    height
        mm, of the panel.
    every
        mm between fixed valleys.

    Examples
    --------
    >>> round(end_pull(4.0, 1000.0, 100.0), 2)
    50.72
    """
    return END_PULL * moment * height / every


def rows_needed(pull: float, hold: float) -> int:
    """Return how many fixings up the height of a valley bear a pull, each holding so much (both N).

    >>> rows_needed(50.0, 25.0), rows_needed(50.1, 25.0), rows_needed(0.0, 25.0)
    (2, 3, 1)
    """
    return max(1, math.ceil(pull / hold - 1e-9))
