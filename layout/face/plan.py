"""The plan: everything a job comes to, as frozen values. Millimetres throughout.

Drawings, tables and files read this object and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.face.buying import Buying
from layout.face.forming import Forming
from layout.job.model import Job
from layout.metal.forms import Profile
from layout.outline.chain import Chain
from layout.outline.drawing import Source
from layout.outline.survey_source import SurveySource


@dataclass(frozen=True, eq=False)
class Lines:
    """One outline and its parallels, all in the direction of stations; closed ones start at the datum."""

    name: str
    drawn: Chain
    back: Chain
    count: Chain
    crest: Chain
    datum: tuple[float, float]
    """point of the back line at station 0"""
    source: Source | None = None
    """of an outline out of a drawing: what was read, joined and left aside"""
    survey: SurveySource | None = None
    """of a surveyed outline: what was read, and how far off the line the marks are"""

    @property
    def closed(self) -> bool:
        """Whether the line is a loop."""
        return self.back.closed


@dataclass(frozen=True)
class Flex:
    """What the metal bears without taking a set."""

    take_up_limit: float
    """mm a scallop, first yield on a straight"""
    tight_take_up_limit: float
    """mm a scallop, first yield left at the tightest curve; 0 where the wrap alone uses all of it"""
    pull_per_mm: float
    """N per mm of height for each mm of take-up per scallop"""
    natural_bend_radius: float
    """mm, radius of wrap at which the metal first yields"""


@dataclass(frozen=True)
class Scallop:
    """The scallop as planned."""

    form: str
    pitch: float
    """mm, as formed (chosen in the pitch range where one is given)"""
    drawn_pitch: float
    depth: float
    profile: Profile
    flex: Flex


@dataclass(frozen=True, eq=False)
class Run:
    """A stretch of face with fixed ends, or a closed loop, that holds a whole number of scallops."""

    number: int
    name: str
    outline: int
    """index into `Plan.lines`"""
    closed: bool
    scallops: int
    start: float
    """mm, station of its first boundary on the back line"""
    end: float
    count_length: float
    take_up: float
    """mm a scallop, stretched positive"""
    may_be_longer: float
    """mm at the count line before the take-up is refused"""
    may_be_shorter: float
    stations: NDArray[np.float64]
    """mm, back-line station of boundaries 0…scallops, shape (scallops + 1,); rising"""
    start_why: str = "end"
    """why the run begins where it does"""
    end_why: str = "end"
    last_part: float | None = None
    """share of the last scallop that is left where ends are cut; None: it is whole"""
    first_part: float | None = None
    """share of the first scallop that is left where the left end is cut; None: it is whole"""
    height: float = 0.0
    """mm, of its blanks"""
    zone: str = ""
    """name of the zone that it is in; empty where the face has its own height"""

    @property
    def cut_part(self) -> float | None:
        """Return what is left of the one scallop that is cut, first or last; None: all are whole."""
        return self.last_part if self.first_part is None else self.first_part

    @property
    def pitch(self) -> float:
        """Return the pitch as hung, mm: the formed pitch and its take-up."""
        whole = self.scallops if self.cut_part is None else self.scallops - 1 + self.cut_part
        return self.count_length / whole


@dataclass(frozen=True)
class Seam:
    """Where two panels meet, or an end of an open run."""

    number: int
    run: int
    """number of its run"""
    outline: int
    boundary: int
    """counted from its run's start"""
    station: float
    """mm, on the back line from the datum: where the right-hand panel starts"""
    x: float
    y: float
    heading: float
    """radians, direction of rising stations"""
    radius: float | None
    """mm, of the back line there, convex positive; None on a straight"""
    lift: float
    """mm that a free edge springs off here"""
    cost: int
    """as the solver counted it: µm of lift, and with viewpoints how much it is seen before that (`sight.told`)"""
    why: str
    end: bool = False
    """an end of a run, not a seam between panels"""
    sight: tuple[tuple[str, str], ...] = ()
    """name of each viewpoint with hidden, grazed or seen; empty at ends of runs"""


@dataclass(frozen=True)
class Panel:
    """The face between two seams."""

    number: int
    run: int
    first_scallop: int
    """boundary at its left edge, counted from its run's start"""
    scallops: int
    lapped: bool
    """carries one scallop more at its right end"""
    cover: float
    """mm along the count line, valley to valley as seen on the wall"""
    overall: float
    """mm along the count line, with its lap"""
    blank_length: float
    blank_height: float
    left_seam: int
    right_seam: int
    sheet: int
    """number of the sheet that it is cut from"""


@dataclass(frozen=True)
class Cut:
    """A blank on a sheet; x along the sheet's length from its left end, y from its lower edge, mm."""

    panel: int
    x: float
    y: float
    length: float
    """mm along x"""
    height: float
    """mm along y"""
    turned: bool = False
    """the blank's length lies along y"""


@dataclass(frozen=True)
class SheetCut:
    """One sheet as it is cut."""

    number: int
    stock: int
    """index into `Job.sheets`"""
    length: float
    width: float
    used: float
    """share of its area in blanks, 0…1"""
    cuts: tuple[Cut, ...]


@dataclass(frozen=True)
class OrderLine:
    """What to buy of one stock size."""

    stock: int
    needed: int
    spare: int
    prove_out: int
    buy: int
    cost: float | None
    """money; None where the stock has no price"""
    weight: float = 0.0
    """kg of all that is bought"""
    from_stock: int = 0
    """of `buy`, those that the job has on hand (`count`)"""

    @property
    def to_buy(self) -> int:
        """Return how many are bought beside those on hand."""
        return self.buy - self.from_stock


@dataclass(frozen=True)
class Proof:
    """One goal: its value, what no plan can go below, and whether they meet."""

    goal: str
    value: float
    bound: float
    proved: bool


@dataclass(frozen=True)
class Choice:
    """What another number of panels or sheets would give."""

    cost: float | None
    sheets: int
    panels: int
    worst_seam: float
    """mm of edge lift"""
    different_lengths: int
    chosen: bool
    note: str = ""
    worst_sight: int = 0
    """how much its worst seam is seen: hidden 0, grazed 1, seen 2, by the weights of viewpoints"""


@dataclass(frozen=True)
class Stretch:
    """A seam-free stretch with its reason."""

    outline: int
    start: float
    """mm, station; start > end wraps past the datum"""
    end: float
    why: str


@dataclass(frozen=True)
class Hole:
    """One cut-out on one blank, in the flat, from the blank's left and bottom edges."""

    name: str
    """of the cut-out"""
    panel: int
    """number of the panel"""
    left: float
    """mm from the blank's left edge, form trim and all"""
    bottom: float
    """mm from the blank's bottom edge, bottom return and scribe below the face and all"""
    width: float
    """mm along the blank"""
    height: float
    """mm"""
    whole: bool = True
    """False where the blank's metal ends inside it: a notch"""


@dataclass(frozen=True)
class Hanging:
    """In which order the panels of a run are hung."""

    run: int
    """number of the run"""
    order: tuple[int, ...]
    """numbers of its panels: the one to start with, and so on to the closing panel"""


@dataclass(frozen=True, eq=False)
class Plan:
    """The whole plan."""

    job: Job
    lines: tuple[Lines, ...]
    scallop: Scallop
    runs: tuple[Run, ...]
    seams: tuple[Seam, ...]
    panels: tuple[Panel, ...]
    sheets: tuple[SheetCut, ...]
    order: tuple[OrderLine, ...]
    proof: tuple[Proof, ...]
    choices: tuple[Choice, ...]
    stretches: tuple[Stretch, ...]
    cautions: tuple[str, ...]
    cutouts: tuple[Hole, ...] = ()
    """every cut-out on every blank whose metal it goes through"""
    hanging: tuple[Hanging, ...] = ()
    """run by run"""
    forming: Forming | None = None
    """die, press and flex; None only before it is worked out"""
    buying: Buying | None = None
    """weights, areas and costs; None only before they are worked out"""
