"""The flat pieces: how long and high a panel's blank is, and how many scallops a sheet can give."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from layout.errors import Fault, JobFaults
from layout.face.limits import least_overall, refuse_height, short_limits
from layout.face.plan import Run
from layout.face.safe_side import at_least
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
    more: float = 0.0
    """mm of it that are returns and scribe"""
    zone: str = ""
    """name of the zone that has this height; empty where it is the face's own"""

    def height_of(self, face_height: float) -> float:
        """Return the blank's height where the face as seen is so high, mm.

        >>> Blanks(80.0, 20.0, height=1045.0, more=45.0).height_of(760.0)
        805.0
        """
        return face_height + self.more

    def of_run(self, run: Run) -> Blanks:
        """Return the rule for the blanks of one run."""
        return replace(self, height=run.height, zone=run.zone)

    def length(self, scallops: int, *, lapped: bool) -> float:
        """Return the blank's length for a panel of so many scallops, mm."""
        return (scallops + lapped) * self.developed + 2 * self.form_trim

    def most_scallops(self, length: float) -> int:
        """Return how many scallops, lap included, a blank of this length gives."""
        scallops = math.floor((length - 2 * self.form_trim) / self.developed) + 1
        return scallops if micro(self.length(scallops, lapped=False)) <= micro(length) else scallops - 1


def blanks_of(job: Job, developed: float) -> Blanks:
    """Return the blank rule of a job whose scallop has this developed length, at the face's own height."""
    face = job.face
    more = face.top_return + face.bottom_return + face.scribe
    return Blanks(developed, face.form_trim, face.height + more, more)


def usable(sheet: SheetSpec) -> tuple[float, float]:
    """Return the length and width of a sheet between its trims, mm."""
    return sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.edge_trim


def longest_blank(job: Job, blanks: Blanks) -> float:
    """Return the longest blank that any stock size gives at this height, mm.

    Raises
    ------
    JobFaults
        Where the blank is higher than every sheet allows, or the shop's shear parts no sheet for it.
    """
    shear = job.face.shear_length
    found = [_reach(way, blanks.height, shear) for sheet in job.sheets for way in _ways(sheet)]
    longest = max(found)
    if longest > 0:
        return longest
    fits = max(_reach(way, blanks.height, None) for sheet in job.sheets for way in _ways(sheet)) > 0
    raise JobFaults([_too_long_a_cut(job, blanks) if fits else _too_high(job, blanks)])


@dataclass(frozen=True)
class _Way:
    """One way in which blanks lie on a sheet, between its trims."""

    along: float
    """mm along the blanks"""
    over: float
    """mm across them"""
    trimmed: bool
    """whether the sheet's edges along the blanks are lost"""


def _ways(sheet: SheetSpec) -> list[_Way]:
    """Return each way that the sheet's metal allows."""
    length, width = usable(sheet)
    across, along = _Way(length, width, sheet.edge_trim > 0), _Way(width, length, sheet.trim > 0)
    return {"across": [across], "along": [along], "either": [across, along]}[sheet.scallops]


def _reach(way: _Way, height: float, shear: float | None) -> float:
    """Return the longest blank of a height that lies this way, mm; 0 where none does.

    Blanks come of strips cut along the sheet. Where that cut is too long for the shear, only a strip of the
    sheet's whole width is left, which needs no such cut, and is parted by cuts across.
    """
    most = math.inf if shear is None else shear
    if micro(height) > micro(way.over) or height > most:
        return 0.0
    if way.along <= most:
        return way.along
    if micro(height) != micro(way.over):
        return 0.0
    return most if way.trimmed else way.along


def _too_high(job: Job, blanks: Blanks) -> Fault:
    widest = max(way.over for sheet in job.sheets for way in _ways(sheet))
    rule = (
        "the blank (height with returns and scribe) fits no sheet: "
        f"the widest leaves {format_length(widest, job.units)} between its edge trims"
    )
    remedy = "Give a wider [[sheet]], less edge_trim, or a face that is less high"
    return Fault(_height_key(job, blanks), format_length(blanks.height, job.units), rule, remedy)


def _too_long_a_cut(job: Job, blanks: Blanks) -> Fault:
    shear = job.face.shear_length or 0.0
    where = f" of zone {blanks.zone}" if blanks.zone else ""
    blank = format_length(blanks.height, job.units)
    rule = f"no sheet gives blanks{where} {blank} high by cuts that short: a strip is cut along the sheet"
    needed = min(
        max(way.along, blanks.height)
        for sheet in job.sheets
        for way in _ways(sheet)
        if micro(blanks.height) <= micro(way.over)
    )
    remedy = f"Give a shear of at least {at_least(needed, job.units)}, or a [[sheet]] no longer than it cuts"
    return Fault("face.shear_length", format_length(shear, job.units), rule, remedy)


def _height_key(job: Job, blanks: Blanks) -> str:
    """Return the key of the job file that this height comes from."""
    names = [zone.name for zone in job.zones]
    return f"zone[{names.index(blanks.zone) + 1}].height" if blanks.zone in names else "face.height"


@dataclass(frozen=True)
class PanelLimits:
    """Fewest and most scallops of a panel, in cover."""

    smallest: int
    largest: int
    largest_last: int
    """of the last panel of an open run, which carries no lap"""
    by_sheet: bool = True
    """whether the sheet, not the job, sets the largest"""
    by: str = ""
    """what else sets it, as a reason for a seam; empty where it is a count of scallops"""


def panel_limits(job: Job, blanks: Blanks, pitch: float) -> PanelLimits:
    """Return what sheets and job allow.

    Parameters
    ----------
    job
        The job.
    blanks
        Its blank rule, at the height of the run.
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
    refuse_height(job, blanks.height)
    overall = least_overall(job)
    if overall is not None:
        by_length = math.floor(overall.length / pitch + SLACK)
        if by_length < most:
            most, rule = by_length, f"{overall.key} allows {by_length} scallops overall, lap included"
    _refuse_length_as_count(job, most)
    largest, last = most - lap, most
    if job.face.largest_scallops is not None:
        largest, last = min(largest, job.face.largest_scallops), min(last, job.face.largest_scallops)
    if largest < job.face.smallest_panel:
        raise JobFaults([Fault(key, str(job.face.smallest_panel), rule, _longer(job, blanks, pitch))])
    by_sheet = largest == of_sheet - lap
    by = overall.words if overall is not None and not by_sheet and largest == most - lap else ""
    return PanelLimits(job.face.smallest_panel, largest, last, by_sheet, by)


def _longer(job: Job, blanks: Blanks, pitch: float) -> str:
    """Say what a smallest panel needs: each limit that is too short with the least that does, and the sheet."""
    scallops = job.face.smallest_panel + (job.face.seam == "lap")
    overall, blank = scallops * pitch, blanks.length(scallops, lapped=False)
    short = [f"{key} of at least {at_least(overall, job.units)}" for key in short_limits(job, overall * (1 - SLACK))]
    if micro(blank) > micro(longest_blank(job, blanks)):
        short.append(f"a [[sheet]] that leaves blanks of at least {at_least(blank, job.units)}")
    if job.face.largest_scallops is not None and job.face.largest_scallops < job.face.smallest_panel:
        short.append(f"face.largest_panel of at least {job.face.smallest_panel} scallops")
    return f"Allow smaller panels, or give {' and '.join(short)}"


def _refuse_length_as_count(job: Job, most: int) -> None:
    """Refuse a largest panel that is surely a length written without its unit: its limit would vanish."""
    count = job.face.largest_scallops
    if count is not None and count > 2 * most:
        unit = "in" if job.units == "in" else "mm"
        rule = f"a whole number counts scallops, and a blank gives at most {most}"
        remedy = f'Give a count, or a length with its unit in quotes, as "{count} {unit}"'
        raise JobFaults([Fault("face.largest_panel", str(count), rule, remedy)])
