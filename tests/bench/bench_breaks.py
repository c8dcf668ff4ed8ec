"""Breaks of rings and lines beside other exact methods, on the same instances.

    python -m tests.bench.bench_breaks [--sizes 250 2500 25000 250000] [--cap SECONDS] [--seeds N]

Pieces of 8…34 steps, a fifth of the positions forbidden, prices 0…999; goals: fewest pieces, then least
total. Each method runs in a process of its own and imports only what it needs, so that its peak memory is
its own; seconds are those of building and solving, without starting Python. A method that has not proved
its answer at the cap is listed with what it had.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence

import numpy as np

from solver.problems import Track
from tests.bench.child import peak_mb, result_of, told, verdict

SMALLEST, LARGEST = 8, 34
FORBIDDEN = 0.2
PRICES = 1000

Found = dict[str, object]


def instance(size: int, closed: bool, seed: int) -> Track:
    """Draw the instance: the same for every method."""
    rng = np.random.default_rng([size, closed, seed])
    count = size if closed else size + 1
    return Track(size, closed, SMALLEST, LARGEST, rng.integers(0, PRICES, count), rng.random(count) >= FORBIDDEN)


def key_of(track: Track) -> tuple[int, list[int]]:
    """One number for both goals: what a piece weighs, and what a chosen position does."""
    heavy = PRICES * (track.size // SMALLEST + 1)
    return heavy, [heavy + int(c) for c in track.cost]


def ours(track: Track, _cap: float, goals: Sequence[str] = ("pieces", "total")) -> Found:
    """Solve by `solver.breaks`."""
    from solver.breaks import solve  # noqa: PLC0415 - see above

    answer = solve([track], goals)
    values = {met.goal: met.value for met in answer.met}
    bounds = {met.goal: met.bound for met in answer.met}
    return {
        "pieces": values.get("pieces"),
        "total": values.get("total"),
        "proved": answer.proved,
        "note": " ".join(f"{goal} {values[goal]}/{bounds[goal]}" for goal in goals),
    }


def ours_all(track: Track, cap: float) -> Found:
    """Solve for all four goals."""
    return ours(track, cap, ("pieces", "worst", "different", "total"))


def networkx_starts(track: Track, cap: float) -> Found:
    """Dijkstra's shortest paths; on a ring from each allowed start of the window with the fewest.

    The ring is unrolled from that window on, which comes back at the end: a way runs from s to s + size.
    """
    import networkx as nx  # noqa: PLC0415 - see above

    begun = time.perf_counter()
    heavy, key = key_of(track)
    size = track.size
    allowed = track.allowed.copy()
    first, rows, starts = 0, size + 1, [0]
    if track.closed:
        counts = np.convolve(np.concatenate([allowed, allowed[: LARGEST - 1]]), np.ones(LARGEST), "valid")
        first, rows = int(np.argmin(counts)), size + LARGEST
        starts = [s for s in range(LARGEST) if allowed[(first + s) % size]]
    else:
        allowed[[0, -1]] = True
        key[0] = key[-1] = heavy
    positions = (first + np.arange(rows)) % len(key)
    is_open, weights = allowed[positions].tolist(), [key[p] for p in positions.tolist()]
    graph = nx.DiGraph()
    for tail in range(rows):
        if is_open[tail]:
            heads = range(tail + SMALLEST, min(rows, tail + LARGEST + 1))
            graph.add_weighted_edges_from((tail, head, weights[head]) for head in heads if is_open[head])
    best = None
    for start in starts:
        if time.perf_counter() - begun > cap:
            return {
                **({} if best is None else _split(best, heavy, proved=False)),
                "proved": False,
                "note": "cap",
            }
        try:
            length = int(nx.dijkstra_path_length(graph, start, start + size))
        except (nx.NetworkXNoPath, nx.NodeNotFound):
            continue
        best = length if best is None else min(best, length)
    return _split(best or 0, heavy, proved=True)


def _split(packed: int, heavy: int, *, proved: bool) -> Found:
    return {"pieces": packed // heavy, "total": packed % heavy, "proved": proved, "note": ""}


def windows(track: Track, width: int) -> list[np.ndarray]:
    """Positions of every `width` neighbours; on a line 0 and its size are chosen anyway."""
    if track.closed:
        return [np.arange(low, low + width) % track.size for low in range(track.size)]
    return [np.arange(low, low + width) for low in range(track.size + 2 - width)]


def highs(track: Track, cap: float) -> Found:
    """Choose positions by integer programming with no gap."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - see above
    from scipy.sparse import csr_array, vstack  # noqa: PLC0415 - see above

    _, key = key_of(track)
    count = len(key)

    def rows(width: int) -> object:
        at = np.array(windows(track, width))
        return csr_array((np.ones(at.size), (np.repeat(np.arange(len(at)), width), at.ravel())), shape=(len(at), count))

    few, many = rows(LARGEST), rows(SMALLEST)
    low = np.concatenate([np.ones(few.shape[0]), np.zeros(many.shape[0])])
    high = np.concatenate([np.full(few.shape[0], np.inf), np.ones(many.shape[0])])
    upper, lower = track.allowed.astype(float), np.zeros(count)
    if not track.closed:
        upper[[0, -1]] = lower[[0, -1]] = 1
        key[0] = key[-1] = 0
    found = milp(
        np.array(key, dtype=float),
        constraints=LinearConstraint(vstack([few, many]), low, high),
        bounds=Bounds(lower, upper),
        integrality=np.ones(count),
        options={"mip_rel_gap": 0.0, "time_limit": cap},
    )
    if found.x is None:
        return {"proved": False, "note": f"bound {found.mip_dual_bound}"}
    chosen = np.flatnonzero(found.x > 0.5)
    note = "" if found.status == 0 else f"bound {found.mip_dual_bound:.0f} of {found.fun:.0f}"
    return _counted(track, chosen, proved=found.status == 0, note=note)


def cp_sat(track: Track, cap: float) -> Found:
    """Choose positions by OR-Tools' CP-SAT, with the subsolvers that let it prove."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - see above

    _, key = key_of(track)
    model = cp_model.CpModel()
    chosen = [model.new_bool_var("") if a else model.new_constant(0) for a in track.allowed]
    if not track.closed:
        chosen[0] = chosen[-1] = model.new_constant(1)
        key[0] = key[-1] = 0
    for window in windows(track, LARGEST):
        model.add_bool_or([chosen[p] for p in window])
    for window in windows(track, SMALLEST):
        model.add_at_most_one([chosen[p] for p in window])
    model.minimize(sum(key[p] * x for p, x in enumerate(chosen)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.subsolvers.extend(["max_lp", "lb_tree_search"])
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = cap
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {"proved": False, "note": "no answer"}
    places = np.array([p for p, x in enumerate(chosen) if solver.boolean_value(x)])
    proved = status == cp_model.OPTIMAL
    note = "" if proved else f"bound {solver.best_objective_bound:.0f} of {solver.objective_value:.0f}"
    return _counted(track, places, proved=proved, note=note)


def _counted(track: Track, chosen: np.ndarray, *, proved: bool, note: str) -> Found:
    inside = chosen if track.closed else chosen[1:-1]
    pieces = len(chosen) if track.closed else len(chosen) - 1
    return {"pieces": pieces, "total": int(track.cost[inside].sum()), "proved": proved, "note": note}


METHODS: dict[str, Callable[[Track, float], Found]] = {
    "ours": ours,
    "networkx": networkx_starts,
    "HiGHS": highs,
    "CP-SAT": cp_sat,
    "ours, 4 goals": ours_all,
}


def run_child(method: str, size: int, closed: bool, seed: int, cap: float) -> None:
    """Run one method and print what it found, as JSON."""
    track = instance(size, closed, seed)
    METHODS[method](instance(60, closed, 0), 10.0)  # imports are not counted
    before = peak_mb()
    begun, cpu = time.perf_counter(), time.process_time()
    found = METHODS[method](track, cap)
    found["seconds"] = time.perf_counter() - begun
    found["cpu"] = time.process_time() - cpu
    found["peak_mb"] = peak_mb()
    found["before_mb"] = before
    sys.stdout.write(json.dumps(found))


def measured(method: str, size: int, closed: bool, seed: int, cap: float) -> Found:
    """Run one method in its own process."""
    arguments = ["--child", method, "--sizes", str(size), "--closed", str(int(closed)), "--seed", str(seed)]
    return result_of("tests.bench.bench_breaks", arguments, cap)


def report(size: int, closed: bool, seed: int, cap: float, methods: Sequence[str]) -> None:
    """Print one instance, method by method."""
    name = "ring" if closed else "line"
    print(f"\n{name} of {size} positions, seed {seed}; goals: fewest pieces, then least total")
    print(f"{'method':15}{'pieces':>8}{'total':>9}  {'ours?':7}{'proved':7}{'seconds':>9}{'ratio':>8}{'MB':>7}  note")
    first: Found = {}
    for method in methods:
        found = measured(method, size, closed, seed, cap)
        first = first or found
        same = "" if method.endswith("goals") else verdict(found, first, ("pieces", "total"))
        ratio = float(found["seconds"]) / float(first["seconds"])  # type: ignore[arg-type]
        pieces, total = found.get("pieces", "-"), found.get("total", "-")
        print(
            f"{method:15}{pieces!s:>8}{total!s:>9}  {same:7}{'yes' if found['proved'] else 'no':7}"
            f"{found['seconds']:9.3f}{ratio:8.1f}{found['peak_mb']:7.0f}  {found['note']}",
            flush=True,
        )


def main() -> None:
    """Read the arguments; run the children one after another."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="+", default=[250, 2500, 25_000, 250_000])
    parser.add_argument("--cap", type=float, default=30.0, help="seconds that a method may take")
    parser.add_argument("--seeds", type=int, default=1, help="instances of each size")
    parser.add_argument("--methods", nargs="+", choices=METHODS, default=list(METHODS))
    parser.add_argument("--child", choices=METHODS, help=argparse.SUPPRESS)
    parser.add_argument("--closed", type=int, default=1, help=argparse.SUPPRESS)
    parser.add_argument("--seed", type=int, default=0, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        run_child(given.child, given.sizes[0], bool(given.closed), given.seed, given.cap)
        return
    print(told(given.cap))
    for size in given.sizes:
        for closed in (True, False):
            for seed in range(given.seeds):
                report(size, closed, seed, given.cap, given.methods)


if __name__ == "__main__":
    main()
