"""The page that the installer takes along on a phone: one file, no network, the seam map with its figures.

Everything of the job goes into it as data, never as markup, and a policy inside the page lets nothing run or
load but the page's own script and style (Content Security Policy Level 3, W3C).
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

import numpy as np

from layout.face.plan import Panel, Plan, Seam
from layout.face.revisions import FIRST
from layout.face.set_out import Mark, SetOut, set_out, stop_rule
from layout.outline.chain import Chain
from layout.paper.csv_tables import cover_on_wall
from layout.paper.hanging import closing_words, edge_words, hanging_order
from layout.paper.map_view import extent_of, panel_stations
from layout.paper.set_out import minus, signed_radius
from layout.paper.xlsx_tables import WAYS
from layout.units import format_angle, format_fine, format_length

Value = str | int | float | bool | None | list["Value"] | dict[str, "Value"]

TEMPLATE: Final = Path(__file__).with_name("site_page.html")
_CHORD: Final = 1.0
"""mm that a drawn chord may leave its line: less than a pixel, zoomed in as far as it goes on most plans"""
_FEWEST: Final = 8
"""chords of a panel at least"""
_PLACES: Final = 2
"""decimals of a millimetre in what is drawn"""


def site_page(
    plan: Plan, found: SetOut | None = None, order: Sequence[int] | None = None, revision: str = FIRST
) -> str:
    """Return the page as HTML text: the same plan, the same text.

    Parameters
    ----------
    found
        The set-out; worked out from the plan where it is not given.
    order
        Panel numbers in the order in which they are hung; None takes the plan's own.
    revision
        Letter of the revision; ticks are kept for it alone.

    Raises
    ------
    ValueError
        Where the order is not one of all panels.
    """
    hung = hanging_order(plan) if order is None else list(order)
    if sorted(hung) != sorted(panel.number for panel in plan.panels):
        raise ValueError("the hanging order must hold every panel once")
    shown = page_data(plan, set_out(plan) if found is None else found, hung, revision)
    template = TEMPLATE.read_text(encoding="utf-8")
    filled = {
        "policy": html.escape(policy_of(template)),
        "title": html.escape(plan.job.title),
        "plan": as_data(shown),
    }
    return re.sub(r"\{\{(policy|title|plan)\}\}", lambda place: filled[place[1]], template)


def policy_of(template: str) -> str:
    """Return the policy that lets the template's own script and style run, and nothing else load.

    Examples
    --------
    >>> policy_of("<style>a</style><script>b</script>").split("; ")[0]
    "default-src 'none'"
    """
    (style,) = re.findall(r"<style>(.*?)</style>", template, re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", template, re.DOTALL)
    rules = (
        "default-src 'none'",
        f"style-src '{_hash(style)}'",
        f"script-src '{_hash(script)}'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    )
    return "; ".join(rules)


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def as_data(value: Value) -> str:
    r"""Return JSON that may stand inside a script element: nothing in it can end the element or open a comment.

    Examples
    --------
    >>> as_data("</script><!--")
    '"\\u003c/script\\u003e\\u003c!--"'
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for char in "<>&\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return text.encode("utf-8", errors="replace").decode("utf-8")


def page_data(plan: Plan, found: SetOut, order: Sequence[int], revision: str = FIRST) -> dict[str, Value]:
    """Return what the page shows: drawing in mm, figures as text."""
    marks = {mark.seam: mark for mark in found.marks}
    place = {control.name: control.xy for control in found.controls}
    return {
        "key": _key(plan, revision),
        "title": plan.job.title,
        "revision": revision,
        "box": [*_box(plan)],
        "lines": [_line(plan, k) for k in range(len(plan.lines))],
        "stretches": [
            {"points": _points(plan.lines[one.outline].back, *extent_of(plan, one))} for one in plan.stretches
        ],
        "panels": [_panel(plan, panel) for panel in plan.panels],
        "seams": [_seam(plan, seam, marks[seam.number], place) for seam in plan.seams],
        "controls": [
            {"name": c.name, **_xy(c.xy), "read": [_read(plan, c.x), _read(plan, c.y)]} for c in found.controls
        ],
        "order": list(order),
        "notes": [list(note) for note in _notes(plan, found, revision)],
    }


def _key(plan: Plan, revision: str) -> str:
    """Return what ticks are kept under: job file, revision and panels; another choice of panels has another."""
    marks = [mark_of(plan, panel) for panel in plan.panels]
    return hashlib.sha256(as_data([plan.job.digest, plan.job.title, revision, *marks]).encode()).hexdigest()


def mark_of(plan: Plan, panel: Panel) -> str:
    """Return what tells a panel from all others of any revision: where it hangs and what it is cut to, 0.1 mm.

    Two panels of one mark are the same piece at the same place, whatever their numbers.
    """
    run = plan.runs[panel.run - 1]
    holes = [hole for hole in plan.cutouts if hole.panel == panel.number]
    figures = (
        *panel_stations(plan, panel),
        panel.blank_length,
        panel.blank_height,
        *(side for hole in holes for side in (hole.left, hole.bottom, hole.width, hole.height)),
    )
    parts = (plan.lines[run.outline].name, panel.scallops, panel.lapped, *(f"{mm:.1f}" for mm in figures))
    return "|".join(str(part) for part in parts)


def _box(plan: Plan) -> tuple[float, float, float, float]:
    boxes = np.array([chain.bounds for one in plan.lines for chain in (one.drawn, one.back)])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return (*_rounded(low), *_rounded(high))


def _rounded(point: Sequence[float] | np.ndarray) -> tuple[float, float]:
    x, y = (round(float(c), _PLACES) + 0.0 for c in point)
    return x, y


def _xy(point: Sequence[float]) -> dict[str, Value]:
    x, y = _rounded(point)
    return {"x": x, "y": y}


def _out(heading: float) -> list[Value]:
    """Return the unit vector to the viewer."""
    return [round(math.sin(heading), 5) + 0.0, round(-math.cos(heading), 5) + 0.0]


def _line(plan: Plan, number: int) -> Value:
    lines = plan.lines[number]
    name = (lines.name or f"outline {number + 1}") if len(plan.lines) > 1 else ""
    return {
        "name": name,
        "closed": lines.closed,
        "outline": [[*_rounded(point)] for point in lines.drawn.sample(tolerance=_CHORD)],
        "datum": [*_rounded(lines.datum)],
        "out": _out(float(lines.back.heading(0.0))),
    }


def _points(line: Chain, start: float, end: float) -> list[Value]:
    """Return a stretch of a line as points; past the datum of a closed line it runs on."""
    mesh = line.mesh(tolerance=_CHORD)
    laps = np.concatenate([mesh, mesh + line.length]) if line.closed else mesh
    inner = laps[(laps > start) & (laps < end)]
    stations = np.unique(np.concatenate([inner, np.linspace(start, end, _FEWEST + 1)]))
    return [[*_rounded(point)] for point in line.point(stations)]


def _read(plan: Plan, mm: float) -> str:
    """Write a length that no line of a narrow screen breaks."""
    return minus(format_length(mm, plan.job.units)).replace(" ", "\N{NO-BREAK SPACE}")


def _panel(plan: Plan, panel: Panel) -> Value:
    line = plan.lines[plan.runs[panel.run - 1].outline].back
    start, end = panel_stations(plan, panel)
    middle = (start + end) / 2
    return {
        "n": panel.number,
        "mark": mark_of(plan, panel),
        "points": _points(line, start, end),
        "mid": [*_rounded(line.point(middle))],
        "out": _out(float(line.heading(middle))),
        "short": _short(plan, panel),
        "rows": [list(row) for row in _panel_rows(plan, panel)],
    }


def _short(plan: Plan, panel: Panel) -> str:
    left, right = (_read(plan, _seam_of(plan, number).station) for number in (panel.left_seam, panel.right_seam))
    return f"seam {panel.left_seam} at {left} to seam {panel.right_seam} at {right}; {panel.scallops} scallops"


def _seam_of(plan: Plan, number: int) -> Seam:
    return next(seam for seam in plan.seams if seam.number == number)


def _panel_rows(plan: Plan, panel: Panel) -> Iterator[tuple[str, str]]:
    run = plan.runs[panel.run - 1]
    if len(plan.runs) > 1:
        yield "run", run.name
    for side, number in (("left edge", panel.left_seam), ("right edge", panel.right_seam)):
        yield side, f"seam {number}, station {_read(plan, _seam_of(plan, number).station)}"
    yield "cover on the wall", _read(plan, cover_on_wall(plan, panel))
    yield "scallops", f"{panel.scallops} + 1 lap" if panel.lapped else str(panel.scallops)
    yield "overall", _read(plan, panel.overall)
    yield "blank", f"{_read(plan, panel.blank_length)} × {_read(plan, panel.blank_height)}"
    yield "out of sheet", str(panel.sheet)
    for hole in (one for one in plan.cutouts if one.panel == panel.number):
        left, bottom, width, height = (_read(plan, mm) for mm in (hole.left, hole.bottom, hole.width, hole.height))
        notch = "" if hole.whole else ", a notch"
        yield f"cut-out {hole.name}", f"left {left}, bottom {bottom}, {width} × {height}, flat{notch}"


def _seam(plan: Plan, seam: Seam, mark: Mark, place: dict[str, tuple[float, float]]) -> Value:
    tied = mark.ties.controls if mark.ties else ()
    return {
        "n": seam.number,
        "end": seam.end,
        **_xy((seam.x, seam.y)),
        "out": _out(seam.heading),
        "ties": [[*_rounded(place[name])] for name in tied],
        "rows": [list(row) for row in _seam_rows(plan, seam, mark)],
    }


def _seam_rows(plan: Plan, seam: Seam, mark: Mark) -> Iterator[tuple[str, str]]:
    units = plan.job.units
    yield "station", _read(plan, seam.station)
    if mark.same_as is not None:
        yield "same mark as", f"seam {mark.same_as}"
    if len(plan.runs) > 1:
        yield "run", plan.runs[seam.run - 1].name
    yield "marked by", WAYS[mark.way]
    if mark.ties:
        for name, distance in zip(mark.ties.controls, mark.ties.distances, strict=True):
            yield f"tie from {name}", _read(plan, distance)
        yield "tapes cross at", format_angle(mark.ties.crossing, places=0)
    if mark.chord:
        yield f"chord to seam {mark.next_seam}", _read(plan, mark.chord.length)
        yield "mid-ordinate", _read(plan, mark.chord.mid_ordinate)
    yield "radius", signed_radius(seam.radius, units) or "straight"
    if mark.rise is not None:
        yield "rise on a straightedge", _read(plan, mark.rise)
    yield "x, y", f"{_read(plan, seam.x)}, {_read(plan, seam.y)}"
    if not seam.end:
        yield "edge lift", format_fine(seam.lift, units)
    yield "why here", seam.why
    for name, view in seam.sight:
        yield f"from {name}", view


def _notes(plan: Plan, found: SetOut, revision: str) -> Iterator[tuple[str, ...]]:
    tolerance = format_length(found.tolerance, plan.job.units)
    yield "Hanging", edge_words(plan)
    yield "Marking", stop_rule(found, tolerance)
    yield "Closing check", *closing_words(plan)
    edge = format_length(found.straightedge, plan.job.units)
    signs = (
        f"Radius and mid-ordinate: + convex, − hollow. Rise: the gap at a straightedge of {edge}, with its middle "
        "on a convex wall or its ends on a hollow one."
    )
    yield "Signs", signs
    if plan.stretches:
        yield (
            "Kept free of seams",
            *(f"{one.why}: {_read(plan, one.start)} to {_read(plan, one.end)}" for one in plan.stretches),
        )
    if plan.cautions:
        yield "Cautions", *plan.cautions
    job = plan.job.digest[:12] or "not from a file"
    date = f", {plan.job.paper.date}" if plan.job.paper.date else ""
    ticks = (
        "Ticks are kept on this phone alone, for this revision alone. A page of another revision on this phone shows "
        "none of them by itself: it tells which of those panels are the same in it, and asks."
    )
    yield "This page", f"Revision {revision}{date}, made from job file {job}. It needs no network.", ticks
