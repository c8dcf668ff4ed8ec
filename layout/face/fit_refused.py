"""Why whole scallops do not fill the runs, and the least changes that alone would do, in words of the trade."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from layout.errors import JobFaults, NoPlan
from layout.face.jamb_moves import opening_remedies, scallops
from layout.face.pitches import Intervals, Pitches, least_giving, meeting
from layout.face.safe_side import at_least, at_most
from layout.face.spans import STILL, Span, count_height
from layout.job.keys_drawn import MOST_TAKE_UP
from layout.job.model import Job
from layout.metal.profile import Profile
from layout.units import format_fine

SHARE_STEP = 10_000
"""steps to 1 in which a share is told: hundredths of a percent"""

LOOK = 0.1
"""share of the pitch by which pitches beside the range are looked at for one that would do (assumed)"""


def too_much_take_up(
    job: Job, spans: Sequence[Span], profile: Profile, counts: Sequence[int], take_ups: Sequence[float]
) -> NoPlan:
    """Return the refusal of a fit at the drawn pitch whose scallops would have to give too much.

    Parameters
    ----------
    job
        The job.
    spans
        Its runs.
    profile
        The drawn scallop.
    counts, take_ups
        Of each run: nearest whole count, and mm a scallop.
    """
    pitch, most = profile.pitch, job.scallop.most_take_up
    over = [k for k in range(len(spans)) if abs(take_ups[k]) > most * pitch + STILL]
    worst = max(over, key=lambda k: abs(take_ups[k]))
    count, e = counts[worst], take_ups[worst]
    length = spans[worst].length_at(count_height(job, profile))
    others = [spans[k].called for k in over if k != worst]
    too = f"; so must {', '.join(others)}" if others else ""
    missing = {k: counts[k] * (math.copysign(most * pitch, take_ups[k]) - take_ups[k]) for k in over}
    alone = len(spans) == 1
    moves = [f"{'the wall' if alone else spans[k].called} {_by(job, missing[k])}" for k in over]
    return NoPlan(
        f"{spans[worst].called} is {_fine(job, length)} long at the count line: {scallops(count)} of "
        f"{_fine(job, pitch)} must each be {'stretched' if e > 0 else 'crowded'} by {_fine(job, abs(e))}, "
        f"{abs(e) / pitch:.2%} of the pitch; scallop.most_take_up allows {most:.2%}{too}",
        [
            f"Make {' and '.join(moves)} at the count line",
            *opening_remedies(job, spans, [spans[k] for k in over]),
            *_other_pitch(job, spans, pitch),
            *_more_take_up(abs(e) / pitch, "Or allow it: "),
        ],
    )


def _by(job: Job, by: float) -> str:
    """Say that something must be longer (+) or shorter by so much, mm."""
    return f"{'longer' if by > 0 else 'shorter'} by at least {at_least(abs(by), job.units, fine=True)}"


def _other_pitch(job: Job, spans: Sequence[Span], pitch: float) -> Iterator[str]:
    """Yield the pitches nearest below and above the drawn one at which every run would do, if there are such."""
    range_ = "or give scallop.pitch_range if the die is not made yet"
    pitches, most = Pitches(job, [span for span in spans if span.gives]), job.scallop.most_take_up
    ways = []
    for low, high in ((pitch * (1 - LOOK), pitch), (pitch, pitch * (1 + LOOK))):
        try:
            found = pitches.all_allowed(range(len(pitches.spans)), most, low, high)
        except JobFaults:  # no such pitch makes the form
            continue
        if found:
            ways.append(_pitch_words(job, pitches, found[-1] if high == pitch else found[0], below=high == pitch))
    if ways:
        yield f"Or draw a pitch of {' or '.join(ways)}, {range_}"
    else:
        yield range_.capitalize()


def _pitch_words(job: Job, pitches: Pitches, allowed: tuple[float, float], *, below: bool) -> str:
    """Say which pitch is near enough, and which one of that stretch gives least, with its counts."""
    edge = at_most(allowed[1], job.units, fine=True) if below else at_least(allowed[0], job.units, fine=True)
    middle = (allowed[0] + allowed[1]) / 2
    counts = [least_giving(pitches.held(k, middle)) for k in range(len(pitches.spans))]
    best = _fine(job, pitches.least_worst(counts, *allowed).pitch)
    number = scallops(counts[0]) if len(counts) == 1 else f"{' + '.join(map(str, counts))} scallops"
    return f"{'at most' if below else 'at least'} {edge}, best {best} ({number})"


def _more_take_up(share: float, start: str = "Allow it: ") -> Iterator[str]:
    """Yield the take-up that would do, where a job may allow as much."""
    enough = math.ceil(share * SHARE_STEP - 1e-6) / SHARE_STEP
    if enough <= MOST_TAKE_UP:
        yield f"{start}scallop.most_take_up = {enough:g}"


@dataclass(frozen=True)
class _Asked:
    """What a pitch range asks of all runs."""

    job: Job
    every: tuple[Span, ...]
    """all runs, those among them whose end is cut"""
    pitches: Pitches
    low: float
    high: float
    most: float
    """share of the pitch that scallops may give"""

    @property
    def spans(self) -> tuple[Span, ...]:
        return self.pitches.spans

    def allowed(self, k: int) -> Intervals:
        return self.pitches.allowed(k, self.most, self.low, self.high)

    def all_but(self, k: int) -> Intervals:
        others = [j for j in range(len(self.spans)) if j != k]
        return self.pitches.all_allowed(others, self.most, self.low, self.high)


def nothing_in_range(job: Job, spans: Sequence[Span]) -> NoPlan:
    """Return the refusal of a pitch range in which no pitch fills all runs that must give.

    Parameters
    ----------
    job
        The job.
    spans
        All its runs.
    """
    low, high = job.scallop.pitch_range or (job.scallop.pitch, job.scallop.pitch)
    pitches = Pitches(job, [span for span in spans if span.gives])
    asked = _Asked(job, tuple(spans), pitches, low, high, job.scallop.most_take_up)
    return _no_whole_number(asked) if len(pitches.spans) == 1 else _no_common_pitch(asked)


def _no_whole_number(asked: _Asked) -> NoPlan:
    """Say which pitches beside the range a lone run would take, and which other length."""
    job, pitches, low, high = asked.job, asked.pitches, asked.low, asked.high
    ways = []
    below = _pitch_holding(pitches, math.floor(pitches.held(0, low)) + 1, low)
    above = _pitch_holding(pitches, math.ceil(pitches.held(0, high)) - 1, high)
    if below is not None:
        ways.append(f"down to {at_most(below[0], job.units, fine=True)} ({scallops(below[1])})")
    if above is not None:
        ways.append(f"up to {at_least(above[0], job.units, fine=True)} ({scallops(above[1])})")
    widen = [f"Widen scallop.pitch_range {' or '.join(ways)}"] if ways else []
    by = min((by for by in _moves_between(asked, 0, 0.0, [(low, high)])), key=abs)
    called = "the wall" if len(asked.every) == 1 else asked.spans[0].called
    longer = f"{'Or make' if widen else 'Make'} {called} {_by(job, by)} at the count line"
    return NoPlan(
        f"no whole number of scallops fills {asked.spans[0].called} ({_fine(job, pitches.length(0, low))} at the "
        f"count line) with a pitch from {_fine(job, low)} to {_fine(job, high)}",
        [*widen, longer, *opening_remedies(job, asked.every, asked.spans)],
    )


def _pitch_holding(pitches: Pitches, count: int, near: float) -> tuple[float, int] | None:
    """Return the pitch beside `near` at which a whole count fills the first span; None where none makes the form."""
    if count < 1:
        return None
    about = near * pitches.held(0, near) / count
    low, high = min(near, about * (1 - LOOK)), max(near, about * (1 + LOOK))
    try:
        return pitches.least_worst([count], low, high).pitch, count
    except JobFaults:
        return None


def _no_common_pitch(asked: _Asked) -> NoPlan:
    """Say which runs cannot have one pitch, and what would let them."""
    job, stuck = asked.job, _smallest_conflict(asked)
    names = [f"{asked.spans[k].called} ({_fine(job, asked.pitches.length(k, asked.low))})" for k in stuck]
    runs = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    takes = "does not take" if len(names) == 1 else "do not both take" if len(names) == 2 else "do not all take"
    return NoPlan(
        f"no pitch from {_fine(job, asked.low)} to {_fine(job, asked.high)} fills every run: {runs} {takes} whole "
        f"scallops of any one such pitch with a take-up of at most {asked.most:.2%} of it (scallop.most_take_up)",
        [
            *_least_take_up(asked),
            *_least_move(asked),
            *_least_widening(asked),
            *opening_remedies(job, asked.every, [asked.spans[k] for k in stuck]),
        ],
    )


def _smallest_conflict(asked: _Asked) -> tuple[int, ...]:
    """Return the fewest runs that have no pitch together; past two, some of which none can be left out."""
    sets = [asked.allowed(k) for k in range(len(asked.spans))]
    for k, pitches in enumerate(sets):
        if not pitches:
            return (k,)
    for j, k in itertools.combinations(range(len(sets)), 2):
        if not meeting(sets[j], sets[k]):
            return (j, k)
    left = list(range(len(sets)))
    for k in range(len(sets)):
        fewer = [j for j in left if j != k]
        if not asked.pitches.all_allowed(fewer, asked.most, asked.low, asked.high):
            left = fewer
    return tuple(left)


def _least_take_up(asked: _Asked) -> Iterator[str]:
    yield from _more_take_up(min(way.worst for way in asked.pitches.together(asked.low, asked.high)))


def _least_move(asked: _Asked) -> Iterator[str]:
    """Yield the least change of one run's length, the others as they are, that gives all one pitch."""
    moves = [(abs(by), k, by) for k in range(len(asked.spans)) for by in _moves(asked, k)]
    if moves:
        _, k, by = min(moves)
        yield f"Make {asked.spans[k].called} {_by(asked.job, by)} at the count line, the other runs as they are"


def _moves(asked: _Asked, k: int) -> Iterator[float]:
    """Yield by how much a run must be longer (+) or shorter at pitches that the others take.

    Between two such pitches it is never less than at both: what is missing grows, or falls, or first grows.
    """
    return _moves_between(asked, k, asked.most, asked.all_but(k))


def _moves_between(asked: _Asked, k: int, most: float, pitches: Intervals) -> Iterator[float]:
    for pitch in itertools.chain.from_iterable(pitches):
        length, held = asked.pitches.length(k, pitch), asked.pitches.held(k, pitch)
        yield (max(1, math.floor(held)) * (1 + most)) * pitch - length
        yield (max(1, math.floor(held) + 1) * (1 - most)) * pitch - length


def _least_widening(asked: _Asked) -> Iterator[str]:
    """Yield the pitch nearest below and above the range that all runs take."""
    every = range(len(asked.spans))
    ways = []
    for low, high in ((asked.low * (1 - LOOK), asked.low), (asked.high, asked.high * (1 + LOOK))):
        try:
            found = asked.pitches.all_allowed(every, asked.most, low, high)
        except JobFaults:  # no such pitch makes the form
            continue
        if found and high == asked.low:
            ways.append(f"down to {at_most(found[-1][1], asked.job.units, fine=True)}")
        elif found:
            ways.append(f"up to {at_least(found[0][0], asked.job.units, fine=True)}")
    if ways:
        yield f"Widen scallop.pitch_range {' or '.join(ways)}"


def _fine(job: Job, mm: float) -> str:
    return format_fine(mm, job.units)
