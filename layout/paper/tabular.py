"""Tables as arithmetic: how wide each column is, on which lines each cell stands, how tall each row is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from layout.paper.letters import PT, phrases, text_width, wrapped

LEAD: Final = 1.32
"""line spacing, of the size"""
GAP: Final = 3.0
"""mm between columns"""
CELL: Final = 1.2
"""mm from a row's edge to its text"""
_HAIR: Final = 0.2
"""mm that a column is wider than its longest text, so that rounding breaks no line"""
_ROW: Final = 0.7
"""mm between rows"""
_UNDER: Final = 1.4
"""mm from a head's text to its rule"""
_FARTHEST: Final = 14.0
"""mm that a column is widened at most where a table is spread"""
_SLIM: Final = 0.6
"""share of an even part up to which a column keeps its width"""
_HALVINGS: Final = 40
"""bisections of a share: to less than a nanometre"""


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
class Laid:
    """A table brought to widths and lines; no text of it is shortened."""

    columns: tuple[Column, ...]
    widths: tuple[float, ...]
    """mm"""
    head: tuple[tuple[str, ...], ...]
    """lines of each column's head"""
    rows: tuple[tuple[tuple[str, ...], ...], ...]
    """lines of each cell, row by row"""
    size: float
    """pt"""

    @property
    def step(self) -> float:
        """From line to line, mm."""
        return self.size * PT * LEAD

    @property
    def width(self) -> float:
        """Across all columns and gaps, mm."""
        return sum(self.widths) + GAP * (len(self.widths) - 1) + 2 * CELL

    @property
    def head_height(self) -> float:
        """From the top to the rule under the head, mm."""
        return max(len(lines) for lines in self.head) * self.step + _UNDER

    @cached_property
    def heights(self) -> tuple[float, ...]:
        """Of each row, mm."""
        return tuple(max(len(lines) for lines in row) * self.step + _ROW for row in self.rows)

    @property
    def height(self) -> float:
        """Of the whole table, mm."""
        return self.head_height + sum(self.heights)


def lay_out(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, room: float, *, fill: bool = False
) -> list[Laid]:
    """Bring a table to widths and lines; one that is too wide for the room is parted, each part with its first column.

    Parameters
    ----------
    room
        mm across.
    fill
        Spread it towards the width of the room.

    Examples
    --------
    >>> heads = [Column("seam"), *(Column(f"measured at place {k}") for k in range(9))]
    >>> rows = [["1", *("41 ft 10 5/16 in" for _ in range(9))]]
    >>> [len(part.columns) for part in lay_out(heads, rows, 10.0, 200.0)]
    [7, 4]
    """
    parts = []
    for chosen in _parted(columns, rows, size, room):
        some = tuple(columns[i] for i in chosen)
        cells = [[row[i] for i in chosen] for row in rows]
        widths = _widths(some, cells, size, room, fill=fill)
        parts.append(
            Laid(
                some,
                widths,
                tuple(
                    tuple(wrapped(one.head, width, size, bold=True)) for one, width in zip(some, widths, strict=True)
                ),
                tuple(
                    tuple(
                        tuple(wrapped(text, width, size, bold=one.bold))
                        for one, width, text in zip(some, widths, row, strict=True)
                    )
                    for row in cells
                ),
                size,
            )
        )
    return parts


def _parted(columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, room: float) -> list[list[int]]:
    """Return the columns of each part: as many as find room at their least widths."""
    least = [_least(one, [row[i] for row in rows], size) for i, one in enumerate(columns)]
    parts, wide = [[0]], least[0] + 2 * CELL
    for i in range(1, len(columns)):
        if wide + GAP + least[i] > room and len(parts[-1]) > 1:
            parts.append([0])
            wide = least[0] + 2 * CELL
        parts[-1].append(i)
        wide += GAP + least[i]
    return parts


def _widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, room: float, *, fill: bool
) -> tuple[float, ...]:
    """Give each column its longest text; where that is too wide, those that wrap share by how much they hold."""
    cells = [[row[i] for row in rows] for i in range(len(columns))]
    whole = [_natural(one, texts, size) for one, texts in zip(columns, cells, strict=True)]
    left = room - 2 * CELL - GAP * (len(columns) - 1) - sum(whole)
    if left >= 0:
        return _spread(columns, whole, left) if fill else tuple(whole)
    least = [_least(one, texts, size) for one, texts in zip(columns, cells, strict=True)]
    heads = [max(width, _head_width(one.head, size) + _HAIR) for one, width in zip(columns, least, strict=True)]
    wraps = {i for i, one in enumerate(columns) if one.wraps}
    if sum(heads[i] - whole[i] for i in wraps) <= left:
        least = heads  # no head on more than two lines where there is room for that
    elif sum(least[i] - whole[i] for i in wraps) > left:
        wraps = set(range(len(columns)))
    wraps = _wide(whole, wraps, sum(whole[i] for i in wraps) + left)
    held = [_mean(one, texts, size) for one, texts in zip(columns, cells, strict=True)]
    return _shared(whole, least, held, wraps, sum(whole) + left)


def _wide(whole: Sequence[float], wraps: set[int], room: float) -> set[int]:
    """Return the columns that must give way: not those that take little of the room that they share."""
    slim = {i for i in wraps if whole[i] <= _SLIM * room / len(wraps)}
    return _wide(whole, wraps - slim, room - sum(whole[i] for i in slim)) if slim and slim != wraps else wraps


def _spread(columns: Sequence[Column], whole: Sequence[float], left: float) -> tuple[float, ...]:
    """Spread what is left over the columns, all alike, but no row so far that the eye loses it.

    A first column of figures keeps its width.
    """
    wide = [i for i, one in enumerate(columns) if i or one.align == "start"] or [0]
    more = min(left / len(wide), _FARTHEST)
    return tuple(width + (more if i in wide else 0.0) for i, width in enumerate(whole))


def _shared(
    whole: Sequence[float], least: Sequence[float], held: Sequence[float], wraps: set[int], room: float
) -> tuple[float, ...]:
    """Share the room by what the columns hold, none under its least nor over its whole width."""

    def at(share: float) -> tuple[float, ...]:
        return tuple(
            min(max(share * held[i], least[i]), max(whole[i], least[i])) if i in wraps else whole[i]
            for i in range(len(whole))
        )

    low, high = 0.0, max(whole[i] / max(held[i], 1.0) for i in wraps) + 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if sum(at(middle)) <= room else (low, middle)
    return at(low)


def _natural(column: Column, texts: Sequence[str], size: float) -> float:
    """Return the width at which no text of a column breaks and its head takes two lines, mm."""
    return (
        max(_head_width(column.head, size), *(text_width(text, size, bold=column.bold) for text in texts), 0.0) + _HAIR
    )


def _least(column: Column, texts: Sequence[str], size: float) -> float:
    """Return the width under which a figure or a word of a column would break, mm."""
    words = [text_width(word, size, bold=True) for word in column.head.split()]
    inside = [text_width(one, size, bold=column.bold) for text in texts for one in phrases(text)]
    return max(*words, *inside, 0.0, 0.0) + _HAIR


def _mean(column: Column, texts: Sequence[str], size: float) -> float:
    """Return how long the texts of a column are, mm: the mean of their mean and their longest."""
    long = [text_width(text, size, bold=column.bold) for text in texts] or [1.0]
    return max((sum(long) / len(long) + max(long)) / 2, 1.0)


def _head_width(head: str, size: float) -> float:
    """Return the least width at which a head takes two lines."""
    words = phrases(head)
    splits = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words) + 1)]
    return min((max(text_width(part, size, bold=True) for part in split) for split in splits), default=0.0)
