"""Labels placed so that none lies on another, on a leader, or on what is drawn.

Each label tries places further and further out along its own normal, a little to either side; the first
free one is taken. Wanted labels go in their order, so the same drawing comes out the same. A label may
stand level or turned along its normal; tests between turned rectangles are by separating axes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.paper.primitives import XY, Box

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

CLEAR: Final = 0.35
"""mm kept between labels"""
_ASIDE: Final = (0.0, 0.3, -0.3, 0.6, -0.6, 1.0, -1.0, 1.5, -1.5)
"""steps to the side, in label heights"""
_ROWS: Final = 30
"""rows tried outwards"""
_CHUNK: Final = 5
"""rows tried at once"""
_OWN: Final = 3.0
"""mm round its anchor within which a leader may touch what it names"""
_LINE_CLEAR: Final = 0.4
"""mm between a leader and a line that is not its own"""


@dataclass(frozen=True)
class Wanted:
    """A label looking for a place."""

    anchor: XY
    """what it names"""
    normal: XY
    """unit vector to the side where it should stand"""
    width: float
    """mm"""
    height: float
    near: float = 1.0
    """mm from the anchor to the nearest place"""
    turned: bool = False
    """stands along its normal instead of level"""
    led: bool = True
    """has a leader; without one it only stays on its own side of lines"""
    rows: int = _ROWS
    """rows tried outwards"""


@dataclass(frozen=True)
class Placed:
    """A label's place."""

    centre: XY
    width: float
    height: float
    angle: float
    """degrees, −90…90"""
    leader: tuple[XY, XY] | None
    """from the anchor to the label; None where it stands beside its anchor"""

    @property
    def corners(self) -> tuple[XY, XY, XY, XY]:
        """Its four corners, anticlockwise."""
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = self.centre
        a, b = self.width / 2, self.height / 2
        first, second, third, fourth = (
            (x + p * cos - q * sin, y + p * sin + q * cos) for p, q in ((-a, -b), (a, -b), (a, b), (-a, b))
        )
        return first, second, third, fourth


class Ground:
    """What is already on the paper: blocks, leaders, and lines as dots.

    A block is a row of x, y, half width, half height, cos, sin.
    """

    def __init__(self, room: Box) -> None:
        self.room = room
        self._blocks = np.empty((0, 6))
        self._leaders = np.empty((0, 4))
        self._dots = np.empty((0, 2))

    def copy(self) -> Ground:
        """Return the same ground, to try places on."""
        other = Ground(self.room)
        other.take(self)
        return other

    def take(self, other: Ground) -> None:
        """Become like another ground."""
        self._blocks, self._leaders, self._dots = other._blocks, other._leaders, other._dots

    def keep_line(self, points: Iterable[XY], step: float = 0.7) -> None:
        """Keep labels off a line, taken as dots `step` mm apart."""
        corners = np.array(list(points), dtype=np.float64)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
        marks = np.linspace(0.0, along[-1], max(2, math.ceil(along[-1] / step) + 1))
        dots = np.column_stack([np.interp(marks, along, corners[:, i]) for i in (0, 1)])
        self._dots = np.concatenate([self._dots, dots])

    def keep(self, placed: Placed) -> None:
        """Keep later labels and leaders off a placed one."""
        turn = math.radians(placed.angle)
        row = [*placed.centre, placed.width / 2, placed.height / 2, math.cos(turn), math.sin(turn)]
        self._blocks = np.concatenate([self._blocks, [row]])
        if placed.leader:
            self._leaders = np.concatenate([self._leaders, [[*placed.leader[0], *placed.leader[1]]]])

    def line_is_free(self, points: Iterable[XY], clear: float = 1.2) -> bool:
        """Tell whether a line keeps clear of labels, leaders and other lines by `clear` mm."""
        dots = np.array(list(points), dtype=np.float64)
        room = self.room
        low, high = dots.min(axis=0), dots.max(axis=0)
        if low[0] < room.left or low[1] < room.bottom or high[0] > room.right or high[1] > room.top:
            return False
        grown = self._blocks + np.array([0, 0, clear, clear, 0, 0])
        if _dots_in(grown, dots).any() or _dots_near(self._leaders, dots, clear).any():
            return False
        lines = np.hstack([dots[:-1], dots[1:]])
        return not _dots_near(lines, self._dots, clear).any()

    def place(self, wanted: Wanted) -> Placed | None:
        """Find a label's place; None where the paper is full. It is not kept."""
        anchor = np.array(wanted.anchor)
        for first in range(0, wanted.rows, _CHUNK):
            blocks = _candidates(wanted, range(first, min(first + _CHUNK, wanted.rows)))
            blocks = blocks[self._inside(blocks)]
            if not blocks.size:
                continue
            near = self._around(blocks, anchor)
            blocks = blocks[near._block_free(blocks)]
            leaders = _leaders_to(blocks, anchor)
            rows = np.flatnonzero(near._leader_free(leaders, anchor, among_labels=wanted.led))
            if rows.size:
                return _placed(blocks[rows[0]], leaders[rows[0]], wanted)
        return None

    def _around(self, blocks: Floats, anchor: Floats) -> Ground:
        """Return what of this ground can touch any of the blocks or their leaders."""
        far = np.hypot(blocks[:, 2], blocks[:, 3]).max() + 2 * CLEAR
        low = np.minimum(blocks[:, :2].min(axis=0), anchor) - far
        high = np.maximum(blocks[:, :2].max(axis=0), anchor) + far
        near = Ground(self.room)
        near._dots = self._dots[((self._dots > low) & (self._dots < high)).all(axis=1)]
        reach = np.hypot(self._blocks[:, 2], self._blocks[:, 3])[:, None]
        near._blocks = self._blocks[
            ((self._blocks[:, :2] > low - reach) & (self._blocks[:, :2] < high + reach)).all(axis=1)
        ]
        ends = self._leaders.reshape(-1, 2, 2)
        near._leaders = self._leaders[((ends.max(axis=1) > low) & (ends.min(axis=1) < high)).all(axis=1)]
        return near

    def _inside(self, blocks: Floats) -> Bools:
        room = self.room
        across = blocks[:, 2] * np.abs(blocks[:, 4]) + blocks[:, 3] * np.abs(blocks[:, 5])
        up = blocks[:, 2] * np.abs(blocks[:, 5]) + blocks[:, 3] * np.abs(blocks[:, 4])
        return (
            (blocks[:, 0] - across >= room.left)
            & (blocks[:, 0] + across <= room.right)
            & (blocks[:, 1] - up >= room.bottom)
            & (blocks[:, 1] + up <= room.top)
        )

    def _block_free(self, blocks: Floats) -> Bools:
        grown = blocks + np.array([0, 0, CLEAR, CLEAR, 0, 0])
        taken = np.asarray(overlaps(grown, self._blocks).any(axis=1))
        taken |= _dots_in(grown, self._dots).any(axis=1)
        taken |= _cut_block(self._leaders, grown).any(axis=0)
        free: Bools = ~taken
        return free

    def _leader_free(self, leaders: Floats, anchor: Floats, *, among_labels: bool) -> Bools:
        others = self._dots[np.hypot(*(self._dots - anchor).T) > _OWN]
        taken = np.asarray(_dots_near(leaders, others, _LINE_CLEAR).any(axis=1))
        if among_labels:
            taken |= _cut_block(leaders, self._blocks).any(axis=1)
            taken |= _cross(leaders, self._leaders).any(axis=1)
        free: Bools = ~taken
        return free


def place_all(ground: Ground, wanted: Iterable[Wanted]) -> Iterator[Placed | None]:
    """Place labels in their order, each kept; None for one that finds no place."""
    for label in wanted:
        placed = ground.place(label)
        if placed:
            ground.keep(placed)
        yield placed


def _placed(block: Floats, leader: Floats, wanted: Wanted) -> Placed:
    start, end = (float(leader[0]), float(leader[1])), (float(leader[2]), float(leader[3]))
    beside = math.dist(start, end) <= wanted.near + 0.4
    return Placed(
        (float(block[0]), float(block[1])),
        wanted.width,
        wanted.height,
        math.degrees(math.atan2(block[5], block[4])),
        (start, end) if wanted.led and not beside else None,
    )


def _candidates(wanted: Wanted, rows: range) -> Floats:
    """Return the places to try, best first, as rows of x, y, half width, half height, cos, sin."""
    normal = np.array(wanted.normal)
    along = np.array([-normal[1], normal[0]])
    half = np.array([wanted.width, wanted.height]) / 2
    if wanted.turned:
        reach, step = half[0], max(wanted.width, 2 * wanted.height) * 0.55
        cos, sin = normal if normal[0] > 1e-9 or (abs(normal[0]) <= 1e-9 and normal[1] > 0) else -normal
    else:
        reach, step = abs(normal[0]) * half[0] + abs(normal[1]) * half[1], wanted.height * 0.6
        cos, sin = 1.0, 0.0
    places = [(row, aside * wanted.height * (1 + 0.15 * row)) for row in rows for aside in _ASIDE]
    if wanted.turned:  # in a dense row, one step aside costs every later neighbour its place: rather go out
        places.sort(key=lambda place: abs(place[1]))
    away = np.array(places)
    centres = np.outer(wanted.near + reach + away[:, 0] * step, normal) + np.outer(away[:, 1], along)
    found = np.array(wanted.anchor) + centres
    return np.column_stack([found, np.broadcast_to([*half, cos, sin], (len(found), 4))])


def _leaders_to(blocks: Floats, anchor: Floats) -> Floats:
    """Return straight lines from the anchor to the nearest point of each block."""
    x, y = _seen_from(blocks, np.broadcast_to(anchor, (len(blocks), 1, 2)))
    near = np.column_stack([np.clip(v[:, 0], -h, h) for v, h in ((x, blocks[:, 2]), (y, blocks[:, 3]))])
    cos, sin = blocks[:, 4], blocks[:, 5]
    ends = blocks[:, :2] + np.column_stack([near[:, 0] * cos - near[:, 1] * sin, near[:, 0] * sin + near[:, 1] * cos])
    return np.hstack([np.broadcast_to(anchor, ends.shape), ends])


def _seen_from(blocks: Floats, points: Floats) -> tuple[Floats, Floats]:
    """Return points in each block's own axes; points (m, k, 2) or (1, k, 2) → two arrays (m, k)."""
    away = points - blocks[:, None, :2]
    cos, sin = blocks[:, 4, None], blocks[:, 5, None]
    return away[..., 0] * cos + away[..., 1] * sin, away[..., 1] * cos - away[..., 0] * sin


def overlaps(a: Floats, b: Floats) -> Bools:
    """Tell which blocks of `a` lie on which of `b`, shape (len(a), len(b)), by separating axes."""
    away = b[None, :, :2] - a[:, None, :2]
    turn_cos = np.abs(a[:, None, 4] * b[None, :, 4] + a[:, None, 5] * b[None, :, 5])
    turn_sin = np.abs(a[:, None, 4] * b[None, :, 5] - a[:, None, 5] * b[None, :, 4])
    apart = np.zeros(away.shape[:2], dtype=bool)
    for axes, own, other in ((a[:, None], a[:, None], b[None, :]), (b[None, :], b[None, :], a[:, None])):
        along = np.abs(away[..., 0] * axes[..., 4] + away[..., 1] * axes[..., 5])
        over = np.abs(away[..., 1] * axes[..., 4] - away[..., 0] * axes[..., 5])
        apart |= along >= own[..., 2] + other[..., 2] * turn_cos + other[..., 3] * turn_sin
        apart |= over >= own[..., 3] + other[..., 2] * turn_sin + other[..., 3] * turn_cos
    return ~apart


def _dots_in(blocks: Floats, dots: Floats) -> Bools:
    """Which dots lie in which blocks, shape (len(blocks), len(dots))."""
    x, y = _seen_from(blocks, dots[None])
    return (np.abs(x) < blocks[:, 2, None]) & (np.abs(y) < blocks[:, 3, None])


def _cut_block(lines: Floats, blocks: Floats) -> Bools:
    """Which straight lines pass through which blocks (by slabs), shape (len(lines), len(blocks))."""
    start = np.stack(_seen_from(blocks, lines[None, :, :2]), axis=-1)
    run = np.stack(_seen_from(blocks, lines[None, :, 2:]), axis=-1) - start
    run = np.where(np.abs(run) < 1e-9, 1e-9, run)
    half = blocks[:, None, 2:4]
    low, high = (-half - start) / run, (half - start) / run
    enter = np.maximum(np.minimum(low, high).max(axis=2), 0.0)
    leave = np.minimum(np.maximum(low, high).min(axis=2), 1.0)
    cut: Bools = (enter < leave - 1e-6).T
    return cut


def _cross(a: Floats, b: Floats) -> Bools:
    """Which straight lines of `a` cross which of `b`, shape (len(a), len(b))."""

    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        turned: Floats = np.asarray(
            (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
        )
        return turned

    p, q = a[:, None, :2], a[:, None, 2:]
    r, s = b[None, :, :2], b[None, :, 2:]
    return (side(p, q, r) * side(p, q, s) < 0) & (side(r, s, p) * side(r, s, q) < 0)


def _dots_near(lines: Floats, dots: Floats, within: float) -> Bools:
    """Which straight lines pass within a distance of which dots, shape (len(lines), len(dots))."""
    start, run = lines[:, :2], lines[:, 2:] - lines[:, :2]
    square = np.maximum((run**2).sum(axis=1), 1e-12)
    x, y = dots[None, :, 0] - start[:, None, 0], dots[None, :, 1] - start[:, None, 1]
    share = np.clip((x * run[:, None, 0] + y * run[:, None, 1]) / square[:, None], 0.0, 1.0)
    gap_x, gap_y = x - share * run[:, None, 0], y - share * run[:, None, 1]
    near: Bools = gap_x**2 + gap_y**2 < within**2
    return near
