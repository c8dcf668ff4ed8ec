"""Labels never lie on one another, and leaders cross none; judged by an independent geometry library."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box
from shapely.strtree import STRtree

from layout.paper.labels import Ground, Wanted, overlaps, place_all
from layout.paper.primitives import Box

ROOM = Box(0.0, 0.0, 180.0, 160.0)


def ring(count, radius, size=(6.0, 3.0), *, turned=False):
    """Labels outside a ring in the middle of the room."""
    angles = [2 * math.pi * i / count for i in range(count)]
    return [
        Wanted(
            (90 + radius * math.cos(a), 80 + radius * math.sin(a)),
            (math.cos(a), math.sin(a)),
            *size,
            turned=turned,
        )
        for a in angles
    ]


def judge(placed):
    """Hold placed labels against each other with shapely."""
    shapes = [Polygon(spot.corners) for spot in placed]
    leaders = [LineString(spot.leader) if spot.leader else None for spot in placed]
    for (i, a), (j, b) in combinations(enumerate(shapes), 2):
        assert a.intersection(b).area < 1e-9, (i, j)
    for i, leader in enumerate(leaders):
        if leader is None:
            continue
        for j, shape in enumerate(shapes):
            assert i == j or leader.intersection(shape).length < 1e-6, (i, j)
        for other in leaders[:i]:
            assert other is None or not leader.crosses(other)
    assert all(box(0, 0, 180, 160).buffer(1e-9).contains(shape) for shape in shapes)


@pytest.mark.parametrize("count", [4, 40, 120])
def test_all_labels_of_a_ring_find_a_place(count):
    """4, 40 and 120 labels round a ring all stand, none on another, no leader through any."""
    placed = list(place_all(Ground(ROOM), ring(count, 50.0, turned=count > 100)))
    assert None not in placed
    judge(placed)


def test_second_label_at_one_place_steps_aside():
    """Two labels for one point both stand, the second with a leader."""
    ground = Ground(ROOM)
    first, second = place_all(ground, ring(1, 50.0) * 2)
    assert first.leader is None
    assert second.leader is not None
    judge([first, second])


def test_label_keeps_off_lines():
    """A label does not lie on a drawn line that passes through its best place."""
    wanted = ring(1, 50.0)[0]
    best = Ground(ROOM).place(wanted)
    line = [(best.centre[0], best.centre[1]), (best.centre[0], 160.0)]
    ground = Ground(ROOM)
    ground.keep_line(line)
    moved = ground.place(wanted)
    assert Polygon(moved.corners).distance(LineString(line)) > 0


def test_full_paper_gives_none():
    """Where the room is smaller than the label there is no place."""
    assert Ground(Box(0, 0, 5.9, 10)).place(Wanted((1, 1), (1, 0), 6.0, 3.0)) is None
    assert Ground(Box(0, 0, 8.1, 10)).place(Wanted((1, 5), (1, 0), 6.0, 3.0)) is not None


def test_free_line_is_free_until_something_stands_on_it():
    """A path is free on an empty ground, and not once a label stands there or where it leaves the room."""
    ground = Ground(ROOM)
    path = [(x, 80.0) for x in range(150, 170)]
    assert ground.line_is_free(path)
    ground.keep(ground.place(Wanted((150, 80), (1, 0), 6.0, 3.0)))
    assert not ground.line_is_free(path)
    assert not ground.line_is_free([(x, 80.0) for x in range(170, 190)])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.floats(0, 40), st.floats(0, 40), st.floats(0.5, 6), st.floats(0.5, 6), st.floats(0, math.pi)),
        min_size=2,
        max_size=8,
    )
)
def test_overlap_agrees_with_shapely(rows):
    """Separating axes and polygon intersection agree on every pair of turned rectangles."""
    blocks = np.array([[x, y, a, b, math.cos(t), math.sin(t)] for x, y, a, b, t in rows])
    shapes = []
    for x, y, a, b, t in rows:
        corners = [(p * a, q * b) for p, q in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        shapes.append(
            Polygon(
                [(x + u * math.cos(t) - v * math.sin(t), y + u * math.sin(t) + v * math.cos(t)) for u, v in corners]
            )
        )
    found = overlaps(blocks, blocks)
    for i, j in combinations(range(len(rows)), 2):
        area = shapes[i].intersection(shapes[j]).area
        if area > 1e-6:
            assert found[i, j]
        elif shapes[i].distance(shapes[j]) > 1e-6:
            assert not found[i, j]


def test_places_do_not_depend_on_the_day():
    """The same labels stand at the same places every time."""
    first, second = (list(place_all(Ground(ROOM), ring(60, 50.0))) for _ in range(2))
    assert first == second
    assert STRtree([Polygon(spot.corners) for spot in first if spot]).geometries.size > 50
