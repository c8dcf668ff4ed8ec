"""The starter job: a whole working file with every key explained, written from the table of keys."""

from __future__ import annotations

from layout.job.key import Key, Section
from layout.job.keys import SECTIONS
from layout.units import UNITS

_COLUMN = 34  # where explanations start; a longer line has its own before it
_HEAD = """\
# A job file of seamwalk. Change it to your job, then run: seamwalk plan FILE
# Lines that start with # are not read. Keys that stand behind a # may be set by taking it away.
"""


def starter_text(units: str = "in") -> str:
    """Write the starter job in inches or millimetres.

    >>> print(starter_text("mm").splitlines()[3])
    format = 1                          # Version of this file format.
    """
    unit = UNITS.index(units)
    parts = [_HEAD, *(_section_text(SECTIONS[path], unit) for path in SECTIONS if "." not in path)]
    return "\n".join(parts)


def _section_text(section: Section, unit: int) -> str:
    off = section.many == "many" and not section.required
    lines = [f"# {section.doc}"] if section.path else []
    if section.path:
        head = f"[[{section.path}]]" if section.many == "many" else f"[{section.path}]"
        lines.append(f"# {head}" if off else head)
    for key in section.keys:
        lines += _key_lines(key, unit, off=off or not key.shown[unit])
        inner = SECTIONS.get(f"{section.path}.{key.name}")
        lines += [f"#     {each.name}: {each.doc}" for each in inner.keys] if inner else []
    return "\n".join(lines) + "\n"


def _key_lines(key: Key, unit: int, *, off: bool) -> list[str]:
    """Write a key and its explanation: on one line, or before it where the value is long."""
    line = f"{'# ' if off else ''}{key.name} = {key.example[unit]}"
    told = f"# {key.doc}{' Needed.' if key.required else ''}"
    return [told, line] if len(line) > _COLUMN else [f"{line:<{_COLUMN}}  {told}"]
