"""The first-off form: what to measure on the first sample, what it should be, and room to write what it is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from layout.face.forming import Forming
from layout.face.forming_work import curl_radius_words, die_cautions
from layout.face.plan import Plan, Run
from layout.metal.first_off import MOST_FAN, curl_rise
from layout.paper.flow import Block, Column, Flow
from layout.paper.frame import Drawing, paper_of
from layout.paper.ink import QUIET
from layout.paper.shop_words import close, rough, scribed, signed_rough
from layout.units import format_length

NAME: Final = "First-off"

OVER: Final = 10
"""scallops measured over: ten times finer than one (common practice, no source)"""

_READ: Final = {"in": "1/64 in", "mm": "0.4 mm"}
"""to what a rule is read, and within what the depth passes (assumed)"""

_LINE: Final = "________________"
_BOX: Final = "[   ] pass   [   ] not"

CAUTIONS: Final = (
    "Form the sample at the first stroke's speed and the die's own stops; measure it free on a flat bench, not held.",
    "Gloves on: the sample's edges are as sheared.",
    "Do not form the rest until every line passes, or the job is planned again with what was measured.",
)


def draw_first_off(plan: Plan) -> list[Drawing]:
    """Draw the form; nothing where forming is not worked out."""
    forming = plan.forming
    if forming is None:
        return []
    flow = Flow(NAME, paper_of(plan.job))
    flow.paragraph(
        f"Scribe two lines on flat metal {scribed(OVER * plan.scallop.profile.developed, plan.job.units)} apart"
        f" ({OVER} × the feed), form {OVER} scallops between them, let it lie free, and measure. Fill in and keep with"
        " the job."
    )
    flow.space(2.0)
    flow.table(*_form(plan, forming), size=10.5, fill=True)
    flow.paragraph(
        "Pitch passes where these runs still take their whole scallops within first yield and most_take_up; past it"
        f" plan again. Lengths over {OVER} are read to ± {_READ[plan.job.units]}"
        f"; depth passes within ± {depth_words(plan)} (assumed). Expected: what this die makes"
        " of the yield planned with; softer metal gives more, harder less (page Die). What differs is written in the"
        " job file below.",
        8.0,
        ink=QUIET,
    )
    for words in die_cautions(plan, forming.die):
        flow.paragraph(f"{words[:1].upper()}{words[1:]}.", 9.0, mark="•")
    flow.space(3.0)
    blocks = [_who()]
    if forming.measured is not None:
        blocks.append(_measured(plan, forming))
    flow.blocks(blocks, columns=2, size=10.0)
    flow.heading("To plan the job again with what was measured, write into its file")
    flow.paragraph(
        f"[die]   measured = {{ scallops = {OVER}, length = ________, depth = ________, flat = ________, length_top ="
        " ________, length_bottom = ________ }"
    )
    flow.paragraph("Length is that at the middle; top and bottom may be left out where they are alike.", 8.0, ink=QUIET)
    for words in _fan_words(plan, forming):
        flow.paragraph(words, 9.0, mark="•")
    flow.cautions(CAUTIONS)
    return flow.drawings()


Table = tuple[Sequence[Column], Sequence[Sequence[str]]]


def _form(plan: Plan, forming: Forming) -> Table:
    units, profile = plan.job.units, plan.scallop.profile
    low, high = pitch_band(plan, forming)
    wanted, made = scribed(OVER * plan.scallop.pitch, units), forming.die.outcomes[1]
    expected, flat = scribed(OVER * made.pitch, units), scribed(OVER * profile.developed, units)
    reads = f"± {_READ[units]}, as scribed"
    band = f"{rough(OVER * low, units)} to {rough(OVER * high, units)}"
    most = most_fan(plan)
    columns = (
        Column("measure", bold=True),
        Column("wanted", "end"),
        Column("expected", "end"),
        Column("passes", wraps=True),
        Column("measured"),
        Column("verdict"),
    )
    even = f"top and bottom within {rough(most, units)}"
    rows = [
        (f"over {OVER} scallops, top", wanted, expected, even, _LINE, _BOX),
        (f"over {OVER} scallops, middle", wanted, expected, band, _LINE, _BOX),
        (f"over {OVER} scallops, bottom", wanted, expected, even, _LINE, _BOX),
        (
            "depth, valley to crest",
            close(plan.scallop.depth, units),
            close(made.depth, units),
            f"± {depth_words(plan)}",
            _LINE,
            _BOX,
        ),
        ("flat, scribed line to line", flat, flat, reads, _LINE, _BOX),
        _curl_row(forming, units),
    ]
    return columns, rows


def _curl_row(forming: Forming, units: str) -> tuple[str, ...]:
    """Return the line of the curl: nothing, or as far as this die is expected to curl a free sheet."""
    curl, pitch = forming.die.curl, forming.die.outcomes[1].pitch
    if curl is None:
        return f"curl: rise over {OVER} scallops", "0", "0", "lies flat under its own weight", _LINE, _BOX
    over, rise = curl_rise(curl.radius, pitch, OVER)
    side = "hollow" if curl.hollow else "round"
    return (
        f"curl: rise over {over} scallops",
        "0",
        f"{rough(rise, units)}, {side}",
        f"no more than expected: a radius of about {curl_radius_words(curl, units)}; to lay it flat see below",
        _LINE,
        _BOX,
    )


def depth_words(plan: Plan) -> str:
    """Write the tolerance of the depth."""
    return _READ[plan.job.units]


def pitch_band(plan: Plan, forming: Forming) -> tuple[float, float]:
    """Return the pitches (mm, as formed) at which every run still takes its whole scallops.

    Stretched and crowded within first yield, less the residue of forming, and within most_take_up; where the wrap
    alone uses first yield up, within most_take_up.
    """
    flex = plan.scallop.flex
    most = plan.job.scallop.most_take_up * plan.scallop.pitch
    limit = min(most, flex.tight_take_up_limit or most)
    stretch = limit * forming.opening_share
    hung = [_whole_pitch(run) for run in plan.runs]
    low, high = max(hung) - stretch, min(hung) + limit
    return (low, high) if low <= plan.scallop.pitch <= high else (max(hung) - most, min(hung) + most)


def _whole_pitch(run: Run) -> float:
    return run.pitch


def most_fan(plan: Plan) -> float:
    """Return what top and bottom may differ over ten scallops, mm, so that no panel fans past its limit."""
    largest = max(panel.scallops + panel.lapped for panel in plan.panels)
    return MOST_FAN * OVER / largest


def _who() -> Block:
    rows = (
        ("date", _LINE),
        ("metal: heat or lot number", _LINE),
        ("thickness, by micrometer", _LINE),
        ("punch and groove as made", _LINE),
        ("formed and measured by", _LINE),
        ("forming may go on", "[   ] yes   [   ] no"),
    )
    return Block("Sample", rows)


def _measured(plan: Plan, forming: Forming) -> Block:
    """Return what the job is planned with, beside the drawing."""
    found, units = forming.measured, plan.job.units
    if found is None:
        raise ValueError("nothing was measured")
    rows = (
        ("pitch, planned with", close(found.profile.pitch, units)),
        ("over the drawn pitch", signed_rough(found.pitch_off, units)),
        ("depth", f"{rough(found.profile.depth, units)} ({signed_rough(found.depth_off, units)})"),
        ("flat metal a scallop", close(found.profile.developed, units)),
        ("over the drawn", signed_rough(found.developed_off, units)),
        ("flat against the drawn form's own", f"{found.form_off:+.1%}"),
    )
    return Block("This plan goes by a measured first-off", rows)


def _fan_words(plan: Plan, forming: Forming) -> Iterator[str]:
    """Say how far the worst panel fans."""
    if not forming.fans:
        return
    k = max(range(len(forming.fans)), key=lambda i: (abs(forming.fans[i].longer_by), -i))
    worst, units = forming.fans[k], plan.job.units
    side = "top" if worst.longer_by > 0 else "bottom"
    arc = float(f"{worst.radius:.2g}")
    radius = "a straight" if math.isinf(arc) else f"an arc of radius about {format_length(arc, units, precision=1)}"
    yield (
        f"Fan: panel {plan.panels[k].number} comes out {rough(abs(worst.longer_by), units)} longer at its {side}, bowed"
        f" {rough(worst.bow, units)} on {radius}; at most {rough(MOST_FAN, units)} is planned with."
    )
