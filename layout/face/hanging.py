"""In which order panels are hung: from which one to start, and which one closes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layout.face.plan import Hanging, Lines, Plan, Run
from layout.face.sight import Hand, Ints, View, hand_of, whole_weights


def with_hanging(plan: Plan) -> Plan:
    """Return a plan with the order in which the panels of every run are hung."""
    return replace(plan, hanging=tuple(_hung(plan, run) for run in plan.runs))


def _hung(plan: Plan, run: Run) -> Hanging:
    numbers = [panel.number for panel in plan.panels if panel.run == run.number]
    chosen = [seam.boundary for seam in plan.seams if seam.run == run.number]
    hand = hand_of(plan.job)
    first, closing = closing_panel(plan.lines[run.outline], run, chosen, _scores(plan, run), hand)
    step = _step(run, hand, first, closing)
    return Hanging(run.number, tuple(numbers[(first + step * k) % len(numbers)] for k in range(len(numbers))))


def _scores(plan: Plan, run: Run) -> Ints:
    """Return how much each boundary with a seam is seen; 0 at all others, shape (scallops + 1,)."""
    scores = np.zeros(run.scallops + 1, dtype=np.int64)
    weights = whole_weights([place.weight for place in plan.job.viewpoints])
    views = {view.word: int(view) for view in View}
    for seam in plan.seams:
        if seam.run == run.number and seam.sight:
            scores[seam.boundary] = sum(int(w) * views[word] for w, (_, word) in zip(weights, seam.sight, strict=True))
    return scores


def _step(run: Run, hand: Hand, first: int, closing: int) -> int:
    """Return whether panels are hung rightwards (1) or leftwards (−1)."""
    if run.closed:
        return -1 if hand.side > 0 else 1
    return 1 if closing >= first else -1


def closing_panel(lines: Lines, run: Run, chosen: Sequence[int], scores: Ints, hand: Hand) -> tuple[int, int]:
    """Return which panels of a run to hang first and last, counted from the left, 0 first.

    The closing panel goes where its two edges are least seen, then where the line is flattest (least
    greatest |κ| under it), then leftmost. Laps tucked under are hung left to right, over right to left;
    an open run so ends at one of its ends, while one with butt seams may start at either.

    Parameters
    ----------
    lines, run
        The run and its lines.
    chosen
        Its boundaries with seams, rising; on an open run with both ends.
    scores
        How much each boundary is seen (`Sights.scores`), shape (scallops + 1,).
    hand
        Of its laps.
    """
    count = len(chosen) if run.closed else len(chosen) - 1
    last = range(count) if run.closed else ((0, count - 1) if hand.side == 0 else ((count - 1) * (hand.side < 0),))
    closing = min(last, key=lambda k: (*_shown_and_bent(lines, run, chosen, scores, k), k))
    step = -1 if hand.side > 0 else 1
    first = (closing + step) % count if run.closed else count - 1 - closing
    return first, closing


def _shown_and_bent(lines: Lines, run: Run, chosen: Sequence[int], scores: Ints, k: int) -> tuple[int, int]:
    """Return how much a panel's edges are seen, and the greatest |κ| under it in 1e-9/mm."""
    left, right = chosen[k], chosen[(k + 1) % len(chosen)]
    ends = (0, run.scallops) if not run.closed else ()
    seen = sum(int(scores[edge]) for edge in (left, right) if edge not in ends)
    stop = float(run.stations[right]) + (lines.back.length if right <= left else 0.0)
    least, most = lines.back.extreme_curvature(float(run.stations[left]), stop)
    return seen, round(max(abs(float(least)), abs(float(most))) * 1e9)
