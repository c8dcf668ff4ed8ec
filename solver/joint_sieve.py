"""Mixes of pieces sifted: which are within what is held, and which of these the stocks give."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from solver.joint_kinds import Kinds, Lane
from solver.joint_mixes import MOST_PIECES, NEVER, Listing, Within, most_pieces
from solver.joint_yard import Numbers, Prices, UndecidedError, Yard
from solver.packing import Effort
from solver.problems import Charge, Stock

Ints = NDArray[np.int64]
Held = Mapping[str, int]

WORK = 600_000
"""parts of mixes written down for one limit of a goal (measured: about a second)"""
MOST_CUT = 16_000
"""effort of cutting mixes for one limit of a goal (measured: about a second)"""


class TooManyError(Exception):
    """There are more mixes than the work does."""


@dataclass
class Sieve:
    """Lists and sifts the mixes of one problem."""

    kinds: Kinds
    stocks: Sequence[Stock]
    charges: Mapping[str, Charge]
    prices: Callable[[], Sequence[Prices]]
    """more prices of kinds by which mixes may be told apart"""
    work: int = WORK
    hurry: Callable[[], bool] | None = None
    _full: list[tuple[dict[str, int], Listing]] = field(default_factory=list)
    _least_at: dict[int | None, list[int]] = field(default_factory=dict)
    _goal: int = 0
    """work left for the goal"""
    _left: int = 0
    """of it for one limit"""
    _cuts: Effort = field(default_factory=lambda: Effort(0))

    @cached_property
    def yard(self) -> Yard:
        """Return the stocks; prices of a linear program tell mixes apart as well."""
        yard = Yard(self.kinds, self.stocks, self.charges)
        yard.prices = [*yard.prices, *(each for each in self.prices() if each not in yard.prices and any(each))]
        return yard

    @cached_property
    def pieces(self) -> int:
        """No mix has more pieces."""
        return most_pieces(self.kinds.lanes)

    @cached_property
    def many(self) -> bool:
        """Whether every mix has so many pieces that listing them is out of the question."""
        longest = (max((*lane.kinds, *lane.last_kinds), default=lane.size) for lane in self.kinds.lanes)
        return sum(lane.size // steps for lane, steps in zip(self.kinds.lanes, longest, strict=True)) > MOST_PIECES

    def _fresh(self, part: int = 1) -> None:
        """Allow work for one limit, as long as there is some for the goal."""
        self._left, self._cuts = min(self.work // part, self._goal), Effort(MOST_CUT // part)

    def _listed(self, held: Held, *, keep: bool = True) -> Listing:
        """List the mixes within what is held, or take a longer list that is known.

        Raises
        ------
        TooManyError
            When the work does not do.
        """
        for known, listing in self._full:
            same = known.get("worst") == held.get("worst")
            if same and all(name in held and held[name] <= value for name, value in known.items()):
                return listing
        listing = self._list(self.kinds.lanes, self._within(held))
        if keep:
            self._full.append((dict(held), listing))
        return listing

    def _list(self, lanes: Sequence[Lane], within: Within) -> Listing:
        listing = Listing(lanes, within, self._left, self.hurry)
        self._left -= listing.spent
        self._goal -= listing.spent
        if not listing.full:
            raise TooManyError
        return listing

    def _within(self, held: Held) -> Within:
        """Say what a mix must keep so that the stocks left by the charges may give it, as far as prices tell."""
        fewest, *least = self._least(held.get("worst"))
        most = self._most_pieces(held, fewest, least)
        numbers = self.yard.numbers(fewest, held, self.pieces if most is None else most)
        if numbers is None:
            raise TooManyError
        prices = tuple((prices, self.yard.room(prices, numbers)) for prices in self.yard.prices)
        return Within(held.get("worst"), most, held.get("total"), held.get("different"), held.get("spread"), prices)

    def _least(self, level: int | None) -> list[int]:
        """Return the fewest pieces, and the least that mixes come to under each vector of prices."""
        if level not in self._least_at:
            prices = tuple((prices, NEVER) for prices in self.yard.prices)
            self._least_at[level] = Listing(self.kinds.lanes, Within(level, prices=prices), -1).least[1:].tolist()
        return self._least_at[level]

    def _most_pieces(self, held: Held, fewest: int, least: Sequence[int]) -> int | None:
        """Return how many pieces leave stocks enough for any mix, as far as prices tell."""
        known = held.get("pieces")
        if not any(self.charges[name].piece for name in held if name in self.charges):
            return known
        for pieces in range(fewest, self.pieces if known is None else known + 1):
            numbers = self.yard.numbers(pieces, held, self.pieces if known is None else known)
            if numbers is not None and not any(
                all(self.yard.room(p, [x]) >= low for p, low in zip(self.yard.prices, least, strict=True))
                for x in numbers
            ):
                return pieces - 1
        return known

    def _kept(self, listing: Listing, held: Held) -> Ints:
        """Return the rows of the mixes that keep what is held as far as sums tell."""
        table, sums = listing.table, listing.sums(listing.table)
        keep = np.ones(len(table), dtype=np.bool_)
        for name, values in (("total", sums[:, 0]), ("pieces", sums[:, 1])):
            keep &= values <= held.get(name, NEVER)
        keep &= table[:, 2] - table[:, 1] <= held.get("spread", NEVER)
        if "different" in held:
            keep &= listing.columns.different(table) <= held["different"]
        for pieces in np.unique(sums[keep, 1]).tolist():
            own = np.flatnonzero(keep & (sums[:, 1] == pieces))
            numbers = self.yard.numbers(pieces, held)
            if numbers is None:
                raise TooManyError
            keep[own] = self._may(sums[own, 2:], numbers)
        return np.flatnonzero(keep)

    def _may(self, sums: Ints, numbers: Sequence[Numbers]) -> NDArray[np.bool_]:
        """Tell which mixes some numbers of stocks may give as far as prices tell."""
        worth = np.array([self.yard.worth(prices) for prices in self.yard.prices], dtype=np.int64)
        out = np.zeros(len(sums), dtype=np.bool_)
        for x in numbers:
            out |= np.all(sums <= worth @ np.array(x, dtype=np.int64), axis=1)
        return out

    def _cut(self, listing: Listing, row: int, held: Held) -> Numbers | None:
        """Return numbers of stocks that give a mix and keep what is held; None: there are none."""
        if self.hurry is not None and self.hurry():
            raise UndecidedError
        mix = self._mix(listing, row)
        return self.yard.gives(mix, self.yard.numbers(sum(mix.values()), held) or (), self._cuts)

    def _mix(self, listing: Listing, row: int) -> dict[int, int]:
        """Read the number of pieces of each kind."""
        columns = listing.columns
        counts = columns.slots.counts(listing.table[row : row + 1, columns.words : columns.total])[0]
        mix: dict[int, int] = {}
        for kind, n in zip(columns.slots.kinds, counts.tolist(), strict=True):
            if n:
                mix[kind] = mix.get(kind, 0) + n
        return mix

    def _row_of(self, listing: Listing, positions: Sequence[Sequence[int]], rows: Ints) -> int:
        """Return which of some rows is the mix of some positions."""
        slots = listing.columns.slots
        counts = np.zeros(len(slots.steps), dtype=np.int64)
        for lane, way in zip(self.kinds.lanes, positions, strict=True):
            ends = (*way, way[0] + lane.size) if lane.track.closed else tuple(way)
            for i, (a, b) in enumerate(pairwise(ends)):
                last = i == len(ends) - 2 and not lane.track.closed
                counts[slots.at[b - a, (lane.last_kinds if last else lane.kinds)[b - a]]] += 1
        table = slots.counts(listing.table[rows][:, listing.columns.words : listing.columns.total])
        return int(rows[np.flatnonzero(np.all(table == counts, axis=1))[0]])


def free_lane(lane: Lane) -> Lane:
    """Return a track that is open everywhere at no cost: it has every mix of the one given."""
    track = lane.track
    free = replace(track, allowed=np.ones_like(track.allowed), cost=np.zeros_like(track.cost))
    return Lane(free, lane.kinds, lane.last_kinds)
