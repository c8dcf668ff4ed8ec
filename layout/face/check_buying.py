"""Weights, areas, limits and costs, summed up again."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.buying import Buying
from layout.face.check_words import COUNT, FINE, MONEY, SHARE, counted, differs, unless
from layout.face.plan import Plan

LEAN = 96.0
"""mm of width that cut lengths may lean by 1 mm over: 1/16 in for each 6 in (ASTM A568, from memory)"""

DENSITY = (500.0, 25000.0)
"""kg/m³: every metal that is rolled into sheet lies in it"""


def check_buying(plan: Plan) -> Iterator[str]:
    """Yield what of weights, areas, limits and costs does not follow from panels, sheets and job."""
    if plan.buying is None:
        yield "the plan does not say what it takes to buy"
        return
    yield from _check_weights(plan, plan.buying)
    yield from _check_areas(plan, plan.buying)
    yield from _check_limits(plan)
    yield from _check_total(plan, plan.buying)
    yield from _check_squares(plan, plan.buying)
    yield from _check_on_hand(plan)


def _check_weights(plan: Plan, buying: Buying) -> Iterator[str]:
    """Check that one density, the job's or some metal's, gives every weight."""
    if len(buying.weights) != len(plan.panels) or not 1 <= buying.heaviest <= len(plan.panels):
        yield f"weights of {len(buying.weights)} panels, heaviest {buying.heaviest}; the plan has {len(plan.panels)}"
        return
    t = plan.job.metal.thickness / 1e9  # mm³ to m³ with the areas in mm²
    first = plan.panels[0]
    density = buying.weights[0] / (first.blank_length * first.blank_height * t)
    yield from unless(DENSITY[0] <= density <= DENSITY[1], f"weights: a density of {density:.6g} kg/m³ is no metal's")
    if plan.job.metal.density is not None:
        yield from differs("weights: density", density, plan.job.metal.density, 4 * SHARE * density)
    for panel, weight in zip(plan.panels, buying.weights, strict=True):
        own = panel.blank_length * panel.blank_height * t * density
        yield from differs(f"panel {panel.number}: weight", weight, own, 4 * SHARE * own)
    for row in plan.order:
        sheet = plan.job.sheets[row.stock]
        own = row.buy * sheet.length * sheet.width * t * density
        yield from differs(f"order of sheet size {row.stock + 1}: weight", row.weight, own, 4 * SHARE * own)
    heaviest = max(buying.weights)
    told = buying.weights[buying.heaviest - 1]
    yield from differs("heaviest panel", told, heaviest, SHARE * heaviest)


def _check_areas(plan: Plan, buying: Buying) -> Iterator[str]:
    trim = 2 * plan.job.face.form_trim
    area = math.fsum((panel.blank_length - trim) * panel.blank_height for panel in plan.panels)
    yield from differs("developed area", buying.developed_area, area, 4 * SHARE * area)
    coating = plan.job.coating
    if coating is None:
        yield from unless(buying.powder is None, "powder is bought and nothing coated")
        return
    yield from differs("coated area", buying.coated_area, area * coating.faces, 4 * SHARE * area)
    # 192.3/(SG·mil) ft²/lb in whole units of the trade; 1 lb = 0.45359237 kg, 1 ft² = 92 903.04 mm².
    pounds = area * coating.faces / 92903.04 * coating.gravity * (coating.film / 0.0254) / 192.3 / coating.transfer
    # 192.3 is rounded in its fourth figure.
    yield from differs("powder", buying.powder or 0.0, pounds * 0.45359237, 5e-4 * pounds)


def _check_limits(plan: Plan) -> Iterator[str]:
    """Check that every panel passes every limit, on the bench and on the wall."""
    for panel in plan.panels:
        run = plan.runs[panel.run - 1]
        pitch = plan.scallop.pitch + max(run.take_up, 0.0)
        overall = (panel.scallops + panel.lapped) * pitch
        for one in plan.job.limits.openings:
            fits = overall <= one.length + 2 * COUNT * pitch
            yield from unless(fits, f"panel {panel.number}: {overall:.9g} overall, over the {one.name}")
            low = one.height is not None and panel.blank_height > one.height + FINE
            yield from unless(not low, f"panel {panel.number}: too high for the {one.name}")


def _check_total(plan: Plan, buying: Buying) -> Iterator[str]:
    priced = [line.cost for line in buying.costs if line.cost is not None]
    yield from counted("cost lines of sheets", _sheet_lines(buying), sum(row.buy > 0 for row in plan.order))
    if not priced:
        yield from unless(buying.total is None, "a total, and nothing priced")
        return
    own = [line.cost for line in buying.costs if line.what.startswith("sheets")]
    for row, cost in zip([row for row in plan.order if row.buy], own, strict=False):
        yield from differs(f"cost line of sheet size {row.stock + 1}", cost or 0.0, row.cost or 0.0, MONEY)
    sheets = math.fsum(row.cost for row in plan.order if row.cost is not None)
    panels = plan.job.seams.panel_price * len(plan.panels)
    others = math.fsum(
        line.cost for line in buying.costs if line.cost is not None and not line.what.startswith(("sheets", "labour"))
    )
    whole = sheets + panels + others
    yield from differs("total cost", buying.total or 0.0, whole, MONEY * (1 + whole))


def _check_squares(plan: Plan, buying: Buying) -> Iterator[str]:
    """Check diagonals: a sheet that leans by s is longer over one of them, shorter over the other."""
    wanted = [row.stock for row in plan.order if row.buy]
    yield from unless([one.stock for one in buying.squares] == wanted, "squares are not of the sizes that are bought")
    for one in buying.squares:
        if not 0 <= one.stock < len(plan.job.sheets):
            continue
        sheet, where = plan.job.sheets[one.stock], f"squareness of sheet size {one.stock + 1}"
        lean = sheet.width / LEAN
        longer, shorter = (math.sqrt((sheet.length + side) ** 2 + sheet.width**2) for side in (lean, -lean))
        diagonal = math.sqrt(sheet.length**2 + sheet.width**2)
        yield from differs(f"{where}: diagonal", one.diagonal, diagonal, FINE)
        yield from differs(f"{where}: lean", one.mill, lean, FINE)
        yield from differs(f"{where}: diagonals differ", one.differ, longer - shorter, FINE)
        yield from differs(f"{where}: room", one.room, 2 * sheet.trim, FINE)


def _check_on_hand(plan: Plan) -> Iterator[str]:
    """Check what of each size comes from stock: as many as are on hand, none where that is not said."""
    for row in plan.order:
        count = plan.job.sheets[row.stock].count
        own = 0 if count is None else min(count, row.needed + row.spare + row.prove_out)
        yield from counted(f"order of sheet size {row.stock + 1}: from stock", row.from_stock, own)


def _sheet_lines(buying: Buying) -> int:
    return sum(line.what.startswith("sheets") for line in buying.costs)
