"""Breaks that are mirrored about an axis of their track."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from solver.answers import Breaks
from solver.backward import Backward
from solver.breaks import EFFORT, GOALS
from solver.capped import solve_courses
from solver.charges import GONE
from solver.courses import course_of
from solver.goals import check_goals
from solver.problems import Track
from solver.weights import Weights


def solve_mirrored(
    tracks: Sequence[Track],
    mirrors: Sequence[int | None],
    goals: Sequence[str],
    *,
    most: Mapping[str, int] | None = None,
    effort: int = EFFORT,
    progress: Callable[[float], None] | None = None,
) -> Breaks:
    """Break the tracks as `breaks.solve` does, each the same on both sides of its axis.

    Where a track's mirror is m, position p is chosen just when m − p is: on a ring modulo its size, on a line m must
    be the size. None leaves the track free. A mirrored line's first piece keeps the limit of its last one too. Of
    equally good answers the lowest is taken, track by track; a mirrored track's positions are compared from its axis
    on: outwards from a ring's, from half of `m` rounded up, inwards from a line's end.

    Raises
    ------
    ValueError
        When there is no track, there is not one mirror a track, a line's is not its size, a goal is not one of
        `GOALS` or stands twice, or costs are too great to be summed.
    TooHardError
        When "different" is among `most`, and the effort does not do to find so few lengths or to rule them out.

    Examples
    --------
    >>> import numpy as np
    >>> line = Track(9, False, 2, 4, np.array([0, 9, 9, 1, 9, 9, 9, 9, 9, 0]), np.full(10, True))
    >>> solve_mirrored([line], [9], ["pieces", "total"]).positions
    ((0, 3, 6, 9),)
    >>> ring = Track(6, True, 2, 2, np.zeros(6, int), np.full(6, True))
    >>> [solve_mirrored([ring], [mirror], ["pieces"]).positions for mirror in (0, 1)]
    [((0, 2, 4),), None]
    """
    if not tracks:
        raise ValueError("there is no track to break")
    courses = [course_of(track, mirror) for track, mirror in zip(tracks, mirrors, strict=True)]
    goals, most = check_goals(goals, GOALS), dict(most or {})
    check_goals(tuple(most), GOALS)
    return solve_courses(courses, goals, most, effort, progress)


def has_mirrored_way(track: Track, mirror: int) -> bool:
    """Whether a track can be broken the same on both sides of its axis.

    Examples
    --------
    >>> import numpy as np
    >>> line = lambda size: Track(size, False, 4, 5, np.zeros(size + 1, int), np.full(size + 1, True))
    >>> [size for size in range(1, 15) if has_mirrored_way(line(size), size)]
    [1, 2, 3, 4, 5, 8, 10, 12, 13, 14]
    """
    course = course_of(track, mirror)
    return Backward().least(course, Weights(0, 0), None) < GONE
