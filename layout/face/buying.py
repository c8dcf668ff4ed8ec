"""What a plan says of buying and handling: weights, areas, powder, limits, costs, and other stock sizes.

Millimetres, mm², kg; money in the job's own.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.job.model import SheetSpec


@dataclass(frozen=True)
class CostLine:
    """One line of the cost."""

    what: str
    sum: str
    """how it comes about, in words and figures"""
    cost: float | None
    """money; None where it is not priced"""


@dataclass(frozen=True)
class Comparison:
    """What another stock size, alone, would come to."""

    sheet: SheetSpec
    seams: int
    """between panels"""
    panels: int
    buy: int
    """sheets, spare and proving ones with them"""
    weight: float
    """kg of all sheets bought"""
    total: float | None
    """money of all that is priced; None where its sheets are not"""
    refused: str = ""
    """why there is no plan with it; empty where there is"""


@dataclass(frozen=True)
class Square:
    """How far stock of one size may be out of square before its blanks are."""

    stock: int
    diagonal: float
    """mm, of a square sheet, corner to corner"""
    mill: float
    """mm that a sheet which is not resquared may be out of square over its width"""
    differ: float
    """mm that its diagonals then differ by"""
    room: float
    """mm that the job's trim at each end leaves to square it"""


@dataclass(frozen=True)
class Buying:
    """Everything that is ordered, carried and paid beside the sheets' numbers."""

    weights: tuple[float, ...]
    """kg, of each panel's blank"""
    heaviest: int
    """number of the heaviest panel"""
    hands: int
    """people to carry it"""
    developed_area: float
    """mm² of finished panels in the flat, laps with them, form trim cut off"""
    coated_area: float
    """mm²; 0 where nothing is coated"""
    powder: float | None
    """kg; None where nothing is coated"""
    fixings: int
    costs: tuple[CostLine, ...]
    total: float | None
    """money of all priced lines; None where nothing is priced"""
    squares: tuple[Square, ...]
    comparisons: tuple[Comparison, ...] = ()
