"""A small set of lengths where all are too many to try: drop lengths, then exchange some for fewer others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, islice

from solver.nets import Net, carried_by_all, members_of

EXCHANGES = ((2, 1), (3, 2))
"""how many lengths are taken out, and how many others put in"""

MOST_NEIGHBOURS = 20_000
"""sets tried in one exchange"""


def small_set(nets: Sequence[Net], universe: Sequence[int], may_work: Callable[[int], bool]) -> frozenset[int]:
    """Return lengths with which every track has a best way: no length too many, no exchange makes them fewer.

    `may_work` is asked before each exchange whether so many sets may be tried at once.
    """
    kept = _dropped(nets, universe)
    while True:
        for out, into in EXCHANGES:
            neighbours = list(islice(_exchanged(kept, universe, out, into), MOST_NEIGHBOURS))
            if not neighbours or not may_work(len(neighbours)):
                continue
            bits = carried_by_all(nets, members_of(neighbours, universe), len(neighbours))
            if bits:
                kept = neighbours[(bits & -bits).bit_length() - 1]
                break
        else:
            return kept


def _dropped(nets: Sequence[Net], universe: Sequence[int]) -> frozenset[int]:
    """Drop lengths, those of the fewest arcs first, as long as every track keeps a way."""
    uses = Counter(length for net in nets for arcs in net.arcs.values() for _, length, _ in arcs)
    kept = set(universe)
    for length in sorted(universe, key=lambda n: (uses[n], n)):
        kept.discard(length)
        if not carried_by_all(nets, {n: int(n in kept) for n in universe}, 1):
            kept.add(length)
    return frozenset(kept)


def _exchanged(kept: frozenset[int], universe: Sequence[int], out: int, into: int) -> Iterator[frozenset[int]]:
    """All sets with `out` lengths taken out and `into` others put in."""
    others = [n for n in universe if n not in kept]
    for gone in combinations(sorted(kept), out):
        for come in combinations(others, into):
            yield kept.difference(gone).union(come)
