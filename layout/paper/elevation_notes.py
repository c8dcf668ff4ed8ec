"""The words over the developed elevation: how it is seen, which way laps go, what is cut on site."""

from __future__ import annotations

from typing import Final

from layout.face.plan import Plan
from layout.paper.frame import paper_of, room_box
from layout.paper.letters import wrapped
from layout.paper.making import cut_ends, face_height
from layout.units import format_length

SIZE: Final = 8.0
"""pt, of notes, stations and seam numbers"""
LINE: Final = 3.7
"""mm from line to line of the notes"""


def notes(plan: Plan) -> list[str]:
    """Return what stands over the rows, in lines that fit the paper."""
    return wrapped(" ".join([_note(plan), *cut_ends(plan), *_cutouts(plan)]), room_box(paper_of(plan.job)).width, SIZE)


def _cutouts(plan: Plan) -> list[str]:
    """Say where cut-outs are on the wall: station of the middle, lower edge over the face's bottom, size."""
    units = plan.job.units
    found = []
    for cutout in plan.job.cutouts:
        at, up, width, height = (format_length(mm, units) for mm in (cutout.at, cutout.up, cutout.width, cutout.height))
        found.append(f"{cutout.name} at {at}, {up} up, {width} × {height}")
    return [f"Cut-outs on the wall, middle and lower edge: {'; '.join(found)}."] if found else []


def notes_height(plan: Plan) -> float:
    """Return what the notes take off the top of the paper, mm."""
    return 1.3 + LINE * len(notes(plan))


def _note(plan: Plan) -> str:
    way = "over" if plan.job.face.lap_goes == "over" else "under"
    laps = f"; laps tuck {way} their right-hand neighbour, hidden edges dashed" if plan.job.face.seam == "lap" else ""
    heights = sorted({round(face_height(plan, run), 4) for run in plan.runs})
    height = " and ".join(format_length(height, plan.job.units) for height in heights)
    seen = f"Seen from the front, rolled out along the back line, {height} high"
    return f"{seen}; stations run from the datum (long and short dashes){laps}."
