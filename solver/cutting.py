"""Cut pieces out of stock: the best numbers of stocks, how to cut each of them, and the proof.

Every cut is straight, from edge to edge. A stock is cut into strips that run its whole length (or, turned, its whole
width); a strip is crosscut into pieces; a piece less high than its strip is trimmed to height. Pieces are not turned in
their strip. One kerf is lost between neighbours, none at the outside. Where strips would need a cut longer than the
stock's longest cut, only a strip of the whole breadth is left, of pieces as high as it; where a crosscut would be too
long, only a piece as long as its strip.

Every objective depends only on how many of each stock are used. So the search is over those numbers: bounds on them
(`solver.cover`) give the least numbers that are not yet excluded, and these are either packed or refuted
(`solver.stock_numbers`). The first that can be packed are the answer, for all objectives one after another.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from solver.packing import Effort
from solver.problems import Cutting, Met, Piece, Stock, Strip
from solver.stock_numbers import StockNumbers
from solver.strips import Model, Used, build_model

EFFORT = 2_000_000
"""pieces put into strips by the searches before an answer is given unproved (assumed; a few seconds)"""


@dataclass(frozen=True)
class CutResult:
    """How pieces are cut from stock, or why they cannot be."""

    cuttings: tuple[Cutting, ...] | None
    """None: there is no way, or none was found"""
    met: tuple[Met, ...] = ()
    """one for each objective, named "objective 1", ...; a bound holds while the objectives before it stay as met"""
    misfits: tuple[int, ...] = ()
    """pieces that fit no stock"""
    short: tuple[int, ...] = ()
    """where the stock runs short: how many more of each would do, the fewest in all"""
    certain: bool = True
    """whether "there is no way" is proved; of no meaning beside cuttings"""

    @property
    def proved(self) -> bool:
        """Whether nothing is left open."""
        return all(met.proved for met in self.met) and (self.cuttings is not None or self.certain)


def cut(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    objectives: Sequence[Sequence[int]] | None = None,
    *,
    effort: int = EFFORT,
    progress: Callable[[str], None] | None = None,
) -> CutResult:
    """Cut the pieces out of the stocks that are least in the first objective, then in the second, and so on.

    Parameters
    ----------
    objectives
        integer weights ≥ 0, one for each stock; default: the number of stocks used
    effort
        work before an unproved answer is given, in pieces put into strips by the searches; the same effort gives the
        same answer everywhere
    progress
        called with a word on what is being done

    Raises
    ------
    ValueError
        When a size, demand, count, kerf or weight is out of range, or an objective has not one weight for each stock.

    Examples
    --------
    >>> result = cut([Piece(40, 10, 7)], [Stock(100, 25)])
    >>> result.met
    (Met(goal='objective 1', value=2, bound=2, proved=True),)
    >>> [(cutting.times, [strip.pieces for strip in cutting.strips]) for cutting in result.cuttings]
    [(1, [(0, 0), (0, 0)]), (1, [(0, 0), (0,)])]
    >>> cut([Piece(40, 30, 7)], [Stock(100, 25)]).misfits
    (0,)
    >>> cut([Piece(40, 10, 7)], [Stock(100, 25, count=1)]).short
    (1,)
    """
    rows = [tuple(row) for row in ([(1,) * len(stocks)] if objectives is None else objectives)]
    _check(pieces, stocks, rows)
    model = build_model(pieces, stocks)
    fitting = {k for strip in model.strips for k in strip.kinds}
    misfits = sorted(i for k, kind in enumerate(model.kinds) if k not in fitting for i in kind.owners)
    if misfits:
        return CutResult(None, misfits=tuple(misfits))
    if not model.kinds:
        return CutResult((), tuple(Met(f"objective {i + 1}", 0, 0, True) for i in range(len(rows))))
    search = StockNumbers(model, rows, Effort(effort), progress or (lambda _: None))
    search.run()
    if search.used is None:
        more = _shortage(pieces, stocks, rows, effort)
        return CutResult(None, short=more, certain=search.none)
    return CutResult(_cuttings(model, pieces, stocks, search.used), search.met())


def _check(pieces: Sequence[Piece], stocks: Sequence[Stock], rows: Sequence[Sequence[int]]) -> None:
    """Refuse numbers out of range."""
    for i, piece in enumerate(pieces):
        if piece.length < 1 or piece.height < 1 or piece.demand < 0:
            raise ValueError(f"piece {i}: length and height must be at least 1 and demand at least 0: {piece}")
    for i, stock in enumerate(stocks):
        if stock.length < 1 or stock.width < 1 or stock.kerf < 0 or (stock.count or 0) < 0:
            raise ValueError(f"stock {i}: length and width must be at least 1, kerf and count at least 0: {stock}")
    for i, row in enumerate(rows):
        if len(row) != len(stocks) or any(weight < 0 for weight in row):
            raise ValueError(f"objective {i + 1} must have one weight ≥ 0 for each of {len(stocks)} stocks: {row}")


def _shortage(
    pieces: Sequence[Piece], stocks: Sequence[Stock], rows: Sequence[tuple[int, ...]], effort: int
) -> tuple[int, ...]:
    """Return how many more of each stock would do: the fewest, then the least in the objectives."""
    more = [replace(stock, count=None) for stock in stocks]
    extra = [(0,) * len(stocks) + (1,) * len(stocks), *(row * 2 for row in rows)]
    result = cut(pieces, [*stocks, *more], extra, effort=effort)
    needed = [0] * len(stocks)
    for cutting in result.cuttings or ():
        if cutting.stock >= len(stocks):
            needed[cutting.stock - len(stocks)] += cutting.times
    return tuple(needed)


def _cuttings(
    model: Model, pieces: Sequence[Piece], stocks: Sequence[Stock], used: Sequence[Used]
) -> tuple[Cutting, ...]:
    """Put the filled strips in place, highest first, and count equal ones."""
    waiting = [[i for i in kind.owners for _ in range(pieces[i].demand)] for kind in model.kinds]
    made = [_cutting(model, pieces, stocks, each, waiting) for each in used]
    made.sort(key=lambda c: (c.stock, c.turned, [(-s.height, -len(s.pieces), s.pieces) for s in c.strips]))
    return tuple(replace(cutting, times=len(list(same))) for cutting, same in groupby(made))


def _cutting(
    model: Model, pieces: Sequence[Piece], stocks: Sequence[Stock], used: Used, waiting: list[list[int]]
) -> Cutting:
    """Put the strips of one stock in place."""
    mode = model.modes[used.mode]
    kerf = stocks[mode.stock].kerf
    rows: list[list[int]] = []
    for filled in used.strips:
        kinds = model.strips[filled.strip].kinds
        rows.append([waiting[k].pop(0) for k, count in zip(kinds, filled.fill, strict=True) for _ in range(count)])
    rows.sort(key=lambda row: (-max(pieces[i].height for i in row), -len(row), row))
    strips: list[Strip] = []
    offset = 0
    for row in rows:
        height = max(pieces[i].height for i in row)
        strips.append(Strip(offset, height, tuple(row), _starts([pieces[i].length for i in row], kerf)))
        offset += height + kerf
    return Cutting(mode.stock, mode.turned, tuple(strips), 1)


def _starts(lengths: Sequence[int], kerf: int) -> tuple[int, ...]:
    """Return where each piece starts, one kerf after the end of the last.

    Examples
    --------
    >>> _starts([30, 20, 10], 2)
    (0, 32, 54)
    """
    starts = [0]
    for length in lengths[:-1]:
        starts.append(starts[-1] + length + kerf)
    return tuple(starts)
