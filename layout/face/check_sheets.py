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
    if not sheet.cuts:
        yield f"{where}: nothing is cut from it"
        return
    area = math.fsum(cut.length * cut.height for cut in sheet.cuts)
    yield from differs(f"{where}: share used", sheet.used, area / (spec.length * spec.width), SHARE)
    for cut in sheet.cuts:
        if cut.panel in panels:
            yield from _check_cut(sheet, spec, cut, panels[cut.panel])
    yield from _check_apart(where, sheet.cuts, spec.kerf)
    yield from unless(
        _parts_by_cuts(list(sheet.cuts), spec.kerf), f"{where}: no straight cuts from edge to edge part it"
    )
    if plan.job.face.shear_length is not None:
        between = (spec.length - 2 * spec.trim, spec.width - 2 * spec.edge_trim)
        cuttable = _sheared(list(sheet.cuts), spec.kerf, between, plan.job.face.shear_length + NEAR)
        yield from unless(cuttable, f"{where}: no cuts of at most {plan.job.face.shear_length:.9g} free its blanks")


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
    return _sheared(cuts, kerf, (math.inf, math.inf), math.inf)


def _sheared(cuts: list[Cut], kerf: float, size: tuple[float, float], most: float) -> bool:
    """Tell whether straight cuts from edge to edge, none longer than `most`, free all blanks of a piece.

    A cut that can be made loses nothing: it leaves smaller pieces, and so shorter cuts. So each is made
    where it can be, first round all blanks together, then at every gap between them.
    """
    spans = [(_low(cuts, axis), _high(cuts, axis)) for axis in (0, 1)]
    wide, high = (last - first for first, last in spans)
    if size[0] > wide + NEAR and size[1] <= most:
        return _sheared(cuts, kerf, (wide, size[1]), most)
    if size[1] > high + NEAR and size[0] <= most:
        return _sheared(cuts, kerf, (size[0], high), most)
    if len(cuts) == 1:
        return size[0] <= wide + NEAR and size[1] <= high + NEAR
    for axis in (0, 1):
        groups = _groups(cuts, kerf, axis)
        if len(groups) > 1 and size[1 - axis] <= most:
            return all(_sheared(group, kerf, _resized(size, axis, group), most) for group in groups)
    return False


def _resized(size: tuple[float, float], axis: int, group: Sequence[Cut]) -> tuple[float, float]:
    """Return the size of the piece that holds a group once cut out along one axis."""
    extent = _high(group, axis) - _low(group, axis)
    return (extent, size[1]) if axis == 0 else (size[0], extent)


def _low(cuts: Sequence[Cut], axis: int) -> float:
    return min((cut.x, cut.y)[axis] for cut in cuts)


def _high(cuts: Sequence[Cut], axis: int) -> float:
    return max((cut.x + cut.length, cut.y + cut.height)[axis] for cut in cuts)


def _groups(cuts: Sequence[Cut], kerf: float, axis: int) -> list[list[Cut]]:
    """Return the blanks between gaps of at least a kerf that go right across, in order."""
    groups: list[list[Cut]] = []
    reach = -math.inf
    for cut in sorted(cuts, key=lambda cut: ((cut.x, cut.y)[axis], cut.panel)):
        if not groups or _low([cut], axis) >= reach + kerf - NEAR:
            groups.append([])
        groups[-1].append(cut)
        reach = max(reach, _high([cut], axis))
    return groups


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
