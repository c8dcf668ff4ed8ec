"""Loose pieces chained into lines by their ends, whatever order and direction they are drawn in.

Ends closer than `SAME_POINT` are one point. Of the ends that are then still free, the nearest pairs
within `DRAWING_GAP` are joined, and each joint is kept to be told. Lines are what is left between points
where not just two pieces meet; a loop may have tails, which are lines of their own.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layout.outline.drawing_pieces import XY, Piece
from layout.outline.segment import Segment
from layout.outline.tolerances import DRAWING_GAP, DRAWING_NEAR_MISS, SAME_POINT

NEIGHBOURS: Final = 8
"""Free ends that are looked at around each; more of them in one place are no line anyway (assumed)."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Joint:
    """Two ends that do not quite meet."""

    x: float
    """mm, half way between them"""
    y: float
    gap: float
    """mm"""


@dataclass(frozen=True)
class Strand:
    """Pieces one after another, from end to end or round a loop."""

    pieces: tuple[Piece, ...]
    closed: bool
    joints: tuple[Joint, ...] = ()
    """where ends were joined over a gap"""
    branched: bool = False
    """it ends where more than two pieces meet, or hangs together with lines that do"""

    @property
    def segments(self) -> tuple[Segment, ...]:
        """Return all of its segments in order."""
        return tuple(segment for piece in self.pieces for segment in piece.segments)

    @property
    def ends(self) -> tuple[XY, XY]:
        """Return where it starts and ends, mm."""
        return self.pieces[0].ends[0], self.pieces[-1].ends[1]

    @property
    def middle(self) -> XY:
        """Return a place on it, mm."""
        return self.pieces[len(self.pieces) // 2].middle


@dataclass(frozen=True)
class Chained:
    """All lines of a drawing's layer."""

    strands: tuple[Strand, ...]
    branches: tuple[XY, ...]
    """mm, where more than two pieces meet"""
    gaps: tuple[Joint, ...]
    """free ends that were not joined, and lie within `DRAWING_NEAR_MISS`"""


def chained(pieces: Sequence[Piece]) -> Chained:
    """Return the lines that pieces make, in an order that does not hang on theirs."""
    ordered = sorted(pieces, key=lambda piece: tuple(round(value, 3) for value in piece.middle))
    loops = tuple(Strand((piece,), closed=True) for piece in ordered if piece.closed)
    loose = [piece for piece in ordered if not piece.closed]
    if not loose:
        return Chained(loops, (), ())
    ends = np.array([place for piece in loose for place in piece.ends])
    nodes = _points(ends)
    nodes, joints, gaps = _joined(loose, ends, nodes)
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    for k in range(len(loose)):
        graph.add_edge(int(nodes[2 * k]), int(nodes[2 * k + 1]), key=k)
    strands, crossed = _strands(loose, graph, joints)
    places = {int(node): (float(x), float(y)) for node, (x, y) in zip(nodes, ends, strict=True)}
    return Chained((*loops, *strands), tuple(sorted(places[node] for node in crossed)), gaps)


def _points(ends: Floats) -> NDArray[np.int64]:
    """Return a number for each end (2n, 2), one for all that are closer than `SAME_POINT`."""
    # Equal ends first, so that very many in one place do not make very many pairs.
    _, first, same = np.unique(np.round(ends / (SAME_POINT / 4)), axis=0, return_index=True, return_inverse=True)
    near: nx.Graph[int] = nx.Graph()
    near.add_nodes_from(range(len(first)))
    near.add_edges_from(cKDTree(ends[first]).query_pairs(SAME_POINT))
    number = np.empty(len(first), dtype=np.int64)
    for k, group in enumerate(nx.connected_components(near)):
        number[list(group)] = k
    return number[same.ravel()]


def _joined(
    pieces: Sequence[Piece], ends: Floats, nodes: NDArray[np.int64]
) -> tuple[NDArray[np.int64], dict[int, Joint], tuple[Joint, ...]]:
    """Join free ends, nearest first; return the new points, the joints by point, and the gaps left."""
    free = np.flatnonzero(np.bincount(nodes)[nodes] == 1)
    nodes, joints = nodes.copy(), dict[int, Joint]()
    left = set(free.tolist())
    gaps = []
    for gap, i, j in _pairs(ends, free):
        if i not in left or j not in left:
            continue
        middle = (ends[i] + ends[j]) / 2
        joint = Joint(float(middle[0]), float(middle[1]), gap)
        if i // 2 == j // 2 and _is_short(pieces[i // 2]):
            continue
        left -= {i, j}
        if gap <= DRAWING_GAP:
            nodes[j] = nodes[i]
            joints[int(nodes[i])] = joint
        else:
            gaps.append(joint)
    _hung_on(ends, nodes, sorted(set(free.tolist()) - _matched(nodes, free)), joints)
    return nodes, joints, tuple(gaps)


def _matched(nodes: NDArray[np.int64], free: NDArray[np.intp]) -> set[int]:
    """Return those free ends that are free no longer."""
    return set(free[np.bincount(nodes)[nodes[free]] > 1].tolist())


def _hung_on(ends: Floats, nodes: NDArray[np.int64], free: Sequence[int], joints: dict[int, Joint]) -> None:
    """Join ends that are still free to points where others meet already: one of them may be a mere tail."""
    others = np.flatnonzero(np.bincount(nodes)[nodes] > 1)
    if not len(others) or not free:
        return
    found = cKDTree(ends[others]).query(ends[list(free)], distance_upper_bound=DRAWING_GAP)
    for end, distance, other in zip(free, *found, strict=True):
        if math.isfinite(distance):
            there = int(others[other])
            middle = (ends[end] + ends[there]) / 2
            nodes[end] = nodes[there]
            joints[int(nodes[there])] = Joint(float(middle[0]), float(middle[1]), float(distance))


def _pairs(ends: Floats, free: NDArray[np.intp]) -> list[tuple[float, int, int]]:
    """Return pairs of free ends with their distance, nearest first."""
    if len(free) < 2:
        return []
    found = cKDTree(ends[free]).query(ends[free], k=min(NEIGHBOURS, len(free)), distance_upper_bound=DRAWING_NEAR_MISS)
    pairs = set()
    for here, (distances, others) in enumerate(zip(*found, strict=True)):
        for distance, other in zip(distances.tolist(), others.tolist(), strict=True):
            if math.isfinite(distance) and other != here:
                one, two = sorted((int(free[here]), int(free[other])))
                pairs.add((round(distance, 9), one, two))
    return sorted(pairs)


def _is_short(piece: Piece) -> bool:
    """Whether a piece is too short to be closed on itself over a gap."""
    return math.dist(piece.ends[0], piece.middle) <= 2 * DRAWING_NEAR_MISS


def _strands(
    pieces: Sequence[Piece], graph: nx.MultiGraph[int], joints: dict[int, Joint]
) -> tuple[list[Strand], set[int]]:
    """Split the graph into loops and lines; also return the points where more than two pieces meet."""
    crossed = {node for node, degree in graph.degree() if degree > 2}
    strands: list[Strand] = []
    if crossed:
        # What a loop hangs by is no part of it: without bridges, loops stand alone.
        bridges: nx.MultiGraph[int] = nx.MultiGraph()
        found = cast("list[tuple[int, int]]", list(nx.bridges(graph)))
        for one, other in found:
            for key in list(graph[one][other]):
                bridges.add_edge(one, other, key=key)
                graph.remove_edge(one, other, key=key)
        strands += _walked(pieces, bridges, joints, crossed)
    stops = {node for node, degree in graph.degree() if degree > 2}
    strands += _walked(pieces, graph, joints, stops)
    return strands, crossed


def _walked(
    pieces: Sequence[Piece], graph: nx.MultiGraph[int], joints: dict[int, Joint], stops: set[int]
) -> list[Strand]:
    """Walk every piece of a graph once: from points where a line ends or branches, then round loops."""
    around: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one, other, key in graph.edges(keys=True):
        around[one].append((key, other))
        around[other].append((key, one))
    tangled = _tangled(graph, stops)
    ends = [node for node in around if node in stops or len(around[node]) != 2]
    starts = sorted((min(around[node]), node) for node in ends)
    homes = {key: one for one, _, key in graph.edges(keys=True)}
    left = set(homes)
    strands = []
    for _, node in starts:
        for key, _ in sorted(around[node]):
            if key in left:
                walk = _walk(node, key, around, left, stops)
                strands.append(_strand(pieces, walk, joints, closed=False, branched=node in tangled))
    for key in sorted(left):
        if key in left:
            walk = _walk(homes[key], key, around, left, stops)
            strands.append(_strand(pieces, walk, joints, closed=True, branched=False))
    return strands


def _tangled(graph: nx.MultiGraph[int], stops: set[int]) -> set[int]:
    """Return all points that hang together with one where a line branches."""
    groups = nx.connected_components(graph)
    return {node for group in groups if group & stops for node in group}


def _walk(
    node: int, key: int, around: dict[int, list[tuple[int, int]]], left: set[int], stops: set[int]
) -> list[tuple[int, int]]:
    """Return pieces with the points that they begin at, on from one point until the line ends."""
    walk = []
    while True:
        left.discard(key)
        walk.append((key, node))
        node = next(other for k, other in around[node] if k == key)
        onward = [k for k, _ in around[node] if k in left]
        if node in stops or len(around[node]) != 2 or not onward:
            return walk
        key = onward[0]


def _strand(
    pieces: Sequence[Piece],
    walk: Sequence[tuple[int, int]],
    joints: dict[int, Joint],
    *,
    closed: bool,
    branched: bool,
) -> Strand:
    """Return the pieces of a walk, each turned as it is walked; an open one from its left end on."""
    turned = _turned([pieces[key] for key, _ in walk], closed=closed)
    if not closed and (turned[-1].ends[1], turned[0].ends[0]) < (turned[0].ends[0], turned[-1].ends[1]):
        turned = [piece.reversed() for piece in reversed(turned)]
    nodes = [node for _, node in walk]
    crossed = tuple(joints[node] for node in (nodes if closed else nodes[1:]) if node in joints)
    return Strand(tuple(turned), closed, crossed, branched)


def _turned(chain: Sequence[Piece], *, closed: bool) -> list[Piece]:
    """Turn pieces so that each starts where the one before ends."""
    if len(chain) == 1:
        return list(chain)
    ahead = chain[1].ends
    first = chain[0]
    away = [min(math.dist(end, other) for other in ahead) for end in first.ends]
    if closed and len(chain) == 2:  # both ends of both meet: either way round will do
        away = [1.0, 0.0]
    turned = [first if away[1] <= away[0] else first.reversed()]
    for piece in chain[1:]:
        here = turned[-1].ends[1]
        start, end = (math.dist(here, place) for place in piece.ends)
        turned.append(piece if start <= end else piece.reversed())
    return turned
