"""Cutting out of stock beside other methods, on the same instances; and guillotine cutting beside published optima.

    python -m tests.bench.bench_cutting [--seeds N] [--cap SECONDS] [--methods ours FFD HiGHS CP-SAT]

Instances: the 5600 roll, t60_00, and the two kinds of Falkenauer (J. Heuristics 2, 1996) drawn anew: u120 (120 sizes,
20…100, capacity 150) and t60 (60 sizes, triplets of 1000). HiGHS and CP-SAT solve the arc-flow model (Valério de
Carvalho, Ann. Oper. Res. 86, 1999) on the sums that can be reached. Each method runs in its own process, so that its
peak memory is its own; seconds are those of building and solving, without starting Python and loading libraries.
A method that has not proved its answer at the cap is listed with what it had.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence

from tests.bench.child import peak_mb, result_of, told, verdict
from tests.solver.test_cutting_published import ROLL_DEMANDS, ROLL_WIDTHS, T60_00
from tests.solver.test_guillotine import C1P1, CGCUT1, GCUT1

Found = dict[str, object]
Sizes = tuple[list[int], int]


def instance(name: str) -> Sizes:
    """Return the sizes and the capacity of an instance: the same for every method."""
    if name == "roll5600":
        return list(Counter(dict(zip(ROLL_WIDTHS, ROLL_DEMANDS, strict=True))).elements()), 5600
    if name == "t60_00":
        return [round(10 * float(size)) for size in T60_00.split()], 1000
    kind, seed = name.split("-")
    rng = random.Random(f"{kind} {seed}")
    if kind == "u120":
        return [rng.randint(20, 100) for _ in range(120)], 150
    return [size for _ in range(20) for size in triplet(rng)], 1000


def triplet(rng: random.Random) -> tuple[int, int, int]:
    """Draw three sizes that fill 1000: one of 380…490, one of 250 to half the rest."""
    first = rng.randint(380, 490)
    second = rng.randint(250, (1000 - first) // 2)
    return first, second, 1000 - first - second


def ours(sizes: Sizes, _cap: float) -> Found:
    """Solve by `solver.cutting`, and check the answer."""
    from solver.cutting import cut  # noqa: PLC0415 - each child imports only what it needs
    from solver.problems import Piece, Stock  # noqa: PLC0415
    from solver.verify_cutting import verify_cutting  # noqa: PLC0415

    pieces = [Piece(size, 1, demand) for size, demand in Counter(sizes[0]).items()]
    stocks = [Stock(sizes[1], 1)]
    result = cut(pieces, stocks)
    assert verify_cutting(pieces, stocks, [(1,)], result) == ()
    met = result.met[0]
    return {"value": met.value, "proved": met.proved, "note": "" if met.proved else f"bound {met.bound}"}


def first_fit_decreasing(sizes: Sizes, _cap: float) -> Found:
    """Put each size, largest first, where it first fits; proved only where the material needs as many."""
    rooms: list[int] = []
    for size in sorted(sizes[0], reverse=True):
        place = next((i for i, room in enumerate(rooms) if room >= size), None)
        if place is None:
            rooms.append(sizes[1] - size)
        else:
            rooms[place] -= size
    return {"value": len(rooms), "proved": len(rooms) == -(-sum(sizes[0]) // sizes[1]), "note": ""}


def arcs_of(sizes: Sizes) -> list[tuple[int, int, int]]:
    """List the arcs (from, to, size) of the arc-flow model; size 0 is loss. Larger sizes come first on every path."""
    counts = sorted(Counter(sizes[0]).items(), reverse=True)
    capacity = sizes[1]
    reached = {0}
    arcs: set[tuple[int, int, int]] = set()
    for size, demand in counts:
        front = set(reached)
        for _ in range(demand):
            steps = {(at, at + size, size) for at in front if at + size <= capacity} - arcs
            arcs |= steps
            front = {to for _, to, _ in steps}
            reached |= front
    return sorted(arcs) + [(at, capacity, 0) for at in sorted(reached - {0, capacity})]


def highs(sizes: Sizes, cap: float) -> Found:
    """Solve the arc-flow model by integer programming with no gap."""
    import numpy as np  # noqa: PLC0415 - each child imports only what it needs
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import coo_array  # noqa: PLC0415

    arcs, demand = arcs_of(sizes), Counter(sizes[0])
    nodes = {at: i for i, at in enumerate(sorted({0, *(at for arc in arcs for at in arc[:2])}))}
    kinds = {size: len(nodes) + i for i, size in enumerate(sorted(demand))}
    entries = [(nodes[tail], a, 1) for a, (tail, _, _) in enumerate(arcs)]
    entries += [(nodes[head], a, -1) for a, (_, head, _) in enumerate(arcs)]
    entries += [(kinds[size], a, 1) for a, (_, _, size) in enumerate(arcs) if size]
    rows, columns, values = zip(*entries, strict=True)
    matrix = coo_array((values, (rows, columns)), shape=(len(nodes) + len(kinds), len(arcs))).tocsr()
    low, high = np.zeros(matrix.shape[0]), np.zeros(matrix.shape[0])
    high[nodes[0]] = np.inf
    low[nodes[sizes[1]]] = -np.inf
    for size, row in kinds.items():
        low[row] = high[row] = demand[size]
    found = milp(
        np.array([float(tail == 0) for tail, _, _ in arcs]),
        constraints=LinearConstraint(matrix, low, high),
        bounds=Bounds(0, [demand[size] if size else len(sizes[0]) for _, _, size in arcs]),
        integrality=np.ones(len(arcs)),
        options={"mip_rel_gap": 0.0, "time_limit": cap},
    )
    if found.x is None:
        return {"proved": False, "note": f"bound {found.mip_dual_bound}"}
    note = "" if found.status == 0 else f"bound {found.mip_dual_bound:.2f}"
    return {"value": round(found.fun), "proved": found.status == 0, "note": note}


def cp_sat(sizes: Sizes, cap: float) -> Found:
    """Solve the arc-flow model by OR-Tools' CP-SAT, with eight workers so that it keeps its linear relaxation."""
    from ortools.sat.python import cp_model  # noqa: PLC0415 - each child imports only what it needs

    arcs, demand = arcs_of(sizes), Counter(sizes[0])
    model = cp_model.CpModel()
    flow = [model.new_int_var(0, demand[size] if size else len(sizes[0]), "") for _, _, size in arcs]
    balance: dict[int, list[cp_model.LinearExpr]] = {}
    given: dict[int, list[cp_model.IntVar]] = {}
    for (tail, head, size), amount in zip(arcs, flow, strict=True):
        balance.setdefault(head, []).append(amount)
        balance.setdefault(tail, []).append(-amount)
        given.setdefault(size, []).append(amount)
    for node, terms in balance.items():
        if node not in {0, sizes[1]}:
            model.add(sum(terms) == 0)
    for size, wanted in demand.items():
        model.add(sum(given[size]) == wanted)
    bins = sum(amount for (tail, _, _), amount in zip(arcs, flow, strict=True) if tail == 0)
    model.add(bins >= -(-sum(sizes[0]) // sizes[1]))
    model.minimize(bins)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 8
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = cap
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {"proved": False, "note": "no answer"}
    proved = status == cp_model.OPTIMAL
    note = "" if proved else f"bound {solver.best_objective_bound:.0f}"
    return {"value": round(solver.objective_value), "proved": proved, "note": note}


METHODS: dict[str, Callable[[Sizes, float], Found]] = {
    "ours": ours,
    "FFD": first_fit_decreasing,
    "HiGHS": highs,
    "CP-SAT": cp_sat,
}


def guillotine(name: str) -> Found:
    """Solve one published guillotine problem."""
    from solver.guillotine import Item, fill_exactly, most_limited, most_unlimited  # noqa: PLC0415

    if name.startswith("gcut1"):
        items = [Item(length, width, length * width) for length, width in GCUT1]
        return {"value": most_unlimited(items, 250, 250, turn=name.endswith("turned")).value}
    if name == "cgcut1":
        return {"value": most_limited([Item(a, b, value, most) for a, b, most, value in CGCUT1], 15, 10).value}
    sizes = [tuple(int(side) for side in text.split("x")) for text in C1P1.split()]
    block = fill_exactly([(a, b) for a, b in sizes], 20, 20, turn=True)
    return {"value": sum(sizes[i][0] * sizes[i][1] for i in block.items()) if block else 0}


GUILLOTINE = {"gcut1 fixed": 56_460, "gcut1 turned": 58_136, "cgcut1": 244, "C1 P1": 20 * 20}
"""published optima; sources in tests/solver/test_guillotine.py"""


def run_child(name: str, method: str, cap: float) -> None:
    """Run one method on one instance and print what it found, as JSON."""
    if method != "guillotine":
        METHODS[method](([3, 3, 4, 4, 5, 5], 10), 10.0)  # loads what it needs
    before = peak_mb()
    begun = time.perf_counter()
    found = guillotine(name) if method == "guillotine" else METHODS[method](instance(name), cap)
    found["seconds"] = time.perf_counter() - begun
    found["peak_mb"] = peak_mb()
    found["before_mb"] = before
    sys.stdout.write(json.dumps(found))


def measured(name: str, method: str, cap: float) -> Found:
    """Run one method in its own process."""
    return result_of("tests.bench.bench_cutting", ["--child", name, method], cap)


def report(name: str, cap: float, methods: Sequence[str]) -> dict[str, Found]:
    """Print one instance, method by method."""
    rows = {method: measured(name, method, cap) for method in methods}
    first = rows[methods[0]]
    for method, found in rows.items():
        # what first-fit decreasing proves it proves by the material alone, so it is never wrong
        same = verdict(found, first, ("value",))
        ratio = float(found["seconds"]) / float(first["seconds"])  # type: ignore[arg-type]
        print(
            f"{name:10}{method:9}{found.get('value', '-')!s:>6}  {same:7}{'yes' if found['proved'] else 'no':7}"
            f"{found['seconds']:9.3f}{ratio:8.1f}{found['peak_mb']:7.0f}  {found['note']}",
            flush=True,
        )
    return rows


def summary(table: Sequence[dict[str, Found]], methods: Sequence[str]) -> None:
    """Print totals and medians of all instances."""
    print(f"\n{'method':9}{'instances':>10}{'same':>6}{'proved':>8}{'median s':>10}{'worst s':>9}{'ratio':>8}{'MB':>6}")
    for method in methods:
        found = [rows[method] for rows in table]
        seconds = [float(each["seconds"]) for each in found]  # type: ignore[arg-type]
        ratio = statistics.median(
            float(rows[method]["seconds"]) / float(rows[methods[0]]["seconds"])  # type: ignore[arg-type]
            for rows in table
        )
        same = sum(rows[method].get("value") == rows[methods[0]].get("value") for rows in table)
        proved = sum(bool(each["proved"]) for each in found)
        memory = max(float(each["peak_mb"]) for each in found)  # type: ignore[arg-type]
        print(
            f"{method:9}{len(found):>10}{same:>6}{proved:>8}{statistics.median(seconds):>10.3f}{max(seconds):>9.2f}"
            f"{ratio:>8.1f}{memory:>6.0f}"
        )


def main() -> None:
    """Read the arguments; run the children one after another."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, default=10, help="instances of each kind")
    parser.add_argument("--cap", type=float, default=8.0, help="seconds that a method may take")
    parser.add_argument("--methods", nargs="+", choices=METHODS, default=list(METHODS))
    parser.add_argument("--child", nargs=2, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        run_child(*given.child, given.cap)
        return
    names = ["roll5600", "t60_00", *(f"{kind}-{seed}" for kind in ("u120", "t60") for seed in range(given.seeds))]
    print(told(given.cap))
    print("Goal: fewest stocks")
    print(f"{'instance':10}{'method':9}{'value':>6}  {'ours?':7}{'proved':7}{'seconds':>9}{'ratio':>8}{'MB':>7}  note")
    summary([report(name, given.cap, given.methods) for name in names], given.methods)
    print(f"\n{'guillotine':14}{'value':>8}{'published':>11}  {'same':5}{'seconds':>9}{'MB':>6}")
    for name, published in GUILLOTINE.items():
        found = measured(name, "guillotine", given.cap)
        print(
            f"{name:14}{found.get('value', '-')!s:>8}{published:>11}"
            f"  {'yes' if found.get('value') == published else 'NO':5}{found['seconds']:9.3f}{found['peak_mb']:6.0f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
