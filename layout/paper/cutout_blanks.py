"""Blanks with cut-outs, flat, to scale: where each hole is marked from the blank's left and bottom edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Hole, Panel, Plan
from layout.paper.frame import Drawing, Scale, choose_scale, paper_of, room_box
from layout.paper.ink import BLACK, CUT_EDGE, DIMENSION, EXTENSION, HIDDEN, QUIET, WHITE
from layout.paper.letters import text_width, wrapped
from layout.paper.making import bend_lines
from layout.paper.primitives import Box, Primitive, Style, Text, centred, line, rectangle
from layout.units import format_length

NAME: Final = "Cut-outs"
HOLE: Final = Style(BLACK, 0.7, fill=WHITE)
"""a hole in a blank"""
_SIZE: Final = 8.0
"""pt, of figures"""
_HEAD: Final = 6.5
"""mm over a blank: its heading"""
_LEADER: Final = 5.0
"""mm between a blank and the figures from its bottom edge, left of it"""
_FOOT: Final = 14.5
"""mm under a blank: figures from its left edge, in two rows"""
_LINE: Final = 3.7
"""mm, a row of the list under a blank"""
_GAP: Final = 6.0
"""mm between blanks"""
_NOTE: Final = 5.0
"""mm at the top, for the note"""
_MOST: Final = 3
"""blanks a paper"""


def draw_cutouts(plan: Plan) -> list[Drawing]:
    """Draw every blank that has holes, up to three a paper; no paper where there are none."""
    panels = [panel for panel in plan.panels if holes_in(plan, panel)]
    if not panels:
        return []
    room = room_box(paper_of(plan.job))
    drawings = []
    down, side = _down(plan, panels), _side(plan, panels)
    for first in range(0, len(panels), down):
        shown = panels[first : first + down]
        tall = (room.height - _NOTE - _GAP * (down - 1)) / down
        scale = _scale(plan, panels, (room.width, tall))
        items: list[Primitive] = [_note(plan, room)]
        for k, panel in enumerate(shown):
            top = room.top - _NOTE - k * (tall + _GAP)
            items += _Blank(plan, panel, scale.ratio, Box(room.left, top - tall, room.right, top), side).draw()
        drawings.append(Drawing(NAME, tuple(items), scale.words))
    return drawings


def holes_in(plan: Plan, panel: Panel) -> list[Hole]:
    """Return the holes of a panel's blank, left to right."""
    return sorted((hole for hole in plan.cutouts if hole.panel == panel.number), key=lambda hole: hole.left)


def _down(plan: Plan, panels: Sequence[Panel]) -> int:
    """Return how many blanks stand on a paper: as many as there are, fewer where their lists are long."""
    longest = max(len(_rows(plan, panel, room_box(paper_of(plan.job)).width)) for panel in panels)
    return max(1, min(_MOST if longest < 5 else 2 if longest < 12 else 1, len(panels)))


def _scale(plan: Plan, panels: Sequence[Panel], cell: tuple[float, float]) -> Scale:
    lists = _LINE * max(len(_rows(plan, panel, cell[0])) for panel in panels)
    room = (cell[0] - _side(plan, panels) - 2.0, max(cell[1] - _HEAD - _FOOT - lists, 10.0))
    extent = (max(panel.blank_length for panel in panels), max(panel.blank_height for panel in panels))
    return choose_scale(extent, room, plan.job.units)


def _note(plan: Plan, room: Box) -> Text:
    words = (
        "Flat blanks before forming, the side that is seen up. Figures run from the blank's left and bottom edges,"
        " form trim, scribe and returns included."
    )
    return Text((room.left, room.top - 2.6), words, 7.5, ink=QUIET, kind="note")


def _side(plan: Plan, panels: Sequence[Panel]) -> float:
    """Return the room left of the blanks, mm: what the longest figure from a bottom edge takes."""
    figures = [format_length(hole.bottom, plan.job.units) for panel in panels for hole in holes_in(plan, panel)]
    return max(text_width(words, _SIZE) for words in figures) + _LEADER


def _rows(plan: Plan, panel: Panel, width: float) -> list[str]:
    """Return the list of a blank's holes, with all their figures, in lines."""
    found = []
    for k, hole in enumerate(holes_in(plan, panel), 1):
        left, bottom, wide, high = (
            format_length(mm, plan.job.units) for mm in (hole.left, hole.bottom, hole.width, hole.height)
        )
        notch = "" if hole.whole else "; a notch, the blank ends in it"
        words = f"{k}  {hole.name}: {left} from the left, {bottom} up, {wide} wide in the flat, {high} high{notch}"
        found += wrapped(words, width, _SIZE)
    return found


@dataclass(frozen=True)
class _Blank:
    """One blank on paper."""

    plan: Plan
    panel: Panel
    ratio: float
    cell: Box
    side: float
    """mm, as `_side`"""

    def draw(self) -> Iterator[Primitive]:
        """Draw heading, blank, bend lines, holes, their figures and their list."""
        yield self._heading()
        yield rectangle(self._blank, CUT_EDGE, kind="blank")
        for _, height in bend_lines(self.plan, self.panel.blank_height):
            y = self._blank.bottom + height / self.ratio
            yield line((self._blank.left, y), (self._blank.right, y), style=HIDDEN, kind="bend")
        for box in self._boxes:
            yield rectangle(box, HOLE, kind="hole")
        yield from self._numbers()
        yield from self._lefts()
        yield from self._bottoms()
        yield from self._list()

    @property
    def _holes(self) -> list[Hole]:
        return holes_in(self.plan, self.panel)

    @property
    def _blank(self) -> Box:
        left, top = self.cell.left + self.side, self.cell.top - _HEAD
        high = self.panel.blank_height / self.ratio
        return Box(left, top - high, left + self.panel.blank_length / self.ratio, top)

    @property
    def _boxes(self) -> list[Box]:
        x, y = self._blank.left, self._blank.bottom
        return [
            Box(
                x + hole.left / self.ratio,
                y + hole.bottom / self.ratio,
                x + (hole.left + hole.width) / self.ratio,
                y + (hole.bottom + hole.height) / self.ratio,
            )
            for hole in self._holes
        ]

    def _length(self, mm: float) -> str:
        return format_length(mm, self.plan.job.units)

    def _heading(self) -> Text:
        size = f"{self._length(self.panel.blank_length)} × {self._length(self.panel.blank_height)}"
        words = f"Panel {self.panel.number}: blank {size}, from sheet {self.panel.sheet}"
        return Text((self.cell.left, self.cell.top - 4.0), words, 10.0, bold=True, kind="heading")

    def _numbers(self) -> Iterator[Primitive]:
        """Write the holes' numbers: inside where they are large enough, else beside, clear of the others."""
        taken = self._boxes
        for k, box in enumerate(self._boxes, 1):
            half = text_width(str(k), _SIZE, bold=True) / 2 + 0.5
            x, y = box.centre
            spots = [(x, y)] if box.width > 2 * half and box.height > 3.2 else []
            spots += [(box.right + half, y), (box.left - half, y), (x, box.top + 2.0), (x, box.bottom - 2.0)]
            inked = [Box(a - half, b - 1.5, a + half, b + 1.5) for a, b in spots]
            others = [other for other in taken if other != box]
            free = (
                at
                for at, ink in zip(spots, inked, strict=True)
                if self._blank.holds(ink) and not any(ink.overlaps(other) for other in others)
            )
            at = next(free, spots[0])
            taken.append(Box(at[0] - half, at[1] - 1.5, at[0] + half, at[1] + 1.5))
            yield centred(at, str(k), _SIZE, bold=True, ink=BLACK, kind="hole-number")

    def _lefts(self) -> Iterator[Primitive]:
        """Write how far each hole's left side is from the blank's left edge, in two rows where they crowd."""
        blank = self._blank
        y = blank.bottom - 2.5
        yield line((blank.left, y), (self._boxes[-1].left, y), style=DIMENSION, kind="dimension")
        yield from _stroke(blank.left, y)
        reach = [self.cell.left, self.cell.left]
        for hole, box in zip(self._holes, self._boxes, strict=True):
            words = self._length(hole.left)
            half = text_width(words, _SIZE) / 2 + 0.7
            level = next((i for i in (0, 1) if box.left - half >= reach[i]), None)
            yield line((box.left, box.bottom), (box.left, y - 0.8), style=EXTENSION, kind="dimension")
            yield from _stroke(box.left, y)
            if level is not None:
                reach[level] = box.left + half
                yield Text((box.left, y - 4.0 - 3.4 * level), words, _SIZE, "middle", kind="left")

    def _bottoms(self) -> Iterator[Primitive]:
        """Write how far each hole's lower side is above the blank's bottom edge, equal ones once."""
        blank = self._blank
        x = blank.left - 2.5
        lows = {round(hole.bottom, 3): box for hole, box in reversed([*zip(self._holes, self._boxes, strict=True)])}
        yield line((x, blank.bottom), (x, max(box.bottom for box in lows.values())), style=DIMENSION, kind="dimension")
        yield from _stroke(x, blank.bottom)
        free = blank.bottom - 1.0
        for low in sorted(lows):
            box = lows[low]
            free = max(box.bottom, free)
            path = ((box.left, box.bottom), (x - 0.8, box.bottom), (x - 1.8, free))
            yield line(*path, style=EXTENSION, kind="dimension")
            yield from _stroke(x, box.bottom)
            yield Text((x - 2.3, free - 1.0), self._length(low), _SIZE, "end", kind="bottom")
            free += 3.4

    def _list(self) -> Iterator[Primitive]:
        """List the holes with all their figures."""
        y = self._blank.bottom - _FOOT
        for words in _rows(self.plan, self.panel, self.cell.width):
            yield Text((self.cell.left, y), words, _SIZE, kind="list")
            y -= _LINE


def _stroke(x: float, y: float) -> Iterator[Primitive]:
    yield line((x - 0.7, y - 0.7), (x + 0.7, y + 0.7), style=DIMENSION, kind="dimension")


def hole_names(holes: Sequence[Hole]) -> str:
    """Name holes, for a place too small for their figures.

    Examples
    --------
    >>> hole_names([Hole("socket", 3, 100.0, 300.0, 90.0, 146.0), Hole("hatch", 3, 600.0, 0.0, 300.0, 400.0)])
    'cut-outs socket, hatch'
    """
    names = ", ".join(dict.fromkeys(hole.name for hole in holes))
    return f"cut-out{'s' if len({hole.name for hole in holes}) > 1 else ''} {names}"
