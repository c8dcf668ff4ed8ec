"""How a blank is made up, bent, lapped and fixed, in words and figures."""

from __future__ import annotations

from layout.face.plan import Panel, Plan, Run
from layout.metal.flex import can_lap, lap_rise
from layout.paper.flow import Block
from layout.units import format_fine, format_length


def face_height(plan: Plan, run: Run) -> float:
    """Return the height of a run's face as hung, mm: its blank less returns and scribe."""
    face = plan.job.face
    if not run.height:
        return face.height
    return run.height - face.top_return - face.bottom_return - face.scribe


def height_sum(plan: Plan, blank: float) -> str:
    """Write what a blank's height is made up of, from the top down; only the parts that there are."""
    face, units = plan.job.face, plan.job.units
    height = blank - face.top_return - face.bottom_return - face.scribe
    parts = (
        (face.top_return, "top return"),
        (height, "face"),
        (face.bottom_return, "bottom return"),
        (face.scribe, "scribe"),
    )
    shown = " + ".join(f"{format_length(size, units)} {name}" for size, name in parts if size > 0)
    return f"{format_length(blank, units)} = {shown}"


def bend_lines(plan: Plan, blank: float) -> list[tuple[str, float]]:
    """Return the lines that are marked on a blank, mm from its bottom edge, rising."""
    face = plan.job.face
    found = []
    if face.scribe:
        found.append(("scribe line", face.scribe))
    if face.bottom_return:
        found.append(("bend, bottom return", face.scribe + face.bottom_return))
    if face.top_return:
        found.append(("bend, top return", blank - face.top_return))
    return found


def height_block(plan: Plan) -> Block:
    """Return how the height of each sort of blank is made up, with its bend lines."""
    units = plan.job.units
    rows = []
    for blank in sorted({round(panel.blank_height, 4) for panel in plan.panels}, reverse=True):
        rows.append(("blank", height_sum(plan, blank)))
        rows += [(name, format_length(at, units)) for name, at in bend_lines(plan, blank)]
    rows.append(("form trim, each end", format_length(plan.job.face.form_trim, units)))
    return Block("Blank, bends from its bottom edge", tuple(rows))


def seam_block(plan: Plan) -> Block:
    """Return how panels meet and how they are fixed."""
    units, fixing = plan.job.units, plan.job.fixing
    valleys = "in every valley" if fixing.every == 1 else f"every {fixing.every} valleys"
    rows = [("seams", seam_words(plan))]
    if any(panel.lapped for panel in plan.panels) and can_lap(plan.scallop.profile):
        rows.append(("lap rise on the flanks", format_fine(lap_rise(plan.scallop.profile), units)))
    rows += [
        ("last fixing, from the panel's end", format_length(fixing.edge, units)),
        ("fixings", f"{valleys} = {format_fine(fixing.every * plan.scallop.pitch, units)}"),
    ]
    return Block("Seams and fixings", tuple(rows))


def seam_words(plan: Plan) -> str:
    """Say what seams are, and which way laps go."""
    face = plan.job.face
    if face.seam != "lap":
        return "butt: edges meet in the valley"
    return f"lap: right end, one scallop more, goes {face.lap_goes} its right-hand neighbour"


def shape_block(plan: Plan) -> Block:
    """Return every dimension of the scallop that a tool is made by, at mid-metal."""
    units, profile = plan.job.units, plan.scallop.profile
    rows = []
    if plan.scallop.form.startswith("arc") and profile.crest_radius is not None:
        rows.append(("arc radius", format_fine(profile.crest_radius, units)))
    rows += [
        ("crest radius", _radius(profile.crest_radius, units, "flat")),
        ("valley radius", _radius(profile.valley_radius, units, "flat" if profile.flat else "sharp")),
        ("flat in the valley", format_fine(profile.flat, units) if profile.flat else "none"),
        ("metal thickness", format_fine(profile.thickness, units)),
        ("overall depth, with the metal", format_fine(profile.depth + profile.thickness, units)),
    ]
    return Block("Scallop's shape, mid-metal", tuple(rows))


def _radius(radius: float | None, units: str, without: str) -> str:
    return without if radius is None else format_fine(radius, units)


def bench_width(plan: Plan, panel: Panel) -> float:
    """Return how wide a panel lies as formed, mm: its scallops, lap included, at the formed pitch."""
    return (panel.scallops + panel.lapped) * plan.scallop.pitch


def cut_ends(plan: Plan) -> list[str]:
    """Say which panels' last scallops, or first ones, are cut on site, and to what width."""
    found = []
    for run in plan.runs:
        if run.cut_part is None:
            continue
        at, which = (
            (-1, "last scallop, at the right end") if run.first_part is None else (0, "first scallop, at the left end")
        )
        panel = [panel for panel in plan.panels if panel.run == run.number][at]
        width = format_length(float((run.stations[1:] - run.stations[:-1])[at]), plan.job.units)
        found.append(
            f"Panel {panel.number}: its {which}, is cut on site to {width} on the wall "
            f"({run.cut_part:.0%} of a scallop) and buried in the trim."
        )
    return found
