"""What was read of a survey: how many marks, what line they make, how far off it they stand."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SurveyedPiece:
    """One piece of the line that marks were found to make, in the order of the marks."""

    kind: str
    """straight · arc · ellipse"""
    x: float
    """mm, of its start; of an ellipse its centre"""
    y: float
    heading: float
    """radians, in which it starts; of an ellipse its long axis"""
    length: float
    """mm, along it"""
    bend: float = 0.0
    """1/mm, left positive"""
    semi_axes: tuple[float, float] | None = None
    """mm, of an ellipse, walked anticlockwise all round from the end of its long axis"""


@dataclass(frozen=True)
class Suspect:
    """A mark that stands further off the line than honest measuring explains."""

    mark: str
    off: float
    """mm, to the right of the line as drawn: outside of a loop that runs anticlockwise"""
    errors: float
    """the same in measuring errors, unsigned"""
    left_out: bool
    """whether it is so clearly a blunder that the line was laid without it"""


@dataclass(frozen=True)
class SurveySource:
    """A surveyed outline as read."""

    how: str
    """points · offsets · tapes"""
    file: str
    """empty where the marks stand in the job file"""
    marks: int
    """as given"""
    closing_mark: bool
    """whether the last mark was the first of the loop taken again, and left aside"""
    shape: str
    """circle · ellipse · stadium · rounded-rectangle · straights and arcs · fair curve"""
    pieces: tuple[SurveyedPiece, ...]
    sigma: float
    """mm, the measuring error stated"""
    off: tuple[tuple[str, float], ...]
    """each mark's name and mm to the right of the line as drawn, blunders too"""
    rms: float
    """mm, root of the mean square of those not left out"""
    worst: tuple[str, float]
    """of those not left out"""
    suspects: tuple[Suspect, ...]
    explained: bool
    """whether what is left over is no more than the stated measuring error explains"""
    length_error: float = 0.0
    """mm, standard deviation of the line's length by the measuring error, as far as its shape is right"""
    unseen: tuple[str, str, float] | None = None
    """two neighbouring marks between which the line bends a good deal, and the radians that it turns there"""
