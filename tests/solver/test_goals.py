"""The lexicographic driver, with made-up answers to choose from."""

from __future__ import annotations

import itertools

import pytest

from solver.goals import check_goals, meet
from solver.problems import Met

ANSWERS = [
    {"a": 2, "b": 1, "c": 5},
    {"a": 1, "b": 3, "c": 4},
    {"a": 1, "b": 2, "c": 9},
    {"a": 1, "b": 2, "c": 7},
    {"a": 3, "b": 3, "c": 1},
]


class Listed:
    """Answers in a list; `slack` lowers all bounds."""

    def __init__(self, answers, slack=0, log=None):
        self.answers, self.slack, self.log = answers, slack, [] if log is None else log

    def least(self, goal):
        self.log.append(("least", goal))
        return min((answer[goal] for answer in self.answers), default=None)

    def bound(self, goal):
        self.log.append(("bound", goal))
        return min(answer[goal] for answer in self.answers) - self.slack

    def hold(self, goal, value):
        self.log.append(("hold", goal, value))
        self.answers = [answer for answer in self.answers if answer[goal] <= value]


@pytest.mark.parametrize("goals", list(itertools.permutations("abc")))
def test_each_goal_is_met_among_the_answers_that_keep_the_earlier_ones(goals):
    """Any order gives the lexicographic least."""
    met = meet(Listed(ANSWERS), Listed(ANSWERS), goals)
    assert tuple(m.value for m in met) == min(tuple(answer[g] for g in goals) for answer in ANSWERS)
    assert all(m.proved and m.bound == m.value for m in met)


def test_bound_below_the_value_proves_nothing():
    """A goal is proved when its value and its bound meet, and only then."""
    assert meet(Listed(ANSWERS), Listed(ANSWERS, slack=1), ["b"]) == (Met("b", 1, 0, proved=False),)


def test_no_answer_is_none():
    """Nothing to choose from: nothing is met, and no bound is asked for."""
    floor = Listed([])
    assert meet(Listed([]), floor, ["a", "b"]) is None
    assert floor.log == []


def test_bound_is_given_before_the_value_is_told():
    """The floor hears a goal's value only after its bound stands."""
    floor = Listed(ANSWERS)
    meet(Listed(ANSWERS), floor, ["a", "c"])
    assert floor.log == [("bound", "a"), ("hold", "a", 1), ("bound", "c"), ("hold", "c", 4)]


def test_progress_rises_to_one():
    """One share for each goal."""
    told = []
    meet(Listed(ANSWERS), Listed(ANSWERS), ["a", "b"], told.append)
    assert told == [0.5, 1.0]


@pytest.mark.parametrize(("goals", "message"), [(["a", "d"], "'d' is not one of a, b"), (["a", "a"], "twice")])
def test_unknown_and_repeated_goals_are_refused(goals, message):
    """Each goal must be known and stand once."""
    with pytest.raises(ValueError, match=message):
        check_goals(goals, ("a", "b"))


def test_known_goals_come_back_in_their_order():
    """They are not sorted."""
    assert check_goals(["b", "a"], ("a", "b")) == ("b", "a")
