"""Checks of answers, by plain counting: nothing here is shared with the searches or their bounds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Protocol

from solver.problems import Met, Track


class BreaksLike(Protocol):
    """What is looked at: `solver.breaks.Breaks`, or anything shaped like it."""

    @property
    def positions(self) -> tuple[tuple[int, ...], ...] | None:
        """Chosen positions of each track; None: there is no way."""

    @property
    def met(self) -> tuple[Met, ...]:
        """How well each goal was met."""


def verify_breaks(
    tracks: Sequence[Track],
    goals: Sequence[str],
    result: BreaksLike,
    *,
    most: Mapping[str, int] | None = None,
    mirrors: Sequence[int | None] | None = None,
) -> tuple[str, ...]:
    """Return all that is wrong with an answer to `breaks.solve` or `solve_mirrored`; empty: it is as it says.

    Positions, lengths and values are counted anew. An answer that says there is no way is searched for one, but
    where caps or mirrors may be why. That no better answer exists is not checked here: that is what the bounds
    are for.

    Examples
    --------
    >>> import numpy as np
    >>> from solver.breaks import Breaks
    >>> line = Track(6, False, 2, 4, np.arange(7), np.full(7, True))
    >>> verify_breaks([line], ["total"], Breaks(((0, 2, 6),), (Met("total", 2, 2, True),)))
    ()
    >>> verify_breaks([line], ["total"], Breaks(((0, 1, 6),), (Met("total", 2, 2, True),)))
    ('track 0: piece 0–1 is 1 long, not 2…4', 'track 0: piece 1–6 is 5 long, not 2…4', 'total is 1, not 2')
    """
    if result.positions is None:
        return tuple(_denied(tracks, result.met, free=not most and not any(m is not None for m in mirrors or ())))
    if len(result.positions) != len(tracks):
        return (f"{len(result.positions)} tracks are answered, not {len(tracks)}",)
    findings = []
    axes = [None] * len(tracks) if mirrors is None else mirrors
    for index, (track, chosen, mirror) in enumerate(zip(tracks, result.positions, axes, strict=True)):
        faults = (*_track_findings(track, chosen), *_mirror_findings(track, chosen, mirror))
        findings += [f"track {index}: {finding}" for finding in faults]
    if [met.goal for met in result.met] != list(goals):
        return (*findings, f"goals met are {[met.goal for met in result.met]}, not {list(goals)}")
    values = _values(tracks, result.positions)
    findings += [f"{goal} is {values[goal]}, above {cap}" for goal, cap in (most or {}).items() if values[goal] > cap]
    return (*findings, *(finding for met in result.met for finding in _met_findings(met, values)))


def _mirror_findings(track: Track, chosen: Sequence[int], mirror: int | None) -> Iterator[str]:
    if mirror is None:
        return
    for position in chosen:
        other = (mirror - position) % track.size if track.closed else mirror - position
        if other not in chosen:
            yield f"position {position} is chosen, but {other} is not"


def _denied(tracks: Sequence[Track], met: Sequence[Met], *, free: bool) -> Iterator[str]:
    if met:
        yield "goals are met though there is no way"
    if free and all(has_way(track) for track in tracks):
        yield "there is a way to break every track"


def _met_findings(met: Met, values: dict[str, int]) -> Iterator[str]:
    if met.value != values[met.goal]:
        yield f"{met.goal} is {values[met.goal]}, not {met.value}"
    if met.bound > met.value:
        yield f"{met.goal}: bound {met.bound} is above the value {met.value}"
    if met.proved != (met.bound == met.value):
        yield f"{met.goal}: proved is {met.proved} at value {met.value} and bound {met.bound}"


def _track_findings(track: Track, chosen: Sequence[int]) -> Iterator[str]:
    if not chosen or any(b <= a for a, b in pairwise(chosen)):
        yield f"positions {chosen} do not rise"
        return
    lowest, highest = (0, track.size - 1) if track.closed else (0, track.size)
    if chosen[0] < lowest or chosen[-1] > highest:
        yield f"positions reach from {chosen[0]} to {chosen[-1]}, outside {lowest}…{highest}"
        return
    if not track.closed and (chosen[0], chosen[-1]) != (0, track.size):
        yield f"the ends {chosen[0]} and {chosen[-1]} are not 0 and {track.size}"
    inside = chosen if track.closed else chosen[1:-1]
    for position in inside:
        if not track.allowed[position]:
            yield f"position {position} is not allowed"
    yield from _length_findings(track, chosen)


def _length_findings(track: Track, chosen: Sequence[int]) -> Iterator[str]:
    pieces = list(_pieces(track, chosen))
    for number, (start, end) in enumerate(pieces, start=1):
        longest = track.largest
        if not track.closed and number == len(pieces) and track.largest_last is not None:
            longest = track.largest_last
        short_is_fine = len(pieces) == 1 and track.short_whole and end - start == track.size
        shortest = min(track.smallest, track.size) if short_is_fine else track.smallest
        if not shortest <= end - start <= longest:
            yield f"piece {start}–{end} is {end - start} long, not {shortest}…{longest}"


def _pieces(track: Track, chosen: Sequence[int]) -> Iterator[tuple[int, int]]:
    closing = (chosen[0] + track.size,) if track.closed and chosen else ()
    yield from pairwise((*chosen, *closing))


def _values(tracks: Sequence[Track], positions: Sequence[Sequence[int]]) -> dict[str, int]:
    lengths: list[int] = []
    costs: list[int] = []
    for track, chosen in zip(tracks, positions, strict=True):
        lengths += [end - start for start, end in _pieces(track, chosen)]
        known = [p for p in chosen if 0 <= p < len(track.cost)]
        costs += [int(track.cost[p]) for p in (known if track.closed else known[1:-1])]
    return {
        "pieces": len(lengths),
        "worst": max(costs, default=0),
        "different": len(set(lengths)),
        "total": sum(costs),
        "spread": max(lengths, default=0) - min(lengths, default=0),
    }


def has_way(track: Track) -> bool:
    """Whether a track can be broken at all.

    Ways are walked from all starts at once, one bit a start: a position is reached by the starts that reach
    any position one piece before it.

    Examples
    --------
    >>> import numpy as np
    >>> ring = lambda size: Track(size, True, 4, 5, np.zeros(size, int), np.full(size, True))
    >>> [size for size in range(1, 20) if has_way(ring(size))]  # 6, 7 and 11 lie between multiples of 4 and 5
    [1, 2, 3, 4, 5, 8, 9, 10, 12, 13, 14, 15, 16, 17, 18, 19]
    """
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    if track.size < track.smallest:
        return track.short_whole and track.size <= last and (not track.closed or bool(track.allowed.any()))
    if not track.closed:
        return _line_has_way(track, last)
    window = min(track.size, track.largest)
    first = _thinnest(track, window)
    allowed = [bool(track.allowed[(first + k) % track.size]) for k in range(track.size + window)]
    sets = _Recent(track.smallest, track.largest)
    for k, is_open in enumerate(allowed):
        before = sets.reaching()
        if k >= track.size and before >> (k - track.size) & 1:
            return True
        own = 1 << k if k < window else 0
        sets.add((before | own) if is_open else 0)
    return False


def _line_has_way(track: Track, last: int) -> bool:
    sets = _Recent(track.smallest, track.largest)
    reached = [True]
    sets.add(1)
    for position in range(1, track.size):
        reached.append(bool(track.allowed[position]) and sets.reaching() > 0)
        sets.add(int(reached[-1]))
    return any(reached[max(0, track.size - last) : track.size - track.smallest + 1])


def _thinnest(track: Track, window: int) -> int:
    """First position of the window with the fewest allowed positions."""
    allowed = [int(a) for a in track.allowed]
    count = sum(allowed[:window])
    best = (count, 0)
    for start in range(1, track.size):
        count += allowed[(start + window - 1) % track.size] - allowed[start - 1]
        best = min(best, (count, start))
    return best[1]


class _Recent:
    """The union of the sets added between `most` and `least` additions ago: a queue of two stacks."""

    def __init__(self, least: int, most: int) -> None:
        self.least, self.width = least, most - least + 1
        self.waiting: list[int] = []
        self.given = 0
        self.front: list[int] = []
        self.back: list[int] = []
        self.back_union = 0

    def add(self, members: int) -> None:
        """Add the next set."""
        self.waiting.append(members)

    def reaching(self) -> int:
        """Return the union as seen from the next position."""
        while self.given <= len(self.waiting) - self.least:
            self.back.append(self.waiting[self.given])
            self.back_union |= self.back[-1]
            self.given += 1
            if len(self.front) + len(self.back) > self.width:
                self._drop()
        return self.back_union | (self.front[-1] if self.front else 0)

    def _drop(self) -> None:
        if not self.front:
            self.front = list(_unions(reversed(self.back)))
            self.back, self.back_union = [], 0
        self.front.pop()


def _unions(sets: Iterable[int]) -> Iterator[int]:
    union = 0
    for members in sets:
        union |= members
        yield union
