"""Breaks and cutting as one question, beside whole-model integer programs on the same instances.

    python -m tests.bench.bench_joint [--sizes 250 2500] [--cap SECONDS] [--methods ...]

Pinned instances on which the breaks with the fewest pieces need more stock than the bound: pieces of 8…20 steps on
strips of 34, a fifth of the positions forbidden. Kinds: one ring; several lines; three tracks of three heights whose
strips share a stock; a mix of two priced stocks, one of them of few. Goals: least cost, then fewest pieces; the last
method meets all five goals. Whole models: flow on the steps and maximal patterns on the stock, in one objective. Each
method runs in a process of its own; seconds are those of building and solving, without starting Python.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence

import numpy as np

from solver.problems import Charge, Joint, Stock, Track
from tests.bench.child import peak_mb, result_of, told, verdict
from tests.bench.whole_model import WholeModel

FORBIDDEN = 0.2
PRICES = 1000
STRIP = 34
GOALS = ("cost", "pieces")
ALL_GOALS = ("cost", "pieces", "worst", "different", "total")

Found = dict[str, object]


def track(size: int, *, closed: bool, seed: int, smallest: int = 8, largest: int = 20) -> Track:
    """Draw a track: the same for every method."""
    rng = np.random.default_rng([size, closed, seed])
    count = size if closed else size + 1
    allowed = rng.random(count) >= FORBIDDEN
    return Track(size, closed, smallest, largest, rng.integers(0, PRICES, count), allowed)


def instance(kind: str, size: int) -> Joint:
    """Return a pinned instance."""
    return KINDS[kind](size)


def _joint(tracks: Sequence[Track], heights: Sequence[int], stocks: Sequence[Stock], prices: Sequence[int]) -> Joint:
    lengths = tuple(np.arange(max(one.largest, one.largest_last or 0) + 1, dtype=np.int64) for one in tracks)
    return Joint(tuple(tracks), lengths, lengths, tuple(heights), tuple(stocks), (Charge("cost", tuple(prices)),))


def ring(size: int) -> Joint:
    """One ring, one stock."""
    return _joint([track(size, closed=True, seed=1)], [1], [Stock(STRIP, 1)], [1])


def lines(size: int) -> Joint:
    """Several lines whose ends share stocks."""
    rng = np.random.default_rng([size, 2])
    sizes = [int(part) for part in rng.multinomial(size - 30 * (size // 50), [50 / size] * (size // 50)) + 30]
    return _joint(
        [track(part, closed=False, seed=3 + k) for k, part in enumerate(sizes)],
        [1] * len(sizes),
        [Stock(STRIP, 1)],
        [1],
    )


def heights(size: int) -> Joint:
    """Three tracks of three heights: a ring and two lines, pieces of 12…20, on stocks 10 wide."""
    parts = [size // 2, size // 4, size - size // 2 - size // 4]
    tracks = [track(part, closed=k == 0, seed=40 + k, smallest=12) for k, part in enumerate(parts)]
    return _joint(tracks, [5, 4, 3], [Stock(STRIP, 10)], [1])


def mixed(size: int) -> Joint:
    """One ring from two stocks, the better bargain of which there are only some."""
    stocks = [Stock(STRIP, 1), Stock(27, 1, count=size // 60)]
    return _joint([track(size, closed=True, seed=5)], [1], stocks, [100, 71])


KINDS: dict[str, Callable[[int], Joint]] = {"ring": ring, "lines": lines, "heights": heights, "mixed": mixed}


def ours(problem: Joint, _cap: float, goals: Sequence[str] = GOALS, *, settled: bool = False) -> Found:
    """Solve by `solver.joint`: values and proof, as the others do."""
    from solver.joint import solve  # noqa: PLC0415 - each child imports only what it needs

    answer = solve(problem, goals, settled=settled)
    note = " ".join(f"{met.goal} {met.value}/{met.bound}" for met in answer.met)
    values = {met.goal: met.value for met in answer.met}
    return {"cost": values.get("cost"), "pieces": values.get("pieces"), "proved": answer.proved, "note": note}


def ours_settled(problem: Joint, cap: float) -> Found:
    """Solve, and end ties by rule, so that the same answer is found everywhere: the others don't."""
    return ours(problem, cap, settled=True)


def ours_all(problem: Joint, cap: float) -> Found:
    """Solve for all five goals."""
    return ours(problem, cap, ALL_GOALS)


def breaks_alone(problem: Joint, _cap: float) -> Found:
    """Break for the fewest pieces, then cut these: what planning one after the other gives."""
    from solver import breaks, cutting  # noqa: PLC0415
    from solver.problems import Piece  # noqa: PLC0415

    found = breaks.solve(problem.tracks, ["pieces", "worst", "different", "total"])
    pieces: dict[tuple[int, int], int] = {}
    for k, (one, way) in enumerate(zip(problem.tracks, found.positions or (), strict=True)):
        after = [*way[1:], way[0] + one.size] if one.closed else list(way[1:])
        for start, end in zip(way, after, strict=False):
            kind = (int(problem.lengths[k][end - start]), problem.heights[k])
            pieces[kind] = pieces.get(kind, 0) + 1
    rows = [charge.stocks for charge in problem.charges]
    result = cutting.cut([Piece(*kind, demand) for kind, demand in pieces.items()], problem.stocks, rows)
    return {"cost": result.met[0].value, "pieces": sum(pieces.values()), "proved": False, "note": "not one question"}


def _weights(problem: Joint) -> tuple[int, int]:
    return sum(one.size for one in problem.tracks) + 1, 1


def highs(problem: Joint, cap: float) -> Found:
    """Solve the whole model by HiGHS with no gap."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import csr_array  # noqa: PLC0415

    model = WholeModel(problem, _weights(problem))
    at = [(r, v, a) for r, (row, _, _) in enumerate(model.rows) for v, a in row.items()]
    rows, columns, values = zip(*at, strict=True)
    matrix = csr_array((values, (rows, columns)), shape=(len(model.rows), len(model.tops)))
    limits = LinearConstraint(matrix, [low for _, low, _ in model.rows], [high for _, _, high in model.rows])
    found = milp(
        np.array(model.price, dtype=float),
        constraints=limits,
        bounds=Bounds(0, model.tops),
        integrality=np.ones(len(model.tops)),
        options={"mip_rel_gap": 0.0, "time_limit": cap},
    )
    if found.x is None:
        return {"proved": False, "note": f"bound {found.mip_dual_bound}"}
    note = "" if found.status == 0 else f"bound {found.mip_dual_bound:.0f} of {found.fun:.0f}"
    return _counted(problem, model, [round(x) for x in found.x], proved=found.status == 0, note=note)


def cp_sat(problem: Joint, cap: float) -> Found:
    """Solve the whole model by OR-Tools' CP-SAT, with the subsolvers that let it prove."""
    from ortools.sat.python import cp_model  # noqa: PLC0415

    whole = WholeModel(problem, _weights(problem))
    most = sum(one.size for one in problem.tracks)
    model = cp_model.CpModel()
    chosen = [model.new_int_var(0, min(top, most), "") for top in whole.tops]
    for row, low, high in whole.rows:
        total = sum(a * chosen[v] for v, a in row.items())
        if low > float("-inf"):
            model.add(total >= int(low))
        if high < float("inf"):
            model.add(total <= int(high))
    model.minimize(sum(price * x for price, x in zip(whole.price, chosen, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.subsolvers.extend(["max_lp", "lb_tree_search"])
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = cap
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {"proved": False, "note": f"no answer, bound {solver.best_objective_bound:.0f}"}
    proved = status == cp_model.OPTIMAL
    note = "" if proved else f"bound {solver.best_objective_bound:.0f} of {solver.objective_value:.0f}"
    return _counted(problem, whole, [solver.value(x) for x in chosen], proved=proved, note=note)


def _counted(problem: Joint, model: WholeModel, values: Sequence[int], *, proved: bool, note: str) -> Found:
    pieces = sum(values[v] for v in model.pieces)
    stocks = sum(problem.charges[0].stocks[s] * values[v] for v, s in model.stocks.items())
    return {"cost": stocks + problem.charges[0].piece * pieces, "pieces": pieces, "proved": proved, "note": note}


METHODS: dict[str, Callable[[Joint, float], Found]] = {
    "ours": ours,
    "HiGHS": highs,
    "CP-SAT": cp_sat,
    "breaks, then cut": breaks_alone,
    "ours, ties ended": ours_settled,
    "ours, 5 goals": ours_all,
}
COMPARED = ("ours", "HiGHS", "CP-SAT")
"""methods that answer the same question"""


def run_child(method: str, kind: str, size: int, cap: float) -> None:
    """Run one method and print what it found, as JSON."""
    METHODS[method](instance(kind, 100), 10.0)  # imports are not counted
    problem = instance(kind, size)
    before = peak_mb()
    begun = time.perf_counter()
    found = METHODS[method](problem, cap)
    found["seconds"] = time.perf_counter() - begun
    found["peak_mb"], found["before_mb"] = peak_mb(), before
    sys.stdout.write(json.dumps(found))


def report(kind: str, size: int, cap: float, methods: Sequence[str]) -> None:
    """Print one instance, method by method."""
    print(f"\n{kind} of {size} positions: {KINDS[kind].__doc__} Goals: least cost, then fewest pieces")
    print(f"{'method':18}{'cost':>7}{'pieces':>8}  {'ours?':7}{'proved':7}{'seconds':>9}{'ratio':>8}{'MB':>7}  note")
    first: Found = {}
    for method in methods:
        arguments = ["--child", method, "--kinds", kind, "--sizes", str(size)]
        found = result_of("tests.bench.bench_joint", arguments, cap)
        first = first or found
        same = verdict(found, first, GOALS) if method in COMPARED else ""
        ratio = float(found["seconds"]) / float(first["seconds"])  # type: ignore[arg-type]
        print(
            f"{method:18}{found.get('cost', '-')!s:>7}{found.get('pieces', '-')!s:>8}  {same:7}"
            f"{'yes' if found['proved'] else 'no':7}{found['seconds']:9.3f}{ratio:8.1f}{found['peak_mb']:7.0f}"
            f"  {found['note']}",
            flush=True,
        )


def main() -> None:
    """Read the arguments; run the children one after another."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="+", default=[250, 2500])
    parser.add_argument("--kinds", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--cap", type=float, default=20.0, help="seconds that a method may take")
    parser.add_argument("--methods", nargs="+", choices=METHODS, default=list(METHODS))
    parser.add_argument("--child", choices=METHODS, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        run_child(given.child, given.kinds[0], given.sizes[0], given.cap)
        return
    print(told(given.cap))
    for size in given.sizes:
        for kind in given.kinds:
            report(kind, size, given.cap, given.methods)


if __name__ == "__main__":
    main()
