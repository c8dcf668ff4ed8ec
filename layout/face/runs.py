"""From walked outlines to runs: what each stretch of face holds and where its boundaries fall."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.errors import Fault, JobFaults
from layout.face.blanks import Blanks
from layout.face.fit import Fit, Span, count_height
from layout.face.places import place_faults
from layout.face.plan import Lines, Run
from layout.job.model import Job
from layout.outline.walk import Walked, checked_parallel, walk


def walk_all(job: Job) -> list[Walked]:
    """Walk every outline of a job.

    Raises
    ------
    JobFaults
        The faults of all outlines together, or else all stations that lie on none.
    """
    walked: list[Walked] = []
    faults: list[Fault] = []
    for spec in job.outlines:
        try:
            walked.append(walk(spec, job.units))
        except JobFaults as error:
            faults.extend(error.faults)
    if not faults:
        faults += place_faults(job, walked)
    if faults:
        raise JobFaults(faults)
    return walked


def spans_of(job: Job, walked: Sequence[Walked]) -> list[Span]:
    """Return the spans that runs fill: a whole loop, or an open line from end to end."""
    return [
        Span(
            outline=k,
            name=spec.name or "face",
            start=0.0,
            end=line.back.length,
            turning=line.back.turning,
            closed=line.back.closed,
        )
        for k, (spec, line) in enumerate(zip(job.outlines, walked, strict=True))
    ]


def lines_of(job: Job, walked: Sequence[Walked], fit: Fit) -> tuple[Lines, ...]:
    """Return every outline with its count line and crest line.

    Raises
    ------
    JobFaults
        Where a parallel folds or crosses: the face does not fit round that curve.
    """
    crest = fit.profile.depth + job.metal.thickness
    return tuple(
        Lines(
            name=spec.name or "face",
            drawn=line.drawn,
            back=line.back,
            count=checked_parallel(line.back, count_height(job, fit.profile), "scallop.depth", job.units),
            crest=checked_parallel(line.back, crest, "scallop.depth", job.units),
            datum=line.datum,
        )
        for spec, line in zip(job.outlines, walked, strict=True)
    )


def runs_of(job: Job, spans: Sequence[Span], lines: Sequence[Lines], fit: Fit, blanks: Blanks) -> tuple[Run, ...]:
    """Return the runs of a fit, each with the stations of all its boundaries."""
    return tuple(_run(job, k, span, lines[span.outline], fit, blanks.height) for k, span in enumerate(spans))


def _run(job: Job, index: int, span: Span, lines: Lines, fit: Fit, height: float) -> Run:
    scallops, take_up, part = fit.counts[index], fit.take_ups[index], fit.last_parts[index]
    length = span.length_at(count_height(job, fit.profile))
    most = job.scallop.most_take_up * fit.profile.pitch
    start = float(lines.back.carry(span.start, lines.count))
    pitch = length / scallops if part is None else fit.profile.pitch
    along = start + pitch * np.arange(scallops + 1)
    along[-1] = start + length
    stations = lines.count.carry(along, lines.back)
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
        last_part=part,
        height=height,
    )
