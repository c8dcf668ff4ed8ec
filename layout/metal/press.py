"""Whether the press will do it: force, bottoming, bed and hours. Estimates, not guarantees.

F = Kbf·TS·w·t²/D, Kbf = 1.33 for a V or groove (Groover, Fundamentals of Modern Manufacturing, sheet
metal bending; from memory, factors read): TS tensile strength, w the length of the bend (the face's
height), t thickness, D the opening of the groove. Bottoming squeezes every scallop in contact with a
multiple of that force.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from layout.errors import Fault, JobFaults
from layout.metal.profile import both

BEND_FACTOR: Final = 1.33
"""Kbf of a V or groove die (dimensionless); Groover (factors read)"""

BOTTOMING: Final = 4.0
"""bottoming force over the free bending force (dimensionless; assumed, within `BOTTOMING_RANGE`)"""

BOTTOMING_RANGE: Final = (3.0, 5.0)
"""range of that factor (common practice, no source)"""

ESTIMATE: Final = 0.2
"""share by which the free bending force may be off either way (assumed)"""

STROKES_A_MINUTE: Final = 3.0
"""strokes fed by hand (assumed)"""


@dataclass(frozen=True)
class Press:
    """The press; None means: not given."""

    capacity: float | None = None
    """N"""
    bed: float | None = None
    """mm"""
    between_uprights: float | None = None
    """mm"""
    daylight: float | None = None
    """mm, open height between die and punch"""
    strokes_a_minute: float = STROKES_A_MINUTE

    def __post_init__(self) -> None:
        given = (self.capacity, self.bed, self.between_uprights, self.daylight, self.strokes_a_minute)
        if not all(value is None or (math.isfinite(value) and value > 0) for value in given):
            raise ValueError(f"every figure of a press must be above 0: {self}")


@dataclass(frozen=True)
class PressWork:
    """What the press has to do."""

    force: float
    """N, for the one new scallop of a stroke"""
    force_range: tuple[float, float]
    """N"""
    bottoming: float
    """N, of all grooves in contact"""
    bottoming_range: tuple[float, float]
    """N, at the ends of the factor's range"""
    bottoming_factor: float
    grooves: int
    capacity: float | None
    """N"""
    share: float | None
    """force over capacity"""
    bottoming_share: float | None
    strokes: int
    hours: float
    bend: tuple[float, float, float, float]
    """inputs of the force: height (mm), thickness (mm), groove opening (mm), tensile strength (MPa)"""
    cautions: tuple[str, ...]


def bending_force(width: float, thickness: float, opening: float, tensile: float, factor: float = BEND_FACTOR) -> float:
    """Return the force (N) to bend a sheet into a groove: factor·tensile·width·thickness²/opening.

    Parameters
    ----------
    width
        mm, along the bend.
    thickness, opening
        mm.
    tensile
        MPa.
    factor
        Kbf; 1.33 for a V or groove.

    Examples
    --------
    >>> round(bending_force(width=44.5, thickness=3.2, opening=25, tensile=450))
    10909

    Raises
    ------
    ValueError
        Where a figure is not above 0.
    """
    if not min(width, thickness, opening, tensile, factor) > 0:
        raise ValueError("width, thickness, opening, tensile strength and factor must be above 0")
    return factor * tensile * width * thickness**2 / opening


def press_work(press: Press, height: float, bend: tuple[float, float, float], grooves: int, strokes: int) -> PressWork:
    """Work out what a press has to do for a job.

    Parameters
    ----------
    height
        mm, of the blank: the length of every bend.
    bend
        Thickness (mm), groove opening (mm), tensile strength (MPa).
    grooves
        In contact at the bottom of a stroke.
    strokes
        In the whole job: one a scallop, laps included.

    Raises
    ------
    JobFaults
        Where the face does not go on the bed (``press.bed``).
    """
    if press.bed is not None and height > press.bed:
        rule = f"the blank's height of {both(height)} must lie on the bed"
        raise JobFaults([Fault("press.bed", both(press.bed), rule, f"Use a bed of at least {both(height)}")])
    thickness, opening, tensile = bend
    force = bending_force(height, thickness, opening, tensile)
    bottoming = BOTTOMING * force * grooves
    low, high = BOTTOMING_RANGE
    return PressWork(
        force=force,
        force_range=(force * (1 - ESTIMATE), force * (1 + ESTIMATE)),
        bottoming=bottoming,
        bottoming_range=(low * force * grooves, high * force * grooves),
        bottoming_factor=BOTTOMING,
        grooves=grooves,
        capacity=press.capacity,
        share=None if press.capacity is None else force / press.capacity,
        bottoming_share=None if press.capacity is None else bottoming / press.capacity,
        strokes=strokes,
        hours=strokes / press.strokes_a_minute / 60,
        bend=(height, thickness, opening, tensile),
        cautions=tuple(_cautions(press, height, force, grooves)),
    )


def _cautions(press: Press, height: float, force: float, grooves: int) -> list[str]:
    found = []
    room = math.inf if press.capacity is None else press.capacity
    if force > room:
        most = height * room / force
        found.append(
            f"over capacity: this press forms at most {both(most)} of height a stroke; a wider groove, "
            "thinner or "
            "softer metal, or a larger press would do"
        )
    elif BOTTOMING * force * grooves > room:
        fits = math.floor(room / (BOTTOMING * force))
        found.append(
            f"bottoming {grooves} grooves is over capacity: "
            + (f"bottom {fits} of them a stroke, or form free" if fits else "form free, it cannot bottom one")
        )
    if press.between_uprights is not None and height > press.between_uprights:
        found.append(
            f"the blank is taller than the {both(press.between_uprights)} between the uprights: it passes "
            "only as "
            "deep as the throat"
        )
    if grooves > 1:
        found.append(
            "the new scallop's force stands off the die's middle: set the die so that it lies under the "
            "ram's centre line"
        )
    return found
