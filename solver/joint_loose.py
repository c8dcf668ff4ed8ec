"""Ways along a track drawn as counts wherever positions do not matter.

Between positions that lie side by side and are alike, pieces may stand in any order. So over such a stretch it is
enough to say where the way comes in, where it leaves, and how many pieces of each number of steps lie between; only
pieces that cross from one stretch to another keep their places. A straight line or an even ring comes to one column a
number of steps, and a program loses the orders that all come to the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solver.joint_draft import Draft
from solver.joint_kinds import Lane

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Stretch:
    """Positions alike, side by side, from the first to the last; all of a ring whose positions are all alike."""

    first: int
    last: int
    """less than `first` where it goes past position 0; of a whole ring equal to `first`"""
    steps: int
    """from the first to the last; of a whole ring its size"""

    @property
    def whole(self) -> bool:
        """Whether it is a whole ring."""
        return self.first == self.last and self.steps > 0


@dataclass(frozen=True, eq=False)
class Loose:
    """The columns that count pieces inside the stretches of one track."""

    first: int
    """their first column"""
    stretch: Ints
    """index of the stretch of each"""
    steps: Ints
    kind: Ints
    stretches: tuple[Stretch, ...] = field(default=())

    @property
    def columns(self) -> Ints:
        """Their columns."""
        return np.arange(self.first, self.first + len(self.steps))


def labels_of(lane: Lane, open_at: Bools, *, priced: bool) -> Ints:
    """Return a number for every position but a line's end, equal where breaks are alike; −1 where none may fall.

    With `priced` breaks are alike where they cost the same, else wherever they may fall.
    """
    alike = lane.cost if priced else np.zeros(lane.size, dtype=np.int64)
    return np.where(open_at[: lane.size], alike[: lane.size], -1)


def stretches_of(lane: Lane, labels: Ints) -> tuple[Stretch, ...]:
    """Return the stretches of equal labels in which at least one piece has room.

    Examples
    --------
    >>> from solver.problems import Track
    >>> free = np.zeros(12, dtype=np.int64)
    >>> lane = Lane(Track(12, True, 2, 4, free, free == 0), {2: 0, 3: 1, 4: 2}, {})
    >>> stretches_of(lane, free)
    (Stretch(first=0, last=0, steps=12),)
    >>> stretches_of(lane, np.where(np.arange(12) % 6 == 2, -1, 0))
    (Stretch(first=3, last=7, steps=4), Stretch(first=9, last=1, steps=4))
    """
    size, least = lane.size, min(lane.kinds, default=lane.size + 1)
    changes = changes_of(lane, labels)
    if not len(changes):
        return (Stretch(0, 0, size),) if least <= size and labels[0] >= 0 else ()
    ends = np.append(changes[1:], changes[0] + size)
    return tuple(
        Stretch(a, (b - 1) % size, b - 1 - a)
        for a, b in zip(changes.tolist(), ends.tolist(), strict=True)
        if labels[a] >= 0 and b - 1 - a >= least
    )


def changes_of(lane: Lane, labels: Ints) -> Ints:
    """Return the positions whose label is another than that of the one before; 0 begins a line."""
    changed = labels != np.roll(labels, 1)
    if not lane.track.closed:
        changed[0] = True
    return np.flatnonzero(changed).astype(np.int64)


def place_in(lane: Lane, stretches: tuple[Stretch, ...]) -> tuple[Ints, Ints]:
    """Return for every position the index of its stretch, −1 where it is in none, and how far into it."""
    inside, along = np.full(lane.size + 1, -1), np.zeros(lane.size + 1, dtype=np.int64)
    for index, stretch in enumerate(stretches):
        places = (stretch.first + np.arange(stretch.steps + (not stretch.whole))) % lane.size
        inside[places], along[places] = index, np.arange(len(places))
    return inside, along


def draw_loose(draft: Draft, lane: Lane, stretches: tuple[Stretch, ...]) -> Loose:
    """Draw the columns that count the pieces inside each stretch."""
    parts = [(i, n, kind, s.steps // n) for i, s in enumerate(stretches) for n, kind in lane.kinds.items()]
    parts = [part for part in parts if part[3]]
    stretch, steps, kind, most = (np.array([part[k] for part in parts], dtype=np.int64) for k in range(4))
    first = draft.columns(len(parts), most.astype(np.float64)) if parts else draft.width
    return Loose(first, stretch, steps, kind, stretches)


def strung_along(lane: Lane, starts: Ints, steps: Ints, loose: Loose, values: Ints) -> tuple[int, ...] | None:
    """Return the positions of pieces with places and of those counted, the longest first; None: they are no way.

    Parameters
    ----------
    starts, steps
        of the pieces that keep their places
    values
        of the loose columns
    """
    counted: dict[int, list[int]] = {}
    for index, n, times in zip(loose.stretch.tolist(), loose.steps.tolist(), values.tolist(), strict=True):
        counted.setdefault(index, []).extend([n] * times)
    found = set(starts.tolist())
    ends = {(int(a) + int(n)) % lane.size for a, n in zip(starts, steps, strict=True)} if lane.track.closed else None
    entered = ends if ends is not None else {0, *(int(a) + int(n) for a, n in zip(starts, steps, strict=True))}
    inside, _ = place_in(lane, loose.stretches)
    begins = {int(inside[p]): p for p in sorted(entered) if inside[p] >= 0}
    for index, pieces in counted.items():
        if not pieces:
            continue
        at = loose.stretches[index].first if loose.stretches[index].whole else begins.get(index, -1)
        if at < 0:
            return None
        for n in sorted(pieces, reverse=True):
            found.add(at)
            at = (at + n) % lane.size if lane.track.closed else at + n
    ways = tuple(sorted(found))
    return ways if lane.track.closed else (*ways, lane.size)
