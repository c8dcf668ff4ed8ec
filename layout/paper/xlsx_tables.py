"""The tables that a spreadsheet holds, as values: order, cut list, panels, set-out, control points, closing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from layout.face.plan import Plan
from layout.face.set_out import CHORD, STATION, TIES, Mark, SetOut, stop_rule
from layout.paper.csv_tables import cover_on_wall
from layout.paper.forming_json import weight_in
from layout.paper.plan_json import stock_names
from layout.paper.xlsx_places import place_tables
from layout.paper.xlsx_table import Cell, Column, Formula, Table
from layout.units import format_length

WAYS: Final = {STATION: "tape from the datum", TIES: "two ties", CHORD: "chord from the mark before"}


def tables_of(plan: Plan, found: SetOut) -> tuple[Table, ...]:
    """Return the tables as values, in the order in which they are bound."""
    return (
        _order(plan),
        *_costs(plan),
        _cut_list(plan),
        _panels(plan),
        *place_tables(plan),
        _set_out(plan, found),
        _controls(found),
        _closing(plan, found),
    )


def _order(plan: Plan) -> Table:
    names = stock_names(plan.job)
    unit = "lb" if plan.job.units == "in" else "kg"
    rows: list[tuple[Cell, ...]] = []
    for line in plan.order:
        stock = plan.job.sheets[line.stock]
        whole = Formula("={needed}+{spare}+{proving the die}", line.buy)
        bought = Formula("={in all}-{from stock}", line.to_buy)
        cost = None if stock.price is None else Formula("={in all}*{price}", line.cost or 0.0)
        each = weight_in(line.weight, plan.job.units) / line.buy if line.buy else 0.0
        weight = Formula(f"={{in all}}*{{weight each ({unit})}}", weight_in(line.weight, plan.job.units))
        sizes = (names[line.stock], stock.length, stock.width)
        counts = (line.needed, line.spare, line.prove_out, whole, line.from_stock, bought)
        rows.append((*sizes, *counts, each, weight, stock.price, cost))
    columns = (
        Column("stock"),
        Column("length", "length"),
        Column("width", "length"),
        *(Column(head, "whole", total=True) for head in ("needed", "spare", "proving the die", "in all", "from stock")),
        Column("buy", "whole", total=True),
        Column(f"weight each ({unit})", "weight"),
        Column(f"weight ({unit})", "weight", total=True),
        Column("price", "money"),
        Column("cost", "money", total=True),
    )
    note = "In all: needed, spare and for proving the die; weight and cost are of these, those on hand with them."
    return Table("Order", columns, tuple(rows), (note,))


def _costs(plan: Plan) -> Iterator[Table]:
    """Return what is priced, and what is to be ordered beside sheets."""
    if plan.buying is None:
        return
    unit = "lb" if plan.job.units == "in" else "kg"
    rows: list[tuple[Cell, ...]] = [(line.what, line.sum, line.cost) for line in plan.buying.costs]
    columns = (Column("what"), Column("how it comes about"), Column("cost", "money", total=True))
    bought = [f"fixings {plan.buying.fixings}"]
    if plan.buying.powder is not None:
        bought.append(f"powder {weight_in(plan.buying.powder, plan.job.units):.1f} {unit}")
    yield Table("Costs", columns, tuple(rows), (f"Beside sheets: {', '.join(bought)}.",))


def _cut_list(plan: Plan) -> Table:
    names = stock_names(plan.job)
    panels = {panel.number: panel for panel in plan.panels}
    rows = [
        (
            sheet.number,
            names[sheet.stock],
            cut.panel,
            panels[cut.panel].blank_length,
            panels[cut.panel].blank_height,
            cut.x,
            cut.y,
            "turned" if cut.turned else "",
        )
        for sheet in plan.sheets
        for cut in sheet.cuts
    ]
    columns = (
        Column("sheet", "whole"),
        Column("stock"),
        Column("panel", "whole"),
        Column("blank length", "length", total=True),
        Column("blank height", "length"),
        Column("from the left end", "length"),
        Column("from the lower edge", "length"),
        Column("turned"),
    )
    note = "Places on the sheet are of the blank's lower left corner, as the cutting diagrams show them."
    return Table("Cut list", columns, tuple(rows), (note,))


def _panels(plan: Plan) -> Table:
    rows = [
        (
            panel.number,
            plan.runs[panel.run - 1].name,
            panel.first_scallop,
            panel.scallops,
            1 if panel.lapped else 0,
            panel.cover,
            cover_on_wall(plan, panel),
            panel.overall,
            panel.left_seam,
            panel.right_seam,
            panel.sheet,
            "",
        )
        for panel in plan.panels
    ]
    columns = (
        Column("panel", "whole"),
        Column("run"),
        Column("first scallop", "whole"),
        Column("scallops", "whole", total=True),
        Column("lap", "whole", total=True),
        Column("cover, count line", "length", total=True),
        Column("cover, on the wall", "length", total=True),
        Column("overall", "length"),
        Column("left seam", "whole"),
        Column("right seam", "whole"),
        Column("sheet", "whole"),
        Column("hung"),
    )
    return Table("Panels", columns, tuple(rows))


def _set_out(plan: Plan, found: SetOut) -> Table:
    seams = {seam.number: seam for seam in plan.seams}
    rows = []
    for mark in found.marks:
        seam = seams[mark.seam]
        rows.append(
            (
                seam.number,
                plan.runs[seam.run - 1].name,
                seam.boundary,
                seam.station,
                WAYS[mark.way] if mark.same_as is None else f"with seam {mark.same_as}",
                *_tie_cells(mark),
                mark.chord.length if mark.chord else None,
                mark.chord.mid_ordinate if mark.chord else None,
                mark.rise,
                seam.x,
                seam.y,
                seam.radius,
                None if seam.end else seam.lift,
                mark.sigma if math.isfinite(mark.sigma) else None,
                seam.why,
            )
        )
    tolerance = format_length(found.tolerance, plan.job.units)
    notes = (stop_rule(found, tolerance), _rise_note(plan, found))
    return Table("Set-out", _SET_OUT_COLUMNS, tuple(rows), notes)


_SET_OUT_COLUMNS: Final = (
    Column("seam", "whole"),
    Column("run"),
    Column("scallop", "whole"),
    Column("station", "length"),
    Column("marked by"),
    Column("tie from"),
    Column("first tie", "length"),
    Column("and from"),
    Column("second tie", "length"),
    Column("tapes cross at", "angle"),
    Column("chord to next", "length"),
    Column("mid-ordinate", "length"),
    Column("rise", "length"),
    Column("x", "length"),
    Column("y", "length"),
    Column("radius", "length"),
    Column("lift", "fine"),
    Column("expected error", "fine"),
    Column("reason"),
)


def _tie_cells(mark: Mark) -> tuple[Cell, ...]:
    if mark.ties is None:
        return None, None, None, None, None
    (first, second), (one, two) = mark.ties.controls, mark.ties.distances
    return first, one, second, two, mark.ties.crossing


def _rise_note(plan: Plan, found: SetOut) -> str:
    edge = format_length(found.straightedge, plan.job.units)
    return (
        f"Rise: gap at a straightedge of {edge}; + convex, with its middle on the wall; − hollow, with its ends on it."
    )


def _controls(found: SetOut) -> Table:
    rows = [
        (one.name, one.x, one.y, other.name, math.dist(one.xy, other.xy))
        for i, one in enumerate(found.controls)
        for other in (*found.controls[i + 1 :], *found.controls[:1])[:1]
        if other is not one
    ]
    columns = (
        Column("point"),
        Column("x", "length"),
        Column("y", "length"),
        Column("to"),
        Column("distance", "length"),
    )
    how = "given by the job" if found.given else "chosen to see the seams well; any others may be given in the job"
    return Table("Control points", columns, tuple(rows), (f"Control points: {how}.",))


def _closing(plan: Plan, found: SetOut) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for closing in found.closings:
        line = plan.lines[closing.outline].name or f"outline {closing.outline + 1}"
        end = "back to the datum" if closing.closed else "to the right end"
        last = len(closing.parts) - 1
        for i, part in enumerate(closing.parts):
            rows.append((line, "from the datum" if i == 0 else end if i == last else f"part {i}", part))
        rows.append((line, "less the back line", -closing.length))
    columns = (Column("line"), Column("part"), Column("on the wall", "length", total=True))
    return Table("Closing sum", columns, tuple(rows), ("The total must come back to zero.",))
