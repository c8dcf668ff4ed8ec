"""The step die in section, to scale: punch over the new scallop, grooves, the metal held and as it finishes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from layout.face.forming import Forming
from layout.face.plan import Plan
from layout.metal.bends import line_points
from layout.metal.die import held_line
from layout.paper.flow import Flow
from layout.paper.frame import SMALLEST, Drawing, choose_scale, paper_of, room_box
from layout.paper.ink import BLACK, BLANK, DIMENSION, EXTENSION, HIDDEN, QUIET, SEAM, WHITE
from layout.paper.letters import PT, text_width, wrapped
from layout.paper.primitives import XY, Area, Circle, Lines, Primitive, Style, Text, centred, line
from layout.paper.shop_words import close, rough
from layout.units import format_fine

_SIZE: Final = 9.0
"""pt, of dimensions"""
_PUNCH: Final = Style(BLACK, 0.9, fill=WHITE)
_BLOCK: Final = Style(BLACK, 0.9, fill=BLANK)
_SHOWN: Final = 3
"""grooves that are drawn at most; more are told in figures"""


def draw_section(plan: Plan, forming: Forming, words: tuple[str, str, Sequence[str]]) -> Drawing:
    """Draw the die on a paper of its own, crests down as they lie in it.

    Parameters
    ----------
    words
        The paper's name, what to know before the drawing, and the cautions below it.
    """
    name, before, cautions = words
    flow = Flow(name, paper_of(plan.job))
    flow.heading(f"Step die in section, {forming.die.way}: crests down, the sheet is fed from left to right")
    flow.paragraph(before)
    (text,) = flow.drawings()
    room, units = room_box(paper_of(plan.job)), plan.job.units
    die = forming.die
    shown = min(die.grooves, _SHOWN)
    wide = (shown + 1.2) * die.spacing
    tall = 2 * die.punch_radius + 2.2 * die.loaded_depth + 2 * plan.scallop.profile.thickness
    scale = choose_scale((wide, tall), (room.width - 70.0, room.height - 98.0), units)
    left = (room.left + room.right) / 2 - shown * die.spacing / scale.ratio / 2
    # The punch stands over the metal where it is larger than the scallop is deep.
    over = max(2 * die.punch_radius, die.loaded_depth)
    base = room.top - 34.0 - over / scale.ratio
    section = _Section(plan, forming, scale.ratio, (left, base + die.loaded_depth / scale.ratio), shown)
    return Drawing(name, (*text.items, *section.draw(), *_cautions(paper_of(plan.job), cautions)), scale.words)


@dataclass(frozen=True)
class _Section:
    """Grooves on paper; the first valley's mid-metal stands at `origin`, crests hang below."""

    plan: Plan
    forming: Forming
    ratio: float
    origin: XY
    shown: int

    def draw(self) -> Iterator[Primitive]:
        yield from self._block()
        yield from self._metal()
        yield from self._punch()
        yield from self._finished()
        yield from self._spacing()
        yield from self._depth()
        yield from self._legend()

    def _at(self, x: float, y: float) -> XY:
        return self.origin[0] + x / self.ratio, self.origin[1] + y / self.ratio

    def _one(self) -> list[tuple[float, float]]:
        """Return one scallop held in the tool, crest down, from (0, 0) to (loaded pitch, 0)."""
        held = held_line(self.plan.scallop.profile, self.forming.metal, self.forming.die.way)
        return [(x, -y) for x, y in line_points(held).tolist()]

    def _held(self) -> list[tuple[float, float]]:
        one, pitch = self._one(), self.forming.die.loaded_pitch
        return [(x + k * pitch, y) for k in range(self.shown) for x, y in one[(k > 0) :]]

    def _block(self) -> Iterator[Primitive]:
        """Draw the die block under the metal: its surface is the metal's lower side."""
        t, die = self.plan.scallop.profile.thickness, self.forming.die
        upper = [self._at(x, y - t / 2) for x, y in self._held()]
        floor = -die.loaded_depth - t - 0.45 * die.loaded_depth - 4.0 * self.ratio
        beyond = 0.35 * die.spacing
        low_left, low_right = self._at(-beyond, floor), self._at(self.shown * die.spacing + beyond, floor)
        ends = (self._at(self.shown * die.spacing + beyond, -t / 2), self._at(-beyond, -t / 2))
        yield Area((ends[1], *upper, ends[0], low_right, low_left), _BLOCK, "die-block")

    def _metal(self) -> Iterator[Primitive]:
        weight = max(self.plan.scallop.profile.thickness / self.ratio / PT, 0.8)
        path = tuple(self._at(x, y) for x, y in self._held())
        far = self._at(self.shown * self.forming.die.spacing + 0.3 * self.forming.die.spacing, 0)
        yield Lines(((*path, far),), Style(QUIET, weight), "metal")

    def _punch(self) -> Iterator[Primitive]:
        """Draw the punch in the last groove, where the new scallop is made."""
        die, t = self.forming.die, self.plan.scallop.profile.thickness
        x = (self.shown - 0.5) * die.spacing
        y = -die.loaded_depth + t / 2 + die.punch_radius
        centre = self._at(x, y)
        yield Circle(centre, die.punch_radius / self.ratio, _PUNCH, "punch")
        words = f"punch radius {rough(die.punch_radius, self.plan.job.units)}"
        radius = die.punch_radius / self.ratio
        if text_width(words, _SIZE) < 1.8 * radius:
            yield centred((centre[0], centre[1] + 2.0), words, _SIZE, ink=BLACK, kind="dimension")
            yield centred((centre[0], centre[1] - 2.4), "new scallop", SMALLEST, ink=QUIET, kind="note")
            return
        edge = (centre[0] + radius * math.sqrt(0.5), centre[1] + radius * math.sqrt(0.5))
        end = (edge[0] + 5.0, edge[1] + 5.0)
        yield line(edge, end, (end[0] + 3.0, end[1]), style=EXTENSION, kind="leader")
        yield Text((end[0] + 4.0, end[1] - 1.1), f"{words}, over the new scallop", _SIZE, ink=BLACK, kind="dimension")

    def _finished(self) -> Iterator[Primitive]:
        """Draw the scallop as it finishes over the first one as it is held, crests together."""
        profile, die = self.plan.scallop.profile, self.forming.die
        points = profile.points(240).tolist()
        shift = die.spacing / 2 - profile.pitch / 2
        drop = profile.depth - die.loaded_depth
        path = tuple(self._at(x + shift, -y + drop) for x, y in points)
        yield Lines((path,), Style(SEAM, 1.0, (3.0, 1.6)), "finished")

    def _spacing(self) -> Iterator[Primitive]:
        die = self.forming.die
        t = self.plan.scallop.profile.thickness
        low = self._at(0, -die.loaded_depth * 1.45 - t)[1] - 10.0
        for k in range(self.shown):
            x, y = self._at((k + 0.5) * die.spacing, -die.loaded_depth)
            yield line((x, y - 1.0), (x, low - 1.5), style=EXTENSION, kind="dimension")
            if k:
                before = self._at((k - 0.5) * die.spacing, 0)[0]
                yield line((before, low), (x, low), style=DIMENSION, kind="dimension")
                words = f"spacing {rough(die.spacing, self.plan.job.units)}"
                if text_width(words, _SIZE) > 0.9 * (x - before):
                    words = "the same" if k > 1 else rough(die.spacing, self.plan.job.units)
                if text_width(words, _SIZE) > 0.9 * (x - before):
                    continue
                yield centred(((before + x) / 2, low - 3.2), words, _SIZE, ink=BLACK, kind="dimension")

    def _depth(self) -> Iterator[Primitive]:
        die, units = self.forming.die, self.plan.job.units
        x = self._at(-0.35 * die.spacing, 0)[0] - 6.0
        (_, high), (_, low) = self._at(0, 0), self._at(0, -die.loaded_depth)
        for y in (high, low):
            yield line((x - 1.5, y), (x + 5.0, y), style=EXTENSION, kind="dimension")
        yield line((x, low), (x, high), style=DIMENSION, kind="dimension")
        yield Text((x - 2.0, (high + low) / 2 + 0.6), rough(die.loaded_depth, units), _SIZE, "end", kind="dimension")
        yield Text((x - 2.0, (high + low) / 2 - 3.2), "loaded depth", SMALLEST, "end", ink=QUIET, kind="note")

    def _legend(self) -> Iterator[Primitive]:
        """Say what the lines are, under the drawing."""
        room, die, units = room_box(paper_of(self.plan.job)), self.forming.die, self.plan.job.units
        profile = self.plan.scallop.profile
        rows = (
            (Style(QUIET, 2.0), f"metal as the tool holds it, {format_fine(profile.thickness, units)} thick"),
            (
                Style(SEAM, 1.0, (3.0, 1.6)),
                f"as it finishes: pitch {close(profile.pitch, units)}, depth {close(profile.depth, units)}",
            ),
            (
                HIDDEN,
                (
                    f"groove radius {rough(die.groove_radius, units)}, {die.grooves} grooves,"
                    f" spacing {rough(die.spacing, units)}"
                ),
            ),
        )
        for k, (style, words) in enumerate(rows):
            y = room.bottom + 39.0 - 4.6 * k
            if style is not HIDDEN:
                yield line((room.left + 30.0, y + 1.0), (room.left + 44.0, y + 1.0), style=style, kind="legend")
            yield Text((room.left + 48.0, y), words, _SIZE, ink=BLACK, kind="legend")


def _cautions(paper: str, cautions: Sequence[str]) -> Iterator[Primitive]:
    """Write the cautions along the lower edge."""
    room, step = room_box(paper), 4.2
    lines = [
        ("•" if k == 0 else "", words)
        for caution in cautions
        for k, words in enumerate(wrapped(caution, room.width - 4.0, _SIZE))
    ]
    top = room.bottom + step * len(lines)
    yield Text((room.left, top + 1.6), "Cautions", 11.0, bold=True, ink=BLACK, kind="heading")
    for k, (mark, words) in enumerate(lines, 1):
        y = top - step * k + 1.0
        if mark:
            yield Text((room.left, y), mark, _SIZE, ink=BLACK)
        yield Text((room.left + 4.0, y), words, _SIZE, ink=BLACK)
