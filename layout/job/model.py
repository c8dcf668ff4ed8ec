"""The job as frozen values. All lengths are millimetres, angles radians, stresses MPa, forces N."""

from __future__ import annotations

from dataclasses import dataclass, field

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
    """mm, > 0"""


Step = Straight | Turn


@dataclass(frozen=True)
class OutlineSpec:
    """One drawn line. Only the fields that its shape uses are set."""

    name: str
    """empty for a lone outline without a name"""
    shape: str
    """circle · ellipse · stadium · rounded-rectangle · path (later dxf · points)"""
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
    """always true but for a path that says ``closed = false``"""
    steps: tuple[Step, ...] = ()
    inset: float = 0.0
    """mm from the outline to the back line, away from the viewer; may be negative"""
    face: str = "outside"
    """outside · inside of a loop; right · left of an open path's direction"""
    datum: XY | None = None


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
    """under · over (the right-hand neighbour)"""
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


@dataclass(frozen=True)
class FixingSpec:
    """How the face is held."""

    edge: float = 12.7
    """mm from the last fixing to the panel's end"""
    every: int = 1
    """valleys between fixings"""


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


GOALS = ("panels", "worst_seam", "different_lengths", "seam_cost")


@dataclass(frozen=True)
class SeamsSpec:
    """What the seams must and should do."""

    tight_radius: float | None = None
    avoid: tuple[Avoid, ...] = ()
    require: tuple[Require, ...] = ()
    panel_price: float = 0.0
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
    digest: str = ""
    """SHA-256 of the file's bytes, hexadecimal"""
