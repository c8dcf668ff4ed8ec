"""The spreadsheet's tables of places: openings, zones, cut-outs, what viewpoints see of each seam."""

from __future__ import annotations

from collections.abc import Iterator

from layout.face.openings import extent_of
from layout.face.places import extent, on_outline, zones_on
from layout.face.plan import Plan
from layout.paper.sight_words import sight_words
from layout.paper.xlsx_table import Cell, Column, Formula, Table


def place_tables(plan: Plan) -> Iterator[Table]:
    """Return a table of each kind of place that the job has."""
    job = plan.job
    if job.openings:
        yield _openings(plan)
    if job.zones:
        yield _zones(plan)
    if plan.cutouts:
        yield _cutouts(plan)
    if job.viewpoints:
        yield _viewpoints(plan)
        yield _sight(plan)


def _openings(plan: Plan) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for number, lines in enumerate(plan.lines):
        for opening in (one for one in plan.job.openings if on_outline(plan.job, number, one.outline)):
            start, end = extent_of(opening, lines.back)
            rows.append(
                (
                    opening.name,
                    _line(plan, number),
                    start,
                    end % lines.back.length if lines.closed else end,
                    end - start,
                    "yes" if opening.leaf else "no",
                    opening.clearance if opening.leaf else None,
                    opening.ends or plan.job.face.ends,
                )
            )
    columns = (
        Column("opening"),
        Column("outline"),
        Column("left jamb", "length"),
        Column("right jamb", "length"),
        Column("between jambs", "length"),
        Column("leaf"),
        Column("clearance", "length"),
        Column("ends of scallops"),
    )
    notes = ("Jambs are stations on the back line; the clearance is between each jamb and the leaf.",)
    return Table("Openings", columns, tuple(rows), notes)


def _zones(plan: Plan) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for number, lines in enumerate(plan.lines):
        for _, zone in zones_on(plan.job, number):
            start, end = extent(zone, lines.back, plan.job.units)
            runs = {run.number for run in plan.runs if run.zone == zone.name and run.outline == number}
            panels = [panel for panel in plan.panels if panel.run in runs]
            heights = {panel.blank_height for panel in panels}
            rows.append(
                (
                    zone.name,
                    _line(plan, number),
                    start,
                    end % lines.back.length if lines.closed and end > lines.back.length else end,
                    zone.height,
                    min(heights) if heights else None,
                    ", ".join(str(panel.number) for panel in panels),
                )
            )
    columns = (
        Column("zone"),
        Column("outline"),
        Column("from", "length"),
        Column("to", "length"),
        Column("height, as seen", "length"),
        Column("blank height", "length"),
        Column("panels"),
    )
    return Table("Zones", columns, tuple(rows), ("Stations on the back line; elsewhere the face has its own height.",))


def _cutouts(plan: Plan) -> Table:
    asked = {cutout.name: cutout for cutout in plan.job.cutouts}
    rows = [
        (
            hole.panel,
            hole.name,
            hole.left,
            hole.bottom,
            hole.width,
            hole.height,
            "whole" if hole.whole else "notch",
            asked[hole.name].at,
            asked[hole.name].up,
            asked[hole.name].width,
        )
        for hole in sorted(plan.cutouts, key=lambda hole: (hole.panel, hole.left, hole.name))
    ]
    columns = (
        Column("panel", "whole"),
        Column("cut-out"),
        Column("from the left", "length"),
        Column("from the bottom", "length"),
        Column("width, flat", "length"),
        Column("height", "length"),
        Column("how"),
        Column("station of its middle", "length"),
        Column("above the face's bottom", "length"),
        Column("width, on the wall", "length"),
    )
    note = (
        "From the blank's left and bottom edges in the flat, form trim and returns and all; a notch runs out of the "
        "blank. A cut-out where a lap lies is cut in both panels."
    )
    return Table("Cut-outs", columns, tuple(rows), (note,))


def _viewpoints(plan: Plan) -> Table:
    views = zip(plan.job.viewpoints, sight_words(plan), strict=True)
    rows = [
        (place.name, place.at[0], place.at[1], place.weight, words.removeprefix(f"{place.name}: "))
        for place, words in views
    ]
    columns = (
        Column("viewpoint"),
        Column("x", "length"),
        Column("y", "length"),
        Column("weight", "plain"),
        Column("what it sees"),
    )
    return Table("Viewpoints", columns, tuple(rows))


def _sight(plan: Plan) -> Table:
    """Return a row a seam between panels: what each viewpoint has of it, and how many see it."""
    names = [place.name for place in plan.job.viewpoints]
    rows: list[tuple[Cell, ...]] = []
    for seam in plan.seams:
        if seam.end:
            continue
        views = dict(seam.sight)
        cells = [views.get(name, "") for name in names]
        # By number: a name may hold any sign.
        count = Formula(f'=COUNTIF({{2}}:{{{len(names) + 1}}},"seen")', cells.count("seen"))
        rows.append((seam.number, seam.station, *cells, count))
    columns = (
        Column("seam", "whole"),
        Column("station", "length"),
        *(Column(f"from {name}") for name in names),
        Column("seen from, in all", "whole", total=True),
    )
    return Table("Sight", columns, tuple(rows), ("Seen, grazed or hidden, from each viewpoint.",))


def _line(plan: Plan, number: int) -> str:
    return plan.lines[number].name or (f"outline {number + 1}" if len(plan.lines) > 1 else "")
