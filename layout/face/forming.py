"""What a plan says of the shop: the die to start with, the press, and what each panel gives. Millimetres, N."""

from __future__ import annotations

from dataclasses import dataclass

from layout.job.model import ScallopSpec
from layout.metal.die import Die
from layout.metal.first_off import Fan, FirstOff
from layout.metal.metals import Metal
from layout.metal.press import PressWork


@dataclass(frozen=True)
class StockTool:
    """A stock tool, the scallop that it would really give, and how far that lies from the drawn one."""

    name: str
    diameter: float
    """mm"""
    pitch: float
    depth: float
    developed: float
    count: int
    """scallops round the whole job"""
    pitch_off: float
    """mm over the drawn pitch"""
    depth_off: float
    developed_off: float
    chosen: bool = False
    """the job is planned with it"""


@dataclass(frozen=True)
class PanelFlex:
    """What one panel gives before its metal takes a set, and what holds it to its curve."""

    panel: int
    radius: float | None
    """mm, the tightest of the back line behind it, convex positive; None on a straight"""
    pre_curve: bool
    """the curve is tighter than the metal's natural bend"""
    take_up: float
    """mm over the panel as hung, stretched positive"""
    stretch: float
    """mm that it may be stretched over its whole cover, residue of forming counted"""
    crowd: float
    """mm that it may be crowded"""
    pull: float
    """N over its height for the take-up as hung"""
    end_pull: float
    """N on all fixings of the valley nearest an end, on the tightest convex curve at either end"""
    rows: int | None
    """fixings up the height that bear it; None where a fixing's pull is not known"""


@dataclass(frozen=True, eq=False)
class Forming:
    """How the face is formed."""

    drawn: ScallopSpec
    """the scallop as drawn, whatever the job is planned with"""
    metal: Metal
    die: Die
    """worked as the job asks, or bottomed where no free die forms it"""
    other: Die | None
    """worked the other way; None where that cannot be"""
    to_drawn: Die | None
    """that would come to the drawn scallop; None where the job is planned with that one"""
    stock: tuple[StockTool, ...]
    strokes: tuple[int, ...]
    """by panel: one a scallop, lap included"""
    press: PressWork
    opening_share: float
    """share of first yield at which formed metal sets when stretched"""
    flex: tuple[PanelFlex, ...]
    measured: FirstOff | None
    fans: tuple[Fan, ...]
    """by panel, where the first-off was measured at top and bottom; else empty"""
    notes: tuple[str, ...]
    """for the die and press pages"""
    cautions: tuple[str, ...]
    """for the whole plan"""

    @property
    def strokes_in_all(self) -> int:
        """Return the strokes of all panels."""
        return sum(self.strokes)
