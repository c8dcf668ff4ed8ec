"""What a job says of forming and buying, as frozen values: die, press, limits, coating, costs.

Millimetres, newtons, kilograms; None means: not given.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MeasuredSpec:
    """What was measured on the first-off."""

    scallops: int
    """over which it was measured, valley to valley"""
    length: float
    """mm over them at mid-height, formed"""
    depth: float
    """mm, valley to crest"""
    flat: float
    """mm between the scribed lines of the same valleys before forming"""
    length_top: float | None = None
    """mm over them at the top edge; None: as `length`"""
    length_bottom: float | None = None


@dataclass(frozen=True)
class DieSpec:
    """The forming tool."""

    tool: str | None = None
    """a stock tool by its name, ``3 in bar``; None: a tool made for the drawn scallop"""
    way: str = "free"
    """free · bottomed"""
    measured: MeasuredSpec | None = None


@dataclass(frozen=True)
class PressSpec:
    """The press."""

    capacity: float | None = None
    """N"""
    bed: float | None = None
    between_uprights: float | None = None
    daylight: float | None = None
    speed: float = 3.0
    """strokes a minute"""
    grooves: int = 3
    """of the die"""


@dataclass(frozen=True)
class Limit:
    """What a panel must pass through as it stands on the wall: not turned."""

    name: str
    """oven · door · elevator · truck"""
    length: float
    """mm, greatest overall length"""
    height: float | None = None
    """mm, greatest blank height"""


@dataclass(frozen=True)
class LimitsSpec:
    """What ovens, doors, vehicles and hands bear."""

    openings: tuple[Limit, ...] = ()
    lift: float = 23.0
    """kg that one person lifts; NIOSH lifting equation's load constant (1994 manual, from memory)"""


@dataclass(frozen=True)
class CoatingSpec:
    """Powder on the finished panels."""

    faces: int
    """1 · 2"""
    transfer: float = 0.6
    """share of the powder that stays on (assumed)"""
    gravity: float = 1.5
    """specific gravity of the powder (assumed)"""
    film: float = 0.0635
    """mm of film: 2.5 mil (assumed)"""


@dataclass(frozen=True)
class CostsSpec:
    """Prices beside those of sheets and panels, in the job's money; None: not priced."""

    hour: float | None = None
    """money an hour at the press"""
    set_up: float = 0.0
    """hours that setting up the die takes"""
    fixing: float | None = None
    """money a fixing"""
    powder: float | None = None
    """money a kilogram of powder"""
    delivery: float | None = None
    """money in all"""
