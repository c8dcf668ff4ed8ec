"""One scallop at mid-metal, and what the metal and the eye make of it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from layout.metal.pieces import Floats, Piece
from layout.units import to_units

STEEP: Final = math.radians(75.0)
"""radians; flanks past it earn a caution and cannot lap (common practice, no source)"""

JOINED: Final = 1e-9
"""share of the pitch within which two pieces must meet"""


@dataclass(frozen=True)
class Profile:
    """One scallop, valley to valley at mid-metal, built of exact pieces; `profile_of` makes one.

    x runs along the face from this valley (0, 0) to the next (pitch, 0), y towards the viewer.
    """

    form: str
    pitch: float
    """mm"""
    depth: float
    """mm, valley to crest"""
    thickness: float
    """mm, of the metal"""
    pieces: tuple[Piece, ...]
    """left to right"""
    crest_radius: float | None
    """mm at mid-metal; None where the crest is flat"""
    valley_radius: float | None
    """mm at mid-metal; None where the valley is sharp or flat"""
    developed: float
    """mm, S: the stretch-out"""
    neutral_height: float
    """mm, c = (1/S)·∫y ds, above mid-metal of the valley"""
    second_moment: float
    """mm³, J = ∫(y − c)² ds"""
    reach: float
    """mm, greatest |y − c|"""
    steepest: float
    """radians, greatest flank slope; past π/2 the flank overhangs"""
    leaving_angle: float
    """radians off the normal under which its own valley is seen on a flat wall: atan(min x/y)"""
    flat: float = 0.0
    """mm, flat at valley height, half of it at each end of the scallop"""
    cautions: tuple[str, ...] = ()
    """what a shop should know of this form, each with its reason"""

    def __post_init__(self) -> None:
        if not (self.pitch > 0 and self.depth > 0 and self.thickness > 0):
            raise ValueError(f"pitch, depth and thickness must be positive: {self.pitch}, {self.depth}")
        if not (self.developed > self.pitch and self.second_moment > 0):
            raise ValueError(f"developed length {self.developed} must exceed the pitch {self.pitch}")

    def points(self, n: int) -> Floats:
        """Return n points along the scallop for drawing, shape (n, 2), every corner among them.

        Raises
        ------
        ValueError
            With fewer points than the pieces have ends.
        """
        if n < len(self.pieces) + 1:
            raise ValueError(f"{len(self.pieces)} pieces need at least {len(self.pieces) + 1} points, got {n}")
        ends = np.cumsum([piece.length for piece in self.pieces]) / self.developed * (n - 1)
        marks = [0, *(round(float(end)) for end in ends[:-1]), n - 1]
        for i in range(1, len(self.pieces)):
            least, most = marks[i - 1] + 1, n - 1 - (len(self.pieces) - i)
            marks[i] = min(max(marks[i], least), most)
        parts = [piece.points(b - a) for piece, (a, b) in zip(self.pieces, pairwise(marks), strict=True)]
        return np.concatenate([part[:-1] for part in parts] + [parts[-1][-1:]])


def profile_of(
    form: str,
    size: tuple[float, float],
    pieces: tuple[Piece, ...],
    thickness: float,
    radii: tuple[float | None, float | None],
    flat: float = 0.0,
) -> Profile:
    """Sum the pieces up to a profile.

    Parameters
    ----------
    form
        Name of the form.
    size
        Pitch and depth, mm.
    pieces
        Left to right, from (0, 0) to (pitch, 0), each starting where the last one ends.
    thickness
        mm, of the metal.
    radii
        Crest and valley radius at mid-metal, mm; None where there is none.
    flat
        mm at valley height, half of it at each end.

    Raises
    ------
    ValueError
        Where the pieces don't join, or don't end a pitch further on.
    """
    _check_joined(form, size[0], pieces)
    developed = math.fsum(piece.length for piece in pieces)
    first = math.fsum(piece.moments[0] for piece in pieces)
    second = math.fsum(piece.moments[1] for piece in pieces)
    low = min(piece.heights[0] for piece in pieces)
    high = max(piece.heights[1] for piece in pieces)
    neutral = first / developed
    steepest = max(piece.steepest for piece in pieces)
    return Profile(
        form=form,
        pitch=size[0],
        depth=size[1],
        thickness=thickness,
        pieces=pieces,
        crest_radius=radii[0],
        valley_radius=radii[1],
        developed=developed,
        neutral_height=neutral,
        second_moment=second - neutral * first,
        reach=max(high - neutral, neutral - low),
        steepest=steepest,
        leaving_angle=math.pi / 2 - max(piece.sight for piece in pieces),
        flat=flat,
        cautions=tuple(_cautions(steepest, thickness, radii, sharp=pieces[0].headings[0] > 0 or flat > 0)),
    )


def _check_joined(form: str, pitch: float, pieces: tuple[Piece, ...]) -> None:
    """Refuse pieces that don't run from (0, 0) to (pitch, 0), each from where the last one ends."""
    ends = [piece.points(1) for piece in pieces]
    meetings = [
        ((0.0, 0.0), ends[0][0]),
        *((a[-1], b[0]) for a, b in pairwise(ends)),
        ((pitch, 0.0), ends[-1][-1]),
    ]
    for left, right in meetings:
        if math.dist(left, right) > JOINED * pitch:
            raise ValueError(f"pieces of {form} don't join at {left} and {right}")


def _cautions(steepest: float, thickness: float, radii: tuple[float | None, float | None], *, sharp: bool) -> list[str]:
    """Say what a shop should know, each with its reason."""
    found = []
    if steepest > STEEP:
        found.append(
            f"flanks stand at {math.degrees(steepest):.0f}°, past 75°: the tool wedges in the groove, "
            "and panels of this form cannot lap"
        )
    for name, radius in zip(("crests", "valleys"), radii, strict=True):
        if radius is not None and radius - thickness / 2 < thickness:
            found.append(
                f"{name} have an inside radius of {both(max(radius - thickness / 2, 0.0))}, tighter than the "
                f"metal is thick ({both(thickness)}): it may crack there, and coatings will"
            )
    if radii[1] is None and sharp:
        found.append(
            "valleys are drawn sharp, tighter than the metal is thick: it will round them by about its own "
            "thickness; give valley_radius to plan with the rounded valley"
        )
    return found


def job_units_first(text: str, units: str) -> str:
    """Turn the lengths that `both` wrote so that the job's own unit stands first.

    >>> job_units_first("a bed of 914.4 mm (36 in)", "in"), job_units_first("914.4 mm (36 in)", "mm")
    ('a bed of 36 in (914.4 mm)', '914.4 mm (36 in)')
    """
    return _BOTH.sub(r"\2 in (\1 mm)", text) if units == "in" else text


_BOTH: Final = re.compile(r"(-?[\d.]+(?:e[+-]?\d+)?) mm \((-?[\d.]+(?:e[+-]?\d+)?) in\)")


def both(length: float) -> str:
    """Show a length for a message whose reader's units are not known here.

    >>> both(25.4)
    '25.4 mm (1 in)'
    >>> both(0.0)
    '0 mm (0 in)'
    """
    if not math.isfinite(length):
        return str(length)
    return f"{length:.4g} mm ({to_units(length, 'in'):.4g} in)"
