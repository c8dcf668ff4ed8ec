"""The map's legend: what its marks mean, the scale bar, the orientation note, the seam-free stretches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from layout.paper.badges import Spot, panel_badge, seam_badge, stretch_badge
from layout.paper.frame import SMALLEST, Scale
from layout.paper.ink import BLACK, END_TICK, HATCH, QUIET, SEAM_TICK
from layout.paper.letters import wrapped
from layout.paper.map_face import Band
from layout.paper.map_sight import WALL, arrow_mark, eye_mark, view_mark
from layout.paper.map_ties import BASE, TIE, control_mark
from layout.paper.map_view import View
from layout.paper.primitives import XY, Area, Box, Primitive, Style, Text, hatch, line, moved, rectangle
from layout.paper.sight_words import sight_words, worst_view
from layout.units import format_length

SIDE: Final = 52.0
"""mm, width of a legend that stands beside its map"""
FOOT: Final = 39.0
"""mm, greatest height of a legend that stands under its map, in columns"""
_MARK: Final = 11.5
"""mm, column of the marks"""
_SIZE: Final = 8.0
"""pt"""
_ROW: Final = 3.5
"""mm, a line of text"""


@dataclass
class Legend:
    """Rows of a legend, written downwards."""

    box: Box
    y: float = 0.0
    items: list[Primitive] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin at the top."""
        self.y = self.box.top - 1.0

    @property
    def left(self) -> float:
        """Where marks begin, mm."""
        return self.box.left + 2.5

    def heading(self, text: str) -> None:
        """Add a heading."""
        self.y -= 4.6
        self.items.append(Text((self.left, self.y), text, 9.0, bold=True, ink=BLACK, kind="legend-heading"))
        self.y -= 1.4

    def row(self, mark: Sequence[Primitive], text: str, tall: float = 0.0) -> None:
        """Add a mark, drawn round the origin of `mark_at`, with its meaning."""
        rows = wrapped(text, self.box.right - self.left - _MARK - 1.5, _SIZE)
        height = max(_ROW * len(rows), tall) + 1.0
        top = self.y
        self.items += mark
        first = top - 0.5 - _ROW * 0.78 - (height - 1.0 - _ROW * len(rows)) / 2
        self.items += [
            Text((self.left + _MARK, first - i * _ROW), words, _SIZE, kind="legend") for i, words in enumerate(rows)
        ]
        self.y -= height

    def mark_at(self, tall: float = _ROW) -> XY:
        """Return the middle of the next row's mark, mm."""
        return self.left + _MARK / 2 - 1.0, self.y - 0.5 - max(tall, _ROW) / 2

    def note(self, text: str) -> None:
        """Add a note across the whole width."""
        for words in wrapped(text, self.box.right - self.left - 1.5, SMALLEST + 0.5):
            self.y -= 3.3
            self.items.append(Text((self.left, self.y), words, SMALLEST + 0.5, ink=QUIET, kind="legend"))
        self.y -= 1.2


def draw_legend(
    view: View, box: Box, scale: Scale, used: Sequence[Band], *, below: bool = False, walled: bool = False
) -> list[Primitive]:
    """Draw the legend into its box.

    Parameters
    ----------
    view
        What the map shows.
    box
        Where, mm.
    scale
        The map's scale.
    used
        Bands of tightness that the map shows.
    below
        Whether it stands under the map, in columns at the lower end of the box, instead of beside it.
    walled
        Whether walls that hide are on the map.
    """
    columns = 4 if below else 1
    wide = box.width / columns
    legends = [Legend(Box(box.left + i * wide, box.bottom, box.left + (i + 1) * wide, box.top)) for i in range(columns)]
    marks, curve, size, free = legends if below else legends * 4
    _marks(marks, view)
    _tightness(curve, view, used)
    _sight_marks(marks, curve, view, walled=walled)
    _scale_bar(size, scale, view.plan.job.units)
    size.note(
        "Seen from above; the paper's top is +y of the job, no compass is meant. Stations are read on the"
        " back line from the datum, running, left to right as you face the finished face."
    )
    _seen_from(free, view)
    _stretches(free, view)
    low = max(box.bottom, min(legend.y for legend in legends) - 1.5)
    items: list[Primitive] = [item for legend in legends for item in legend.items]
    around = rectangle(Box(box.left, low, box.right, box.top), Style(BLACK, 0.5), kind="legend-box")
    return moved([around, *items], 0.0, box.bottom - low if below else 0.0)


SET_OFF: Final = 0.5
"""mm, inset from which the outline as drawn is shown beside the back line (assumed)"""
DRAWN: Final = Style(QUIET, 0.5, (5.0, 1.5, 1.0, 1.5))
"""the outline as drawn, where the back line is set off from it"""


def _marks(legend: Legend, view: View) -> None:
    legend.heading("Marks")
    x, y = legend.mark_at(4.2)
    face = Style(BLACK, 0.6)
    if not all(seam.end for seam in view.seams):
        wall = line((x - 5.5, y - 0.6), (x - 2.7, y - 0.6), style=face, kind="legend")
        tick = line((x - 4.1, y + 1.2), (x - 4.1, y - 3.0), style=SEAM_TICK, kind="legend")
        legend.row([wall, tick, *seam_badge(Spot((x + 1.0, y), 8.5), 1, named=False)], "seam", 4.2)
    if any(seam.end for seam in view.seams):
        x, y = legend.mark_at(4.2)
        wall = line((x - 5.5, y - 0.6), (x - 2.7, y - 0.6), style=face, kind="legend")
        tick = line((x - 4.1, y - 0.6), (x - 4.1, y - 3.0), style=END_TICK, kind="legend")
        badge = seam_badge(Spot((x + 1.0, y), 8.5), 1, end=True, named=False)
        legend.row([wall, tick, *badge], "end of a run", 4.2)
    if view.beside:
        _tie_marks(legend)
    else:
        at = legend.mark_at(4.2)
        legend.row(panel_badge(Spot((at[0] + 1.0, at[1]), 8.5), 1, named=False), "panel", 4.2)
    if any(window.has_datum for window in view.windows):
        _datum(legend)
    if view.stretches:
        x, y = legend.mark_at()
        bar = Box(x - 5, y - 0.9, x + 5, y + 0.9)
        legend.row(
            [hatch(bar.corners(), 0.75, 45.0, HATCH, kind="legend"), rectangle(bar, HATCH, kind="legend")],
            "no seams here",
        )


def _tie_marks(legend: Legend) -> None:
    """Explain control points and ties, on a map that shows them."""
    at = legend.mark_at(4.2)
    legend.row(control_mark((at[0] + 1.0, at[1])), "control point", 4.2)
    x, y = legend.mark_at()
    legend.row([line((x - 5, y), (x + 5, y), style=TIE, kind="legend")], "tie")
    x, y = legend.mark_at()
    legend.row([line((x - 5, y), (x + 5, y), style=BASE, kind="legend")], "between control points")


def _datum(legend: Legend) -> None:
    x, y = legend.mark_at()
    wedge = Area(((x, y + 1.6), (x - 1.2, y - 1.6), (x + 1.2, y - 1.6)), Style(BLACK, 0.4, fill=BLACK), "legend")
    legend.row([wedge], "datum, station 0")


def _tightness(legend: Legend, view: View, used: Sequence[Band]) -> None:
    legend.heading("Face, by its curve")
    for band in used:
        x, y = legend.mark_at()
        legend.row([line((x - 5, y), (x + 5, y), style=band.style, kind="legend")], band.words)
    if any(window.spec.corner == "return" for window in view.windows):
        x, y = legend.mark_at()
        wall, end = ((x - 5, y), (x + 4, y)), ((x + 4, y - 0.9), (x + 4, y + 0.9))
        marks = [
            line(*ends, style=Style(BLACK, 0.6), kind="legend") for ends in (wall, end, ((x + 2, y), (x + 2, y + 1.8)))
        ]
        legend.row(marks, "return past a corner, to its end")
    if any(abs(window.spec.inset) > SET_OFF for window in view.windows):
        x, y = legend.mark_at()
        legend.row([line((x - 5, y), (x + 5, y), style=DRAWN, kind="legend")], "outline as drawn")


def _scale_bar(legend: Legend, scale: Scale, units: str) -> None:
    legend.heading("Scale" if scale.words == "none" else f"Scale {scale.words}")
    room = (legend.box.width - 20.0) * scale.ratio
    unit = 304.8 if units == "in" else 1000.0
    steps = [m * 10.0**k * unit for k in range(-3, 5) for m in (1.0, 2.0, 5.0)]
    whole = max((step for step in steps if step <= room), default=room)
    x, y, long = legend.left + 2.0, legend.y - 3.4, whole / scale.ratio
    for i in range(4):
        part = Box(x + i * long / 4, y, x + (i + 1) * long / 4, y + 1.6)
        fill = BLACK if i % 2 == 0 else None
        legend.items.append(rectangle(part, Style(BLACK, 0.4, fill=fill), kind="scale-bar"))
    words = (("0", x), (format_length(whole, units), x + long))
    legend.items += [Text((at, y - 3.6), word, 8.0, "middle", kind="scale-bar") for word, at in words]
    legend.y = y - 5.0


def _sight_marks(marks: Legend, curve: Legend, view: View, *, walled: bool) -> None:
    """Explain the marks of sight, shared between two columns that have room for them."""
    if not view.plan.job.viewpoints or not view.panels:
        return
    x, y = marks.mark_at(4.2)
    eyes = [*eye_mark((x - 3.0, y)), *arrow_mark((x + 5.0, y), (1.0, 0.0))]
    marks.row(eyes, "viewpoint; arrow: off the map", 4.2)
    if {worst_view(seam) for seam in view.seams} & {"seen", "grazed"}:
        x, y = curve.mark_at()
        both = (view_mark("seen", (x - 3.0, y)), view_mark("grazed", (x + 3.0, y)))
        curve.row([mark for mark in both if mark is not None], "seam seen, seam grazed")
    if walled:
        x, y = curve.mark_at()
        curve.row([line((x - 5, y), (x + 5, y), style=WALL, kind="legend")], "hides what is behind it")


def _seen_from(legend: Legend, view: View) -> None:
    """Say what each viewpoint sees, as far as there is room beside the seam-free stretches."""
    job = view.plan.job
    if not job.viewpoints or not view.panels:
        return
    legend.heading("Seen from")
    letters = len({marked.letter for marked in view.stretches})
    least = legend.box.bottom + (6.5 + 5.2 * min(letters, 3) if letters else 1.5)
    for k, words in enumerate(sight_words(view.plan)):
        rows = len(wrapped(words, legend.box.right - legend.left - 1.5, SMALLEST + 0.5))
        left = len(job.viewpoints) - k
        if legend.y - 3.3 * rows - 1.2 - (4.5 if left > 1 else 0.0) < least:
            legend.note(f"and {left} more, listed in the summary")
            return
        legend.note(words)


def _stretches(legend: Legend, view: View) -> None:
    shown = list({marked.letter: marked for marked in view.stretches}.values())
    if not shown:
        return
    legend.heading("No seams")
    for i, marked in enumerate(shown):
        stretch, units = marked.stretch, view.plan.job.units
        start, end = (format_length(station, units) for station in (stretch.start, stretch.end))
        words = f"{start} to {end}: {stretch.why}"
        rows = len(wrapped(words, legend.box.right - legend.left - _MARK - 1.5, _SIZE))
        left = len(shown) - i
        spare = 4.5 if left > 1 else 0.0
        if legend.y - _ROW * rows - 1.5 - spare < legend.box.bottom:
            legend.note(f"and {left} more, listed in the summary")
            return
        at = legend.mark_at(max(4.0, _ROW * rows))
        legend.row(stretch_badge(Spot((at[0] + 1.0, at[1]), 8.0), marked.letter), words, 4.0)
