"""The story of the program: outline → count line → scallops → seam costs → solver → plan → check."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from layout.errors import CheckFailed, JobFaults
from layout.face.buying_work import with_buying
from layout.face.cautions import cautions_of
from layout.face.check import check_plan
from layout.face.choices import Offer, completed, offers_of, rows_of, take
from layout.face.choosing import Choosing, Chosen, Hurry
from layout.face.comparing import with_comparisons
from layout.face.costs import asked_stretches, tight_stretches
from layout.face.cutouts import holes_of
from layout.face.drafting import Draft, draft_fit
from layout.face.fit import Fit, Span, fits
from layout.face.flexing import flex_of
from layout.face.forming_job import drawn_scallop, formed_job
from layout.face.forming_work import with_forming
from layout.face.hanging import with_hanging
from layout.face.order import order_of
from layout.face.panels import panels_of
from layout.face.placed import placed
from layout.face.plan import Choice, Plan, Scallop
from layout.face.rivals import best_of
from layout.face.runs import spans_of, walk_all
from layout.face.seaming import seams_of
from layout.face.sheets import sheets_of
from layout.face.sight import hand_of, hands_of
from layout.job.model import Job
from layout.outline.walk import Walked

Progress = Callable[[float], None]


def make_plan(
    job: Job, progress: Progress | None = None, *, choice: int | None = None, hurry: Hurry | None = None
) -> Plan:
    """Plan a job: the best plan by its goals, with proof, and checked.

    Parameters
    ----------
    job
        The job, as read.
    progress
        Called with the share done, 0…1.
    choice
        Row of the table of choices to plan with, from 1; default: the best.
    hurry
        Asked between stages; where it says yes, what is left ends unproved, and the plan says so.

    Raises
    ------
    JobFaults
        Where the job's figures cannot be made: an outline that folds, a blank that fits no sheet; where there is
        no such row.
    NoPlan
        Where no plan exists, with the reason and the least change.
    CheckFailed
        Where the independent check disagrees: a defect of the program.
    """
    asked, best = best_plan(formed_job(job), hurry, _part(progress, 0.0, 0.6))
    offers = offers_of(asked, best, _part(progress, 0.6, 0.4))
    taken = take(offers, choice, late=asked.hurried)
    offers[taken] = completed(asked, offers[taken])
    plan = checked(finished(asked, offers[taken].chosen, rows_of(offers, taken), _told(asked, offers, taken, choice)))
    return plan if asked.hurried else with_comparisons(plan, compared_plan)


def compared_plan(job: Job) -> Plan:
    """Plan a job whose scallop is the one that its die makes, as far as cost and panels go.

    Other choices, other stock sizes, and the goals that follow decide nothing of what it comes to.
    """
    goals = job.seams.goals
    last = max((k for k, goal in enumerate(goals) if goal in ("cost", "panels")), default=0)
    short = replace(job, seams=replace(job.seams, goals=goals[: last + 1], even=False))
    return checked(finished(*best_plan(short)))


def checked(plan: Plan) -> Plan:
    """Add what is formed and bought to a plan, and check all of it.

    Raises
    ------
    CheckFailed
        Where the independent check disagrees: a defect of the program.
    """
    plan = with_buying(with_forming(with_hanging(plan)))
    findings = check_plan(plan)
    if findings:
        raise CheckFailed(findings)
    return plan


def best_plan(job: Job, hurry: Hurry | None = None, progress: Progress | None = None) -> tuple[Choosing, Chosen]:
    """Walk the outlines, lay every fit out with each hand of laps that is free, and choose the best."""
    walked = walk_all(job)
    job = placed(job, walked)
    spans = spans_of(job, walked)
    ways = fits(job, spans)
    drafts = [(one, draft) for one in hands_of(job) for draft in drafts_of(one, walked, spans, ways)]
    return best_of(drafts, hurry, progress)


def drafts_of(job: Job, walked: Sequence[Walked], spans: Sequence[Span], ways: Sequence[Fit]) -> list[Draft]:
    """Lay every fit out; one that cannot be made is passed over while another can.

    Raises
    ------
    JobFaults
        Where none can be made: the faults of the one nearest the drawn pitch.
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
    return drafts


def _part(progress: Progress | None, start: float, part: float) -> Progress | None:
    """Return a progress callback for a part of the whole."""
    if progress is None:
        return None
    return lambda share: progress(start + part * share)


def _told(asked: Choosing, offers: Sequence[Offer], taken: int, choice: int | None) -> tuple[str, ...]:
    """Say that another row than the best was asked for, what was left undone, and what was done another way."""
    rows = [f"planned with row {choice} of the choices, as asked: {offers[taken].note}"] if choice is not None else []
    late = ["the time given was up: what is not proved says so, and other stock sizes were not compared"]
    words = [
        f"a part of the solver {word} and was left to the next method; the proof says what is open for it"
        for word in sorted(set(asked.words))
    ]
    return (*rows, *(late if asked.hurried else []), *words)


def finished(asked: Choosing, chosen: Chosen, choices: tuple[Choice, ...] = (), told: tuple[str, ...] = ()) -> Plan:
    """Put the plan of a draft's chosen boundaries and cuttings together."""
    job, draft = asked.job, asked.draft
    profile, lines, runs = draft.fit.profile, draft.lines, draft.runs
    panels = panels_of(job, runs, chosen.positions, draft.blanks)
    sheeting = sheets_of(job, panels, chosen.pieces, chosen.cuttings)
    scallop = Scallop(
        form=profile.form,
        pitch=profile.pitch,
        drawn_pitch=drawn_scallop(job).pitch,
        depth=profile.depth,
        profile=profile,
        flex=flex_of(job, profile, lines),
    )
    free = [stretch for k, line in enumerate(lines) for stretch in asked_stretches(draft.free, k, line)]
    for run, place in zip(runs, draft.places, strict=True):
        free += tight_stretches(lines[run.outline], run, place)
    return cautions_of(
        Plan(
            job=job,
            lines=lines,
            scallop=scallop,
            runs=runs,
            seams=seams_of(runs, lines, draft.places, draft.limits, draft.tracks, chosen.positions, hand_of(job)),
            panels=sheeting.panels,
            sheets=sheeting.sheets,
            order=order_of(job, sheeting.sheets),
            proof=chosen.proof,
            choices=choices,
            stretches=tuple(free),
            cautions=told,
            cutouts=holes_of(job, lines, runs, panels, profile),
        )
    )
