"""Words in the blanks and drops of a cutting diagram, as large as they fit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from layout.paper.frame import SMALLEST
from layout.paper.ink import BLACK, WHITE
from layout.paper.letters import text_width, wrapped
from layout.paper.primitives import Box, Primitive, Style, centred, rectangle
from layout.paper.ranges import ranges

_Row = tuple[str, float, bool]
"""words, size in pt, bold"""
_SIZES: Final = (13.0, 11.0, 9.0, 8.0, SMALLEST)
"""pt, of names, largest first"""


def blank_words(box: Box, panels: Sequence[int], size_words: str) -> Iterator[Primitive]:
    """Write panel numbers and blank size into a blank, as large as they fit, along its longer side."""
    turned = box.height > 1.3 * box.width
    room = (box.height, box.width) if turned else (box.width, box.height)
    names = f"panel {panels[0]}" if len(panels) == 1 else f"panels {ranges(sorted(panels))}"
    rows = _named_rows(names, size_words, room) or _names_alone((names, _short(panels)), room)
    steps = [_step(row) for row in rows]
    away = sum(steps) / 2
    for (words, row_size, bold), step in zip(rows, steps, strict=True):
        off = away - step / 2
        away -= step
        x, y = box.centre
        at = (x - off, y) if turned else (x, y + off)
        yield centred(at, words, row_size, angle=90.0 if turned else 0.0, bold=bold, ink=BLACK, kind="blank-text")


def _step(row: _Row) -> float:
    """Return the height of a row, mm."""
    return row[1] * 0.46


def _short(panels: Sequence[int]) -> str:
    """Name the panels of a blank where there is no room for their numbers; the cut list has them."""
    return str(panels[0]) if len(panels) == 1 else f"{len(panels)} panels"


def _named_rows(names: str, size_words: str, room: tuple[float, float]) -> list[_Row]:
    """Return names and size as large as both fit; nothing where they don't."""
    for size in _SIZES:
        small, small_size = _size_rows(size_words, room[0] - 2.0, max(SMALLEST, min(size, 9.0)))
        lines = wrapped(names, room[0] - 2.5, size, bold=True)
        rows = [*((words, size, True) for words in lines), *((words, small_size, False) for words in small)]
        if small and " ".join(lines) == names and sum(_step(row) for row in rows) <= room[1] - 1.0:
            return rows
    return []


def _names_alone(choices: Sequence[str], room: tuple[float, float]) -> list[_Row]:
    """Return the first way of naming that fits, as large as it does; at the least size the last where none does."""
    for names in choices:
        for size in _SIZES:
            lines = wrapped(names, room[0] - 2.0, size, bold=True)
            rows = [(words, size, True) for words in lines]
            if " ".join(lines) == names and sum(_step(row) for row in rows) <= room[1] - 0.5:
                return rows
    return [(choices[-1], SMALLEST, True)]


def _size_rows(words: str, width: float, size: float) -> tuple[list[str], float]:
    """Return length × height on one line, or broken at the cross, whole, and the size at which it fits, pt.

    Where even the smallest size is too wide there is no row: running dimensions beside the blank tell its size.
    """
    length, cross, height = words.partition(" × ")
    for smaller in (size, SMALLEST):
        for rows in ([words], [length + cross.rstrip(), height]):
            if max(text_width(row, smaller) for row in rows) <= width:
                return rows, smaller
    return [], SMALLEST


def backed(box: Box, rows: Sequence[str], ink: str) -> Iterator[Primitive]:
    """Write small rows on a white ground where they fit a box, level or upright."""
    wide = max(text_width(words, SMALLEST) for words in rows) + 1.2
    tall = len(rows) * 3.3 + 0.8
    for angle, (across, up) in ((0.0, (wide, tall)), (90.0, (tall, wide))):
        if across <= box.width - 0.6 and up <= box.height - 0.6:
            x, y = box.centre
            back = Box(x - across / 2, y - up / 2, x + across / 2, y + up / 2)
            yield rectangle(back, Style(WHITE, 0.0, fill=WHITE), kind="backing")
            for i, words in enumerate(rows):
                off = (len(rows) - 1) * 1.65 - i * 3.3
                at = (x - off, y) if angle else (x, y + off)
                yield centred(at, words, SMALLEST, angle=angle, ink=ink, kind="drop-text")
            return
