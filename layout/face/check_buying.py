"""Weights, areas, limits and costs, summed up again."""

from __future__ import annotations

import math
from collections.abc import Iterator

from layout.face.buying import Buying
from layout.face.check_words import COUNT, FINE, MONEY, SHARE, counted, differs, unless
from layout.face.plan import Plan

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


def _check_weights(plan: Plan, buying: Buying) -> Iterator[str]:
    """Check that one density, the job's or some metal's, gives every weight."""
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
    sheets = math.fsum(row.cost for row in plan.order if row.cost is not None)
    panels = plan.job.seams.panel_price * len(plan.panels)
    others = math.fsum(
        line.cost for line in buying.costs if line.cost is not None and not line.what.startswith(("sheets", "labour"))
    )
    whole = sheets + panels + others
    yield from differs("total cost", buying.total or 0.0, whole, MONEY * (1 + whole))


def _sheet_lines(buying: Buying) -> int:
    return sum(line.what.startswith("sheets") for line in buying.costs)
