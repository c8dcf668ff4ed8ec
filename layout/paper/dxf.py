"""The seam map and the wall's curve as DXF files, in the job's units, for other drawing programs.

Straights, arcs and ellipses stay what they are; the parallel of an ellipse, which is no ellipse, becomes a
polyline that leaves it by at most `CHORD_ERROR`.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from layout.face.plan import Lines, Panel, Plan, Seam
from layout.face.set_out import SetOut, set_out
from layout.outline.chain import Chain
from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.segment import Floats, Segment
from layout.outline.tolerances import SAME_STATION
from layout.paper.map_view import extent_of, panel_stations
from layout.units import format_fine, format_length

if TYPE_CHECKING:
    from ezdxf._options import Options
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.layouts.layout import Modelspace

CHORD_ERROR: Final = 0.01
"""mm that a polyline may leave its curve"""
APPLICATION: Final = "SEAMWALK"
"""name under which a seam's and a panel's own number and station hang on its entities"""
_VERSION: Final = "R2010"
"""DXF reference of 2010, AC1024: read by every program of today (assumed)"""
_UNITS: Final = {"in": 1, "mm": 4}
"""$INSUNITS of the DXF reference"""
_FULL: Final = 1e-9
"""radians by which a full turn may miss"""

_PLACES: Final = 9
"""decimals of what is written: a thousandth of what positions must hold, and above what machines differ by"""
_ASIDE: Final = 0.3
"""share of a direction along x from which on a word stands beside its place, not over it"""


@dataclass(frozen=True)
class Layer:
    """One layer, by what it holds."""

    name: str
    colour: int
    """index of the DXF reference"""
    weight: int
    """hundredths of a millimetre"""
    holds: str


OUTLINE: Final = Layer("OUTLINE", 8, 18, "the line as drawn")
BACK_LINE: Final = Layer("BACK_LINE", 7, 50, "the line that the metal sits on; stations run along it")
PANELS: Final = Layer("PANELS", 5, 35, "each panel as one stretch of the crest line, with its number")
SEAMS: Final = Layer("SEAMS", 1, 35, "a point at each seam, and its tick across the face")
SEAM_NUMBERS: Final = Layer("SEAM_NUMBERS", 1, 18, "seam numbers")
DATUM: Final = Layer("DATUM", 3, 50, "station 0")
SEAM_FREE: Final = Layer("SEAM_FREE", 30, 70, "stretches of the back line kept free of seams")
CONTROLS: Final = Layer("CONTROLS", 6, 25, "control points to tape from")
TIES: Final = Layer("TIES", 9, 13, "straight distances from control points to seams")
NOTES: Final = Layer("NOTES", 8, 18, "title, units, errors")
LAYERS: Final = (OUTLINE, BACK_LINE, PANELS, SEAMS, SEAM_NUMBERS, DATUM, SEAM_FREE, CONTROLS, TIES, NOTES)


def seam_map_dxf(plan: Plan, found: SetOut | None = None) -> bytes:
    """Return the seam map as a DXF file in the job's units: the same plan, the same bytes.

    Parameters
    ----------
    found
        The set-out; worked out from the plan where it is not given.
    """
    writer = _Writer(plan)
    for number, lines in enumerate(plan.lines):
        writer.curve(lines.drawn.segments, OUTLINE)
        writer.curve(lines.back.segments, BACK_LINE)
        writer.datum(lines, number)
    for stretch in plan.stretches:
        back = plan.lines[stretch.outline].back
        writer.curve(stretch_of(back, *extent_of(plan, stretch)), SEAM_FREE)
        writer.stretch_word(back, *extent_of(plan, stretch), stretch.why)
    for panel in plan.panels:
        writer.panel(panel)
    for seam in plan.seams:
        writer.seam(seam)
    writer.set_out(set_out(plan) if found is None else found)
    writer.notes("seam map")
    return writer.file()


def curve_template_dxf(plan: Plan) -> bytes:
    """Return the wall's curve at full size with its seams and datum, to cut a template by.

    A square of 100 mm, or 4 in, beside it tells whether it came out at full size.
    """
    writer = _Writer(plan)
    for number, lines in enumerate(plan.lines):
        writer.curve(lines.back.segments, BACK_LINE)
        writer.datum(lines, number)
    for seam in plan.seams:
        writer.seam(seam)
    writer.notes("curve template, full size")
    writer.check_square()
    return writer.file()


def stretch_of(line: Chain, start: float, end: float) -> tuple[Segment, ...]:
    """Return a line's segments from one station to another, mm; on a closed line the end may pass the datum.

    Examples
    --------
    >>> ring = Chain((Arc(0.0, 0.0, radius=100.0, start=0.0, sweep=2 * math.pi),), closed=True)
    >>> [round(part.length, 9) for part in stretch_of(ring, ring.length - 10.0, ring.length + 5.0)]
    [10.0, 5.0]
    """
    found: list[Segment] = []
    laps = range(math.floor(start / line.length), math.ceil(end / line.length)) if line.closed else range(1)
    for lap in laps:
        at = lap * line.length
        for segment in line.segments:
            low, high = max(start - at, 0.0), min(end - at, segment.length)
            if high - low > SAME_STATION:
                whole = low == 0.0 and high == segment.length
                found.append(segment if whole else segment.cut(low, high))
            at += segment.length
    return tuple(found)


class _Writer:
    """One file being written."""

    def __init__(self, plan: Plan) -> None:
        import ezdxf  # noqa: PLC0415 - a quarter of a second that only this file needs

        self._plan = plan
        self._size = 25.4 if plan.job.units == "in" else 1.0
        with _fixed_dates():
            self._document: Document = ezdxf.new(_VERSION, setup=False)  # type: ignore[attr-defined]
        self._space: Modelspace = self._document.modelspace()
        self._document.header["$INSUNITS"] = _UNITS[plan.job.units]
        self._document.header["$MEASUREMENT"] = 0 if plan.job.units == "in" else 1
        self._document.header["$LUNITS"] = 2
        self._document.header["$PDMODE"] = 34
        self._document.appids.add(APPLICATION)
        for layer in LAYERS:
            made = self._document.layers.add(layer.name, color=layer.colour, lineweight=layer.weight)
            made.description = layer.holds
        self._low, self._high = _extent(plan)
        span = float((self._high - self._low).max())
        self._letter = min(span / 90, 0.3 * min((panel.cover for panel in plan.panels), default=span))
        self._document.header["$PDSIZE"] = self._n(self._letter * 0.5 / self._size)

    def file(self) -> bytes:
        """Return the bytes of the file."""
        out = io.StringIO()
        classes = self._document.classes
        # The writer runs through a set as it lists its classes: listed and sorted before, they repeat.
        classes.add_required_classes(self._document.dxfversion)
        classes.classes = dict(sorted(classes.classes.items()))
        with _fixed_dates():
            self._document.write(out)
        return out.getvalue().encode("utf-8", errors="replace")

    # Lines.

    def curve(self, segments: Iterable[Segment], layer: Layer, own: Sequence[tuple[int, float | int]] = ()) -> None:
        """Draw segments as what they are; `own` hangs on each of them."""
        for segment in segments:
            entity = self._entity(segment, {"layer": layer.name})
            if own:
                entity.set_xdata(APPLICATION, list(own))

    def _entity(self, segment: Segment, attributes: dict[str, str]) -> DXFGraphic:
        match segment:
            case Line():
                a, b = segment.point(np.array([0.0, segment.length]))
                return self._space.add_line(self._at(a), self._at(b), attributes)
            case Arc():
                return self._arc(segment, attributes)
            case EllipseArc(offset=0.0):
                return self._ellipse(segment, attributes)
        points = segment.point(segment.mesh(CHORD_ERROR))
        return self._space.add_lwpolyline([self._at(point) for point in points], dxfattribs=attributes)

    def _arc(self, arc: Arc, attributes: dict[str, str]) -> DXFGraphic:
        centre, radius = self._at(np.array([arc.cx, arc.cy])), self._n(arc.radius / self._size)
        if abs(abs(arc.sweep) - math.tau) < _FULL:
            return self._space.add_circle(centre, radius, attributes)
        ends = sorted((0.0, arc.sweep))
        first, last = (self._angle(math.degrees(arc.start + end)) for end in ends)
        return self._space.add_arc(centre, radius, first, last, dxfattribs=attributes)

    def _ellipse(self, arc: EllipseArc, attributes: dict[str, str]) -> DXFGraphic:
        # A DXF ellipse has its longer axis first; its parameter counts from there.
        turned = arc.b > arc.a
        longer, shorter = max(arc.a, arc.b), min(arc.a, arc.b)
        axis = arc.rotation + (math.pi / 2 if turned else 0.0)
        full = abs(abs(arc.sweep) - math.tau) < _FULL
        first = arc.start + min(arc.sweep, 0.0) - (math.pi / 2 if turned else 0.0)
        return self._space.add_ellipse(
            self._at(np.array([arc.cx, arc.cy])),
            self._at(longer * np.array([math.cos(axis), math.sin(axis)])),
            self._angle(shorter / longer),
            *((0.0, math.tau) if full else (self._angle(first), self._angle(first + abs(arc.sweep)))),
            dxfattribs=attributes,
        )

    def _at(self, point: Floats) -> tuple[float, float]:
        return self._n(point[0] / self._size), self._n(point[1] / self._size)

    @staticmethod
    def _n(value: float, more: int = 0) -> float:
        """Round to what machines agree on, far under 1e-6 of a unit; no minus before a zero."""
        return round(float(value), _PLACES + more) + 0.0

    def _angle(self, value: float) -> float:
        """Round an angle or a ratio, which a radius multiplies."""
        return self._n(value, 4)

    def _straight(self, a: Floats, b: Floats, layer: Layer) -> None:
        self._space.add_line(self._at(a), self._at(b), {"layer": layer.name})

    def _word(
        self, text: str, at: Floats, layer: Layer, height: float = 1.0, *, away: Sequence[float] | Floats = (0.0, 0.0)
    ) -> None:
        """Write a word at a place, or from there on away from something beside it."""
        from ezdxf.enums import TextEntityAlignment as Align  # noqa: PLC0415 - loaded already with the writer

        attributes = {"layer": layer.name, "height": self._n(self._letter * height / self._size)}
        aside = Align.MIDDLE_LEFT if away[0] > 0 else Align.MIDDLE_RIGHT
        align = aside if abs(away[0]) > _ASIDE else Align.MIDDLE_CENTER
        self._space.add_text(plain(text), dxfattribs=attributes).set_placement(self._at(at), align=align)

    # What the plan holds.

    def seam(self, seam: Seam) -> None:
        """Put a point at a seam, a tick across the face and its number towards the viewer."""
        at = np.array([seam.x, seam.y])
        out = np.array([math.sin(seam.heading), -math.cos(seam.heading)])
        point = self._space.add_point(self._at(at), {"layer": SEAMS.name})
        point.set_xdata(APPLICATION, [(1071, seam.number), (1040, self._n(seam.station / self._size))])
        self._straight(at - 0.4 * self._letter * out, at + 1.2 * self._letter * out, SEAMS)
        # Two ends of runs at one place: the later number stands further out.
        before = [s for s in self._plan.seams if s.number < seam.number and math.dist((s.x, s.y), at) < self._letter]
        self._word(str(seam.number), at + (2.2 + 1.4 * len(before)) * self._letter * out, SEAM_NUMBERS)

    def panel(self, panel: Panel) -> None:
        """Draw a panel's stretch of the crest line, its number on the wall side of its middle."""
        lines = self._plan.lines[self._plan.runs[panel.run - 1].outline]
        ends = np.array(panel_stations(self._plan, panel))
        start, end = lines.back.carry(ends, onto=lines.crest).tolist()
        self.curve(stretch_of(lines.crest, start, end), PANELS, [(1071, panel.number)])
        at, out = _beside(lines.back, float(ends.mean()))
        self._word(str(panel.number), at - 1.6 * self._letter * out, PANELS, 1.2)

    def datum(self, lines: Lines, number: int) -> None:
        """Mark station 0 from the wall side."""
        at, out = _beside(lines.back, 0.0)
        along = np.array([-out[1], out[0]])
        tip = at - 0.2 * self._letter * out
        base = [tip - 2 * self._letter * out + side * 0.6 * self._letter * along for side in (-1.0, 1.0)]
        corners = [self._at(point) for point in (tip, *base)]
        self._space.add_lwpolyline(corners, close=True, dxfattribs={"layer": DATUM.name})
        name = (lines.name or f"outline {number + 1}") if len(self._plan.lines) > 1 else ""
        self._word(f"datum {name}".strip(), at - 3.2 * self._letter * out, DATUM, away=-out)

    def stretch_word(self, back: Chain, start: float, end: float, why: str) -> None:
        """Say why a stretch is kept free of seams."""
        at, out = _beside(back, (start + end) / 2)
        self._word(why, at - 3.6 * self._letter * out, SEAM_FREE, 0.8, away=-out)

    def set_out(self, found: SetOut) -> None:
        """Draw control points and ties."""
        place = {control.name: np.array(control.xy) for control in found.controls}
        for control in found.controls:
            at = place[control.name]
            self._low = np.minimum(self._low, at)
            self._space.add_point(self._at(at), {"layer": CONTROLS.name})
            self._word(control.name, at + self._letter * np.array([1.2, 1.2]), CONTROLS, 1.4)
        for mark in found.marks:
            if mark.ties is not None and mark.same_as is None:
                for name in mark.ties.controls:
                    self._straight(place[name], np.array([mark.x, mark.y]), TIES)

    def notes(self, what: str) -> None:
        """Write below the drawing what it is, its units and its errors."""
        job, at = self._plan.job, self._low - np.array([0.0, 6.0 * self._letter])
        lines = (
            f"{job.title}: {what}",
            f"units: {'inches' if job.units == 'in' else 'millimetres'}; job file {job.digest[:12] or 'none'}",
            f"polylines leave their curves by at most {format_fine(CHORD_ERROR, job.units)}",
        )
        for i, words in enumerate(lines):
            self._word(words, at - np.array([0.0, 2.0 * i * self._letter]), NOTES, away=(1.0, 0.0))

    def check_square(self) -> None:
        """Draw a square of known sides right of the notes."""
        side = 101.6 if self._plan.job.units == "in" else 100.0
        corner = np.array([self._high[0] + side, self._low[1]])
        turns = np.array([(0, 0), (side, 0), (side, side), (0, side)])
        corners = [self._at(corner + turn) for turn in turns]
        self._space.add_lwpolyline(corners, close=True, dxfattribs={"layer": NOTES.name})
        self._word(format_length(side, self._plan.job.units), corner + side / 2, NOTES, min(1.0, 20.0 / self._letter))


def plain(text: str) -> str:
    r"""Return text as one line that a DXF text entity shows as it stands.

    Control characters would break the file's lines, %% and ^ begin codes.

    Examples
    --------
    >>> plain("Bar\n10%%d"), plain("a^J")
    ('Bar 10% %d', 'a J')
    """
    kept = "".join(c if c.isprintable() else " " for c in text)
    return kept.replace("%%", "% %").replace("^", " ")


def _options() -> Options:
    from ezdxf._options import options  # noqa: PLC0415 - late, as the writer itself

    return options


class _fixed_dates:  # noqa: N801 - used as a word
    """Within it the writer puts fixed dates and identities into its files, so that they repeat."""

    def __enter__(self) -> None:
        self._before = _options().write_fixed_meta_data_for_testing
        _options().write_fixed_meta_data_for_testing = True

    def __exit__(self, *_: object) -> None:
        _options().write_fixed_meta_data_for_testing = self._before


def _beside(line: Chain, station: float) -> tuple[Floats, Floats]:
    """Return a point of a line and the unit vector to the viewer there."""
    heading = float(line.heading(station))
    return line.point(station), np.array([math.sin(heading), -math.cos(heading)])


def _extent(plan: Plan) -> tuple[Floats, Floats]:
    """Return the lower left and upper right of all lines, mm."""
    boxes = np.array([chain.bounds for one in plan.lines for chain in _chains(one)])
    return boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)


def _chains(lines: Lines) -> Iterator[Chain]:
    yield from (lines.drawn, lines.back, lines.crest)
