"""The flat pieces: how long and high a panel's blank is, and how many scallops a sheet can give."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.errors import Fault, JobFaults
from layout.job.model import Job, SheetSpec
from layout.units import format_length

MICRO = 1000
"""µm a mm: blanks and sheets are compared, and cut by the solver, in whole µm"""

SLACK = 1e-6
"""share of a pitch by which an overall length may seem too long from rounding alone"""


def micro(mm: float) -> int:
    """Return a length in whole µm, the nearest.

    >>> micro(3048.0), micro(0.0004)
    (3048000, 0)
    """
    return round(mm * MICRO)


@dataclass(frozen=True)
class Blanks:
    """The rule that turns scallops into flat metal."""

    developed: float
    """mm of flat metal a scallop"""
    form_trim: float
    """mm at each end"""
    height: float
    """mm"""

    def length(self, scallops: int, *, lapped: bool) -> float:
        """Return the blank's length for a panel of so many scallops, mm."""
        return (scallops + lapped) * self.developed + 2 * self.form_trim

    def most_scallops(self, length: float) -> int:
        """Return how many scallops, lap included, a blank of this length gives."""
        scallops = math.floor((length - 2 * self.form_trim) / self.developed) + 1
        return scallops if micro(self.length(scallops, lapped=False)) <= micro(length) else scallops - 1


def blanks_of(job: Job, developed: float) -> Blanks:
    """Return the blank rule of a job whose scallop has this developed length."""
    face = job.face
    height = face.height + face.top_return + face.bottom_return + face.scribe
    return Blanks(developed, face.form_trim, height)


def usable(sheet: SheetSpec) -> tuple[float, float]:
    """Return the length and width of a sheet between its trims, mm."""
    return sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.edge_trim


def longest_blank(job: Job, blanks: Blanks) -> float:
    """Return the longest blank that any stock size gives at this height, mm.

    Raises
    ------
    JobFaults
        Where the blank is higher than every sheet allows.
    """
    found = [length for sheet in job.sheets for length, width in _ways(sheet) if micro(blanks.height) <= micro(width)]
    if found:
        return max(found)
    widest = max(max(width for _, width in _ways(sheet)) for sheet in job.sheets)
    shown = format_length(blanks.height, job.units)
    raise JobFaults(
        [
            Fault(
                "face.height",
                shown,
                "the blank (height with returns and scribe) fits no sheet: "
                f"the widest leaves {format_length(widest, job.units)} between its edge trims",
                "Give a wider [[sheet]], less edge_trim, or a face that is less high",
            )
        ]
    )


def _ways(sheet: SheetSpec) -> list[tuple[float, float]]:
    """Return (along the blank, across it) for each way the sheet's metal allows."""
    length, width = usable(sheet)
    across, along = (length, width), (width, length)
    return {"across": [across], "along": [along], "either": [across, along]}[sheet.scallops]


@dataclass(frozen=True)
class PanelLimits:
    """Fewest and most scallops of a panel, in cover."""

    smallest: int
    largest: int
    largest_last: int
    """of the last panel of an open run, which carries no lap"""
    by_sheet: bool = True
    """whether the sheet, not the job, sets the largest"""


def panel_limits(job: Job, blanks: Blanks, pitch: float) -> PanelLimits:
    """Return what sheets and job allow.

    Parameters
    ----------
    job
        The job.
    blanks
        Its blank rule.
    pitch
        mm, the longer of formed and hung pitch: overall limits hold on the bench and on the wall.

    Raises
    ------
    JobFaults
        Where not even the smallest panel that the job allows can be cut or handled.
    """
    lap = int(job.face.seam == "lap")
    most = of_sheet = blanks.most_scallops(longest_blank(job, blanks))
    key = "face.smallest_panel"
    rule = f"the longest blank gives {most} scallops" + (", one of them the lap" if lap else "")
    if job.face.largest_overall is not None:
        by_length = math.floor(job.face.largest_overall / pitch + SLACK)
        if by_length < most:
            most, rule = by_length, f"face.largest_panel allows {by_length} scallops overall, lap included"
    _refuse_length_as_count(job, most)
    largest, last = most - lap, most
    if job.face.largest_scallops is not None:
        largest, last = min(largest, job.face.largest_scallops), min(last, job.face.largest_scallops)
    if largest < job.face.smallest_panel:
        remedy = "Allow smaller panels, or give longer sheets"
        raise JobFaults([Fault(key, str(job.face.smallest_panel), rule, remedy)])
    return PanelLimits(job.face.smallest_panel, largest, last, by_sheet=largest == of_sheet - lap)


def _refuse_length_as_count(job: Job, most: int) -> None:
    """Refuse a largest panel that is surely a length written without its unit: its limit would vanish."""
    count = job.face.largest_scallops
    if count is not None and count > 2 * most:
        unit = "in" if job.units == "in" else "mm"
        rule = f"a whole number counts scallops, and a blank gives at most {most}"
        remedy = f'Give a count, or a length with its unit in quotes, as "{count} {unit}"'
        raise JobFaults([Fault("face.largest_panel", str(count), rule, remedy)])
