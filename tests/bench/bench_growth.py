"""How time and memory grow with the positions: a table, the exponent, and a plot on logarithmic axes.

    python -m tests.bench.bench_growth [--plot FILE.png] [--sizes 250 2500 25000 250000]

The instances are those of `bench_breaks` (fewest pieces, then least total; rings and lines) and of `bench_joint` (one
ring, least cost, then fewest pieces). The exponent is the slope of the logarithms by least squares, from 2 500 on where
there are so many sizes: below, what every call costs hides the growth. Memory is the peak over what Python and numpy
hold before the first instance.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from tests.bench.bench_breaks import measured
from tests.bench.child import result_of

Row = tuple[int, float, float]
"""positions, seconds, MB"""

MOST_JOINT = 25_000
"""positions of the largest joint instance"""
STEADY = 2500
"""positions from which on the exponent is taken"""


def breaks_rows(sizes: Sequence[int], *, closed: bool, cap: float) -> list[Row]:
    """Measure breaks alone, each size in a process of its own."""
    rows = []
    for size in sizes:
        found = measured("ours", size, closed, 0, cap)
        rows.append((size, float(str(found["seconds"])), float(str(found["peak_mb"])) - float(str(found["before_mb"]))))
    return rows


def joint_rows(sizes: Sequence[int], cap: float) -> list[Row]:
    """Measure the joint choice on one ring."""
    rows = []
    for size in sizes:
        if size <= MOST_JOINT:
            arguments = ["--child", "ours", "--kinds", "ring", "--sizes", str(size)]
            found = result_of("tests.bench.bench_joint", arguments, cap)
            rows.append((size, float(found["seconds"]), float(found["peak_mb"]) - float(found.get("before_mb", 0))))
    return rows


def exponent(rows: Sequence[Row]) -> float:
    """Return the slope of log seconds over log positions."""
    steady = [row for row in rows if row[0] >= STEADY] if sum(row[0] >= STEADY for row in rows) > 1 else list(rows)
    if len(steady) < 2:
        return math.nan
    return float(np.polyfit(np.log([row[0] for row in steady]), np.log([row[1] for row in steady]), 1)[0])


def plot(curves: dict[str, list[Row]], target: Path) -> None:
    """Draw seconds and memory over positions, both axes logarithmic."""
    from matplotlib.figure import Figure  # noqa: PLC0415 - only a plot needs it

    figure = Figure(figsize=(9, 4.2), layout="constrained")
    left, right = figure.subplots(1, 2)
    for name, rows in curves.items():
        label = f"{name}: exponent {exponent(rows):.2f}"
        left.loglog([row[0] for row in rows], [row[1] for row in rows], "o-", label=label)
        right.loglog([row[0] for row in rows], [max(row[2], 0.1) for row in rows], "o-", label=name)
    left.set(xlabel="positions", ylabel="seconds")
    right.set(xlabel="positions", ylabel="MB over what stands before")
    for axes in (left, right):
        axes.grid(visible=True, which="major", alpha=0.4)
        axes.legend(fontsize=8)
    figure.savefig(target, dpi=120)


def main() -> None:
    """Read the arguments, measure, print and plot."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="+", default=[250, 2500, 25_000, 250_000])
    parser.add_argument("--cap", type=float, default=120.0, help="seconds that one size may take")
    parser.add_argument("--plot", type=Path, help="file for the plot (png, svg or pdf)")
    given = parser.parse_args()
    curves = {
        "ring": breaks_rows(given.sizes, closed=True, cap=given.cap),
        "line": breaks_rows(given.sizes, closed=False, cap=given.cap),
        "joint ring": joint_rows(given.sizes, given.cap),
    }
    print(f"{'':12}{'positions':>10}{'seconds':>10}{'MB':>8}")
    for name, rows in curves.items():
        for size, seconds, memory in rows:
            print(f"{name:12}{size:10}{seconds:10.3f}{memory:8.0f}")
        print(f"{name:12}{'':10}exponent {exponent(rows):.2f}")
    if given.plot:
        plot(curves, given.plot)
        print(f"plot: {given.plot}")


if __name__ == "__main__":
    main()
