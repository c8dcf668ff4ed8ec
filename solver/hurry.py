"""Time that somebody gives: where it is given, and only there, the clock may decide how an answer ends."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Protocol, runtime_checkable

LEAST = 0.05
"""seconds with which nothing is begun any more (assumed)"""


@runtime_checkable
class Timed(Protocol):
    """Says how much time there is."""

    def left(self) -> float:
        """Return the seconds left."""


class Deadline:
    """Says whether some seconds are over, and how many are left.

    Examples
    --------
    >>> now = [100.0]
    >>> hurry = Deadline(5.0, clock=lambda: now[0])
    >>> hurry(), hurry.left()
    (False, 5.0)
    >>> now[0] = 106.0
    >>> hurry(), hurry.left()
    (True, 0.0)
    """

    def __init__(self, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        """Begin to count."""
        self._clock = clock
        self._end = clock() + seconds

    def __call__(self) -> bool:
        """Tell whether the time is up."""
        return self._clock() >= self._end

    def left(self) -> float:
        """Return the seconds left."""
        return max(0.0, self._end - self._clock())


def left_of(hurry: Callable[[], bool] | None) -> float | None:
    """Return the seconds that are left; None: nobody said.

    Examples
    --------
    >>> left_of(None) is None, left_of(lambda: False) is None, left_of(lambda: True)
    (True, True, 0.0)
    """
    if hurry is None:
        return None
    if isinstance(hurry, Timed):
        return hurry.left()
    return 0.0 if hurry() else None
