"""Sheets and order: every blank on one sheet, cut edge to edge, and what is bought."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal

from layout.face.check_words import FINE, MONEY, SHARE, counted, differs, joined, unless
from layout.face.plan import Cut, OrderLine, Panel, Plan, SheetCut
from layout.job.model import SheetSpec

NEAR = 2.5e-3
"""mm: blanks are laid in whole µm, so that cuts may miss the last of a sheet or kerf by rounding"""


def check_sheets(plan: Plan) -> list[str]:
    """Return what of the sheets and cuts is not as it can be cut."""
    numbers = [sheet.number for sheet in plan.sheets]
    cut = Counter(one.panel for sheet in plan.sheets for one in sheet.cuts)
    panels = {panel.number: panel for panel in plan.panels}
    used = Counter(sheet.stock for sheet in plan.sheets)
    return joined(
        [
            unless(numbers == list(range(1, len(numbers) + 1)), "sheet numbers are not 1, 2, …"),
            (f"panel {n} is cut {cut[n]} times" for n in panels if cut[n] != 1),
            (f"panel {n} is cut and is no panel" for n in cut if n not in panels),
            (
                f"sheet size {k + 1}: {used[k]} used, {spec.count} on hand"
                for k, spec in enumerate(plan.job.sheets)
                if spec.count is not None and used[k] > spec.count
            ),
            joined(_check_sheet(plan, sheet, panels) for sheet in plan.sheets),
        ]
    )


def _check_sheet(plan: Plan, sheet: SheetCut, panels: dict[int, Panel]) -> Iterator[str]:
    spec = plan.job.sheets[sheet.stock]
    where = f"sheet {sheet.number}"
    yield from differs(f"{where}: length", sheet.length, spec.length, FINE)
    yield from differs(f"{where}: width", sheet.width, spec.width, FINE)
    yield from unless(bool(sheet.cuts), f"{where}: nothing is cut from it")
    area = math.fsum(cut.length * cut.height for cut in sheet.cuts)
    yield from differs(f"{where}: share used", sheet.used, area / (spec.length * spec.width), SHARE)
    for cut in sheet.cuts:
        if cut.panel in panels:
            yield from _check_cut(sheet, spec, cut, panels[cut.panel])
    yield from _check_apart(where, sheet.cuts, spec.kerf)
    yield from unless(
        _parts_by_cuts(list(sheet.cuts), spec.kerf), f"{where}: no straight cuts from edge to edge part it"
    )


def _check_cut(sheet: SheetCut, spec: SheetSpec, cut: Cut, panel: Panel) -> Iterator[str]:
    where = f"panel {cut.panel} on sheet {sheet.number}"
    yield from counted(f"{where}: its sheet", panel.sheet, sheet.number)
    along, up = (cut.height, cut.length) if cut.turned else (cut.length, cut.height)
    yield from differs(f"{where}: blank length", along, panel.blank_length, FINE)
    yield from differs(f"{where}: blank height", up, panel.blank_height, FINE)
    ways = {"across": (False,), "along": (True,), "either": (False, True)}[spec.scallops]
    yield from unless(cut.turned in ways, f"{where}: its scallops lie the wrong way on this sheet")
    inside = (
        cut.x >= spec.trim - NEAR
        and cut.x + cut.length <= spec.length - spec.trim + NEAR
        and cut.y >= spec.edge_trim - NEAR
        and cut.y + cut.height <= spec.width - spec.edge_trim + NEAR
    )
    yield from unless(inside, f"{where}: it reaches into the sheet's trim")


def _check_apart(where: str, cuts: Sequence[Cut], kerf: float) -> Iterator[str]:
    """Check that no two blanks overlap or lie nearer than the kerf."""
    for i, one in enumerate(cuts):
        for other in cuts[i + 1 :]:
            across = max(other.x - one.x - one.length, one.x - other.x - other.length)
            up = max(other.y - one.y - one.height, one.y - other.y - other.height)
            if not max(across, up) >= kerf - NEAR:
                yield f"{where}: panels {one.panel} and {other.panel} overlap or leave no kerf"


def _parts_by_cuts(cuts: list[Cut], kerf: float) -> bool:
    """Tell whether straight cuts from edge to edge, one after another, part all blanks."""
    if len(cuts) < 2:
        return True
    for spans in (
        sorted((cut.x, cut.x + cut.length, k) for k, cut in enumerate(cuts)),
        sorted((cut.y, cut.y + cut.height, k) for k, cut in enumerate(cuts)),
    ):
        groups: list[list[Cut]] = []
        reach = -math.inf
        for low, high, k in spans:
            if not groups or low >= reach + kerf - NEAR:
                groups.append([])
            groups[-1].append(cuts[k])
            reach = max(reach, high)
        # Cutting at every gap of one direction loses nothing: cuts in parallel do not bar each other.
        if len(groups) > 1:
            return all(_parts_by_cuts(group, kerf) for group in groups)
    return False


def check_order(plan: Plan) -> list[str]:
    """Return what of the order does not follow from the sheets."""
    stocks = [line.stock for line in plan.order]
    if sorted(stocks) != list(range(len(plan.job.sheets))):
        return [f"the order has sizes {stocks}, the job {len(plan.job.sheets)}"]
    proving = [line for line in plan.order if line.prove_out]
    return joined(
        [
            joined(_check_line(plan, line) for line in plan.order),
            counted(
                "sheets for proving the die",
                sum(line.prove_out for line in plan.order),
                plan.job.order.prove_out,
            ),
            unless(len(proving) <= 1, "sheets for proving the die are of several sizes"),
            (
                f"sheet size {line.stock + 1}: a remnant proves the die"
                for line in proving
                if plan.job.sheets[line.stock].remnant and not all(sheet.remnant for sheet in plan.job.sheets)
            ),
        ]
    )


def _check_line(plan: Plan, line: OrderLine) -> Iterator[str]:
    where, spec = f"order of sheet size {line.stock + 1}", plan.job.sheets[line.stock]
    needed = sum(sheet.stock == line.stock for sheet in plan.sheets)
    spare = 0 if spec.remnant else math.ceil(Decimal(plan.job.order.spare) * needed)
    buy = needed + spare + line.prove_out
    yield from counted(f"{where}: needed", line.needed, needed)
    yield from counted(f"{where}: spare", line.spare, spare)
    yield from unless(line.prove_out >= 0, f"{where}: {line.prove_out} for proving")
    yield from counted(f"{where}: buy", line.buy, buy)
    if spec.price is None or line.cost is None:
        yield from unless(
            spec.price is None and line.cost is None, f"{where}: a cost without a price, or none with one"
        )
    else:
        yield from differs(f"{where}: cost", line.cost, buy * spec.price, MONEY * (1 + buy * spec.price))
