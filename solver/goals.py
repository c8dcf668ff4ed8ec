"""The one lexicographic driver: meet a goal, hold it, meet the next; and bound each from a second source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from solver.problems import Met


class Search(Protocol):
    """Finds answers. It may look ahead in the goals, but answers for one at a time."""

    def least(self, goal: str) -> int | None:
        """Return the least value of `goal` found among answers that keep what is held; None: no answer."""

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""


class Floor(Protocol):
    """Bounds answers from below. It never sees a value before its own bound is given."""

    def bound(self, goal: str) -> int:
        """Return what no answer that keeps what is held can go below."""

    def hold(self, goal: str, value: int) -> None:
        """Keep only answers whose `goal` does not exceed `value`."""


def check_goals(goals: Sequence[str], known: Sequence[str]) -> tuple[str, ...]:
    """Return the goals as a tuple.

    Raises
    ------
    ValueError
        When a goal is not known or stands twice.

    Examples
    --------
    >>> check_goals(["pieces", "total"], ("pieces", "worst", "total"))
    ('pieces', 'total')
    """
    for goal in goals:
        if goal not in known:
            raise ValueError(f"goal {goal!r} is not one of {', '.join(known)}")
        if list(goals).count(goal) > 1:
            raise ValueError(f"goal {goal!r} stands twice")
    return tuple(goals)


def meet(
    search: Search,
    floor: Floor,
    goals: Sequence[str],
    progress: Callable[[float], None] | None = None,
) -> tuple[Met, ...] | None:
    """Meet the goals one after another, each held while the next is met; None: there is no answer.

    A bound holds among the answers that keep the earlier goals at their values. `progress` is told the share
    of goals met, 0…1.

    Examples
    --------
    >>> class Least:
    ...     def __init__(self, answers):
    ...         self.answers = answers
    ...     def least(self, goal):
    ...         return min(answer[goal] for answer in self.answers)
    ...     bound = least
    ...     def hold(self, goal, value):
    ...         self.answers = [answer for answer in self.answers if answer[goal] <= value]
    >>> answers = [{"a": 1, "b": 5}, {"a": 1, "b": 4}, {"a": 2, "b": 0}]
    >>> [(met.goal, met.value, met.proved) for met in meet(Least(answers), Least(answers), ["a", "b"])]
    [('a', 1, True), ('b', 4, True)]
    """
    met: list[Met] = []
    for done, goal in enumerate(goals):
        value = search.least(goal)
        if value is None:
            return None
        bound = floor.bound(goal)
        met.append(Met(goal, value, bound, value == bound))
        search.hold(goal, value)
        floor.hold(goal, value)
        if progress is not None:
            progress((done + 1) / len(goals))
    return tuple(met)
