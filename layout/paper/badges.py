"""The marks that every drawing shares: a seam's number in a box, a panel's number in a ring."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Panel, Seam
from layout.paper.frame import SMALLEST
from layout.paper.ink import BLACK, CARE, PANEL_RING, SEAM, SEAM_BOX, WHITE
from layout.paper.labels import Placed
from layout.paper.letters import PT, text_width
from layout.paper.primitives import CAP_HEIGHT, XY, Area, Points, Primitive, Style, centred

_PAD: Final = 0.07
"""round the figures, of the size in pt: 0.63 mm at 9 pt"""

_TWINS: Final = 0.4
"""mm between the numbers of seams at one place"""
_BETWEEN: Final = 0.9
"""mm between a number and its station"""


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


@dataclass(frozen=True)
class Label:
    """What stands at a seam or a panel: its number, and a seam's station beside or beyond it."""

    thing: Seam | Panel
    size: float
    """pt, of the number"""
    station: str = ""
    outward: XY = (0.0, -1.0)
    """unit vector away from the face"""
    stacked: bool = False
    """the station stands over or under the number instead of beside it"""
    others: tuple[Seam, ...] = ()
    """further seams at the same place, whose numbers stand beside the first"""

    @property
    def _small(self) -> float:
        """Size of the station, pt."""
        return max(SMALLEST, min(self.size * 0.8, 8.5))

    @property
    def _badges(self) -> tuple[float, float]:
        """Width and height of all numbers side by side, mm."""
        sizes = [badge_size(one.number, self.size) for one in (self.thing, *self.others)]
        return sum(wide for wide, _ in sizes) + _TWINS * len(self.others), sizes[0][1]

    @property
    def _station_size(self) -> tuple[float, float]:
        return text_width(self.station, self._small) + 0.6, CAP_HEIGHT * self._small * PT + 0.8

    @property
    def extent(self) -> tuple[float, float]:
        """Width and height, mm, before it is turned."""
        badge = self._badges
        if not self.station:
            return badge
        words = self._station_size
        if self.stacked:
            return max(badge[0], words[0]), badge[1] + words[1] + _BETWEEN
        return badge[0] + words[0] + _BETWEEN, max(badge[1], words[1])

    def draw(self, placed: Placed) -> list[Primitive]:
        """Draw number and station at their place, the number next to the face."""
        badge, whole = self._badges, self.extent
        turn = math.radians(placed.angle)
        ahead = self.outward[0] * math.cos(turn) + self.outward[1] * math.sin(turn) >= 0
        if not self.station:
            offsets = ((0.0, 0.0), (0.0, 0.0))
        elif self.stacked:
            up = 1.0 if self.outward[1] > 0 else -1.0
            offsets = (
                (0.0, -up * (whole[1] - badge[1]) / 2),
                (0.0, up * (whole[1] - self._station_size[1]) / 2),
            )
        else:
            right = 1.0 if ahead else -1.0
            offsets = (
                (-right * (whole[0] - badge[0]) / 2, 0.0),
                (right * (whole[0] - self._station_size[0]) / 2, 0.0),
            )
        middle = Spot(placed.centre, self.size, placed.angle)
        at, beside = middle.put(offsets)
        items = self._mark(Spot(at, self.size, placed.angle))
        if self.station:
            items.append(centred(beside, self.station, self._small, angle=placed.angle, kind="station"))
        return items

    def _mark(self, spot: Spot) -> list[Primitive]:
        if not isinstance(self.thing, Seam):
            return panel_badge(spot, self.thing.number)
        items: list[Primitive] = []
        x = -self._badges[0] / 2
        for seam in (self.thing, *self.others):
            wide, _ = badge_size(seam.number, self.size)
            (at,) = spot.put(((x + wide / 2, 0.0),))
            items += seam_badge(Spot(at, self.size, spot.angle), seam.number, end=seam.end)
            x += wide + _TWINS
        return items


def _rectangle(size: tuple[float, float]) -> Points:
    a, b = size[0] / 2, size[1] / 2
    return ((-a, -b), (a, -b), (a, b), (-a, b))


def _pill(size: tuple[float, float]) -> Points:
    """Return a rectangle with round ends, as a polygon."""
    r = size[1] / 2
    straight = size[0] / 2 - r
    ends = ((straight, range(-90, 91, 12)), (-straight, range(90, 271, 12)))
    return tuple((x + r * math.cos(math.radians(a)), r * math.sin(math.radians(a))) for x, turns in ends for a in turns)
