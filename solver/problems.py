"""The problems that this package solves, and the shape of its answers: frozen values, integers only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Track:
    """A line or a ring of unit steps, to be broken into pieces at positions.

    A line has positions 0…size, its two ends always chosen; a ring has positions 0…size−1 and closes.
    """

    size: int
    """unit steps, ≥ 1"""
    closed: bool
    smallest: int
    """shortest piece, steps, ≥ 1"""
    largest: int
    """longest piece, steps"""
    cost: NDArray[np.int64]
    """price of a break at each position, ≥ 0: shape (size,) on a ring, (size + 1,) on a line, whose
    ends are not charged"""
    allowed: NDArray[np.bool_]
    """where a break may fall; same shape as `cost`; ends of a line always may"""
    largest_last: int | None = None
    """longest last piece of a line, where it differs (it carries no overlap); None: `largest`"""
    short_whole: bool = True
    """whether a track shorter than `smallest` may stay in one piece"""

    def __post_init__(self) -> None:
        """Refuse arrays of the wrong shape and limits that make no sense."""
        shape = (self.size,) if self.closed else (self.size + 1,)
        if self.size < 1 or self.smallest < 1 or self.largest < self.smallest:
            limits = f"smallest {self.smallest}, largest {self.largest}"
            raise ValueError(f"size {self.size}, {limits} make no track")
        if self.cost.shape != shape or self.allowed.shape != shape:
            shapes = f"cost {self.cost.shape} and allowed {self.allowed.shape}"
            raise ValueError(f"{shapes} must have shape {shape}")
        if self.cost.min() < 0:
            raise ValueError("costs must not be negative")


@dataclass(frozen=True)
class Met:
    """How well one goal was met."""

    goal: str
    value: int
    bound: int
    """no answer can be below this"""
    proved: bool
    """whether value and bound meet"""


@dataclass(frozen=True)
class Piece:
    """A rectangle wanted a number of times. Lengths in one integer unit."""

    length: int
    """along the strip"""
    height: int
    """across the strip"""
    demand: int


@dataclass(frozen=True)
class Stock:
    """A rectangle that pieces are cut from by straight cuts from edge to edge."""

    length: int
    width: int
    count: int | None = None
    """how many there are; None: no limit"""
    kerf: int = 0
    """width lost between neighbours"""
    along: bool = True
    """strips may run the stock's length"""
    across: bool = False
    """strips may run the stock's width"""
    longest_cut: int | None = None
    """longest straight cut that can be made; None: any"""


@dataclass(frozen=True)
class Strip:
    """A strip of one cut stock rectangle; `offset` is measured across it, `starts` along it."""

    offset: int
    height: int
    pieces: tuple[int, ...]
    """indices of the pieces, in order along the strip"""
    starts: tuple[int, ...]


@dataclass(frozen=True)
class Cutting:
    """One way to cut one stock rectangle, used `times` times."""

    stock: int
    turned: bool
    """strips run the stock's width instead of its length"""
    strips: tuple[Strip, ...]
    times: int


@dataclass(frozen=True)
class Charge:
    """An additive price: Σ stocks[s] × number of stock s used, and `piece` for each piece."""

    name: str
    stocks: tuple[int, ...]
    piece: int = 0

    def __post_init__(self) -> None:
        """Refuse prices below nothing."""
        if min(self.stocks, default=0) < 0 or self.piece < 0:
            raise ValueError(f"charge {self.name!r} must not be negative: stocks {self.stocks}, piece {self.piece}")


@dataclass(frozen=True, eq=False)
class Joint:
    """Tracks whose pieces are rectangles to be cut from stock: where to break and how to cut, as one question."""

    tracks: tuple[Track, ...]
    lengths: tuple[NDArray[np.int64], ...]
    """of each track, by number of steps: length of such a piece's rectangle, in the stocks' unit; entry 0 unused"""
    last_lengths: tuple[NDArray[np.int64], ...]
    """the same for the piece that ends a line, also where it is left whole; of no meaning for a ring"""
    heights: tuple[int, ...]
    """of every rectangle of each track, in the stocks' unit"""
    stocks: tuple[Stock, ...]
    charges: tuple[Charge, ...]

    def __post_init__(self) -> None:
        """Refuse tables that do not cover the tracks, or do not rise."""
        number = len(self.tracks)
        if not number or not len(self.lengths) == len(self.last_lengths) == len(self.heights) == number:
            raise ValueError(f"{number} tracks need as many tables of lengths, of last lengths, and heights, and one")
        for t, track in enumerate(self.tracks):
            _check_table(f"lengths of track {t}", self.lengths[t], track, track.largest)
            if not track.closed:
                last = track.largest if track.largest_last is None else track.largest_last
                _check_table(f"last lengths of track {t}", self.last_lengths[t], track, last)
        if min(self.heights) < 1:
            raise ValueError(f"heights must be at least 1: {self.heights}")
        names = [charge.name for charge in self.charges]
        for charge in self.charges:
            if len(charge.stocks) != len(self.stocks) or names.count(charge.name) > 1:
                raise ValueError(f"charge {charge.name!r} must stand once and price each of {len(self.stocks)} stocks")


def _check_table(named: str, table: NDArray[np.int64], track: Track, longest: int) -> None:
    """Refuse a table of lengths that is too short or does not rise."""
    need = min(track.size, max(longest, min(track.size, track.smallest)))
    if len(table) <= need:
        raise ValueError(f"{named}: {len(table)} entries, of which the last must be for {need} steps")
    if need and (table[1] < 1 or np.any(np.diff(table[1 : need + 1]) <= 0)):
        raise ValueError(f"{named} must be at least 1 and rise with the number of steps")
