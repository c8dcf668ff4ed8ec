"""The quote: what is made, how many, how much, on one page; and what changed since the page before it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from layout.face.plan import Plan
from layout.face.revisions import Revision
from layout.face.sheets import stock_name
from layout.paper.flow import Block, Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.goals import within_row
from layout.paper.ink import QUIET
from layout.paper.letters import phrases, wrapped
from layout.paper.making import face_height, seam_words
from layout.paper.shop_words import area_words, money
from layout.paper.small_map import SmallMap
from layout.units import format_fine, format_length, format_weight

NAME: Final = "Quote"
CHANGES: Final = "Changes"
"""name of the page behind it that holds all changes"""
SIZE: Final = 10.0
"""pt"""
_PICTURE: Final = 30.0
"""mm, least height of a picture of the plan"""
_AROUND: Final = 5.0
"""mm left free round it"""
_INDENT: Final = 6.0
"""mm, no less than the mark before a change takes"""

Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def draw_quote(plan: Plan, revision: Revision) -> list[Drawing]:
    """Draw the quote on one page; changes that find no room on it whole get a page behind it."""
    whole = len(revision.changes)
    for most, lines in ((whole, 9), (whole, 2), (whole, 1), *((most, 1) for most in range(min(whole, 12), -1, -1))):
        flow = _page(plan, revision, most, lines)
        drawings = flow.drawings()
        if len(drawings) == 1:
            shortened = most < whole or any(len(_lines(flow, words)) > lines for words in revision.changes)
            return [_with_picture(plan, flow), *(_all_changes(plan, revision) if shortened else [])]
    return [*drawings[:1], *_all_changes(plan, revision)]


def _page(plan: Plan, revision: Revision, most: int, lines: int) -> Flow:
    """Write the quote with at most so many changes, each on at most so many lines."""
    flow = Flow(NAME, paper_of(plan.job))
    if revision.since is not None:
        _changes(flow, revision, most, lines)
    flow.paragraph(headline(plan), 13.0)
    flow.space(2.0)
    flow.blocks([_what(plan), _how_many(plan), _metal(plan)], size=SIZE)
    flow.heading("Sheets to buy")
    flow.table(*_sheets(plan), SIZE)
    flow.heading("How much")
    _cost(flow, plan)
    flow.heading("What it rests on")
    for words in _grounds(plan):
        flow.paragraph(words, SIZE, mark="•")
    return flow


def headline(plan: Plan) -> str:
    """Say the whole in a line: panels, sheets to buy and from stock, and what they cost."""
    panels, sheets, kept = (
        len(plan.panels),
        sum(row.to_buy for row in plan.order),
        sum(row.from_stock for row in plan.order),
    )
    total = plan.buying.total if plan.buying is not None else None
    cost = f": {money(total)} for what is priced" if total is not None else ""
    stock = f" and {kept} from stock" if kept else ""
    return f"{panels} panel{'s' * (panels != 1)}, {sheets} sheet{'s' * (sheets != 1)} to buy{stock}{cost}."


def _with_picture(plan: Plan, flow: Flow) -> Drawing:
    """Add the plan, small, where the page has room for it."""
    (drawing,) = flow.drawings()
    if flow.left.height < _PICTURE + 2 * _AROUND:
        return drawing
    room = flow.left.grown(-_AROUND)
    picture = SmallMap(plan, (min(room.width, 2.4 * room.height), room.height))
    return replace(drawing, items=(*drawing.items, *picture.whole(room)))


def _lines(flow: Flow, words: str) -> list[str]:
    return wrapped(words, flow.width - _INDENT, SIZE)


def _changes(flow: Flow, revision: Revision, most: int, lines: int) -> None:
    """List what changed, the first ones, each cut to a few lines."""
    flow.heading(f"Revision {revision.letter}: what changed since revision {revision.since}")
    for words in revision.changes[:most]:
        found = _lines(flow, words)
        said = " ".join(found)
        if len(found) > lines:  # no figure is cut: a whole one makes room for the sign
            said = " ".join(phrases(" ".join(found[:lines]))[:-1]).rstrip(" ,;") + " …"
        flow.paragraph(said, SIZE, mark="•")
    if most < len(revision.changes):
        flow.paragraph("More on the page of changes.", SIZE, mark="•")
    flow.space(2.0)


def _all_changes(plan: Plan, revision: Revision) -> list[Drawing]:
    flow = Flow(CHANGES, paper_of(plan.job))
    flow.heading(f"Revision {revision.letter}: all that changed since revision {revision.since}")
    for words in revision.changes:
        flow.paragraph(words, SIZE, mark="•")
    return flow.drawings()


def _what(plan: Plan) -> Block:
    units, scallop = plan.job.units, plan.scallop
    heights = sorted({round(face_height(plan, run), 4) for run in plan.runs})
    length = math.fsum(float(run.stations[-1] - run.stations[0]) for run in plan.runs)
    rows = [
        ("face, along the wall", format_length(length, units)),
        ("height", " and ".join(format_length(height, units) for height in heights)),
        ("scallop", f"{scallop.form}, pitch {format_fine(scallop.pitch, units)}"),
        ("depth", format_fine(scallop.depth, units)),
        ("seams", seam_words(plan).partition(":")[0]),
    ]
    return Block("What", tuple(rows))


def _how_many(plan: Plan) -> Block:
    longest = max(plan.panels, key=lambda panel: (panel.overall, -panel.number))
    rows = [
        ("panels", str(len(plan.panels))),
        ("seams between panels", str(sum(not seam.end for seam in plan.seams))),
        ("scallops", str(sum(run.scallops for run in plan.runs))),
        ("longest panel, overall", format_length(longest.overall, plan.job.units)),
        ("sheets to buy", str(sum(row.to_buy for row in plan.order))),
    ]
    if any(row.from_stock for row in plan.order):
        rows.append(("sheets from stock", str(sum(row.from_stock for row in plan.order))))
    if plan.buying is not None:
        rows.append(("fixings", str(plan.buying.fixings)))
    return Block("How many", tuple(rows))


def _metal(plan: Plan) -> Block:
    units, spec, buying = plan.job.units, plan.job.metal, plan.buying
    gauge = f"{spec.gauge} gauge, " if spec.gauge is not None else ""
    rows = [("metal", spec.kind), ("thickness", gauge + format_fine(spec.thickness, units))]
    if buying is not None:
        rows += [
            ("all panels, as sheared", format_weight(math.fsum(buying.weights), units)),
            ("metal in finished panels", area_words(buying.developed_area, units)),
        ]
        coated = area_words(buying.coated_area, units) if buying.powder is not None else "none given"
        rows.append(("coated area", coated))
    return Block("Metal and surface", tuple(rows))


def _sheets(plan: Plan) -> Table:
    split = any(row.from_stock for row in plan.order)
    columns = (
        Column("stock, length × width", bold=True),
        *(Column(head, "end") for head in ("needed", "spare", "to prove the die")),
        *((Column("from stock", "end"),) if split else ()),
        Column("buy", "end", bold=True),
        Column("price each", "end"),
        Column("cost", "end"),
    )
    rows = [
        (
            stock_name(plan.job, row.stock),
            *(str(count) for count in (row.needed, row.spare, row.prove_out)),
            *((str(row.from_stock),) if split else ()),
            str(row.to_buy),
            money(plan.job.sheets[row.stock].price) or "not priced",
            money(row.cost) or "not priced",
        )
        for row in plan.order
        if row.buy
    ]
    return columns, rows


def _cost(flow: Flow, plan: Plan) -> None:
    """Write the cost line by line; what is not priced is named, never counted as nothing."""
    if plan.buying is None:
        flow.paragraph("Not worked out.")
        return
    priced = [line for line in plan.buying.costs if line.cost is not None]
    columns = (Column("what", bold=True), Column("how it comes about", wraps=True), Column("cost", "end"))
    rows = [(line.what, line.sum, money(line.cost)) for line in priced]
    rows.append(("total of what is priced", "", money(plan.buying.total) or "nothing is priced"))
    flow.table(columns, rows, SIZE)
    open_ = [line.what for line in plan.buying.costs if line.cost is None]
    left = f" Not priced, and so not in it: {', '.join(open_)}." if open_ else ""
    flow.paragraph(f"In the job's money, without tax.{left}", 9.0, ink=QUIET)


def _grounds(plan: Plan) -> list[str]:
    """Say what the figures rest on: proof, wall as drawn, cautions."""
    unproved = [proof.goal for proof in plan.proof if not proof.proved]
    proof = (
        f"Every goal of the plan is proved: no plan of this job{within_row(plan)} does better."
        if not unproved
        else f"Not proved best{within_row(plan)}: {', '.join(goal.replace('_', ' ') for goal in unproved)};"
        " the summary gives the bounds."
    )
    wall = (
        "The wall is as surveyed; blanks that close a run are held back until it is measured at floor and top."
        if any(lines.survey for lines in plan.lines)
        else "The wall is as drawn; blanks that close a run are held back until it is measured at floor and top."
    )
    cautions = len(plan.cautions)
    told = f"{cautions} caution{'s' if cautions != 1 else ''} of this job in the summary." if cautions else ""
    return [words for words in (proof, wall, told) if words]
