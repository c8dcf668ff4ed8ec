"""The summary: every figure that the shop orders and forms by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Final

from layout.face.plan import Lines, Panel, Plan, Run
from layout.face.sheets import stock_name
from layout.metal.gauges import sheet_weight
from layout.metal.metals import Metal, metal_of
from layout.paper.flow import Block, Column, Flow, Part
from layout.paper.frame import Drawing, paper_of
from layout.paper.goals import goal_words, proof_values, within_row, worst_words
from layout.paper.hanging import shown_station
from layout.paper.ink import QUIET
from layout.paper.making import bench_width, cut_ends, height_block, seam_block, shape_block
from layout.paper.ranges import ranges
from layout.paper.shop_words import modulus_words, money
from layout.paper.site_parts import site_parts
from layout.units import (
    format_density,
    format_fine,
    format_force,
    format_length,
    format_stress,
    format_weight,
)

NAME: Final = "Summary"

SAFETY: Final = (
    "Presses pinch and crush: guard the tool, keep hands out, lock out before setting.",
    "Sheared edges and corners cut: wear gloves and eye protection, break every edge.",
    "Long panels whip and buckle: lift with as many people or slings as the weight and the length ask for.",
    "Counters hide wiring, pipes and drains: find them and make them dead before you drill or screw.",
    "Local codes, accessibility rules and licensed trades come before anything printed here.",
    "Form a first-off, measure it, and correct the die or the count before the rest is made.",
)


def draw_summary(plan: Plan) -> list[Drawing]:
    """Draw the summary, on as many papers as it takes."""
    flow = Flow(NAME, paper_of(plan.job))
    write_summary(plan, flow)
    return flow.drawings()


def write_summary(plan: Plan, flow: Flow) -> None:
    """Write the summary below what a flow holds."""
    metal = metal_of(plan.job.metal)
    flow.blocks([_scallop_block(plan), _flex_block(plan), _metal_block(plan, metal)])
    flow.blocks([shape_block(plan), height_block(plan), seam_block(plan)])
    flow.heading("Lengths")
    flow.table(*_lengths(plan))
    flow.heading("Runs: whole scallops and their take-up")
    flow.table(*_runs(plan))
    flow.paragraph(_RUN_NOTE, 8.0, ink=QUIET)
    parts = [
        Part("Blanks", *_blanks(plan, metal)),
        Part("Sheets to order", *_order(plan)),
        Part("Goals, in their order", *_goals(plan)),
    ]
    if plan.choices:
        parts.append(Part("Other plans considered", *_choices(plan)))
    if plan.stretches:
        parts.append(Part("Stretches kept free of seams", *_stretches(plan)))
    parts += site_parts(plan)
    flow.side_by_side(parts)
    _notes(plan, flow)
    flow.paragraph(f"Metal figures: {metal.source}.", 8.0, ink=QUIET)
    flow.cautions([*(caution[:1].upper() + caution[1:] for caution in plan.cautions), *SAFETY])


_RUN_NOTE: Final = (
    "Take-up: what each scallop is stretched (+) or crowded (−) so that a whole number fits; pull: over the"
    " face's height. Of yield: the take-up as a share of what first yields, on a straight and at the tightest"
    " curve. Longer, shorter: what the count line of the wall as built may differ before the take-up is"
    " refused."
)


def _scallop_block(plan: Plan) -> Block:
    units, scallop = plan.job.units, plan.scallop
    profile = scallop.profile
    rows = [
        ("form", scallop.form),
        ("pitch, as formed", format_fine(scallop.pitch, units)),
        ("pitch, as drawn", format_fine(scallop.drawn_pitch, units)),
        ("depth, mid-metal", format_fine(scallop.depth, units)),
        ("developed length", format_fine(profile.developed, units)),
        ("neutral height", format_fine(profile.neutral_height, units)),
        ("scallops in all", str(sum(run.scallops for run in plan.runs))),
    ]
    return Block("Scallop", tuple(rows))


def _flex_block(plan: Plan) -> Block:
    units, flex = plan.job.units, plan.scallop.flex
    take_up = max((abs(run.take_up) for run in plan.runs), default=0.0)
    tightest = min(lines.back.smallest_radius for lines in plan.lines)
    rows = [
        ("greatest take-up a scallop", format_fine(take_up, units)),
        ("first yield on a straight", format_fine(flex.take_up_limit, units)),
        ("first yield, tightest curve", format_fine(flex.tight_take_up_limit, units)),
        ("tightest curve, back line", "straight" if tightest > 1e7 else format_length(tightest, units)),
        ("natural bend radius", format_length(flex.natural_bend_radius, units)),
        ("panels", str(len(plan.panels))),
        ("seams between panels", str(sum(not seam.end for seam in plan.seams))),
    ]
    return Block("Fit on the wall", tuple(rows))


def _metal_block(plan: Plan, metal: Metal) -> Block:
    spec, units = plan.job.metal, plan.job.units
    gauge = f"{spec.gauge} gauge, " if spec.gauge is not None else ""
    rows = [
        ("metal", spec.kind),
        ("thickness", gauge + format_fine(spec.thickness, units)),
        ("yield planned with", format_stress(metal.yield_, units)),
        (
            "yield as delivered",
            f"{format_stress(metal.yield_low, units)} to {format_stress(metal.yield_high, units)}",
        ),
        ("modulus", modulus_words(metal.modulus, units)),
        ("density", format_density(metal.density, units)),
        (
            "weight of all blanks",
            format_weight(sum(blank_weight(plan, metal, p) for p in plan.panels), units),
        ),
    ]
    return Block("Metal", tuple(rows))


def blank_weight(plan: Plan, metal: Metal, panel: Panel) -> float:
    """Return the weight of a panel's blank, kg: its area by thickness by density."""
    area = panel.blank_length * panel.blank_height / 1e6
    return area * sheet_weight(plan.job.metal.thickness, metal.density)


Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def _lengths(plan: Plan) -> Table:
    units = plan.job.units
    columns = (
        Column("outline", bold=True, wraps=True),
        Column("kind"),
        *(Column(head, "end") for head in ("drawn", "back line", "count line", "crest line", "smallest radius")),
    )

    def row(lines: Lines, number: int) -> tuple[str, ...]:
        radius = lines.back.smallest_radius
        return (
            lines.name or (f"outline {number}" if len(plan.lines) > 1 else "outline"),
            "closed loop" if lines.closed else "open line",
            *(format_length(chain.length, units) for chain in (lines.drawn, lines.back, lines.count, lines.crest)),
            "straight" if radius > 1e7 else format_length(radius, units),
        )

    return columns, [row(lines, k) for k, lines in enumerate(plan.lines, 1)]


def _runs(plan: Plan) -> Table:
    heads = (
        "from",
        "to",
        "count line",
        "take-up, scallop",
        "take-up, run",
        "of yield, straight",
        "of yield, tightest",
        "pull",
        "longer by",
        "shorter by",
    )
    columns = (
        Column("run", bold=True, wraps=True),
        Column("scallops", "end"),
        *(Column(head, "end") for head in heads),
    )
    return columns, [_run_row(plan, run) for run in plan.runs]


def _run_row(plan: Plan, run: Run) -> tuple[str, ...]:
    units, flex = plan.job.units, plan.scallop.flex
    height = run.height or plan.job.face.height
    return (
        run.name,
        scallop_count(run),
        shown_station(plan, run, run.start),
        shown_station(plan, run, run.end),
        format_length(run.count_length, units),
        signed(run.take_up, units),
        signed(run.take_up * run.scallops, units),
        _share(run.take_up, flex.take_up_limit),
        _share(run.take_up, flex.tight_take_up_limit),
        format_force(flex.pull_per_mm * abs(run.take_up) * height, units),
        format_length(run.may_be_longer, units),
        format_length(run.may_be_shorter, units),
    )


def scallop_count(run: Run) -> str:
    """Write how many scallops a run holds; a last one that is cut shows its share.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> [scallop_count(SimpleNamespace(scallops=12, cut_part=part)) for part in (None, 0.4)]
    ['12', '11 + 0.40 cut']
    """
    return str(run.scallops) if run.cut_part is None else f"{run.scallops - 1} + {run.cut_part:.2f} cut"


def _share(take_up: float, limit: float) -> str:
    """Write a take-up as a share of its first-yield limit; where the wrap alone uses the limit, say so."""
    return f"{abs(take_up) / limit:.0%}" if limit > 0 else "set by the wrap"


def signed(mm: float, units: str) -> str:
    """Write a small length with its sign; what rounds to nothing has none.

    Examples
    --------
    >>> signed(0.254, "in"), signed(-0.254, "mm"), signed(0.0, "mm")
    ('+0.0100 in', '−0.254 mm', '0.000 mm')
    """
    text = format_fine(abs(mm), units)
    if not any(figure in "123456789" for figure in text):
        return text
    return ("+" if mm > 0 else "−") + text


def _blanks(plan: Plan, metal: Metal) -> Table:
    units = plan.job.units
    sizes = Counter((round(p.blank_length, 4), round(p.blank_height, 4)) for p in plan.panels)
    columns = (
        Column("how many", "end", bold=True),
        Column("length", "end", bold=True),
        Column("height", "end"),
        Column("scallops, with lap", "end"),
        Column("lies, as formed", "end"),
        Column("weight each", "end"),
        Column("panels", wraps=True),
    )
    rows = []
    for (length, height), count in sorted(sizes.items(), reverse=True):
        alike = [p for p in plan.panels if (round(p.blank_length, 4), round(p.blank_height, 4)) == (length, height)]
        rows.append(
            (
                str(count),
                format_length(length, units),
                format_length(height, units),
                str(alike[0].scallops + alike[0].lapped),
                format_length(bench_width(plan, alike[0]), units),
                format_weight(blank_weight(plan, metal, alike[0]), units),
                ranges([p.number for p in alike]),
            )
        )
    return columns, rows


def _notes(plan: Plan, flow: Flow) -> None:
    """Say what the tables mean, and which panels are cut on site."""
    flow.paragraph(_BLANK_NOTE + (_SIGHT_NOTE if plan.job.viewpoints else ""), 8.0, ink=QUIET)
    for words in cut_ends(plan):
        flow.paragraph(words, 9.0, mark="•")


_BLANK_NOTE: Final = (
    "Blanks, “lies, as formed”: how wide a panel lies flat on the bench, its scallops with the lap × the"
    " formed pitch, form trim cut off: measure the first-off by it."
)
_SIGHT_NOTE: Final = (
    " “Sight”: how much of a seam is seen, 0 hidden, 1 grazed, 2 seen, from each viewpoint times its weight; lift: how"
    " far its edge springs off."
)


def _order(plan: Plan) -> Table:
    split = any(row.from_stock for row in plan.order)
    columns = (
        Column("stock", bold=True),
        *(Column(head, "end") for head in ("needed", "spare", "to prove the die")),
        *((Column("from stock", "end"),) if split else ()),
        Column("buy", "end", bold=True),
        Column("cost", "end"),
    )
    rows = [
        (
            stock_name(plan.job, row.stock),
            str(row.needed),
            str(row.spare),
            str(row.prove_out),
            *((str(row.from_stock),) if split else ()),
            str(row.to_buy),
            money(row.cost),
        )
        for row in plan.order
        if row.buy or row.needed
    ]
    return columns, rows


def _goals(plan: Plan) -> Table:
    columns = (
        Column("goal", bold=True),
        Column("value", "end"),
        Column("no plan can go below", "end"),
        Column("proved"),
    )
    rows = [
        (
            goal_words(proof.goal, plan.job),
            *proof_values(plan, proof),
            ("proved" if proof.proved else "not proved") + within_row(plan),
        )
        for proof in plan.proof
    ]
    return columns, rows


def _choices(plan: Plan) -> Table:
    worst = "sight and lift, worst seam" if plan.job.viewpoints else "lift, worst seam"
    heads = ("cost", "sheets", "panels", worst, "different lengths")
    columns = (
        Column("row", "end"),
        *(Column(head, "end") for head in heads),
        Column("what it is", wraps=True),
        Column("", bold=True),
    )
    rows = [
        (
            str(row),
            money(choice.cost),
            str(choice.sheets),
            str(choice.panels),
            worst_words(choice.worst_sight, choice.worst_seam, plan.job),
            str(choice.different_lengths),
            choice.note,
            "this plan" if choice.chosen else "",
        )
        for row, choice in enumerate(plan.choices, start=1)
    ]
    return columns, rows


def _stretches(plan: Plan) -> Table:
    units = plan.job.units
    columns = (
        Column("outline", wraps=True),
        Column("from", "end"),
        Column("to", "end"),
        Column("why", wraps=True),
    )
    rows = [
        (
            plan.lines[stretch.outline].name or str(stretch.outline + 1),
            format_length(stretch.start, units),
            format_length(stretch.end, units),
            stretch.why,
        )
        for stretch in plan.stretches
    ]
    return columns, rows
