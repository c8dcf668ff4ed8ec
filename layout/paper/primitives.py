"""What a drawing is made of: a few frozen primitives in paper mm, x right, y up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from layout.paper.letters import PT, ink_box, text_width

XY = tuple[float, float]
Points = tuple[XY, ...]


@dataclass(frozen=True)
class Box:
    """A rectangle with level sides, mm."""

    left: float
    bottom: float
    right: float
    top: float

    def __post_init__(self) -> None:
        """Refuse a box turned inside out."""
        if not (self.left <= self.right and self.bottom <= self.top):
            raise ValueError(f"a box runs from its lower left to its upper right, not {self}")

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.top - self.bottom

    @property
    def centre(self) -> XY:
        """Middle, mm."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    def grown(self, by: float) -> Box:
        """Return the box with every side moved out by `by` mm (in, where negative).

        Examples
        --------
        >>> Box(0, 0, 10, 5).grown(-1)
        Box(left=1, bottom=1, right=9, top=4)
        """
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def overlaps(self, other: Box) -> bool:
        """Tell whether two boxes share some area; touching sides do not count.

        Examples
        --------
        >>> Box(0, 0, 2, 2).overlaps(Box(1, 1, 3, 3)), Box(0, 0, 2, 2).overlaps(Box(2, 0, 3, 2))
        (True, False)
        """
        return (
            self.left < other.right and other.left < self.right and self.bottom < other.top and other.bottom < self.top
        )

    def holds(self, other: Box) -> bool:
        """Tell whether the other box lies inside this one.

        Examples
        --------
        >>> Box(0, 0, 2, 2).holds(Box(0, 0, 2, 1))
        True
        """
        return (
            self.left <= other.left
            and self.bottom <= other.bottom
            and other.right <= self.right
            and other.top <= self.top
        )

    def corners(self) -> Points:
        """Return the four corners, anticlockwise from the lower left."""
        return (
            (self.left, self.bottom),
            (self.right, self.bottom),
            (self.right, self.top),
            (self.left, self.top),
        )


@dataclass(frozen=True)
class Style:
    """How a line or an area is inked."""

    ink: str
    """``#rrggbb``"""
    weight: float = 0.5
    """pt; 0 draws no line"""
    dash: tuple[float, ...] = ()
    """pt on, off, …; empty is solid"""
    fill: str | None = None
    flat: bool = False
    """ends of lines are cut off square, not rounded"""


@dataclass(frozen=True)
class Lines:
    """Open lines of one style."""

    paths: tuple[Points, ...]
    style: Style
    kind: str = "line"
    """what it shows, for SVG classes"""
    key: str = ""
    """its own name, for SVG ids"""


@dataclass(frozen=True)
class Area:
    """A closed polygon."""

    points: Points
    style: Style
    kind: str = "area"
    key: str = ""


@dataclass(frozen=True)
class Circle:
    """A full circle."""

    centre: XY
    radius: float
    style: Style
    kind: str = "circle"
    key: str = ""


@dataclass(frozen=True)
class Text:
    """One line of text."""

    at: XY
    text: str
    size: float
    """pt"""
    anchor: str = "start"
    """start · middle · end: which part of the text stands at `at`"""
    angle: float = 0.0
    """degrees, anticlockwise"""
    bold: bool = False
    ink: str = "#141414"
    kind: str = "text"
    key: str = ""

    @property
    def start(self) -> XY:
        """Left end of the base line, mm."""
        share = ANCHORS[self.anchor]
        back = text_width(self.text, self.size, bold=self.bold) * share
        turn = math.radians(self.angle)
        return self.at[0] - back * math.cos(turn), self.at[1] - back * math.sin(turn)

    def box(self) -> Box:
        """Return the level box around the ink."""
        x0, y0 = self.start
        left, bottom, right, top = ink_box(self.text, self.size, bold=self.bold)
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        corners = [(x0 + x * cos - y * sin, y0 + x * sin + y * cos) for x in (left, right) for y in (bottom, top)]
        xs, ys = zip(*corners, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


Primitive = Lines | Area | Circle | Text

ANCHORS: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""share of a text's width that lies before its anchor"""

CAP_HEIGHT: Final = 0.729
"""of the size: height of capitals and figures in the drawing font, DejaVu Sans (measured)"""


def line(*points: XY, style: Style, kind: str = "line") -> Lines:
    """Draw one line through the points."""
    return Lines((points,), style, kind)


def rectangle(box: Box, style: Style, kind: str = "area", key: str = "") -> Area:
    """Draw a box."""
    return Area(box.corners(), style, kind, key)


def centred(
    at: XY,
    text: str,
    size: float,
    *,
    angle: float = 0.0,
    bold: bool = False,
    ink: str = "#141414",
    kind: str = "text",
    key: str = "",
) -> Text:
    """Set text with the middle of its figures at a point; `angle` turns it about that point."""
    turn = math.radians(angle)
    drop = CAP_HEIGHT * size * PT / 2
    base = (at[0] + drop * math.sin(turn), at[1] - drop * math.cos(turn))
    return Text(base, text, size, "middle", angle, bold, ink, kind, key)


def hatch(points: Points, spacing: float, angle: float, style: Style, kind: str = "hatch") -> Lines:
    """Fill a polygon with parallel strokes, cut at its edges.

    Parameters
    ----------
    points
        The polygon, mm; it may be hollow at places.
    spacing
        mm between strokes.
    angle
        Degrees, of the strokes.

    Examples
    --------
    >>> square = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
    >>> [stroke for stroke in hatch(square, 2.0, 0.0, Style("#000000")).paths]
    [((0.0, 1.0), (4.0, 1.0)), ((0.0, 3.0), (4.0, 3.0))]
    """
    turn = math.radians(angle)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = [(x * cos + y * sin, -x * sin + y * cos) for x, y in points]
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    strokes: list[Points] = []
    for i in range(math.floor(low / spacing), math.ceil(high / spacing)):
        y = (i + 0.5) * spacing
        crossings = _crossings(turned, y)
        strokes += [
            ((a * cos - y * sin, a * sin + y * cos), (b * cos - y * sin, b * sin + y * cos))
            for a, b in zip(crossings[::2], crossings[1::2], strict=False)
            if b - a > 0.05
        ]
    return Lines(tuple(strokes), style, kind)


def _crossings(points: Sequence[XY], y: float) -> list[float]:
    """Return where a level line crosses the polygon, left to right."""
    found = []
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        if (y0 <= y) != (y1 <= y):
            found.append(x0 + (y - y0) / (y1 - y0) * (x1 - x0))
    return sorted(found)


def moved(items: Iterable[Primitive], dx: float, dy: float) -> list[Primitive]:
    """Return the primitives shifted by (dx, dy) mm."""
    return [_moved(item, dx, dy) for item in items]


def _moved(item: Primitive, dx: float, dy: float) -> Primitive:
    def shift(points: Points) -> Points:
        return tuple((x + dx, y + dy) for x, y in points)

    match item:
        case Lines(paths, style, kind, key):
            return Lines(tuple(shift(path) for path in paths), style, kind, key)
        case Area(points, style, kind, key):
            return Area(shift(points), style, kind, key)
        case Circle((x, y), radius, style, kind, key):
            return Circle((x + dx, y + dy), radius, style, kind, key)
        case Text((x, y)):
            return Text(
                (x + dx, y + dy),
                item.text,
                item.size,
                item.anchor,
                item.angle,
                item.bold,
                item.ink,
                item.kind,
                item.key,
            )
