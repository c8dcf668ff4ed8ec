"""From walked outlines to runs: what each stretch of face holds and where its boundaries fall."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from layout.errors import Fault, JobFaults
from layout.face.blanks import Blanks
from layout.face.fit import Fit, Span, count_height
from layout.face.parting import spans_of
from layout.face.placed import placed
from layout.face.places import place_faults
from layout.face.plan import Lines, Run
from layout.job.model import Job
from layout.outline.corners import refuse_corners
from layout.outline.neighbours import meeting_faults
from layout.outline.segment import Floats
from layout.outline.tolerances import SAME_STATION
from layout.outline.walk import Walked, checked_parallel, walk

__all__ = ["lines_of", "runs_of", "spans_of", "walk_all"]


def walk_all(job: Job) -> list[Walked]:
    """Walk every outline of a job.

    Raises
    ------
    JobFaults
        The faults of all outlines together, or else all places and stations that lie on none.
    """
    walked: list[Walked] = []
    faults: list[Fault] = []
    for spec in job.outlines:
        try:
            walked.append(walk(spec, job.units))
        except JobFaults as error:
            faults.extend(error.faults)
    if not faults:
        faults += meeting_faults(job.outlines, [line.back for line in walked], job.units)
    if not faults:
        faults += place_faults(placed(job, walked), walked)
    if faults:
        raise JobFaults(faults)
    return walked


def lines_of(job: Job, walked: Sequence[Walked], fit: Fit) -> tuple[Lines, ...]:
    """Return every outline with its count line and crest line.

    Raises
    ------
    JobFaults
        Where a parallel folds or crosses, or runs cannot meet at a corner: the face does not fit round it.
    """
    crest = fit.profile.depth + job.metal.thickness
    for spec, line in zip(job.outlines, walked, strict=True):
        if spec.corner is not None:
            refuse_corners(line.back, spec.corner, crest, spec.key, job.units)
    return tuple(
        Lines(
            name=spec.name or "face",
            drawn=line.drawn,
            back=line.back,
            count=checked_parallel(line.back, count_height(job, fit.profile), "scallop.depth", job.units),
            crest=checked_parallel(line.back, crest, "scallop.depth", job.units),
            datum=line.datum,
            source=line.source,
            survey=line.survey,
        )
        for spec, line in zip(job.outlines, walked, strict=True)
    )


def runs_of(job: Job, spans: Sequence[Span], lines: Sequence[Lines], fit: Fit, blanks: Blanks) -> tuple[Run, ...]:
    """Return the runs of a fit, each with the stations of all its boundaries."""
    return tuple(_run(job, k, span, lines[span.outline], fit, blanks) for k, span in enumerate(spans))


def _run(job: Job, index: int, span: Span, lines: Lines, fit: Fit, blanks: Blanks) -> Run:
    scallops, take_up, part = fit.counts[index], fit.take_ups[index], fit.last_parts[index]
    length = span.length_at(count_height(job, fit.profile))
    most = job.scallop.most_take_up * fit.profile.pitch
    pitch = length / scallops if part is None else fit.profile.pitch
    gone: Floats = pitch * np.arange(scallops + 1, dtype=np.float64)
    if part is not None and span.cut == "left":
        gone[1:] -= (1 - part) * pitch
    gone[-1] = length
    stations = _carried(lines, span, _count_start(span, lines, count_height(job, fit.profile)) + gone)
    stations[0], stations[-1] = span.start, span.end
    return Run(
        number=index + 1,
        name=span.name,
        outline=span.outline,
        closed=span.closed,
        scallops=scallops,
        start=span.start,
        end=span.end,
        count_length=length,
        take_up=take_up,
        may_be_longer=scallops * (most - take_up) if part is None else (1 - part) * pitch,
        may_be_shorter=scallops * (most + take_up) if part is None else part * pitch,
        stations=stations,
        start_why=span.start_why,
        end_why=span.end_why,
        first_part=part if span.cut == "left" else None,
        last_part=part if span.cut == "right" else None,
        height=blanks.height_of(span.height),
        zone=span.zone,
    )


def _count_start(span: Span, lines: Lines, offset: float) -> float:
    """Return the count-line station at which a run begins, mm: at a corner off the normal of its start."""
    station = float(lines.back.carry(span.start, lines.count))
    # Inside a corner that normal is cut off the mitred count line, whose own end stands for it.
    return station + min(offset * math.tan(span.start_turn / 2), 0.0) - span.begin.change(offset)


def _carried(lines: Lines, span: Span, along: Floats) -> Floats:
    """Return count-line stations on the back line along normals; what stands past a corner is brought to it."""
    if not lines.back.cornered:
        return lines.count.carry(along, lines.back)
    first, last = lines.back.carry([span.start + SAME_STATION, span.end - SAME_STATION], lines.count)
    # A return may go on where the mitred count line is cut off: straight on, as the wall does. The very end
    # of that line is the next side's.
    inner = np.clip(along, first, last - SAME_STATION)
    return np.clip(lines.count.carry(inner, lines.back) + along - inner, span.start, span.end)
