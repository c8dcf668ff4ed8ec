"""The marks that every drawing shares: a seam's number in a box, a panel's number in a ring."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from layout.paper.ink import BLACK, CARE, PANEL_RING, SEAM, SEAM_BOX, WHITE
from layout.paper.letters import PT, text_width
from layout.paper.primitives import CAP_HEIGHT, XY, Area, Points, Primitive, Style, centred

_PAD: Final = 0.07
"""round the figures, of the size in pt: 0.63 mm at 9 pt"""


def badge_size(number: object, size: float) -> tuple[float, float]:
    """Return width and height of a seam's or panel's mark, mm; `size` in pt.

    Examples
    --------
    >>> [round(side, 2) for side in badge_size(7, 9)]
    [3.57, 3.57]
    """
    pad = _PAD * size
    height = CAP_HEIGHT * size * PT + 2 * pad
    return max(text_width(str(number), size, bold=True) + 1.6 * pad, height), height


@dataclass(frozen=True)
class Spot:
    """Where a mark stands and how large."""

    at: XY
    """its middle, mm"""
    size: float
    """pt, of its figures"""
    angle: float = 0.0
    """degrees"""

    def put(self, points: Points) -> Points:
        """Turn points about the origin and bring them to the spot."""
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        return tuple((self.at[0] + x * cos - y * sin, self.at[1] + x * sin + y * cos) for x, y in points)

    def text(self, words: str, ink: str, kind: str, key: str) -> Primitive:
        """Set the mark's figures."""
        return centred(self.at, words, self.size, angle=self.angle, bold=True, ink=ink, kind=kind, key=key)


def seam_badge(spot: Spot, number: int, *, end: bool = False, named: bool = True) -> list[Primitive]:
    """Draw a seam's number white in a dark box; an end of a run dark in a light one.

    `named` gives it an id, for the one place in a file where the seam itself is drawn.
    """
    style = Style(SEAM, 0.8, fill=WHITE) if end else SEAM_BOX
    key = f"seam-{number}" if named else ""
    return [
        Area(spot.put(_rectangle(badge_size(number, spot.size))), style, "seam-box"),
        spot.text(str(number), SEAM if end else WHITE, "seam-number", key),
    ]


def panel_badge(spot: Spot, number: int, *, named: bool = True) -> list[Primitive]:
    """Draw a panel's number in a ring, drawn out for long numbers."""
    key = f"panel-{number}" if named else ""
    return [
        Area(spot.put(_pill(badge_size(number, spot.size))), PANEL_RING, "panel-ring"),
        spot.text(str(number), BLACK, "panel-number", key),
    ]


def stretch_badge(spot: Spot, letter: str) -> list[Primitive]:
    """Draw a seam-free stretch's letter in a dashed box."""
    style = Style(CARE, 0.8, (1.6, 1.0), fill=WHITE)
    return [
        Area(spot.put(_rectangle(badge_size(letter, spot.size))), style, "seam-free-box"),
        spot.text(letter, CARE, "seam-free-letter", ""),
    ]


def _rectangle(size: tuple[float, float]) -> Points:
    a, b = size[0] / 2, size[1] / 2
    return ((-a, -b), (a, -b), (a, b), (-a, b))


def _pill(size: tuple[float, float]) -> Points:
    """Return a rectangle with round ends, as a polygon."""
    r = size[1] / 2
    straight = size[0] / 2 - r
    ends = ((straight, range(-90, 91, 12)), (-straight, range(90, 271, 12)))
    return tuple(
        (x + r * math.cos(math.radians(a)), r * math.sin(math.radians(a))) for x, turns in ends for a in turns
    )
