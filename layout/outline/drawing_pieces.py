"""From entities of a drawing to segments in plan: every arc stays an arc, every ellipse and spline itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, Final

import numpy as np

from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.segment import Segment
from layout.outline.spline import MOST_DEGREE, SplineArc, spline_arcs
from layout.outline.tolerances import SAME_POINT

XY = tuple[float, float]

FARTHEST: Final = 1e8
"""mm from the drawing's origin, 100 km: farther off, places are no longer sharp to a thousandth of a mm."""

THINNEST: Final = 1e-3
"""Share of an ellipse's longer axis that the shorter has at least; a thinner one is a line (assumed)."""

UPRIGHT: Final = 1e-9
"""by which the direction of an entity's own z axis may be off the plan's (no unit)"""

MOST_SEGMENTS: Final = 5_000
"""Segments that a layer may have, a spline's piece counted as `SPLINE_WEIGHT`: no drawing takes over 5 s (measured)."""

SPLINE_WEIGHT: Final = 10
"""straights and arcs that take as long as one piece of a spline (measured)"""


class NoPieceError(ValueError):
    """An entity that is no line in plan, in words."""


@dataclass(frozen=True)
class Piece:
    """One smooth or compound piece of a drawing, in plan, in the direction that it is drawn."""

    segments: tuple[Segment, ...]
    kind: str
    """line · arc · circle · ellipse · polyline · spline"""
    heights: tuple[float, float] = (0.0, 0.0)
    """mm, least and greatest z"""

    @cached_property
    def ends(self) -> tuple[XY, XY]:
        """Return where it starts and ends, mm."""
        return start_of(self.segments[0]), end_of(self.segments[-1])

    @cached_property
    def closed(self) -> bool:
        """Whether it ends where it starts, and is more than a crumb."""
        return math.dist(*self.ends) <= SAME_POINT and not self.is_crumb

    @cached_property
    def is_crumb(self) -> bool:
        """Whether it is too short to be a piece at all."""
        return sum(rough_length(segment) for segment in self.segments) <= SAME_POINT

    @cached_property
    def middle(self) -> XY:
        """Return a place on it that tells it from others: the middle of its middle segment, mm."""
        return middle_of(self.segments[len(self.segments) // 2])

    def reversed(self) -> Piece:
        """Return the same piece walked the other way."""
        return Piece(tuple(s.reversed() for s in reversed(self.segments)), self.kind, self.heights)


def start_of(segment: Segment) -> XY:
    """Return where a segment starts, mm."""
    return _place(segment, start=True)


def end_of(segment: Segment) -> XY:
    """Return where a segment ends, mm."""
    return _place(segment, start=False)


def _place(segment: Segment, *, start: bool) -> XY:
    if isinstance(segment, SplineArc):  # its length need not be summed for that
        u = np.array(segment.start if start else segment.start + segment.sweep)
        x, y = segment.piece.point(u)
        return float(x), float(y)
    x, y = segment.point(np.array(0.0 if start else segment.length)).tolist()
    return x, y


def middle_of(segment: Segment) -> XY:
    """Return a place inside a segment, the same whichever way it runs, mm."""
    if isinstance(segment, SplineArc):
        return segment.piece.cx, segment.piece.cy
    x, y = segment.point(np.array(segment.length / 2)).tolist()
    return x, y


def rough_length(segment: Segment) -> float:
    """Return a length, mm, no longer than the segment's, that costs little."""
    if isinstance(segment, SplineArc):
        a, b, c = start_of(segment), middle_of(segment), end_of(segment)
        return math.dist(a, b) + math.dist(b, c)
    return segment.length


def pieces_of(entity: Any, scale: float) -> tuple[Piece, ...]:
    """Return the pieces of one entity, mm: one, or the segments of an open polyline each by itself.

    Parameters
    ----------
    entity
        Of ezdxf.
    scale
        mm in one unit of the drawing.

    Raises
    ------
    NoPieceError
        Where it is no line in plan, with the reason in words.
    """
    kind = entity.dxftype()
    try:
        segments, heights, closed = BUILDERS[kind](entity, scale)
        piece = Piece(segments, _kind_of(kind, segments), heights)
        _check(piece)
    except NoPieceError:
        raise
    except Exception as error:  # a corrupt entity can fail the library in any way
        raise NoPieceError(f"{NAMES[kind]} that cannot be read") from error
    if kind in {"LWPOLYLINE", "POLYLINE"} and not closed and not piece.closed:
        return tuple(Piece((segment,), "polyline", heights) for segment in segments)
    return (piece,)


def _kind_of(kind: str, segments: tuple[Segment, ...]) -> str:
    return "circle" if kind == "ARC" and abs(segments[0].turning) >= math.tau else NAMES[kind]


def _check(piece: Piece) -> None:
    if not piece.segments:
        raise NoPieceError(f"{piece.kind} of no length")
    if len(piece.segments) > MOST_SEGMENTS:
        raise NoPieceError(f"{piece.kind} of over {MOST_SEGMENTS} segments")
    places = [place for segment in piece.segments for place in (start_of(segment), middle_of(segment))]
    if not np.isfinite(places).all() or np.abs(places).max() > FARTHEST:
        raise NoPieceError(f"{piece.kind} over {FARTHEST / 1e6:g} km from the drawing's origin")
    if piece.is_crumb:
        raise NoPieceError(f"{piece.kind} of no length")


Built = tuple[tuple[Segment, ...], tuple[float, float], bool]
"""Segments, least and greatest z, and whether it is said to be closed."""


def _line(entity: Any, scale: float) -> Built:
    start, end = entity.dxf.start * scale, entity.dxf.end * scale
    return tuple(_straight((start.x, start.y), (end.x, end.y))), _range(start.z, end.z), False


def _straight(start: XY, end: XY) -> Iterator[Line]:
    """Give the straight between two points, or none where they are one."""
    length = math.dist(start, end)
    if not math.isfinite(length):
        raise NoPieceError("line of no finite length")
    if length > 0:
        yield Line(start[0], start[1], math.atan2(end[1] - start[1], end[0] - start[0]), length)


def _arc(entity: Any, scale: float) -> Built:
    """Arcs and circles stand in a plane of their own, seen from above or from below."""
    side = _side(entity)
    centre, radius = entity.dxf.center * scale, float(entity.dxf.radius) * scale
    if not 0 < radius <= FARTHEST:
        raise NoPieceError(f"{NAMES[entity.dxftype()]} of no radius")
    start, sweep = 0.0, math.tau
    if entity.dxftype() == "ARC":
        start = math.radians(entity.dxf.start_angle)
        sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0) or math.tau
    if side < 0:  # from below, x runs the other way and so does the turn
        start, sweep = math.pi - start, -sweep
    arc = Arc(side * centre.x, centre.y, radius, start, sweep)
    return (arc,), _range(side * centre.z, side * centre.z), False


def _side(entity: Any) -> float:
    """Return +1 for an entity that lies in plan, −1 for one that lies in it mirrored."""
    normal = entity.dxf.extrusion.normalize()
    if abs(normal.x) > UPRIGHT or abs(normal.y) > UPRIGHT or not normal.z:
        raise NoPieceError(f"{NAMES[entity.dxftype()]} that stands at a slant to the plan")
    return math.copysign(1.0, normal.z)


def _ellipse(entity: Any, scale: float) -> Built:
    """Centre and long axis stand in plan; the normal only says which way it runs."""
    side = _side(entity)
    centre, axis, ratio = entity.dxf.center * scale, entity.dxf.major_axis * scale, abs(float(entity.dxf.ratio))
    a = math.hypot(axis.x, axis.y)
    if abs(axis.z) > UPRIGHT * max(a, 1.0):
        raise NoPieceError("ellipse that stands at a slant to the plan")
    if not THINNEST <= ratio <= 1 / THINNEST or not 0 < a <= FARTHEST:
        raise NoPieceError("ellipse without width")
    start = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - start) % math.tau
    if sweep <= SAME_POINT / max(a, ratio * a):
        sweep = math.tau
    rotation = math.atan2(axis.y, axis.x)
    # Seen from below the short axis points the other way: the same as t → −t.
    arc = EllipseArc(centre.x, centre.y, a, ratio * a, rotation, side * start, side * sweep)
    return (arc,), _range(centre.z, centre.z), False


def _light(entity: Any, scale: float) -> Built:
    side = _side(entity)
    height = float(entity.dxf.elevation) * scale
    corners = [(side * x * scale, y * scale, side * bulge) for x, y, bulge in entity.get_points("xyb")]
    return _bulged(corners, bool(entity.closed)), _range(side * height, side * height), bool(entity.closed)


def _heavy(entity: Any, scale: float) -> Built:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise NoPieceError("polyline that is a mesh")
    flat = bool(entity.is_2d_polyline)
    side = _side(entity) if flat else 1.0
    # Points of a spline's frame (flag 16) are no points of the line.
    vertices = [v for v in entity.vertices if not v.dxf.flags & 16]
    places = [v.dxf.location * scale for v in vertices]
    bulges = [side * float(v.dxf.get("bulge", 0.0)) if flat else 0.0 for v in vertices]
    corners = [(side * p.x, p.y, bulge) for p, bulge in zip(places, bulges, strict=True)]
    heights = [side * p.z for p in places] or [0.0]
    return _bulged(corners, bool(entity.is_closed)), _range(*heights), bool(entity.is_closed)


def _bulged(corners: list[tuple[float, float, float]], closed: bool) -> tuple[Segment, ...]:
    """Return straights and arcs from corner to corner; a bulge is the tangent of a quarter of the turn."""
    found: list[Segment] = []
    for (x0, y0, bulge), (x1, y1, _) in pairwise([*corners, corners[0]] if closed and corners else corners):
        chord = math.dist((x0, y0), (x1, y1))
        if chord <= SAME_POINT / 2 and len(corners) > 2:
            continue
        radius = chord * (1 + bulge * bulge) / (4 * abs(bulge)) if bulge else math.inf
        if not radius <= FARTHEST:
            found += _straight((x0, y0), (x1, y1))
            continue
        # The centre lies off the chord's middle by its half times (1 − b²)/2b, on the left for b > 0.
        out = (1 - bulge * bulge) / (4 * bulge)
        cx, cy = (x0 + x1) / 2 - (y1 - y0) * out, (y0 + y1) / 2 + (x1 - x0) * out
        found.append(Arc(cx, cy, radius, math.atan2(y0 - cy, x0 - cx), 4 * math.atan(bulge)))
    return tuple(found)


def _spline(entity: Any, scale: float) -> Built:
    """Take the control points as they stand; with none, the library's curve through the points to pass."""
    most = MOST_SEGMENTS // SPLINE_WEIGHT
    if len(entity.control_points) > most or len(entity.fit_points) > most:
        raise NoPieceError(f"spline of over {most} points")
    if not len(entity.control_points):
        tool = entity.construction_tool()
        degree, knots, points, weights = tool.degree, tool.knots(), tool.control_points, tool.weights()
    else:
        degree, knots, points, weights = entity.dxf.degree, entity.knots, entity.control_points, entity.weights
    if degree > MOST_DEGREE:
        raise NoPieceError(f"spline of a degree over {MOST_DEGREE}")
    flat = tuple((float(p[0]) * scale, float(p[1]) * scale) for p in points)
    try:
        arcs = spline_arcs(int(degree), tuple(map(float, knots)), flat, tuple(map(float, weights)))
    except ValueError as error:
        raise NoPieceError(f"spline that is no smooth curve ({error})") from error
    return arcs, _range(*(float(p[2]) * scale for p in points)), False


def _range(*heights: float) -> tuple[float, float]:
    return min(heights) + 0.0, max(heights) + 0.0


BUILDERS: Final[dict[str, Callable[[Any, float], Built]]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _light,
    "POLYLINE": _heavy,
    "SPLINE": _spline,
}

NAMES: Final = {
    "LINE": "line",
    "ARC": "arc",
    "CIRCLE": "circle",
    "ELLIPSE": "ellipse",
    "LWPOLYLINE": "polyline",
    "POLYLINE": "polyline",
    "SPLINE": "spline",
}
"""What each entity is called."""
