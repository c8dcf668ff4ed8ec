"""A drawing traced again for the check: other tools for its curves, other means to chain them.

ezdxf takes entities and block references apart and evaluates splines; shapely finds what lies on what, and
which pieces make a ring or a line. The units, the layer and the line wanted are told by the job or the
drawing; where the plan could not have been made of it, nothing is promised.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from pathlib import Path
from typing import Any

import networkx as nx
import numpy as np
import shapely

from layout.face.check_line import Floats, Part, arc, straight
from layout.job.model import OutlineSpec
from layout.units import parse_length

MEET = 1e-3
"""mm: ends no farther apart are one point, and places no farther off a curve lie on it"""

JOIN = 0.5
"""mm: free ends no farther apart are joined"""

SMALL = 300.0
"""mm: a line less than this across is no counter's"""

TABLE = 257
"""places of a part at which its heading is followed, so that no turn is lost"""

MARKS = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
"""parameters of a part by which shapely knows it"""


@dataclass(frozen=True, eq=False)
class Traced:
    """One smooth piece of the drawing, mm; `holds` tells which places lie on it, for straights and arcs."""

    part: Part
    holds: Callable[[Floats], bool] | None = None
    rebuilt: Callable[[Floats, Floats], Traced] | None = None
    """the piece of the same straight or circle from one place on to another"""
    centre: tuple[float, float] | None = None
    """of a circle's arc"""

    @cached_property
    def marks(self) -> Floats:
        """Return five places along it, shape (5, 2)."""
        return np.ascontiguousarray(self.part.curve(MARKS)[:2].T)

    @cached_property
    def dense(self) -> shapely.LineString:
        """Return it as a polyline for distances."""
        return shapely.LineString(self.part.curve(np.linspace(0.0, 1.0, 65))[:2].T)


def drawing_parts(spec: OutlineSpec) -> list[Part]:
    """Return the parts of the line that an outline takes from its drawing; an open one from its left end."""
    document = _document(Path(spec.folder) / (spec.file or ""))
    scale = _scale(document, spec)
    pieces = [piece for entity in _entities(document, spec) for piece in _traced(entity, scale)]
    pieces = _once([piece for piece in pieces if piece.part.length > MEET])
    lines = _lines(pieces)
    return _ring(pieces, lines, spec) if spec.closed else _open(pieces, lines, spec)


def _document(path: Path) -> Any:
    from ezdxf import recover  # noqa: PLC0415 - 0.5 s that other shapes need not pay
    from ezdxf.filemanagement import readfile  # noqa: PLC0415

    if b"Binary DXF" in path.read_bytes()[:32]:
        return readfile(path)
    return recover.readfile(path)[0]


def _scale(document: Any, spec: OutlineSpec) -> float:
    from ezdxf import units  # noqa: PLC0415

    if spec.drawing_units is not None:
        return parse_length(f"1 {spec.drawing_units}", "mm")
    if document.units in NO_SIZE:
        return NO_SIZE[document.units]
    return 1000.0 / float(units.METER_FACTOR[document.units])


NO_SIZE = {9: 25.4 / 1000, 21: 1000.0 * 1200 / 3937}
"""mm in $INSUNITS that ezdxf gives no size: thousandths of an inch, US survey feet (DXF reference)"""

KINDS = ("LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE")


def _entities(document: Any, spec: OutlineSpec) -> Iterator[Any]:
    """Give the entities of the layer, out of blocks too."""
    hidden = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
    found = [each for entity in document.modelspace() for each in _shown(entity, None)]
    for layer, entity in found:
        if spec.layer is None:
            wanted = layer.lower() not in hidden | {"defpoints"}
        else:
            exact = any(name == spec.layer for name, _ in found)
            wanted = layer == spec.layer if exact else layer.casefold() == spec.layer.casefold()
        if wanted:
            yield entity


def _shown(entity: Any, outer: str | None) -> Iterator[tuple[str, Any]]:
    """Give what an entity shows, with the layer that it is on."""
    own = entity.dxf.layer
    layer = outer if outer is not None and own == "0" else own
    if entity.dxf.get("invisible", 0):
        return
    if entity.dxftype() == "INSERT":
        for insert in entity.multi_insert() if entity.mcount > 1 else [entity]:
            for part in insert.virtual_entities():
                yield from _shown(part, layer)
    elif entity.dxftype() in KINDS:
        yield layer, entity


# Curves.


def _traced(entity: Any, scale: float) -> Iterator[Traced]:
    """Give the smooth pieces of an entity; what the plan cannot have taken gives none."""
    kind = entity.dxftype()
    if kind == "LINE":
        start, end = (np.array([p.x, p.y]) * scale for p in (entity.dxf.start, entity.dxf.end))
        if np.hypot(*(end - start)) > 0:
            yield _straight(start, end)
    elif kind in {"LWPOLYLINE", "POLYLINE"}:
        if kind == "POLYLINE":
            entity.vertices[:] = [v for v in entity.vertices if not v.dxf.flags & 16]
        for part in entity.virtual_entities():
            if part.dxftype() in KINDS:
                yield from _traced(part, scale)
    elif kind in {"ARC", "CIRCLE"}:
        yield from _arc(entity, scale)
    elif kind == "ELLIPSE":
        yield from _ellipse(entity.construction_tool(), scale)
    else:
        yield from _spline(entity, scale)


def _straight(start: Floats, end: Floats) -> Traced:
    (dx, dy), length = end - start, float(np.hypot(*(end - start)))

    def holds(place: Floats) -> bool:
        along = float((place - start) @ (end - start)) / length
        off = abs(float(dx * (place[1] - start[1]) - dy * (place[0] - start[0]))) / length
        return off <= MEET and -MEET <= along <= length + MEET

    part = straight(float(start[0]), float(start[1]), math.atan2(dy, dx), length)
    return Traced(part, holds, _straight)


def _arc(entity: Any, scale: float) -> Iterator[Traced]:
    normal = entity.dxf.extrusion
    if math.hypot(normal.x, normal.y) > 1e-9 * abs(normal.z):
        return
    side = math.copysign(1.0, normal.z)
    first, last = (0.0, 360.0) if entity.dxftype() == "CIRCLE" else (entity.dxf.start_angle, entity.dxf.end_angle)
    sweep = (last - first) % 360.0 or 360.0
    [start] = entity.vertices([first])
    centre = entity.ocs().to_wcs(entity.dxf.center)
    middle = np.array([centre.x, centre.y]) * scale
    yield _round(middle, np.array([start.x, start.y]) * scale, side * math.radians(sweep))


def _round(middle: Floats, start: Floats, sweep: float) -> Traced:
    out, side = start - middle, math.copysign(1.0, sweep)
    radius = float(np.hypot(*out))
    begin = math.atan2(out[1], out[0])

    def turned(place: Floats) -> float:
        """Angle from the start to a place in the direction of travel."""
        return (side * (math.atan2(place[1] - middle[1], place[0] - middle[0]) - begin)) % math.tau

    def holds(place: Floats) -> bool:
        turn, slack = turned(place), MEET / radius
        on = abs(float(np.hypot(*(place - middle))) - radius) <= MEET
        return on and (turn <= abs(sweep) + slack or turn >= math.tau - slack)

    def rebuilt(one: Floats, other: Floats) -> Traced:
        """From one place on to another, in this direction; all round where that comes to a whole turn."""
        turn = (turned(other) - turned(one)) % math.tau
        return _round(middle, one, side * (turn if turn > MEET / radius else math.tau))

    part = arc(float(start[0]), float(start[1]), begin + side * math.pi / 2, radius, sweep)
    return Traced(part, holds, rebuilt, (float(middle[0]), float(middle[1])))


def _ellipse(tool: Any, scale: float) -> Iterator[Traced]:
    span = (tool.end_param - tool.start_param) % math.tau
    span = math.tau if span * tool.major_axis.magnitude * scale <= MEET else span
    if max(abs(tool.major_axis.z), abs(tool.minor_axis.z)) > 1e-9 * tool.major_axis.magnitude:
        return
    (ax, ay, _), (bx, by, _), (cx, cy, _) = tool.major_axis, tool.minor_axis, tool.center

    def trace(u: Floats) -> Floats:
        t = tool.start_param + span * u
        cos, sin = np.cos(t), np.sin(t)
        x, y = scale * (cx + ax * cos + bx * sin), scale * (cy + ay * cos + by * sin)
        return np.array([x, y, bx * cos - ax * sin, by * cos - ay * sin])

    yield Traced(_followed(trace))


def _spline(entity: Any, scale: float) -> Iterator[Traced]:
    from ezdxf.math import BSpline  # noqa: PLC0415

    if len(entity.control_points):
        weights = list(entity.weights) or None
        tool = BSpline(entity.control_points, entity.dxf.degree + 1, list(entity.knots), weights)
    else:
        tool = entity.construction_tool()
    knots = np.unique(tool.knots()[tool.degree : tool.count + 1])
    for low, high in pairwise(knots):

        def trace(u: Floats, low: float = float(low), high: float = float(high)) -> Floats:
            # A knot belongs to the span after it; the last place of this one is taken just before.
            t = np.minimum(low + (high - low) * u, high - 1e-12 * (high - low))
            rows = [(p.x * scale, p.y * scale, d.x, d.y) for p, d in tool.derivatives(t.tolist(), 1)]
            return np.array(rows).reshape(-1, 4).T

        ends = trace(np.linspace(0.0, 1.0, 5))[:2]
        if np.ptp(ends, axis=1).max() > 1e-6:
            yield Traced(_followed(trace))


def _followed(trace: Callable[[Floats], Floats]) -> Part:
    """Return a part of a curve that gives x, y, dx, dy, shape (4, n); its heading is followed by a table."""
    places = np.linspace(0.0, 1.0, TABLE)
    x, y, dx, dy = trace(places)
    table = np.unwrap(np.arctan2(dy, dx))

    def curve(u: Floats) -> Floats:
        x, y, dx, dy = trace(u)
        near = table[np.clip(np.rint(np.asarray(u) * (TABLE - 1)).astype(np.int64), 0, TABLE - 1)]
        off = np.arctan2(dy, dx) - near
        return np.array([x, y, near + off - math.tau * np.rint(off / math.tau)])

    return Part(curve, float(np.hypot(np.diff(x), np.diff(y)).sum()))


# What is drawn twice.


def _once(pieces: Sequence[Traced]) -> list[Traced]:
    """Return the pieces less what lies on others; what overlaps becomes one."""
    left = list(pieces)
    for _ in range(len(pieces)):
        tree = shapely.STRtree([piece.dense for piece in left])
        pairs = tree.query(tree.geometries, predicate="dwithin", distance=2 * MEET).T
        done = _next_merge(left, [(int(i), int(j)) for i, j in pairs if i < j])
        if done is None:
            break
        left = done
    return left


def _next_merge(pieces: list[Traced], pairs: Sequence[tuple[int, int]]) -> list[Traced] | None:
    """Merge as many pairs as share no piece; None where there is nothing to merge."""
    gone: dict[int, Traced | None] = {}
    for i, j in sorted(pairs):
        if i not in gone and j not in gone:
            one = _merged(pieces[i], pieces[j])
            if one is not None:
                gone |= {i: one, j: None}
    if not gone:
        return None
    kept = [gone.get(k, piece) for k, piece in enumerate(pieces)]
    return [piece for piece in kept if piece is not None]


def _merged(one: Traced, other: Traced) -> Traced | None:
    """Return two pieces as one where they lie over each other, else None."""
    if one.holds is not None and other.holds is not None and not _one_curve(one, other):
        return None
    if one.holds is None or other.holds is None:
        sets = [{tuple(row) for row in np.round(piece.marks, 3).tolist()} for piece in (one, other)]
        alike = one.holds is None and other.holds is None and sets[0] == sets[1]
        return one if alike else None
    for outer, inner in ((one, other), (other, one)):
        if all(outer.holds(place) for place in inner.marks):  # type: ignore[misc]
            return outer
    for first, second in ((one, other), (other, one)):
        for turned in (second, replace(second, part=second.part.backwards())):
            joined = _overlapped(first, turned)
            if joined is not None:
                return joined
    return None


def _one_curve(one: Traced, other: Traced) -> bool:
    """Tell whether two pieces are both straight, or both round one centre; a tangent lies near a circle too."""
    if one.centre is None or other.centre is None:
        return one.centre is other.centre
    return math.dist(one.centre, other.centre) <= MEET


def _overlapped(first: Traced, second: Traced) -> Traced | None:
    """Return both as one where the second begins on the first, goes on along it, and ends past its end."""
    a, b = first.marks, second.marks
    shared = math.dist(a[-1], b[0])
    if first.holds is None or second.holds is None or first.rebuilt is None or shared <= 2 * MEET:
        return None
    inside = second.part.curve(np.array([shared / 2 / second.part.length]))[:2, 0]
    if not (first.holds(b[0]) and second.holds(a[-1]) and first.holds(inside)):
        return None
    return first.rebuilt(a[0], a[0] if first.holds(b[-1]) else b[-1])


# Chains.


def _lines(pieces: Sequence[Traced]) -> list[shapely.LineString]:
    """Return each piece as a line through its marks, ends moved so that those that meet are equal."""
    marks = np.array([piece.marks for piece in pieces])
    ends = marks[:, [0, -1]].reshape(-1, 2)
    points = [shapely.Point(end) for end in ends]
    tree = shapely.STRtree(points)
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(len(ends)))
    graph.add_edges_from(tree.query(points, predicate="dwithin", distance=MEET).T.tolist())
    groups = [sorted(group) for group in nx.connected_components(graph)]
    free = [group[0] for group in groups if len(group) == 1]
    alone = [points[k] for k in free]
    pairs = shapely.STRtree(alone).query(alone, predicate="dwithin", distance=JOIN).T.tolist() if alone else []
    ranked = sorted((math.dist(ends[free[i]], ends[free[j]]), free[i], free[j]) for i, j in pairs if i < j)
    taken: set[int] = set()
    for _, i, j in ranked:
        if not {i, j} & taken:
            taken |= {i, j}
            graph.add_edge(i, j)
    # Ends that are free even so may hang on a point where others meet.
    for end in [k for k in free if k not in taken]:
        near = [int(k) for k in tree.query([points[end]], predicate="dwithin", distance=JOIN)[1] if k not in free]
        graph.add_edges_from((end, k) for k in sorted(near, key=lambda k: math.dist(ends[k], ends[end]))[:1])
    for group in nx.connected_components(graph):
        ends[list(group)] = ends[min(group)]
    marks[:, [0, -1]] = ends.reshape(-1, 2, 2)
    return [shapely.LineString(row) for row in marks]


def _ring(pieces: Sequence[Traced], lines: Sequence[shapely.LineString], spec: OutlineSpec) -> list[Part]:
    """Return the parts of the ring wanted."""
    polygons, _, _, invalid = shapely.polygonize_full(lines)
    rings = [*(shapely.get_exterior_ring(each) for each in polygons.geoms), *invalid.geoms]
    return _wanted([_ordered(pieces, ring) for ring in rings], spec)


def _open(pieces: Sequence[Traced], lines: Sequence[shapely.LineString], spec: OutlineSpec) -> list[Part]:
    """Return the parts of the open line wanted, from its left end."""
    merged = shapely.line_merge(shapely.MultiLineString(lines))
    strands = [line for line in shapely.get_parts(merged) if not line.is_closed]
    ends = [coordinate for line in strands for coordinate in (line.coords[0], line.coords[-1])]
    alone = [line for line in strands if all(ends.count(line.coords[k]) == 1 for k in (0, -1))]
    parts = _wanted([_ordered(pieces, line) for line in alone], spec)
    first, last = parts[0].curve(np.zeros(1))[:2, 0], parts[-1].curve(np.ones(1))[:2, 0]
    if tuple(last) < tuple(first):
        return [part.backwards() for part in reversed(parts)]
    return parts


def _ordered(pieces: Sequence[Traced], line: Any) -> list[Part]:
    """Return the parts along a line of shapely's, each known by its marks."""
    known = {tuple(piece.marks[2]): piece for piece in pieces}
    coordinates = list(line.coords)
    found = []
    for k, place in enumerate(coordinates):
        piece = known.get(place)
        if piece is not None:
            ahead = tuple(piece.marks[3]) == coordinates[(k + 1) % len(coordinates)]
            found.append(piece.part if ahead else piece.part.backwards())
    return found


def _wanted(lines: Sequence[list[Part]], spec: OutlineSpec) -> list[Part]:
    """Return the line nearest to the place given; with none, the longest."""
    places = [np.hstack([part.curve(np.linspace(0.0, 1.0, 65))[:2] for part in line]).T for line in lines]
    large = [k for k in range(len(lines)) if not spec.closed or float(np.ptp(places[k], axis=0).max()) >= SMALL]
    if spec.near is None:
        return lines[max(large, key=lambda k: math.fsum(part.length for part in lines[k]))]
    near = shapely.Point(spec.near)
    return lines[min(large, key=lambda k: float(shapely.LineString(places[k]).distance(near)))]
