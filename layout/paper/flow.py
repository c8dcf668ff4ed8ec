"""Text and tables written down one paper after another, headings kept with what follows them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from layout.paper.frame import Drawing, room_box
from layout.paper.ink import BLACK, QUIET, RULE, TINT
from layout.paper.letters import PT, fitted, text_width, wrapped
from layout.paper.primitives import Box, Primitive, Style, Text, line, rectangle

_LEAD: Final = 1.32
"""line spacing, of the size"""
_GAP: Final = 3.0
"""mm between columns"""
_APART: Final = 10.0
"""mm between tables side by side"""
_BEFORE: Final = 3.2
"""mm over a heading"""
_CELL: Final = 1.2
"""mm from a row's edge to its text"""


@dataclass(frozen=True)
class Column:
    """One column of a table."""

    head: str
    align: str = "start"
    """start · end"""
    wraps: bool = False
    """long texts take several lines and the room that is left"""
    bold: bool = False


@dataclass(frozen=True)
class Block:
    """A heading with names and figures below it."""

    heading: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Part:
    """A table with its heading."""

    heading: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[str]]


class Flow:
    """Writes downwards; takes a new paper where the room ends."""

    def __init__(self, name: str, paper: str) -> None:
        self._name = name
        self._room = room_box(paper)
        self._done: list[list[Primitive]] = []
        self._items: list[Primitive] = []
        self._y = self._room.top
        self._left = self._room.left

    @property
    def width(self) -> float:
        """Room across, mm."""
        return self._room.width

    @property
    def left(self) -> Box:
        """What is left of the paper below what is written."""
        return Box(self._room.left, self._room.bottom, self._room.right, max(self._y, self._room.bottom))

    def drawings(self) -> list[Drawing]:
        """Return one drawing a paper."""
        return [Drawing(self._name, tuple(items)) for items in (*self._done, self._items)]

    def need(self, height: float) -> None:
        """Take a new paper where less than this is left, mm."""
        if self._y - height < self._room.bottom and self._y < self._room.top:
            self._done.append(self._items)
            self._items, self._y = [], self._room.top

    def space(self, height: float) -> None:
        """Leave a gap, but not at the top of a paper."""
        if self._y < self._room.top:
            self._y -= height

    def heading(self, text: str, follow: float = 26.0, *, spaced: bool = True) -> None:
        """Write a heading that stays with the `follow` mm below it."""
        if spaced:
            self.space(_BEFORE)
            self.need(6.0 + follow)
        self._y -= 4.4
        self._put(text, self._left, 11.0, bold=True, kind="heading")
        self._y -= 1.4

    def paragraph(self, text: str, size: float = 9.0, *, mark: str = "", ink: str = BLACK) -> None:
        """Write a paragraph across the paper, hanging from its mark."""
        indent = text_width(mark + "  ", size) if mark else 0.0
        step = size * PT * _LEAD
        for i, words in enumerate(wrapped(text, self._room.width - indent, size)):
            self.need(step)
            self._y -= step
            if mark and i == 0:
                self._put(mark, self._room.left, size, ink=ink)
            self._put(words, self._room.left + indent, size, ink=ink)
        self._y -= 0.8

    def blocks(self, blocks: Sequence[Block], columns: int = 3, size: float = 9.0) -> None:
        """Write blocks of names and figures side by side."""
        width = (self._room.width - (columns - 1) * 6.0) / columns
        for start in range(0, len(blocks), columns):
            row = blocks[start : start + columns]
            self.need(max(_block_height(block, width, size) for block in row))
            top = self._y
            bottoms = [
                self._block(block, self._room.left + i * (width + 6.0), width, size) for i, block in enumerate(row)
            ]
            self._y = min(bottoms) - 3.0 if bottoms else top

    def _block(self, block: Block, left: float, width: float, size: float) -> float:
        step = size * PT * _LEAD
        y = self._y - 4.4
        self._items.append(Text((left, y), block.heading, 11.0, bold=True, ink=BLACK, kind="heading"))
        y -= 1.6
        self._items.append(line((left, y), (left + width, y), style=Style(BLACK, 0.6)))
        for name, figure in block.rows:
            lines = _beside(name, figure, width, size)
            bold = text_width(figure, size, bold=True) <= _room_beside(name, width, size)
            y -= step * 0.25
            for i, words in enumerate(lines):
                y -= step
                if i == 0:
                    self._items.append(Text((left, y), name, size, ink=QUIET, kind="name"))
                self._items.append(Text((left + width, y), words, size, "end", bold=bold, ink=BLACK, kind="figure"))
        return y

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        size: float = 9.0,
        *,
        fill: bool = False,
    ) -> None:
        """Write a table; its head is repeated on every paper. `fill` spreads it across the paper."""
        widths = _widths(columns, rows, size, self._room.width, fill=fill)
        head = _heads(columns, widths, size)
        head_height = max(len(lines) for lines in head) * size * PT * _LEAD + 1.6
        step = size * PT * _LEAD
        self.need(head_height + 2 * step + 2.0)
        self._head(columns, widths, head, size)
        for i, row in enumerate(rows):
            cells = [
                wrapped(text, width, size, bold=column.bold)
                if column.wraps
                else [fitted(text, width, size, bold=column.bold)]
                for column, width, text in zip(columns, widths, row, strict=True)
            ]
            height = max(len(lines) for lines in cells) * step + 0.7
            before = len(self._done)
            self.need(height)
            if len(self._done) > before:
                self._head(columns, widths, head, size)
            self._row(columns, widths, cells, size, height, tinted=i % 2 == 1)
        right = self._left + sum(widths) + _GAP * (len(widths) - 1) + 2 * _CELL
        self._items.append(line((self._left, self._y), (right, self._y), style=Style(RULE, 0.4)))
        self._y -= 1.0

    def side_by_side(self, parts: Sequence[Part], size: float = 9.0) -> None:
        """Write headed tables next to each other where they find room, else one under the other."""
        row: list[Part] = []
        for part in parts:
            if row and _across([*row, part], size, self._room.width) > self._room.width:
                self._side_by_side(row, size)
                row = []
            row.append(part)
        self._side_by_side(row, size)

    def _side_by_side(self, parts: Sequence[Part], size: float) -> None:
        tall = max((_part_height(part, size) for part in parts), default=0.0)
        if len(parts) > 1 and tall <= self._room.height:
            self.space(_BEFORE)
            self.need(tall)
            top, bottom = self._y, self._y
            for part in parts:
                self._y = top
                self.heading(part.heading, spaced=False)
                self.table(part.columns, part.rows, size)
                bottom = min(bottom, self._y)
                self._left += _across([part], size, self._room.width) + _APART
            self._left, self._y = self._room.left, bottom
            return
        for part in parts:
            self.heading(part.heading)
            self.table(part.columns, part.rows, size)

    def _head(self, columns: Sequence[Column], widths: Sequence[float], head: Sequence[list[str]], size: float) -> None:
        step = size * PT * _LEAD
        tall = max(len(lines) for lines in head)
        bottom = self._y - tall * step - 1.4
        for column, left, width, lines in zip(columns, self._lefts(widths), widths, head, strict=True):
            for i, words in enumerate(reversed(lines)):
                self._cell(column, left, width, words, bottom + 1.5 + i * step, size, bold=True)
        right = self._left + sum(widths) + _GAP * (len(widths) - 1) + 2 * _CELL
        self._items.append(line((self._left, bottom), (right, bottom), style=Style(BLACK, 0.8)))
        self._y = bottom

    def _row(
        self,
        columns: Sequence[Column],
        widths: Sequence[float],
        cells: Sequence[list[str]],
        size: float,
        height: float,
        *,
        tinted: bool,
    ) -> None:
        step = size * PT * _LEAD
        bottom = self._y - height
        if tinted:
            right = self._left + sum(widths) + _GAP * (len(widths) - 1) + 2 * _CELL
            band = Box(self._left, bottom, right, self._y)
            self._items.append(rectangle(band, Style(TINT, 0.0, fill=TINT), kind="band"))
        for column, left, width, lines in zip(columns, self._lefts(widths), widths, cells, strict=True):
            for i, words in enumerate(lines):
                y = self._y - (i + 0.78) * step - 0.35
                self._cell(column, left, width, words, y, size, bold=column.bold)
        self._y = bottom

    def _cell(
        self, column: Column, left: float, width: float, words: str, y: float, size: float, *, bold: bool
    ) -> None:
        at = left + width if column.align == "end" else left
        self._items.append(Text((at, y), words, size, column.align, bold=bold, ink=BLACK, kind="cell"))

    def _lefts(self, widths: Sequence[float]) -> list[float]:
        lefts, x = [], self._left + _CELL
        for width in widths:
            lefts.append(x)
            x += width + _GAP
        return lefts

    def _put(
        self, text: str, left: float, size: float, *, bold: bool = False, ink: str = BLACK, kind: str = "text"
    ) -> None:
        self._items.append(Text((left, self._y), text, size, bold=bold, ink=ink, kind=kind))


def _across(parts: Sequence[Part], size: float, room: float) -> float:
    """Return the width of tables side by side, mm."""
    widths = [_widths(part.columns, part.rows, size, room, fill=False) for part in parts]
    tables = (sum(columns) + _GAP * (len(columns) - 1) + 2 * _CELL for columns in widths)
    return sum(tables) + _APART * (len(parts) - 1)


def _part_height(part: Part, size: float) -> float:
    """Return no less than the height of a headed table whose rows take one line each, mm."""
    step = size * PT * _LEAD
    return 5.8 + 2 * step + 1.6 + max(len(part.rows), 2) * (step + 0.7) + 2.0


def _beside(name: str, figure: str, width: float, size: float) -> list[str]:
    """Return the figure in lines that leave room for its name."""
    room = _room_beside(name, width, size)
    if text_width(figure, size, bold=True) <= room:
        return [figure]
    return wrapped(figure, room, size)


def _room_beside(name: str, width: float, size: float) -> float:
    return width - text_width(name, size) - 2.5


def _block_height(block: Block, width: float, size: float) -> float:
    step = size * PT * _LEAD
    return 7.0 + sum((len(_beside(*row, width, size)) + 0.25) * step for row in block.rows)


def _heads(columns: Sequence[Column], widths: Sequence[float], size: float) -> list[list[str]]:
    return [wrapped(column.head, width, size, bold=True) for column, width in zip(columns, widths, strict=True)]


def _head_width(head: str, size: float) -> float:
    """Return the least width at which a head takes two lines."""
    words = head.split()
    splits = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words) + 1)]
    return min((max(text_width(part, size, bold=True) for part in split) for split in splits), default=0.0)


def _widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, room: float, *, fill: bool
) -> list[float]:
    """Give each column its longest text; columns that wrap share what is left, or shrink to it."""
    natural = [
        max(
            _head_width(column.head, size),
            0.0,
            *(text_width(row[i], size, bold=column.bold) for row in rows),
        )
        + 0.2
        for i, column in enumerate(columns)
    ]
    left = room - 2 * _CELL - _GAP * (len(columns) - 1) - sum(natural)
    wraps = [i for i, column in enumerate(columns) if column.wraps] or list(range(len(columns)))
    if left < 0 or fill:
        share = sum(natural[i] for i in wraps)
        for i in wraps:
            wide = natural[i] * (1 + left / share)
            natural[i] = max(wide, 12.0) if left < 0 else wide
    return natural
