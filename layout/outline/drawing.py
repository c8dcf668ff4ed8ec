"""A line out of a drawing: file → layer → pieces → doubles → chains → the one that is wanted.

What was read, joined and left aside is kept with the line, so that it can be told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Final

from layout.errors import Fault
from layout.job.model import OutlineSpec
from layout.outline.drawing_chains import Joint, Strand
from layout.outline.drawing_choice import alike, choose
from layout.outline.drawing_lines import Aside, DrawnLines, lines_of_drawing
from layout.outline.segment import Segment


@dataclass(frozen=True)
class Source:
    """What a line was read from, how it was put together, and what was left aside."""

    file: str
    """as the job names it"""
    layer: str
    units: str
    """of the drawing, in words"""
    stated: bool
    """whether the drawing states its units; else the job does"""
    digest: str
    """SHA-256 of the drawing's bytes, hexadecimal"""
    counts: tuple[tuple[str, int], ...]
    """kinds of piece that the line is made of, with their number"""
    joined: tuple[Joint, ...]
    """ends of pieces that were joined over a gap; the gaps are not part of the length"""
    left_aside: tuple[Aside, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Drawn:
    """The line that is wanted, in the direction it runs in, with its source."""

    segments: tuple[Segment, ...]
    closed: bool
    source: Source


def read_drawing(spec: OutlineSpec, units: str = "mm") -> Drawn:
    """Return the line of a drawing that an outline asks for, and where it comes from.

    A closed line runs as its first piece is drawn; an open one from its end with the smaller x, then y.

    Parameters
    ----------
    spec
        An outline of shape ``dxf``.
    units
        The job's units, for the words of faults: ``in`` or ``mm``.

    Raises
    ------
    JobFaults
        Where the file is no drawing, its units or its layer are not known, or no line, or more than one,
        is what is asked for; each with the places that it is about.
    """
    lines = lines_of_drawing(spec, units)
    chosen = choose(lines, spec, units)
    return Drawn(_whole(chosen), chosen.closed, _source(lines, chosen))


def few_faults(faults: Sequence[Fault]) -> list[Fault]:
    """Return faults of a line's joints, the first of very many: a curve drawn in chords has one at each.

    >>> corner = Fault("outline.file", "", "the line must be smooth", "Round the corner")
    >>> len(few_faults([corner] * 500)), few_faults([corner] * 500)[-1].rule
    (9, 'the line must be smooth, and there are 492 more such places')
    """
    if len(faults) <= MOST_BREAKS:
        return list(faults)
    rule = f"the line must be smooth, and there are {len(faults) - MOST_BREAKS + 1} more such places"
    remedy = "Where a curve is drawn in chords, draw it as arcs, an ellipse or a spline"
    return [*faults[: MOST_BREAKS - 1], Fault(faults[0].key, "", rule, remedy)]


MOST_BREAKS: Final = 9
"""Breaks of a line that are told one by one (assumed)."""


def _whole(strand: Strand) -> tuple[Segment, ...]:
    """Return a line's segments, those of one curve as one."""
    return reduce(_linked, strand.segments, ())


def _linked(done: tuple[Segment, ...], after: Segment) -> tuple[Segment, ...]:
    whole = done[-1].joined(after) if done else None
    return (*done[:-1], whole) if whole is not None else (*done, after)


def _source(lines: DrawnLines, chosen: Strand) -> Source:
    counts = Counter(piece.kind for piece in chosen.pieces)
    strays = [strand for strand in lines.chains.strands if strand is not chosen]
    aside = [Aside("line drawn twice", 1, double.x, double.y) for double in lines.doubles]
    for strand in strays:
        kind = "other line that closes" if strand.closed else "stray line"
        if strand.closed and alike(strand, chosen):
            kind = "line drawn twice"
        aside.append(Aside(kind, len(strand.pieces), *strand.middle))
    return Source(
        file=lines.file,
        layer=lines.layer,
        units=lines.units,
        stated=lines.stated,
        digest=lines.digest,
        counts=tuple(sorted(counts.items())),
        joined=chosen.joints,
        left_aside=(*lines.aside, *aside),
        notes=lines.notes,
    )
