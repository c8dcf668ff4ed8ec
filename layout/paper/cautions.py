"""Cautions as a block of one to three columns that is set down whole where a paper has room for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, pairwise
from typing import Final

from layout.paper.ink import BLACK
from layout.paper.letters import PT, text_width, wrapped
from layout.paper.primitives import Primitive, Text
from layout.paper.tabular import LEAD

HEADING: Final = "Cautions"
SIZE: Final = 9.0
"""pt"""
SMALL: Final = 8.0
"""pt, in three columns"""
READ: Final = 10.0
"""pt, of papers that are read at arm's length: nothing on them is smaller"""
_MARK: Final = "•"
_APART: Final = 10.0
"""mm between columns"""
_HEAD: Final = 5.8
"""mm, of the heading"""
_AFTER: Final = 0.8
"""mm under each caution"""


@dataclass(frozen=True)
class Cautions:
    """Cautions in lines."""

    columns: tuple[tuple[tuple[str, ...], ...], ...]
    """column by column, the lines of each caution"""
    width: float
    """mm, of a column"""
    size: float
    """pt"""

    @property
    def height(self) -> float:
        """With the heading, mm."""
        return _HEAD + max(_tall(column, self.size) for column in self.columns)

    def items(self, left: float, top: float, subject: str = "") -> Iterator[Primitive]:
        """Write heading and columns down from a height, mm; among others' words the heading names their subject."""
        head = f"{HEADING}: {subject[:1].lower()}{subject[1:]}" if subject else HEADING
        yield Text((left, top - 4.4), head, 11.0, bold=True, ink=BLACK, kind="heading")
        indent, step = text_width(_MARK + "  ", self.size), self.size * PT * LEAD
        for k, column in enumerate(self.columns):
            x, y = left + k * (self.width + _APART), top - _HEAD
            for lines in column:
                yield Text((x, y - step), _MARK, self.size, ink=BLACK, kind="text")
                for words in lines:
                    y -= step
                    yield Text((x + indent, y), words, self.size, ink=BLACK, kind="text")
                y -= _AFTER


def in_columns(words: Sequence[str], room: float, count: int, size: float = SIZE) -> Cautions:
    """Bring cautions to lines in one column, or several of about one height; `room` across in mm.

    Examples
    --------
    >>> [len(column) for column in in_columns(["Gloves on."] * 5, 250.0, 2).columns]
    [3, 2]
    """
    width = (room - (count - 1) * _APART) / count
    lines = [tuple(wrapped(one, width - text_width(_MARK + "  ", size), size)) for one in words]
    cuts = min(
        combinations_with_replacement(range(len(lines) + 1), count - 1),
        key=lambda cuts: (max(_tall(part, size) for part in _parted(lines, cuts)), [-cut for cut in cuts]),
    )
    return Cautions(tuple(_parted(lines, cuts)), width, size)


def _parted(lines: Sequence[tuple[str, ...]], cuts: Sequence[int]) -> list[tuple[tuple[str, ...], ...]]:
    """Part cautions into columns at so many of them."""
    return [tuple(lines[a:b]) for a, b in pairwise((0, *cuts, len(lines)))]


def _tall(cautions: Sequence[Sequence[str]], size: float) -> float:
    """Return the height of cautions under each other, mm."""
    return sum(len(lines) * size * PT * LEAD + _AFTER for lines in cautions)
