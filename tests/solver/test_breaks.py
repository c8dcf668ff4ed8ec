"""Breaks of lines and rings: limits, ties, symmetry, and the linear program at a fixed number of pieces."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_array

from solver.breaks import GOALS, solve
from solver.problems import Track
from solver.verify import verify_breaks


def ring(size, smallest, largest, cost=None, allowed=None, **more):
    cost = np.zeros(size, dtype=np.int64) if cost is None else np.array(cost)
    return Track(size, True, smallest, largest, cost, np.full(size, True) if allowed is None else allowed, **more)


def line(size, smallest, largest, cost=None, allowed=None, **more):
    cost = np.zeros(size + 1, dtype=np.int64) if cost is None else np.array(cost)
    allowed = np.full(size + 1, True) if allowed is None else allowed
    return Track(size, False, smallest, largest, cost, allowed, **more)


def values(answer):
    return {met.goal: met.value for met in answer.met}


def random_track(rng, size, closed, *, prices=1_000_000, smallest=8, largest=34):
    count = size if closed else size + 1
    return Track(size, closed, smallest, largest, rng.integers(0, prices, count), rng.random(count) > 0.2)


class TestLimits:
    @pytest.mark.parametrize(("size", "pieces"), [(12, 3), (13, 4), (16, 4), (17, 5)])
    def test_free_ring_takes_as_few_pieces_as_fit(self, size, pieces):
        """With nothing forbidden the fewest pieces of at most 4 are ceil(size / 4)."""
        assert values(solve([ring(size, 2, 4)], ["pieces"])) == {"pieces": pieces}

    @pytest.mark.parametrize(("size", "fits"), [(7, False), (8, True), (10, True), (11, False), (12, True)])
    def test_whole_number_of_pieces_must_fit(self, size, fits):
        """Pieces of 4 or 5 fill k·4…k·5 steps: 8…10 and 12…15, but neither 7 nor 11."""
        for track in (ring(size, 4, 5), line(size, 4, 5)):
            assert (solve([track], ["pieces"]).positions is not None) == fits

    def test_line_takes_its_longer_limit_at_the_last_piece_only(self):
        """9 = 4 + 5 where only the last piece may be 5; 10 = 5 + 5 needs three pieces."""
        assert solve([line(9, 2, 4, largest_last=5)], ["pieces"]).positions == ((0, 4, 9),)
        assert values(solve([line(10, 2, 4, largest_last=5)], ["pieces"])) == {"pieces": 3}

    @pytest.mark.parametrize(("size", "pieces"), [(5, 1), (6, 2)])
    def test_only_piece_of_a_line_is_its_last(self, size, pieces):
        """A line of 5 is one piece where the last may be 5, one of 6 is two."""
        assert values(solve([line(size, 2, 4, largest_last=5)], ["pieces"])) == {"pieces": pieces}

    def test_only_piece_must_keep_a_shorter_last_limit(self):
        """A last piece of at most 3 breaks a line of 4 that the other limit would leave whole."""
        assert values(solve([line(4, 1, 4, largest_last=3)], ["pieces"])) == {"pieces": 2}

    def test_ring_of_one_piece_is_broken_once_and_charged(self):
        """A ring no longer than the largest piece needs one break, at its cheapest place."""
        answer = solve([ring(5, 3, 5, cost=[4, 3, 2, 2, 9])], ["pieces", "worst", "total"])
        assert answer.positions == ((2,),)
        assert values(answer) == {"pieces": 1, "worst": 2, "total": 2}

    @pytest.mark.parametrize("make", [ring, line])
    def test_track_shorter_than_the_smallest_piece_may_stay_whole(self, make):
        """It is one piece where that is said, and nothing else."""
        assert values(solve([make(5, 6, 8)], ["pieces", "different"])) == {"pieces": 1, "different": 1}
        assert solve([make(5, 6, 8, short_whole=False)], ["pieces"]).positions is None

    def test_ends_of_a_line_are_chosen_whatever_they_cost(self):
        """They are neither charged nor kept from being chosen."""
        allowed = np.array([False, True, True, True, False])
        answer = solve([line(4, 2, 2, cost=[9, 9, 1, 9, 9], allowed=allowed)], ["worst", "total"])
        assert answer.positions == ((0, 2, 4),)
        assert values(answer) == {"worst": 1, "total": 1}

    def test_unbroken_line_has_no_worst_break(self):
        """With no break chosen the worst is 0, and so is the total."""
        assert values(solve([line(4, 2, 4, cost=[9] * 5)], ["worst", "total"])) == {"worst": 0, "total": 0}


class TestManyTracks:
    def test_different_lengths_are_counted_over_all_tracks(self):
        """Lines of 12 and 15 share pieces of 3; alone each would be one length anyway."""
        answer = solve([line(12, 3, 6), line(15, 3, 6)], ["different", "pieces"])
        assert answer.positions == (tuple(range(0, 13, 3)), tuple(range(0, 16, 3)))
        assert values(answer) == {"different": 1, "pieces": 9}

    def test_fewest_pieces_come_first_where_asked_first(self):
        """In the other order 12 = 6 + 6 and 15 = 5 + 5 + 5 take five pieces of two lengths."""
        answer = solve([line(12, 3, 6), line(15, 3, 6)], ["pieces", "different"])
        assert values(answer) == {"pieces": 5, "different": 2}

    def test_worst_is_the_greatest_over_all_tracks(self):
        """A track that must take a break of 7 frees the other to take its own of 6."""
        one, two = line(4, 2, 2, cost=[0, 0, 7, 0, 0]), line(4, 2, 2, cost=[0, 0, 6, 0, 0])
        assert values(solve([one, two], ["worst", "total"])) == {"worst": 7, "total": 13}

    def test_tracks_without_a_shared_goal_are_solved_each_for_itself(self):
        """Sums over tracks are the sums of their own best (decomposition)."""
        rng = np.random.default_rng(3)
        tracks = [random_track(rng, size, closed) for size, closed in ((150, True), (211, False), (90, True))]
        alone = [solve([track], ["pieces", "total"]) for track in tracks]
        both = solve(tracks, ["pieces", "total"])
        assert values(both) == {g: sum(values(a)[g] for a in alone) for g in ("pieces", "total")}
        assert both.positions == tuple(a.positions[0] for a in alone)


class TestTies:
    def test_lowest_positions_are_taken(self):
        """Of all ways to break a free line of 6 into 2…4 the lowest is 2, 4; into two pieces, 2."""
        assert solve([line(6, 2, 4)], ["total"]).positions == ((0, 2, 4, 6),)
        assert solve([line(6, 2, 4)], ["pieces"]).positions == ((0, 2, 6),)

    def test_ring_that_ends_sooner_is_lower(self):
        """(0,) comes before (0, 2): a choice that is the beginning of another is the lower one."""
        assert solve([ring(4, 2, 4)], ["worst"]).positions == ((0,),)

    def test_first_track_decides_before_the_second(self):
        """Lengths 2 or 3 serve both lines of 6; 2 gives the lower first break on the first."""
        answer = solve([line(6, 2, 3), line(6, 2, 3)], ["different"])
        assert answer.positions == ((0, 2, 4, 6), (0, 2, 4, 6))

    def test_same_problem_has_the_same_answer(self):
        """Solved twice, all is equal."""
        track = random_track(np.random.default_rng(8), 400, closed=True, prices=5)
        assert solve([track], GOALS) == solve([track], GOALS)


class TestSymmetry:
    """Prices are drawn from so many that the best answer is the only one."""

    @pytest.mark.parametrize("shift", [1, 17, 119])
    @pytest.mark.parametrize("goals", [("pieces", "total"), ("worst", "pieces", "different", "total")])
    def test_turned_ring_has_the_turned_answer(self, shift, goals):
        """Where position 0 lies does not matter."""
        track = random_track(np.random.default_rng(shift), 240, closed=True)
        turned = replace(track, cost=np.roll(track.cost, shift), allowed=np.roll(track.allowed, shift))
        one, other = solve([track], goals), solve([turned], goals)
        assert one.met == other.met
        assert tuple(sorted((p + shift) % 240 for p in one.positions[0])) == other.positions[0]

    @pytest.mark.parametrize("seed", range(3))
    def test_mirrored_tracks_have_the_mirrored_answer(self, seed):
        """Left and right are alike, but for a line's last piece."""
        rng = np.random.default_rng(seed)
        for closed in (True, False):
            track = random_track(rng, 200, closed)
            mirrored = replace(track, cost=track.cost[::-1].copy(), allowed=track.allowed[::-1].copy())
            one, other = solve([track], ["pieces", "total"]), solve([mirrored], ["pieces", "total"])
            assert one.met == other.met
            top = 199 if closed else 200
            assert tuple(sorted(top - p for p in one.positions[0])) == other.positions[0]

    def test_greater_prices_scale_the_total(self):
        """Threefold prices: same positions, threefold total."""
        track = random_track(np.random.default_rng(4), 300, closed=True)
        one = solve([track], ["pieces", "total"])
        other = solve([replace(track, cost=3 * track.cost)], ["pieces", "total"])
        assert other.positions == one.positions
        assert values(other)["total"] == 3 * values(one)["total"]


def cheapest_of(track, count):
    """Least total of `count` breaks on a ring, by linear programming; None: there are no such breaks.

    With the number fixed the program's corners are whole (Bartholdi, Orlin & Ratliff, Oper. Res. 28, 1980):
    any window of `largest` positions holds one break or more, any of `smallest` one or fewer.
    """
    size = track.size

    def windows(width):
        at = np.arange(size)[:, None] + np.arange(width)
        rows = np.repeat(np.arange(size), width)
        return csr_array((np.ones(rows.size), (rows, at.ravel() % size)), shape=(size, size))

    stacked = csr_array(np.vstack([-windows(track.largest).toarray(), windows(track.smallest).toarray()]))
    limits = np.concatenate([-np.ones(size), np.ones(size)])
    bounds = [(0, int(a)) for a in track.allowed]
    whole = np.ones((1, size))
    found = linprog(track.cost, A_ub=stacked, b_ub=limits, A_eq=whole, b_eq=[count], bounds=bounds, method="highs")
    return None if found.status == 2 else found.fun


@pytest.mark.parametrize("seed", range(6))
def test_ring_agrees_with_the_linear_program_at_its_number_of_pieces(seed):
    """The least total at the fewest pieces is the program's; at one piece fewer the program has no answer."""
    track = random_track(np.random.default_rng(seed), 160, closed=True, prices=1000)
    best = values(solve([track], ["pieces", "total"]))
    assert cheapest_of(track, best["pieces"]) == pytest.approx(best["total"], abs=1e-6)
    assert cheapest_of(track, best["pieces"] - 1) is None


def test_least_total_is_the_least_over_all_numbers_of_pieces():
    """With the total first, no number of pieces does better in the linear program."""
    track = random_track(np.random.default_rng(11), 120, closed=True, prices=1000)
    totals = [cheapest_of(track, count) for count in range(120 // 34, 120 // 8 + 1)]
    least = min(total for total in totals if total is not None)
    assert values(solve([track], ["total"]))["total"] == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("goals", list(itertools.permutations(GOALS))[::5])
def test_goals_in_any_order_are_proved_at_250_positions(goals):
    """Every goal meets its bound, and the check finds nothing."""
    tracks = [random_track(np.random.default_rng(2), 250, closed=True, prices=1000)]
    answer = solve(tracks, goals)
    assert answer.proved
    assert verify_breaks(tracks, goals, answer) == ()


def test_too_little_effort_ends_with_a_bound_below_the_value():
    """With next to no effort the number of lengths is left open; the answer is sound all the same."""
    track = random_track(np.random.default_rng(5), 600, closed=True, prices=1000)
    goals = ("worst", "different", "total")
    answer = solve([track], goals, effort=1000)
    found = {met.goal: met for met in answer.met}
    assert found["worst"].proved
    assert not found["different"].proved
    assert found["different"].bound < found["different"].value
    assert verify_breaks([track], goals, answer) == ()


def test_more_effort_never_leaves_more_lengths():
    """What is tried with little effort is tried with more."""
    track = random_track(np.random.default_rng(6), 250, closed=True, prices=1000)
    little, much = (values(solve([track], ("worst", "different"), effort=e)) for e in (1000, 10**9))
    assert much["different"] <= little["different"]


def test_progress_is_told_after_each_goal():
    """Shares rise to 1."""
    told = []
    solve([ring(12, 2, 4)], ["pieces", "worst", "total"], progress=told.append)
    assert told == [1 / 3, 2 / 3, 1.0]
    told.clear()
    solve([ring(12, 2, 4)], ["pieces", "worst", "total", "spread"], progress=told.append)
    assert told == pytest.approx([1 / 4, 2 / 4, 3 / 4, 1.0])


@pytest.mark.parametrize(
    ("tracks", "goals", "message"),
    [
        ([], ["pieces"], "there is no track"),
        ([ring(4, 2, 4)], ["pieces", "pieces"], "'pieces' stands twice"),
        ([ring(4, 2, 4)], ["cheap"], "'cheap' is not one of pieces, worst, different, total"),
        ([ring(40, 2, 4, cost=[2**58] * 40)], ["pieces", "total"], "too great to be summed exactly"),
    ],
)
def test_what_cannot_be_solved_is_refused(tracks, goals, message):
    """No tracks, unknown or repeated goals, and prices past 60 bits."""
    with pytest.raises(ValueError, match=message):
        solve(tracks, goals)


def test_no_goal_at_all_gives_the_lowest_breaks():
    """Without goals any way is best; the lowest is taken."""
    assert solve([line(6, 2, 4)], []).positions == ((0, 2, 4, 6),)
