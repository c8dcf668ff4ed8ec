"""A line of straights and arcs told by as many figures as it has freedom, and how it moves with each.

The figures are where it starts and how it heads, then of each piece its length, its curvature and the
corner before it. Marks are held against whole straights and circles: a mark's foot may lie past the ends
of its piece, so that the distance changes smoothly as the joints move.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from layout.outline.curves import Arc, Line
from layout.outline.segment import Floats, Segment

Indices = NDArray[np.intp]

STRAIGHTEST = 1e-9
"""1/mm: a curvature under this is a straight; over 10 m it rises 0.0125 mm."""

SMALL_TURN = 0.02
"""Radians under which sums of small differences are taken by their series, right to 1e-14."""


@dataclass(frozen=True, eq=False)
class Steps:
    """Straights and arcs one after another; k pieces."""

    x: float
    """mm, of its start"""
    y: float
    heading: float
    """radians, in which its first piece starts"""
    lengths: Floats
    """mm, shape (k,)"""
    bends: Floats
    """1/mm, curvatures, left positive, shape (k,)"""
    corners: Floats
    """radians, turned at the start of each piece; of the first where a loop closes, shape (k,)"""

    @property
    def count(self) -> int:
        """Return how many pieces it has."""
        return len(self.lengths)

    @property
    def figures(self) -> Floats:
        """Return all figures in one row: x, y, heading, lengths, curvatures, corners; shape (3 + 3k,)."""
        return np.concatenate([[self.x, self.y, self.heading], self.lengths, self.bends, self.corners])

    @staticmethod
    def of(figures: Floats) -> Steps:
        """Return the line of such a row."""
        lengths, bends, corners = figures[3:].reshape(3, -1)
        return Steps(float(figures[0]), float(figures[1]), float(figures[2]), lengths, bends, corners)

    @cached_property
    def headings(self) -> Floats:
        """Return the heading in which each piece starts, radians, and that in which the last ends."""
        turns = np.concatenate([[0.0], np.cumsum(self.lengths * self.bends)])
        corners = np.concatenate([[0.0], np.cumsum(self.corners[1:]), [math.fsum(self.corners[1:])]])
        return np.asarray(self.heading + turns + corners)

    @cached_property
    def nodes(self) -> Floats:
        """Return where each piece starts, and the end, mm, shape (k + 1, 2)."""
        half = self.lengths * self.bends / 2
        chords = self.lengths * np.sinc(half / math.pi)
        along = self.headings[:-1] + half
        steps = np.stack([chords * np.cos(along), chords * np.sin(along)], axis=1)
        start = np.array([[self.x, self.y]])
        return np.concatenate([start, start + np.cumsum(steps, axis=0)])

    @property
    def ways(self) -> Floats:
        """Return the direction of travel at the end of each piece, shape (k, 2)."""
        ahead = self.headings[:-1] + self.lengths * self.bends
        return np.stack([np.cos(ahead), np.sin(ahead)], axis=1)

    def feet(self, xy: Floats, piece: Indices) -> tuple[Floats, Floats]:
        """Return how far to the left of its piece each point lies, and how far along it its foot is, mm.

        Parameters
        ----------
        xy
            Points, shape (m, 2).
        piece
            Which piece each one belongs to, shape (m,).
        """
        heading, bend = self.headings[piece], self.bends[piece]
        dx, dy = (xy - self.nodes[piece]).T
        ahead = dx * np.cos(heading) + dy * np.sin(heading)
        aside = dy * np.cos(heading) - dx * np.sin(heading)
        # Left of a circle through the start: (1 − √(1 − κF))/κ, which is F/(1 + √…), also for κ = 0.
        power = 2 * aside - bend * (ahead**2 + aside**2)
        off = power / (1 + np.sqrt(np.maximum(1 - bend * power, 0.0)))
        return off, _along(ahead, aside, bend, self.lengths[piece])

    def moves(self, piece: Indices, along: Floats) -> tuple[Floats, Floats]:
        """Return the points `along` mm on in the pieces, and how they move with each figure.

        Returns
        -------
        points, moves
            Shapes (m, 2) and (m, 2, 3 + 3k); the length `along` in its own piece is held.
        """
        k, m = self.count, len(piece)
        half = self.bends[piece] * along / 2
        chord, way = along * np.sinc(half / math.pi), self.headings[piece] + half
        points = self.nodes[piece] + np.stack([chord * np.cos(way), chord * np.sin(way)], axis=1)
        out = np.zeros((m, 2, 3 + 3 * k))
        out[:, 0, 0] = out[:, 1, 1] = 1.0
        out[:, :, 2] = _turned(points - self.nodes[0])
        out[np.arange(m), :, 3 + k + piece] = _bent(self.headings[piece], self.bends[piece], along)
        ends = _bent(self.headings[:-1], self.bends, self.lengths)
        ways = self.ways
        for j in range(k):
            after = piece > j
            swing = _turned(points[after] - self.nodes[j + 1])
            out[after, :, 3 + j] = ways[j] + self.bends[j] * swing
            out[after, :, 3 + k + j] = ends[j] + self.lengths[j] * swing
            if j:
                since = piece >= j
                out[since, :, 3 + 2 * k + j] = _turned(points[since] - self.nodes[j])
        return points, out

    def nearest_piece(self, xy: Floats) -> Indices:
        """Return for each point the piece that it is nearest to, taken only as far as its ends, shape (m,)."""
        best, found = np.full(len(xy), math.inf), np.zeros(len(xy), dtype=np.intp)
        for j in range(self.count):
            piece = np.full(len(xy), j)
            off, along = self.feet(xy, piece)
            past = np.maximum(np.maximum(-along, along - self.lengths[j]), 0.0)
            distance = np.hypot(off, past)
            nearer = distance < best
            best[nearer], found[nearer] = distance[nearer], j
        return found

    def segments(self) -> tuple[Segment, ...]:
        """Return the line as segments, straights where the curvature is none."""
        found: list[Segment] = []
        for (x, y), heading, length, bend in zip(
            self.nodes[:-1].tolist(),
            self.headings[:-1].tolist(),
            self.lengths.tolist(),
            self.bends.tolist(),
            strict=True,
        ):
            if abs(bend) < STRAIGHTEST:
                found.append(Line(x, y, heading, length))
                continue
            radius, side = 1 / abs(bend), math.copysign(1.0, bend)
            cx, cy = x - side * radius * math.sin(heading), y + side * radius * math.cos(heading)
            found.append(Arc(cx, cy, radius, heading - side * math.pi / 2, length * bend))
        return tuple(found)


def _along(ahead: Floats, aside: Floats, bend: Floats, length: Floats) -> Floats:
    """How far along its circle a point's foot is, mm, the way round that is nearest to the piece's middle."""
    curved = np.abs(bend) >= STRAIGHTEST
    safe = np.where(curved, bend, 1.0)
    round_ = np.arctan2(safe * ahead, 1 - safe * aside) / safe
    lap = math.tau / np.abs(safe)
    round_ += lap * np.round((length / 2 - round_) / lap)
    return np.where(curved, round_, ahead)


def _turned(vectors: Floats) -> Floats:
    """Vectors (m, 2) turned left by a right angle: how points move when all turns about one place."""
    return np.stack([-vectors[:, 1], vectors[:, 0]], axis=1)


def _bent(heading: Floats, bend: Floats, along: Floats) -> Floats:
    """How the point `along` mm on in an arc moves with its curvature: ∫ v·n(v) dv, shape (m, 2)."""
    turn = bend * along
    small = np.abs(turn) < SMALL_TURN
    a = np.where(small, 1.0, turn)
    left = np.where(small, 0.5 - turn**2 / 8 + turn**4 / 144, (a * np.sin(a) + np.cos(a) - 1) / a**2)
    back = np.where(small, turn / 3 - turn**3 / 30 + turn**5 / 840, (np.sin(a) - a * np.cos(a)) / a**2)
    cos, sin = np.cos(heading), np.sin(heading)
    square = along**2
    return np.stack([square * (-back * cos - left * sin), square * (-back * sin + left * cos)], axis=1)
