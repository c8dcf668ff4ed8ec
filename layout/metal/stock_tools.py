"""Stock tools for a shop-built die: pipe, tube, bar, hole cutter, by the names that a job writes.

Pipe, tube and bar press the crest from inside: at mid-metal the loaded radius is D/2 + t/2. A hole cutter
makes the groove, which holds the crest from outside: D/2 − t/2.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from layout.errors import Fault, JobFaults
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
