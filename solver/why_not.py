"""Why tracks cannot be broken: the stretch that stops it, and the least changes that would let it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.breaks import solve
from solver.crossing import Opening, blocked_stretch, least_opening
from solver.mirror import has_mirrored_way, solve_mirrored
from solver.problems import Track
from solver.verify import has_way

KINDS = ("short", "count", "stretch", "start", "end", "whole", "mirror", "most")
"""What a conflict can be.

short: the track is no piece and cannot be broken · count: no number of pieces fills it, even with every
position allowed · stretch: no way crosses these positions, wherever it comes from · start: none crosses them
from the start of the line · end: none crosses them to its end · whole: every part can be crossed, but not all
by one way · mirror: there are ways, but none that is the same on both sides of the axis · most: there are ways, but
all exceed a value that was not to be exceeded
"""


@dataclass(frozen=True)
class Conflict:
    """Why there is no way, and what would make one. Each change is by itself enough, and nothing less is."""

    track: int
    """index of the first track that has no way"""
    kind: str
    """one of `KINDS`"""
    start: int
    """first position of the stretch that cannot be crossed"""
    end: int
    """its last position; on a ring it may lie below `start`"""
    tracks: tuple[int, ...]
    """all tracks without a way"""
    largest: int | None
    """the least that `largest` must be raised to, for every track with less; `largest_last` rises along;
    None: no raise does"""
    smallest: int | None
    """the most that `smallest` must be lowered to, for every track with more; None: no lowering does"""
    places: tuple[tuple[int, ...], ...] | None
    """the fewest positions to allow, anywhere, for each track without a way; None: that does not do"""
    openings: tuple[Opening, ...] | None
    """the fewest neighbouring positions to allow, for each track without a way; None: that does not do, or a
    ring is too large to try it"""
    needs: tuple[tuple[str, int], ...] = ()
    """of kind "most": for each cap that cannot be kept beside the others, the least value that can be; a value of
    "different" that was not settled is the least that was not ruled out"""


def explain(
    tracks: Sequence[Track],
    *,
    mirrors: Sequence[int | None] | None = None,
    most: Mapping[str, int] | None = None,
) -> Conflict | None:
    """Explain why the tracks cannot all be broken; None: they can.

    Axes and caps, as `solve_mirrored` takes them, are looked at only where the tracks can be broken without, and
    then the conflict tells of them. With an axis `largest` and `smallest` are changes that do with all axes kept;
    places and openings are not sought.

    Examples
    --------
    >>> allowed = np.full(30, True)
    >>> allowed[9:16] = False
    >>> conflict = explain([Track(30, True, 3, 6, np.zeros(30, int), allowed)])
    >>> conflict.kind, conflict.start, conflict.end, conflict.largest
    ('stretch', 9, 14, 8)
    >>> conflict.openings
    (Opening(track=0, start=10, count=1),)
    >>> conflict.places
    ((10,),)
    >>> ring = Track(6, True, 2, 2, np.zeros(6, int), np.full(6, True))
    >>> explain([ring], mirrors=[1]).kind, explain([ring], most={"pieces": 2}).needs
    ('mirror', (('pieces', 3),))
    """
    stuck = tuple(index for index, track in enumerate(tracks) if not has_way(track))
    if not stuck:
        axes = [None] * len(tracks) if mirrors is None else mirrors
        return _mirror_conflict(tracks, axes) or _most_conflict(tracks, axes, most or {})
    track = tracks[stuck[0]]
    kind, start, end = _conflict(track)
    return Conflict(
        track=stuck[0],
        kind=kind,
        start=start,
        end=end,
        tracks=stuck,
        largest=_least_largest(tracks),
        smallest=_most_smallest(tracks),
        places=_places([tracks[index] for index in stuck]),
        openings=_openings(tracks, stuck),
    )


def _mirror_conflict(tracks: Sequence[Track], mirrors: Sequence[int | None]) -> Conflict | None:
    """Tell which tracks have no way that is mirrored, and what limits would make one."""

    def does(some: Sequence[Track]) -> list[bool]:
        pairs = zip(some, mirrors, strict=True)
        return [has_way(track) if mirror is None else has_mirrored_way(track, mirror) for track, mirror in pairs]

    stuck = tuple(index for index, well in enumerate(does(tracks)) if not well)
    if not stuck:
        return None
    track = tracks[stuck[0]]
    last = track.size - 1 if track.closed else track.size
    largest = _least_largest(tracks, lambda some: all(does(some)))
    smallest = _most_smallest(tracks, lambda some: all(does(some)))
    return Conflict(stuck[0], "mirror", 0, last, stuck, largest, smallest, None, None)


def _most_conflict(tracks: Sequence[Track], mirrors: Sequence[int | None], most: Mapping[str, int]) -> Conflict | None:
    """Tell which caps cannot be kept beside all the others, and what is the least they must give way to."""
    if not most or solve_mirrored(tracks, mirrors, (), most=most).positions is not None:
        return None
    needs = []
    for goal in most:
        others = {other: value for other, value in most.items() if other != goal}
        least = solve_mirrored(tracks, mirrors, (goal,), most=others)
        needs += [(goal, met.bound) for met in least.met]
    last = tracks[0].size - 1 if tracks[0].closed else tracks[0].size
    every = tuple(range(len(tracks)))
    return Conflict(0, "most", 0, last, every, None, None, None, None, tuple(needs))


def raised(track: Track, largest: int) -> Track:
    """Return the track with `largest` raised to at least this; `largest_last` keeps its distance.

    Examples
    --------
    >>> line = Track(9, False, 2, 4, np.zeros(10, int), np.full(10, True), largest_last=5)
    >>> raised(line, 6).largest, raised(line, 6).largest_last, raised(line, 3).largest
    (6, 7, 4)
    """
    more = max(0, largest - track.largest)
    last = None if track.largest_last is None else track.largest_last + more
    return replace(track, largest=track.largest + more, largest_last=last)


def lowered(track: Track, smallest: int) -> Track:
    """Return the track with `smallest` lowered to at most this."""
    return replace(track, smallest=min(track.smallest, smallest))


def opened(track: Track, start: int, count: int) -> Track:
    """Return the track with `count` positions from `start` on allowed; on a ring they may go round.

    Examples
    --------
    >>> ring = Track(5, True, 2, 3, np.zeros(5, int), np.full(5, False))
    >>> opened(ring, 4, 2).allowed.tolist()
    [True, False, False, False, True]
    """
    allowed = track.allowed.copy()
    at = np.arange(start, start + count)
    allowed[at % track.size if track.closed else at] = True
    return replace(track, allowed=allowed)


def _conflict(track: Track) -> tuple[str, int, int]:
    last = track.size - 1 if track.closed else track.size
    if track.size < track.smallest and (track.closed or not _fits_whole(track)):
        return ("short" if not _fits_whole(track) else "whole"), 0, last
    if not has_way(replace(track, allowed=np.full_like(track.allowed, True))):
        return "count", 0, last
    stretch = blocked_stretch(track)
    if stretch is None:
        return "whole", 0, last
    start, end = stretch
    if track.closed:
        return "stretch", start, end % track.size
    at_start, at_end = start <= 1, end >= track.size - 1
    if at_start and at_end:
        return "whole", 0, last
    kind = "start" if at_start else "end" if at_end else "stretch"
    return kind, start, end


def _fits_whole(track: Track) -> bool:
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    return track.short_whole and track.size <= last


def _all_have_ways(tracks: Sequence[Track]) -> bool:
    return all(has_way(track) for track in tracks)


def _least_largest(tracks: Sequence[Track], do: Callable[[Sequence[Track]], bool] = _all_have_ways) -> int | None:
    """Find the least largest that does: more of it never hurts."""
    least = min(track.largest for track in tracks)
    most = max(least, *(track.size + track.largest for track in tracks))
    return _first(lambda largest: do([raised(track, largest) for track in tracks]), least, most)


def _most_smallest(tracks: Sequence[Track], do: Callable[[Sequence[Track]], bool] = _all_have_ways) -> int | None:
    """Find the most smallest that does: less of it never hurts."""
    most = max(track.smallest for track in tracks)
    less = _first(lambda down: do([lowered(track, most - down) for track in tracks]), 0, most - 1)
    return None if less is None else most - less


def _first(does: Callable[[int], bool], no: int, most: int) -> int | None:
    """Return the first number above `no` that does, where all above it do; None: not even `most` does."""
    step, yes = 1, min(no + 1, most)
    if most <= no:
        return None
    while not does(yes):
        if yes == most:
            return None
        no, step = yes, 2 * step
        yes = min(most, no + step)
    while yes - no > 1:
        middle = (no + yes) // 2
        no, yes = (no, middle) if does(middle) else (middle, yes)
    return yes


def _places(tracks: Sequence[Track]) -> tuple[tuple[int, ...], ...] | None:
    """Find the fewest forbidden positions that some way needs, and of these ways the lowest."""
    out = []
    for track in tracks:
        price = (~track.allowed).astype(np.int64)
        free = replace(track, cost=price, allowed=np.full_like(track.allowed, True))
        chosen = solve([free], ["total"]).positions
        if chosen is None:
            return None
        inside = chosen[0] if track.closed else chosen[0][1:-1]
        out.append(tuple(position for position in inside if price[position]))
    return tuple(out)


def _openings(tracks: Sequence[Track], stuck: Sequence[int]) -> tuple[Opening, ...] | None:
    found = [least_opening(tracks[index], index) for index in stuck]
    return None if any(opening is None for opening in found) else tuple(o for o in found if o is not None)
