"""What would do where whole scallops do not fill runs beside openings: a jamb moved, a cut end, a plain filler."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from layout.errors import JobFaults
from layout.face.openings import opening_faults, whole_counts
from layout.face.parting import spans_on, turned
from layout.face.pitches import Pitches
from layout.face.places import openings_on
from layout.face.safe_side import FINE_STEP, at_least, down, up
from layout.face.shifts import Found, Room, Shift, least_shifts, shifts_with
from layout.face.spans import STILL, Span, count_height
from layout.job.model import Job, Opening
from layout.metal.forms import build_profile
from layout.outline.chain import Chain
from layout.units import format_fine, format_length, parse_length

_CORRECTIONS = 6
"""times that straight lines are corrected by what the lines really measure; each leaves a hundredth of the error"""
_NUDGES = 3
"""last figures by which a move is told larger, until it does"""
_MOST_CUT = 3
"""openings whose ends are cut at once (assumed)"""


def room_of(job: Job, giving: Sequence[Span]) -> Room:
    """Return the pitches that a job allows, and the share that scallops may give: nothing in a range of a lone run."""
    if job.scallop.pitch_range is None:
        return Room(job.scallop.pitch, job.scallop.pitch, job.scallop.most_take_up)
    return Room(*job.scallop.pitch_range, job.scallop.most_take_up if len(giving) > 1 else 0.0)


def fill(job: Job, spans: Sequence[Span]) -> bool:
    """Tell whether some pitch that the job allows fills all of these with whole scallops, where they must be whole."""
    giving = [span for span in spans if span.gives]
    room = room_of(job, giving)
    if job.scallop.pitch_range is None:
        offset = _offset(job, room.low)
        return all(whole_counts(span.length_at(offset), room.low, room.most) for span in giving)
    ways = Pitches(job, giving).together(room.low, room.high) if giving else ()
    return not giving or any(way.worst * way.pitch <= room.most * way.pitch + STILL for way in ways)


def _offset(job: Job, pitch: float) -> float:
    return count_height(job, build_profile(job.scallop, job.metal.thickness, pitch))


def opening_remedies(job: Job, spans: Sequence[Span], over: Sequence[Span]) -> Iterator[str]:
    """Yield what alone would do at openings: the least move of a jamb, cut ends, a plain filler.

    Parameters
    ----------
    job
        The job.
    spans
        All its runs.
    over
        Those that stand in one another's way, or by themselves in their own.
    """
    giving = [span for span in spans if span.gives]
    fixed = job.scallop.pitch_range is None
    # A run that no opening bounds stays as it is, whatever is done at openings.
    if fixed and not all(span.left or span.right for span in over):
        return
    asked = _Asked(job, tuple(spans), tuple(giving), tuple(over))
    yield from _jamb_words(asked)
    yield from _cut_words(asked)
    yield from _filler_words(asked)


@dataclass(frozen=True)
class _Asked:
    job: Job
    spans: tuple[Span, ...]
    giving: tuple[Span, ...]
    over: tuple[Span, ...]

    @property
    def room(self) -> Room:
        return room_of(self.job, self.giving)

    def beside(self, spans: Sequence[Span]) -> list[int]:
        """Return the numbers of the openings that some runs begin or end at."""
        return sorted({number for span in spans for number in (span.left, span.right) if number})


@dataclass(frozen=True)
class Jamb:
    """One jamb of an opening, as the job names it."""

    number: int
    """of the opening"""
    key: str
    """from · to"""

    def station(self, job: Job) -> float:
        """Return its station, mm."""
        opening = job.openings[self.number - 1]
        return opening.start if self.key == "from" else opening.end

    def effects(self, spans: Sequence[Span], offset: float) -> tuple[tuple[int, float], ...]:
        """Return what a mm of it, towards rising stations, does to the runs that it bounds, at the count line."""
        found = []
        for k, span in enumerate(spans):
            ends_here = (span.right if self.key == "from" else span.left) == self.number and not span.leaf
            own_leaf = span.leaf and span.left == self.number
            if span.back is not None and (ends_here or own_leaf):
                # A run's right end is its opening's left jamb; a leaf's is its own right one.
                right = (self.key == "from") != own_leaf
                found.append((k, _stretch(span, offset, right=right) * (1.0 if right else -1.0)))
        return tuple(found)


def _stretch(span: Span, offset: float, *, right: bool) -> float:
    """Return how long a mm of wall is at the count line, at one end of a run."""
    back = span.back
    assert back is not None  # noqa: S101 - spans of a line have it
    length = back.length
    at = (
        (span.end - STILL if right else span.start + STILL) % length
        if back.closed
        else (min(max(span.end - STILL if right else span.start + STILL, 0.0), length))
    )
    return 1.0 + offset * float(back.curvature(at))


# Jambs.


def moved(job: Job, moves: Sequence[tuple[Jamb, float]]) -> Job:
    """Return the job with jambs at other stations."""
    openings = list(job.openings)
    for jamb, station in moves:
        before = openings[jamb.number - 1]
        openings[jamb.number - 1] = (
            replace(before, start=station) if jamb.key == "from" else replace(before, end=station)
        )
    return replace(job, openings=tuple(openings))


def _respanned(asked: _Asked, job: Job) -> list[Span] | None:
    """Return the runs of a changed job on the same lines; None where its openings cannot be, or part it otherwise."""
    lines: dict[int, Chain] = {span.outline: span.back for span in asked.spans if span.back is not None}
    if any(opening_faults(job, openings_on(job, outline, back), back) for outline, back in lines.items()):
        return None
    try:
        found = [span for outline, back in lines.items() for span in spans_on(job, outline, back)]
    except JobFaults:
        return None
    same = [span.called for span in found] == [span.called for span in asked.spans]
    return found if same and all(span.end > span.start for span in found) else None


@dataclass(frozen=True)
class _Moved:
    """Jambs moved, as it is told."""

    moves: tuple[tuple[Jamb, float], ...]
    """with their new stations, mm, as written"""
    total: float
    found: Found


def _jamb_words(asked: _Asked) -> Iterator[str]:
    """Yield the least move of one jamb, or of several where none does alone."""
    numbers = asked.beside(asked.over)
    jambs = [Jamb(number, key) for number in numbers for key in ("from", "to")]
    ways = [way for jamb in jambs if (way := _least_moves(asked, [jamb])) is not None]
    if not ways and len(jambs) > 1:
        together = _least_moves(asked, jambs)
        ways = [together] if together else []
    if ways:
        best = min(ways, key=lambda way: way.total)
        yield "Or move " + " and ".join(_move_words(asked, best, *move) for move in best.moves)


def _least_moves(asked: _Asked, jambs: Sequence[Jamb]) -> _Moved | None:
    """Return the least moves of these jambs that do, corrected by what the lines measure; None: none do."""
    room, pitches = asked.room, Pitches(asked.job, asked.giving)
    offset = _offset(asked.job, (room.low + room.high) / 2)
    shifts = [Shift(jamb.effects(asked.giving, offset)) for jamb in jambs]
    if not any(shift.effects for shift in shifts):
        return None
    off: dict[int, float] = {}
    found = least_shifts(pitches, shifts, room)
    for _ in range(_CORRECTIONS):
        exact = _measured(asked, jambs, found, pitches) if found else None
        if found is None or exact is None:
            return None
        worst = max(abs(exact[k] - off.get(k, 0.0)) for k in exact)
        off = exact
        if worst < STILL:
            break
        found = shifts_with(pitches, shifts, found.room, found.counts, off)
    return _written(asked, jambs, found) if found else None


def _measured(asked: _Asked, jambs: Sequence[Jamb], found: Found, pitches: Pitches) -> dict[int, float] | None:
    """Return by how much each touched run is longer than the straight lines say, the jambs being moved."""
    moves = [
        (jamb, _within(asked, jamb, jamb.station(asked.job) + by)) for jamb, by in zip(jambs, found.moves, strict=True)
    ]
    spans = _respanned(asked, moved(asked.job, moves))
    if spans is None:
        return None
    giving = [span for span in spans if span.gives]
    offset = _offset(asked.job, found.pitch)
    middle = _offset(asked.job, (asked.room.low + asked.room.high) / 2)
    off = {}
    for k in found.counts:
        said = pitches.length(k, found.pitch) + sum(
            by * effect
            for jamb, by in zip(jambs, found.moves, strict=True)
            for run, effect in jamb.effects(asked.giving, middle)
            if run == k
        )
        off[k] = giving[k].length_at(offset) - said
    return off


def _within(asked: _Asked, jamb: Jamb, station: float) -> float:
    """Return a station of a jamb's line, on a loop within its length."""
    back = next(span.back for span in asked.spans if jamb.number in (span.left, span.right))
    return station % back.length if back is not None and back.closed else station


def _written(asked: _Asked, jambs: Sequence[Jamb], found: Found) -> _Moved | None:
    """Return moves rounded to what is written, away from where the jambs stand, by as little as does."""
    job, step = asked.job, FINE_STEP[asked.job.units]
    moving = [(jamb, by) for jamb, by in zip(jambs, found.moves, strict=True) if abs(by) > step / 100]
    for nudge in range(_NUDGES + 1):
        moves = []
        for jamb, by in moving:
            there = jamb.station(job) + by
            there = up(there, step) + nudge * step if by > 0 else down(there, step) - nudge * step
            told = format_fine(_within(asked, jamb, there), job.units)
            moves.append((jamb, parse_length(told, job.units)))
        spans = _respanned(asked, moved(job, moves))
        if spans is not None and fill(job, spans):
            return _Moved(tuple(moves), found.total, found)
    return None


def _move_words(asked: _Asked, way: _Moved, jamb: Jamb, station: float) -> str:
    job, opening = asked.job, asked.job.openings[jamb.number - 1]
    by = station - jamb.station(job)
    back = next(span.back for span in asked.spans if jamb.number in (span.left, span.right))
    if back is not None and back.closed:
        by = (by + back.length / 2) % back.length - back.length / 2
    side = "left" if jamb.key == "from" else "right"
    far = f"{format_fine(abs(by), job.units)} to the {'right' if by > 0 else 'left'}"
    runs = [k for k, _ in jamb.effects(asked.giving, 0.0) if k in way.found.counts]
    held = ", ".join(f"{scallops(way.found.counts[k])} in {asked.giving[k].called}" for k in runs)
    told = format_fine(station, job.units)
    return f'the {side} jamb of {opening.name} {far} (opening[{jamb.number}].{jamb.key} = "{told}"; {held})'


def scallops(count: int) -> str:
    """Return a count of scallops in words.

    >>> scallops(1), scallops(12)
    ('1 scallop', '12 scallops')
    """
    return "1 scallop" if count == 1 else f"{count} scallops"


# Cut ends.


def with_cut(job: Job, numbers: Sequence[int]) -> Job:
    """Return the job with the ends at some openings cut."""

    def cut(number: int, opening: Opening) -> Opening:
        return replace(opening, ends="cut") if number in numbers else opening

    return replace(job, openings=tuple(cut(k, opening) for k, opening in enumerate(job.openings, 1)))


def _cut_words(asked: _Asked) -> Iterator[str]:
    """Yield the fewest openings at which cut ends would do, with what is left of each cut scallop."""
    whole = asked.beside(asked.giving)
    for count in range(1, min(len(whole), _MOST_CUT) + 1):
        for numbers in itertools.combinations(whole, count):
            spans = _respanned(asked, with_cut(asked.job, numbers))
            if spans is not None and fill(asked.job, spans):
                keys = " and ".join(f"opening[{number}].ends" for number in numbers)
                yield f'Or cut the last scallop and bury it in a jamb trim: {keys} = "cut"{_left_over(asked, spans)}'
                return


def _left_over(asked: _Asked, spans: Sequence[Span]) -> str:
    """Say how much is left of each scallop that is cut, where the pitch is known."""
    job = asked.job
    if job.scallop.pitch_range is not None and any(span.gives for span in spans):
        return ""
    pitch = job.scallop.pitch
    offset = _offset(job, pitch)
    before = {span.called for span in asked.giving}
    told = []
    for span in spans:
        if not span.gives and span.called in before:
            left = span.length_at(offset) % pitch
            if STILL < left < pitch - STILL:
                told.append(f"{span.called}: {format_fine(left, job.units)} of it left")
    return f" ({'; '.join(told)})" if told else ""


# Fillers.


def shortened(span: Span, by: float) -> Span:
    """Return a span that ends so many mm of wall before its opening: a filler stands there.

    At its right end, or at its left one where only that is at an opening.
    """
    if span.back is None:
        return replace(span, end=span.end - by)
    start, end = (span.start, span.end - by) if span.right else (span.start + by, span.end)
    return replace(span, start=start, end=end, turning=turned(span.back, end) - turned(span.back, start))


def _filler_words(asked: _Asked) -> Iterator[str]:
    """Yield the least plain filler that lets all runs have whole scallops; where none does alone, one a run."""
    runs = [k for k, span in enumerate(asked.giving) if (span.left or span.right) and span in asked.over]
    ways = [way for k in runs if (way := _least_filler(asked, [k])) is not None]
    if not ways and len(runs) > 1:
        together = _least_filler(asked, runs)
        ways = [together] if together else []
    if ways:
        widths, found = min(ways, key=lambda way: way[1].total)
        told = [_filler_told(asked, k, width, found.counts[k]) for k, width in widths.items()]
        yield f"Or fill up with plain metal: {' and '.join(told)}"


def _least_filler(asked: _Asked, runs: Sequence[int]) -> tuple[dict[int, float], Found] | None:
    """Return the width of wall that each run must leave to plain metal, mm; None: none does."""
    room, pitches = asked.room, Pitches(asked.job, asked.giving)
    found = least_shifts(pitches, [Shift(((k, -1.0),), least=0.0) for k in runs], room)
    if found is None:
        return None
    offset, step = _offset(asked.job, found.pitch), FINE_STEP[asked.job.units]
    for nudge in range(_NUDGES + 1):
        widths = {}
        for k, by in zip(runs, found.moves, strict=True):
            if by > step / 100:
                span = asked.giving[k]
                widths[k] = up(by / _stretch(span, offset, right=bool(span.right)), step) + nudge * step
        spans = [shortened(span, widths.get(k, 0.0)) for k, span in enumerate(asked.giving)]
        if fill(asked.job, spans):
            return widths, found
    return None


def _filler_told(asked: _Asked, k: int, width: float, count: int) -> str:
    job, span = asked.job, asked.giving[k]
    number = span.right or span.left
    jamb = f"the {'left' if span.right else 'right'} jamb of {job.openings[number - 1].name}"
    where = "the right end of the leaf" if span.leaf else jamb
    words = (
        f"at least {at_least(width, job.units, fine=True)} wide at {where}, beside {scallops(count)} in {span.called}"
    )
    if job.scallop.pitch_range is not None:
        return words
    pitch = job.scallop.pitch
    easy = span.length_at(_offset(job, pitch)) - count * pitch
    return f"{words} (about {format_length(easy, job.units)} leaves them as formed)"
