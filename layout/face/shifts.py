"""By how little ends of runs must move so that one pitch fills them all: a small linear programme for each way.

Lengths are mm at the count line. A run of length L that n scallops fill at pitch q, each giving at most the share
m of it, has n·q·(1 − m) ≤ L ≤ n·q·(1 + m). L changes with the shifts, and through the height of the count line
with q; both are taken as straight lines, which a caller corrects by what its lines really measure.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layout.face.pitches import Pitches

REACH = 1.5
"""pitches that an end may move at most: past one there is always a whole scallop more or less"""
MOST_WAYS = 600
"""sets of counts that are tried; past that nothing is told (assumed)"""


@dataclass(frozen=True)
class Shift:
    """Something that may move, and what that does to runs."""

    effects: tuple[tuple[int, float], ...]
    """index of a run, and by how much it grows for each mm"""
    least: float = -math.inf
    """mm, 0 where it only goes one way"""


@dataclass(frozen=True)
class Room:
    """What pitches are allowed, and how much scallops may give."""

    low: float
    """mm"""
    high: float
    most: float
    """share of the pitch"""


@dataclass(frozen=True)
class Found:
    """The least that does."""

    moves: tuple[float, ...]
    """mm of each shift"""
    counts: Mapping[int, int]
    """scallops of each run that the shifts touch"""
    pitch: float
    """mm, one that does"""
    room: Room
    """the stretch of pitches that it was found in"""

    @property
    def total(self) -> float:
        """Return how much is moved in all, mm."""
        return sum(map(abs, self.moves))


def least_shifts(pitches: Pitches, shifts: Sequence[Shift], room: Room) -> Found | None:
    """Return the shifts of least sum with which one pitch of the room fills every run; None: none are found.

    Parameters
    ----------
    pitches
        The runs that must give.
    shifts
        What may move.
    room
        The pitches and the share that are allowed.
    """
    touched = sorted({k for shift in shifts for k, _ in shift.effects})
    others = [k for k in range(len(pitches.spans)) if k not in touched]
    ways = []
    for low, high in pitches.all_allowed(others, room.most, room.low, room.high):
        part = Room(low, high, room.most)
        ways += [(_bound(pitches, shifts, part, counts), counts, part) for counts in _counts(pitches, touched, part)]
    best: Found | None = None
    for bound, counts, part in sorted(ways, key=lambda way: way[0]):
        if bound > (REACH * room.high * len(shifts) if best is None else best.total - 1e-9):
            break
        found = shifts_with(pitches, shifts, part, counts)
        if found is not None and (best is None or found.total < best.total - 1e-9):
            best = found
    return best


def _needs(pitches: Pitches, k: int, count: int, room: Room) -> tuple[float, float]:
    """Return by how much a run must at least and at most grow to hold a count at some pitch of the room, mm."""
    ends = [(pitch, pitches.length(k, pitch)) for pitch in (room.low, room.high)]
    return (
        min(count * pitch * (1 - room.most) - length for pitch, length in ends),
        max(count * pitch * (1 + room.most) - length for pitch, length in ends),
    )


def _bound(pitches: Pitches, shifts: Sequence[Shift], room: Room, counts: Mapping[int, int]) -> float:
    """Return a sum of shifts below which these counts cannot be; infinite where they cannot at all."""
    most = 0.0
    low, high = shifts[0].least, math.inf
    for k, count in counts.items():
        first, last = _needs(pitches, k, count, room)
        effects = [by for shift in shifts for run, by in shift.effects if run == k]
        most = max(most, max(first, -last, 0.0) / max(map(abs, effects)))
        ends = sorted((first / effects[0], last / effects[0]))
        low, high = max(low, ends[0]), min(high, ends[1])
    if len(shifts) > 1:
        return most
    return math.inf if low > high + 1e-9 else max(low, -high, 0.0)


def _counts(pitches: Pitches, touched: Sequence[int], room: Room) -> Iterator[dict[int, int]]:
    """Run through the whole counts that the touched runs may come to; through none where they are too many."""
    ranges = []
    for k in touched:
        fewest = math.floor((pitches.held(k, room.high) - REACH) / (1 + room.most))
        most = math.ceil((pitches.held(k, room.low) + REACH) / (1 - room.most))
        ranges.append(range(max(1, fewest), most + 1))
    if math.prod(len(one) for one in ranges) <= MOST_WAYS:
        for counts in itertools.product(*ranges):
            yield dict(zip(touched, counts, strict=True))


def shifts_with(
    pitches: Pitches,
    shifts: Sequence[Shift],
    room: Room,
    counts: Mapping[int, int],
    off: Mapping[int, float] | None = None,
) -> Found | None:
    """Return the least shifts for given counts of the touched runs: two rows a run, in x⁺, x⁻ of each shift and q.

    Parameters
    ----------
    off
        mm by which a run is longer than the straight lines say, where that is known.
    """
    from scipy.optimize import linprog  # noqa: PLC0415 - a quarter second that only refusals need

    rows, limits = [], []
    for k, count in counts.items():
        more = (off or {}).get(k, 0.0)
        first, last = pitches.length(k, room.low) + more, pitches.length(k, room.high) + more
        slope = (last - first) / (room.high - room.low) if room.high > room.low else 0.0
        start = first - slope * room.low
        effects = [sum(by for run, by in shift.effects if run == k) for shift in shifts]
        both = [sign * by for by in effects for sign in (1.0, -1.0)]
        rows += [[*both, slope - count * (1 + room.most)], [*(-by for by in both), count * (1 - room.most) - slope]]
        limits += [-start, start]
    reach = REACH * room.high
    bounds = [end for shift in shifts for end in ((0.0, reach), (0.0, min(reach, -shift.least)))]
    cost = [1.0] * (2 * len(shifts)) + [0.0]
    solved = linprog(cost, A_ub=np.array(rows), b_ub=np.array(limits), bounds=[*bounds, (room.low, room.high)])
    if not solved.success:
        return None
    x = np.asarray(solved.x, dtype=np.float64).tolist()
    return Found(tuple(x[2 * j] - x[2 * j + 1] for j in range(len(shifts))), counts, x[-1], room)
