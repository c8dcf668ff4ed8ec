"""The job as frozen values. All lengths are millimetres, angles radians, stresses MPa, forces N."""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.job.model_forming import CoatingSpec, CostsSpec, DieSpec, LimitsSpec, PressSpec
from layout.job.model_packet import PaperSpec, SiteSpec
from layout.job.model_places import Asked
from layout.job.model_survey import MarksSpec, Survey

XY = tuple[float, float]


@dataclass(frozen=True)
class Straight:
    """A straight step of a path."""

    length: float
    """mm, > 0"""


@dataclass(frozen=True)
class Turn:
    """A circular step of a path."""

    angle: float
    """radians swept; left turn positive, right turn negative"""
    radius: float
    """mm; 0 turns on the spot: a sharp corner"""


Step = Straight | Turn


@dataclass(frozen=True)
class OutlineSpec:
    """One drawn line. Only the fields that its shape uses are set."""

    name: str
    """empty for a lone outline without a name"""
    shape: str
    """circle · ellipse · stadium · rounded-rectangle · path · dxf (later points)"""
    key: str = "outline"
    """where it stands in the file, for messages: ``outline`` or ``outline[2]``"""
    diameter: float | None = None
    length: float | None = None
    width: float | None = None
    radius: float | None = None
    start: XY = (0.0, 0.0)
    heading: float = 0.0
    """radians, anticlockwise from +x"""
    closed: bool = True
    """always true but for a path or a drawing that says ``closed = false``"""
    steps: tuple[Step, ...] = ()
    inset: float = 0.0
    """mm from the outline to the back line, away from the viewer; may be negative"""
    face: str = "outside"
    """outside · inside of a loop; right · left of an open path's direction"""
    datum: XY | None = None
    corner: str | None = None
    """mitre · return: how two runs meet at a sharp corner; None: the outline has none"""
    file: str | None = None
    """the drawing, as the job names it: relative to `folder`, or absolute"""
    folder: str = ""
    """the job file's folder; empty is the current one"""
    layer: str | None = None
    """layer of the drawing that holds the line; None: the only one that holds lines"""
    drawing_units: str | None = None
    """in · ft · mm · cm · m, where the drawing states none"""
    near: XY | None = None
    """mm, a point of the drawing that the wanted line passes nearest"""
    survey: Survey | None = None
    """the marks of a surveyed outline, placed in plan"""
    marks: MarksSpec | None = None
    """how those marks were measured"""
    source_digest: str = ""
    """SHA-256 of the drawing's bytes as the job was read, hexadecimal; empty where it could not be read"""


@dataclass(frozen=True)
class ScallopSpec:
    """The drawn scallop, at mid-metal."""

    form: str
    """arc · arc-flat · sine · serpentine · arc-tangent"""
    pitch: float
    depth: float
    valley_radius: float | None = None
    """mm, inside radius at mid-metal that rounds the valleys of an arc or arc-flat; None is sharp"""
    flat: float | None = None
    radius: float | None = None
    """mm, inside radius of an arc-tangent form"""
    pitch_range: tuple[float, float] | None = None
    count_on: str = "neutral"
    """neutral · back · crest"""
    most_take_up: float = 0.02
    """share of the pitch"""
    developed: float | None = None
    """mm, as measured on the first-off; None: the form's own"""


@dataclass(frozen=True)
class MetalSpec:
    """The sheet; None means: as the table of metals says."""

    kind: str
    thickness: float
    """mm, resolved from the gauge where one is given"""
    gauge: int | None = None
    modulus: float | None = None
    yield_: float | None = None
    tensile: float | None = None
    density: float | None = None
    """kg/m³"""
    yield_low: float | None = None
    """MPa, the softest that may be delivered"""
    yield_high: float | None = None


@dataclass(frozen=True)
class FaceSpec:
    """The face as hung."""

    height: float
    top_return: float = 0.0
    bottom_return: float = 0.0
    scribe: float = 0.0
    seam: str = "lap"
    """lap · butt"""
    lap_goes: str = "under"
    """under · over (the right-hand neighbour) · either: the better one, which a plan's job then says"""
    ends: str = "whole"
    """whole · cut: how the last scallop of an open run ends"""
    smallest_panel: int = 4
    """scallops"""
    largest_scallops: int | None = None
    """largest panel in scallops (cover), where the job gives a count"""
    largest_overall: float | None = None
    """largest panel in mm overall (lap included), where the job gives a length"""
    form_trim: float = 19.05
    """mm at each end of a blank, formed shallow and cut back to the valley"""
    shear_length: float | None = None
    """mm, longest straight cut that the shop's shear makes; None is no limit"""


@dataclass(frozen=True)
class FixingSpec:
    """How the face is held."""

    edge: float = 12.7
    """mm from the last fixing to the panel's end"""
    every: int = 1
    """valleys between fixings"""
    rows: int = 3
    """fixings up the height of each fixed valley (assumed)"""
    pull: float | None = None
    """N that one fixing holds; None: not known"""


@dataclass(frozen=True)
class Avoid:
    """A seam-free stretch asked for by the job."""

    start: float
    """mm, station; on a loop start > end wraps past the datum"""
    end: float
    why: str = "kept free"
    outline: str = ""


@dataclass(frozen=True)
class Require:
    """A place where one run ends and the next begins."""

    at: float
    """mm, station"""
    why: str = "required"
    outline: str = ""


@dataclass(frozen=True)
class Zone:
    """A stretch of the face with a height of its own."""

    name: str
    start: float
    """mm, station; on a loop start > end wraps past the datum"""
    end: float
    height: float
    """mm, of the face as seen; returns and scribe are added as for the face"""
    outline: str = ""


GOALS = ("cost", "panels", "worst_seam", "different_lengths", "seam_cost")


@dataclass(frozen=True)
class SeamsSpec:
    """What the seams must and should do."""

    tight_radius: float | None = None
    avoid: tuple[Avoid, ...] = ()
    require: tuple[Require, ...] = ()
    panel_price: float = 0.0
    """money of labour a panel"""
    even: bool = False
    """panels as equal as can be"""
    symmetric: bool = False
    """seams mirrored about the datum"""
    goals: tuple[str, ...] = GOALS


@dataclass(frozen=True)
class SheetSpec:
    """One stock size."""

    length: float
    width: float
    trim: float = 0.0
    """mm lost at each end"""
    edge_trim: float = 0.0
    """mm lost at each long edge"""
    kerf: float = 0.0
    price: float | None = None
    """money a sheet"""
    count: int | None = None
    """on hand; None is no limit"""
    remnant: bool = False
    scallops: str = "across"
    """across · along · either"""


@dataclass(frozen=True)
class OrderSpec:
    """What is bought beyond the bare need."""

    spare: str = "0.10"
    """share of the sheets, as decimal text so that it rounds as written"""
    prove_out: int = 1
    """sheets for proving the die"""
    compare: tuple[SheetSpec, ...] = ()
    """stock sizes to plan again with, each alone"""


@dataclass(frozen=True)
class Viewpoint:
    """A place in plan from where people look at the face."""

    name: str
    at: XY
    """mm"""
    weight: float = 1.0
    """how much it counts beside the others, > 0"""


@dataclass(frozen=True)
class Wall:
    """A line in plan that hides what stands behind it."""

    points: tuple[XY, ...]
    """mm, two or more, joined by straights"""


@dataclass(frozen=True)
class Cutout:
    """A hole in the face, given on the wall."""

    name: str
    at: float
    """mm, station of its centre"""
    up: float
    """mm, its bottom above the face's bottom"""
    width: float
    """mm along the back line"""
    height: float
    """mm"""
    clearance: float | None = None
    """mm along the back line that seams keep on either side; None: one pitch"""
    outline: str = ""


@dataclass(frozen=True)
class Opening:
    """A gap or gate between two jambs, where the face stops."""

    name: str
    start: float
    """mm, station of its left jamb; on a loop start > end wraps past the datum"""
    end: float
    leaf: bool = False
    """whether a leaf closes it, with a run of face of its own"""
    clearance: float = 0.0
    """mm between each jamb and the leaf"""
    ends: str | None = None
    """whole · cut: how the scallops end at its jambs and on its leaf; None: as the face's ends"""
    outline: str = ""


@dataclass(frozen=True)
class Job:
    """A whole job file."""

    title: str
    units: str
    """in · mm"""
    outlines: tuple[OutlineSpec, ...]
    scallop: ScallopSpec
    metal: MetalSpec
    face: FaceSpec
    sheets: tuple[SheetSpec, ...]
    fixing: FixingSpec = field(default_factory=FixingSpec)
    seams: SeamsSpec = field(default_factory=SeamsSpec)
    order: OrderSpec = field(default_factory=OrderSpec)
    zones: tuple[Zone, ...] = ()
    viewpoints: tuple[Viewpoint, ...] = ()
    walls: tuple[Wall, ...] = ()
    cutouts: tuple[Cutout, ...] = ()
    openings: tuple[Opening, ...] = ()
    die: DieSpec = field(default_factory=DieSpec)
    press: PressSpec = field(default_factory=PressSpec)
    limits: LimitsSpec = field(default_factory=LimitsSpec)
    coating: CoatingSpec | None = None
    costs: CostsSpec = field(default_factory=CostsSpec)
    paper: PaperSpec = field(default_factory=PaperSpec)
    site: SiteSpec = field(default_factory=SiteSpec)
    places: tuple[Asked, ...] = ()
    """places told by a point or an angle; their stations are no numbers until `layout.face.placed` finds them"""
    drawn: ScallopSpec | None = None
    """the scallop as drawn, where `scallop` is what a chosen or measured die makes of it"""
    digest: str = ""
    """SHA-256 of the file's bytes, and of its drawings' bytes where it has any, hexadecimal"""
