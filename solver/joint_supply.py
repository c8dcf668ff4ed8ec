"""The supply side of an integer program: how many pieces of each kind some numbers of stocks can give.

A strip's patterns are listed by length alone, and only those that are maximal: a slot takes any piece that is no
longer, so "pieces of at least this length are no more than slots of at least this length", length by length, is all
that has to be said. Strips that take the same heights share their slots; a piece that strips of several heights take
is handed to one of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from solver.joint_draft import Draft
from solver.joint_kinds import Kinds
from solver.packing import Effort
from solver.strips import Model

MOST_FILLS = 20_000
"""patterns of one program (assumed)"""
LISTING = 400_000
"""steps of listing them (assumed)"""


@dataclass(frozen=True)
class Patterns:
    """Maximal ways to fill each strip type and to divide each stock."""

    layouts: tuple[tuple[int, tuple[int, ...]], ...]
    """(mode, number of strips of each of its types)"""
    fills: tuple[tuple[int, tuple[int, ...]], ...]
    """(strip type, lengths of its slots)"""
    groups: tuple[tuple[int, ...], ...]
    """strip types that share their slots"""


@dataclass(frozen=True)
class Supply:
    """Where the supply side stands in a program."""

    layouts: int
    """first column of the layouts"""
    kinds: int
    """first column of the numbers of pieces of each kind"""


def patterns_of(kinds: Kinds) -> Patterns | None:
    """List the maximal patterns of a problem's stocks; None: there are too many."""
    model, effort = kinds.model, Effort(LISTING)
    layouts: list[tuple[int, tuple[int, ...]]] = []
    for m, mode in enumerate(model.modes):
        free = [mode.breadth] * len(mode.needs)
        for fill in maximal(mode.needs, free, mode.breadth, effort, exchange=_nested(model, m)):
            layouts.append((m, tuple(fill.count(i) for i in range(len(mode.needs)))))
            if len(layouts) > MOST_FILLS:
                return None
    given = {t for m, counts in layouts for t, n in zip(model.modes[m].strips, counts, strict=True) if n}
    fills: list[tuple[int, tuple[int, ...]]] = []
    for t in sorted(given):
        strip = model.strips[t]
        lengths = sorted({model.kinds[k].length for k in strip.kinds}, reverse=True)
        limits = [_most_pieces(kinds, strip.kinds, length) for length in lengths]
        for fill in maximal([n + strip.kerf for n in lengths], limits, strip.run, effort):
            fills.append((t, tuple(lengths[i] for i in fill)))
            if len(fills) > MOST_FILLS:
                return None
    return None if effort.left < 0 else Patterns(tuple(layouts), tuple(fills), _groups(model, given))


def _nested(model: Model, m: int) -> bool:
    """Tell whether each strip of a mode takes all that the next lower one takes: then that gives way to it."""
    strips = [model.strips[t] for t in model.modes[m].strips]
    return all(set(low.kinds) <= set(high.kinds) and low.run == high.run for high, low in pairwise(strips))


def _most_pieces(kinds: Kinds, inside: Sequence[int], length: int) -> int:
    """Bound how many pieces of at least a length the tracks can give, of some kinds."""
    long = {k for k in inside if kinds.model.kinds[k].length >= length}
    total = 0
    for lane in kinds.lanes:
        inner = min((n for n, k in lane.kinds.items() if k in long), default=None)
        ends = not lane.track.closed and any(k in long for k in lane.last_kinds.values())
        total += (lane.size // inner if inner else 0) + ends
    return total


def maximal(
    sizes: Sequence[int], limits: Sequence[int], room: int, effort: Effort, *, exchange: bool = True
) -> Iterator[list[int]]:
    """Yield multisets of sizes, as indices, to which nothing can be added, and no size exchanged for the next larger.

    Sizes fall; no more than `limits[i]` of the first i + 1 are taken. Without `exchange` that is not looked at.

    Examples
    --------
    >>> list(maximal([6, 5, 4], [9, 9, 9], 11, Effort(99)))
    [[0, 1]]
    >>> list(maximal([6, 5, 4], [0, 1, 9], 11, Effort(99)))
    [[1, 2]]
    """
    stack: list[tuple[int, int, list[int]]] = [(0, room, [])]
    while stack:
        first, left, chosen = stack.pop()
        effort.spend(1)
        if effort.left < 0:
            return
        more = [i for i in range(first, len(sizes)) if sizes[i] <= left and len(chosen) < limits[i]]
        stack += [(i, left - sizes[i], [*chosen, i]) for i in reversed(more)]
        if more:
            continue
        counts = [sum(i <= last for i in chosen) for last in range(len(sizes))]
        free = [count < limit for count, limit in zip(counts, limits, strict=True)]
        if any(sizes[i] <= left and all(free[i:]) for i in range(len(sizes))):
            continue
        if not exchange or all(i == 0 or not free[i - 1] or sizes[i - 1] - sizes[i] > left for i in set(chosen)):
            yield chosen


def _groups(model: Model, given: Iterable[int]) -> tuple[tuple[int, ...], ...]:
    """Join given strip types that take the same heights, and of these every kind that is not too long."""
    joined: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for t in sorted(given):
        strip = model.strips[t]
        heights = frozenset(model.kinds[k].height for k in strip.kinds)
        full = {
            k for k, kind in enumerate(model.kinds) if kind.height in heights and kind.length <= strip.run - strip.kerf
        }
        joined[(heights,) if full == set(strip.kinds) else (heights, t)].append(t)
    return tuple(tuple(group) for group in joined.values())


def draw_supply(draft: Draft, model: Model, patterns: Patterns) -> Supply:
    """Draw layouts, fills and the numbers of pieces that they can give."""
    most = [np.inf if count is None else count for count in model.counts]
    layouts = draft.columns(len(patterns.layouts), np.array([most[model.modes[m].stock] for m, _ in patterns.layouts]))
    fills = draft.columns(len(patterns.fills))
    kinds = draft.columns(len(model.kinds), np.array([float(kind.demand) for kind in model.kinds]))
    for s, count in enumerate(model.counts):
        own = [layouts + i for i, (m, _) in enumerate(patterns.layouts) if model.modes[m].stock == s]
        if count is not None and len(own) > 1:
            draft.row(dict.fromkeys(own, 1.0), high=count)
    for t in range(len(model.strips)):
        row = {
            layouts + i: float(n)
            for i, (m, counts) in enumerate(patterns.layouts)
            if (n := _given(model, m, counts, t))
        }
        row |= {fills + i: -1.0 for i, (own, _) in enumerate(patterns.fills) if own == t}
        draft.row(row, low=0)
    handed = _hand(draft, model, patterns, kinds)
    for g, group in enumerate(patterns.groups):
        _link(draft, model, patterns, fills, group, handed[g])
    return Supply(layouts, kinds)


def _given(model: Model, m: int, counts: Sequence[int], t: int) -> int:
    """Return how many strips of a type a layout gives."""
    return sum(n for own, n in zip(model.modes[m].strips, counts, strict=True) if own == t)


def _hand(draft: Draft, model: Model, patterns: Patterns, kinds: int) -> list[dict[int, int]]:
    """Hand the pieces of each kind to the groups of strips; return the columns, by group and kind."""
    takers: dict[int, list[int]] = defaultdict(list)
    for g, group in enumerate(patterns.groups):
        for k in sorted({k for t in group for k in model.strips[t].kinds}):
            takers[k].append(g)
    handed: list[dict[int, int]] = [{} for _ in patterns.groups]
    for k, groups in sorted(takers.items()):
        if len(groups) == 1:
            handed[groups[0]][k] = kinds + k
            continue
        first = draft.columns(len(groups))
        for i, g in enumerate(groups):
            handed[g][k] = first + i
        draft.row({kinds + k: -1.0} | {first + i: 1.0 for i in range(len(groups))}, low=0)
    return handed


def _link(
    draft: Draft, model: Model, patterns: Patterns, fills: int, group: Sequence[int], handed: dict[int, int]
) -> None:
    """Let pieces of at least a length be no more than slots of at least that length."""
    own = [(fills + i, slots) for i, (t, slots) in enumerate(patterns.fills) if t in group]
    for length in sorted({model.kinds[k].length for k in handed}):
        row = {column: float(n) for column, slots in own if (n := sum(slot >= length for slot in slots))}
        row |= {column: -1.0 for k, column in handed.items() if model.kinds[k].length >= length}
        draft.row(row, low=0)
