"""Rules between keys: each is one function that looks at what was read rightly and gives faults.

A rule stays silent where a value that it needs is itself at fault, so that nothing is told twice.
Whether a line closes, or a scallop can be formed, is judged where lines and scallops are built.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from layout.errors import Fault, JobFaults
from layout.job.keys_drawn import FORM_KEYS, SHAPE_KEYS
from layout.job.rules_forming import coated_faces, one_scallop, yield_band
from layout.job.rules_places import ROUND_OFF, is_open, outline_names, site_names, stretches, which_outline, zone_names
from layout.job.rules_survey import marks_told_once
from layout.job.sections import Reading, Values
from layout.metal.gauges import thickness as thickness_of
from layout.units import format_fine

Rule = Callable[[Reading], Iterator[Fault]]


def rule_faults(reading: Reading) -> list[Fault]:
    """Try every rule between keys, and give all faults found.

    >>> from layout.job.sections import read_sections
    >>> raw = {"units": "mm", "sheet": [{"length": 1000, "width": 900, "trim": 500}]}
    >>> [fault.key for fault in rule_faults(read_sections(raw))]
    ['sheet[1].trim']
    """
    return [fault for rule in RULES for fault in rule(reading)]


def _shape_keys(reading: Reading) -> Iterator[Fault]:
    for outline in reading.sections["outline"]:
        yield from _own_keys(outline, "shape", SHAPE_KEYS)


def _form_keys(reading: Reading) -> Iterator[Fault]:
    yield from _own_keys(reading.one("scallop"), "form", FORM_KEYS)


def _own_keys(
    table: Values, chosen: str, allowed: dict[str, tuple[tuple[str, ...], tuple[str, ...]]]
) -> Iterator[Fault]:
    """Fault keys that the chosen shape or form misses, and those that belong to others only."""
    kind = table.got.get(chosen)
    if kind is None:
        return
    must, may = allowed[kind]
    named = f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
    for name in must:
        if not table.given(name):
            yield table.fault(name, f"{named} must have its {name}", f"Add {name} to [{table.where}]")
    theirs = {name for needed, extra in allowed.values() for name in (*needed, *extra)}
    for name in sorted(theirs - {*must, *may}):
        if table.given(name):
            else_told = "its marks tell it all" if kind == "points" else "pitch and depth say it all"
            own = f"its size is told by {' and '.join(must)}" if must else else_told
            yield table.fault(name, f"{named} has no {name}", f"Leave it out; {own}")


def _rounded_corners(reading: Reading) -> Iterator[Fault]:
    for outline in reading.sections["outline"]:
        got = outline.got
        if got.get("shape") != "rounded-rectangle" or not {"length", "width", "radius"} <= got.keys():
            continue
        if got["radius"] > min(got["length"], got["width"]) / 2 + ROUND_OFF:
            rule = "the corners' radius is at most half of the shorter side"
            yield outline.fault("radius", rule, "Give a smaller radius, or a stadium")


def _face_side(reading: Reading) -> Iterator[Fault]:
    for outline in reading.sections["outline"]:
        face = outline.got.get("face")
        unsure = "shape" not in outline.got or (outline.given("closed") and "closed" not in outline.got)
        if face is None or unsure:
            continue
        sides = ("right", "left") if is_open(outline) else ("outside", "inside")
        if face not in sides:
            kind = "an open path" if is_open(outline) else "a loop"
            yield outline.fault("face", f"the face of {kind} is {sides[0]} or {sides[1]}", f"Write {sides[0]}")


def _open_datum(reading: Reading) -> Iterator[Fault]:
    for outline in reading.sections["outline"]:
        if is_open(outline) and outline.given("datum"):
            rule = "station 0 of an open path is its left end as one faces the face"
            yield outline.fault("datum", rule, "Leave datum out")


def _steps(reading: Reading) -> Iterator[Fault]:
    for outline in reading.sections["outline"]:
        if "steps" in outline.got and outline.raw["steps"] == []:
            yield outline.fault("steps", "a path has at least one step", "Add a straight or an arc")
        for step in outline.inner.get("steps", []):
            yield from _step(step)


def _step(step: Values) -> Iterator[Fault]:
    straight, arc = step.given("straight"), step.given("arc")
    if straight == arc:
        write = 'Write { straight = 100 } or { arc = 90, radius = 30, turn = "left" }'
        yield Fault(step.where, "", "a step is either a straight or an arc", write)
        return
    for name in ("radius", "turn"):
        if arc and not step.given(name):
            yield step.fault(name, f"an arc must have its {name}", f"Add {name} to the step")
        if straight and step.given(name):
            yield step.fault(name, f"a straight has no {name}", "Leave it out, or make the step an arc")


def _pitch_in_range(reading: Reading) -> Iterator[Fault]:
    scallop = reading.one("scallop")
    pitch, span = scallop.got.get("pitch"), scallop.got.get("pitch_range")
    if pitch is None or span is None:
        return
    if not span[0] - ROUND_OFF <= pitch <= span[1] + ROUND_OFF:
        yield scallop.fault("pitch_range", "the drawn pitch lies in the range", "Widen it, or change pitch")


def _depth_of_an_arc(reading: Reading) -> Iterator[Fault]:
    got = reading.one("scallop").got
    if got.get("form") not in ("arc", "arc-flat") or not {"pitch", "depth"} <= got.keys():
        return
    if got["form"] == "arc-flat" and "flat" not in got:
        return
    flat = got.get("flat", 0.0) if got["form"] == "arc-flat" else 0.0
    span = got["pitch"] - flat
    scallop = reading.one("scallop")
    if span <= 0:
        yield scallop.fault("flat", "the flat is shorter than the pitch", "Give a shorter flat")
    elif got["depth"] > span / 2 + ROUND_OFF:
        most = format_fine(span / 2, reading.units) if reading.units else "that"
        yield scallop.fault("depth", "an arc is at most half as deep as it is wide", f"Give at most {most}")


def _gauge_or_thickness(reading: Reading) -> Iterator[Fault]:
    metal = reading.one("metal")
    if not reading.sections["metal"]:
        return
    gauge, thickness = metal.given("gauge"), metal.given("thickness")
    if gauge and thickness:
        yield metal.fault("gauge", "gauge and thickness say the same twice", "Leave one of them out")
    elif not gauge and not thickness:
        rule = "gauge or thickness must be there"
        yield metal.fault("gauge", rule, "Add gauge = 24, or thickness with the figure measured")
    elif {"kind", "gauge"} <= metal.got.keys():
        try:
            thickness_of(metal.got["kind"], metal.got["gauge"])
        except JobFaults as refused:
            yield from refused.faults


def _yield_under_tensile(reading: Reading) -> Iterator[Fault]:
    metal = reading.one("metal")
    if {"yield", "tensile"} <= metal.got.keys() and metal.got["yield"] > metal.got["tensile"]:
        yield metal.fault("yield", "metal yields before it tears", "Look at yield and tensile and their units")


def _panel_sizes(reading: Reading) -> Iterator[Fault]:
    face = reading.one("face")
    least, most = face.got.get("smallest_panel"), face.got.get("largest_panel")
    if least is not None and isinstance(most, int) and least > most:
        rule = f"the smallest panel ({least} scallops) is not larger than the largest"
        yield face.fault("largest_panel", rule, "Give smaller smallest_panel or larger largest_panel")


def _sheet_trims(reading: Reading) -> Iterator[Fault]:
    for sheet in reading.sections["sheet"]:
        for side, trim in (("length", "trim"), ("width", "edge_trim")):
            if {side, trim} <= sheet.got.keys() and 2 * sheet.got[trim] >= sheet.got[side]:
                rule = f"twice {trim} is less than the sheet's {side}"
                yield sheet.fault(trim, rule, f"Give a smaller {trim}")


RULES: tuple[Rule, ...] = (
    outline_names,
    _shape_keys,
    marks_told_once,
    _rounded_corners,
    _face_side,
    _open_datum,
    _steps,
    _form_keys,
    _pitch_in_range,
    _depth_of_an_arc,
    _gauge_or_thickness,
    _yield_under_tensile,
    yield_band,
    one_scallop,
    coated_faces,
    _panel_sizes,
    which_outline,
    stretches,
    zone_names,
    site_names,
    _sheet_trims,
)
"""Every rule between keys, in the order in which their faults are told."""
