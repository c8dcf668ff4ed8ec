"""The first-off: what the die really makes, and the fan of a panel formed unevenly."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.forms import build_profile
from layout.metal.profile import Profile, both

MOST_DISAGREEMENT: Final = 0.03
"""share by which a measured developed length may differ from that of the drawn form at the measured pitch and
depth (assumed): past it the sample is another form, or was measured wrong"""

MOST_FAN: Final = 3.175
"""mm: 1/8 in, the most by which the top of a panel may be longer than its bottom (assumed)"""


@dataclass(frozen=True)
class Measured:
    """What was measured on the first-off."""

    scallops: int
    """over which it was measured, valley to valley"""
    length: float
    """mm over them, formed"""
    depth: float
    """mm, from a straightedge on the crests to the valley, metal side to metal side alike"""
    flat: float
    """mm between the same two valleys' scribed lines before forming"""

    def __post_init__(self) -> None:
        if self.scallops < 1 or not all(math.isfinite(v) and v > 0 for v in (self.length, self.depth, self.flat)):
            raise JobFaults(
                [
                    Fault(
                        "die.measured",
                        f"{self.scallops} scallops",
                        "scallops, length, depth and flat are all above 0",
                        "Measure over ten scallops and give all four",
                    )
                ]
            )


@dataclass(frozen=True)
class FirstOff:
    """The scallop as the die makes it."""

    spec: ScallopSpec
    """to plan with: measured pitch and depth, the drawn form"""
    profile: Profile
    """with the measured developed length"""
    pitch_off: float
    """mm over the drawn pitch"""
    depth_off: float
    """mm over the drawn depth"""
    developed_off: float
    """mm over the drawn developed length"""
    form_off: float
    """share by which the measured developed length exceeds the drawn form's at this pitch and depth"""


def first_off(measured: Measured, spec: ScallopSpec, thickness: float) -> FirstOff:
    """Return the scallop as measured.

    Pitch is length/scallops, developed length flat/scallops. The form's own sums (neutral height, J) are
    taken at the measured pitch and depth, the developed length as measured.

    Raises
    ------
    JobFaults
        Where the form cannot have that pitch and depth, or its developed length is another than measured
        (``die.measured``).
    """
    pitch, developed = measured.length / measured.scallops, measured.flat / measured.scallops
    drawn = build_profile(spec, thickness)
    given = replace(spec, pitch=pitch, depth=measured.depth, pitch_range=None)
    try:
        formed = build_profile(given, thickness)
    except JobFaults as error:
        rule = f"the drawn form must fit what was measured: {error.faults[0].rule}"
        raise JobFaults([_fault(measured, rule, error.faults[0].remedy)]) from error
    off = developed / formed.developed - 1
    if abs(off) > MOST_DISAGREEMENT or developed <= pitch:
        rule = (
            f"the measured stretch-out of {both(developed)} a scallop must be that of the drawn form, "
            f"{both(formed.developed)} at this pitch and depth, within {MOST_DISAGREEMENT:.0%}"
        )
        raise JobFaults([_fault(measured, rule, "Measure again, or draw the form that the die makes")])
    return FirstOff(
        given,
        replace(formed, developed=developed),
        pitch - drawn.pitch,
        measured.depth - drawn.depth,
        developed - drawn.developed,
        off,
    )


def _fault(measured: Measured, rule: str, remedy: str) -> Fault:
    shown = f"{measured.scallops} scallops, {both(measured.length)}, deep {both(measured.depth)}"
    return Fault("die.measured", shown, rule, remedy)


@dataclass(frozen=True)
class Fan:
    """A panel whose top and bottom came out at different pitches."""

    longer_by: float
    """mm, top over bottom"""
    angle: float
    """radians between its two ends"""
    bow: float
    """mm by which its top and bottom edges rise off a straight, over the panel's length"""
    radius: float
    """mm, of the arc that its middle lies on; infinite where it is square"""


def fan(top_pitch: float, bottom_pitch: float, height: float, scallops: int, most: float = MOST_FAN) -> Fan:
    """Return the fan of a panel.

    Both edges are arcs about one centre: angle = n·(top − bottom)/height, the middle's radius
    n·(top + bottom)/2 over it, the bow R·(1 − cos(angle/2)).

    Parameters
    ----------
    top_pitch, bottom_pitch
        mm, as measured at the two edges.
    height
        mm between the two places.
    scallops
        In the panel.
    most
        mm that the top may be longer or shorter.

    Raises
    ------
    JobFaults
        Past `most` (``die.measured``).

    Examples
    --------
    >>> fan(70.0, 70.0, 1000.0, 30).bow
    0.0
    >>> round(fan(70.1, 70.0, 1000.0, 30).longer_by, 9)
    3.0
    """
    longer = scallops * (top_pitch - bottom_pitch)
    if abs(longer) > most:
        fewest = math.floor(most / abs(top_pitch - bottom_pitch))
        rule = (
            f"a panel's top and bottom agree within {both(most)}; over {scallops} scallops they differ by "
            f"{both(abs(longer))}"
        )
        remedy = f"Level the die until they do, or keep panels to {fewest} scallops"
        raise JobFaults([Fault("die.measured", f"pitch {both(top_pitch)} and {both(bottom_pitch)}", rule, remedy)])
    angle = longer / height
    if angle == 0:
        return Fan(0.0, 0.0, 0.0, math.inf)
    radius = scallops * (top_pitch + bottom_pitch) / 2 / abs(angle)
    return Fan(longer, angle, 2 * radius * math.sin(abs(angle) / 4) ** 2, radius)


def curl_rise(radius: float, pitch: float, most: int) -> tuple[int, float]:
    """Return over how many scallops a curl is measured, and how far it rises over their chord, mm.

    As many as turn a quarter at most, so that the sheet still lies on its two ends; at least two.

    Parameters
    ----------
    radius
        mm, of the circle through the valleys.
    pitch
        mm, free.
    most
        scallops.

    Examples
    --------
    >>> over, rise = curl_rise(102.0, 10.0, 10)
    >>> over, round(curl_radius(2 * math.sqrt(2 * 102.0 * rise - rise**2), rise), 9)
    (10, 102.0)
    """
    turn = 2 * math.asin(min(pitch / (2 * radius), 1.0))
    over = max(2, min(most, math.floor(math.pi / 2 / turn)))
    return over, 2 * radius * math.sin(over * turn / 4) ** 2


def curl_radius(chord: float, rise: float) -> float:
    """Return the radius (mm) of a sheet that rises over a chord, mm; infinite where it lies flat.

    >>> curl_radius(96.0, 12.0), curl_radius(96.0, 0.0)
    (102.0, inf)
    """
    return (chord**2 / 4 + rise**2) / (2 * abs(rise)) if rise else math.inf
