"""What would do where whole scallops do not fill a run beside an opening: a jamb moved, a cut end, a filler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from layout.errors import JobFaults
from layout.face.openings import jamb_move, remedies, whole_counts
from layout.face.parting import spans_on
from layout.face.safe_side import at_least, at_most
from layout.face.spans import Span
from layout.job.model import Job
from layout.outline.chain import Chain
from layout.units import format_fine, parse_length


def opening_remedies(
    job: Job, spans: Sequence[Span], over: Sequence[int], pitch: float, offset: float
) -> Iterator[str]:
    """Yield what alone would do, where every run whose scallops do not fit begins or ends at an opening.

    Parameters
    ----------
    job
        The job.
    spans
        All its runs.
    over
        Which of them do not fit.
    pitch
        mm, as formed.
    offset
        mm that the count line stands off the back line.
    """
    if not all(spans[k].left or spans[k].right for k in over):
        return
    moves = [move for k in over for move in _least_move(job, spans[k], pitch, offset)]
    if len(moves) == len(over) and _do(job, spans, [change for _, change in moves], pitch, offset):
        yield "Or move " + " and ".join(words for words, _ in moves)
    cut = sorted({spans[k].right or spans[k].left for k in over})
    keys = " and ".join(f"opening[{number}].ends" for number in cut)
    widths = _each(job, spans, over, pitch, offset)
    yield f'Or cut the last scallop and bury it in a jamb trim: {keys} = "cut" ({widths})'


Change = tuple[int, str, float]
"""number of an opening, which of its jambs, and the station that it is to have"""


def _least_move(job: Job, span: Span, pitch: float, offset: float) -> Iterator[tuple[str, Change]]:
    """Yield the least move of one jamb that gives a run whole scallops, in words and as a change of the job."""
    found = remedies(span.length_at(offset), pitch, job.scallop.most_take_up)
    if found is None or span.back is None or span.start_turn or span.stop.change(offset):
        return
    sides = [side for side, number in (("left", span.left), ("right", span.right)) if number]
    try:
        move = jamb_move(span.back, span.back.parallel(offset), (span.start, span.end), found.move, sides)
    except ValueError:
        return
    number = span.left if move.side == "left" else span.right
    # A run's right end is its opening's left jamb; a leaf's is its own right one.
    name = "from" if (move.side == "right") != span.leaf else "to"
    opening = job.openings[number - 1]
    station = (opening.start if name == "from" else opening.end) + move.by
    station = station % span.back.length if span.back.closed else station
    told = (at_least if move.by > 0 else at_most)(station, job.units, fine=True)
    jamb = f"the {'left' if name == 'from' else 'right'} jamb of {opening.name}"
    way = f"{at_least(abs(move.by), job.units, fine=True)} to the {'right' if move.by > 0 else 'left'}"
    words = f'{jamb} {way} (opening[{number}].{name} = "{told}", {move_scallops(found.move_scallops)} in {span.called})'
    yield words, (number, name, parse_length(told, job.units))


def move_scallops(count: int) -> str:
    """Return a count of scallops in words.

    >>> move_scallops(1), move_scallops(12)
    ('1 scallop', '12 scallops')
    """
    return "1 scallop" if count == 1 else f"{count} scallops"


def moved(job: Job, changes: Sequence[Change]) -> Job:
    """Return the job with jambs moved."""
    openings = list(job.openings)
    for number, name, station in changes:
        before = openings[number - 1]
        openings[number - 1] = replace(before, start=station) if name == "from" else replace(before, end=station)
    return replace(job, openings=tuple(openings))


def _do(job: Job, spans: Sequence[Span], changes: Sequence[Change], pitch: float, offset: float) -> bool:
    """Tell whether every run of the lines takes whole scallops once these jambs are moved."""
    after = moved(job, changes)
    lines: dict[int, Chain] = {span.outline: span.back for span in spans if span.back is not None}
    try:
        found = [span for outline, back in lines.items() for span in spans_on(after, outline, back)]
    except JobFaults:
        return False
    most = job.scallop.most_take_up
    return all(not one.gives or len(whole_counts(one.length_at(offset), pitch, most)) > 0 for one in found)


def _each(job: Job, spans: Sequence[Span], over: Sequence[int], pitch: float, offset: float) -> str:
    """Say for each run how wide its cut scallop, or a plain filler instead of it, would be."""
    told = []
    for k in over:
        found = remedies(spans[k].length_at(offset), pitch, job.scallop.most_take_up)
        if found is not None:
            width = format_fine(found.cut_width, job.units)
            told.append(f"{spans[k].called}: {width} of it left, or a plain filler as wide beside {found.fewer}")
    return "; ".join(told)
