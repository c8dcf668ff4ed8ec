"""Cut list and set-out as CSV tables (RFC 4180): one head with the units, then one row a panel or seam."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from layout.face.plan import Hole, Panel, Plan
from layout.paper.map_view import panel_stations
from layout.paper.plan_json import stock_names
from layout.units import to_units

Row = tuple[str | int, ...]

_DECIMALS = {"in": 4, "mm": 3}
"""of a length: a ten-thousandth of an inch, a thousandth of a millimetre"""


def cut_list_csv(plan: Plan) -> str:
    """Return the cut list: every blank with its size, its sheet and its place on it."""
    units = plan.job.units
    names = stock_names(plan.job)
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    cuts = {cut.panel: cut for sheet in plan.sheets for cut in sheet.cuts}
    head = [
        "panel",
        "run",
        "scallops",
        "lap",
        f"cover at the count line ({units})",
        f"cover on the wall ({units})",
        f"overall ({units})",
        f"blank length ({units})",
        f"blank height ({units})",
        "left seam",
        "right seam",
        "sheet",
        "stock",
        f"sheet x ({units})",
        f"sheet y ({units})",
        "turned",
        f"cut-outs: name, left and bottom on the blank, width, height ({units})",
    ]
    rows: list[Row] = [
        (
            panel.number,
            plan.runs[panel.run - 1].name,
            panel.scallops,
            int(panel.lapped),
            _length(panel.cover, units),
            _length(cover_on_wall(plan, panel), units),
            *_lengths((panel.overall, panel.blank_length, panel.blank_height), units),
            panel.left_seam,
            panel.right_seam,
            panel.sheet,
            names[sheets[panel.sheet].stock],
            *_lengths((cuts[panel.number].x, cuts[panel.number].y), units),
            "yes" if cuts[panel.number].turned else "no",
            "; ".join(_hole(hole, units) for hole in plan.cutouts if hole.panel == panel.number),
        )
        for panel in plan.panels
    ]
    return table(head, rows)


def set_out_csv(plan: Plan) -> str:
    """Return the set-out: every seam with the figures by which it is marked on site."""
    units = plan.job.units
    head = [
        "seam",
        "run",
        "scallop",
        f"station ({units})",
        f"x ({units})",
        f"y ({units})",
        f"radius ({units})",
        f"lift ({units})",
        "reason",
        "seen from",
    ]
    rows: list[Row] = [
        (
            seam.number,
            plan.runs[seam.run - 1].name,
            seam.boundary,
            *_lengths((seam.station, seam.x, seam.y), units),
            "" if seam.radius is None else _length(seam.radius, units),
            _length(seam.lift, units),
            seam.why,
            "; ".join(f"{name}: {view}" for name, view in seam.sight),
        )
        for seam in plan.seams
    ]
    return table(head, rows)


def _hole(hole: Hole, units: str) -> str:
    figures = _lengths((hole.left, hole.bottom, hole.width, hole.height), units)
    return ", ".join([hole.name, *figures]) + ("" if hole.whole else ", a notch")


def cover_on_wall(plan: Plan, panel: Panel) -> float:
    """Return a panel's cover on the back line, mm: the difference of its edges' stations."""
    start, end = panel_stations(plan, panel)
    return end - start


def _lengths(lengths: Iterable[float], units: str) -> list[str]:
    return [_length(length, units) for length in lengths]


def _length(mm: float, units: str) -> str:
    text = f"{to_units(mm, units):.{_DECIMALS[units]}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def table(head: Sequence[str], rows: Iterable[Row]) -> str:
    """Return a CSV table with its head; texts that a spreadsheet would take for a formula are kept from it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([_plain(cell) for cell in row] for row in rows)
    return out.getvalue()


def _plain(cell: str | int) -> str | int:
    """Keep a text of the job from being read as a formula by a spreadsheet; numbers stay as they are."""
    if isinstance(cell, int) or _is_number(cell):
        return cell
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@")) else cell


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
