"""Where tracks are broken and how the pieces are cut from stock, met as one question."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from solver import breaks, cutting
from solver.goals import check_goals, meet
from solver.joint_floor import JointFloor
from solver.joint_kinds import kinds_of
from solver.joint_mixed import Mixed
from solver.joint_search import Answer, JointSearch
from solver.joint_sieve import WORK
from solver.joint_whole import Whole
from solver.mirror import solve_mirrored
from solver.problems import Charge, Joint, Met, Piece

EFFORT = 20_000_000
"""pieces that the tracks may give × nodes of branch and bound, for each goal (assumed; some ten seconds)"""

BREAK_EFFORT = breaks.EFFORT
"""effort of the searches among breaks alone"""


@dataclass(frozen=True)
class JointResult:
    """Where the tracks are broken and how their pieces are cut, or why there is no way."""

    positions: tuple[tuple[int, ...], ...] | None
    """of each track, rising; a line's with its two ends; None: there is no way, or none was found"""
    pieces: tuple[Piece, ...] = ()
    """what the breaks ask for, equal rectangles counted"""
    cuttings: cutting.CutResult | None = None
    """how they are cut; its objectives are the charges: those among the goals in that order, then the others"""
    met: tuple[Met, ...] = ()
    """in the order of the goals"""
    why: str = ""
    """where there is no way: "breaks", the tracks cannot be broken at all; "misfits", every way has a piece that fits
    no stock; "short", the stock does not do; "most", the greatest values asked for exclude every answer; "open", none
    was found with the effort given"""
    misfits: tuple[Piece, ...] = ()
    """pieces of the tracks that fit no stock"""
    short: tuple[int, ...] = ()
    """how many more of each stock would do, the fewest in all"""
    certain: bool = True
    """whether "there is no way" is proved"""
    bounds: tuple[tuple[str, int], ...] = ()
    """where nothing was found: the first goal, and what no answer goes below"""
    words: tuple[str, ...] = ()
    """"died" or "stalled" for each process whose work had to be left to the next method"""

    @property
    def proved(self) -> bool:
        """Whether nothing is left open."""
        return self.certain if self.positions is None else all(met.proved for met in self.met)


def solve(
    problem: Joint,
    goals: Sequence[str],
    *,
    most: Mapping[str, int] | None = None,
    effort: int = EFFORT,
    settled: bool = True,
    mirrors: Sequence[int] | None = None,
    hurry: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> JointResult:
    """Break the tracks and cut the pieces so that the goals are met in order, each held while the next is met.

    Parameters
    ----------
    goals
        names of charges, and goals of `breaks.GOALS`, in any order; charges that are not among them decide only how
        the pieces finally chosen are cut
    most
        greatest values of goals or charges: answers that exceed one are not considered
    effort
        pieces that the tracks may give × nodes of branch and bound for each goal, before it is left unproved; 0: no
        integer program is asked at all, only breaks, prices and strips filled one after another
    settled
        whether ties are ended by rule; that may take as long as the rest, and only values need it not
    mirrors
        of each track: it is broken at p just when it is at its mirror less p, on a ring modulo its size; on a line
        the mirror is the size. Ties are left as they were found
    hurry
        asked between stages; once it says True, what is left ends with the bounds and values known. Where it knows how
        much time is left, as `solver.hurry.Deadline` does, no integer program takes longer
    progress
        told the share of goals met, 0…1

    Raises
    ------
    ValueError
        When a goal is not known or stands twice, or costs are too great to be summed in 60 bits.

    Examples
    --------
    >>> import numpy as np
    >>> from solver.problems import Stock, Track
    >>> line = Track(9, False, 2, 4, np.zeros(10, int), np.full(10, True))
    >>> table = np.arange(10) * 100
    >>> problem = Joint((line,), (table,), (table,), (50,), (Stock(500, 50),), (Charge("stocks", (1,)),))
    >>> answer = solve(problem, ["stocks", "pieces"])
    >>> answer.positions, [(met.goal, met.value, met.proved) for met in answer.met]
    (((0, 2, 5, 9),), [('stocks', 2, True), ('pieces', 3, True)])
    """
    known = (*(charge.name for charge in problem.charges), *breaks.GOALS)
    goals = check_goals(goals, known)
    limits = dict(most or {})
    check_goals(list(limits), known)
    return _Question(problem, goals, limits, effort, settled, mirrors, hurry).answered(progress)


@dataclass(frozen=True, eq=False)
class _Question:
    """What is asked, and how hard to try."""

    problem: Joint
    goals: tuple[str, ...]
    most: Mapping[str, int]
    effort: int
    settled: bool
    mirrors: Sequence[int] | None
    hurry: Callable[[], bool] | None

    def answered(self, progress: Callable[[float], None] | None = None) -> JointResult:
        """Return the answer, or why there is none."""
        result = self.tried(progress)
        return (
            result
            if result.positions is not None
            else replace(self._refused(result.certain), bounds=result.bounds, words=result.words)
        )

    def tried(self, progress: Callable[[float], None] | None = None) -> JointResult:
        """Return the answer, or only whether it is certain that there is none."""
        kinds = kinds_of(self.problem)
        whole = Whole(kinds, self.problem.charges, self.effort, self.hurry, self.mirrors)
        charges = {charge.name: charge for charge in self.problem.charges}
        # Mixes know of no axis.
        work = WORK if self.effort and self.mirrors is None else 0
        mixed = Mixed(kinds, self.problem.stocks, charges, whole.priced, work, self.hurry)
        search = JointSearch(self.problem, kinds, self.goals, self.most, whole, mixed, BREAK_EFFORT)
        floor = JointFloor(self.problem, kinds, self.most, whole, mixed, BREAK_EFFORT)
        met = meet(search, floor, self.goals or ("pieces",), progress, lambda: floor.none or self._hurried())
        best = search.settle() if self.settled and not self._hurried() else search.best()
        words = tuple(whole.words)
        if met is None or best is None:
            first = (self.goals or ("pieces",))[:1]
            bounds = () if floor.none else tuple((goal, floor.bound(goal)) for goal in first)
            return JointResult(None, certain=floor.none, bounds=bounds, words=words)
        met = _revised(met, best) if self.goals else ()
        return JointResult(best.positions, best.pieces, best.cut, met, words=words)

    def _hurried(self) -> bool:
        return self.hurry is not None and self.hurry()

    def _refused(self, certain: bool) -> JointResult:
        """Find out why there is no answer."""
        mirrors = self.mirrors or (None,) * len(self.problem.tracks)
        if solve_mirrored(self.problem.tracks, mirrors, ["pieces"]).positions is None:
            return JointResult(None, why="breaks")
        misfits = kinds_of(self.problem).misfits
        short = self._shortage()
        if any(short):
            why = "short"
        elif self.most and (not certain or replace(self, most={}).tried().positions is not None):
            why = "most"
        else:
            why = "misfits" if misfits else "open"
        return JointResult(None, why=why, misfits=misfits, short=short if any(short) else (), certain=certain)

    def _shortage(self) -> tuple[int, ...]:
        """Return how many more of each stock would do, the fewest in all; nothing where no number would."""
        stocks, charges = self.problem.stocks, self.problem.charges
        limited = [s for s, stock in enumerate(stocks) if stock.count is not None]
        if not limited:
            return ()
        name = "more" + "'" * sum(len(charge.name) for charge in charges)
        extra = Charge(name, (0,) * len(stocks) + (1,) * len(limited))
        wider = replace(
            self.problem,
            stocks=(*stocks, *(replace(stocks[s], count=None) for s in limited)),
            charges=(extra, *(replace(c, stocks=(*c.stocks, *(c.stocks[s] for s in limited))) for c in charges)),
        )
        found = replace(self, problem=wider, goals=(name, *self.goals)).tried()
        needed = [0] * len(stocks)
        for way in (found.cuttings.cuttings if found.cuttings else None) or ():
            if way.stock >= len(stocks):
                needed[limited[way.stock - len(stocks)]] += way.times
        return tuple(needed)


def _revised(met: Sequence[Met], best: Answer) -> tuple[Met, ...]:
    """Return the values of the answer taken: a goal left unproved may have been bettered while later ones were met."""
    values = [best.values[each.goal] for each in met]
    return tuple(
        Met(each.goal, value, each.bound, value == each.bound) for each, value in zip(met, values, strict=True)
    )
