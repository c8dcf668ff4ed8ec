"""From raw TOML to values, key by key, by the table of keys; every fault found is kept, none raised."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from layout.errors import Fault
from layout.job.fields import not_yet, shown
from layout.job.key import Key, Section
from layout.job.keys import LATER, SECTIONS
from layout.job.slips import NEAR
from layout.units import UNITS, UnitError

_BARE = re.compile(r"[A-Za-z0-9_-]{1,40}")


@dataclass
class Values:
    """One table as read: the values that are right, defaults included, and where it stands in the file."""

    where: str
    raw: dict[str, Any] = field(default_factory=dict)
    got: dict[str, Any] = field(default_factory=dict)
    inner: dict[str, list[Values]] = field(default_factory=dict)
    """lists of tables inside it, as a path's steps"""

    def given(self, name: str) -> bool:
        """Tell whether the file gives this key, rightly or not."""
        return name in self.raw

    def key(self, name: str) -> str:
        """Give the dotted key of one of its values."""
        return f"{self.where}.{name}" if self.where else name

    def fault(self, name: str, rule: str, remedy: str) -> Fault:
        """Give a fault of one of its values."""
        value = shown(self.raw[name]) if name in self.raw else ""
        return Fault(self.key(name), value, rule, remedy)


@dataclass
class Reading:
    """A whole file as read: its tables by section, and the faults found on the way."""

    units: str | None
    sections: dict[str, list[Values]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def one(self, path: str) -> Values:
        """Give the only table of a section; empty where the file's was none."""
        found = self.sections.get(path)
        return found[0] if found else Values(path)


def read_sections(raw: dict[str, Any]) -> Reading:
    """Read every table of a file.

    >>> [fault.key for fault in read_sections({"title": "Bar", "fase": {}}).faults][:2]
    ['units', 'fase']
    """
    units = raw.get("units")
    reading = Reading(units if isinstance(units, str) and units in UNITS else None)
    top = SECTIONS[""]
    inner = [path for path in SECTIONS if path and "." not in path]
    scalars = {name: value for name, value in raw.items() if name in top.names}
    reading.sections[""] = [_read_table(top, scalars, "", reading)]
    for name, value in raw.items():
        if name not in top.names and name not in inner:
            reading.faults.append(_unknown(name, value, "", top, (*inner, *top.names)))
    for path in inner:
        tables = list(_tables_of(SECTIONS[path], raw, reading))
        reading.sections[path] = [_read_table(SECTIONS[path], table, at, reading) for at, table in tables]
    return reading


def _tables_of(section: Section, raw: dict[str, Any], reading: Reading) -> Iterator[tuple[str, dict[str, Any]]]:
    """Give the tables of a section with where each stands, and fault what is none."""
    name = section.path
    written = f"[[{name}]]" if section.many == "many" else f"[{name}]"
    value = raw.get(name)
    if value is None or value == []:
        if section.required:
            remedy = f"Add {written} with {', '.join(key.name for key in section.keys if key.required)}"
            reading.faults.append(Fault(name, "", f"at least one {written} must be there", remedy))
        elif section.many == "one":
            yield name, {}
    elif isinstance(value, dict) and section.many != "many":
        yield name, value
    elif isinstance(value, list) and section.many != "one":
        yield from _items(name, value, reading)
    else:
        rule = f"this must be a table written {written}"
        reading.faults.append(Fault(name, shown(value), rule, f"Write {written} on a line of its own"))


def _items(where: str, items: list[Any], reading: Reading) -> Iterator[tuple[str, dict[str, Any]]]:
    for number, item in enumerate(items, 1):
        at = f"{where}[{number}]"
        if isinstance(item, dict):
            yield at, item
        else:
            remedy = "Write it as { key = value, … }"
            reading.faults.append(Fault(at, shown(item), "this must be a table", remedy))


def _read_table(section: Section, raw: dict[str, Any], where: str, reading: Reading) -> Values:
    """Read the keys of one table, and fault those that are wrong, missing or unknown."""
    values = Values(where, raw)
    for key in section.keys:
        _read_key(section, key, values, reading)
    for name, value in raw.items():
        if name not in section.names:
            reading.faults.append(_unknown(name, value, where, section, section.names))
    return values


def _read_key(section: Section, key: Key, values: Values, reading: Reading) -> None:
    default = key.default[UNITS.index(reading.units or UNITS[0])]
    if not values.given(key.name):
        if key.required:
            remedy = f"Add it, as {key.name} = {key.example[UNITS.index(reading.units or UNITS[0])]}"
            reading.faults.append(values.fault(key.name, "this must be there", remedy))
        elif default is not None:
            values.got[key.name] = default
        return
    try:
        found = key.read(values.raw[key.name], reading.units)
    except UnitError as error:
        reading.faults.append(values.fault(key.name, error.rule, error.remedy))
        return
    values.got[key.name] = found
    inner = SECTIONS.get(f"{section.path}.{key.name}")
    if inner:
        at = values.key(key.name)
        items = [(at, found[0])] if inner.many == "one" else list(_items(at, found, reading))
        values.inner[key.name] = [_read_table(inner, table, at, reading) for at, table in items]


def _unknown(name: str, value: Any, where: str, section: Section, known: tuple[str, ...]) -> Fault:
    """Fault a key that its table has not yet, or has not at all, offering the nearest one that it has."""
    plain = name if _BARE.fullmatch(name) else shown(name)
    key = f"{where}.{plain}" if where else plain
    later = LATER.get(section.path, {}).get(name)
    if later:
        refused = not_yet(name, later)
        return Fault(key, shown(value), refused.rule, refused.remedy)
    return Fault(key, shown(value), "this key is not known", _nearest(name, where, known))


def _nearest(name: str, where: str, known: tuple[str, ...]) -> str:
    near = get_close_matches(name[:60].lower(), known, n=1, cutoff=NEAR)
    if near:
        return f"Did you mean {near[0]}"
    homes = [path for path, section in SECTIONS.items() if name in section.names and path != where]
    if homes:
        home = f"in [{homes[0]}]" if homes[0] else "at the top of the file, before the first table"
        return f"{name} stands {home}"
    return f"Leave it out; known here: {', '.join(known)}"
