"""Caps: what they change, how totals within a number of pieces are found, and proofs that fail when a search does."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

import solver.backward
import solver.forward
import solver.lowest
from solver.backward import Backward
from solver.breaks import GOALS, solve
from solver.capped import TooHardError, solve_courses
from solver.charges import GONE, Charges, added
from solver.courses import course_of
from solver.forward import Forward
from solver.mirror import solve_mirrored
from solver.problems import Track
from solver.verify import verify_breaks
from solver.weights import PIECES, TOTAL, Weights
from tests.solver.breaks_oracle import tiny_track
from tests.solver.test_breaks import cheapest_of


def random_track(rng, size, closed, prices=1000, **more):
    count = size if closed else size + 1
    return Track(size, closed, 8, 34, rng.integers(0, prices, count), rng.random(count) > 0.2, **more)


def free_line(size, smallest, largest, cost):
    return Track(size, False, smallest, largest, np.array(cost), np.full(size + 1, True))


def values(answer):
    return {met.goal: met.value for met in answer.met}


class TestCaps:
    def test_fewer_pieces_cost_more(self):
        """A line of 6, free at 2 and 4, dear at 3: three pieces for nothing, two for 7, never one of at most 3."""
        line = free_line(6, 2, 3, [0, 9, 0, 7, 0, 9, 0])
        assert solve([line], ["total"], most={"pieces": 3}).positions == ((0, 2, 4, 6),)
        assert solve([line], ["total"], most={"pieces": 2}).positions == ((0, 3, 6),)
        assert solve([line], ["total"], most={"pieces": 1}).positions is None

    def test_pieces_are_capped_over_all_tracks_together(self):
        """Of two such lines one may be broken for nothing where five pieces are allowed, none where four are."""
        lines = [free_line(6, 2, 3, [0, 9, 0, 7, 0, 9, 0])] * 2
        totals = [values(solve(lines, ["total"], most={"pieces": most}))["total"] for most in (6, 5, 4)]
        assert totals == [0, 7, 14]
        assert solve(lines, ["total"], most={"pieces": 5}).positions == ((0, 2, 4, 6), (0, 3, 6))

    @pytest.mark.parametrize(("goal", "least"), [("pieces", 8), ("worst", 50), ("different", 1), ("spread", 0)])
    def test_cap_at_the_least_value_does_and_one_less_does_not(self, goal, least):
        """The last cap that can be kept, and the first that cannot."""
        tracks = [random_track(np.random.default_rng(2), 250, closed=True)]
        best = values(solve(tracks, [goal]))[goal]
        answer = solve(tracks, ["total"], most={goal: best})
        assert verify_breaks(tracks, ["total"], answer, most={goal: best}) == ()
        assert solve(tracks, ["total"], most={goal: best - 1}).positions is None
        assert best >= least

    @pytest.mark.parametrize("closed", [True, False])
    @pytest.mark.parametrize("more", [1, 2])
    def test_worst_then_total_within_pieces_is_proved_at_250(self, closed, more):
        """The check finds nothing, the worst is no worse than with fewer pieces, and all is proved."""
        tracks = [random_track(np.random.default_rng(2), 250, closed)]
        fewest = values(solve(tracks, ["pieces"]))["pieces"]
        most = {"pieces": fewest + more}
        answer = solve(tracks, ["worst", "total"], most=most)
        assert verify_breaks(tracks, ["worst", "total"], answer, most=most) == ()
        assert answer.proved
        tight = solve(tracks, ["worst", "total"], most={"pieces": fewest})
        assert [m.value for m in answer.met] <= [m.value for m in tight.met]

    def test_cap_at_the_fewest_pieces_is_the_goal_of_fewest_pieces(self):
        """Both leave the same answers."""
        tracks = [random_track(np.random.default_rng(4), 300, closed=True)]
        first = solve(tracks, ["pieces", "worst", "total"])
        capped = solve(tracks, ["worst", "total"], most={"pieces": values(first)["pieces"]})
        assert (capped.positions, capped.met) == (first.positions, first.met[1:])

    def test_loose_caps_change_nothing(self):
        """A cap that the best answer keeps leaves it the best one."""
        tracks = [random_track(np.random.default_rng(5), 300, closed=False)]
        free = solve(tracks, ["pieces", "total"])
        caps = {"pieces": 10**6, "total": 10**9, "different": 99, "spread": 99, "worst": 10**6}
        assert solve(tracks, ["pieces", "total"], most=caps) == free
        courses, loose = [course_of(t) for t in tracks], dict.fromkeys(GOALS, 10**30)
        assert solve_courses(courses, ("pieces", "total"), loose, 10**9, None) == free

    @pytest.mark.parametrize("goal", GOALS)
    def test_nothing_is_below_nothing(self, goal):
        """No answer keeps a cap of −1, not even a line that stays whole."""
        assert solve([free_line(4, 2, 6, [0] * 5)], ["total"], most={goal: -1}).positions is None
        assert solve([free_line(4, 2, 6, [0] * 5)], ["total"], most={goal: 1}).positions is not None

    def test_unknown_cap_is_refused(self):
        """Caps are named as goals are."""
        with pytest.raises(ValueError, match="'cheap' is not one of"):
            solve([free_line(6, 2, 3, [0] * 7)], ["total"], most={"cheap": 3})

    def test_costs_past_what_can_be_summed_are_refused(self):
        """As without caps, only sooner."""
        with pytest.raises(ValueError, match="too great to be summed exactly"):
            solve_mirrored([free_line(60, 2, 3, [2**54] * 61)], [60], ["total"])


class TestSpread:
    @pytest.mark.parametrize(("size", "spread"), [(20, 0), (21, 0), (22, 1), (23, 1), (29, 1)])
    def test_free_line_in_pieces_of_three_to_five_is_as_even_as_can_be(self, size, spread):
        """The lengths of k pieces are floor and ceiling of size / k; 0 where a length from 3 to 5 divides it."""
        least = solve([free_line(size, 3, 5, [0] * (size + 1))], ["spread"])
        assert values(least) == {"spread": spread}
        assert spread == int(all(size % n for n in (3, 4, 5)))

    def test_whole_short_line_counts_as_a_piece(self):
        """A line of 2 beside one of 12 in pieces of 3 to 6: the least spread is 3 − 2."""
        lines = [free_line(2, 3, 6, [0] * 3), free_line(12, 3, 6, [0] * 13)]
        assert values(solve(lines, ["pieces", "spread"])) == {"pieces": 3, "spread": 4}
        assert values(solve(lines, ["spread"])) == {"spread": 1}

    @pytest.mark.parametrize("goals", [("pieces", "worst", "different", "total", "spread"), ("pieces", "spread")])
    def test_spread_after_other_goals_is_proved_at_250(self, goals):
        """The check finds nothing, and the goals before keep their values."""
        tracks = [random_track(np.random.default_rng(2), 250, closed=True)]
        answer = solve(tracks, goals)
        assert answer.proved
        assert verify_breaks(tracks, goals, answer) == ()
        assert answer.met[:-1] == solve(tracks, goals[:-1]).met


def drawn(rng, count):
    """Courses of random tracks, large enough for slopes to matter."""
    return [
        course_of(random_track(rng, int(rng.integers(60, 140)), bool(rng.random() < 0.5), prices=30))
        for _ in range(count)
    ]


@pytest.mark.parametrize("kernel", [Backward(), Forward()])
@pytest.mark.parametrize("seed", range(6))
def test_line_lowered_onto_the_totals_gives_what_counting_gives(kernel, seed):
    """Rings and lines: the least total within each number of pieces by slopes is that by counted pieces."""
    rng = np.random.default_rng(seed)
    charges = Charges(drawn(rng, 1 + seed % 2), kernel)
    window = None if seed % 3 else frozenset(range(10, 25))
    fewest, dear = divmod(int(charges.least(charges.pieces_first, [window], None)[0]), charges.per_total)
    cheap, more = divmod(int(charges.least(charges.total_first, [window], None)[0]), charges.per_piece)
    counted = np.minimum.accumulate(charges.by_pieces(window, more, None))
    assert counted[fewest] == dear
    assert counted[more] == cheap
    assert fewest == 0 or counted[fewest - 1] == GONE
    for most in range(fewest + 1, more):
        assert charges.total_within(window, most, None, (fewest, dear, more, cheap)) == counted[most]


@pytest.mark.parametrize("seed", range(3))
def test_capped_totals_agree_with_the_linear_program(seed):
    """The least total within k pieces is the least of the program's at 1 … k pieces."""
    track = random_track(np.random.default_rng(seed), 120, closed=True)
    fewest = values(solve([track], ["pieces"]))["pieces"]
    at = {count: cheapest_of(track, count) for count in range(fewest, fewest + 4)}
    for most in at:
        least = min(total for count, total in at.items() if count <= most and total is not None)
        assert values(solve([track], ["total"], most={"pieces": most}))["total"] == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_figures_from_the_end_and_from_the_start_agree(seed):
    """On tiny tracks, mirrored or not: by one sum, by pieces, and by sets of lengths."""
    rng = np.random.default_rng(seed)
    for _ in range(200):
        track = tiny_track(rng)
        mirror = None if rng.random() < 0.5 else track.size
        course = course_of(track, mirror).thinned(int(rng.integers(2, 9)))
        for weights in (PIECES, TOTAL, Weights(7, 3)):
            least = [kernel.least(course, weights, None) for kernel in (Backward(), Forward())]
            assert least[0] == least[1]
            sets = np.array([[a, b] for a in range(1, 9) for b in range(a + 1, 9)])
            by_set = [kernel.of_sets(course, weights, sets) for kernel in (Backward(), Forward())]
            one_by_one = [Backward().least(course, weights, frozenset(row)) for row in sets.tolist()]
            assert by_set[0].tolist() == by_set[1].tolist() == one_by_one
        counted = [kernel.by_pieces(course, None, 6) for kernel in (Backward(), Forward())]
        assert counted[0].tolist() == counted[1].tolist()


def test_totals_of_courses_are_shared_out():
    """Two courses of 9, 4, 1 for 0, 1, 2 pieces: two pieces together are best as 1 + 1 or 2 + 0."""
    assert added(np.array([9, 4, 1]), np.array([9, 4, 1])).tolist() == [18, 13, min(4 + 4, 9 + 1)]


KEPT = [frozenset(range(8, 20)), frozenset(range(20, 35)), frozenset(range(8, 35, 3)), frozenset((8, 9, 30, 31))]
"""lengths that a damaged search is left with"""


class TestProofs:
    @pytest.mark.parametrize("goal", ["pieces", "worst", "total", "spread"])
    def test_search_that_misses_good_lengths_is_not_proved(self, goal, monkeypatch):
        """Let the search see some lengths only: what this worsens is left open by its bound."""
        tracks = [random_track(np.random.default_rng(12), 151, closed) for closed in (True, False)]
        mirrors = [None, 151]
        best = solve_mirrored(tracks, mirrors, [goal])
        assert best.proved
        gates, windows = solver.backward.with_length, solver.backward._windows
        worse = 0
        for seen in KEPT:

            def few(lengths, seen=seen):
                return seen if lengths is None else lengths & seen

            for module in (solver.backward, solver.lowest):
                monkeypatch.setattr(module, "with_length", lambda found, n, few=few: gates(found, few(n)))
            monkeypatch.setattr(solver.backward, "_windows", lambda c, n, s, few=few: windows(c, few(n), s))
            answer = solve_mirrored(tracks, mirrors, [goal])
            if answer.positions is not None and answer.met[0].value > best.met[0].value:
                worse += 1
                assert answer.met[0].bound == best.met[0].value
                assert not answer.proved
        assert worse > 0

    def test_bound_that_does_not_hold_bounds_nothing(self, monkeypatch):
        """Raise one reached figure by one: some arc's head then exceeds its tail by more than it charges.

        What is left is that there is a last piece.
        """
        filled = solver.forward._filled

        def raised(*args):
            figures = filled(*args)
            rows = np.flatnonzero((figures < solver.forward.NEVER).any(axis=1))
            row = rows[len(rows) // 2]
            figures[row, figures[row] < solver.forward.NEVER] += 1
            return figures

        monkeypatch.setattr(solver.forward, "_filled", raised)
        track = random_track(np.random.default_rng(12), 151, closed=False)
        answer = solve_mirrored([track], [151], ["pieces", "total"])
        assert [met.bound for met in answer.met] == [1, 0]
        assert not answer.proved

    @pytest.mark.parametrize("effort", [0, 10**5, 10**7])
    def test_too_little_effort_leaves_goals_open_and_bounds_below(self, effort):
        """The answers are sound, and no bound is above what more effort finds."""
        tracks = [random_track(np.random.default_rng(5), 150, closed=True)]
        goals = ("worst", "different", "total", "spread")
        most = {"pieces": values(solve(tracks, ["pieces"]))["pieces"] + 1}
        little, much = (solve(tracks, goals, most=most, effort=e) for e in (effort, 10**10))
        assert much.proved
        for answer in (little, much):
            assert verify_breaks(tracks, goals, answer, most=most) == ()
        assert little.met[1].bound <= much.met[1].value <= little.met[1].value

    def test_cap_on_lengths_that_is_not_settled_is_told(self):
        """Neither found nor ruled out: no answer is made up."""
        tracks = [random_track(np.random.default_rng(5), 250, closed=True)]
        worst = values(solve(tracks, ["worst"]))
        with pytest.raises(TooHardError, match="whether 4 different lengths do is too much work to settle"):
            solve(tracks, ["pieces"], most={**worst, "different": 4}, effort=1000)
        answer = solve(tracks, ["pieces"], most={"different": 2})
        assert verify_breaks(tracks, ["pieces"], answer, most={"different": 2}) == ()
        assert answer.proved


def test_same_problem_has_the_same_answer():
    """Solved twice, all is equal, with ties galore."""
    tracks = [random_track(np.random.default_rng(8), 200, closed=True, prices=4)]
    goals, most = ("worst", "different", "total", "spread"), {"pieces": 9}
    assert solve(tracks, goals, most=most) == solve(tracks, goals, most=most)


def test_lengths_of_an_answer_lie_within_its_spread():
    """What is told is what is there."""
    (chosen,) = solve([free_line(29, 3, 5, [0] * 30)], ["spread"]).positions
    lengths = [b - a for a, b in pairwise(chosen)]
    assert max(lengths) - min(lengths) == 1
