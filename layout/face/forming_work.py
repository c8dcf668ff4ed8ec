"""How a planned face is formed: die, stock tools, strokes, press, first-off, and each panel's flex."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from layout.errors import Fault, JobFaults
from layout.face.forming import Forming, PanelFlex, StockTool
from layout.face.forming_flex import panel_flex, stretched_past_residue
from layout.face.forming_job import WAYS, drawn_scallop, in_job_units, measured_off
from layout.face.plan import Plan, Run
from layout.face.spans import count_height
from layout.job.model import Job
from layout.metal.die import BOTTOMED, FREE, Curl, Die, die_for, forms_free, misses
from layout.metal.first_off import Fan, fan
from layout.metal.forms import build_profile
from layout.metal.metals import Metal, metal_of
from layout.metal.press import Press, PressWork, press_work
from layout.metal.profile import Profile, job_units_first
from layout.metal.springback import opening_share, spring_of
from layout.metal.stock_tools import parse_tool, stock_tools
from layout.metal.tools import ToolScallop, scallop_of, stock_near
from layout.units import format_fine, format_force, format_length

NEAREST = 8
"""stock tools that are offered (assumed)"""


def with_forming(plan: Plan) -> Plan:
    """Return the plan with how it is formed, and the cautions of that.

    Raises
    ------
    JobFaults
        Where the press cannot take the face (``press.bed``, ``press.daylight``), or the first-off fans too
        much (``die.measured``).
    """
    forming = forming_of(plan)
    told = (*plan.cautions, *forming.cautions)
    return replace(plan, forming=forming, cautions=tuple(job_units_first(text, plan.job.units) for text in told))


def forming_of(plan: Plan) -> Forming:
    """Work out how a plan is formed."""
    job, profile = plan.job, plan.scallop.profile
    metal = metal_of(job.metal)
    die, other = dies(profile, metal, WAYS[job.die.way], job.press.grooves)
    strokes = tuple(panel.scallops + panel.lapped for panel in plan.panels)
    measured = measured_off(job)
    press, fans = _press_and_fans(plan, die, metal, sum(strokes))
    opening = opening_share(die.crest_radius, spring_of(metal, profile.thickness))
    flex = tuple(panel_flex(plan, panel, metal, opening) for panel in plan.panels)
    return Forming(
        drawn=drawn_scallop(job),
        metal=metal,
        die=die,
        other=other,
        to_drawn=_to_drawn(job, metal),
        stock=_stock(plan, metal, WAYS[job.die.way]),
        strokes=strokes,
        press=press,
        opening_share=opening,
        flex=flex,
        measured=measured,
        fans=fans,
        notes=tuple(job_units_first(text, job.units) for text in (*die.cautions, *press.cautions)),
        cautions=(
            *_way_cautions(plan, die),
            *die_cautions(plan, die),
            *_press_cautions(press, die),
            *_residue(plan, opening),
            *_hold_down(plan, flex),
        ),
    )


def dies(profile: Profile, metal: Metal, way: str, grooves: int) -> tuple[Die, Die | None]:
    """Return the die worked as asked and the other way; bottomed alone where no free die forms the scallop."""
    bottomed = die_for(profile, metal, BOTTOMED, grooves)
    if not forms_free(profile, metal):
        return bottomed, None
    free = die_for(profile, metal, FREE, grooves)
    return (free, bottomed) if way == FREE else (bottomed, free)


def _press_and_fans(plan: Plan, die: Die, metal: Metal, strokes: int) -> tuple[PressWork, tuple[Fan, ...]]:
    """Work out press and fans; what is wrong with either is told together."""
    faults: list[Fault] = []
    fans: tuple[Fan, ...] = ()
    with in_job_units(plan.job):
        try:
            fans = _fans(plan)
        except JobFaults as error:
            faults += error.faults
        faults += _daylight_faults(plan, die)
        try:
            press = _press(plan, die, metal, strokes)
        except JobFaults as error:
            faults += error.faults
        if faults:
            raise JobFaults(faults)
    return press, fans


def _daylight_faults(plan: Plan, die: Die) -> list[Fault]:
    daylight, units = plan.job.press.daylight, plan.job.units
    clear = clear_height(die, plan.scallop.profile)
    if daylight is None or daylight > clear:
        return []
    rule = f"the sheet must lift clear of its groove to be fed: {format_length(clear, units)} and both blocks"
    return [Fault("press.daylight", format_length(daylight, units), rule, "Use a press with more daylight")]


def _to_drawn(job: Job, metal: Metal) -> Die | None:
    """Return the die that comes to the drawn scallop, where the job is planned with another one."""
    if job.drawn is None:
        return None
    drawn = build_profile(job.drawn, job.metal.thickness)
    return dies(drawn, metal, WAYS[job.die.way], job.press.grooves)[0]


def _press(plan: Plan, die: Die, metal: Metal, strokes: int) -> PressWork:
    spec, profile = plan.job.press, plan.scallop.profile
    press = Press(spec.capacity, spec.bed, spec.between_uprights, spec.daylight, spec.speed)
    height = max(panel.blank_height for panel in plan.panels)
    bend = (profile.thickness, die.opening, metal.tensile)
    return press_work(press, height, bend, die.grooves, strokes)


def clear_height(die: Die, profile: Profile) -> float:
    """Return the daylight (mm) that a stroke takes beside punch and die block: down, and clear to feed."""
    return die.loaded_depth + profile.depth + profile.thickness


def _stock(plan: Plan, metal: Metal, way: str) -> tuple[StockTool, ...]:
    """Return the stock tools nearest the drawn scallop, the chosen one among them."""
    job, drawn, t = plan.job, drawn_scallop(plan.job), plan.job.metal.thickness
    found = list(stock_near(drawn, metal, t, stock_tools(), NEAREST, way))
    chosen = job.die.tool
    if chosen is not None and all(one.tool.name != chosen for one in found):
        found = [scallop_of(parse_tool(chosen), drawn, metal, t, way), *found[: NEAREST - 1]]
    return tuple(_stock_tool(plan, one, chosen) for one in found)


def _stock_tool(plan: Plan, one: ToolScallop, chosen: str | None) -> StockTool:
    profile = one.profile
    return StockTool(
        name=one.tool.name,
        diameter=one.tool.diameter,
        pitch=profile.pitch,
        depth=profile.depth,
        developed=profile.developed,
        count=sum(_count(plan, run, profile) for run in plan.runs),
        pitch_off=one.pitch_off,
        depth_off=one.depth_off,
        developed_off=one.developed_off,
        chosen=one.tool.name == chosen,
    )


def _count(plan: Plan, run: Run, profile: Profile) -> int:
    """Return how many scallops of another profile a run holds, halves up: its count line moves with it."""
    planned, height = count_height(plan.job, plan.scallop.profile), count_height(plan.job, profile)
    along = run.end - run.start
    turning = (run.count_length - along) / planned if planned else 0.0
    return max(1, math.floor((along + turning * height) / profile.pitch + 0.5))


def _fans(plan: Plan) -> tuple[Fan, ...]:
    """Return each panel's fan, where the first-off was measured at its edges."""
    found = plan.job.die.measured
    if found is None or (found.length_top is None and found.length_bottom is None):
        return ()
    top = (found.length_top or found.length) / found.scallops
    bottom = (found.length_bottom or found.length) / found.scallops
    return tuple(fan(top, bottom, panel.blank_height, panel.scallops + panel.lapped) for panel in plan.panels)


def _press_cautions(press: PressWork, die: Die) -> Iterator[str]:
    """Yield what stops the press; bottoming only where the job bottoms, and no advice that always holds."""
    for caution in press.cautions:
        if "bottoming" in caution and die.way != BOTTOMED:
            continue
        if "centre line" not in caution:
            yield caution


def _way_cautions(plan: Plan, die: Die) -> Iterator[str]:
    if die.way != WAYS[plan.job.die.way]:
        yield (
            "formed free this scallop would need flanks past upright, or a crest under the metal's thickness, in "
            "the tool: the die is worked out bottomed; a shallower scallop could be formed free"
        )


def die_cautions(plan: Plan, die: Die) -> Iterator[str]:
    """Yield what the die leaves at the yield planned with, each with its ways out; nothing where it is bottomed."""
    profile, units = plan.scallop.profile, plan.job.units
    made = die.outcomes[1]
    if misses(profile, made.pitch, made.depth):
        pitch, depth, wanted, deep = (
            format_fine(size, units, places=3 if units == "in" else 2)
            for size in (made.pitch, made.depth, profile.pitch, profile.depth)
        )
        yield (
            f"formed free, a scallop of these unlike crests and valleys finishes {pitch} by {depth}, not {wanted} by"
            f" {deep}: no punch, stroke and spacing of a flat die bring both back. Bottom it ([die] way ="
            ' "bottomed"), or plan with what the first-off measures'
        )
    if die.curl is not None:
        yield _curl_caution(plan, die.curl)


def curl_radius_words(curl: Curl, units: str) -> str:
    """Write a curl's radius to half an inch or a millimetre: no finer is known."""
    return format_length(curl.radius, units, precision=2 if units == "in" else 0)


def _curl_caution(plan: Plan, curl: Curl) -> str:
    units, natural = plan.job.units, plan.scallop.flex.natural_bend_radius
    side = "hollow" if curl.hollow else "round"
    words = f"formed free, a sheet curls {side} on about {curl_radius_words(curl, units)}"
    if curl.radius < natural:
        shown = format_length(natural, units, precision=2 if units == "in" else 0)
        words += f", tighter than its natural bend of {shown}: pressed straight it takes a set"
    else:
        words += ": hold it straight as it is hung"
    ways = ['bottom it ([die] way = "bottomed")']
    valley = format_fine(curl.flat_valley_radius, units, places=2 if units == "in" else 1)
    ways.append(f"draw it with valley_radius = {valley}, which lies flat")
    if curl.flat_stroke is not None:
        deeper = "deeper" if curl.flat_stroke > 0 else "less deep"
        stroke = format_fine(abs(curl.flat_stroke), units, places=2 if units == "in" else 1)
        ways.append(f"strike {stroke} {deeper} on the same punch, which lies flat too, as another scallop")
    return f"{words}; {', or '.join(ways)}"


def _residue(plan: Plan, opening: float) -> Iterator[str]:
    for run in plan.runs:
        if stretched_past_residue(plan, run, opening):
            yield (
                f"run {run.name}: its scallops are stretched within first yield, but past the {opening:.0%} of it that "
                "the residue of forming leaves: they may take a small set"
            )


def _hold_down(plan: Plan, flex: tuple[PanelFlex, ...]) -> Iterator[str]:
    """Say which panels' ends need more fixings than the job has rows."""
    rows, units = plan.job.fixing.rows, plan.job.units
    short = [one for one in flex if one.rows is not None and one.rows > rows]
    if short:
        worst = max(short, key=lambda one: (one.end_pull, -one.panel))
        names = ", ".join(str(one.panel) for one in short)
        yield (
            f"the ends of panels {names} spring off with up to {format_force(worst.end_pull, units)}: fix their last "
            f"valleys {worst.rows} times up the height, not {rows}, or pre-curve them"
        )
