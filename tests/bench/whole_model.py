"""The joint choice as one integer program: flow on the steps, patterns on the stock, both for any solver.

Variables are the arcs of every track (a piece from one position to a later one), the ways to fill a strip and the ways
to divide a stock into strips. A ring is a circulation whose arcs over position 0 add up to one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.problems import Joint, Track

Row = tuple[dict[int, int], float, float]
Kind = tuple[int, int]
"""(height, length) of a piece"""


@dataclass
class WholeModel:
    """Rows low ≤ Σ a·x ≤ high over whole variables of at least 0."""

    problem: Joint
    weights: tuple[int, int]
    """of the first charge, and of a piece"""
    tops: list[int] = field(default_factory=list)
    """greatest value of each variable"""
    price: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    pieces: list[int] = field(default_factory=list)
    """variables that are arcs"""
    stocks: dict[int, int] = field(default_factory=dict)
    """stock of each layout variable"""

    def __post_init__(self) -> None:
        """Build variables and rows."""
        wanted: dict[Kind, dict[int, int]] = {}
        for index, track in enumerate(self.problem.tracks):
            self._flow(index, track, wanted)
        self._supply(wanted)

    def _variable(self, top: int, price: int) -> int:
        self.tops.append(top)
        self.price.append(price)
        return len(self.tops) - 1

    def _flow(self, index: int, track: Track, wanted: dict[Kind, dict[int, int]]) -> None:
        nodes: dict[int, dict[int, int]] = {p: {} for p in range(track.size + (not track.closed))}
        cut: dict[int, int] = {}
        charge = self.problem.charges[0].piece
        for start, steps, last in arcs(track):
            end = (start + steps) % track.size if track.closed else start + steps
            arc = self._variable(1, self.weights[0] * charge + self.weights[1])
            self.pieces.append(arc)
            table = self.problem.last_lengths if last else self.problem.lengths
            kind = (self.problem.heights[index], int(table[index][steps]))
            wanted.setdefault(kind, {})[arc] = 1
            if start != end:
                nodes[start][arc] = 1
                nodes[end][arc] = -1
            if start + steps >= track.size:
                cut[arc] = 1
        for position, row in nodes.items():
            turns = 0 if track.closed or position not in (0, track.size) else 1 if position == 0 else -1
            self.rows.append((row, turns, turns))
        if track.closed:
            self.rows.append((cut, 1, 1))

    def _supply(self, wanted: dict[Kind, dict[int, int]]) -> None:
        kinds = sorted(wanted, reverse=True)
        heights = sorted({height for height, _ in kinds}, reverse=True)
        alone = len(heights) == 1
        need = {
            kind: dict(_merged([wanted[k] for k in kinds if alone and k[1] >= kind[1]] or [wanted[kind]]))
            for kind in kinds
        }
        rooms: dict[tuple[int, int, int], dict[int, int]] = {}
        for s, stock in enumerate(self.problem.stocks):
            mine = {}
            for layout in fillings([h + stock.kerf for h in heights], stock.width + stock.kerf):
                layer = self._variable(10**6, self.weights[0] * self.problem.charges[0].stocks[s])
                self.stocks[layer] = s
                mine[layer] = 1
                for place, count in enumerate(layout):
                    if count:
                        rooms.setdefault((stock.length, stock.kerf, heights[place]), {})[layer] = count
            if stock.count is not None:
                self.rows.append((mine, 0, stock.count))
        for (length, kerf, height), row in rooms.items():
            inside = [kind for kind in kinds if kind[0] <= height and kind[1] <= length]
            for fill in fillings([kind[1] + kerf for kind in inside], length + kerf):
                filled = self._variable(10**6, 0)
                row[filled] = -1
                for place, count in enumerate(fill):
                    for kind in kinds if alone else [inside[place]]:
                        if count and kind[1] <= inside[place][1]:
                            need[kind][filled] = need[kind].get(filled, 0) - count
            self.rows.append((row, 0, float("inf")))
        self.rows += [(row, float("-inf"), 0) for row in need.values()]


def _merged(rows: list[dict[int, int]]) -> Iterator[tuple[int, int]]:
    for row in rows:
        yield from row.items()


def arcs(track: Track) -> Iterator[tuple[int, int, bool]]:
    """Yield (position, steps, whether it ends a line) for every piece that may be."""
    last = track.largest if track.largest_last is None else track.largest_last
    for start in range(track.size):
        if not (track.allowed[start] or (start == 0 and not track.closed)):
            continue
        for steps in range(track.smallest, max(track.largest, last) + 1):
            end = start + steps
            if track.closed:
                if steps <= min(track.largest, track.size) and track.allowed[end % track.size]:
                    yield start, steps, False
            elif (end < track.size and steps <= track.largest and track.allowed[end]) or (
                end == track.size and steps <= last
            ):
                yield start, steps, end == track.size


def fillings(sizes: list[int], room: int) -> Iterator[tuple[int, ...]]:
    """Yield every filling of a room with nothing left that fits."""

    def extend(place: int, left: int, counts: list[int]) -> Iterator[tuple[int, ...]]:
        if left < min(sizes):
            yield tuple(counts)
            return
        for later in range(place, len(sizes)):
            if sizes[later] <= left:
                counts[later] += 1
                yield from extend(later, left - sizes[later], counts)
                counts[later] -= 1

    if sizes:
        yield from {way: None for way in extend(0, room, [0] * len(sizes)) if any(way)}
