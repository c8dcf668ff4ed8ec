"""The one lexicographic driver: meet a goal, hold it, meet the next; and bound each from a second source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol, runtime_checkable

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


@runtime_checkable
class Further(Protocol):
    """A search that can look further when its value is not yet proved."""

    def better(self, goal: str) -> int | None:
        """Return the least value found by now, −1 where none is; None: nothing more can be tried."""


@runtime_checkable
class Sharper(Protocol):
    """A floor that can work harder. It is told only that its bound is not enough."""

    def sharper(self, goal: str) -> int | None:
        """Return a bound that took more work; None: no more is known."""


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
    hurry: Callable[[], bool] | None = None,
) -> tuple[Met, ...] | None:
    """Meet the goals one after another, each held while the next is met; None: no answer was found.

    A bound holds among the answers that keep the earlier goals at their values. `progress` is told the share
    of goals met, 0…1. Where a value and its bound do not meet, a floor that can be `Sharper` and a search that can
    go `Further` take turns until they do, or `hurry` says that it must do as it is.

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
        found = search.least(goal)
        if found is None and not isinstance(search, Further):
            return None
        value, bound = _closed(search, floor, goal, (found, floor.bound(goal)), hurry)
        if value is None:
            return None
        met.append(Met(goal, value, bound, value == bound))
        search.hold(goal, value)
        floor.hold(goal, value)
        if progress is not None:
            progress((done + 1) / len(goals))
    return tuple(met)


def _closed(
    search: Search,
    floor: Floor,
    goal: str,
    known: tuple[int | None, int],
    hurry: Callable[[], bool] | None,
) -> tuple[int | None, int]:
    """Return value and bound, brought together as far as search and floor can."""
    value, bound = known
    sharper = isinstance(floor, Sharper)
    further = isinstance(search, Further)
    while (sharper or further) and value != bound and not (hurry is not None and hurry()):
        if isinstance(floor, Sharper) and sharper:
            higher = floor.sharper(goal)
            sharper = higher is not None
            bound = max(bound, higher or 0)
        if isinstance(search, Further) and further and value != bound:
            lower = search.better(goal)
            further = lower is not None
            value = search.least(goal)
    return value, bound
