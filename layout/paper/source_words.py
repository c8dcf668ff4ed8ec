"""What was read from a drawing, joined and left aside, in words."""

from __future__ import annotations

from collections import Counter

from layout.outline.drawing import Source
from layout.outline.drawing_lines import Aside
from layout.units import format_length

MOST_PLACES = 6
"""Places of one kind that are listed; the picture shows them all (assumed)."""


def source_words(source: Source, units: str) -> list[str]:
    """Return lines of text: the drawing, its pieces, what was joined, what was left aside, notes."""
    counts = ", ".join(_count(number, kind) for kind, number in source.counts)
    stated = "as it states" if source.stated else "as the job says"
    rows = [f"{source.file}, layer {source.layer}, in {source.units} ({stated}): {counts}"]
    if source.joined:
        places = [f"{_fine(joint.gap, units)} at {_xy(joint.x, joint.y, units)}" for joint in source.joined]
        whole = _fine(sum(joint.gap for joint in source.joined), units)
        rows.append(f"joined over gaps, {whole} in all and no part of the length: {_listed(places)}")
    rows += _aside_words(source, units)
    return rows + list(source.notes)


def _aside_words(source: Source, units: str) -> list[str]:
    """Return a line for each kind of thing left aside, with places where they are pieces of their own."""
    kinds = Counter[str]()
    places: dict[str, list[str]] = {}
    for aside in source.left_aside:
        kinds[aside.what] += 1 if aside.x is not None else aside.count
        places.setdefault(aside.what, [])
        places[aside.what] += _place(aside, units)
    return [
        f"left aside: {_count(number, what)}" + (f" at {_listed(places[what])}" if places[what] else "")
        for what, number in kinds.items()
    ]


def _place(aside: Aside, units: str) -> list[str]:
    return [] if aside.x is None or aside.y is None else [_xy(aside.x, aside.y, units)]


def _listed(places: list[str]) -> str:
    more = len(places) - MOST_PLACES
    return "; ".join(places[:MOST_PLACES]) + (f"; and {more} more" if more > 0 else "")


def _count(number: int, what: str) -> str:
    head, _, tail = what.partition(" ")
    several = head if number == 1 or tail.startswith("line") else f"{head}s"
    words = f"{several} {tail}".strip() if number == 1 or not tail.startswith("line") else f"{head} {tail}s"
    return f"{number} {words}"


def _fine(mm: float, units: str) -> str:
    return format_length(mm, units, precision=64 if units == "in" else 2)


def _xy(x: float, y: float, units: str) -> str:
    return f"x {format_length(x, units)}, y {format_length(y, units)}"
