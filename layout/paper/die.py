"""The die page: what to start with, what the metal's yield does to it, and the stock tools near it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.forming import Forming, StockTool
from layout.face.forming_work import die_cautions
from layout.face.plan import Plan
from layout.metal.die import FREE, Die
from layout.paper.die_section import draw_section
from layout.paper.flow import Block, Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.shop_words import close, rough, signed_rough
from layout.units import format_fine, format_stress

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
    measured = forming.measured is not None
    title = "Your die is equal to" if measured else "Die to start with"
    blocks = [_die_block(plan, forming.die, title), _step_block(plan, forming.die)]
    if measured and forming.to_drawn is not None:
        blocks.append(_die_block(plan, forming.to_drawn, "To come to the drawn", spacing=True))
    elif forming.other is not None:
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


def _die_block(plan: Plan, die: Die, title: str, *, spacing: bool = False) -> Block:
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
    if spacing:
        rows.insert(-1, ("groove spacing", rough(die.spacing, units)))
    return Block(title, tuple(rows))


def _step_block(plan: Plan, die: Die) -> Block:
    units, forming = plan.job.units, plan.forming
    rows = [
        ("grooves", str(die.grooves)),
        ("groove spacing = loaded pitch", rough(die.spacing, units)),
        *((f"nesting error, groove {k}", signed_rough(off, units)) for k, off in enumerate(die.nesting, 2)),
        ("feed, flat metal a stroke", close(die.feed, units)),
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
    heads = ("yield", "pitch", "off the drawn", "depth", "off the drawn", "crest radius", "asks for a punch of")
    drawn = forming.drawn.pitch if plan.job.drawn is not None else plan.scallop.pitch
    wanted = forming.die if forming.to_drawn is None else forming.to_drawn
    columns = (Column("metal", bold=True), *(Column(head, "end") for head in heads))
    rows = [
        (
            name,
            format_stress(one.yield_, units),
            rough(one.pitch, units),
            signed_rough(one.pitch - drawn, units),
            rough(one.depth, units),
            signed_rough(one.depth - forming.drawn.depth, units),
            rough(one.crest_radius, units),
            rough(asked.punch_radius, units),
        )
        for name, one, asked in zip(
            ("softest", "planned with", "hardest"), forming.die.outcomes, wanted.outcomes, strict=True
        )
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
    if forming.measured is not None:
        yield (
            "This plan goes by a measured first-off: your die is equal to the one above. What softer and harder metal"
            " and stock tools give is set beside the drawn scallop,"
            f" {close(forming.drawn.pitch, units)} by {close(forming.drawn.depth, units)}."
        )
    for words in die_cautions(plan, die):
        yield f"{words[:1].upper()}{words[1:]}."
    if die.nesting and any(abs(off) > 0 for off in die.nesting):
        yield (
            "Nesting: free scallops overreach the second and further grooves by the errors above before the stroke"
            " closes them. Bevel the ridges to let them in, or space the grooves that much further."
        )
