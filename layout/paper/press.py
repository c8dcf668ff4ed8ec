"""The press page: force, bottoming, bed and daylight, strokes and hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.forming import Forming
from layout.face.forming_work import clear_height
from layout.face.plan import Plan
from layout.metal.press import BOTTOMING_RANGE
from layout.metal.profile import job_units_first
from layout.paper.flow import Block, Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.ranges import ranges
from layout.paper.shop_words import force_words, rough
from layout.units import format_length

NAME: Final = "Press"

CAUTIONS: Final = (
    "A press closes on hands: guard the die, use two-hand control where it is fitted, never feed past the guard.",
    "Force here is an estimate by a published rule; the press's own plate and its owner's training come first.",
    "Strike off-centre loads gently: a ram pushed askew breaks its guides.",
    "Long blanks whip as they are struck: support the tail, and one person alone works the control.",
)


def draw_press(plan: Plan) -> list[Drawing]:
    """Draw the press page; nothing where forming is not worked out."""
    forming = plan.forming
    if forming is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    flow.heading("Force of a stroke, an estimate")
    flow.table(*_forces(plan, forming))
    flow.paragraph(_NOTE, 8.0, ink=QUIET)
    flow.space(3.0)
    flow.blocks([_room(plan, forming), _time(plan, forming)], columns=2)
    for caution in forming.press.cautions:
        words = job_units_first(caution, plan.job.units)
        flow.paragraph(f"{words[:1].upper()}{words[1:]}.", 9.0, mark="•")
    flow.heading("Strokes by panel: one a scallop, lap included")
    flow.table(*_strokes(plan, forming))
    flow.cautions(CAUTIONS)
    return flow.drawings()


_NOTE: Final = (
    "F = Kbf·TS·w·t²/D, Kbf = 1.33 for a groove: TS tensile strength, w the blank's height, t thickness, D the"
    " groove's opening (Groover). Its range is ±20 % (assumed). Bottoming squeezes every groove in contact with 3 to 5"
    " times the force of bending one (common practice, no source); 4 is planned with."
)

Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def _forces(plan: Plan, forming: Forming) -> Table:
    units, work = plan.job.units, forming.press
    heads = ("force", "range", "of capacity")
    columns = (Column("", bold=True), *(Column(head, "end") for head in heads))
    low, high = BOTTOMING_RANGE
    rows = [
        (
            "bending the new scallop",
            force_words(work.force, units),
            _range(work.force_range, units),
            _share(work.share),
        ),
        (
            f"bottoming {work.grooves} grooves at {work.bottoming_factor:g} × ({low:g} to {high:g})",
            force_words(work.bottoming, units),
            _range(work.bottoming_range, units),
            _share(work.bottoming_share),
        ),
    ]
    if work.capacity is not None:
        rows.append(("capacity of the press", force_words(work.capacity, units), "", ""))
    return columns, rows


def _range(ends: tuple[float, float], units: str) -> str:
    return " to ".join(force_words(end, units) for end in ends)


def _share(share: float | None) -> str:
    return "no press given" if share is None else f"{share:.0%}"


def _room(plan: Plan, forming: Forming) -> Block:
    units, spec = plan.job.units, plan.job.press
    height = forming.press.bend[0]
    clear = clear_height(forming.die, plan.scallop.profile)
    rows = [
        ("tallest blank, the length of the bends", format_length(height, units)),
        ("bed", _given(spec.bed, units)),
        ("between uprights", _given(spec.between_uprights, units)),
        ("stroke and lift to feed, beside the blocks", rough(clear, units)),
        ("daylight", _given(spec.daylight, units)),
    ]
    if spec.daylight is not None:
        rows.append(("left for punch and die blocks", rough(spec.daylight - clear, units)))
    return Block("Room in the press", tuple(rows))


def _given(length: float | None, units: str) -> str:
    return "not given" if length is None else format_length(length, units)


def _time(plan: Plan, forming: Forming) -> Block:
    work, spec = forming.press, plan.job.press
    rows = (
        ("strokes of all panels", str(work.strokes)),
        ("strokes a minute, fed by hand", f"{spec.speed:g}"),
        ("hours of strokes", f"{work.hours:.1f}"),
        ("not counted", "setting, proving, handling"),
        ("grooves in the die", str(work.grooves)),
    )
    return Block("Time", rows)


def _strokes(plan: Plan, forming: Forming) -> Table:
    sizes: dict[int, list[int]] = {}
    for panel, strokes in zip(plan.panels, forming.strokes, strict=True):
        sizes.setdefault(strokes, []).append(panel.number)
    columns = (
        Column("strokes each", "end", bold=True),
        Column("panels", "end"),
        Column("strokes", "end"),
        Column("which", wraps=True),
    )
    return columns, list(_stroke_rows(sizes))


def _stroke_rows(sizes: dict[int, list[int]]) -> Iterator[tuple[str, ...]]:
    for strokes in sorted(sizes, reverse=True):
        numbers = sizes[strokes]
        yield str(strokes), str(len(numbers)), str(strokes * len(numbers)), ranges(numbers)
