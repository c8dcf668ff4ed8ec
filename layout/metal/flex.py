"""How far formed metal gives before it takes a set, and what its free edges do.

Everything here is first yield by the elastic bending of thin strips (plane stress), per unit height of
face. Formed metal carries a residue of the forming, so stretching sets a little sooner than crowding.
"""

from __future__ import annotations

import math
from typing import Final, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.errors import Fault, JobFaults
from layout.metal.metals import Metal
from layout.metal.profile import STEEP, Profile, both

LAP_CAUTION: Final = 1.5875
"""mm: 1/16 in, the rise of a lap or the lift of an edge that earns a caution (common practice, no source)"""

CONCAVE_SHARE: Final = 0.25
"""share of the convex lift at which a concave wall's edge is counted: it presses in (assumed)"""

_SUPPORT: Final = 1 / (2 * math.sqrt(3))
"""end rotation of a long strip on point supports b apart, as a share of κb: continuous beam"""


def take_up_limit(profile: Profile, metal: Metal) -> float:
    """Return the take-up a scallop (mm) at first yield on a straight wall.

    e_max = 2·σy·J/(E·t·y_max): the scallop pulled by its valleys bends about its neutral height with
    M = F·(y − c), and yields first where |y − c| is greatest. Small deflections: the shape is taken as
    drawn, which an integrated elastica confirms within 2 % up to a fifth of the limit; at the
    limit itself stretching comes out up to 10 % stiffer, crowding up to 11 % softer.
    """
    return 2 * metal.yield_ * profile.second_moment / (metal.modulus * profile.thickness * profile.reach)


def pull(profile: Profile, metal: Metal, take_up: float = 1.0) -> float:
    """Return the pull per height (N/mm) that a take-up a scallop (mm) needs, stretched positive.

    F = E·t³·e/(12·J) (Castigliano, plane stress). By default for 1 mm of take-up.
    """
    return metal.modulus * profile.thickness**3 * take_up / (12 * profile.second_moment)


def natural_bend_radius(profile: Profile, metal: Metal) -> float:
    """Return the radius of wrap (mm) at which the metal first yields: R_el = E·t·p/(2·σy·S).

    Wrapped on a radius R, the sheet changes curvature by p/(R·S) everywhere along its developed length.
    """
    return metal.modulus * profile.thickness * profile.pitch / (2 * metal.yield_ * profile.developed)


def take_up_left(limit: float, natural_radius: float, radius: float | None) -> float:
    """Return what a curve leaves of the take-up limit (mm): e_max·(1 − R_el/|R|), never below 0.

    Parameters
    ----------
    limit
        mm, on a straight.
    natural_radius
        mm, `natural_bend_radius`.
    radius
        mm, signed or not; None is a straight.

    Examples
    --------
    >>> take_up_left(2.0, 500.0, 1000.0), take_up_left(2.0, 500.0, None), take_up_left(2.0, 500.0, -400.0)
    (1.0, 2.0, 0.0)
    """
    if radius is None:
        return limit
    return limit * max(0.0, 1 - natural_radius / abs(radius))


def can_lap(profile: Profile) -> bool:
    """Tell whether panels of this form can lap: not past 75°."""
    return profile.steepest <= STEEP


def lap_rise(profile: Profile) -> float:
    """Return how far the upper of two lapped layers of one radius stands out (mm): t/cos φ.

    Raises
    ------
    JobFaults
        Past 75°, where a lap would not go together (``face.seam``).
    """
    if not can_lap(profile):
        raise JobFaults(
            [
                Fault(
                    "face.seam",
                    "lap",
                    f"flanks of {math.degrees(profile.steepest):.1f}° do not lap: at most 75°",
                    'Set seam = "butt", or give a shallower scallop',
                )
            ]
        )
    return profile.thickness / math.cos(profile.steepest)


def lap_caution(profile: Profile) -> str | None:
    """Return the caution of a lap that stands out over 1/16 in, or None."""
    rise = lap_rise(profile)
    if rise <= LAP_CAUTION:
        return None
    return (
        f"a lapped layer stands out by {both(rise)} on its flanks (thickness over the cosine of "
        f"{math.degrees(profile.steepest):.0f}°), over 1/16 in: form lap scallops a little wider, or butt "
        "the seams"
    )


@overload
def edge_lift(curvature: float, edge: float, every: float) -> float: ...
@overload
def edge_lift(curvature: NDArray[np.float64], edge: float, every: float) -> NDArray[np.float64]: ...
def edge_lift(curvature: ArrayLike, edge: float, every: float) -> float | NDArray[np.float64]:
    """Return how far a free panel edge springs off the wall (mm), of any shape.

    A strip over point supports b apart leaves the last one proud of the tangent by κb/(2√3) (continuous
    beam), and the end a past it stays straight while the wall falls away by κa²/2:
    lift = κ·a·(a/2 + b/(2√3)). On a concave wall the edge presses in: a quarter of it is counted (assumed).

    Parameters
    ----------
    curvature
        1/mm, convex positive; a number or an array.
    edge
        a: mm from the last fixing to the edge.
    every
        b: mm between fixings along the face.

    Examples
    --------
    >>> edge_lift(0.0, 12.7, 69.85)
    0.0
    >>> edge_lift(-1 / 1000, 12.7, 69.85) == edge_lift(1 / 1000, 12.7, 69.85) / 4
    True
    """
    bend = np.asarray(curvature, dtype=np.float64)
    counted = np.where(bend >= 0, bend, -CONCAVE_SHARE * bend)
    lift = counted * (edge * (edge / 2 + every * _SUPPORT))
    return float(lift) if lift.ndim == 0 else lift
