"""Stretches of back line before their scallops are counted, and the line that scallops are counted on."""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.job.model import Job
from layout.metal.profile import Profile
from layout.outline.chain import Chain
from layout.outline.corners import End

STILL = 1e-7
"""mm: a take-up smaller than this is none"""


@dataclass(frozen=True)
class Span:
    """A stretch of back line that one run fills, before its scallops are counted."""

    outline: int
    """index of its outline"""
    name: str
    start: float
    """mm, station"""
    end: float
    """mm, station; past the line's length where it wraps"""
    turning: float
    """radians turned between its ends, left positive: a parallel at d is longer by d·turning"""
    closed: bool
    start_why: str = "end"
    end_why: str = "end"
    height: float = 0.0
    """mm, of the face there, as seen"""
    zone: str = ""
    """name of the zone that it is in; empty where the face has its own height"""
    cut: str = ""
    """left · right: at which end its last scallop is cut; empty where all are whole"""
    left: int = 0
    """number of the opening that it begins at; 0 for none"""
    right: int = 0
    """number of the opening that it ends at; of a leaf its own twice"""
    leaf: bool = False
    begin: End = field(default_factory=End)
    """what the corner that it begins at changes"""
    stop: End = field(default_factory=End)
    """what the corner that it ends at changes"""
    start_turn: float = 0.0
    """radians that the line turns at the corner that it begins at, left positive; 0 where there is none"""
    back: Chain | None = field(default=None, compare=False, repr=False)
    """the line that it lies on"""

    @property
    def gives(self) -> bool:
        """Whether its scallops are whole, and so must give to fill it."""
        return not self.cut

    def length_at(self, offset: float) -> float:
        """Return its length on the parallel `offset` mm towards the viewer (Steiner), corners seen to.

        >>> Span(0, "bar", start=100.0, end=400.0, turning=0.5, closed=False).length_at(20.0)
        310.0
        """
        return self.end - self.start + offset * self.turning + self.begin.change(offset) + self.stop.change(offset)

    @property
    def called(self) -> str:
        """Return what it is called in a sentence."""
        return f"run {self.name}" if self.name else ("the loop" if self.closed else "the run")


def count_height(job: Job, profile: Profile) -> float:
    """Return how far the count line stands off the back line, mm: at the neutral height unless the job says so."""
    thickness = job.metal.thickness
    return {
        "neutral": profile.neutral_height + thickness / 2,
        "back": 0.0,
        "crest": profile.depth + thickness,
    }[job.scallop.count_on]
