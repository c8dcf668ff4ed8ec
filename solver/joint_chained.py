"""Tracks broken by chains: those that are alike are strung together, and a ring is opened where a strip begins."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.joint_chain import MOST_STARTS, Chain, Weights, rooms_of, strung
from solver.joint_kinds import Kinds, Lane

SHARE = 60
"""parts of a stock's charge: stocks of up to six strips, and more, share evenly"""


def chained(
    kinds: Kinds, group: Sequence[int], row: Sequence[int], weights: Weights, level: int | None
) -> list[tuple[int, ...]] | None:
    """Return the positions of tracks that are alike, filled one after another."""
    lanes = [kinds.lanes[t] for t in group]
    model = kinds.model
    some = next((k for lane in lanes for k in (*lane.kinds.values(), *lane.last_kinds.values())), None)
    if some is None:
        return None
    rooms = rooms_of(model, row or (1,) * len(model.counts), model.kinds[some].height, SHARE)
    kerf = model.strips[0].kerf
    if not rooms:
        return None
    sizes = {n: model.kinds[k].length + kerf for n, k in lanes[0].kinds.items()}
    last = {n: model.kinds[k].length + kerf for n, k in lanes[0].last_kinds.items()}
    starts = [0] * len(lanes)
    for i, lane in enumerate(lanes):
        if lane.track.closed:
            found = _ring(lane, sizes, rooms, weights, level)
            if found is None:
                return None
            if len(lanes) == 1:
                return [tuple(sorted(found))]
            starts[i] = found[0]
    string = strung(lanes, starts, level)
    best = Chain(string, sizes, last, rooms, weights).best(np.array([0]), len(string.cost) - 1)
    return None if best is None else _split(lanes, starts, best[1])


def _ring(
    lane: Lane, sizes: dict[int, int], rooms: Sequence[tuple[int, int]], weights: Weights, level: int | None
) -> tuple[int, ...] | None:
    """Return the positions of a ring by itself, the first of them where a strip begins."""
    turn = min(lane.size - 1, MOST_STARTS)
    string = strung([lane], [0], level, turn)
    starts = np.flatnonzero(string.is_open[: turn + 1])
    best = Chain(string, sizes, {}, rooms, weights).best(starts, lane.size)
    return None if best is None else tuple(p % lane.size for p in best[1])


def _split(lanes: Sequence[Lane], starts: Sequence[int], along: Sequence[int]) -> list[tuple[int, ...]]:
    """Return the positions of each of the tracks strung together."""
    out: list[tuple[int, ...]] = []
    begin = 0
    for lane, start in zip(lanes, starts, strict=True):
        own = [p - begin for p in along if begin <= p < begin + lane.size]
        if lane.track.closed:
            out.append(tuple(sorted((p + start) % lane.size for p in own)))
        else:
            out.append((*own, lane.size))
        begin += lane.size
    return out
