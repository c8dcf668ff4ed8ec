"""The take-off: what a job comes to before it is planned."""

from __future__ import annotations

from dataclasses import dataclass

from layout.face.blanks import Blanks, PanelLimits, blanks_of, panel_limits
from layout.face.drafting import refuse_site
from layout.face.fit import Fit, fits
from layout.face.flexing import flex_of
from layout.face.forming_job import formed_job
from layout.face.placed import placed
from layout.face.plan import Flex, Lines, Run
from layout.face.runs import lines_of, runs_of, spans_of, walk_all
from layout.job.model import Job


@dataclass(frozen=True)
class TakeOff:
    """Lengths, scallops and limits of a job, at the fit nearest the drawn pitch."""

    job: Job
    lines: tuple[Lines, ...]
    fit: Fit
    runs: tuple[Run, ...]
    flex: Flex
    blanks: Blanks
    limits: tuple[PanelLimits, ...]
    counts: tuple[int, ...]
    """scallops in all, of every fit that the pitch range allows, rising"""


def take_off(job: Job) -> TakeOff:
    """Walk and count a job without planning it.

    Raises
    ------
    JobFaults, NoPlan
        As `layout.face.planning.make_plan` does, but for what only planning can know.
    """
    job = formed_job(job)
    walked = walk_all(job)
    job = placed(job, walked)
    spans = spans_of(job, walked)
    ways = fits(job, spans)
    fit = ways[0]
    lines = lines_of(job, walked, fit)
    blanks = blanks_of(job, fit.profile.developed)
    runs = runs_of(job, spans, lines, fit, blanks)
    refuse_site(job, lines, runs, fit)
    return TakeOff(
        job=job,
        lines=lines,
        fit=fit,
        runs=runs,
        flex=flex_of(job, fit.profile, lines),
        blanks=blanks,
        limits=tuple(panel_limits(job, blanks.of_run(run), fit.profile.pitch + max(run.take_up, 0.0)) for run in runs),
        counts=tuple(sorted(sum(way.counts) for way in ways)),
    )
