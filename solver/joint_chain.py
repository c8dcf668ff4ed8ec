"""Ways along tracks that fill strip after strip: each strip takes pieces that follow one another.

A strip so filled wastes little, and on long tracks nearly always as little as can be. Tracks of one height are strung
together, so that a strip may hold the last pieces of one and the first of the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solver.joint_kinds import Lane
from solver.strips import Model

Ints = NDArray[np.int64]

FAR = 1 << 60
"""charge of what cannot be"""
MOST_STATES = 1_500
"""different fillings of a strip, by steps and length (assumed)"""
MOST_STARTS = 40
"""positions at which a ring is opened, a strip beginning there (assumed)"""


@dataclass(frozen=True)
class Weights:
    """What one unit of each counts in the sum that is made least."""

    strip: int
    piece: int
    cost: int


@dataclass(frozen=True, eq=False)
class Strung:
    """Tracks strung together: positions 0…length, of which some are joints that no piece goes over."""

    lanes: tuple[Lane, ...]
    starts: tuple[int, ...]
    """where each track is opened: a line at 0"""
    is_open: NDArray[np.bool_]
    cost: Ints
    """of a piece that starts at the position"""
    joint: NDArray[np.bool_]
    """where a track ends"""
    line_end: NDArray[np.bool_]
    """where a line ends"""


def strung(lanes: Sequence[Lane], starts: Sequence[int], level: int | None, turn: int = 0) -> Strung:
    """Put tracks end to end, each opened at its start; one ring alone goes on for `turn` steps."""
    is_open, cost, joint, line_end = [], [], [np.zeros(1, dtype=np.bool_)], [np.zeros(1, dtype=np.bool_)]
    for lane, start in zip(lanes, starts, strict=True):
        order = (start + np.arange(lane.size + turn)) % lane.size if lane.track.closed else np.arange(lane.size)
        is_open.append(lane.open(level)[order])
        cost.append(lane.cost[order])
        ends = np.zeros(len(order), dtype=np.bool_)
        ends[-1] = not turn
        joint.append(ends)
        line_end.append(ends & (not lane.track.closed))
    last = lanes[-1]
    end = bool(last.open(level)[(starts[-1] + turn) % last.size]) if last.track.closed else True
    return Strung(
        tuple(lanes),
        tuple(starts),
        np.concatenate([*is_open, [end]]),
        np.concatenate([*cost, [0]]).astype(np.int64),
        np.concatenate(joint),
        np.concatenate(line_end),
    )


@dataclass(eq=False)
class Chain:
    """The least charges of strips filled with pieces that follow one another."""

    string: Strung
    sizes: dict[int, int]
    """room that a piece of so many steps takes in a strip"""
    last_sizes: dict[int, int]
    rooms: Sequence[tuple[int, int]]
    """(room of a strip, its charge), room rising"""
    weights: Weights
    states: dict[tuple[int, int], Ints] = field(default_factory=dict)
    """least charge of pieces from each position, by (steps, room taken)"""

    def __post_init__(self) -> None:
        """Fill strips from every position at once."""
        self.length = len(self.string.cost) - 1
        self.longest = self.rooms[-1][0]
        self.ends_before = np.concatenate([[0], np.cumsum(self.string.joint[1:])])
        self._steps = self._allowed_steps()
        first = np.where(self.string.is_open, 0, FAR)
        self.states[0, 0] = first
        waiting = [(0, 0)]
        for state in waiting:
            for steps, size, _ in self._steps:
                after = (state[0] + steps, state[1] + size)
                if after[1] > self.longest or after[0] > self.length:
                    continue
                if after not in self.states:
                    if len(self.states) >= MOST_STATES:
                        raise TooManyStatesError
                    self.states[after] = np.full(self.length + 1, FAR, dtype=np.int64)
                    waiting.append(after)
        for state in sorted(self.states):
            self._spread(state)
        self.by_steps: dict[int, list[tuple[int, int]]] = {}
        for steps, taken in sorted(self.states):
            if steps:
                self.by_steps.setdefault(steps, []).append((taken, self._charge_of(taken)))
        self.strips = {
            steps: np.minimum.reduce([np.minimum(self.states[steps, taken] + paid, FAR) for taken, paid in ways])
            for steps, ways in self.by_steps.items()
        }

    def _charge_of(self, taken: int) -> int:
        return next(charge for room, charge in self.rooms if taken <= room) * self.weights.strip

    def _allowed_steps(self) -> list[tuple[int, int, Ints]]:
        """List steps, room and, by the position where it starts, the charge of a piece."""
        string = self.string
        own = string.cost * self.weights.cost + self.weights.piece
        out = []
        for ends, sizes in ((False, self.sizes), (True, self.last_sizes)):
            for steps, size in sizes.items():
                if steps > self.length:
                    continue
                charge = np.full(self.length + 1, FAR, dtype=np.int64)
                count = self.length + 1 - steps
                within = self.ends_before[steps:] - string.joint[steps:] == self.ends_before[:count]
                fits = within & string.is_open[steps:] & (string.line_end[steps:] == ends)
                charge[:count][fits] = own[:count][fits]
                if fits.any():
                    out.append((steps, size, charge))
        return out

    def _spread(self, state: tuple[int, int]) -> None:
        """Add one piece to what is in the strip."""
        here = self.states[state]
        for steps, size, charge in self._steps:
            into = self.states.get((state[0] + steps, state[1] + size))
            if into is not None:
                count = self.length + 1 - state[0] - steps
                if count > 0:
                    found = here[:count] + charge[state[0] : state[0] + count]
                    np.minimum(into[:count], found, out=into[:count])

    def best(self, starts: Ints, length: int) -> tuple[int, tuple[int, ...]] | None:
        """Return the least charge over ways of `length` steps from one of the starts, and its positions."""
        spans = np.array(sorted(self.strips), dtype=np.int64)
        if not len(spans) or not len(starts):
            return None
        table = np.stack([self.strips[int(n)] for n in spans])
        reach = int(starts[-1]) + length
        figures = np.full((reach + 1, len(starts)), FAR, dtype=np.int64)
        figures[starts, np.arange(len(starts))] = 0
        begun = set(starts.tolist())
        for at in np.flatnonzero(self.string.is_open[: reach + 1]).tolist():
            near = int(np.searchsorted(spans, at, side="right"))
            if not near:
                continue
            behind = at - spans[:near]
            found = (figures[behind] + table[np.arange(near), behind][:, None]).min(axis=0)
            keep = figures[at].copy() if at in begun else None
            figures[at] = np.minimum(found, FAR)
            if keep is not None:
                figures[at] = np.minimum(figures[at], keep)
        ends = figures[starts + length, np.arange(len(starts))]
        column = int(np.argmin(ends))
        if ends[column] >= FAR:
            return None
        return int(ends[column]), self._trace(figures[:, column], int(starts[column]), int(starts[column]) + length)

    def _trace(self, figures: Ints, start: int, end: int) -> tuple[int, ...]:
        """Walk back strip by strip, and piece by piece in each."""
        out: list[int] = []
        at = end
        while at > start:
            steps = next(
                n for n in self.strips if n <= at and figures[at - n] + self.strips[n][at - n] == figures[at] < FAR
            )
            out += self._inside(at - steps, steps)
            at -= steps
        return tuple(sorted(out))

    def _inside(self, start: int, steps: int) -> list[int]:
        """Return where the pieces of one strip start."""
        taken = next(
            u for u, paid in self.by_steps[steps] if self.states[steps, u][start] + paid == self.strips[steps][start]
        )
        state, out = (steps, taken), []
        while state != (0, 0):
            value = self.states[state][start]
            for n, size, charge in self._steps:
                before = (state[0] - n, state[1] - size)
                if before in self.states and self.states[before][start] + charge[start + before[0]] == value:
                    state = before
                    out.append(start + before[0])
                    break
            else:
                raise AssertionError("a strip whose pieces are not found again")
        return out


class TooManyStatesError(Exception):
    """A strip can be filled in too many ways to list."""


def rooms_of(model: Model, row: Sequence[int], height: int, share: int) -> list[tuple[int, int]]:
    """Return the rooms of strips of a height and what each costs, `share` for one unit of `row`; room rising.

    A stock that gives several strips is charged in equal parts, one of mixed heights by height.
    """
    found: dict[int, int] = {}
    for mode in model.modes:
        for t, need in zip(mode.strips, mode.needs, strict=True):
            strip = model.strips[t]
            if strip.height != height:
                continue
            price = -(-row[mode.stock] * share // (mode.breadth // need))
            found[strip.run] = min(price, found.get(strip.run, price))
    out: list[tuple[int, int]] = []
    for room, price in sorted(found.items(), reverse=True):
        if not out or price < out[-1][1]:
            out.append((room, price))
    return out[::-1]
