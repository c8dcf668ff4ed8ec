"""Check an answer of `solver.cutting` from the pieces and stocks alone; shares no code with the search."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

from solver.cutting import CutResult
from solver.problems import Cutting, Piece, Stock, Strip


def verify_cutting(
    pieces: Sequence[Piece], stocks: Sequence[Stock], objectives: Sequence[Sequence[int]], result: CutResult
) -> tuple[str, ...]:
    """List what is wrong with an answer; empty: nothing.

    Recomputes the place of every piece and strip, kerfs, longest cuts, demand, counts and values. That a bound is a
    lower bound cannot be recomputed cheaply; it is checked not to exceed the value.

    Examples
    --------
    >>> from solver.cutting import cut
    >>> from solver.problems import Met
    >>> pieces, stocks = [Piece(40, 10, 7)], [Stock(100, 25)]
    >>> verify_cutting(pieces, stocks, [(1,)], cut(pieces, stocks))
    ()
    >>> verify_cutting(pieces, stocks, [(1,)], CutResult((), (Met("objective 1", 0, 0, True),)))
    ('piece 0: 0 cut, 7 wanted',)
    """
    if result.cuttings is None:
        return tuple(_refusal(pieces, stocks, result))
    found: list[str] = []
    for place, cutting in enumerate(result.cuttings):
        named = f"cutting {place}"
        if not 0 <= cutting.stock < len(stocks):
            found.append(f"{named}: there is no stock {cutting.stock}")
        elif any(not 0 <= i < len(pieces) for strip in cutting.strips for i in strip.pieces):
            found.append(f"{named}: a piece that does not exist")
        else:
            found += [f"{named}: {text}" for text in _one(pieces, stocks[cutting.stock], cutting)]
    found += _demand(pieces, result.cuttings)
    found += _counts(stocks, result.cuttings)
    found += _values(stocks, objectives, result)
    if result.misfits or result.short:
        found.append("cut, and yet pieces that do not fit or stock that is short")
    return tuple(found)


def _one(pieces: Sequence[Piece], stock: Stock, cutting: Cutting) -> Iterator[str]:
    """Check how one stock is cut."""
    run, breadth = (stock.width, stock.length) if cutting.turned else (stock.length, stock.width)
    if not (stock.across if cutting.turned else stock.along):
        yield "strips run the way that the stock does not allow"
    if cutting.times < 1:
        yield f"used {cutting.times} times"
    if not cutting.strips:
        yield "no strips"
    bands = [(strip.offset, strip.offset + strip.height) for strip in cutting.strips]
    yield from _apart("strips", bands, stock.kerf, breadth)
    for place, strip in enumerate(cutting.strips):
        yield from (f"strip {place}: {text}" for text in _strip(pieces, stock.kerf, run, strip))
        if stock.longest_cut is not None:
            yield from (
                f"strip {place}: {text}"
                for text in _too_long(pieces, stock.longest_cut, (run, breadth), cutting, strip)
            )


def _strip(pieces: Sequence[Piece], kerf: int, run: int, strip: Strip) -> Iterator[str]:
    """Check the pieces of one strip."""
    if not strip.pieces:
        yield "no pieces"
    if len(strip.pieces) != len(strip.starts):
        yield f"{len(strip.pieces)} pieces but {len(strip.starts)} starts"
        return
    spans = [(start, start + pieces[i].length) for i, start in zip(strip.pieces, strip.starts, strict=True)]
    yield from _apart("pieces", spans, kerf, run)
    for i in strip.pieces:
        if pieces[i].height > strip.height:
            yield f"piece {i} is {pieces[i].height} high, the strip {strip.height}"


def _apart(what: str, spans: Sequence[tuple[int, int]], kerf: int, room: int) -> Iterator[str]:
    """Check that spans lie within the room, a kerf apart."""
    for start, end in spans:
        if start < 0 or end > room or end <= start:
            yield f"{what}: {start} to {end} does not lie within {room}"
    ordered = sorted(spans)
    for (_, end), (start, _) in pairwise(ordered):
        if start < end + kerf:
            yield f"{what}: {start} is less than kerf {kerf} after {end}"


def _too_long(
    pieces: Sequence[Piece], longest: int, size: tuple[int, int], cutting: Cutting, strip: Strip
) -> Iterator[str]:
    """Check one strip of a stock whose cuts are limited."""
    run, breadth = size
    low = any(pieces[i].height < strip.height for i in strip.pieces)
    if run > longest and (len(cutting.strips) > 1 or strip.height < breadth or low):
        yield f"needs a cut of {run}, longest is {longest}"
    uncut = len(strip.pieces) == 1 and pieces[strip.pieces[0]].length == run
    if strip.height > longest and not uncut:
        yield f"needs a crosscut of {strip.height}, longest is {longest}"


def _demand(pieces: Sequence[Piece], cuttings: Sequence[Cutting]) -> Iterator[str]:
    """Check that every piece is cut as often as wanted."""
    made: Counter[int] = Counter()
    for cutting in cuttings:
        for strip in cutting.strips:
            for i in strip.pieces:
                made[i] += cutting.times
    for i, piece in enumerate(pieces):
        if made[i] != piece.demand:
            yield f"piece {i}: {made[i]} cut, {piece.demand} wanted"


def _counts(stocks: Sequence[Stock], cuttings: Sequence[Cutting]) -> Iterator[str]:
    """Check that no more stock is used than there is."""
    for s, stock in enumerate(stocks):
        taken = sum(cutting.times for cutting in cuttings if cutting.stock == s)
        if stock.count is not None and taken > stock.count:
            yield f"stock {s}: {taken} used, {stock.count} on hand"


def _values(stocks: Sequence[Stock], objectives: Sequence[Sequence[int]], result: CutResult) -> Iterator[str]:
    """Check what is said of each objective."""
    if len(result.met) != len(objectives):
        yield f"{len(objectives)} objectives but {len(result.met)} met"
        return
    for place, (row, met) in enumerate(zip(objectives, result.met, strict=True)):
        named = f"objective {place + 1}"
        value = sum(row[c.stock] * c.times for c in result.cuttings or () if 0 <= c.stock < len(stocks))
        if met.goal != named:
            yield f"{named}: named {met.goal!r}"
        if met.value != value:
            yield f"{named}: value {met.value} stated, {value} found"
        if met.bound > met.value:
            yield f"{named}: bound {met.bound} above value {met.value}"
        if met.proved != (met.bound == met.value):
            yield f"{named}: proved is {met.proved} at value {met.value}, bound {met.bound}"


def _refusal(pieces: Sequence[Piece], stocks: Sequence[Stock], result: CutResult) -> Iterator[str]:
    """Check the reasons given for not cutting."""
    if result.met:
        yield "not cut, and yet objectives met"
    alone = [i for i, piece in enumerate(pieces) if piece.demand and not _fits_alone(piece, stocks)]
    if sorted(result.misfits) != alone:
        yield f"misfits {list(result.misfits)} stated, {alone} found"
    if not alone:
        yield from _lack(stocks, result)


def _lack(stocks: Sequence[Stock], result: CutResult) -> Iterator[str]:
    """Check that stock said to be short is stock that is counted."""
    if len(result.short) != len(stocks) or not any(result.short):
        yield "neither misfits nor stock that is short"
    for s, (more, stock) in enumerate(zip(result.short, stocks, strict=False)):
        if more < 0 or (more and stock.count is None):
            yield f"stock {s}: {more} more stated, {stock.count} on hand"


def _fits_alone(piece: Piece, stocks: Sequence[Stock]) -> bool:
    """Tell whether one piece can be cut from some stock."""
    for stock in stocks:
        for run, breadth, allowed in (
            (stock.length, stock.width, stock.along),
            (stock.width, stock.length, stock.across),
        ):
            if allowed and piece.length <= run and piece.height <= breadth:
                longest = stock.longest_cut
                strip_cut = run if piece.height < breadth else 0
                crosscut = piece.height if piece.length < run else 0
                if longest is None or max(strip_cut, crosscut) <= longest:
                    return True
    return False
