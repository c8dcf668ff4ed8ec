"""Rings of any shape: the optimum turns with the ring, and every answer passes the independent check."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from solver import breaks
from solver.problems import Track
from solver.verify import verify_breaks

GOALS = ("pieces", "worst", "different", "total")


@st.composite
def rings(draw: st.DrawFn) -> Track:
    """Draw a ring of 3…40 steps with any prices and forbidden places."""
    size = draw(st.integers(3, 40))
    smallest = draw(st.integers(1, 6))
    largest = smallest + draw(st.integers(0, 8))
    cost = draw(st.lists(st.integers(0, 99), min_size=size, max_size=size))
    allowed = draw(st.lists(st.booleans() | st.just(True), min_size=size, max_size=size))
    return Track(size, True, smallest, largest, np.array(cost, dtype=np.int64), np.array(allowed))


@settings(max_examples=300, deadline=None, derandomize=True)
@given(rings(), st.integers(1, 39), st.permutations(GOALS))
def test_the_values_of_a_ring_turn_with_it(ring: Track, shift: int, goals: list[str]):
    """Numbered from another place, a ring has the same values, and both answers pass the check."""
    turned = Track(
        ring.size, True, ring.smallest, ring.largest, np.roll(ring.cost, shift), np.roll(ring.allowed, shift)
    )
    one, two = breaks.solve([ring], goals), breaks.solve([turned], goals)
    assert (one.positions is None) == (two.positions is None)
    assert [met.value for met in one.met] == [met.value for met in two.met]
    for track, result in ((ring, one), (turned, two)):
        assert verify_breaks([track], goals, result) == ()


@settings(max_examples=200, deadline=None, derandomize=True)
@given(rings())
def test_a_mirrored_ring_has_the_same_values(ring: Track):
    """Walked the other way, nothing changes but the positions."""
    mirrored = Track(ring.size, True, ring.smallest, ring.largest, ring.cost[::-1].copy(), ring.allowed[::-1].copy())
    one, two = breaks.solve([ring], GOALS), breaks.solve([mirrored], GOALS)
    assert [met.value for met in one.met] == [met.value for met in two.met]
