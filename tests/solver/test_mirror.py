"""Breaks that are the same on both sides of an axis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.courses import course_of
from solver.mirror import has_mirrored_way, solve_mirrored
from solver.problems import Track
from solver.verify import verify_breaks


def ring(size, smallest, largest, cost=None, allowed=None):
    cost = np.zeros(size, dtype=np.int64) if cost is None else np.array(cost)
    return Track(size, True, smallest, largest, cost, np.full(size, True) if allowed is None else allowed)


def line(size, smallest, largest, cost=None, **more):
    cost = np.zeros(size + 1, dtype=np.int64) if cost is None else np.array(cost)
    return Track(size, False, smallest, largest, cost, np.full(size + 1, True), **more)


def random_track(rng, size, closed):
    count = size if closed else size + 1
    return Track(size, closed, 8, 34, rng.integers(0, 1000, count), rng.random(count) > 0.2)


def values(answer):
    return {met.goal: met.value for met in answer.met}


def test_line_of_two_pieces_is_broken_in_its_middle():
    """10 = 5 + 5; 9 has no middle position, so it takes three pieces, an odd one between."""
    assert solve_mirrored([line(10, 3, 5)], [10], ["pieces"]).positions == ((0, 5, 10),)
    assert solve_mirrored([line(9, 3, 5)], [9], ["pieces"]).positions == ((0, 3, 6, 9),)


@pytest.mark.parametrize(("last", "pieces"), [(4, 3), (5, 3), (3, 4)])
def test_first_piece_keeps_the_limit_of_the_last(last, pieces):
    """12 = 4 + 4 + 4 even where the last may be 5, for the first may not; where it may be 3, 3 + 3 + 3 + 3."""
    answer = solve_mirrored([line(12, 3, 4, largest_last=last)], [12], ["pieces"])
    assert values(answer) == {"pieces": pieces}


@pytest.mark.parametrize(("size", "last", "whole"), [(5, 5, True), (5, 4, False), (2, 2, True), (2, 1, False)])
def test_whole_line_is_mirrored_where_it_may_stay_whole(size, last, whole):
    """One piece within the limit of the last, or shorter than the smallest."""
    answer = solve_mirrored([line(size, 3, 4, largest_last=last)], [size], ["pieces"])
    assert answer.positions == (((0, size),) if whole else None)


@pytest.mark.parametrize(("mirror", "positions"), [(0, (0,)), (2, (1,)), (6, (0,)), (-4, (1,)), (1, None), (3, None)])
def test_ring_of_one_piece_is_broken_on_its_axis(mirror, positions):
    """A break that is its own mirrored one lies on the axis, and there is none where the axis lies between."""
    answer = solve_mirrored([ring(6, 6, 6)], [mirror], ["total"])
    assert answer.positions == (None if positions is None else (positions,))


def test_costs_off_the_axis_count_twice():
    """Breaks of a ring of 8 in two pieces about 0: on the axis 5 + 5, off it at 2 and 6 for 3 + 1."""
    cost = [5, 9, 3, 9, 5, 9, 1, 9]
    answer = solve_mirrored([ring(8, 4, 4, cost)], [0], ["total", "worst"])
    assert (answer.positions, values(answer)) == (((2, 6),), {"total": 4, "worst": 3})


def test_position_whose_mirrored_one_is_forbidden_is_not_chosen():
    """On a ring of 8 about 0, 6 is forbidden, so 2 is not chosen either."""
    allowed = np.full(8, True)
    allowed[6] = False
    assert solve_mirrored([ring(8, 4, 4, allowed=allowed)], [0], ["total"]).positions == ((0, 4),)
    allowed[4] = False
    assert solve_mirrored([ring(8, 4, 4, allowed=allowed)], [0], ["total"]).positions is None


def test_different_lengths_and_spread_are_counted_over_mirrored_and_free_tracks():
    """A mirrored line of 12 and a free one of 15 share pieces of 3."""
    answer = solve_mirrored([line(12, 3, 6), line(15, 3, 6)], [12, None], ["different", "spread", "pieces"])
    assert values(answer) == {"different": 1, "spread": 0, "pieces": 4 + 5}


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("goals", [("pieces", "total", "spread"), ("worst", "pieces", "different", "total")])
def test_answers_at_250_positions_are_proved_and_mirrored(closed, goals):
    """All goals meet their bounds, and the check finds nothing."""
    track = random_track(np.random.default_rng(2), 250, closed)
    mirrors = [84 if closed else 250]
    answer = solve_mirrored([track], mirrors, goals)
    assert answer.proved
    assert verify_breaks([track], goals, answer, mirrors=mirrors) == ()


@pytest.mark.parametrize("shift", [1, 16, 101])
def test_turned_ring_has_the_turned_answer(shift):
    """The axis turns by twice what its positions turn by."""
    track = random_track(np.random.default_rng(shift), 240, closed=True)
    turned = replace(track, cost=np.roll(track.cost, shift), allowed=np.roll(track.allowed, shift))
    goals = ("pieces", "total")
    one, other = solve_mirrored([track], [10], goals), solve_mirrored([turned], [10 + 2 * shift], goals)
    assert one.met == other.met
    assert sorted((p + shift) % 240 for p in one.positions[0]) == list(other.positions[0])


def test_mirroring_never_does_better_than_freedom():
    """A mirrored answer is an answer: a free one has no more pieces."""
    for seed in range(20):
        track = random_track(np.random.default_rng(seed), 120, closed=True)
        mirrored = solve_mirrored([track], [seed], ["pieces", "total"])
        free = solve_mirrored([track], [None], ["pieces", "total"])
        if mirrored.positions is not None:
            assert [m.value for m in free.met] <= [m.value for m in mirrored.met]


def test_symmetric_track_is_as_good_mirrored_in_pieces_of_one_length():
    """With everything alike on both sides and one length only, nothing is lost."""
    assert has_mirrored_way(ring(240, 10, 10), 0)
    assert not has_mirrored_way(ring(240, 10, 10), 5 + 10 * 2 + 1 + 1)


def test_mirror_of_a_line_must_be_its_size():
    """Any other axis is refused."""
    with pytest.raises(ValueError, match="mirror 8 of a line must be its size, 9"):
        course_of(line(9, 3, 4), 8)


@pytest.mark.parametrize(("mirrors", "message"), [([], "shorter|longer|argument"), ([9, 9], "shorter|longer|argument")])
def test_there_must_be_one_mirror_a_track(mirrors, message):
    """None too few, none too many."""
    with pytest.raises(ValueError, match=message):
        solve_mirrored([line(9, 3, 4)], mirrors, ["pieces"])


def test_check_finds_what_is_not_mirrored():
    """A break moved on one side only is named with its missing counterpart."""
    track = line(12, 3, 6)
    answer = solve_mirrored([track], [12], ["pieces"])
    moved = replace(answer, positions=((0, 5, 12),))
    findings = verify_breaks([track], ["pieces"], moved, mirrors=[12])
    assert "track 0: position 5 is chosen, but 7 is not" in findings
