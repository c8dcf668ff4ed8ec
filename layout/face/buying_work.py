"""What a plan takes to buy, carry, coat, fix and pay."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from layout.face.buying import Buying, CostLine, Square
from layout.face.order import order_cautions
from layout.face.plan import Panel, Plan
from layout.face.sheets import stock_name
from layout.job.model import SheetSpec
from layout.metal.coat import powder
from layout.metal.gauges import sheet_weight
from layout.metal.metals import metal_of
from layout.units import format_weight

LONG = 2400.0
"""mm; a longer panel is carried by two, whatever it weighs: it whips and buckles (assumed)"""

OUT_OF_SQUARE = 1 / 96
"""mm a mm of width that cut lengths may be out of square where they are not resquared: 1/16 in for each 6 in of
width (ASTM A568, from memory)"""


def with_buying(plan: Plan) -> Plan:
    """Return the plan with what it takes to buy; `forming` must be there."""
    cautions = (*plan.cautions, *order_cautions(plan.job, plan.order))
    return replace(plan, buying=buying_of(plan), cautions=cautions)


def buying_of(plan: Plan) -> Buying:
    """Work out weights, areas, powder, fixings and costs of a plan."""
    weights = tuple(blank_weight(plan, panel) for panel in plan.panels)
    heaviest = max(range(len(weights)), key=lambda k: (weights[k], -k))
    area = math.fsum(finished_area(plan, panel) for panel in plan.panels)
    coating = plan.job.coating
    coated = area * coating.faces if coating else 0.0
    found = Buying(
        weights=weights,
        heaviest=plan.panels[heaviest].number,
        hands=hands_for(weights[heaviest], max(panel.overall for panel in plan.panels), plan.job.limits.lift),
        developed_area=area,
        coated_area=coated,
        powder=powder(coated / 1e6, coating.gravity, coating.film, coating.transfer) if coating else None,
        fixings=sum(panel_fixings(plan, panel) for panel in plan.panels),
        costs=(),
        total=None,
        squares=tuple(_square(k, sheet) for k, sheet in enumerate(plan.job.sheets) if plan.order[k].buy),
    )
    costs = tuple(_costs(plan, found))
    priced = [line.cost for line in costs if line.cost is not None]
    return replace(found, costs=costs, total=math.fsum(priced) if priced else None)


def blank_weight(plan: Plan, panel: Panel) -> float:
    """Return the weight of a panel's blank, kg: its area by thickness by density."""
    each = sheet_weight(plan.job.metal.thickness, metal_of(plan.job.metal).density)
    return panel.blank_length * panel.blank_height / 1e6 * each


def finished_area(plan: Plan, panel: Panel) -> float:
    """Return the flat metal of a finished panel, mm²: its scallops with the lap, form trim cut off."""
    return (panel.scallops + panel.lapped) * plan.scallop.profile.developed * panel.blank_height


def hands_for(weight: float, length: float, lift: float) -> int:
    """Return how many people carry a panel: by weight (kg), and two where it is long (mm).

    >>> hands_for(23.0, 2400.0, 23.0), hands_for(23.1, 2400.0, 23.0), hands_for(5.0, 2400.1, 23.0)
    (1, 2, 2)
    """
    return max(1, math.ceil(weight / lift - 1e-9), 2 if length > LONG else 1)


def panel_fixings(plan: Plan, panel: Panel) -> int:
    """Return the fixings of one panel.

    One column at its left edge, one in every fixed valley between, and one at its right edge unless it laps:
    there the neighbour's first column goes through both.
    """
    every = plan.job.fixing.every
    between = math.ceil(panel.scallops / every) - 1
    return (1 + between + (not panel.lapped)) * plan.job.fixing.rows


def _square(stock: int, sheet: SheetSpec) -> Square:
    """Return what the diagonals of a size tell: leaning by s over the width, d1² − d2² = 4·L·s."""
    lean = sheet.width * OUT_OF_SQUARE
    longer, shorter = (math.hypot(sheet.length + side, sheet.width) for side in (lean, -lean))
    return Square(stock, math.hypot(sheet.length, sheet.width), lean, longer - shorter, 2 * sheet.trim)


def _costs(plan: Plan, found: Buying) -> Iterator[CostLine]:
    job, costs = plan.job, plan.job.costs
    for row in plan.order:
        if row.buy:
            price = job.sheets[row.stock].price
            each = "not priced" if price is None else f"{row.buy} at {price:.2f}"
            yield CostLine(f"sheets {stock_name(job, row.stock)}", each, row.cost)
    if job.seams.panel_price:
        n, price = len(plan.panels), job.seams.panel_price
        yield CostLine("labour a panel", f"{n} panels at {price:.2f}", n * price)
    if plan.forming is not None:
        yield _press_cost(plan, plan.forming.press.hours)
    yield _priced("fixings", found.fixings, costs.fixing)
    if found.powder is not None:
        shown = format_weight(found.powder, job.units)
        cost = None if costs.powder is None else found.powder * costs.powder
        yield CostLine("powder", shown if cost is not None else f"{shown}, not priced", cost)
    yield CostLine("delivery", "in all" if costs.delivery is not None else "not priced", costs.delivery)


def _press_cost(plan: Plan, hours: float) -> CostLine:
    costs = plan.job.costs
    words = f"{hours:.1f} h of strokes + {costs.set_up:g} h to set up"
    if costs.hour is None:
        return CostLine("press", f"{words}, not priced", None)
    return CostLine("press", f"{words}, at {costs.hour:.2f} an hour", (hours + costs.set_up) * costs.hour)


def _priced(what: str, number: int, price: float | None) -> CostLine:
    if price is None:
        return CostLine(what, f"{number}, not priced", None)
    return CostLine(what, f"{number} at {price:.2f}", number * price)
