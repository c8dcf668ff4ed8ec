"""The developed elevation: the face rolled out flat, seen from the front, stations rising to the right."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Final

from layout.face.plan import Panel, Plan
from layout.paper.badges import Spot, badge_size, panel_badge, seam_badge
from layout.paper.clear import largest_free, name_beside
from layout.paper.cutout_blanks import HOLE
from layout.paper.elevation_holes import holes_on
from layout.paper.elevation_notes import LINE, SIZE, notes, notes_height
from layout.paper.elevation_rows import Piece, rows_of
from layout.paper.frame import SMALLEST, Drawing, Scale, paper_of, room_box, scales
from layout.paper.ink import (
    BLACK,
    DIMENSION,
    EXTENSION,
    FACE_EDGE,
    HIDDEN,
    QUIET,
    SCALLOP,
    SEAM,
    SEAM_TICK,
    WHITE,
)
from layout.paper.letters import PT, text_width
from layout.paper.making import face_height
from layout.paper.map_view import panel_stations
from layout.paper.primitives import (
    CAP_HEIGHT,
    Area,
    Box,
    Lines,
    Primitive,
    Style,
    Text,
    centred,
    line,
    rectangle,
)
from layout.units import format_length

NAME: Final = "Developed elevation"
_ABOVE: Final = 11.0
"""mm over the face, for seam numbers and the run's name"""
_UPRIGHT: Final = 26.0
"""mm under the face, for stations written upright"""
_LEVEL: Final = 11.0
"""mm under the face, for stations written level"""
_BETWEEN: Final = 5.0
"""mm between rows"""
_LEFT: Final = 13.0
"""mm left of a row, for the height"""
_SAME: Final = 0.5
"""mm, what is this near the datum stands at it"""
_NAMED: Final = 22.0
"""mm from the datum to the nearest station, from which on its name finds room"""
_PAST: Final = "|(past the datum)"
"""ends the words of a station past the datum; | is where its second line begins"""
_DATUM: Final = Style(BLACK, 0.7, (7.0, 1.8, 1.6, 1.8))
_OVER: Final = 3.6
"""mm over a lowered part that its height is written in"""
_SEEN: Final = 0.45
"""mm on paper, least pitch at which scallops are drawn one by one"""


def draw_elevation(plan: Plan) -> list[Drawing]:
    """Draw the developed elevation, row under row, on as many papers as it takes."""
    room = room_box(paper_of(plan.job))
    scale = _scale(plan, room)
    rows = rows_of(plan, scale.ratio, _row_width(plan, room, scale.ratio))
    upright = any(_crowded(plan, row, scale.ratio) for row in rows)
    fit = max(
        1,
        math.floor((room.height - notes_height(plan) + _BETWEEN) / _row_height(plan, scale.ratio, upright=upright)),
    )
    papers = [rows[i : i + fit] for i in range(0, len(rows), fit)]
    return [Drawing(NAME, tuple(_paper(plan, paper, scale, upright=upright)), scale.words) for paper in papers]


def _paper(plan: Plan, rows: Sequence[list[Piece]], scale: Scale, *, upright: bool) -> Iterator[Primitive]:
    room = room_box(paper_of(plan.job))
    for i, words in enumerate(notes(plan)):
        yield Text((room.left, room.top - 2.6 - i * LINE), words, SIZE, ink=QUIET, kind="note")
    height = _row_height(plan, scale.ratio, upright=upright)
    for i, row in enumerate(rows):
        top = room.top - notes_height(plan) - _ABOVE - i * height
        yield from _Row(plan, row, scale.ratio, room.left + _LEFT, top, upright).draw()


def _row_height(plan: Plan, ratio: float, *, upright: bool) -> float:
    return (
        _ABOVE + max(face_height(plan, run) for run in plan.runs) / ratio + (_UPRIGHT if upright else _LEVEL) + _BETWEEN
    )


def _row_width(plan: Plan, room: Box, ratio: float) -> float:
    # Past the last seam its lap shows, and half of its station.
    return room.width - _LEFT - max(plan.scallop.pitch / ratio + 1.0, 13.0)


def _scale(plan: Plan, room: Box) -> Scale:
    """Return the largest scale that needs one paper; else the smallest with numbers side by side."""
    widths = [end - start for start, end in (panel_stations(plan, panel) for panel in plan.panels)]
    fitting = (scale for scale in scales(plan.job.units) if _holds(plan, room, scale.ratio, max(widths)))
    first = next(fitting)
    closest = badge_size(len(plan.panels), SIZE)[0] + 1.0
    readable = [first, *takewhile(lambda scale: min(widths) / scale.ratio >= closest, fitting)]
    for scale in readable:
        rows = rows_of(plan, scale.ratio, _row_width(plan, room, scale.ratio))
        upright = any(_crowded(plan, row, scale.ratio) for row in rows)
        if len(rows) * _row_height(plan, scale.ratio, upright=upright) <= room.height - notes_height(plan) + _BETWEEN:
            return scale
    return readable[-1]


def _holds(plan: Plan, room: Box, ratio: float, widest: float) -> bool:
    """Tell whether one row with the widest panel finds room."""
    tall = _row_height(plan, ratio, upright=True) - _BETWEEN
    return widest / ratio <= _row_width(plan, room, ratio) and tall <= room.height - notes_height(plan)


def _crowded(plan: Plan, row: Sequence[Piece], ratio: float) -> bool:
    """Tell whether stations written level would run into one another."""
    if row[0].panel.run != row[-1].panel.run:  # the gap between runs is too small for two half stations
        return True
    longest = max(text_width(format_length(piece.end, plan.job.units), SIZE) for piece in row)
    return any((piece.end - piece.start) / ratio < longest + 2.0 for piece in row)


@dataclass(frozen=True)
class _Row:
    """One row of panels on paper."""

    plan: Plan
    pieces: Sequence[Piece]
    ratio: float
    left: float
    top: float
    """mm on paper, upper edge of the face"""
    upright: bool

    @property
    def bottom(self) -> float:
        """Lower edge of the face, mm on paper."""
        return self.top - self._face / self.ratio

    @property
    def _face(self) -> float:
        """Height of the row's face, mm: the highest of its runs."""
        return max(face_height(self.plan, self.plan.runs[piece.panel.run - 1]) for piece in self.pieces)

    def _top(self, panel: Panel) -> float:
        """Upper edge of a panel's own face, mm on paper: a lowered part stands lower than its row."""
        return self.bottom + face_height(self.plan, self.plan.runs[panel.run - 1]) / self.ratio

    def draw(self) -> Iterator[Primitive]:
        """Draw scallops, panels, laps, seams, numbers and stations."""
        for piece in self.pieces:
            yield from self._panel(piece)
            yield from (rectangle(box, HOLE, kind="hole") for _, box in self._holes(piece))
        yield from self._laps()
        yield from self._datum()
        yield from self._seams()
        for piece in self.pieces:
            yield from self._label(piece)
        yield from self._height()

    def _x(self, piece: Piece, station: float) -> float:
        return self.left + piece.left + (station - piece.start) / self.ratio

    def _valleys(self, piece: Piece) -> list[float]:
        """Return where a panel's boundaries stand, its own edges included, mm on paper."""
        run = self.plan.runs[piece.panel.run - 1]
        lap = float(run.stations[-1] - run.stations[0])
        found = []
        for boundary in range(piece.panel.first_scallop, piece.panel.first_scallop + piece.panel.scallops + 1):
            laps, rest = divmod(boundary, run.scallops) if run.closed else (0, boundary)
            found.append(self._x(piece, float(run.stations[rest]) + laps * lap))
        return found

    def _panel(self, piece: Piece) -> Iterator[Primitive]:
        valleys, top = self._valleys(piece), self._top(piece.panel)
        if self.plan.scallop.pitch / self.ratio >= _SEEN:
            paths = tuple(((x, self.bottom), (x, top)) for x in valleys[1:-1])
            if paths:
                yield Lines(paths, SCALLOP, "scallop")
        box = Box(valleys[0], self.bottom, valleys[-1], top)
        yield rectangle(box, FACE_EDGE, kind="panel")

    def _laps(self) -> Iterator[Primitive]:
        """Draw the far edge of every lap: hidden under the neighbour, or seen over it."""
        style = FACE_EDGE if self.plan.job.face.lap_goes == "over" else HIDDEN
        pitch = self.plan.scallop.pitch / self.ratio
        for i, piece in enumerate(self.pieces):
            before, top = self._x(piece, piece.start), self._top(piece.panel)
            if self._starts_row(i) and self._lapped_from_left(piece):
                yield line((before + pitch, self.bottom), (before + pitch, top), style=style, kind="lap")
            if not piece.panel.lapped:
                continue
            right = self._x(piece, piece.end)
            if self._starts_row(i + 1):  # the neighbour stands elsewhere: show the whole tongue
                yield rectangle(Box(right, self.bottom, right + pitch, top), style, kind="lap")
            else:
                yield line((right + pitch, self.bottom), (right + pitch, top), style=style, kind="lap")

    def _starts_row(self, i: int) -> bool:
        """Tell whether a piece has nothing of its run to its left; past the last piece that holds too."""
        if not 0 < i < len(self.pieces):
            return True
        return self.pieces[i].panel.run != self.pieces[i - 1].panel.run

    def _lapped_from_left(self, piece: Piece) -> bool:
        return any(
            panel.run == piece.panel.run and panel.lapped and panel.right_seam == piece.panel.left_seam
            for panel in self.plan.panels
        )

    def _datum(self) -> Iterator[Primitive]:
        """Draw the datum through the strip where a panel crosses it."""
        for piece in self.pieces:
            for station in (0.0, piece.lap):
                if piece.start + _SAME < station < piece.end - _SAME:
                    x = self._x(piece, station)
                    yield line((x, self.bottom), (x, self._top(piece.panel)), style=_DATUM, kind="datum")
                    foot = ((x, self.bottom), (x - 0.9, self.bottom - 2.2), (x + 0.9, self.bottom - 2.2))
                    yield Area(foot, Style(BLACK, 0.0, fill=BLACK), "datum")
                    yield from self._datum_name(x)

    def _datum_name(self, x: float) -> Iterator[Primitive]:
        """Name the datum below the strip, where stations leave it room."""
        free = min(abs(x - other) for _, other, _ in self._marks())
        low = self.bottom - 2.5
        if free > _NAMED:
            yield Text((x, low - 4.2), "0 (datum)", SIZE, "middle", ink=QUIET, kind="datum")

    def _marks(self) -> list[tuple[int, float, str]]:
        """Return (seam number, x on paper, station in words) along the row, each edge once."""
        found: list[tuple[int, float, str]] = []
        for piece in self.pieces:
            if not found or found[-1][0] != piece.panel.left_seam:
                found.append((piece.panel.left_seam, self._x(piece, piece.start), self._words(piece, piece.start)))
            found.append((piece.panel.right_seam, self._x(piece, piece.end), self._words(piece, piece.end)))
        return found

    def _words(self, piece: Piece, station: float) -> str:
        """Write a station; past the datum it is what the tape, laid anew from there, reads."""
        units = self.plan.job.units
        if station <= piece.lap + _SAME:
            return format_length(station, units)
        return f"{format_length(station - piece.lap, units)}{_PAST}"

    def _seams(self) -> Iterator[Primitive]:
        ends = {seam.number for seam in self.plan.seams if seam.end}
        over = self.plan.job.face.lap_goes == "over" and self.plan.job.face.seam == "lap"
        tops = {n: self._top(p.panel) for p in self.pieces for n in (p.panel.left_seam, p.panel.right_seam)}
        reach = [-math.inf, -math.inf]
        free = -math.inf
        for number, x, words in self._marks():
            end = number in ends
            style = FACE_EDGE if end else Style(SEAM, 1.0, (2.5, 1.6)) if over else SEAM_TICK
            yield line((x, self.bottom), (x, tops[number]), style=style, kind="run-end" if end else "seam")
            width, tall = badge_size(number, SIZE)
            level = 0 if x - width / 2 >= reach[0] + 0.3 else 1
            reach[level] = x + width / 2
            y = self.top + 1.0 + tall / 2 + level * (tall + 0.5)
            if level or tops[number] < self.top - _SAME:
                yield line((x, tops[number]), (x, y - tall / 2), style=EXTENSION, kind="leader")
            yield from seam_badge(Spot((x, y), SIZE), number, end=end)
            free = max(x, free)
            yield from self._station(x, free, words)
            free += (CAP_HEIGHT * SIZE * PT + 1.2) * (1 + ("|" in words)) if self.upright else 0.0
        yield line(
            (self.left, self.bottom - 2.5),
            (self._marks()[-1][1], self.bottom - 2.5),
            style=DIMENSION,
            kind="dimension",
        )

    def _station(self, x: float, text_x: float, words: str) -> Iterator[Primitive]:
        station, _, past = words.partition("|")
        low = self.bottom - 2.5
        yield line((x, self.bottom - 0.6), (x, low - 0.8), style=EXTENSION, kind="dimension")
        yield line((x - 0.7, low - 0.7), (x + 0.7, low + 0.7), style=DIMENSION, kind="dimension")
        if not self.upright:
            yield Text((x, low - 4.2), station, SIZE, "middle", ink=BLACK, kind="station")
            if past:
                yield Text((x, low - 7.4), past, SMALLEST, "middle", ink=QUIET, kind="past")
            return
        if text_x > x + 0.1:
            yield line((x, low - 0.8), (text_x, low - 1.8), style=EXTENSION, kind="dimension")
        at = (text_x + CAP_HEIGHT * SIZE * PT / 2, low - 2.2)
        yield Text(at, station, SIZE, "end", angle=90.0, ink=BLACK, kind="station")
        if past:
            beside = (at[0] + 3.2, at[1])
            yield Text(beside, past, SMALLEST, "end", angle=90.0, ink=QUIET, kind="past")

    def _holes(self, piece: Piece) -> list[tuple[str, Box]]:
        """Return the cut-outs of a panel with their places on paper."""
        span = (piece.start, piece.end, piece.lap)
        return [
            (
                name,
                Box(
                    self._x(piece, left),
                    self.bottom + low / self.ratio,
                    self._x(piece, right),
                    self.bottom + high / self.ratio,
                ),
            )
            for name, left, right, low, high in holes_on(self.plan, piece.panel, span)
        ]

    def _label(self, piece: Piece) -> Iterator[Primitive]:
        holes = self._holes(piece)
        whole = Box(self._x(piece, piece.start), self.bottom, self._x(piece, piece.end), self._top(piece.panel))
        free = largest_free(whole, [box for _, box in holes])
        shown = list(self._panel_words(piece, free))
        yield from shown
        taken = [item.box() for item in shown if isinstance(item, Text)] + [box for _, box in holes]
        for name, box in holes:
            yield from name_beside(name, box, whole, taken)

    def _panel_words(self, piece: Piece, free: Box) -> Iterator[Primitive]:
        """Write a panel's number and figures in the middle of what its cut-outs leave free."""
        panel = piece.panel
        x0, x1 = free.left, free.right
        middle, tall = (x0 + x1) / 2, free.height
        size = self._badge_points()
        turned = badge_size(panel.number, size)[0] > x1 - x0 - 0.4
        _, high = badge_size(panel.number, size)
        units = self.plan.job.units
        notes = [
            f"{panel.scallops} scallops",
            f"on the wall {format_length(piece.end - piece.start, units)}",
            f"cover, at the count line {format_length(panel.cover, units)}",
        ]
        room = x1 - x0 - 2.0 - (self.plan.scallop.pitch / self.ratio)
        notes = [note for note in notes if text_width(note, SMALLEST) < room] if tall > high + 13.0 else []
        y = free.bottom + tall / 2 + len(notes) * 1.7
        yield from panel_badge(Spot((middle, y), size, 90.0 if turned else 0.0), panel.number)
        for i, note in enumerate(notes):
            at = (middle, y - high / 2 - 2.8 - i * 3.4)
            half = text_width(note, SMALLEST) / 2 + 0.5
            back = Box(at[0] - half, at[1] - 1.5, at[0] + half, at[1] + 1.5)
            yield rectangle(back, Style(WHITE, 0.0, fill=WHITE), kind="backing")
            yield centred(at, note, SMALLEST, ink=BLACK, kind="panel-note")

    def _badge_points(self) -> float:
        """Return the size of the row's panel numbers, pt: the largest that the narrowest panel takes."""
        for size in (12.0, 10.0, 8.0):
            needs = ((badge_size(p.panel.number, size)[0], (p.end - p.start) / self.ratio) for p in self.pieces)
            if all(wide < room * 0.8 for wide, room in needs):
                return size
        return SMALLEST

    def _height(self) -> Iterator[Primitive]:
        """Dimension the face's height, and name the row's runs."""
        x = self.left - 4.0
        words = format_length(self._face, self.plan.job.units)
        for y in (self.bottom, self.top):
            yield line((x - 1.0, y), (self.left - 0.8, y), style=EXTENSION, kind="dimension")
            yield line((x - 0.7, y - 0.7), (x + 0.7, y + 0.7), style=DIMENSION, kind="dimension")
        yield line((x, self.bottom), (x, self.top), style=DIMENSION, kind="dimension")
        if text_width(words, SMALLEST) < self.top - self.bottom:
            yield centred((x - 2.0, (self.bottom + self.top) / 2), words, SMALLEST, angle=90.0, kind="dimension")
        yield from self._lower_heights()
        if len(self.plan.runs) > 1:
            names = dict.fromkeys(self.plan.runs[piece.panel.run - 1].name for piece in self.pieces)
            yield Text((self.left - _LEFT, self.top + _ABOVE - 2.0), ", ".join(names), SIZE, bold=True, kind="run-name")

    def _lower_heights(self) -> Iterator[Primitive]:
        """Say over each lowered part how high it is, where there is room under the row's upper edge."""
        for piece in self.pieces:
            top, run = self._top(piece.panel), self.plan.runs[piece.panel.run - 1]
            words = f"{format_length(face_height(self.plan, run), self.plan.job.units)} high"
            left, right = self._x(piece, piece.start), self._x(piece, piece.end)
            if self.top - top > _OVER and text_width(words, SMALLEST) < right - left - 1.0:
                yield centred(((left + right) / 2, top + _OVER / 2), words, SMALLEST, ink=QUIET, kind="dimension")
