"""The die page: what to start with, what the metal's yield does to it, and the stock tools near it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.forming import Forming, StockTool
from layout.face.plan import Plan
from layout.metal.die import FREE, Curl, Die
from layout.paper.die_section import draw_section
from layout.paper.flow import Block, Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.shop_words import rough, signed_rough
from layout.units import format_fine, format_length, format_stress

NAME: Final = "Die"

START: Final = (
    "Start here; the first-off decides. Springback follows the yield of the heat, which no sum knows: cut the first"
    " punch and groove to these figures, form one sample, measure it (page First-off), correct, and only then form"
    " the rest."
)

CAUTIONS: Final = (
    (
        "Die blocks split and throw pieces: use sound steel or hardwood with the grain across, bolted between"
        " cheeks, and stand clear of its ends."
    ),
    "Take the setting piece's burr off before it goes in the die; a burr scores every scallop after it.",
    "Lock the ram out before hands go between punch and die to set or shim.",
)


def draw_die(plan: Plan) -> list[Drawing]:
    """Draw the die in section, then its figures in tables; nothing where forming is not worked out."""
    forming = plan.forming
    if forming is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    blocks = [_die_block(plan, forming.die), _step_block(plan, forming.die)]
    if forming.other is not None:
        blocks.append(_other_block(plan, forming.other))
    flow.blocks(blocks)
    flow.heading("What the same die makes of softer and harder metal")
    flow.table(*_yields(plan, forming))
    flow.heading("Stock tools near this scallop, and what each would really give")
    flow.table(*_tools(plan, forming))
    flow.paragraph(_TOOL_NOTE, 8.0, ink=QUIET)
    for words in _remarks(plan, forming):
        flow.paragraph(words, 9.0, mark="•")
    return [draw_section(plan, forming, (NAME, START, CAUTIONS)), *flow.drawings()]


_TOOL_NOTE: Final = (
    "Differences are from the drawn scallop, at the yield planned with. Pitch is kept where the tool can; the depth"
    " follows. Count: whole scallops round the job with that tool. To plan with one, write its name: [die] tool ="
    ' "3 in bar". Pipe by nominal size (ASME B36.10M outside diameters), punches press from inside, a hole cutter'
    " makes the groove."
)


def _die_block(plan: Plan, die: Die) -> Block:
    units = plan.job.units
    rows = [
        ("way of working", die.way),
        ("punch radius", rough(die.punch_radius, units)),
        ("punch diameter", rough(2 * die.punch_radius, units)),
        ("groove radius", rough(die.groove_radius, units)),
        ("ridge radius", "sharp" if die.ridge_radius is None else rough(die.ridge_radius, units)),
        ("loaded depth", rough(die.loaded_depth, units)),
        ("radius in tool / finished", f"{die.springback_ratio:.2f}"),
    ]
    if plan.job.die.tool is not None:
        rows.insert(1, ("tool chosen", plan.job.die.tool))
    return Block("Die to start with", tuple(rows))


def _step_block(plan: Plan, die: Die) -> Block:
    units, forming = plan.job.units, plan.forming
    rows = [
        ("grooves", str(die.grooves)),
        ("groove spacing = loaded pitch", rough(die.spacing, units)),
        *((f"nesting error, groove {k}", signed_rough(off, units)) for k, off in enumerate(die.nesting, 2)),
        ("feed, flat metal a stroke", format_fine(die.feed, units)),
        ("strokes of the whole job", str(forming.strokes_in_all if forming else 0)),
    ]
    return Block("Grooves and feed", tuple(rows))


def _other_block(plan: Plan, die: Die) -> Block:
    units = plan.job.units
    rows = (
        ("way of working", die.way),
        ("punch radius", rough(die.punch_radius, units)),
        ("groove radius", rough(die.groove_radius, units)),
        ("groove spacing", rough(die.spacing, units)),
        ("loaded depth", rough(die.loaded_depth, units)),
        ("radius in tool / finished", f"{die.springback_ratio:.2f}"),
    )
    return Block("Worked the other way", rows)


Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def _yields(plan: Plan, forming: Forming) -> Table:
    units = plan.job.units
    heads = ("yield", "pitch", "depth", "depth, off the drawn", "crest radius", "punch radius it asks for")
    columns = (Column("metal", bold=True), *(Column(head, "end") for head in heads))
    rows = [
        (
            name,
            format_stress(one.yield_, units),
            rough(one.pitch, units),
            rough(one.depth, units),
            signed_rough(one.depth - plan.scallop.depth, units),
            rough(one.crest_radius, units),
            rough(one.punch_radius, units),
        )
        for name, one in zip(("softest", "planned with", "hardest"), forming.die.outcomes, strict=True)
    ]
    return columns, rows


def _tools(plan: Plan, forming: Forming) -> Table:
    heads = ("diameter", "pitch", "off", "depth", "off", "flat metal", "off", "count")
    columns = (Column("tool", bold=True), *(Column(head, "end") for head in heads), Column(""))
    return columns, [_tool_row(plan.job.units, tool) for tool in forming.stock]


def _tool_row(units: str, tool: StockTool) -> tuple[str, ...]:
    return (
        tool.name,
        format_fine(tool.diameter, units),
        rough(tool.pitch, units),
        signed_rough(tool.pitch_off, units),
        rough(tool.depth, units),
        signed_rough(tool.depth_off, units),
        rough(tool.developed, units),
        signed_rough(tool.developed_off, units),
        str(tool.count),
        "planned with" if tool.chosen else "",
    )


def _remarks(plan: Plan, forming: Forming) -> Iterator[str]:
    """Say what springback leaves, and what would mend it."""
    die, units = forming.die, plan.job.units
    if die.way != FREE:
        yield "Bottomed: the tool is the drawing itself, and the metal is squeezed to it (assumed: all of it)."
    if abs(die.finished_pitch - plan.scallop.pitch) > 0.005 * plan.scallop.pitch:
        yield (
            f"Flanks and valleys open by another share than the crest: pitch finishes"
            f" {rough(die.finished_pitch, units)}, planned {rough(plan.scallop.pitch, units)}."
        )
    if die.nesting and any(abs(off) > 0 for off in die.nesting):
        yield (
            "Nesting: free scallops overreach the second and further grooves by the errors above before the stroke"
            " closes them. Bevel the ridges to let them in, or space the grooves that much further."
        )
    if die.curl is not None:
        yield _curl_words(die.curl, units)


def _curl_words(curl: Curl, units: str) -> str:
    """Say how a free sheet curls, and which valley or stroke lays it flat."""
    radius = format_length(curl.radius, units, precision=2 if units == "in" else 0)
    words = (
        "Curl: crests and valleys open differently, and a free sheet curls"
        f" {'hollow' if curl.hollow else 'round'}, on a radius of about {radius}. Valleys of"
        f" {rough(curl.flat_valley_radius, units)} at mid-metal would lie flat"
    )
    if curl.flat_stroke is None:
        return f"{words}; no stroke on this punch does."
    deeper = "deeper" if curl.flat_stroke > 0 else "less deep"
    return f"{words}; so would a stroke {rough(abs(curl.flat_stroke), units)} {deeper} on it, for another scallop."
