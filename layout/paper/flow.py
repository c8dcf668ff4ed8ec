"""Text and tables written down one paper after another, headings kept with what follows them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from layout.paper.cautions import HEADING, READ, SIZE, SMALL, in_columns
from layout.paper.frame import Drawing, room_box
from layout.paper.ink import BLACK, QUIET, RULE, TINT
from layout.paper.letters import PT, text_width, wrapped
from layout.paper.primitives import Box, Primitive, Style, Text, line, rectangle
from layout.paper.tabular import CELL, GAP, LEAD, Column, Laid, lay_out

__all__ = ["Block", "Column", "Flow", "Part"]

_APART: Final = 10.0
"""mm between tables side by side"""
_BEFORE: Final = 3.2
"""mm over a heading"""
_HEADING: Final = 5.8
"""mm that a heading takes, without what is left over it"""
_AFTER: Final = 0.8
"""mm under a paragraph"""
_WHOLE: Final = 5
"""rows up to which a table is not broken, and lines of a paragraph"""
_SUBJECT: Final = 13.0
"""pt, of the name of a subject that begins below another"""
_TALL: Final = 0.6
"""share of the room past which tables do not stand side by side, and cautions may be broken"""
_BEGUN: Final = 0.45
"""share of a paper up to which a further subject begins on it"""


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


@dataclass
class _Page:
    """One paper as it is written."""

    names: list[str]
    y: float
    """mm, down to where it is written"""
    items: list[Primitive] = field(default_factory=list)


class Flow:
    """Writes downwards; takes a new paper where the room ends."""

    def __init__(self, name: str, paper: str) -> None:
        self._room = room_box(paper)
        self._left = self._room.left
        self._pages = [_Page([name], self._room.top)]
        self._first = 0
        self._held: list[tuple[float, Callable[[], None]]] = []

    @property
    def width(self) -> float:
        """Room across, mm."""
        return self._room.width

    @property
    def left(self) -> Box:
        """What is left of the paper below what is written."""
        return Box(self._room.left, self._room.bottom, self._room.right, max(self._page.y, self._room.bottom))

    def drawings(self) -> list[Drawing]:
        """Return one drawing a paper, named by all that it holds."""
        self._release(0.0)
        return [Drawing(_together(page.names), tuple(page.items)) for page in self._pages]

    def begin(self, name: str) -> None:
        """Begin another subject: below what is written where most of the paper is free, else on a new one."""
        self._release(0.0)
        used = self._room.top - self._page.y
        if used > _BEGUN * self._room.height:
            self._new_page()
            self._page.names = [name]
        elif used > 0:
            self._page.y -= _BEFORE
            rule = ((self._room.left, self._page.y), (self._room.right, self._page.y))
            self._page.items.append(line(*rule, style=Style(BLACK, 0.6)))
            self._page.names.append(name)
            self.paragraph(name, _SUBJECT, keep=True)
        else:
            self._page.names = [name]
        self._first = len(self._pages) - 1

    def need(self, height: float) -> None:
        """Take a new paper where less than this is left, mm."""
        if self._page.y - height < self._room.bottom and self._page.y < self._room.top:
            self._new_page()

    def space(self, height: float) -> None:
        """Leave a gap, but not at the top of a paper."""
        self._release(0.0)
        if self._page.y < self._room.top:
            self._page.y -= height

    def heading(self, text: str) -> None:
        """Write a heading; it stays with what follows it."""

        def write() -> None:
            if self._page.y < self._room.top:
                self._page.y -= _BEFORE
            self._heading(text)

        self._held.append((_BEFORE + _HEADING, write))

    def paragraph(self, text: str, size: float = 9.0, *, mark: str = "", ink: str = BLACK, keep: bool = False) -> None:
        """Write a paragraph across the paper, hanging from its mark; `keep` it with what follows."""
        lines = self._wrapped(text, size, mark, self._room.width)
        step = size * PT * LEAD
        if keep:
            tall = len(lines) * step + _AFTER
            self._held.append((tall, lambda: self._lines(lines, size, mark, ink)))
            return
        self._release(step * (len(lines) if len(lines) <= _WHOLE else 2))
        self._lines(lines, size, mark, ink)

    def cautions(self, words: Sequence[str], size: float = SIZE) -> None:
        """Write cautions whole: below the rest, in columns, or on an earlier paper, sooner than on a new one."""
        self._release(0.0)
        wide = self._room.width
        sizes = ((1, size), (2, size), (3, min(size, SMALL) if size < READ else size))
        ways = [in_columns(words, wide, count, points) for count, points in sizes]
        pages = [self._page, *self._pages[self._first : -1][::-1], *self._pages[: self._first][::-1]]
        fits = ((one, page) for page in pages for one in ways if page.y - _BEFORE - one.height >= self._room.bottom)
        found = next(fits, None)
        if found is None and ways[0].height <= _TALL * self._room.height:
            self._new_page()
            found = ways[0], self._page
        if found is None:
            self.heading(HEADING)
            for caution in words:
                self.paragraph(caution, size, mark="•")
            return
        block, page = found
        if page.y < self._room.top:
            page.y -= _BEFORE
        subject = self._page.names[-1]
        page.items += block.items(self._room.left, page.y, "" if subject in page.names else subject)
        page.y -= block.height

    def blocks(self, blocks: Sequence[Block], columns: int = 3, size: float = 9.0) -> None:
        """Write blocks of names and figures side by side."""
        width = (self._room.width - (columns - 1) * 6.0) / columns
        for start in range(0, len(blocks), columns):
            row = blocks[start : start + columns]
            self._release(max(_block_height(block, width, size) for block in row))
            bottoms = [
                self._block(block, self._room.left + i * (width + 6.0), width, size) for i, block in enumerate(row)
            ]
            self._page.y = min(bottoms) - 3.0

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        size: float = 9.0,
        *,
        fill: bool = False,
    ) -> None:
        """Write a table; its head is repeated on every paper. `fill` spreads it across the paper."""
        for laid in lay_out(columns, rows, size, self._room.width, fill=fill):
            self._table(laid)

    def side_by_side(self, parts: Sequence[Part], size: float = 9.0) -> None:
        """Write headed tables next to each other where they find room, else one under the other."""
        row: list[tuple[Part, Laid]] = []
        for part in parts:
            laid = lay_out(part.columns, part.rows, size, self._room.width)
            tall = len(laid) > 1 or laid[0].height > _TALL * self._room.height
            wide = sum(_part_width(*one) for one in row) + _APART * len(row) + _part_width(part, laid[0])
            if row and (tall or wide > self._room.width):
                self._side_by_side(row)
                row = []
            if tall:
                self.heading(part.heading)
                for one in laid:
                    self._table(one)
            else:
                row.append((part, laid[0]))
        self._side_by_side(row)

    def _side_by_side(self, parts: Sequence[tuple[Part, Laid]]) -> None:
        if not parts:
            return
        self._release(_BEFORE + _HEADING + max(laid.height for _, laid in parts))
        if self._page.y < self._room.top:
            self._page.y -= _BEFORE
        top = bottom = self._page.y
        for part, laid in parts:
            self._page.y = top
            self._heading(part.heading)
            self._table(laid)
            bottom = min(bottom, self._page.y)
            self._left += _part_width(part, laid) + _APART
        self._left, self._page.y = self._room.left, bottom

    @property
    def _page(self) -> _Page:
        return self._pages[-1]

    def _new_page(self) -> None:
        self._pages.append(_Page(self._page.names[-1:], self._room.top))

    def _release(self, height: float) -> None:
        """Write what was held back, on one paper with the first `height` mm of what follows."""
        held, self._held = self._held, []
        self.need(sum(tall for tall, _ in held) + height)
        for _, write in held:
            write()

    def _heading(self, text: str) -> None:
        self._page.y -= 4.4
        self._put(text, self._left, 11.0, bold=True, kind="heading")
        self._page.y -= _HEADING - 4.4

    def _wrapped(self, text: str, size: float, mark: str, width: float) -> list[str]:
        return wrapped(text, width - (text_width(mark + "  ", size) if mark else 0.0), size)

    def _lines(self, lines: Sequence[str], size: float, mark: str, ink: str) -> None:
        """Write the lines of a paragraph; where it is broken, two lines of it stand on either paper."""
        indent = text_width(mark + "  ", size) if mark else 0.0
        step = size * PT * LEAD
        for i, words in enumerate(lines):
            self.need(2 * step if i == len(lines) - 2 else step)
            self._page.y -= step
            if mark and i == 0:
                self._put(mark, self._room.left, size, ink=ink)
            self._put(words, self._room.left + indent, size, ink=ink)
        self._page.y -= _AFTER

    def _block(self, block: Block, left: float, width: float, size: float) -> float:
        step = size * PT * LEAD
        y = self._page.y - 4.4
        self._page.items.append(Text((left, y), block.heading, 11.0, bold=True, ink=BLACK, kind="heading"))
        y -= 1.6
        self._page.items.append(line((left, y), (left + width, y), style=Style(BLACK, 0.6)))
        for name, figure in block.rows:
            lines = _beside(name, figure, width, size)
            bold = text_width(figure, size, bold=True) <= _room_beside(name, width, size)
            y -= step * 0.25
            for i, words in enumerate(lines):
                y -= step
                if i == 0:
                    self._page.items.append(Text((left, y), name, size, ink=QUIET, kind="name"))
                self._page.items.append(
                    Text((left + width, y), words, size, "end", bold=bold, ink=BLACK, kind="figure")
                )
        return y

    def _table(self, laid: Laid) -> None:
        """Write a table; where it is broken, two rows of it stand on either paper."""
        heights = laid.heights
        first = heights if len(heights) <= _WHOLE else heights[:2]
        self._release(laid.head_height + sum(first))
        self._head(laid)
        for i, (cells, height) in enumerate(zip(laid.rows, heights, strict=True)):
            before = len(self._pages)
            self.need(height + heights[i + 1] if i == len(heights) - 2 else height)
            if len(self._pages) > before:
                self._head(laid)
            self._row(laid, cells, height, tinted=i % 2 == 1)
        self._page.items.append(
            line((self._left, self._page.y), (self._left + laid.width, self._page.y), style=Style(RULE, 0.4))
        )
        self._page.y -= 1.0

    def _head(self, laid: Laid) -> None:
        bottom = self._page.y - laid.head_height
        for column, left, width, lines in zip(laid.columns, self._lefts(laid), laid.widths, laid.head, strict=True):
            for i, words in enumerate(reversed(lines)):
                self._cell(column, left, width, words, bottom + 1.5 + i * laid.step, laid.size, bold=True)
        self._page.items.append(line((self._left, bottom), (self._left + laid.width, bottom), style=Style(BLACK, 0.8)))
        self._page.y = bottom

    def _row(self, laid: Laid, cells: Sequence[Sequence[str]], height: float, *, tinted: bool) -> None:
        page, bottom = self._page, self._page.y - height
        if tinted:
            band = Box(self._left, bottom, self._left + laid.width, page.y)
            page.items.append(rectangle(band, Style(TINT, 0.0, fill=TINT), kind="band"))
        for column, left, width, lines in zip(laid.columns, self._lefts(laid), laid.widths, cells, strict=True):
            for i, words in enumerate(lines):
                y = page.y - (i + 0.78) * laid.step - 0.35
                self._cell(column, left, width, words, y, laid.size, bold=column.bold)
        page.y = bottom

    def _cell(
        self, column: Column, left: float, width: float, words: str, y: float, size: float, *, bold: bool
    ) -> None:
        at = left + width if column.align == "end" else left
        self._page.items.append(Text((at, y), words, size, column.align, bold=bold, ink=BLACK, kind="cell"))

    def _lefts(self, laid: Laid) -> list[float]:
        lefts, x = [], self._left + CELL
        for width in laid.widths:
            lefts.append(x)
            x += width + GAP
        return lefts

    def _put(
        self, text: str, left: float, size: float, *, bold: bool = False, ink: str = BLACK, kind: str = "text"
    ) -> None:
        self._page.items.append(Text((left, self._page.y), text, size, bold=bold, ink=ink, kind=kind))


def _together(names: Sequence[str]) -> str:
    """Name a paper by all that it holds.

    >>> _together(["Summary"]), _together(["Set-out", "Hanging order"])
    ('Summary', 'Set-out, hanging order')
    """
    first, *others = dict.fromkeys(names)
    return ", ".join([first, *(f"{name[:1].lower()}{name[1:]}" for name in others)])


def _part_width(part: Part, laid: Laid) -> float:
    """Return how wide a table is with its heading, mm."""
    return max(laid.width, text_width(part.heading, 11.0, bold=True))


def _beside(name: str, figure: str, width: float, size: float) -> list[str]:
    """Return the figure in lines that leave room for its name."""
    room = _room_beside(name, width, size)
    if text_width(figure, size, bold=True) <= room:
        return [figure]
    return wrapped(figure, room, size)


def _room_beside(name: str, width: float, size: float) -> float:
    return width - text_width(name, size) - 2.5


def _block_height(block: Block, width: float, size: float) -> float:
    step = size * PT * LEAD
    return 7.0 + sum((len(_beside(*row, width, size)) + 0.25) * step for row in block.rows)
