"""The scallop's section to scale, with the dimensions that its tool is made and its first-off measured by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from layout.face.plan import Plan
from layout.paper.flow import Flow
from layout.paper.frame import SMALLEST, Drawing, Scale, choose_scale, paper_of, room_box
from layout.paper.ink import BLACK, DIMENSION, EXTENSION, QUIET, WHITE
from layout.paper.letters import PT, text_width
from layout.paper.making import shape_block
from layout.paper.primitives import XY, Lines, Primitive, Style, Text, centred, line
from layout.units import format_fine

NAME: Final = "Scallop"
_SIZE: Final = 9.0
"""pt, of dimensions"""
_SIDE: Final = 48.0
"""mm kept at each side of the section, for dimensions"""
_TALL: Final = 55.0
"""mm, most of a section's height on paper"""
_POINTS: Final = 240
"""of a scallop's line"""
_LARGER: Final = (4, 2)
"""scales of enlargement (ISO 5455 has 2 : 1 and 5 : 1; inch shops draw four times size)"""


def draw_scallop(plan: Plan) -> list[Drawing]:
    """Draw two scallops in section, dimensioned, on a paper of their own."""
    flow = Flow(NAME, paper_of(plan.job))
    flow.heading("Section of two scallops, as formed; dimensions at mid-metal")
    scale = section_scale(plan)
    (text,) = flow.drawings()
    room = room_box(paper_of(plan.job))
    profile = plan.scallop.profile
    tall = (profile.depth + profile.thickness) / scale.ratio
    left = (room.left + room.right) / 2 - profile.pitch / scale.ratio
    base = room.top - 42.0 - tall
    section = _Section(plan, scale.ratio, (left, base))
    return [Drawing(NAME, (*text.items, *section.draw(), *_figures(plan, base - 32.0)), scale.words)]


def section_scale(plan: Plan) -> Scale:
    """Return the largest scale at which two scallops find room."""
    units, profile = plan.job.units, plan.scallop.profile
    room = (room_box(paper_of(plan.job)).width - 2 * _SIDE, _TALL)
    extent = (2 * profile.pitch, profile.depth + profile.thickness)
    for times in _LARGER:
        if extent[0] * times <= room[0] and extent[1] * times <= room[1]:
            return Scale(1 / times, f"{times} : 1")
    return choose_scale(extent, room, units)


def _figures(plan: Plan, top: float) -> Iterator[Primitive]:
    """Write the dimensions that the section has no room for, name and figure."""
    room, step = room_box(paper_of(plan.job)), _SIZE * PT * 1.65
    profile, units = plan.scallop.profile, plan.job.units
    rows = (
        *shape_block(plan).rows,
        ("developed length of a scallop", format_fine(profile.developed, units)),
        ("neutral height, over the valley's mid-metal", format_fine(profile.neutral_height, units)),
    )
    left = (room.left + room.right) / 2 - 60.0
    for i, (name, figure) in enumerate(rows):
        y = top - i * step
        yield Text((left, y), name, _SIZE, ink=QUIET, kind="name")
        yield Text((left + 120.0, y), figure, _SIZE, "end", bold=True, ink=BLACK, kind="figure")


@dataclass(frozen=True)
class _Section:
    """Two scallops on paper, their first valley's mid-metal at `origin`."""

    plan: Plan
    ratio: float
    origin: XY

    def draw(self) -> Iterator[Primitive]:
        profile, units = self.plan.scallop.profile, self.plan.job.units
        yield from self._metal()
        yield from self._level(f"pitch {format_fine(profile.pitch, units)}")
        yield from self._upright(f"depth {format_fine(profile.depth, units)}")
        yield from self._wall()
        yield from self._thickness(f"thickness {format_fine(profile.thickness, units)}")

    def _at(self, x: float, y: float) -> XY:
        return self.origin[0] + x / self.ratio, self.origin[1] + y / self.ratio

    def _metal(self) -> Iterator[Primitive]:
        """Draw the metal as thick as it is, its mid-metal as a thin light line."""
        profile = self.plan.scallop.profile
        one = profile.points(_POINTS).tolist()
        two = [*one, *([x + profile.pitch, y] for x, y in one[1:])]
        path = tuple(self._at(x, y) for x, y in two)
        weight = profile.thickness / self.ratio / PT
        yield Lines((path,), Style(QUIET, weight), "metal")
        if weight > 1.0:
            yield Lines((path,), Style(WHITE, 0.3, (3.0, 1.0)), "mid-metal")

    def _wall(self) -> Iterator[Primitive]:
        """Draw the back line, which the valleys sit on."""
        profile = self.plan.scallop.profile
        (x0, y), (x1, _) = self._at(0, -profile.thickness / 2), self._at(2 * profile.pitch, 0)
        yield line((x0 - 4.0, y), (x1 + 4.0, y), style=DIMENSION, kind="back-line")
        yield Text((x0 - 6.0, y - 0.8), "back line (wall)", SMALLEST, "end", ink=QUIET, kind="note")

    def _level(self, words: str) -> Iterator[Primitive]:
        """Dimension the first scallop's pitch below it, valley to valley."""
        pitch = self.plan.scallop.profile.pitch
        (x0, y), (x1, _) = self._at(0, 0), self._at(pitch, 0)
        low = y - 12.0
        for x in (x0, x1):
            yield line((x, y - 3.0), (x, low - 1.5), style=EXTENSION, kind="dimension")
            yield line((x - 0.9, low - 0.9), (x + 0.9, low + 0.9), style=DIMENSION, kind="dimension")
        yield line((x0, low), (x1, low), style=DIMENSION, kind="dimension")
        yield centred(((x0 + x1) / 2, low - 3.2), words, _SIZE, ink=BLACK, kind="dimension")

    def _upright(self, words: str) -> Iterator[Primitive]:
        """Dimension the depth at the right, mid-metal of valley to mid-metal of crest."""
        profile = self.plan.scallop.profile
        (valley, low), (crest, high) = (
            self._at(2 * profile.pitch, 0),
            self._at(1.5 * profile.pitch, profile.depth),
        )
        x = valley + 9.0
        yield line((valley + 2.0, low), (x + 1.5, low), style=EXTENSION, kind="dimension")
        yield line((crest, high), (x + 1.5, high), style=EXTENSION, kind="dimension")
        for y in (low, high):
            yield line((x - 0.9, y - 0.9), (x + 0.9, y + 0.9), style=DIMENSION, kind="dimension")
        yield line((x, low), (x, high), style=DIMENSION, kind="dimension")
        yield Text((x + 3.0, (low + high) / 2 - 1.1), words, _SIZE, ink=BLACK, kind="dimension")

    def _thickness(self, words: str) -> Iterator[Primitive]:
        """Point at the metal of the first crest, with thickness and radius."""
        profile, units = self.plan.scallop.profile, self.plan.job.units
        x, y = self._at(profile.pitch / 2, profile.depth + profile.thickness / 2)
        radius = profile.crest_radius
        full = words if radius is None else f"{words}, crest radius {format_fine(radius, units)}"
        end = (x + 8.0, y + 10.0)
        yield line((x, y), end, (end[0] + 3.0, end[1]), style=EXTENSION, kind="leader")
        room = room_box(paper_of(self.plan.job))
        at = min(end[0] + 4.0, room.right - text_width(full, _SIZE))
        yield Text((at, end[1] - 1.1), full, _SIZE, ink=BLACK, kind="dimension")
