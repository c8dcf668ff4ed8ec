"""Rules on surveyed outlines, and what a surveyed outline's keys make."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from layout.errors import Fault
from layout.job.marks import COLUMNS
from layout.job.model_survey import MarksSpec
from layout.job.sections import Reading, Values

FROM = {"offsets": "base", "tapes": "controls"}
"""What marks of each kind are measured from."""


def marks_told_once(reading: Reading) -> Iterator[Fault]:
    """Fault surveyed outlines whose marks are told never or twice, or without what they are measured from."""
    for outline in reading.sections["outline"]:
        if outline.got.get("shape") != "points":
            continue
        told = [name for name in (*COLUMNS, "file") if outline.given(name)]
        if not told:
            rule = "a surveyed outline must have its marks"
            yield outline.fault("points", rule, f"Add points, offsets, tapes or file to [{outline.where}]")
        for name in told[1:]:
            yield outline.fault(
                name, f"marks are told once, and {told[0]} tells them", f"Leave {told[0]} or {name} out"
            )
        if len(told) == 1:
            yield from _measured_from(outline, told[0])


def _measured_from(outline: Values, told: str) -> Iterator[Fault]:
    given = [name for name in FROM.values() if outline.given(name)]
    if told == "file":
        for name in given[1:]:
            rule = f"marks are measured from one line, and {given[0]} is there"
            yield outline.fault(name, rule, f"Leave {given[0]} or {name} out")
        needed = given[:1]
    else:
        needed = [FROM[told]] if told in FROM else []
        for name in set(needed) - set(given):
            yield outline.fault(name, f"{told} must have their {name}", f"Add {name} = [[0, 0], [120, 0]]")
        for name in given:
            if name not in needed:
                yield outline.fault(name, f"{told} have no {name}", "Leave it out")
    if "controls" in needed and not outline.given("side"):
        rule = "two tapes meet on either side, and side must say on which the marks are"
        yield outline.fault("side", rule, 'Add side = "left", as one looks from the first control point to the second')
    if not needed and outline.given("side"):
        yield outline.fault("side", "points in plan have no side", "Leave it out")


def take_marks(got: dict[str, Any], sigma: float) -> MarksSpec | None:
    """Take the keys of marks out of an outline's values, and return what they make; None for other shapes."""
    pairs = {name: got.pop(name, None) for name in COLUMNS}
    base, controls, side = got.pop("base", None), got.pop("controls", None), got.pop("side", "left")
    corners = got.pop("corners", ())
    if got.get("shape") != "points":
        return None
    how = "offsets" if base else "tapes" if controls else "points"
    return MarksSpec(how, pairs[how] or (), base or controls, side, sigma, corners)
