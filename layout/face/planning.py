"""The story of the program: outline → count line → scallops → seam costs → solver → plan → check."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from layout.errors import CheckFailed, JobFaults
from layout.face.blanks import Blanks, PanelLimits, blanks_of, panel_limits
from layout.face.cautions import cautions_of
from layout.face.check import check_plan
from layout.face.costs import SeamPlaces, asked_stretches, seam_places, tight_stretches
from layout.face.fit import Fit, Span, fits
from layout.face.flexing import flex_of
from layout.face.order import order_of
from layout.face.panels import panels_of
from layout.face.plan import Lines, Plan, Run, Scallop
from layout.face.runs import lines_of, runs_of, spans_of, walk_all
from layout.face.seaming import choose_seams, least_values, seams_of, track_of
from layout.face.sheets import cut_sheets
from layout.job.model import Job
from layout.metal.flex import lap_rise
from layout.outline.walk import Walked
from solver.problems import Track

Progress = Callable[[float], None]


def make_plan(job: Job, progress: Progress | None = None) -> Plan:
    """Plan a job: the best plan by its goals, with proof, and checked.

    Parameters
    ----------
    job
        The job, as read.
    progress
        Called with the share done, 0…1.

    Raises
    ------
    JobFaults
        Where the job's figures cannot be made: an outline that folds, a blank that fits no sheet.
    NoPlan
        Where no plan exists, with the reason and the least change.
    CheckFailed
        Where the independent check disagrees: a defect of the program.
    """
    walked = walk_all(job)
    spans = spans_of(job, walked)
    plan = best_plan(job, walked, spans, fits(job, spans), progress)
    findings = check_plan(plan)
    if findings:
        raise CheckFailed(findings)
    return plan


@dataclass(frozen=True, eq=False)
class Draft:
    """One way of filling the runs, with all that the choice of seams goes by."""

    fit: Fit
    lines: tuple[Lines, ...]
    blanks: Blanks
    runs: tuple[Run, ...]
    places: tuple[SeamPlaces, ...]
    limits: tuple[PanelLimits, ...]
    tracks: tuple[Track, ...]


def best_plan(
    job: Job,
    walked: Sequence[Walked],
    spans: Sequence[Span],
    ways: Sequence[Fit],
    progress: Progress | None = None,
) -> Plan:
    """Plan every fit and keep the best by the goals; ties go to the pitch nearest the drawn one.

    A fit that has no plan is passed over while another has one.

    Raises
    ------
    NoPlan, JobFaults
        Where no fit has a plan: the reason of the one nearest the drawn pitch.
    """
    drafts: list[Draft] = []
    refusals: list[JobFaults] = []
    for fit in ways:
        try:
            drafts.append(draft_fit(job, walked, spans, fit))
        except JobFaults as refusal:
            refusals.append(refusal)
    if not drafts:
        raise refusals[0]
    left = narrowed(job, drafts)
    plans = [finished(job, draft, _part(progress, k, len(left))) for k, draft in enumerate(left)]
    return min(plans, key=_rank)


def narrowed(job: Job, drafts: Sequence[Draft]) -> list[Draft]:
    """Return the drafts that can still be best after the first goals, so that few are planned in full.

    Where none has a plan, the first is returned: planning it says why.
    """
    left = list(drafts)
    for stage in (1, 2) if len(left) > 1 else ():
        reached = [(least_values(job, draft.tracks, stage), draft) for draft in left]
        values = [value for value, _ in reached if value is not None]
        if not values:
            return left[:1]
        left = [draft for value, draft in reached if value == min(values)]
    return left


def _rank(plan: Plan) -> tuple[float, ...]:
    """Return a plan's values in the order of its goals; the first of equals wins."""
    return tuple(proof.value for proof in plan.proof)


def _part(progress: Progress | None, k: int, n: int) -> Progress | None:
    """Return a progress callback for the k-th of n equal parts."""
    if progress is None:
        return None
    return lambda share: progress((k + share) / n)


def draft_fit(job: Job, walked: Sequence[Walked], spans: Sequence[Span], fit: Fit) -> Draft:
    """Lay the runs of a fit out, and judge every place where a seam might fall.

    Raises
    ------
    JobFaults
        Where it cannot be made: lines that fold, blanks that fit no sheet, flanks too steep to lap.
    """
    lines = lines_of(job, walked, fit)
    blanks = blanks_of(job, fit.profile.developed)
    runs = runs_of(job, spans, lines, fit, blanks)
    places = tuple(seam_places(job, lines[run.outline], run) for run in runs)
    limits = tuple(panel_limits(job, blanks, _longest_pitch(fit, run)) for run in runs)
    tracks = tuple(track_of(*each) for each in zip(runs, places, limits, strict=True))
    if job.face.seam == "lap" and any(_needs_seam(track) for track in tracks):
        lap_rise(fit.profile)
    return Draft(fit, lines, blanks, runs, places, limits, tracks)


def _needs_seam(track: Track) -> bool:
    """Tell whether a run has a seam whatever is chosen: only a short open run has none."""
    return track.closed or track.largest_last is None or track.size > track.largest_last


def finished(job: Job, draft: Draft, progress: Progress | None = None) -> Plan:
    """Choose a draft's seams, cut its sheets, and put the plan together."""
    profile, lines, runs = draft.fit.profile, draft.lines, draft.runs
    seaming = choose_seams(job, runs, draft.places, draft.tracks, draft.blanks, progress)
    sheeting = cut_sheets(job, panels_of(job, runs, seaming.chosen, draft.blanks))
    scallop = Scallop(
        form=profile.form,
        pitch=profile.pitch,
        drawn_pitch=job.scallop.pitch,
        depth=profile.depth,
        profile=profile,
        flex=flex_of(job, profile, lines),
    )
    free = [stretch for k, line in enumerate(lines) for stretch in asked_stretches(job, k, line)]
    for run, place in zip(runs, draft.places, strict=True):
        free += tight_stretches(lines[run.outline], run, place)
    plan = Plan(
        job=job,
        lines=lines,
        scallop=scallop,
        runs=runs,
        seams=seams_of(runs, lines, draft.places, draft.limits, seaming),
        panels=sheeting.panels,
        sheets=sheeting.sheets,
        order=order_of(job, sheeting.sheets),
        proof=(*seaming.proof, sheeting.proof),
        choices=(),
        stretches=tuple(free),
        cautions=(),
    )
    return cautions_of(plan)


def _longest_pitch(fit: Fit, run: Run) -> float:
    """Return the longer of formed and hung pitch: overall limits hold on the bench and on the wall."""
    return fit.profile.pitch + max(run.take_up, 0.0)
