"""Marks to straights and arcs that meet without a corner, unless the wall has one: as few as will do.

The split tells about where pieces begin and end; from there on all of them are laid together, joints free
along the line, and pieces are straightened, joined and dropped while the marks don't mind.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from layout.outline.segment import Floats
from layout.outline.survey_fit import Freedom, Laid, picked, settled
from layout.outline.survey_marks import Marks, price
from layout.outline.survey_split import Stretch, one_bend, split
from layout.outline.survey_steps import STRAIGHTEST, Steps

MOST_PIECES = 16
"""Straights and arcs of one line; one with more is a free curve (assumed)."""

SHORT = 3
"""Marks on a piece, at most, for it to be tried whether the line does without it (assumed)."""

FEW = 3
"""Stretches, at most, of a line that is tried as two straights with one bend (assumed)."""

HOPELESS = 25.0
"""Times what a line may cost that its first laying costs, at most, for it to be laid again (assumed)."""

ALIKE = 0.3
"""Share by which the curvatures of neighbours differ, at most, for them to be tried as one (assumed)."""

TOO_LONG = 2.0
"""Times the straights from mark to mark that a line is long, at most; one that is longer strays from them (assumed)."""

SHORTEST = 0.01
"""mm, of a piece to start from."""

LOW_RISE = 12.0
"""Measuring errors that an arc rises over its chord, at most, for it to be tried as a straight (assumed)."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Straights and arcs as laid, with the price of their figures."""

    laid: Laid
    figures: int
    """free figures less ties"""
    cost: float
    """squares in measuring errors, and the price of each figure"""

    @property
    def steps(self) -> Steps:
        """Return the line."""
        return self.laid.steps


def laid_pieces(marks: Marks, fair: Steps, most: float = math.inf, *, cornered: bool = True) -> Pieces | None:
    """Return the cheapest straights and arcs through marks that are found.

    Parameters
    ----------
    marks
        The marks.
    fair
        A fair curve through them, to start from.
    most
        What they may cost.
    cornered
        Whether they may meet in corners.

    Returns
    -------
    Pieces or None
        None where there are too many pieces, or they cost more.
    """
    stretches = split(marks)
    if len(stretches) > MOST_PIECES or (marks.closed and len(stretches) < 2):
        return None
    first = first_steps(marks, stretches, fair)
    starts = (
        _with_bends_between_straights(*first, marks.closed),
        _with_corners_between_straights(*first, marks.closed) if cornered else None,
        one_bend(marks) if len(stretches) <= FEW else None,
    )
    tried = (_laid(steps, marks, most) for steps in starts if steps is not None)
    here = min((found for found in tried if found is not None), key=lambda found: found.cost, default=None)
    # Simpler lines have fewer figures, never fewer squares.
    while here is not None and here.laid.squares < most:
        better = _first_better(here, marks, cornered=cornered)
        if better is None:
            return here if here.cost < most else None
        here = better
    return None


def _first_better(here: Pieces, marks: Marks, *, cornered: bool) -> Pieces | None:
    """Return the first of the simpler lines that costs less."""
    for steps in _simpler(here, marks, cornered=cornered):
        other = _laid(steps, marks, here.cost)
        if other is not None and other.cost < here.cost:
            return other
    return None


def turn_of(marks: Marks) -> float:
    """Return the radians that a loop through the marks turns in all: 2π, or −2π where they run clockwise."""
    x, y = marks.xy.T
    return math.copysign(math.tau, float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def _laid(steps: Steps, marks: Marks, most: float = math.inf) -> Pieces | None:
    """Lay a line by all of its figures; what is none now (a straight's curvature, no corner) stays none."""
    if steps.count == 0 or (marks.closed and steps.count < 2):
        return None

    def make(at: Steps) -> tuple[Freedom, Floats]:
        return picked(at, _free(steps))

    laid = settled(make, steps, marks, turn_of(marks), HOPELESS * most)
    if laid is None or laid.steps.lengths.sum() > TOO_LONG * _reach(marks):
        return None
    if (np.abs(laid.steps.lengths * laid.steps.bends) > math.tau).any():
        return None  # a ring that overlaps its start is a loop, and no arc
    figures = len(laid.free) - (3 if marks.closed else 2)
    return Pieces(laid, figures, laid.squares + figures * price(marks.count))


def _reach(marks: Marks) -> float:
    """Length of the straights from mark to mark, mm."""
    ends = np.roll(marks.xy, -1, axis=0) if marks.closed else marks.xy[1:]
    return float(np.linalg.norm(ends - marks.xy[: len(ends)], axis=1).sum())


def _free(steps: Steps) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    k = steps.count
    bent, turned = np.flatnonzero(steps.bends) + 3 + k, np.flatnonzero(steps.corners) + 3 + 2 * k
    return np.concatenate([np.arange(3 + k), bent, turned])


# A first line, from the split and the fair curve.


def first_steps(marks: Marks, stretches: list[Stretch], fair: Steps) -> tuple[Steps, Floats]:
    """Return a line that heads at the joints as the straights do, and between two arcs as the fair curve does.

    With it the heading in which each piece should start, radians: where straights meet it jumps.
    """
    reach = _stations(marks, fair)
    length = float(fair.lengths.sum())
    joints = [_between(reach, stretch.first, length, marks.closed) for stretch in stretches]
    joints.append(joints[0] + length if marks.closed else length)
    told = _headings(fair, np.array(joints))
    ways = [_way(marks, stretch) if stretch.straight else None for stretch in stretches]
    k = len(stretches)
    lengths, bends, starts = np.maximum(np.diff(joints), SHORTEST), [], []
    for i, way in enumerate(ways):
        before = ways[i - 1] if i or marks.closed else None
        after = ways[(i + 1) % k] if i + 1 < k or marks.closed else None
        start = _nearest_turn(told[i], way if way is not None else before)
        end = _nearest_turn(told[i + 1], after)
        starts.append(start)
        bends.append(0.0 if way is not None else (end - start) / lengths[i])
    x, y = _point(fair, joints[0]).tolist()
    steps = Steps(x, y, starts[0], lengths, np.array(bends), np.zeros(k))
    return steps, np.array(starts)


def _stations(marks: Marks, fair: Steps) -> Floats:
    """Station of each mark on the fair curve, mm, rising."""
    piece = fair.nearest_piece(marks.xy)
    _, along = fair.feet(marks.xy, piece)
    starts = np.concatenate([[0.0], np.cumsum(fair.lengths)])
    found = starts[piece] + np.clip(along, 0.0, fair.lengths[piece])
    if marks.closed and found[0] > found[1]:
        found[0] -= starts[-1]
    return np.asarray(np.maximum.accumulate(found))


def _between(reach: Floats, first: int, length: float, closed: bool) -> float:
    """Station half way from the mark before a stretch to its first one; an open line's own start."""
    count = len(reach)
    if first == 0:
        return (float(reach[-1]) - length + float(reach[0])) / 2 if closed else 0.0
    laps, at = divmod(first, count)
    before = float(reach[at - 1]) - (length if at == 0 else 0.0)
    return laps * length + (before + float(reach[at])) / 2


def _headings(fair: Steps, stations: Floats) -> Floats:
    """Headings of the fair curve at stations, a lap's turn added with each lap."""
    starts = np.concatenate([[0.0], np.cumsum(fair.lengths)])
    laps = np.floor(stations / starts[-1]) * (stations != starts[-1])
    turn = fair.headings[-1] - fair.headings[0]
    return np.asarray(np.interp(stations - laps * starts[-1], starts, fair.headings) + laps * turn)


def _point(fair: Steps, station: float) -> Floats:
    starts = np.concatenate([[0.0], np.cumsum(fair.lengths)])
    station %= float(starts[-1])
    i = min(int(np.searchsorted(starts, station, side="right")) - 1, fair.count - 1)
    points, _ = fair.moves(np.array([i]), np.array([station - starts[i]]))
    return np.asarray(points[0])


def _way(marks: Marks, stretch: Stretch) -> float | None:
    """Heading of the straight through a stretch's marks; None where it has but one."""
    own = np.arange(stretch.first, stretch.after) % marks.count
    if len(own) == 1:
        return None
    xy = marks.xy[own]
    _, _, axes = np.linalg.svd(xy - xy.mean(axis=0), full_matrices=False)
    way = axes[0] if (xy[-1] - xy[0]) @ axes[0] >= 0 else -axes[0]
    return math.atan2(way[1], way[0])


def _nearest_turn(told: float, way: float | None) -> float:
    """Return a straight's heading in the turn that is nearest to the one told; that itself without a straight."""
    return float(told) if way is None else float(told) + math.remainder(way - float(told), math.tau)


def _with_bends_between_straights(steps: Steps, starts: Floats, closed: bool) -> Steps:
    """Put an arc between straights that follow each other: smooth, they would be one."""
    lengths, bends = steps.lengths.tolist(), steps.bends.tolist()
    out_lengths: list[float] = []
    out_bends: list[float] = []
    k = steps.count
    for i in range(k):
        out_lengths.append(lengths[i])
        out_bends.append(bends[i])
        j = (i + 1) % k
        if (i + 1 == k and not closed) or bends[i] or bends[j]:
            continue
        turn = math.remainder(starts[j] - starts[i], math.tau) or 1e-3
        length = 0.2 * min(lengths[i], lengths[j])
        out_lengths[-1] -= length / 2
        lengths[j] -= length / 2
        if j == 0:
            out_lengths[0] -= length / 2
        out_lengths.append(length)
        out_bends.append(turn / length)
    return replace(steps, lengths=np.array(out_lengths), bends=np.array(out_bends), corners=np.zeros(len(out_lengths)))


def _with_corners_between_straights(steps: Steps, starts: Floats, closed: bool) -> Steps | None:
    """Put a corner between straights that follow each other; None where there are none."""
    straight = steps.bends == 0
    met = straight & np.roll(straight, 1)
    if not closed:
        met[0] = False
    if not met.any() or steps.count < 2:
        return None
    turns = [
        math.remainder(float(here - before), math.tau) for before, here in zip(np.roll(starts, 1), starts, strict=True)
    ]
    return replace(steps, corners=np.where(met, turns, 0.0))


# Simpler lines, each a first guess for the next fit.


def _simpler(here: Pieces, marks: Marks, *, cornered: bool) -> Iterator[Steps]:
    """Yield lines with a piece straightened, two arcs joined, or a short piece left out."""
    steps = here.steps
    dealt = np.bincount(steps.nearest_piece(marks.xy), minlength=steps.count)
    sigma = float(np.median(marks.sigma))
    for i in range(steps.count):
        length, bend = float(steps.lengths[i]), float(steps.bends[i])
        inner = marks.closed or 0 < i < steps.count - 1
        if bend and abs(bend) * length**2 / 8 < LOW_RISE * sigma:
            yield _straightened(steps, i, marks.closed)
        if steps.corners[i]:
            yield _without_corner(steps, i, marks.closed)
        if dealt[i] <= SHORT and steps.count > 1:
            yield _without(steps, i, marks.closed)
        if cornered and bend and dealt[i] <= 1 and inner and steps.count > 2:
            yield _as_corner(steps, i, marks.closed)
        if not bend and dealt[i] <= SHORT and inner and _bends_on(steps, i):
            yield _one_arc(steps, i, marks.closed)
        j = (i + 1) % steps.count
        if (j or marks.closed) and j != i and bend and steps.bends[j] and not steps.corners[j]:
            other = float(steps.bends[j])
            if abs(bend - other) <= ALIKE * max(abs(bend), abs(other)) or min(dealt[i], dealt[j]) <= SHORT:
                yield _joined(steps, i, j, marks.closed)


def _rows(steps: Steps) -> list[list[float]]:
    return [list(row) for row in zip(steps.lengths.tolist(), steps.bends.tolist(), steps.corners.tolist(), strict=True)]


def _of_rows(steps: Steps, rows: list[list[float]], first: int, closed: bool) -> Steps:
    """Return a line of other pieces that starts where piece `first` of the old one does.

    Straights that follow each other smoothly are made one; round a loop the last of them goes to the first.
    """
    merged: list[list[float]] = []
    for row in rows:
        if merged and not row[1] and not row[2] and not merged[-1][1]:
            merged[-1][0] += row[0]
        else:
            merged.append(row)
    (x, y), heading = steps.nodes[first].tolist(), float(steps.headings[first])
    if closed and len(merged) > 1 and not any([merged[0][1], merged[0][2], merged[-1][1]]):
        length = merged.pop()[0]
        merged[0][0] += length
        x, y = x - length * math.cos(heading), y - length * math.sin(heading)
        merged[0][2] = rows[-1][2] if len(merged) == 1 else merged[0][2]
    columns = np.array(merged, dtype=np.float64).reshape(-1, 3).T
    return Steps(x, y, heading, columns[0], columns[1], columns[2])


def _straightened(steps: Steps, i: int, closed: bool) -> Steps:
    """Make piece i a straight."""
    rows = _rows(steps)
    rows[i][1] = 0.0
    return _of_rows(steps, rows, 0, closed)


def _without_corner(steps: Steps, i: int, closed: bool) -> Steps:
    rows = _rows(steps)
    rows[i][2] = 0.0
    return _of_rows(steps, rows, 0, closed)


def _without(steps: Steps, i: int, closed: bool) -> Steps:
    """Leave piece i out; its neighbours share its length and its turn."""
    rows = _rows(steps)
    k = len(rows)
    before, after = (i - 1) % k, (i + 1) % k
    if not closed and i in {0, k - 1}:
        before = after = after if i == 0 else before
    length, turn = rows[i][0] / 2, rows[i][0] * rows[i][1] / 2
    for j in (before, after):
        rows[j][0] += length
        if rows[j][1]:
            rows[j][1] += turn / rows[j][0]
    if after != before:
        rows[after][2] = rows[after][2] or rows[i][2]
    return _of_rows(steps, rows[:i] + rows[i + 1 :], 0 if i else 1, closed)


def _as_corner(steps: Steps, i: int, closed: bool) -> Steps:
    """Turn piece i into a corner of as many degrees."""
    rows = _rows(steps)
    after = (i + 1) % len(rows)
    rows[after][2] += rows[i][0] * rows[i][1] + rows[i][2]
    rows[i - 1][0] += rows[i][0] / 2
    rows[after][0] += rows[i][0] / 2
    return _of_rows(steps, rows[:i] + rows[i + 1 :], 0 if i else 1, closed)


def _bends_on(steps: Steps, i: int) -> bool:
    """Tell whether the pieces before and after piece i are two arcs that turn one way, without corners between."""
    before, after = (i - 1) % steps.count, (i + 1) % steps.count
    same = before != after and steps.bends[before] * steps.bends[after] > 0
    return bool(same and not steps.corners[i] and not steps.corners[after])


def _one_arc(steps: Steps, i: int, closed: bool) -> Steps:
    """Make a straight and the arcs beside it one arc of as much turn."""
    rows = _rows(steps)
    k = len(rows)
    before, after = (i - 1) % k, (i + 1) % k
    turn = sum(rows[j][0] * rows[j][1] for j in (before, after))
    length = sum(rows[j][0] for j in (before, i, after))
    rows[before][:2] = [length, turn / length]
    left = [j for j in range(k) if j not in {i, after}]
    return _of_rows(steps, [rows[j] for j in left], left[0], closed)


def _joined(steps: Steps, i: int, j: int, closed: bool) -> Steps:
    """Make arcs i and j one of as much turn."""
    rows = _rows(steps)
    length = rows[i][0] + rows[j][0]
    turn = rows[i][0] * rows[i][1] + rows[j][0] * rows[j][1]
    rows[i][:2] = [length, turn / length or STRAIGHTEST]
    if j == 0:
        return _of_rows(steps, [rows[i], *rows[1:i]], i, closed)
    return _of_rows(steps, rows[:j] + rows[j + 1 :], 0, closed)
