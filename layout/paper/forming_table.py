"""The forming table: for each sort of panel its strokes, its scallops, and what it must measure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from layout.face.plan import Panel, Plan
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.hanging import held_back, hold_words
from layout.paper.ink import QUIET
from layout.paper.making import bench_width
from layout.paper.ranges import ranges
from layout.paper.shop_words import close, scribed
from layout.units import format_length

NAME: Final = "Forming"
OVER: Final = 10
"""scallops over which a formed panel is checked: a slip of the feed shows ten times"""
_BOX: Final = "□"
"""to tick off"""
_BOXES: Final = 4
"""boxes at most; more panels are counted up"""

CAUTIONS: Final = (
    "Form the first-off and measure it before any blank of this table is struck.",
    "Keep hands off the work while the ram moves; feed by the tail, stand beside the blank, not behind it.",
    "Formed edges are as sharp as sheared ones.",
)


def draw_forming(plan: Plan) -> list[Drawing]:
    """Draw the forming table, on as many papers as it takes."""
    flow = Flow(NAME, paper_of(plan.job))
    units, profile = plan.job.units, plan.scallop.profile
    flow.paragraph(
        f"Each stroke forms one scallop; feed {close(profile.developed, units)} from valley to valley. Strike the"
        f" first where the form trim ends, {format_length(plan.job.face.form_trim, units)} from the left end. Check"
        " every panel valley to valley at mid-height, lying free, before its ends are cut back."
    )
    flow.space(2.0)
    flow.table(*_table(plan), size=10.0, fill=True)
    flow.paragraph(hold_words(plan), 10.0)
    flow.paragraph(
        f"Check length: {OVER} scallops at the formed pitch of {close(plan.scallop.pitch, units)}, or all where a"
        f" panel has fewer, within ± {check_tolerance(plan)} or what the first-off's pitch passes, if that is less"
        " (assumed). Lies as formed: all its scallops, lap included, form trim cut off.",
        8.0,
        ink=QUIET,
    )
    flow.cautions(CAUTIONS)
    return flow.drawings()


def strokes_of(plan: Plan, panel: Panel) -> int:
    """Return the strokes of a panel: one a scallop, lap included."""
    return plan.forming.strokes[panel.number - 1] if plan.forming is not None else panel.scallops + panel.lapped


def check_length(plan: Plan, panel: Panel) -> tuple[int, float]:
    """Return over how many scallops a formed panel is checked, and what it must measure, mm.

    Ten, or all where it has fewer.
    """
    over = min(OVER, panel.scallops + panel.lapped)
    return over, over * plan.scallop.pitch


def check_tolerance(plan: Plan) -> str:
    """Write within what a check length passes: twice what a rule is read to (assumed)."""
    return "1/32 in" if plan.job.units == "in" else "0.8 mm"


def _table(plan: Plan) -> tuple[Sequence[Column], list[Sequence[str]]]:
    """Return one row for each sort of panel, those that are held back apart."""
    laps, held = any(panel.lapped for panel in plan.panels), held_back(plan)
    columns = (
        Column("panels", bold=True, wraps=True),
        Column("how many", "end"),
        Column("blank", "end"),
        Column("scallops seen", "end"),
        *((Column("lap", "end"),) if laps else ()),
        Column("strokes", "end", bold=True),
        Column("check", "end"),
        Column("must measure", "end", bold=True),
        Column("lies, as formed", "end"),
        Column("when"),
        Column("formed"),
    )
    alike: dict[tuple[object, ...], list[Panel]] = {}
    for panel in plan.panels:
        sizes = (round(panel.blank_length, 4), round(panel.blank_height, 4))
        alike.setdefault((*sizes, panel.scallops, panel.lapped, panel.number in held), []).append(panel)
    return columns, [_row(plan, panels, laps=laps, held=panels[0].number in held) for panels in alike.values()]


def _row(plan: Plan, panels: Sequence[Panel], *, laps: bool, held: bool) -> Sequence[str]:
    units, panel = plan.job.units, panels[0]
    over, length = check_length(plan, panel)
    return (
        ranges([each.number for each in panels]),
        str(len(panels)),
        f"{format_length(panel.blank_length, units)} × {format_length(panel.blank_height, units)}",
        str(panel.scallops),
        *(("1" if panel.lapped else "",) if laps else ()),
        str(strokes_of(plan, panel)),
        f"over {over}",
        scribed(length, units),
        format_length(bench_width(plan, panel), units),
        "hold back" if held else "",
        _BOX * len(panels) if len(panels) <= _BOXES else f"____ of {len(panels)}",
    )
