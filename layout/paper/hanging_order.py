"""The hanging order: panel by panel, which edge goes where, what to check, and what to hold back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.plan import Panel, Plan, Run, Seam
from layout.face.set_out import SetOut
from layout.job.model import Viewpoint
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.hanging import (
    CHECK_COLUMNS,
    check_rows,
    closing_words,
    edge_words,
    goes_right,
    hold_words,
    order_in_run,
    shown_station,
)
from layout.paper.map_view import panel_stations
from layout.paper.shop_words import small_force
from layout.units import format_length

NAME: Final = "Hanging order"
SIZE: Final = 10.0
"""pt"""
_BLANK: Final = "__________"
"""to write on"""

CAUTIONS: Final = (
    "Panels are sharp, long and springy: gloves, and two people where the order page says so.",
    "Find wires, pipes and drains behind the wall and make them dead before the first screw.",
    "A panel that must be forced harder than the pull given here is in the wrong place, or the wall is.",
)


def draw_hanging(plan: Plan, found: SetOut) -> list[Drawing]:
    """Draw the hanging order, on as many papers as it takes."""
    flow = Flow(NAME, paper_of(plan.job))
    write_hanging(plan, found, flow)
    return flow.drawings()


def write_hanging(plan: Plan, found: SetOut, flow: Flow) -> None:
    """Write the hanging order below what a flow holds."""
    tolerance = format_length(found.tolerance, plan.job.units)
    for words in (edge_words(plan), *view_words(plan)):
        flow.paragraph(words, SIZE)
    flow.heading("Before metal is hung: the girth, at floor and at top")
    for words in closing_words(plan):
        flow.paragraph(words, SIZE)
    flow.table(_GIRTH, list(_girth_rows(plan)), SIZE, fill=True)
    flow.paragraph(hold_words(plan), SIZE)
    flow.heading("Panel by panel")
    flow.table(_columns(plan), list(_rows(plan, tolerance)), SIZE, fill=True)
    flow.paragraph(_check_words(tolerance), SIZE)
    flow.cautions(CAUTIONS, SIZE)


def _check_words(tolerance: str) -> str:
    return (
        f"Check after each panel: the valley at its free end must stand on its mark within {tolerance}. One panel out"
        " by more: take it off and look. Two panels one after the other out the same way: stop, hang nothing more, and"
        " re-mark all that is not hung from the datum."
    )


def main_viewpoint(plan: Plan) -> Viewpoint | None:
    """Return the viewpoint that counts most, the first of equals; None where the job names none."""
    return max(plan.job.viewpoints, key=lambda place: place.weight, default=None)


def opens_away(plan: Plan, seam: Seam, place: Viewpoint) -> bool:
    """Tell whether a lap's visible edge faces away from a viewpoint.

    Tucked under, the edge one sees is the right-hand panel's left one and faces left; tucked over it is the
    left-hand panel's right one and faces right.
    """
    along = (place.at[0] - seam.x) * math.cos(seam.heading) + (place.at[1] - seam.y) * math.sin(seam.heading)
    return along >= 0 if plan.job.face.lap_goes == "under" else along <= 0


def view_words(plan: Plan) -> Iterator[str]:
    """Say how many laps open away from the main viewpoint."""
    place = main_viewpoint(plan)
    laps = [seam for seam in plan.seams if not seam.end] if plan.job.face.seam == "lap" else []
    if place is None or not laps:
        return
    hidden, away = ([_lap_seen(plan, seam, place) for seam in laps].count(how) for how in ("hidden", "open away"))
    rest = len(laps) - hidden - away
    unseen = f", {hidden} cannot be seen" if hidden else ""
    shown = f"; the edge of {'the other' if rest == 1 else f'the other {rest}'} shows" if rest else ""
    yield f"Seen from {place.name}, {away} of {len(laps)} laps open away{unseen}{shown}."


def _lap_seen(plan: Plan, seam: Seam, place: Viewpoint) -> str:
    """Say how a lap looks from a viewpoint: hidden, open away, or its edge shows."""
    if dict(seam.sight).get(place.name) == "hidden":
        return "hidden"
    return "open away" if opens_away(plan, seam, place) else "show"


_GIRTH: Final = (*CHECK_COLUMNS[:2], Column("measured, floor"), Column("measured, top"), *CHECK_COLUMNS[2:])


def _girth_rows(plan: Plan) -> Iterator[Sequence[str]]:
    for name, planned, springs, may in check_rows(plan):
        yield name, planned, _BLANK, _BLANK, springs, may


def _columns(plan: Plan) -> tuple[Column, ...]:
    place = main_viewpoint(plan)
    laps = any(panel.lapped for panel in plan.panels)
    return (
        Column("hung", "end"),
        Column("panel", "end", bold=True),
        Column("run", wraps=True),
        Column("seams", "end"),
        Column("left valley on the mark at", "end"),
        *((Column("right end goes", wraps=True),) if laps else ()),
        Column("check: its free end stands at", "end", bold=True),
        Column("pull", "end"),
        *((Column(f"laps, from {place.name}", wraps=True),) if place is not None and laps else ()),
        Column("done"),
    )


def _rows(plan: Plan, tolerance: str) -> Iterator[Sequence[str]]:
    panels = {panel.number: panel for panel in plan.panels}
    laps, place = any(panel.lapped for panel in plan.panels), main_viewpoint(plan)
    seams = {seam.number: seam for seam in plan.seams}
    count = 0
    for run in plan.runs:
        order = order_in_run(plan, run)
        right = goes_right(run, order)
        for number in order:
            panel, count = panels[number], count + 1
            start, end = (shown_station(plan, run, station) for station in panel_stations(plan, panel))
            row = [str(count), str(number), run.name, f"{panel.left_seam} to {panel.right_seam}", start]
            if laps:
                row.append(_goes(plan, panel))
            row += [f"{'right' if right else 'left'} {end if right else start} ± {tolerance}", _pull(plan, run, panel)]
            if place is not None and laps:
                seam = seams[panel.right_seam]
                row.append(_lap_seen(plan, seam, place) if panel.lapped else "")
            yield (*row, "□")


def _goes(plan: Plan, panel: Panel) -> str:
    """Say where a panel's right end goes."""
    if not panel.lapped:
        return "to the end" if plan.seams[panel.right_seam - 1].end else "to the mark"
    right = next((other.number for other in plan.panels if other.left_seam == panel.right_seam), None)
    return f"{plan.job.face.lap_goes} panel {right}" if right is not None else plan.job.face.lap_goes


def _pull(plan: Plan, run: Run, panel: Panel) -> str:
    """Write the force that the take-up asks for at a panel's free end, over its height."""
    height = run.height or plan.job.face.height
    force = plan.scallop.flex.pull_per_mm * abs(run.take_up) * height
    words = small_force(force, plan.job.units)
    if not any(figure in "123456789" for figure in words):
        return "none"
    return f"{'stretch' if run.take_up > 0 else 'crowd'}, {words}"
