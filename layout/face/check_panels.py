"""Panels: that they cover their runs, their sizes, and the limits that they keep."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.check_scallop import Sums
from layout.face.check_words import COUNT, FINE, SHARE, counted, differs, joined, unless
from layout.face.plan import Panel, Plan, Run, Seam
from layout.job.model import Job, SheetSpec

WHOLE = 1e-3
"""mm: blanks and sheets are cut in whole µm, and a height this near to a sheet's width is its width"""


def check_panels(plan: Plan, sums: Sums) -> list[str]:
    """Return what of the panels does not follow from seams, runs and job."""
    numbers = [panel.number for panel in plan.panels]
    return joined(
        [
            unless(numbers == list(range(1, len(numbers) + 1)), "panel numbers are not 1, 2, …"),
            unless(
                [p.run for p in plan.panels] == sorted(p.run for p in plan.panels),
                "panels are not run by run",
            ),
            joined(_check_run(plan, run, sums) for run in plan.runs),
        ]
    )


def _check_run(plan: Plan, run: Run, sums: Sums) -> Iterator[str]:
    """Check that panel k goes from a run's k-th seam to the next, and the last of a loop to the first."""
    panels = [panel for panel in plan.panels if panel.run == run.number]
    seams = [seam for seam in plan.seams if seam.run == run.number]
    wanted = list(zip(seams, [*seams[1:], *(seams[:1] if run.closed else [])], strict=False))
    if len(panels) != len(wanted):
        yield f"run {run.number}: {len(panels)} panels for {len(wanted)} stretches between seams"
        return
    yield from counted(f"run {run.number}: scallops of its panels", sum(p.scallops for p in panels), run.scallops)
    for panel, (left, right) in zip(panels, wanted, strict=True):
        yield from _check_place(plan.job, panel, run, left, right)
        yield from _check_sizes(plan, panel, run, sums)
        yield from _check_limits(plan, panel, run, sums)


def _check_place(job: Job, panel: Panel, run: Run, left: Seam, right: Seam) -> list[str]:
    where = f"panel {panel.number}"
    between = right.boundary - left.boundary
    if run.closed and between <= 0:
        between += run.scallops
    last = not run.closed and right.boundary == run.scallops
    return joined(
        [
            counted(f"{where}: first scallop", panel.first_scallop, left.boundary),
            counted(f"{where}: scallops", panel.scallops, between),
            counted(f"{where}: left seam", panel.left_seam, left.number),
            counted(f"{where}: right seam", panel.right_seam, right.number),
            counted(f"{where}: lapped", panel.lapped, job.face.seam == "lap" and not last),
        ]
    )


def _check_sizes(plan: Plan, panel: Panel, run: Run, sums: Sums) -> list[str]:
    where, face = f"panel {panel.number}", plan.job.face
    pitch = plan.scallop.pitch + run.take_up
    cut_off = 0.0
    if run.last_part is not None and panel.first_scallop + panel.scallops == run.scallops:
        cut_off = 1 - run.last_part
    if run.first_part is not None and panel.first_scallop == 0:
        cut_off = 1 - run.first_part
    cover = (panel.scallops - cut_off) * pitch
    blank = (panel.scallops + panel.lapped) * sums.developed + 2 * face.form_trim
    near = FINE + SHARE * blank
    return joined(
        [
            differs(f"{where}: cover", panel.cover, cover, near),
            differs(f"{where}: overall", panel.overall, cover + panel.lapped * pitch, near),
            differs(f"{where}: blank length", panel.blank_length, blank, near),
            differs(f"{where}: blank height", panel.blank_height, run.height, FINE),
        ]
    )


def _check_limits(plan: Plan, panel: Panel, run: Run, sums: Sums) -> Iterator[str]:
    where, face = f"panel {panel.number}", plan.job.face
    n, lap = panel.scallops, int(panel.lapped)
    whole = n == run.scallops
    yield from unless(n >= face.smallest_panel or whole, f"{where}: {n} scallops, under the smallest panel")
    most = _sheet_scallops(plan.job, sums, run.height)
    yield from unless(n + lap <= most, f"{where}: {n + lap} scallops with its lap, a sheet gives {most}")
    if face.largest_scallops is not None:
        yield from unless(n <= face.largest_scallops, f"{where}: {n} scallops, over the largest panel")
    if face.largest_overall is not None:
        # On the bench a scallop has its formed pitch, on the wall the hung one: both must do.
        pitch = plan.scallop.pitch + max(run.take_up, 0.0)
        over = n + lap > face.largest_overall / pitch + 2 * COUNT
        yield from unless(not over, f"{where}: {(n + lap) * pitch:.9g} overall, over the largest panel")


def _sheet_scallops(job: Job, sums: Sums, height: float) -> int:
    """Return how many scallops, lap included, the longest blank of any sheet gives at a height."""
    longest = max(_longest(sheet, height, job.face.shear_length) for sheet in job.sheets)
    return math.floor((longest - 2 * job.face.form_trim) / sums.developed + 2 * COUNT)


def _longest(sheet: SheetSpec, height: float, shear: float | None) -> float:
    """Return the longest blank of a height that comes out of a sheet by cuts that the shear makes, mm."""
    length, width = sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.edge_trim
    most, found = math.inf if shear is None else shear, 0.0
    for along, over, lost, ways in (
        (length, width, sheet.edge_trim, ("across", "either")),
        (width, length, sheet.trim, ("along", "either")),
    ):
        # Blanks are parted by cuts as long as they are high, and freed by cuts along the sheet.
        if sheet.scallops not in ways or height > min(over, most) + WHOLE:
            continue
        if along <= most + WHOLE:
            found = max(found, along)
        elif abs(height - over) <= WHOLE:
            found = max(found, along if lost == 0 else most)
    return found
