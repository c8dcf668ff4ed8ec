"""What pieces the tracks may give, as kinds of rectangles: the one table that search, bounds and programs share."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from solver.problems import Joint, Piece, Track
from solver.strips import Model, build_model


@dataclass(frozen=True, eq=False)
class Lane:
    """One track with the kind of rectangle that a piece of each number of steps is."""

    track: Track
    kinds: dict[int, int]
    """kind of a piece of so many steps that does not end a line; steps rising"""
    last_kinds: dict[int, int]
    """kind of the piece that ends a line; of a ring the same as `kinds`"""

    @property
    def size(self) -> int:
        """Steps of the track."""
        return self.track.size

    def open(self, level: int | None = None) -> NDArray[np.bool_]:
        """Tell where a break may fall that costs no more than `level`; a line's ends always may."""
        allowed = self.track.allowed.copy()
        if level is not None:
            allowed &= self.track.cost <= level
        if not self.track.closed:
            allowed[[0, -1]] = True
        return allowed

    @property
    def cost(self) -> NDArray[np.int64]:
        """Price of a break by position; a line's ends are free."""
        cost = self.track.cost.copy()
        if not self.track.closed:
            cost[[0, -1]] = 0
        return cost


@dataclass(frozen=True, eq=False)
class Kinds:
    """The kinds of one problem."""

    lanes: tuple[Lane, ...]
    model: Model
    """of all kinds that fit a stock, wanted as often as the tracks could ever give them"""
    misfits: tuple[Piece, ...]
    """pieces that a track could give and that fit no stock"""

    @property
    def number(self) -> int:
        """How many kinds there are."""
        return len(self.model.kinds)


def spans(track: Track) -> tuple[list[int], list[int]]:
    """Return how many steps a piece may have, and the piece that ends a line (a ring: any piece).

    Examples
    --------
    >>> ten = np.zeros(11, dtype=np.int64)
    >>> spans(Track(10, False, 3, 4, ten, ten == 0, largest_last=5))
    ([3, 4], [3, 4, 5])
    >>> spans(Track(10, True, 12, 14, ten[1:], ten[1:] == 0))
    ([10], [10])
    """
    last = track.largest if track.closed or track.largest_last is None else track.largest_last
    if track.size < track.smallest:
        whole = [track.size] if track.short_whole and track.size <= last else []
        return (whole if track.closed else []), whole
    inner = list(range(track.smallest, min(track.largest, track.size) + 1))
    return inner, list(range(track.smallest, min(last, track.size) + 1))


def kinds_of(problem: Joint) -> Kinds:
    """Gather the kinds of a problem; kinds that fit no stock are left out."""
    wanted: dict[tuple[int, int], int] = {}
    tables: list[tuple[dict[int, tuple[int, int]], dict[int, tuple[int, int]]]] = []
    for t, track in enumerate(problem.tracks):
        inner, last = spans(track)
        height = problem.heights[t]
        table = {n: (int(problem.lengths[t][n]), height) for n in inner}
        ends = table if track.closed else {n: (int(problem.last_lengths[t][n]), height) for n in last}
        for n, size in table.items():
            wanted[size] = wanted.get(size, 0) + track.size // n
        for size in {} if track.closed else ends.values():
            wanted[size] = wanted.get(size, 0) + 1
        tables.append((table, ends))
    pieces = [Piece(length, height, number) for (length, height), number in wanted.items()]
    model = build_model(pieces, problem.stocks)
    held = {k for strip in model.strips for k in strip.kinds}
    misfits = tuple(replace(pieces[kind.owners[0]], demand=1) for k, kind in enumerate(model.kinds) if k not in held)
    if misfits:
        unfit = {(piece.length, piece.height) for piece in misfits}
        model = build_model([p for p in pieces if (p.length, p.height) not in unfit], problem.stocks)
    number = {(kind.length, kind.height): k for k, kind in enumerate(model.kinds)}
    lanes = tuple(
        Lane(
            track,
            {n: number[size] for n, size in table.items() if size in number},
            {n: number[size] for n, size in ends.items() if size in number},
        )
        for track, (table, ends) in zip(problem.tracks, tables, strict=True)
    )
    return Kinds(lanes, model, misfits)
