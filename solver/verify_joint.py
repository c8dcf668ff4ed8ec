"""Check an answer of `solver.joint` from the problem alone; shares no code with the search or its bounds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from solver.breaks import GOALS
from solver.joint import JointResult
from solver.problems import Charge, Joint, Met
from solver.verify import has_way, verify_breaks
from solver.verify_cutting import verify_cutting


@dataclass(frozen=True)
class _Broken:
    """The part of an answer that is about breaks alone."""

    positions: tuple[tuple[int, ...], ...] | None
    met: tuple[Met, ...]


def verify_joint(
    problem: Joint,
    goals: Sequence[str],
    result: JointResult,
    most: Mapping[str, int] | None = None,
    mirrors: Sequence[int] | None = None,
) -> tuple[str, ...]:
    """List what is wrong with an answer to `joint.solve`; empty: it is as it says.

    Positions, pieces, cuttings and all values are worked out anew. That no better answer exists is not checked here:
    that is what the bounds are for.

    Examples
    --------
    >>> import numpy as np
    >>> from dataclasses import replace
    >>> from solver.joint import solve
    >>> from solver.problems import Piece, Stock, Track
    >>> line = Track(9, False, 2, 4, np.zeros(10, int), np.full(10, True))
    >>> table = np.arange(10)
    >>> problem = Joint((line,), (table,), (table,), (5,), (Stock(5, 5),), (Charge("stocks", (1,)),))
    >>> answer = solve(problem, ["stocks"])
    >>> verify_joint(problem, ["stocks"], answer)
    ()
    >>> verify_joint(problem, ["stocks"], replace(answer, pieces=(*answer.pieces[1:], Piece(3, 5, 2))))[0]
    'pieces are 3 of 3 × 5, 1 of 2 × 5; the breaks ask for 1 of 4 × 5, 1 of 3 × 5, 1 of 2 × 5'
    """
    if result.positions is None:
        return tuple(_refusal(problem, result, most or {}, mirrored=mirrors is not None))
    if result.why or result.short:
        return ("there is an answer, and yet a reason why there is none",)
    own = [goal for goal in goals if goal in GOALS]
    met = tuple(each for each in result.met if each.goal in GOALS)
    found = list(verify_breaks(problem.tracks, own, _Broken(result.positions, met)))
    if [each.goal for each in result.met] != list(goals):
        return (*found, f"goals met are {[each.goal for each in result.met]}, not {list(goals)}")
    if len(result.positions) == len(problem.tracks) and not found:
        found += _pieces(problem, result)
        found += _cut(problem, goals, result)
        found += _caps(problem, result, most or {})
        found += _mirrored(problem, result.positions, mirrors) if mirrors is not None else []
    return tuple(found)


def _mirrored(problem: Joint, positions: Sequence[Sequence[int]], mirrors: Sequence[int]) -> Iterator[str]:
    """Check that the breaks of each track are the same on both sides of its axis."""
    for t, (track, chosen, mirror) in enumerate(zip(problem.tracks, positions, mirrors, strict=True)):
        size = track.size if track.closed else 2 * track.size
        lone = [p for p in chosen if (mirror - p) % size not in chosen]
        if lone:
            yield f"track {t}: breaks {lone} have none opposite them"


def _steps(problem: Joint, t: int, chosen: Sequence[int]) -> list[int]:
    """Count the steps of each piece of a track, in order."""
    ends = list(chosen[1:]) + ([chosen[0] + problem.tracks[t].size] if problem.tracks[t].closed else [])
    return [b - a for a, b in zip(chosen, ends, strict=False)]


def _rectangles(problem: Joint, positions: Sequence[Sequence[int]]) -> Counter[tuple[int, int]]:
    """Count the rectangles that the breaks ask for, by (length, height)."""
    made: Counter[tuple[int, int]] = Counter()
    for t, chosen in enumerate(positions):
        steps = _steps(problem, t, chosen)
        for at, n in enumerate(steps):
            ends_line = at == len(steps) - 1 and not problem.tracks[t].closed
            table = problem.last_lengths[t] if ends_line else problem.lengths[t]
            made[int(table[n]), problem.heights[t]] += 1
    return made


def _pieces(problem: Joint, result: JointResult) -> Iterator[str]:
    """Check that the pieces are those between the breaks."""
    asked = _rectangles(problem, result.positions or ())
    stated: Counter[tuple[int, int]] = Counter()
    for piece in result.pieces:
        stated[piece.length, piece.height] += piece.demand
    if stated != asked:
        yield f"pieces are {_shown(stated)}; the breaks ask for {_shown(asked)}"


def _shown(rectangles: Counter[tuple[int, int]]) -> str:
    return ", ".join(f"{n} of {length} × {height}" for (length, height), n in sorted(rectangles.items(), reverse=True))


def _order(problem: Joint, goals: Sequence[str]) -> list[Charge]:
    """Return the charges among the goals in their order, then the others."""
    first = [charge for goal in goals for charge in problem.charges if charge.name == goal]
    return first + [charge for charge in problem.charges if charge.name not in goals]


def _cut(problem: Joint, goals: Sequence[str], result: JointResult) -> Iterator[str]:
    """Check the cutting, and what is said of the charges among the goals."""
    if result.cuttings is None or result.cuttings.cuttings is None:
        yield "the pieces are not cut"
        return
    rows = [charge.stocks for charge in _order(problem, goals)]
    yield from verify_cutting(result.pieces, problem.stocks, rows, result.cuttings)
    values = _charged(problem, result)
    for met in result.met:
        if met.goal in GOALS:
            continue
        if met.value != values[met.goal]:
            yield f"{met.goal} is {values[met.goal]}, not {met.value}"
        if met.bound > met.value:
            yield f"{met.goal}: bound {met.bound} is above the value {met.value}"
        if met.proved != (met.bound == met.value):
            yield f"{met.goal}: proved is {met.proved} at value {met.value} and bound {met.bound}"


def _charged(problem: Joint, result: JointResult) -> dict[str, int]:
    """Sum every charge."""
    number = sum(piece.demand for piece in result.pieces)
    cuttings = (result.cuttings.cuttings if result.cuttings else None) or ()
    return {
        charge.name: number * charge.piece + sum(charge.stocks[each.stock] * each.times for each in cuttings)
        for charge in problem.charges
    }


def _caps(problem: Joint, result: JointResult, most: Mapping[str, int]) -> Iterator[str]:
    """Check that the greatest values asked for are kept."""
    positions = result.positions or ()
    steps = [n for t, chosen in enumerate(positions) for n in _steps(problem, t, chosen)]
    costs = [
        int(track.cost[p])
        for track, chosen in zip(problem.tracks, positions, strict=True)
        for p in (chosen if track.closed else chosen[1:-1])
    ]
    values = _charged(problem, result) | {
        "pieces": len(steps),
        "worst": max(costs, default=0),
        "different": len(set(steps)),
        "total": sum(costs),
        "spread": max(steps) - min(steps),
    }
    for name, limit in most.items():
        if values[name] > limit:
            yield f"{name} is {values[name]}, above {limit}"


def _refusal(problem: Joint, result: JointResult, most: Mapping[str, int], *, mirrored: bool) -> Iterator[str]:
    """Check the reason given for there being no answer."""
    if result.met or result.pieces or result.cuttings is not None:
        yield "no positions, and yet goals met or pieces cut"
    ways = all(has_way(track) for track in problem.tracks)
    # Tracks that can be broken may still have no mirrored ways.
    if (result.why == "breaks") == ways and not (mirrored and ways):
        yield f"{result.why!r} stated, and the tracks {'have' if ways else 'have no'} ways"
    if result.why == "short":
        for s, (more, stock) in enumerate(zip(result.short, problem.stocks, strict=True)):
            if more < 0 or (more and stock.count is None):
                yield f"stock {s}: {more} more stated, {stock.count} on hand"
        if not any(result.short):
            yield "short of nothing"
    if result.why == "misfits" and not result.misfits:
        yield "misfits stated, and none named"
    if result.why == "most" and not most:
        yield "greatest values stated, and none asked for"
