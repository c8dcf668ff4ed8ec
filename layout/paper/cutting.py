"""The cutting diagrams: one for each different sheet, with how many to make like it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Cut, Hole, Plan, SheetCut
from layout.face.sheets import stock_name
from layout.job.model import SheetSpec
from layout.paper.clear import largest_free
from layout.paper.cut_order import LONG, SQUARE, TRIM, Pass, is_turned, order_of_cuts, passes_of, strips_of
from layout.paper.cutout_blanks import HOLE
from layout.paper.cutting_words import backed, blank_words
from layout.paper.drops import drops_of
from layout.paper.frame import SMALLEST, Drawing, Scale, choose_scale, paper_of, room_box
from layout.paper.hanging import held_back
from layout.paper.ink import (
    BLACK,
    CUT_EDGE,
    CUT_NUMBER,
    DIMENSION,
    DROP_HATCH,
    EXTENSION,
    HIDDEN,
    QUIET,
    STOCK_EDGE,
    WHITE,
)
from layout.paper.letters import PT, size_to_fit, text_width, wrapped
from layout.paper.order import worth_keeping
from layout.paper.primitives import CAP_HEIGHT, Box, Circle, Primitive, Style, Text, centred, hatch, line, rectangle
from layout.paper.ranges import ranges
from layout.units import format_length

NAME: Final = "Cutting"
_HEAD: Final = 10.5
"""mm over a sheet: its heading and its length"""
_FOOT: Final = 11.0
"""mm under a sheet: running cuts, above the lines of text"""
_LINE: Final = 3.6
"""mm, a line of text under a sheet"""
_SIDE: Final = 22.0
"""mm left of a sheet: running dimensions across it"""
_STEP: Final = 3.2
"""mm between dimensions one above another"""
_GAP: Final = 7.0
"""mm between diagrams"""
_SAME: Final = 3
"""decimals of a mm to which two sheets are alike"""


@dataclass(frozen=True)
class Pattern:
    """Sheets that are cut alike."""

    sheets: tuple[SheetCut, ...]

    @property
    def model(self) -> SheetCut:
        """The first of them."""
        return self.sheets[0]

    def panels(self, place: int) -> list[int]:
        """Return the panels that come out of one place, sheet by sheet."""
        return [sheet.cuts[place].panel for sheet in self.sheets]


def patterns_of(plan: Plan) -> list[Pattern]:
    """Return the different sheets, each with all that are like it, in the order of their first."""
    alike: dict[tuple[object, ...], list[SheetCut]] = {}
    for sheet in plan.sheets:
        cuts = tuple(
            (
                *(round(side, _SAME) for side in (cut.x, cut.y, cut.length, cut.height)),
                cut.turned,
                tuple((round(hole.left, _SAME), round(hole.bottom, _SAME), hole.name) for hole in _holes(plan, cut)),
            )
            for cut in sheet.cuts
        )
        alike.setdefault((sheet.stock, round(sheet.length, _SAME), round(sheet.width, _SAME), cuts), []).append(sheet)
    return [Pattern(tuple(sheets)) for sheets in alike.values()]


def _holes(plan: Plan, cut: Cut) -> list[Hole]:
    return [hole for hole in plan.cutouts if hole.panel == cut.panel]


def draw_cutting(plan: Plan) -> list[Drawing]:
    """Draw the cutting diagrams, several a paper where there are several."""
    room = room_box(paper_of(plan.job))
    patterns = patterns_of(plan)
    across, down = _grid(plan, patterns, room)
    cell = _cell(room, across, down)
    scale = _scale(plan, patterns, cell)
    papers = [patterns[i : i + across * down] for i in range(0, len(patterns), across * down)]
    drawings = []
    for paper in papers:
        items: list[Primitive] = [Text((room.left, room.top - 2.6), _note(plan), 7.5, ink=QUIET, kind="note")]
        for i, pattern in enumerate(paper):
            left = room.left + (i % across) * (cell[0] + _GAP)
            top = room.top - 5.0 - (i // across) * (cell[1] + _GAP)
            box = Box(left, top - cell[1], left + cell[0], top)
            items += _Diagram(plan, pattern, scale.ratio, box).draw()
        drawings.append(Drawing(NAME, tuple(items), scale.words))
    return drawings


def _grid(plan: Plan, patterns: Sequence[Pattern], room: Box) -> tuple[int, int]:
    """Return diagrams across and down a paper: four where that costs little scale, else two, or one."""
    if len(patterns) == 1:
        return 1, 1

    def ratio(way: tuple[int, int]) -> float:
        return _scale(plan, patterns, _cell(room, *way)).ratio

    two = min(((1, 2), (2, 1)), key=ratio)
    return (2, 2) if len(patterns) > 2 and ratio((2, 2)) < 2 * ratio(two) else two


def _cell(room: Box, across: int, down: int) -> tuple[float, float]:
    return (room.width - (across - 1) * _GAP) / across, (room.height - 5.0 - (down - 1) * _GAP) / down


def _note(plan: Plan) -> str:
    trim = format_length(plan.job.face.form_trim, plan.job.units)
    way = (
        "Scallops run up the drawing"
        if not any(c.turned for s in plan.sheets for c in s.cuts)
        else "Turned blanks say so"
    )
    return (
        f"{way}; blanks carry {trim} at each end, formed shallow and cut back. Dimensions run from the"
        " sheet's own edges, stops from squared ones."
    )


def _foot_lines(plan: Plan, pattern: Pattern, width: float) -> list[str]:
    """Return what stands under a sheet: the order of its cuts, then its drops."""
    units, stock = plan.job.units, plan.job.sheets[pattern.model.stock]
    sizes = [
        f"{format_length(d.width, units)} × {format_length(d.height, units)}"
        for d in drops_of(pattern.model, stock)
        if worth_keeping(plan, (d.width, d.height), pattern.model.length * pattern.model.width)
    ]
    drops = f"Drops to keep: {', '.join(sizes)}." if sizes else "No drop worth keeping."
    order = order_of_cuts(pattern.model, stock, units)
    return [words for text in (order, f"{drops}{_hold(plan, pattern)}") for words in wrapped(text, width - 1.0, 8.0)]


def _hold(plan: Plan, pattern: Pattern) -> str:
    """Say which blanks of a diagram wait until the site has measured, and on which sheets; nothing without any."""
    held = held_back(plan)
    waits = [(cut.panel, sheet.number) for sheet in pattern.sheets for cut in sheet.cuts if cut.panel in held]
    if not waits:
        return ""
    named = ", ".join(f"panel {panel} (sheet {sheet})" for panel, sheet in sorted(waits))
    return f" Hold back until the site has measured: {named}."


def _scale(plan: Plan, patterns: Sequence[Pattern], cell: tuple[float, float]) -> Scale:
    """Return one scale at which every sheet fits its cell."""
    long = max(pattern.model.length for pattern in patterns)
    wide = max(pattern.model.width for pattern in patterns)
    foot = _LINE * max(len(_foot_lines(plan, pattern, cell[0])) for pattern in patterns) + 0.5
    return choose_scale((long, wide), (cell[0] - _SIDE - 4.0, cell[1] - _HEAD - _FOOT - foot), plan.job.units)


@dataclass(frozen=True)
class _Diagram:
    """One sheet on paper."""

    plan: Plan
    pattern: Pattern
    ratio: float
    cell: Box

    def draw(self) -> Iterator[Primitive]:
        """Draw heading, sheet, trims, drops, blanks, dimensions and the list of drops."""
        sheet = self.pattern.model
        yield from self._heading()
        yield rectangle(self._box(0.0, 0.0, sheet.length, sheet.width), Style(BLACK, 0.0, fill=WHITE), kind="sheet")
        yield from self._drops()
        words = [item for place in range(len(sheet.cuts)) for item in self._blank(place)]
        yield from words
        yield from self._trims()
        yield rectangle(self._box(0.0, 0.0, sheet.length, sheet.width), STOCK_EDGE, kind="sheet")
        yield from self._overall()
        yield from self._across()
        yield from self._running()
        taken = [item.box() for item in words if isinstance(item, Text)]
        yield from self._inner(taken)
        yield from self._numbers(taken)
        yield from self._foot()

    def _box(self, x: float, y: float, length: float, width: float) -> Box:
        """Bring a rectangle on the sheet to paper."""
        left = self.cell.left + _SIDE
        bottom = self.cell.top - _HEAD - self.pattern.model.width / self.ratio
        return Box(
            left + x / self.ratio,
            bottom + y / self.ratio,
            left + (x + length) / self.ratio,
            bottom + (y + width) / self.ratio,
        )

    @property
    def _sheet_box(self) -> Box:
        sheet = self.pattern.model
        return self._box(0.0, 0.0, sheet.length, sheet.width)

    def _length(self, mm: float) -> str:
        return format_length(mm, self.plan.job.units)

    @property
    def _stock(self) -> SheetSpec:
        return self.plan.job.sheets[self.pattern.model.stock]

    def _heading(self) -> Iterator[Primitive]:
        numbers = [sheet.number for sheet in self.pattern.sheets]
        count = len(numbers)
        make = f"Make {count} like this: sheets" if count > 1 else "Make 1: sheet"
        words = f"{make} {ranges(numbers)}"
        if text_width(words, 10.0, bold=True) > self.cell.width * 0.6:
            words = f"{make} {numbers[0]} to {numbers[-1]}, as in the cut list"
        stock = f"{stock_name(self.plan.job, self.pattern.model.stock)}, {self.pattern.model.used:.0%} used"
        least = self.cell.left + text_width(words, 10.0, bold=True) + text_width(stock, 8.0) + 6.0
        right = min(self.cell.right, max(self._sheet_box.right, least))
        room = right - self.cell.left - text_width(stock, 8.0) - 4.0
        size = size_to_fit(words, room, 10.0, SMALLEST, bold=True)
        yield Text((self.cell.left, self.cell.top - 4.0), words, size, bold=True, kind="heading")
        yield Text((right, self.cell.top - 4.0), stock, 8.0, "end", ink=QUIET, kind="stock")

    def _drops(self) -> Iterator[Primitive]:
        for drop in drops_of(self.pattern.model, self._stock):
            box = self._box(drop.left, drop.bottom, drop.width, drop.height)
            yield hatch(box.corners(), 1.6, 45.0, DROP_HATCH, kind="drop")
            words = f"{self._length(drop.width)} × {self._length(drop.height)}"
            yield from backed(box, ("drop", words), ink=QUIET)

    def _blank(self, place: int) -> Iterator[Primitive]:
        cut = self.pattern.model.cuts[place]
        box = self._box(cut.x, cut.y, cut.length, cut.height)
        yield rectangle(box, CUT_EDGE, kind="blank")
        holes = [self._hole(cut, hole) for hole in _holes(self.plan, cut)]
        for hole in holes:
            yield rectangle(hole, HOLE, kind="hole")
        yield from blank_words(largest_free(box, holes), self.pattern.panels(place), self._size_words(cut))

    def _hole(self, cut: Cut, hole: Hole) -> Box:
        """Bring a hole to paper; a turned blank's left end lies at the sheet's lower edge."""
        if cut.turned:
            right = cut.x + cut.length
            return self._box(right - hole.bottom - hole.height, cut.y + hole.left, hole.height, hole.width)
        return self._box(cut.x + hole.left, cut.y + hole.bottom, hole.width, hole.height)

    def _size_words(self, cut: Cut) -> str:
        length, height = (cut.height, cut.length) if cut.turned else (cut.length, cut.height)
        turned = ", turned" if cut.turned else ""
        return f"{self._length(length)} × {self._length(height)}{turned}"

    def _trims(self) -> Iterator[Primitive]:
        stock, box = self._stock, self._sheet_box
        for trim in (stock.trim,) if stock.trim else ():
            for x in (box.left + trim / self.ratio, box.right - trim / self.ratio):
                yield line((x, box.bottom), (x, box.top), style=HIDDEN, kind="trim")
        for trim in (stock.edge_trim,) if stock.edge_trim else ():
            for y in (box.bottom + trim / self.ratio, box.top - trim / self.ratio):
                yield line((box.left, y), (box.right, y), style=HIDDEN, kind="trim")

    def _overall(self) -> Iterator[Primitive]:
        sheet, box = self.pattern.model, self._sheet_box
        y = box.top + 2.2
        yield from _dimension((box.left, y), (box.right, y))
        yield centred((box.centre[0], y + 2.0), self._length(sheet.length), 8.0, kind="dimension")

    def _across(self) -> Iterator[Primitive]:
        """Write running dimensions from the lower edge up: trim, tops of strips or blanks, the whole."""
        sheet, box = self.pattern.model, self._sheet_box
        tops = {round(cut.y + cut.height, 2) for cut in sheet.cuts}
        edges = sorted({round(self._stock.edge_trim, 2), *tops, round(sheet.width, 2)} - {0.0})
        x = box.left - 2.2
        yield line((x, box.bottom), (x, box.top), style=DIMENSION, kind="dimension")
        low = -1e9
        for edge in edges:
            y = box.bottom + edge / self.ratio
            low = max(y, low + _STEP)
            yield line((box.left - 0.5, y), (x - 0.8, y), (x - 1.6, low), style=EXTENSION, kind="dimension")
            yield line((x - 0.7, y - 0.7), (x + 0.7, y + 0.7), style=DIMENSION, kind="dimension")
            at = (x - 2.0, low - CAP_HEIGHT * SMALLEST * PT / 2)
            yield Text(at, self._length(edge), SMALLEST, "end", kind="across")

    def _inner(self, taken: list[Box]) -> Iterator[Primitive]:
        """Write the running cuts of strips that differ from the lowest into them, where there is room."""
        if is_turned(self.pattern.model):
            return
        first, *others = strips_of(self.pattern.model)
        for strip in others:
            if strip.edges == first.edges:
                continue
            box = self._box(0.0, strip.low, strip.edges[-1], strip.high - strip.low)
            for edge in strip.edges:
                x = box.left + edge / self.ratio
                text = Text((x - 0.8, box.bottom + 0.9), self._length(edge), SMALLEST, "end", kind="inner")
                room = text.box().grown(0.4)
                if box.grown(0.2).holds(room) and not any(room.overlaps(other) for other in taken):
                    taken.append(room)
                    yield text

    def _numbers(self, taken: list[Box]) -> Iterator[Primitive]:
        """Ring each cut's number on its line where there is room; the words below hold them all."""
        for one in passes_of(self.pattern.model, self._stock):
            if one.kind == SQUARE:
                continue
            wide = text_width(str(one.number), SMALLEST, bold=True) / 2 + 0.8
            for x, y in self._on_cut(one):
                at = self._box(x, y, 0.0, 0.0).centre
                room = Box(at[0] - wide, at[1] - 1.8, at[0] + wide, at[1] + 1.8)
                if not any(room.overlaps(other) for other in taken):
                    taken.append(room)
                    yield Circle(at, max(wide, 1.7), CUT_NUMBER, "cut-ring")
                    yield centred(at, str(one.number), SMALLEST, bold=True, ink=BLACK, kind="cut-number")
                    break

    def _on_cut(self, one: Pass) -> list[tuple[float, float]]:
        """Return a few places on a cut, mm on the sheet, best first."""
        sheet, turned = self.pattern.model, is_turned(self.pattern.model)
        if one.kind == LONG:
            whole = sheet.width if turned else sheet.length
            places = [(share * whole, one.at) for share in (0.97, 0.9, 0.03)]
        elif one.kind == TRIM:
            (start,) = [start for panel, start, _ in strips_of(sheet)[one.strip].lower if panel == one.panel]
            reach = max(cut.height if turned else cut.length for cut in sheet.cuts if cut.panel == one.panel)
            places = [(start + share * reach, one.at) for share in (0.8, 0.2, 0.6)]
        else:
            strip = strips_of(sheet)[one.strip]
            places = [(one.at, strip.low + share * (strip.high - strip.low)) for share in (0.86, 0.14, 0.7, 0.3)]
        return [(across, along) for along, across in places] if turned else places

    def _running(self) -> Iterator[Primitive]:
        """Write the cuts of the lowest strip from the left end, as a back gauge reads them."""
        box, sheet = self._sheet_box, self.pattern.model
        low = min(cut.y for cut in sheet.cuts)
        strip = [cut for cut in sheet.cuts if cut.y - low < 1.0]
        edges = sorted({round(edge, 2) for cut in strip for edge in (cut.x, cut.x + cut.length)} - {0.0})
        y = box.bottom - 2.2
        yield line((box.left, y), (box.right, y), style=DIMENSION, kind="dimension")
        reach = [-1e9, -1e9]
        for edge in edges:
            x = box.left + edge / self.ratio
            words = self._length(edge)
            half = text_width(words, 8.0) / 2 + 0.7
            level = next((i for i in (0, 1) if x - half >= reach[i]), None)
            yield line((x, box.bottom - 0.5), (x, y - 0.8), style=EXTENSION, kind="dimension")
            yield line((x - 0.7, y - 0.7), (x + 0.7, y + 0.7), style=DIMENSION, kind="dimension")
            if level is not None:
                reach[level] = x + half
                at = min(x, self.cell.right - half)
                yield Text((at, y - 4.0 - 3.4 * level), words, 8.0, "middle", kind="dimension")

    def _foot(self) -> Iterator[Primitive]:
        """Write the order of cuts and the drops."""
        y = self._sheet_box.bottom - _FOOT - 1.6
        for i, words in enumerate(_foot_lines(self.plan, self.pattern, self.cell.width)):
            yield Text((self.cell.left, y - _LINE * i), words, 8.0, kind="foot")


def _dimension(a: tuple[float, float], b: tuple[float, float]) -> Iterator[Primitive]:
    yield line(a, b, style=DIMENSION, kind="dimension")
    for x, y in (a, b):
        yield line((x - 0.7, y - 0.7), (x + 0.7, y + 0.7), style=DIMENSION, kind="dimension")
