"""What strips a stock gives and what may lie in them: the one place where kerf and longest cut become sums.

With one kerf added to every piece, strip and stock, "lengths plus the kerfs between them fit" becomes plain addition.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from solver.problems import Piece, Stock


@dataclass(frozen=True)
class Kind:
    """All pieces of one size."""

    length: int
    height: int
    demand: int
    owners: tuple[int, ...]
    """indices of the pieces of this size"""


@dataclass(frozen=True)
class StripType:
    """A strip of one height on one length of stock."""

    run: int
    """stock along the strip, plus one kerf"""
    kerf: int
    height: int
    kinds: tuple[int, ...]
    """kinds that may lie in it, none higher than it"""
    sizes: tuple[int, ...]
    """length of each of them, plus one kerf"""


@dataclass(frozen=True)
class Mode:
    """One stock in one orientation."""

    stock: int
    turned: bool
    breadth: int
    """stock across the strips, plus one kerf"""
    strips: tuple[int, ...]
    """indices of the strip types it can give"""
    needs: tuple[int, ...]
    """height of each of them, plus one kerf"""


@dataclass(frozen=True)
class Model:
    """Kinds, strip types and modes of one problem."""

    kinds: tuple[Kind, ...]
    """highest first, longest first among equals"""
    strips: tuple[StripType, ...]
    modes: tuple[Mode, ...]
    counts: tuple[int | None, ...]
    """how many there are of each stock"""

    @property
    def demand(self) -> tuple[int, ...]:
        """Demand of each kind."""
        return tuple(kind.demand for kind in self.kinds)

    @property
    def one_strip(self) -> bool:
        """Whether every mode gives strips of one type only."""
        return all(len(mode.strips) == 1 for mode in self.modes)

    def modes_of(self, stock: int) -> list[int]:
        """List the modes of a stock."""
        return [m for m, mode in enumerate(self.modes) if mode.stock == stock]

    def strips_of(self, mode: int) -> int:
        """Count the strips of a mode that gives one type only."""
        return self.modes[mode].breadth // self.modes[mode].needs[0]


@dataclass(frozen=True)
class Filled:
    """A strip with pieces in it: `fill[i]` pieces of the i-th kind of its type."""

    strip: int
    fill: tuple[int, ...]


@dataclass(frozen=True)
class Used:
    """One stock rectangle cut in one mode."""

    mode: int
    strips: tuple[Filled, ...]


def build_model(pieces: Sequence[Piece], stocks: Sequence[Stock]) -> Model:
    """Build the sums of one problem.

    Examples
    --------
    >>> model = build_model([Piece(30, 10, 4)], [Stock(100, 25, kerf=1)])
    >>> model.strips[0].run, model.strips[0].sizes, model.strips_of(0)
    (101, (31,), 2)
    """
    kinds = merge_pieces(pieces)
    table: dict[StripType, int] = {}
    modes: list[Mode] = []
    for index, stock in enumerate(stocks):
        found = [_mode(index, stock, turned, kinds, table) for turned in _orientations(stock)]
        modes += _undominated([mode for mode in found if mode is not None], list(table))
    return Model(kinds, tuple(table), tuple(modes), tuple(stock.count for stock in stocks))


def merge_pieces(pieces: Sequence[Piece]) -> tuple[Kind, ...]:
    """Merge pieces of one size; pieces wanted no times are left out.

    Examples
    --------
    >>> [kind.demand for kind in merge_pieces([Piece(3, 2, 1), Piece(5, 2, 1), Piece(3, 2, 4)])]
    [1, 5]
    """
    owners: dict[tuple[int, int], list[int]] = {}
    for index, piece in enumerate(pieces):
        if piece.demand:
            owners.setdefault((piece.height, piece.length), []).append(index)
    return tuple(
        Kind(length, height, sum(pieces[i].demand for i in own), tuple(own))
        for (height, length), own in sorted(owners.items(), reverse=True)
    )


def _orientations(stock: Stock) -> list[bool]:
    """List the orientations asked for, as `turned`; a square needs only one."""
    if stock.along and stock.across and stock.length == stock.width:
        return [False]
    return [turned for turned, wanted in ((False, stock.along), (True, stock.across)) if wanted]


def _mode(index: int, stock: Stock, turned: bool, kinds: Sequence[Kind], table: dict[StripType, int]) -> Mode | None:
    """Build one orientation of a stock, its strip types entered in `table`; None where nothing fits."""
    run, breadth = (stock.width, stock.length) if turned else (stock.length, stock.width)
    types = [
        strip
        for height in sorted({kind.height for kind in kinds}, reverse=True)
        if (strip := _strip_type(run, breadth, height, stock, kinds)) is not None
    ]
    if not types:
        return None
    numbers = tuple(table.setdefault(strip, len(table)) for strip in types)
    needs = tuple(strip.height + stock.kerf for strip in types)
    return Mode(index, turned, breadth + stock.kerf, numbers, needs)


def _strip_type(run: int, breadth: int, height: int, stock: Stock, kinds: Sequence[Kind]) -> StripType | None:
    """Build the strip of one height, or None where the stock or its longest cut does not allow it."""
    most = stock.longest_cut
    if height > breadth or (most is not None and run > most and height != breadth):
        return None  # a strip cut along the run would be too long: only the whole breadth stays possible
    trimmed = most is None or run <= most
    crosscut = most is None or height <= most
    inside = [
        k
        for k, kind in enumerate(kinds)
        if kind.length <= run
        and (kind.height == height or (kind.height < height and trimmed and crosscut))
        and (crosscut or kind.length == run)
    ]
    if not any(kinds[k].height == height for k in inside):
        return None
    sizes = tuple(kinds[k].length + stock.kerf for k in inside)
    return StripType(run + stock.kerf, stock.kerf, height, tuple(inside), sizes)


def _undominated(modes: list[Mode], strips: Sequence[StripType]) -> list[Mode]:
    """Drop an orientation of which the other gives as many strips, as long or longer (one strip type each)."""
    if len(modes) < 2 or any(len(mode.strips) != 1 for mode in modes):
        return modes
    first, second = modes
    a, b = strips[first.strips[0]], strips[second.strips[0]]
    many, few = first.breadth // first.needs[0], second.breadth // second.needs[0]
    if many >= few and a.run >= b.run and set(b.kinds) <= set(a.kinds):
        return [first]
    if few >= many and b.run >= a.run and set(a.kinds) <= set(b.kinds):
        return [second]
    return modes
