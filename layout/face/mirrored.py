"""The choice where seams are to mirror one another about the plan's own axis."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from layout.errors import NoPlan
from layout.face.axis import mirrors_of
from layout.face.choosing import Choosing, Chosen, cut_as_chosen, unheld_bound, values_of
from layout.face.joining import GOAL_OF, goals_of
from layout.face.plan import Proof
from solver.answers import Breaks
from solver.mirror import solve_mirrored

CHARGES = ("cost", "sheets")
"""goals that the cutting decides"""

MORE_PANELS = 3
"""panels beyond the fewest that are tried for what they may save in sheets (assumed)"""


def choose_mirrored(asked: Choosing) -> Chosen:
    """Choose among mirrored seams by the job's goals.

    Seams are exact among all mirrored ones; the sheets are those of the best of a few numbers of panels, beside a
    bound over all plans, mirrored or not. Where the two do not meet, the goal is left unproved.

    Raises
    ------
    JobFaults
        Where a run has no axis.
    NoPlan
        Where no mirrored seams exist.
    """
    goals = goals_of(asked.job)
    mirrors = mirrors_of(asked.draft.lines, asked.draft.runs)
    words = [GOAL_OF[goal] for goal in goals if goal not in CHARGES]
    first = solve_mirrored(asked.draft.tracks, mirrors, words)
    if first.positions is None:
        raise NoPlan(
            "no seams that mirror one another about the plan's axis keep the limits of panels and seam-free stretches",
            ["Leave seams.symmetric out, or make the seam-free stretches mirror one another"],
        )
    cut = [chosen for way in _ways(asked, mirrors, words, first) if (chosen := cut_as_chosen(asked, way)) is not None]
    if not cut:
        raise NoPlan(
            "the sheets on hand were not found to be enough for mirrored seams",
            ["Allow more sheets (sheet.count), or leave seams.symmetric out"],
        )
    best = min(cut, key=lambda chosen: [values_of(asked, chosen)[goal] for goal in goals])
    return Chosen(best.positions, best.pieces, best.cuttings, tuple(_proof(asked, goals, best, first)))


def _ways(
    asked: Choosing, mirrors: Sequence[int], words: Sequence[str], first: Breaks
) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Yield the mirrored seams of the job's goals, and those that a few more panels allow."""
    if first.positions is None:
        return
    yield first.positions
    rest = [word for word in words if word != "pieces"]
    fewest = solve_mirrored(asked.draft.tracks, mirrors, ["pieces"]).met[0].value
    for panels in range(fewest, fewest + MORE_PANELS + 1):
        way = solve_mirrored(asked.draft.tracks, mirrors, rest, most={"pieces": panels}).positions
        if way is not None:
            yield way


def _proof(asked: Choosing, goals: Sequence[str], best: Chosen, first: Breaks) -> Iterator[Proof]:
    """Yield the proof of each goal; a bound that was found with other goals held counts only while these are kept."""
    values = values_of(asked, best)
    mirrored = {met.goal: met for met in first.met}
    kept = True
    for goal in goals:
        word = GOAL_OF[goal]
        # What no plan goes below, no mirrored one does.
        bound = float(mirrored[word].bound) if kept and word in mirrored else unheld_bound(asked, goal)
        if word in mirrored and values[goal] != mirrored[word].value:
            kept = False
        yield Proof(goal, values[goal], bound, values[goal] == bound)
