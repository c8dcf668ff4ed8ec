"""The flex page: what each panel gives before it sets, which to pre-curve, and what holds its ends down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.forming import Forming, PanelFlex
from layout.face.plan import Plan
from layout.paper.flow import Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.ranges import ranges
from layout.paper.shop_words import rough, signed_rough, small_force
from layout.units import format_length

NAME: Final = "Flex"

CAUTIONS: Final = (
    "Counters hide wiring, gas, pipes and drains: find them and make them dead or safe before a fixing goes in.",
    "Keep exits, clear widths and accessible heights as local codes have them; licensed trades do their own work.",
    "Sprung panels fly back: hold both ends while the last fixings go in or come out.",
)


def draw_flex(plan: Plan) -> list[Drawing]:
    """Draw the flex of every panel; nothing where forming is not worked out."""
    forming = plan.forming
    if forming is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    write_flex(plan, forming, flow)
    return flow.drawings()


def write_flex(plan: Plan, forming: Forming, flow: Flow) -> None:
    """Write the flex of every panel below what a flow holds."""
    flow.heading("What each panel gives within first yield, and what holds its ends")
    flow.table(*_panels(plan, forming))
    flow.paragraph(_note(forming), 8.0, ink=QUIET)
    for words in _remarks(plan, forming):
        flow.paragraph(words, 9.0, mark="•")
    flow.cautions(CAUTIONS)


def _note(forming: Forming) -> str:
    return (
        "May stretch, may crowd: over the panel's whole cover, before its metal takes a set; beside it the take-up as"
        " hung. Formed metal keeps stress from the press: stretching sets at"
        f" {forming.opening_share:.0%} of first yield, crowding at no less than all of it (elastic-plastic bending"
        " without hardening, assumed). Pull: over the panel's height for the take-up as hung. End pull: on all fixings"
        " of the valley nearest an end, on a convex curve, where the panel springs off; closer fixings pull harder."
    )


Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def _panels(plan: Plan, forming: Forming) -> Table:
    heads = ["tightest radius", "take-up as hung", "may stretch", "may crowd", "pull", "end pull"]
    known = plan.job.fixing.pull is not None
    if known:
        heads.append("rows needed")
    columns = (
        Column("panels", bold=True, wraps=True),
        *(Column(head, "end") for head in heads),
        Column("pre-curve"),
    )
    alike: dict[tuple[str, ...], list[int]] = {}
    for one in forming.flex:
        alike.setdefault(_row(plan.job.units, one, rows=known), []).append(one.panel)
    return columns, [(ranges(panels), *figures) for figures, panels in alike.items()]


def _row(units: str, one: PanelFlex, *, rows: bool) -> tuple[str, ...]:
    """Return the figures of a panel; panels with the same ones share a row."""
    radius = "straight" if one.radius is None or abs(one.radius) > 1e7 else format_length(abs(one.radius), units)
    hollow = ", hollow" if one.radius is not None and one.radius < 0 and radius != "straight" else ""
    return (
        radius + hollow,
        signed_rough(one.take_up, units),
        rough(one.stretch, units),
        rough(one.crowd, units),
        small_force(one.pull, units),
        small_force(one.end_pull, units),
        *((str(one.rows),) if rows else ()),
        "yes" if one.pre_curve else "no",
    )


def _remarks(plan: Plan, forming: Forming) -> Iterator[str]:
    units, fixing = plan.job.units, plan.job.fixing
    natural = format_length(plan.scallop.flex.natural_bend_radius, units)
    curved = [one.panel for one in forming.flex if one.pre_curve]
    if curved:
        yield f"Pre-curve panels {ranges(curved)}: tighter than the natural bend of {natural}; others wrap as formed."
    else:
        yield f"No panel needs pre-curving: none is wrapped tighter than the natural bend of {natural}."
    every = rough(fixing.every * plan.scallop.pitch, units)
    yield (
        f"Fixings: {fixing.rows} up the height of every fixed valley, {every} apart along the face, the last one"
        f" {format_length(fixing.edge, units)} from a panel's end."
    )
    if fixing.pull is None:
        yield "What a fixing holds is not given ([fixing] pull), so its number on curves is not judged."
        return
    worst = max(forming.flex, key=lambda one: (one.end_pull, -one.panel))
    height = max(panel.blank_height for panel in plan.panels)
    rows = max(worst.rows or 1, 1)
    yield (
        f"A fixing holds {small_force(fixing.pull, units)}: at the tightest end (panel {worst.panel}) {rows} up the"
        f" height do, so at most {format_length(height / rows, units)} apart there."
    )
