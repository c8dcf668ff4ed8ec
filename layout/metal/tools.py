"""The scallop that a stock tool would really give.

Springback opens the crest that the tool holds, the drawn form keeps what it can (mostly its pitch), and the
rest follows. Bottomed, the tool's own radius is the crest's.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.die import BOTTOMED, FREE
from layout.metal.forms import FORMS, build_profile
from layout.metal.metals import Metal
from layout.metal.profile import Profile
from layout.metal.springback import spring_of, sprung_radius
from layout.metal.stock_tools import Tool, stock_tools

FLAT: Final = 0.005
"""share of the pitch; a scallop less deep is none (assumed)"""


@dataclass(frozen=True)
class ToolScallop:
    """The scallop that a tool would really give, and how far it lies from the drawn one."""

    tool: Tool
    spec: ScallopSpec
    """to plan with"""
    profile: Profile
    pitch_off: float
    """mm over the drawn pitch"""
    depth_off: float
    """mm over the drawn depth"""
    developed_off: float
    """mm over the drawn developed length"""
    radius_off: float
    """mm over the drawn crest radius"""

    def count_on(self, length: float) -> int:
        """Return how many whole scallops fit a count line of a length, mm; halves go up."""
        return math.floor(length / self.profile.pitch + 0.5)


def scallop_of(tool: Tool, spec: ScallopSpec, metal: Metal, thickness: float, way: str = FREE) -> ToolScallop:
    """Return the scallop that a tool gives in place of the drawn one.

    The tool wraps at most half round: a flank stands at most upright in it, so at most 90°·R0/Rf when free.

    Parameters
    ----------
    spec
        The drawn scallop; the form, and what the tool leaves of its pitch and depth, are kept.
    thickness
        mm.
    way
        FREE, or BOTTOMED: then nothing springs.

    Raises
    ------
    JobFaults
        Where the tool gives no scallop of this form (``die.tool``).
    """
    loaded = tool.loaded_radius(thickness)
    sprung = loaded if way == BOTTOMED else sprung_radius(max(loaded, 0.0), spring_of(metal, thickness))
    crest = sprung if loaded > 0 else math.inf
    if math.isinf(crest):
        rule = "a tool must bend the metal past its springback"
        raise JobFaults(
            [Fault("die.tool", tool.name, rule, "Take a smaller tool, or one wider than the metal is thick")]
        )
    drawn = build_profile(spec, thickness)
    given = FORMS[spec.form].on_tool(spec, thickness, crest, math.pi / 2 * loaded / crest)
    if not given.depth > FLAT * given.pitch:
        rule = f"it must leave more than {FLAT:.1%} of the pitch in depth: the metal springs back all but flat"
        raise JobFaults([Fault("die.tool", tool.name, rule, "Take a smaller tool")])
    try:
        profile = build_profile(given, thickness)
    except JobFaults as error:
        rule = f"it must give a scallop of the drawn form: {error.faults[0].rule}"
        raise JobFaults([Fault("die.tool", tool.name, rule, "Take another tool, or draw another scallop")]) from error
    return ToolScallop(
        tool,
        given,
        profile,
        profile.pitch - drawn.pitch,
        profile.depth - drawn.depth,
        profile.developed - drawn.developed,
        crest - (drawn.crest_radius or crest),
    )


def stock_near(
    spec: ScallopSpec,
    metal: Metal,
    thickness: float,
    tools: Iterable[Tool] | None = None,
    most: int = 6,
    way: str = FREE,
) -> tuple[ToolScallop, ...]:
    """Return the stock tools whose scallops lie nearest the drawn one, nearest first.

    Near is the greatest share by which pitch, depth or crest radius is off; ties by name.
    """
    found = []
    for tool in stock_tools() if tools is None else tools:
        try:
            found.append(scallop_of(tool, spec, metal, thickness, way))
        except JobFaults:
            continue
    return tuple(sorted(found, key=lambda scallop: (round(_off(scallop, spec), 12), scallop.tool.name))[:most])


def _off(scallop: ToolScallop, spec: ScallopSpec) -> float:
    return max(
        abs(scallop.pitch_off) / spec.pitch,
        abs(scallop.depth_off) / spec.depth,
        abs(scallop.radius_off) / (scallop.profile.crest_radius or 1.0),
    )
