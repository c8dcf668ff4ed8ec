"""What a job says of a wall that was measured: marks, and what they were measured from."""

from __future__ import annotations

from dataclasses import dataclass

XY = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """One mark on the wall, in plan."""

    name: str
    """as the survey calls it, else its number from 1"""
    x: float
    """mm"""
    y: float
    sigma: float
    """mm, its measuring error; of two tapes that meet at a flat angle more than the tapes' own"""
    key: str = ""
    """where it stands, for messages: ``outline.points[3]``, ``marks.csv line 4``"""
    corner: bool = False
    """whether the wall has a sharp corner there"""


@dataclass(frozen=True)
class Survey:
    """Marks taken off a wall, in the order in which they stand along it."""

    marks: tuple[Mark, ...]
    sigma: float
    """mm, measuring error of one length"""
    how: str = "points"
    """points (x, y) · offsets (off a base line) · tapes (from two control points)"""
    file: str = ""
    """the file that they were read from; empty where they stand in the job file"""


@dataclass(frozen=True)
class MarksSpec:
    """How marks were measured, and their figures where they stand in the job file."""

    how: str
    """points · offsets · tapes"""
    pairs: tuple[XY, ...] = ()
    """mm: x and y, along and offset, or two tapes; none where a file has them"""
    line: tuple[XY, XY] | None = None
    """mm, the base line's two points, or the two control points"""
    side: str = "left"
    """left · right of the line from the first to the second: of positive offsets, or of all the marks"""
    sigma: float = 1.5
    """mm"""
    corners: tuple[str, ...] = ()
    """names of the marks at sharp corners, those that a table marks so apart"""
