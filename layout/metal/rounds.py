"""Crests and valleys that meet in a flank: the geometry that every form but the sine shares.

A crest arc of radius r and a valley arc of radius v, both tangent to a flank of slope φ, rise
d = (r + v)(1 − cos φ) + L·sin φ over a half pitch of (r + v)·sin φ + L·cos φ, L the straight between.
With L = 0 they touch where they bend over, and r + v = R is the radius of the one sharp-valleyed arc of
the same chord and depth: a rounded valley takes its radius from the crest.
"""

from __future__ import annotations

import math

from layout.errors import Fault
from layout.metal.pieces import Arc, Piece, Straight
from layout.metal.profile import both


def arc_radius(chord: float, depth: float) -> float:
    """Return the radius (mm) of an arc over a chord with a rise, mm.

    >>> arc_radius(96.0, 12.0), arc_radius(6.0, 2.0)
    (102.0, 3.25)
    """
    return (chord**2 / 4 + depth**2) / (2 * depth)


def half_turn(chord: float, depth: float) -> float:
    """Return the angle (radians) at which an arc leaves its chord.

    >>> math.degrees(half_turn(2.0, 1.0))
    90.0
    """
    return 2 * math.atan2(2 * depth, chord)


def rounded_arc(chord: float, depth: float, valley: float | None, flat: float) -> tuple[Piece, ...]:
    """Return the pieces of an arc over a chord, rounded into its valleys, with half a flat at each end.

    Parameters
    ----------
    chord, depth
        mm; the arc and its valley arcs take the whole chord.
    valley
        Valley radius at mid-metal, mm; None leaves the valley sharp.
    flat
        mm a pitch, at valley height.
    """
    slope, whole = half_turn(chord, depth), arc_radius(chord, depth)
    half, pitch = flat / 2, chord + flat
    round_ = 0.0 if valley is None else valley
    crest = Arc(x=pitch / 2, y=depth, radius=whole - round_, hollow=False, start=-slope, end=slope)
    pieces: list[Piece] = [crest]
    if valley is not None:
        left = Arc(x=half, y=0.0, radius=valley, hollow=True, start=0.0, end=slope)
        right = Arc(x=pitch - half, y=0.0, radius=valley, hollow=True, start=-slope, end=0.0)
        pieces = [left, crest, right]
    if flat > 0:
        pieces = [Straight(0.0, 0.0, half, 0.0), *pieces, Straight(pitch - half, 0.0, pitch, 0.0)]
    return tuple(pieces)


def alike(pitch: float, depth: float, radius: float, slope: float) -> tuple[Piece, ...]:
    """Return crest and valley arcs of one mid-metal radius with tangent straights of a slope between."""
    left = Arc(x=0.0, y=0.0, radius=radius, hollow=True, start=0.0, end=slope)
    crest = Arc(x=pitch / 2, y=depth, radius=radius, hollow=False, start=-slope, end=slope)
    right = Arc(x=pitch, y=0.0, radius=radius, hollow=True, start=-slope, end=0.0)
    x0, y0 = radius * math.sin(slope), radius * (1 - math.cos(slope))
    x1, y1 = pitch / 2 - x0, depth - y0
    if math.hypot(x1 - x0, y1 - y0) <= 1e-12 * pitch:
        return left, crest, right
    return left, Straight(x0, y0, x1, y1), crest, Straight(pitch - x1, y1, pitch - x0, y0), right


def valley_radius_fault(valley: float | None, whole: float, thickness: float) -> Fault | None:
    """Return the fault of a valley radius that leaves no crest, or None.

    Parameters
    ----------
    valley
        As drawn, mm at mid-metal.
    whole
        Radius of the arc with sharp valleys, mm: crest and valley radius share it.
    thickness
        mm; the crest's inside radius must stay above 0.
    """
    if valley is None:
        return None
    most = whole - thickness / 2
    if 0 < valley < most:
        return None
    return Fault(
        "scallop.valley_radius",
        both(valley),
        f"a rounded valley and its crest share {both(whole)} of radius, and the crest keeps at least half "
        "the metal's thickness of it",
        f"Give a valley_radius above 0 and under {both(most)}, or leave it out for sharp valleys",
    )
