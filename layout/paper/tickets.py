"""Panel tickets: one a panel, several a paper, to cut out and to tape on the finished side."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import segno

from layout.face.plan import Hole, Panel, Plan
from layout.face.revisions import FIRST
from layout.paper.badges import Spot, panel_badge
from layout.paper.frame import Drawing, paper_of, room_box
from layout.paper.hanging import hung_as
from layout.paper.ink import BLACK, CUT_EDGE, HIDDEN, WHITE
from layout.paper.letters import fitted, text_width, wrapped
from layout.paper.primitives import Area, Box, Lines, Primitive, Style, Text, line, rectangle
from layout.paper.small_map import SmallMap
from layout.units import format_length

NAME: Final = "Panel tickets"
SIZE: Final = 10.0
"""pt, of the words on a ticket"""
_STEP: Final = 4.7
"""mm from line to line"""
_LEAST: Final = (118.0, 80.0)
"""mm, least width and height of a ticket"""
_PAD: Final = 5.0
"""mm from a ticket's edge to what is on it"""
_MARK: Final = 3.0
"""mm, length of a cut mark"""
_CODE: Final = (29.0, 42.0)
"""mm, least and greatest side of the code with its quiet border: a fuller text has a larger code"""
_MODULE: Final = 0.34
"""mm, of a module as long as the code finds room: four dots of a 300 dpi printer (assumed)"""
_QUIET_ZONE: Final = 4
"""modules left white round a code (ISO/IEC 18004)"""
_MASK: Final = 0
"""every second module turned over, like a chessboard (ISO/IEC 18004, table 10)"""
_PICTURE: Final = (29.0, 24.0)
"""mm, the thumbnail"""
_SKETCH: Final = (66.0, 17.0)
"""mm, most of the sketch of the panel"""
_LONGEST: Final = 60
"""characters of a title or a name in the code"""
_CUT: Final = Style(BLACK, 0.4)


def draw_tickets(plan: Plan, revision: str = FIRST) -> list[Drawing]:
    """Draw the tickets in the order of panel numbers, as many a paper as find room."""
    room = room_box(paper_of(plan.job))
    across, down = (max(1, int(side // least)) for side, least in zip((room.width, room.height), _LEAST, strict=True))
    thumbnail = SmallMap(plan, _PICTURE)
    drawings = []
    for start in range(0, len(plan.panels), across * down):
        items: list[Primitive] = list(_cut_marks(room, across, down))
        for i, panel in enumerate(plan.panels[start : start + across * down]):
            cell = _cell(room, across, down, i)
            items += _Ticket(plan, panel, cell, revision).draw(thumbnail)
        drawings.append(Drawing(NAME, tuple(items)))
    return drawings


def _cell(room: Box, across: int, down: int, place: int) -> Box:
    wide, tall = room.width / across, room.height / down
    left, top = room.left + (place % across) * wide, room.top - (place // across) * tall
    return Box(left, top - tall, left + wide, top)


def _cut_marks(room: Box, across: int, down: int) -> Iterator[Primitive]:
    """Mark the corners of all tickets, half a mark along the paper's edges."""
    for i in range(across + 1):
        for j in range(down + 1):
            x, y = room.left + i * room.width / across, room.bottom + j * room.height / down
            left, right = max(x - _MARK, room.left), min(x + _MARK, room.right)
            low, high = max(y - _MARK, room.bottom), min(y + _MARK, room.top)
            yield line((left, y), (right, y), style=_CUT, kind="cut-mark")
            yield line((x, low), (x, high), style=_CUT, kind="cut-mark")


def ticket_lines(plan: Plan, panel: Panel) -> list[str]:
    """Return what a panel's ticket says below its number; the code says the same."""
    units, run = plan.job.units, plan.runs[panel.run - 1]
    length, height = (format_length(side, units) for side in (panel.blank_length, panel.blank_height))
    turn = hung_as(plan, panel)
    lap = f" + 1 lap, right end, {plan.job.face.lap_goes}" if panel.lapped else ""
    closing = ", closing: form last" if turn.closing else ""
    said = [
        f"run: {_short(run.name)}",
        f"scallops: {panel.scallops}{lap}",
        f"blank: {length} × {height}",
        f"hangs: seam {panel.left_seam} to {panel.right_seam}",
        f"hung: {turn.place} of {turn.of} in its run{closing}",
        f"sheet: {panel.sheet}",
        "film and finish: viewer's side, under this ticket",
    ]
    return said + [hole_words(plan, hole) for hole in plan.cutouts if hole.panel == panel.number]


def hole_words(plan: Plan, hole: Hole) -> str:
    """Say where a cut-out is marked on its blank: from the left and from the bottom edge, then its size."""
    left, bottom, width, height = (
        format_length(side, plan.job.units) for side in (hole.left, hole.bottom, hole.width, hole.height)
    )
    notch = "" if hole.whole else " (notch)"
    return f"cut-out {_short(hole.name)}{notch}: left {left}, bottom {bottom}, {width} × {height}"


def code_text(plan: Plan, panel: Panel, revision: str = FIRST) -> str:
    """Return the text in a panel's code."""
    head = [f"panel {panel.number} of {len(plan.panels)}", f"{_short(plan.job.title)}, rev {revision}"]
    return "\n".join([*head, *ticket_lines(plan, panel)])


def _short(words: str) -> str:
    return words if len(words) <= _LONGEST else words[: _LONGEST - 1] + "…"


@dataclass(frozen=True)
class _Ticket:
    """One ticket on paper."""

    plan: Plan
    panel: Panel
    cell: Box
    revision: str

    def draw(self, thumbnail: SmallMap) -> Iterator[Primitive]:
        inner = self.cell.grown(-_PAD)
        text = code_text(self.plan, self.panel, self.revision)
        side = code_side(text)
        code = Box(inner.right - side, inner.top - side, inner.right, inner.top)
        yield from code_items(text, code)
        picture = Box(inner.right - _PICTURE[0], code.bottom - 3.0 - _PICTURE[1], inner.right, code.bottom - 3.0)
        yield from thumbnail.picked(self.panel, picture)
        yield from self._head(inner, code.left - 3.0)
        low = yield from self._words(inner, code.left - 3.0)
        yield from self._sketch(Box(inner.left, inner.bottom, inner.left + _SKETCH[0], low))

    def _head(self, inner: Box, right: float) -> Iterator[Primitive]:
        number = self.panel.number
        half = (text_width(str(number), 22.0, bold=True) + 4.0) / 2
        yield from panel_badge(Spot((inner.left + max(half, 6.0), inner.top - 5.5), 22.0), number, named=False)
        left = inner.left + 2 * max(half, 6.0) + 3.0
        head = f"panel {number} of {len(self.plan.panels)}"
        yield Text((left, inner.top - 4.2), head, SIZE, bold=True, kind="ticket")
        job = f"{self.plan.job.title}, rev {self.revision}"
        yield Text((left, inner.top - 9.4), fitted(job, right - left, SIZE), SIZE, kind="ticket")

    def _words(self, inner: Box, right: float) -> Generator[Primitive, None, float]:
        """Write the lines; those that find no room are counted, for they stand in the code and the cut list."""
        y = inner.top - 13.0
        rows = [
            words for said in ticket_lines(self.plan, self.panel) for words in wrapped(said, right - inner.left, SIZE)
        ]
        most = int((y - inner.bottom - 14.0) / _STEP)
        if len(rows) > most:
            rows = [*rows[: most - 1], f"and {len(rows) - most + 1} lines more, in the code"]
        for words in rows:
            y -= _STEP
            yield Text((inner.left, y), words, SIZE, kind="ticket")
        return y - 2.0

    def _sketch(self, room: Box) -> Iterator[Primitive]:
        """Sketch the blank as the viewer will see it: left end, top, lap and cut-outs."""
        side = text_width("right", SIZE) + 1.5
        wide, tall = room.width - 2 * side, min(room.height - 0.5, _SKETCH[1])
        if tall < 8.0:
            return
        panel = self.panel
        ratio = max(panel.blank_length / wide, panel.blank_height / tall)
        left, bottom = room.left + side, room.bottom
        box = Box(left, bottom, left + panel.blank_length / ratio, bottom + panel.blank_height / ratio)
        yield rectangle(box, CUT_EDGE, kind="sketch")
        if panel.lapped:
            x = box.right - (self.plan.job.face.form_trim + self.plan.scallop.profile.developed) / ratio
            yield line((x, box.bottom), (x, box.top), style=HIDDEN, kind="sketch")
        for hole in self.plan.cutouts:
            if hole.panel == panel.number:
                low = Box(
                    box.left + max(hole.left, 0.0) / ratio,
                    box.bottom + max(hole.bottom, 0.0) / ratio,
                    min(box.left + (hole.left + hole.width) / ratio, box.right),
                    min(box.bottom + (hole.bottom + hole.height) / ratio, box.top),
                )
                yield rectangle(low, Style(BLACK, 0.6, fill=WHITE), kind="sketch")
        yield from _arrow_up(box)
        yield Text((box.left - 1.0, box.centre[1] - 1.0), "left", SIZE, "end", kind="sketch-words")
        yield Text((box.right + 1.0, box.centre[1] - 1.0), "right", SIZE, kind="sketch-words")


def _arrow_up(box: Box) -> Iterator[Primitive]:
    """Draw an arrow to the top edge, with its word where there is room beside it."""
    x, top = box.left + min(box.width * 0.25, 6.0), box.top - 0.8
    low = max(box.bottom + 0.8, top - 7.0)
    yield line((x, low), (x, top - 1.4), style=Style(BLACK, 0.9), kind="sketch")
    yield Area(((x, top), (x - 0.9, top - 1.8), (x + 0.9, top - 1.8)), Style(BLACK, 0.4, fill=BLACK), "sketch")
    if box.width > 18.0:
        yield Text((x + 1.8, top - 4.0), "up", SIZE, kind="sketch-words")


def code_items(text: str, box: Box) -> Iterator[Primitive]:
    """Draw a text as a QR code (ISO/IEC 18004, error correction M) with its quiet border, as rows of strokes."""
    rows = _modules(text)
    module = box.width / (len(rows) + 2 * _QUIET_ZONE)
    paths = []
    for i, row in enumerate(rows):
        y = box.top - (_QUIET_ZONE + i + 0.5) * module
        for start, end in _dark(row):
            paths.append(((box.left + (_QUIET_ZONE + start) * module, y), (box.left + (_QUIET_ZONE + end) * module, y)))
    # A hair over the module, so that no light shows between rows.
    style = Style("#000000", module / 25.4 * 72 * 1.01, flat=True)
    yield Lines(tuple(paths), style, "code")


def code_side(text: str) -> float:
    """Return how large a text's code is drawn, mm, its quiet border with it."""
    least, most = _CODE
    return min(max(least, _MODULE * (len(_modules(text)) + 2 * _QUIET_ZONE)), most)


@lru_cache(maxsize=1)
def _modules(text: str) -> tuple[bytes, ...]:
    # Any mask is read alike (section 7.8); to weigh all eight costs four fifths of the time.
    return tuple(bytes(row) for row in segno.make(text, error="m", mask=_MASK, micro=False, boost_error=False).matrix)


def _dark(row: bytes) -> Iterator[tuple[int, int]]:
    """Return where stretches of dark modules begin and end.

    >>> list(_dark(bytes([1, 1, 0, 1])))
    [(0, 2), (3, 4)]
    """
    start = None
    for i, module in enumerate((*row, 0)):
        if module and start is None:
            start = i
        elif not module and start is not None:
            yield start, i
            start = None
