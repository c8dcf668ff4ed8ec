"""What is held while further goals are met: the most pieces, the greatest total, the highest cost of a break."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from solver.charges import GONE, Charges, Member, Members
from solver.courses import Flags, Ints
from solver.weights import PIECES, TOTAL, Weights


@dataclass
class Work:
    """Work left, in words."""

    left: int

    def take(self, words: int) -> bool:
        """Take so much, if it is left."""
        if words > self.left:
            return False
        self.left -= words
        return True


@dataclass(frozen=True, eq=False)
class Ends:
    """For each member the fewest pieces with their least total, and the least total with its fewest pieces."""

    fewest: Ints
    dear: Ints
    more: Ints
    cheap: Ints

    def at(self, index: int) -> tuple[int, int, int, int]:
        """Return the four of one member."""
        return int(self.fewest[index]), int(self.dear[index]), int(self.more[index]), int(self.cheap[index])


class Limits:
    """Least sums within what is held. Once the work is used up, what is undecided is told by its bound.

    Searches take the bound that is reached, floors (`lower`) the one that nothing goes below.
    """

    def __init__(self, charges: Charges, work: Work, *, lower: bool) -> None:
        """Hold nothing yet."""
        self.charges = charges
        self.work = work
        self.lower = lower
        self.pieces: int | None = None
        self.total: int | None = None
        self.ceiling: int | None = None

    def hold(self, goal: str, value: int) -> None:
        """Keep "pieces", "total" or "worst" at a value, or at a lesser one held before."""
        charges = self.charges
        if goal == "pieces":
            self.pieces = min(value, charges.per_piece - 1 if self.pieces is None else self.pieces)
        elif goal == "total":
            self.total = min(value, charges.per_total - 1 if self.total is None else self.total)
        elif goal == "worst":
            self.ceiling = min(value, charges.highest if self.ceiling is None else self.ceiling)

    def within(self, members: Members, ceiling: int | None) -> Flags:
        """Flag the members with which there is a way within the limits, under the ceiling given."""
        pieces, total = self.pieces, self.total
        if pieces is None or total is None:
            weights = PIECES if pieces is not None else TOTAL if total is not None else Weights(0, 0)
            most = pieces if pieces is not None else total if total is not None else 0
            return self.charges.least(weights, members, ceiling) <= most
        fewest, dear = self._pieces_first(members, ceiling)
        out = (fewest <= pieces) & (dear <= total)
        for index in np.flatnonzero((fewest < pieces) & ~out).tolist():
            member = _member(members, index)
            cheap, more = (int(each[0]) for each in self._total_first([member], ceiling))
            if cheap >= total or more <= pieces:
                out[index] = cheap <= total and more <= pieces
            elif self._may_try(member, pieces):
                ends = int(fewest[index]), int(dear[index]), more, cheap
                out[index] = self.charges.total_within(member, pieces, ceiling, ends) <= total
            else:
                out[index] = self.lower
        return out

    def usable(self) -> frozenset[int]:
        """Return lengths outside of which no piece within the limits lies."""
        pieces, total, charges = self.pieces, self.total, self.charges
        limits = [(Weights(0, 0), 0)]
        if pieces is not None:
            limits.append((PIECES, pieces))
        if total is not None:
            limits.append((TOTAL, total))
        if pieces is not None and total is not None:
            limits = [
                (charges.pieces_first, pieces * charges.per_total + min(total, charges.per_total - 1)),
                (charges.total_first, total * charges.per_piece + min(pieces, charges.per_piece - 1)),
            ]
        return frozenset.intersection(*(charges.usable(w, most, self.ceiling) for w, most in limits))

    def least(self, goal: str, members: Sequence[Member]) -> int | None:
        """Return the least "pieces" or "total" within the limits; None: there is no way."""
        if goal == "pieces":
            value, most = self._least_pieces(members), self.pieces
        else:
            value, most = self._least_total(members), self.total
        return None if value >= GONE or (most is not None and value > most) else value

    def _least_total(self, members: Sequence[Member]) -> int:
        if self.pieces is None:
            return _least(self.charges.least(TOTAL, members, self.ceiling))
        ends = self._ends(members)
        fits, does = ends.fewest <= self.pieces, ends.more <= self.pieces
        best = min(_least(ends.dear[fits]), _least(ends.cheap[does]))
        for index in _rising(ends.cheap, (ends.fewest < self.pieces) & ~does):
            bound = int(ends.cheap[index])
            if bound >= best:
                break
            if self._may_try(members[index], self.pieces):
                best = min(best, self._total_at(members[index], self.pieces, ends.at(index)))
            elif self.lower:
                best = bound
        return best

    def _least_pieces(self, members: Sequence[Member]) -> int:
        if self.total is None:
            return _least(self.charges.least(PIECES, members, self.ceiling))
        ends = self._ends(members)
        fits, does = ends.cheap <= self.total, ends.dear <= self.total
        best = min(_least(ends.fewest[does]), _least(ends.more[fits]))
        for index in _rising(ends.fewest, (ends.cheap < self.total) & ~does):
            bound = int(ends.fewest[index])
            if bound >= best:
                break
            if self._may_try(members[index], int(ends.more[index])):
                best = min(best, self._pieces_at(members[index], self.total, ends.at(index)))
            elif self.lower:
                best = bound
        return best

    def _pieces_at(self, member: Member, total: int, ends: tuple[int, int, int, int]) -> int:
        """Find the fewest pieces of one member whose least total is within; more of them never hurt."""
        no, yes = ends[0], ends[2]
        while yes - no > 1:
            middle = (no + yes) // 2
            does = self._total_at(member, middle, ends) <= total
            no, yes = (no, middle) if does else (middle, yes)
        return yes

    def _total_at(self, member: Member, pieces: int, ends: tuple[int, int, int, int]) -> int:
        return self.charges.total_within(member, pieces, self.ceiling, ends)

    def _may_try(self, member: Member, pieces: int) -> bool:
        return self.work.take(self.charges.words(member, pieces))

    def _ends(self, members: Sequence[Member]) -> Ends:
        return Ends(*self._pieces_first(members, self.ceiling), *self._total_first(members, self.ceiling)[::-1])

    def _pieces_first(self, members: Members, ceiling: int | None) -> tuple[Ints, Ints]:
        """Return the fewest pieces, and the least total at these."""
        charge = self.charges.least(self.charges.pieces_first, members, ceiling)
        parts = np.divmod(charge, self.charges.per_total)
        return np.where(charge < GONE, parts[0], GONE), np.where(charge < GONE, parts[1], GONE)

    def _total_first(self, members: Members, ceiling: int | None) -> tuple[Ints, Ints]:
        """Return the least total, and the fewest pieces at this."""
        charge = self.charges.least(self.charges.total_first, members, ceiling)
        parts = np.divmod(charge, self.charges.per_piece)
        return np.where(charge < GONE, parts[0], GONE), np.where(charge < GONE, parts[1], GONE)


def _member(members: Members, index: int) -> Member:
    return frozenset(members[index].tolist()) if isinstance(members, np.ndarray) else members[index]


def _least(values: Ints) -> int:
    return int(values.min(initial=GONE))


def _rising(keys: Ints, flags: Flags) -> Iterator[int]:
    """Give the indices that are flagged, by rising keys."""
    at = np.flatnonzero(flags)
    yield from at[np.argsort(keys[at], kind="stable")].tolist()
