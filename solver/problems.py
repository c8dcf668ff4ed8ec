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
