"""Stock tools for a shop-built die, and the scallop that each would really give.

Pipe, tube and bar press the crest from inside: at mid-metal the loaded radius is D/2 + t/2. A hole cutter
makes the groove, which holds the crest from outside: D/2 − t/2. Springback opens it, the drawn form keeps
what it can (mostly its pitch), and the rest follows. Formed free.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from layout.errors import Fault, JobFaults
from layout.job.model import ScallopSpec
from layout.metal.forms import FORMS, build_profile
from layout.metal.metals import Metal
from layout.metal.profile import Profile
from layout.metal.springback import spring_of, sprung_radius
from layout.units import MM_PER_INCH, UnitError, parse_length

PIPE_OD: Final[Mapping[Fraction, Fraction]] = {
    Fraction(size): Fraction(inches)
    for size, inches in {
        "1/2": ".840",
        "3/4": "1.050",
        "1": "1.315",
        "5/4": "1.660",
        "3/2": "1.900",
        "2": "2.375",
        "5/2": "2.875",
        "3": "3.500",
        "7/2": "4.000",
        "4": "4.500",
        "5": "5.563",
        "6": "6.625",
        "8": "8.625",
    }.items()
}
"""in, outside diameter by nominal pipe size; ASME B36.10M (1 to 6 second hand; 1/2, 3/4 and 8 from memory)"""

PUNCH: Final = "punch"
GROOVE: Final = "groove"

KINDS: Final[Mapping[str, str]] = {"pipe": PUNCH, "tube": PUNCH, "bar": PUNCH, "hole cutter": GROOVE}
"""Kinds of tool and the side of the metal that each shapes"""


def _steps(start: str, end: str, step: str) -> tuple[Fraction, ...]:
    first, last, by = Fraction(start), Fraction(end), Fraction(step)
    return tuple(first + by * k for k in range(int((last - first) / by) + 1))


SIZES: Final[Mapping[str, tuple[Fraction, ...]]] = {
    "pipe": tuple(PIPE_OD),
    "tube": (*_steps("3/4", "3", "1/4"), *_steps("7/2", "6", "1/2")),
    "bar": (*_steps("3/4", "3", "1/8"), *_steps("13/4", "6", "1/4")),
    "hole cutter": (*_steps("3/4", "4", "1/8"), *_steps("17/4", "6", "1/4")),
}
"""in, sizes that a shop finds in stock (common practice, no source); pipe by nominal size"""


@dataclass(frozen=True)
class Tool:
    """One stock tool."""

    name: str
    """as a job writes it: ``3 in bar``, ``NPS 2-1/2 pipe``"""
    kind: str
    """pipe · tube · bar · hole cutter"""
    diameter: float
    """mm, outside of a punch, inside of the groove that a cutter leaves"""

    def __post_init__(self) -> None:
        if self.kind not in KINDS or not (math.isfinite(self.diameter) and self.diameter > 0):
            raise ValueError(f"no tool: {self.kind} of {self.diameter} mm")

    def loaded_radius(self, thickness: float) -> float:
        """Return the crest's radius (mm at mid-metal) while the tool holds it."""
        away = thickness / 2 if KINDS[self.kind] == PUNCH else -thickness / 2
        return self.diameter / 2 + away


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


def stock_tools() -> tuple[Tool, ...]:
    """Return every stock tool, kind by kind, small to large."""
    return tuple(_tool(kind, size) for kind, sizes in SIZES.items() for size in sizes)


def parse_tool(name: str) -> Tool:
    """Read a tool's name; bars, tubes and cutters of any size, pipe of a nominal size.

    Raises
    ------
    JobFaults
        Where it names no tool (``die.tool``).

    Examples
    --------
    >>> parse_tool("3 in bar").diameter, parse_tool("NPS 2-1/2 pipe").diameter
    (76.2, 73.025)
    >>> parse_tool("76 mm tube").name, parse_tool('1-1/2" hole cutter').name
    ('76 mm tube', '1-1/2 in hole cutter')
    >>> parse_tool("NPS 7 pipe")
    Traceback (most recent call last):
    layout.errors.JobFaults: die.tool = NPS 7 pipe: ...
    """
    text = " ".join(name.split())
    found = re.fullmatch(r"(?:(nps) )?(.+?) ?(pipe|tube|bar|hole cutter)", text, re.IGNORECASE)
    if not found or (found[1] and found[3].lower() != "pipe"):
        raise JobFaults([_tool_fault(name)])
    kind = found[3].lower()
    try:
        millimetres = parse_length(found[2], "in")
    except UnitError as error:
        raise JobFaults([_tool_fault(name)]) from error
    if not 0 < millimetres < 1e4:
        raise JobFaults([_tool_fault(name)])
    inches = Fraction(millimetres).limit_denominator(10**6) / MM_PER_INCH
    if kind == "pipe":
        return _pipe(name, inches)
    if found[2].rstrip().endswith("mm"):
        return Tool(f"{millimetres:g} mm {kind}", kind, millimetres)
    return _tool(kind, inches)


def _pipe(name: str, inches: Fraction) -> Tool:
    size = inches.limit_denominator(8)
    if size not in PIPE_OD or abs(size - inches) > Fraction(1, 1000):
        raise JobFaults([_tool_fault(name)])
    return _tool("pipe", size)


def _tool_fault(name: str) -> Fault:
    sizes = ", ".join(_mixed(size) for size in PIPE_OD)
    return Fault(
        "die.tool",
        name,
        "a tool is a bar, tube or hole cutter of a size, or a pipe of a nominal size (NPS)",
        f'Write "3 in bar", "76 mm tube", "3-1/8 in hole cutter" or "NPS 2-1/2 pipe" (NPS {sizes})',
    )


def _tool(kind: str, inches: Fraction) -> Tool:
    size = _mixed(inches)
    name = f"NPS {size} pipe" if kind == "pipe" else f"{size} in {kind}"
    outside = PIPE_OD[inches] if kind == "pipe" else inches
    return Tool(name, kind, float(outside * MM_PER_INCH))


def _mixed(inches: Fraction) -> str:
    """Write a size as a whole number and a fraction, ``2-1/2``; as a decimal where it is no shop fraction."""
    if 64 % inches.denominator:
        return f"{float(inches):g}"
    whole, part = divmod(inches, 1)
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else str(part)


def scallop_of(tool: Tool, spec: ScallopSpec, metal: Metal, thickness: float) -> ToolScallop:
    """Return the scallop that a tool gives in place of the drawn one.

    The tool wraps at most half round: a flank stands at most upright in it, so at most 90°·R0/Rf when free.

    Parameters
    ----------
    spec
        The drawn scallop; the form, and what the tool leaves of its pitch and depth, are kept.
    thickness
        mm.

    Raises
    ------
    JobFaults
        Where the tool gives no scallop of this form (``die.tool``).
    """
    loaded = tool.loaded_radius(thickness)
    crest = sprung_radius(loaded, spring_of(metal, thickness)) if loaded > 0 else math.inf
    if math.isinf(crest):
        rule = "a tool must bend the metal past its springback"
        raise JobFaults(
            [Fault("die.tool", tool.name, rule, "Take a smaller tool, or one wider than the metal is thick")]
        )
    drawn = build_profile(spec, thickness)
    given = FORMS[spec.form].on_tool(spec, thickness, crest, math.pi / 2 * loaded / crest)
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
    spec: ScallopSpec, metal: Metal, thickness: float, tools: Iterable[Tool] | None = None, most: int = 6
) -> tuple[ToolScallop, ...]:
    """Return the stock tools whose scallops lie nearest the drawn one, nearest first.

    Near is the greatest share by which pitch, depth or crest radius is off; ties by name.
    """
    found = []
    for tool in stock_tools() if tools is None else tools:
        try:
            found.append(scallop_of(tool, spec, metal, thickness))
        except JobFaults:
            continue
    return tuple(sorted(found, key=lambda scallop: (round(_off(scallop, spec), 12), scallop.tool.name))[:most])


def _off(scallop: ToolScallop, spec: ScallopSpec) -> float:
    return max(
        abs(scallop.pitch_off) / spec.pitch,
        abs(scallop.depth_off) / spec.depth,
        abs(scallop.radius_off) / (scallop.profile.crest_radius or 1.0),
    )
