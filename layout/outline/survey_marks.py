"""The marks of a survey as numbers, and whether a line can be laid through them at all."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.errors import Fault, JobFaults
from layout.job.model_survey import Survey
from layout.outline.segment import Floats
from layout.units import format_length

LEAST_PRICE = 5.0
"""Squares in measuring errors that a figure must save at least: with few marks ln n alone lets one in ten straights
bend by chance, this one in forty (chi-square of one figure)."""

LEAST_CLOSED = 6
"""Marks: an ellipse has five figures, so with fewer than six nothing tells a slip (assumed)."""

LEAST_OPEN = 3
"""Marks: two make a straight of any wall, a third says whether it is one (assumed)."""

MOST_MARKS = 1000
"""Marks: one every inch round a counter of 25 m (assumed); the search grows with their square."""

CLOSING = 4.0
"""Measuring errors within which a loop's last mark is its first taken again (assumed)."""

FLAT = 4.0
"""Measuring errors within which all marks lie on one straight, so that no loop goes through them (assumed)."""

SHORTEST_LINE = 300.0
"""mm across all marks; no counter is smaller: a slip of the unit (assumed)."""


@dataclass(frozen=True, eq=False)
class Marks:
    """Marks in the order in which they stand along the wall."""

    xy: Floats
    """mm, shape (n, 2)"""
    sigma: Floats
    """mm, measuring error of each across the wall, shape (n,)"""
    closed: bool

    @property
    def count(self) -> int:
        """Return how many there are."""
        return len(self.sigma)

    def only(self, kept: NDArray[np.bool_]) -> Marks:
        """Return those that are kept, in the same order."""
        return replace(self, xy=self.xy[kept], sigma=self.sigma[kept])

    def from_mark(self, first: int) -> Marks:
        """Return the marks of a loop taken from another first one."""
        return replace(self, xy=np.roll(self.xy, -first, axis=0), sigma=np.roll(self.sigma, -first))


def price(marks: int) -> float:
    """Return what a figure costs in squares of measuring errors: ln n, with few marks more.

    >>> price(20), round(price(1000), 3)
    (5.0, 6.908)
    """
    return max(math.log(marks), LEAST_PRICE)


def sound_marks(survey: Survey, closed: bool, key: str, units: str) -> tuple[Marks, bool]:
    """Return the marks of a survey, and whether its last one was the first of a loop taken again.

    Parameters
    ----------
    survey
        What was measured.
    closed
        Whether the marks go round a loop.
    key
        Where they stand in the job file, for the faults.
    units
        The job's units, for the words.

    Raises
    ------
    JobFaults
        Where there are too few or too many, two stand at one place, they are out of order, or no line of
        a counter's size goes through them.
    """
    xy = np.array([(mark.x, mark.y) for mark in survey.marks], dtype=np.float64).reshape(-1, 2)
    sigma = np.array([mark.sigma for mark in survey.marks], dtype=np.float64)
    again = closed and len(xy) > LEAST_CLOSED and math.dist(xy[0], xy[-1]) <= CLOSING * sigma[0]
    marks = Marks(xy[:-1], sigma[:-1], closed) if again else Marks(xy, sigma, closed)
    if fault := _number_fault(marks, key):
        raise JobFaults([fault])
    faults = _same_place_faults(survey, marks, key, units) or _size_faults(marks, key, units)
    faults = faults or _order_faults(survey, marks, key, units) or _end_faults(survey, marks, key)
    if faults:
        raise JobFaults(faults)
    return marks, again


def corner_marks(survey: Survey, marks: Marks, again: bool) -> list[int]:
    """Return which marks are said to stand at corners, rising; a loop's first one taken again stands for the first.

    >>> from layout.job.model_survey import Mark
    >>> ends = [Mark("a", 0.0, 0.0, 1.0), Mark("b", 900.0, 0.0, 1.0), Mark("c", 900.0, 500.0, 1.0, corner=True)]
    >>> corner_marks(Survey(tuple(ends), 1.0), Marks(np.zeros((2, 2)), np.ones(2), closed=True), again=True)
    [0]
    """
    last = marks.count if again else -1
    return sorted({0 if i == last else i for i, mark in enumerate(survey.marks) if mark.corner})


def _number_fault(marks: Marks, key: str) -> Fault | None:
    least = LEAST_CLOSED if marks.closed else LEAST_OPEN
    if marks.count < least:
        line = "a loop" if marks.closed else "an open line"
        return Fault(key, f"{marks.count} marks", f"{line} needs at least {least} marks", "Take more marks")
    if marks.count > MOST_MARKS:
        rule = f"a survey has at most {MOST_MARKS} marks"
        return Fault(key, f"{marks.count} marks", rule, "Leave out every second one")
    return None


def _same_place_faults(survey: Survey, marks: Marks, key: str, units: str) -> list[Fault]:
    """Find marks that follow each other within one measuring error: their order cannot be known."""
    faults = []
    for i in range(marks.count if marks.closed else marks.count - 1):
        j = (i + 1) % marks.count
        if math.dist(marks.xy[i], marks.xy[j]) <= max(marks.sigma[i], marks.sigma[j]):
            names = f"marks {survey.marks[i].name} and {survey.marks[j].name}"
            rule = f"two marks stand at different places, and {names} are both at {place(marks.xy[j], units)}"
            faults.append(Fault(survey.marks[j].key or key, "", rule, "Leave one of them out, or look at its figures"))
    return faults


def _end_faults(survey: Survey, marks: Marks, key: str) -> list[Fault]:
    """Find corners at the ends of an open line, where nothing meets."""
    ends = [] if marks.closed else [survey.marks[0], survey.marks[marks.count - 1]]
    rule = "an open line ends at its first and last mark, and there is no corner"
    return [
        Fault(mark.key or key, "", f"{rule}: mark {mark.name}", "Leave it out of the corners")
        for mark in ends
        if mark.corner
    ]


def _size_faults(marks: Marks, key: str, units: str) -> list[Fault]:
    middle = marks.xy - marks.xy.mean(axis=0)
    _, _, axes = np.linalg.svd(middle, full_matrices=False)
    along, across = middle @ axes.T[:, 0], middle @ axes.T[:, 1]
    if np.ptp(along) < SHORTEST_LINE:
        reach = f"{format_length(float(np.ptp(along)), units)} across"
        rule = f"a surveyed line is at least {format_length(SHORTEST_LINE, units)} across"
        return [Fault(key, reach, rule, "Look at the units of the marks")]
    if marks.closed and (np.abs(across) <= FLAT * marks.sigma).all():
        rule = "a loop encloses something, and these marks lie on one straight"
        return [Fault(key, f"{marks.count} marks", rule, "Take marks all round, or say closed = false")]
    return []


def _order_faults(survey: Survey, marks: Marks, key: str, units: str) -> list[Fault]:
    """Find the first place where the straights from mark to mark cross each other."""
    import shapely  # noqa: PLC0415 - 0.1 s that other shapes need not pay

    ends = np.roll(marks.xy, -1, axis=0) if marks.closed else marks.xy[1:]
    starts = marks.xy if marks.closed else marks.xy[:-1]
    chords = [shapely.LineString(pair) for pair in np.stack([starts, ends], axis=1)]
    one, other = shapely.STRtree(chords).query(chords, predicate="intersects")
    count = len(chords)
    apart = (other - one) % marks.count
    found = (one < other) & (apart > 1) & (apart < (marks.count - 1 if marks.closed else marks.count))
    if not found.any():
        return []
    first = min(zip(one[found].tolist(), other[found].tolist(), strict=True))
    i, j = first
    names = [survey.marks[k % marks.count].name for k in (i, i + 1, j, (j + 1) % max(count, marks.count))]
    where = shapely.get_coordinates(chords[i].intersection(chords[j]))[0]
    rule = (
        f"marks follow each other along the wall, and from {names[0]} to {names[1]} the line crosses itself "
        f"from {names[2]} to {names[3]}, at {place(where, units)}"
    )
    return [Fault(key, "", rule, "Put the marks in order, and look at the figures of those four")]


def place(xy: Floats, units: str) -> str:
    """Return a place in plan in words.

    >>> place(np.array([25.4, -12.7]), "in")
    'x 1 in, y -1/2 in'
    """
    return f"x {format_length(float(xy[0]), units)}, y {format_length(float(xy[1]), units)}"
