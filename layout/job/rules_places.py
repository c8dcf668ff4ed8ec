"""Rules on the places that a job names: which outline each is on, and stretches from one station to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from layout.errors import Fault
from layout.job.sections import Reading, Values
from layout.job.slips import near_words

ROUND_OFF = 1e-9
"""mm; lengths this near are the same, however they were written."""


def is_open(outline: Values) -> bool:
    """Tell whether an outline is an open path, or an open line of a drawing or survey."""
    return outline.got.get("shape") in {"path", "dxf", "points"} and outline.got.get("closed") is False


def zone_name(number: int, got: Mapping[str, Any]) -> str:
    """Return what a zone is called: the name given, or its number in the file.

    >>> zone_name(2, {}), zone_name(2, {"name": "low counter"})
    ('zone 2', 'low counter')
    """
    return str(got.get("name", f"zone {number}"))


def outline_names(reading: Reading) -> Iterator[Fault]:
    """Fault outlines without a name where there are several, and names that stand twice."""
    outlines = reading.sections["outline"]
    seen = set[str]()
    for outline in outlines:
        if len(outlines) > 1 and not outline.given("name"):
            rule = "each of several outlines must have its name"
            yield outline.fault("name", rule, f'Add name = "counter" to [[{outline.where.split("[")[0]}]]')
        yield from _again(outline, outline.got.get("name"), seen, "outlines")


def zone_names(reading: Reading) -> Iterator[Fault]:
    """Fault names that two zones have."""
    seen = set[str]()
    for number, zone in enumerate(reading.sections["zone"], 1):
        unsure = zone.given("name") and "name" not in zone.got
        yield from _again(zone, None if unsure else zone_name(number, zone.got), seen, "zones")


def site_names(reading: Reading) -> Iterator[Fault]:
    """Fault names that two openings, cut-outs or viewpoints have."""
    for path, kind in (("opening", "openings"), ("cutout", "cut-outs"), ("viewpoint", "viewpoints")):
        seen = set[str]()
        for table in reading.sections[path]:
            yield from _again(table, table.got.get("name"), seen, kind)


def _again(table: Values, name: str | None, seen: set[str], kind: str) -> Iterator[Fault]:
    if name is not None and name in seen:
        yield table.fault("name", f"no two {kind} have one name", "Give another name")
    seen |= {name} if name is not None else set()


def named_places(reading: Reading) -> Iterator[Values]:
    """Give every table that names a station, in the order of the file's table of keys."""
    seams = reading.one("seams")
    yield from seams.inner.get("avoid", [])
    yield from seams.inner.get("require", [])
    yield from reading.sections["zone"]
    yield from reading.sections["opening"]
    yield from reading.sections["cutout"]


def which_outline(reading: Reading) -> Iterator[Fault]:
    """Fault places that do not say which of several outlines they are on, or name none that there is."""
    outlines = reading.sections["outline"]
    names = tuple(outline.got["name"] for outline in outlines if "name" in outline.got)
    unsure = any(outline.given("name") and "name" not in outline.got for outline in outlines)
    for place in named_places(reading):
        named = place.got.get("outline")
        if len(outlines) > 1 and not place.given("outline"):
            rule = "with several outlines a place must say which one it is on"
            yield place.fault("outline", rule, f'Add outline = "{names[0] if names else "counter"}"')
        elif outlines and named is not None and named not in names and not unsure:
            yield place.fault("outline", "no outline has this name", _other_name(named, names))


def _other_name(named: str, names: tuple[str, ...]) -> str:
    if not names:
        return f'Leave it out, or give [outline] name = "{named}"'
    near = near_words(named, names)
    if near:
        return f"Did you mean {' or '.join(near)}"
    return f"Name one of {' · '.join(names)}"


def _home(reading: Reading, place: Values) -> Values | None:
    """Return the outline that a place is on, where that can be known."""
    outlines = reading.sections["outline"]
    if not place.given("outline"):
        return outlines[0] if len(outlines) == 1 else None
    named = place.got.get("outline")
    return next((outline for outline in outlines if outline.got.get("name") == named), None)


def stretches(reading: Reading) -> Iterator[Fault]:
    """Fault stretches of no length, and those that wrap on an open path."""
    for place in named_places(reading):
        if not {"from", "to"} <= place.got.keys():
            continue
        start, end, home = place.got["from"], place.got["to"], _home(reading, place)
        if not (isinstance(start, float) and isinstance(end, float)):
            continue  # told by a point or an angle: judged where their stations are found
        if abs(start - end) <= ROUND_OFF:
            whole = "; the height of the whole face is face.height" if place.where.startswith("zone") else ""
            yield place.fault("to", "a stretch does not end where it begins", f"Give another station{whole}")
        elif start > end and home is not None and is_open(home):
            rule = "on an open path a stretch cannot wrap: to must be after from"
            yield place.fault("to", rule, "Exchange from and to")
