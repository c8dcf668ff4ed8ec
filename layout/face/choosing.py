"""The choice itself: panels and sheets of one way of filling the runs, by the job's goals, with proof."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from layout.errors import CheckFailed, NoPlan
from layout.face.axis import mirrors_of
from layout.face.drafting import Draft
from layout.face.explaining import no_seams
from layout.face.joining import GOAL_OF, charges_of, gaps_of, goals_of, is_priced, joint_of, money_unit, pieces_of
from layout.face.narrowing import narrowings
from layout.face.plan import Proof
from layout.face.sheets import stock_name
from layout.job.model import Job
from solver import cutting, joint
from solver.joint import JointResult
from solver.longest import longest_first
from solver.problems import Charge, Cutting, Joint, Met, Piece, Stock
from solver.verify_joint import verify_joint

Hurry = Callable[[], bool]
"""asked by the solver between its stages; where it says yes, what is left ends unproved"""


@dataclass(frozen=True, eq=False)
class Choosing:
    """What is asked of one choice."""

    job: Job
    draft: Draft
    hurry: Hurry | None = None
    words: list[str] = field(default_factory=list)
    """"died" or "stalled" for each process of the solver that gave nothing"""

    @property
    def hurried(self) -> bool:
        """Whether the time given is up."""
        return self.hurry is not None and self.hurry()

    @cached_property
    def problem(self) -> Joint:
        """The choice as the solver sees it."""
        return joint_of(self.job, self.draft.runs, self.draft.tracks, self.draft.blanks)

    @cached_property
    def mirrors(self) -> tuple[int, ...] | None:
        """What a boundary and its mirrored one sum to, of each run; None where seams need not mirror one another."""
        return mirrors_of(self.draft.lines, self.draft.runs) if self.job.seams.symmetric else None


@dataclass(frozen=True)
class Chosen:
    """Boundaries of every run, the cuttings of their blanks, and the proof."""

    positions: tuple[tuple[int, ...], ...]
    """per run, rising; a line's ends are among them"""
    pieces: tuple[Piece, ...]
    cuttings: tuple[Cutting, ...]
    proof: tuple[Proof, ...]


def choose(
    asked: Choosing,
    goals: Sequence[str] | None = None,
    most: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
    *,
    settled: bool = True,
    quick: bool = False,
) -> Chosen:
    """Choose by the goals, each met exactly before the next.

    Parameters
    ----------
    goals
        in words of the trade; default: all of the job's
    most
        values of goals that must not be passed
    settled
        whether ties are ended by rule: needed for a plan, not for its figures
    quick
        whether only what is quick is tried; a goal that it leaves open is unproved

    Raises
    ------
    NoPlan
        Where no choice exists, with the least change that would do.
    CheckFailed
        Where the solver's own check disagrees with its answer: a defect of the program.
    """
    problem, goals = asked.problem, tuple(goals_of(asked.job) if goals is None else goals)
    unit = money_unit(asked.job)
    words = [GOAL_OF[goal] for goal in goals]
    caps = {GOAL_OF[goal]: _counted(goal, value, unit) for goal, value in (most or {}).items()}
    effort = 0 if quick else joint.EFFORT
    result = joint.solve(
        problem,
        words,
        most=caps,
        effort=effort,
        settled=settled,
        mirrors=asked.mirrors,
        hurry=asked.hurry,
        progress=progress,
    )
    asked.words.extend(result.words)
    if result.positions is None or result.cuttings is None:
        raise _no_choice(asked, problem, result)
    findings = verify_joint(problem, words, result, most=caps, mirrors=asked.mirrors)
    if findings:
        raise CheckFailed(findings)
    proof = tuple(_proof(goal, met, unit) for goal, met in zip(goals, result.met, strict=True))
    return Chosen(result.positions, result.pieces, result.cuttings.cuttings or (), proof)


Reached = tuple[tuple[float, float], ...]
"""(value, bound) of goals, as far as they were met"""


def reached(asked: Choosing, stage: int, *, quick: bool = False) -> Reached | None:
    """Return how well the job's first `stage` goals are met: nothing where that is open, None without a plan.

    `quick`: by what is quick alone, bounds and values being as good as that makes them.
    """
    goals = goals_of(asked.job)[:stage]
    words = [GOAL_OF[goal] for goal in goals]
    effort = 0 if quick else joint.EFFORT
    result = joint.solve(asked.problem, words, effort=effort, settled=False, mirrors=asked.mirrors, hurry=asked.hurry)
    asked.words.extend(result.words)
    if result.positions is None:
        return None if result.certain else ()
    proof = [_proof(goal, met, money_unit(asked.job)) for goal, met in zip(goals, result.met, strict=True)]
    return tuple((one.value, one.bound) for one in proof)


def _counted(goal: str, value: float, unit: int) -> int:
    return round(value * unit) if goal == "cost" else round(value)


def _proof(goal: str, met: Met, unit: int) -> Proof:
    scale = unit if goal == "cost" else 1
    return Proof(goal, met.value / scale, met.bound / scale, met.proved)


def _no_choice(asked: Choosing, problem: Joint, result: JointResult) -> NoPlan:
    """Say what stands in the way: where seams may fall, or the sheets on hand."""
    if result.why == "breaks":
        draft = asked.draft
        told = no_seams(asked.job, draft)
        return NoPlan(told.reason, [*narrowings(asked.job, draft), *told.remedies])
    if not result.certain:
        return NoPlan(
            "the sheets on hand were not found to be enough; whether they are is not proved",
            ["Allow more sheets (sheet.count), or give another [[sheet]] size"],
        )
    if asked.hurried:
        return NoPlan("the sheets on hand are not enough for these panels", ["Give another [[sheet]] size"])
    return NoPlan("the sheets on hand are not enough for these panels", _more_sheets(asked.job, problem))


def _more_sheets(job: Job, problem: Joint) -> list[str]:
    """Return, for each size of which there are only so many, how many more of it alone would do."""
    remedies = []
    for index, stock in enumerate(problem.stocks):
        more = _missing(problem, index, stock)
        if more is not None:
            count = (stock.count or 0) + more
            sheets = "1 more sheet" if more == 1 else f"{more} more sheets"
            remedies.append(f"Have {sheets} of {stock_name(job, index)} on hand: sheet.count = {count}")
    return [*remedies, "Or give another [[sheet]] size"] if remedies else ["Give another [[sheet]] size"]


def _missing(problem: Joint, index: int, stock: Stock) -> int | None:
    """Return how many more of one stock would do alone; None: no number of it would, or it has no limit."""
    if stock.count is None:
        return None
    stocks = [replace(one, count=None) if k == index else one for k, one in enumerate(problem.stocks)]
    only = Charge("missing", tuple(int(k == index) for k in range(len(stocks))))
    result = joint.solve(replace(problem, stocks=tuple(stocks), charges=(only,)), ["missing"], settled=False)
    return None if result.positions is None else result.met[0].value - stock.count


def cut_as_chosen(asked: Choosing, positions: Sequence[Sequence[int]]) -> Chosen | None:
    """Return given boundaries with their blanks cut as well as can be; None: the sheets on hand do not do."""
    problem = asked.problem
    pieces = pieces_of(problem, positions)
    result = cutting.cut(pieces, problem.stocks, [charge.stocks for charge in problem.charges])
    if result.cuttings is None:
        return None
    return Chosen(tuple(map(tuple, positions)), pieces, result.cuttings, ())


def full_sheets(asked: Choosing) -> Chosen | None:
    """Return panels as long as can be, one after another from the datum; None: they cannot be made, or cut."""
    ways = [longest_first(track) for track in asked.draft.tracks]
    positions = [way for way in ways if way is not None]
    return cut_as_chosen(asked, positions) if len(positions) == len(ways) else None


def unheld_bounds(asked: Choosing) -> dict[str, float]:
    """Return for every goal what no plan can go below, whatever the other goals come to."""
    return {goal: unheld_bound(asked, goal) for goal in goals_of(asked.job)}


def unheld_bound(asked: Choosing, goal: str) -> float:
    """Return what no plan can go below by one goal alone; 0 where nothing is known."""
    result = joint.solve(asked.problem, [GOAL_OF[goal]], settled=False, mirrors=asked.mirrors, hurry=asked.hurry)
    asked.words.extend(result.words)
    return _proof(goal, result.met[0], money_unit(asked.job)).bound if result.met else 0.0


def values_of(asked: Choosing, chosen: Chosen) -> dict[str, float]:
    """Return the value of every goal of one choice."""
    job = asked.job
    ways = list(zip(asked.draft.tracks, chosen.positions, strict=True))
    gaps = [scallops for track, way in ways for _, scallops in gaps_of(track, way)]
    inner = [int(track.cost[b]) for track, way in ways for b in (way if track.closed else way[1:-1])]
    cost, count = charges_of(job)[:2]
    return {
        "cost": _charged(cost, chosen, len(gaps)) / (money_unit(job) if is_priced(job) else 1),
        "sheets": float(_charged(count, chosen, len(gaps))),
        "panels": float(len(gaps)),
        "worst_seam": float(max(inner, default=0)),
        "different_lengths": float(len(set(gaps))),
        "seam_cost": float(sum(inner)),
        "even": float(max(gaps) - min(gaps)),
    }


def _charged(charge: Charge, chosen: Chosen, pieces: int) -> int:
    return sum(charge.stocks[one.stock] * one.times for one in chosen.cuttings) + charge.piece * pieces
