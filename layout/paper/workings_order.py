"""Workings of the order page."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from layout.face.buying import Buying
from layout.face.plan import Plan
from layout.face.sheets import stock_name
from layout.metal.metals import metal_of
from layout.paper.workings_rows import Units, Working


def order_workings(plan: Plan, buying: Buying, units: Units) -> Iterator[Working]:
    """Yield the workings of what is bought, carried and paid."""
    density = metal_of(plan.job.metal).density
    volume = {
        "t": plan.job.metal.thickness / units.mm,
        "ρ": density / 1e9 * units.mm**3 / units.kg,
    }
    for row in plan.order:
        if row.buy:
            sheet = plan.job.sheets[row.stock]
            name = stock_name(plan.job, row.stock)
            counted = {"n": float(row.needed), "s": float(row.spare), "d": float(row.prove_out)}
            source = "needed for the panels, spare (rounded up), to prove the die"
            yield Working(f"{name}: buy", "n + s + d", counted, float(row.buy), "", source)
            each = {**units.lengths(l=sheet.length, w=sheet.width), **volume}
            weight = row.weight / row.buy / units.kg
            yield Working(f"{name}: weight each", "l·w·t·ρ", each, weight, units.weight, "as below")
            sizes = {"b": float(row.buy), **units.lengths(l=sheet.length, w=sheet.width), **volume}
            source = f"density {density:g} kg/m³: {plan.job.metal.kind}'s own, not the gauge rule's"
            yield Working(f"{name}: weight", "b·l·w·t·ρ", sizes, row.weight / units.kg, units.weight, source)
            if row.cost is not None and sheet.price is not None:
                priced = {"b": float(row.buy), "c": sheet.price}
                yield Working(f"{name}: cost", "b·c", priced, row.cost, "", "price of the job")
    yield from _panels(plan, buying, units, volume)
    yield from _surface(plan, buying, units)
    yield from _squares(plan, buying, units)


def _panels(plan: Plan, buying: Buying, units: Units, volume: dict[str, float]) -> Iterator[Working]:
    seen = set[float]()
    for panel, weight in zip(plan.panels, buying.weights, strict=True):
        if round(weight, 6) in seen:
            continue
        seen.add(round(weight, 6))
        size = {**units.lengths(l=panel.blank_length, h=panel.blank_height), **volume}
        source = "blank as sheared, form trim with it"
        yield Working(f"panel {panel.number}: weight", "l·h·t·ρ", size, weight / units.kg, units.weight, source)
    kinds = Counter(round(weight, 6) for weight in buying.weights)
    alike = {f"w{k}": weight / units.kg for k, weight in enumerate(sorted(kinds, reverse=True), 1)}
    counts = {f"n{k}": float(kinds[weight]) for k, weight in enumerate(sorted(kinds, reverse=True), 1)}
    formula = " + ".join(f"n{k}·w{k}" for k in range(1, len(alike) + 1))
    source = "panels of each weight"
    whole = math.fsum(buying.weights) / units.kg
    yield Working("all panels, as sheared", formula, {**counts, **alike}, whole, units.weight, source)
    yield from _overall(plan, units)
    rows = {"r": float(plan.job.fixing.rows), "c": buying.fixings / plan.job.fixing.rows}
    source = "columns c: one at each left edge, in each fixed valley, at each right edge without lap"
    yield Working("fixings", "r·c", rows, float(buying.fixings), "", source)


def _overall(plan: Plan, units: Units) -> Iterator[Working]:
    """Yield the overall length of each size of panel, of runs whose ends are whole."""
    seen = set[tuple[int, int]]()
    for panel in plan.panels:
        run = plan.runs[panel.run - 1]
        if (panel.run, panel.scallops + panel.lapped) in seen or run.cut_part is not None:
            continue
        seen.add((panel.run, panel.scallops + panel.lapped))
        given = {"n": float(panel.scallops + panel.lapped), "p": run.pitch / units.mm}
        source = "scallops with the lap × pitch as hung"
        yield Working(f"panel {panel.number}: overall", "n·p", given, panel.overall / units.mm, units.length, source)


def _surface(plan: Plan, buying: Buying, units: Units) -> Iterator[Working]:
    n = sum((panel.scallops + panel.lapped) * panel.blank_height for panel in plan.panels)
    area = {"S": plan.scallop.profile.developed / units.mm, "H": n / units.mm}
    square = units.mm**2
    source = "S flat metal a scallop; H height of every scallop, laps with them, end to end"
    yield Working("flat metal", "S·H", area, buying.developed_area / square, f"{units.length}²", source)
    coating = plan.job.coating
    if coating is None or buying.powder is None:
        return
    faces = {"A": buying.developed_area / square, "k": float(coating.faces)}
    yield Working("coated area", "A·k", faces, buying.coated_area / square, f"{units.length}²", "faces as given")
    if units.length == "in":
        inputs = {"A": buying.coated_area / 92903.04, "G": coating.gravity, "m": coating.film / 0.0254}
        formula = "A·G·m/192.262/e"
    else:
        inputs = {"A": buying.coated_area / 1e6, "G": coating.gravity, "m": coating.film * 1000}
        formula = "A·G·m/1000/e"
    inputs["e"] = coating.transfer
    source = "coverage 192.3/(SG·mil) ft²/lb or 1000/(SG·µm) m²/kg (coating trade tables, read); A ft² or m²"
    yield Working("powder", formula, inputs, buying.powder / units.kg, units.weight, source)


def _squares(plan: Plan, buying: Buying, units: Units) -> Iterator[Working]:
    for one in buying.squares:
        sheet = plan.job.sheets[one.stock]
        name = stock_name(plan.job, one.stock)
        sides = units.lengths(l=sheet.length, w=sheet.width)
        yield Working(f"{name}: diagonal", "√(l² + w²)", sides, one.diagonal / units.mm, units.length, "Pythagoras")
        lean = {**sides, "s": one.mill / units.mm}
        formula = "√((l + s)² + w²) − √((l − s)² + w²)"
        yield Working(
            f"{name}: diagonals differ", formula, lean, one.differ / units.mm, units.length, "a sheet that leans by s"
        )
    yield from _costs(plan, buying, units)
    priced = [line.cost for line in buying.costs if line.cost is not None]
    if priced and buying.total is not None:
        letters = {f"c{k}": cost for k, cost in enumerate(priced, 1)}
        yield Working("total", " + ".join(letters), letters, math.fsum(priced), "", "priced lines of the cost table")


def _costs(plan: Plan, buying: Buying, units: Units) -> Iterator[Working]:
    """Yield the cost lines beside those of sheets."""
    costs, lines = plan.job.costs, {line.what: line.cost for line in buying.costs}
    if costs.hour is not None and plan.forming is not None:
        given = {"h": plan.forming.press.hours, "s": costs.set_up, "c": costs.hour}
        yield Working(
            "press: cost",
            "(h + s)·c",
            given,
            lines["press"] or 0.0,
            "",
            "strokes, setting up; price of the job",
        )
    if costs.fixing is not None:
        given = {"n": float(buying.fixings), "c": costs.fixing}
        yield Working("fixings: cost", "n·c", given, lines["fixings"] or 0.0, "", "price of the job")
    if costs.powder is not None and buying.powder is not None:
        given = {"m": buying.powder / units.kg, "c": costs.powder * units.kg}
        yield Working("powder: cost", "m·c", given, lines["powder"] or 0.0, "", "price of the job")
    if plan.job.seams.panel_price:
        given = {"n": float(len(plan.panels)), "c": plan.job.seams.panel_price}
        yield Working("labour: cost", "n·c", given, lines["labour a panel"] or 0.0, "", "price of the job")
