"""The order page: what to buy, what it weighs and covers, what it costs, what is left, and other stock sizes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.buying import Buying, Comparison
from layout.face.buying_work import LONG
from layout.face.comparing import seams_between
from layout.face.plan import Plan
from layout.face.sheets import stock_name
from layout.paper.drops import drops_of
from layout.paper.flow import Block, Column, Flow, Part
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.ranges import ranges
from layout.paper.shop_words import area_words, money
from layout.units import format_length, format_weight

NAME: Final = "Order"

LARGE: Final = 0.125
"""share of its sheet from which a drop is kept whatever it is good for (assumed)"""

CAUTIONS: Final = (
    (
        "Sheets and panels are heavy, long and sharp: gloves, sleeves, and as many hands as the table says; no lifting"
        " over people."
    ),
    (
        "Coating ovens burn and powder is a dust that can explode and must not be breathed: leave it to a coater who is"
        " set up for it."
    ),
    "Sheared edges cut: break them before anything is handed on.",
)


def draw_order(plan: Plan) -> list[Drawing]:
    """Draw the order page; nothing where buying is not worked out."""
    buying = plan.buying
    if buying is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    write_order(plan, buying, flow)
    return flow.drawings()


def write_order(plan: Plan, buying: Buying, flow: Flow) -> None:
    """Write what to buy below what a flow holds."""
    flow.side_by_side(
        [
            Part("Sheets to order", *_stock(plan)),
            Part("Panels by weight, as sheared", *_weights(plan, buying)),
        ]
    )
    if has_stock(plan):
        flow.paragraph(_STOCK_NOTE, 8.0, ink=QUIET)
    flow.space(2.0)
    flow.blocks([_handling(plan, buying), _surface(plan, buying), _limits(plan)])
    flow.side_by_side([Part("Cost", *_costs(buying)), Part("Drops that are left", *_drops(plan))])
    flow.paragraph(f"{_COST_NOTE} {_DROP_NOTE}", 8.0, ink=QUIET)
    if buying.comparisons:
        flow.heading("Other stock sizes, each planned again alone, all else alike")
        flow.table(*_comparisons(plan, buying))
        for one in buying.comparisons:
            words = comparison_words(plan, one)
            if words:
                flow.paragraph(words, 9.0, mark="•")
    flow.heading("Is the stock square?")
    for words in _square_words(plan, buying):
        flow.paragraph(words, 9.0, mark="•")
    flow.cautions(CAUTIONS)


Table = tuple[Sequence[Column], Sequence[Sequence[str]]]

_COST_NOTE: Final = (
    "Cost: only what the job file prices is counted ([[sheet]] price, [seams] panel_price, [costs]); what is not priced"
    " is named and left out of the total. No tax, no waste but the spare sheets, no scrap value."
)
_STOCK_NOTE: Final = (
    "From stock: what [[sheet]] count says is on hand. Weight and cost are of all sheets; those on hand count at their"
    " price too, as they do where plans are compared."
)
_DROP_NOTE: Final = (
    "Drops kept: one that still gives a smallest panel of this job, or an eighth of its sheet (assumed). Enter it in"
    " the next job as a [[sheet]] with remnant = true."
)


def _stock(plan: Plan) -> Table:
    units, split = plan.job.units, has_stock(plan)
    columns = (
        Column("stock, length × width", bold=True),
        *(Column(head, "end") for head in ("needed", "spare", "to prove the die")),
        *(Column(head, "end") for head in (("in all", "from stock") if split else ())),
        Column("buy", "end", bold=True),
        *(Column(head, "end") for head in ("weight each", "weight", "price each", "cost")),
    )
    rows = [
        (
            stock_name(plan.job, row.stock),
            str(row.needed),
            str(row.spare),
            str(row.prove_out),
            *((str(row.buy), str(row.from_stock)) if split else ()),
            str(row.to_buy),
            format_weight(row.weight / row.buy, units),
            format_weight(row.weight, units),
            money(plan.job.sheets[row.stock].price),
            money(row.cost),
        )
        for row in plan.order
        if row.buy
    ]
    return columns, rows


def has_stock(plan: Plan) -> bool:
    """Tell whether any sheets come from stock."""
    return any(row.from_stock for row in plan.order)


def _handling(plan: Plan, buying: Buying) -> Block:
    units = plan.job.units
    longest = max(plan.panels, key=lambda panel: (panel.overall, -panel.number))
    heaviest = buying.weights[buying.heaviest - 1]
    hands = "one person" if buying.hands == 1 else f"{buying.hands} people"
    rows = (
        ("all panels, as sheared", format_weight(math.fsum(buying.weights), units)),
        ("heaviest panel", f"{buying.heaviest}: {format_weight(heaviest, units)}"),
        ("longest panel, overall", f"{longest.number}: {format_length(longest.overall, units)}"),
        ("to carry the heaviest", hands),
        ("one person lifts up to", f"{format_weight(plan.job.limits.lift, units)}, {format_length(LONG, units)} long"),
        ("fixings", str(buying.fixings)),
    )
    return Block("Handling and fixing", rows)


def _surface(plan: Plan, buying: Buying) -> Block:
    units, coating = plan.job.units, plan.job.coating
    rows = [("flat metal of finished panels", area_words(buying.developed_area, units))]
    if coating is None or buying.powder is None:
        return Block("Surface", (*rows, ("coating", "none given")))
    film = f"{coating.film / 0.0254:.3g} mil" if units == "in" else f"{coating.film * 1000:.3g} µm"
    rows += [
        ("coated faces", str(coating.faces)),
        ("coated area", area_words(buying.coated_area, units)),
        ("powder", format_weight(buying.powder, units)),
        ("film, specific gravity", f"{film}, {coating.gravity:g}"),
        ("stays on (transfer)", f"{coating.transfer:.0%}"),
    ]
    return Block("Surface", tuple(rows))


def _limits(plan: Plan) -> Block:
    units, face = plan.job.units, plan.job.face
    rows = [(one.name, _opening(one.length, one.height, units)) for one in plan.job.limits.openings]
    if face.largest_overall is not None:
        rows.append(("largest panel", format_length(face.largest_overall, units)))
    if not rows:
        rows = [("oven, door, elevator, truck", "none given")]
    return Block("Panels must pass, overall", tuple(rows))


def _opening(length: float, height: float | None, units: str) -> str:
    shown = format_length(length, units)
    return shown if height is None else f"{shown} × {format_length(height, units)} high"


def _weights(plan: Plan, buying: Buying) -> Table:
    units = plan.job.units
    alike: dict[tuple[float, float, float], list[int]] = {}
    for panel, weight in zip(plan.panels, buying.weights, strict=True):
        size = (round(weight, 6), round(panel.overall, 3), round(panel.blank_height, 3))
        alike.setdefault(size, []).append(panel.number)
    columns = (
        Column("how many", "end", bold=True),
        *(Column(head, "end") for head in ("weight each", "overall", "height")),
        Column("panels", wraps=True),
    )
    rows = [
        (
            str(len(numbers)),
            format_weight(weight, units),
            format_length(overall, units),
            format_length(height, units),
            ranges(numbers),
        )
        for (weight, overall, height), numbers in sorted(alike.items(), reverse=True)
    ]
    return columns, rows


def _costs(buying: Buying) -> Table:
    columns = (Column("what", bold=True), Column("how it comes about"), Column("cost", "end"))
    rows = [(line.what, line.sum, money(line.cost)) for line in buying.costs]
    total = "nothing is priced" if buying.total is None else "of what is priced"
    return columns, [*rows, ("total", total, money(buying.total))]


def _comparisons(plan: Plan, buying: Buying) -> Table:
    units = plan.job.units
    columns = (
        Column("stock", bold=True),
        *(Column(head, "end") for head in ("buy", "weight", "panels", "seams", "total cost")),
        Column("", wraps=True),
    )
    own = (
        "this plan",
        str(sum(row.buy for row in plan.order)),
        format_weight(math.fsum(row.weight for row in plan.order), units),
        str(len(plan.panels)),
        str(seams_between(plan)),
        money(buying.total),
        "",
    )
    return columns, [own, *(_comparison_row(units, one) for one in buying.comparisons)]


def _comparison_row(units: str, one: Comparison) -> tuple[str, ...]:
    name = f"{format_length(one.sheet.length, units)} × {format_length(one.sheet.width, units)}"
    if one.refused:
        return name, "", "", "", "", "", f"no plan: {one.refused}"
    weight = format_weight(one.weight, units)
    return name, str(one.buy), weight, str(one.panels), str(one.seams), money(one.total), ""


def comparison_words(plan: Plan, one: Comparison) -> str:
    """Say in a sentence what a size would save and cost against this plan; nothing where it has no plan."""
    if one.refused or plan.buying is None:
        return ""
    units = plan.job.units
    name = f"{format_length(one.sheet.length, units)} × {format_length(one.sheet.width, units)}"
    fewer = seams_between(plan) - one.seams
    parts = [_saved(fewer, "seam")] if fewer else []
    if one.total is not None and plan.buying.total is not None:
        more = round(one.total - plan.buying.total, 2)
        if more:
            parts.append(f"{'cost' if more > 0 else 'save'} {money(abs(more))}{' more' if more > 0 else ''}")
    else:
        parts.append("cost what its sheets are priced at")
    return f"{name} sheets would {' and '.join(parts) if parts else 'change neither seams nor cost'}."


def _saved(fewer: int, what: str) -> str:
    """Write how many are saved or added.

    >>> _saved(3, "seam"), _saved(-1, "seam")
    ('save 3 seams', 'add 1 seam')
    """
    return f"{'save' if fewer > 0 else 'add'} {abs(fewer)} {what}{'' if abs(fewer) == 1 else 's'}"


@dataclass(frozen=True)
class DropSize:
    """Drops of one size."""

    length: float
    """mm, the longer side"""
    width: float
    count: int
    kept: bool


def drop_sizes(plan: Plan) -> list[DropSize]:
    """Return all drops by size, largest first, with those worth keeping."""
    found: Counter[tuple[float, float, bool]] = Counter()
    for sheet in plan.sheets:
        stock = plan.job.sheets[sheet.stock]
        for drop in drops_of(sheet, stock):
            sides = sorted((round(drop.width, 1), round(drop.height, 1)), reverse=True)
            whole = sheet.length * sheet.width
            found[sides[0], sides[1], worth_keeping(plan, (drop.width, drop.height), whole)] += 1
    return [
        DropSize(length, width, count, kept)
        for (length, width, kept), count in sorted(found.items(), key=lambda one: (-one[0][0] * one[0][1], one[0]))
    ]


def worth_keeping(plan: Plan, sides: tuple[float, float], whole: float) -> bool:
    """Tell whether a drop gives a smallest panel of this job, or is an eighth of its sheet.

    Parameters
    ----------
    sides
        mm, along and across the sheet.
    whole
        mm², of its sheet.
    """
    face, profile = plan.job.face, plan.scallop.profile
    height = min(panel.blank_height for panel in plan.panels)
    length = (face.smallest_panel + (face.seam == "lap")) * profile.developed + 2 * face.form_trim
    return (sides[0] >= length and sides[1] >= height) or sides[0] * sides[1] >= LARGE * whole


def _drops(plan: Plan) -> Table:
    units = plan.job.units
    columns = (Column("size", bold=True), Column("how many", "end"), Column("keep it"))
    rows = [
        (
            f"{format_length(one.length, units)} × {format_length(one.width, units)}",
            str(one.count),
            "keep" if one.kept else "scrap",
        )
        for one in drop_sizes(plan)
    ]
    return columns, rows or [("none", "", "")]


def _square_words(plan: Plan, buying: Buying) -> Iterator[str]:
    """Say what the diagonals tell, and whether the job's trim squares stock that is not resquared."""
    units = plan.job.units
    for one in buying.squares:
        name = stock_name(plan.job, one.stock)
        yield (
            f"{name}: measure both diagonals; square, each is {format_length(one.diagonal, units)}. Stock that is not"
            f" resquared may lean {format_length(one.mill, units)} over its width (1/16 in for each 6 in, ASTM A568,"
            f" from memory), and its diagonals then differ by {format_length(one.differ, units)}."
            + (
                " The trims at both ends take that up."
                if one.room >= one.mill
                else f" The trims leave {format_length(one.room, units)} for it: order it resquared, or give more trim."
            )
        )
