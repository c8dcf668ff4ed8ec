"""The stock tools that a plan offers: what each would give, worked out again."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from layout.errors import JobFaults
from layout.face.check_scallop import Sums, count_height, scallop_sums
from layout.face.check_words import COUNT, FINE, differs, unless
from layout.face.forming import Forming, StockTool
from layout.face.plan import Plan
from layout.job.model import ScallopSpec
from layout.metal.stock_tools import parse_tool

CREST = 1e-6
"""share by which a crest and what its tool springs to may differ (no unit)"""


def check_stock(plan: Plan, forming: Forming, drawn: ScallopSpec, unit: float) -> Iterator[str]:
    """Yield what of the offered tools does not follow from their sizes and the drawn scallop.

    Parameters
    ----------
    drawn
        The scallop that they stand beside.
    unit
        mm, E·t/Y of the metal.
    """
    names = [tool.name for tool in forming.stock]
    yield from unless(len(set(names)) == len(names), "die: a stock tool is offered twice")
    own = scallop_sums(drawn, plan.job.metal.thickness, drawn.pitch)
    for tool in forming.stock:
        yield from unless(tool.chosen == (tool.name == plan.job.die.tool), f"die: {tool.name}: whether it is chosen")
        yield from _check_tool(plan, tool, (drawn, own), unit)


def _check_tool(plan: Plan, tool: StockTool, beside: tuple[ScallopSpec, Sums], unit: float) -> Iterator[str]:
    """Check one tool; `beside` is the drawn scallop and its sums."""
    (drawn, own), where, t = beside, f"die: {tool.name}", plan.job.metal.thickness
    try:
        diameter = parse_tool(tool.name).diameter
    except JobFaults:
        yield f"{where}: no such tool"
        return
    yield from differs(f"{where}: diameter", tool.diameter, diameter, FINE)
    loaded = (diameter - t if "cutter" in tool.name else diameter + t) / 2
    x = loaded / unit
    crest = loaded if plan.job.die.way == "bottomed" else loaded / (4 * x**3 - 3 * x + 1)
    if not (0 < tool.depth < math.inf and 0 < tool.pitch < math.inf and (x < 0.5 or crest == loaded)):
        yield f"{where}: it gives no scallop"
        return
    given = replace(drawn, pitch=tool.pitch, depth=tool.depth, developed=None)
    if drawn.radius is not None:
        given = replace(given, radius=crest - t / 2)  # a job writes it inside
    made = crest_of(given, t)
    yield from differs(f"{where}: crest of its pitch and depth", made, crest, CREST * crest)
    sums = scallop_sums(given, t, given.pitch)
    near = CREST * sums.developed
    yield from differs(f"{where}: flat metal", tool.developed, sums.developed, near)
    yield from differs(f"{where}: pitch off", tool.pitch_off, tool.pitch - drawn.pitch, FINE)
    yield from differs(f"{where}: depth off", tool.depth_off, tool.depth - drawn.depth, FINE)
    yield from differs(f"{where}: flat metal off", tool.developed_off, tool.developed - own.developed, near)
    yield from _check_count(plan, tool, sums)


def crest_of(spec: ScallopSpec, thickness: float) -> float:
    """Return the crest radius (mm at mid-metal) that a form has by its pitch and depth.

    >>> crest_of(ScallopSpec("arc", pitch=2.0, depth=1.0), 0.1), crest_of(ScallopSpec("sine", math.pi, 0.5), 0.1)
    (1.0, 1.0)
    """
    if spec.form == "sine":
        return spec.pitch**2 / (2 * math.pi**2 * spec.depth)
    if spec.form == "arc-tangent":
        return math.inf if spec.radius is None else spec.radius + thickness / 2
    half = (spec.pitch - (spec.flat or 0.0 if spec.form == "arc-flat" else 0.0)) / 2
    both = (half**2 + spec.depth**2) / (2 * spec.depth)
    return both / 2 if spec.form == "serpentine" else both - (spec.valley_radius or 0.0)


def _check_count(plan: Plan, tool: StockTool, sums: Sums) -> Iterator[str]:
    """Check the count round the job: of each run the whole scallops nearest, its count line moved with the height."""
    planned = scallop_sums(plan.job.scallop, plan.job.metal.thickness, plan.scallop.pitch)
    off, height = count_height(plan.job, planned), count_height(plan.job, sums)
    counts = []
    for run in plan.runs:
        along = run.end - run.start
        turning = (run.count_length - along) / off if off else 0.0
        counts.append((along + turning * height) / tool.pitch)
    low, high = (sum(max(1, math.floor(one + 0.5 + side)) for one in counts) for side in (-COUNT, COUNT))
    yield from unless(low <= tool.count <= high, f"die: {tool.name}: count {tool.count}, the check finds {low}")
