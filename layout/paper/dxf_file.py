"""A DXF file being written: layers, curves as what they are, points and words, in the job's units.

Straights, arcs and ellipses stay what they are; the parallel of an ellipse, which is no ellipse, becomes a
polyline that leaves it by at most `CHORD_ERROR`.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from layout.outline.curves import Arc, EllipseArc, Line
from layout.outline.segment import Floats, Segment

if TYPE_CHECKING:
    from ezdxf._options import Options
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.layouts.layout import Modelspace

CHORD_ERROR: Final = 0.01
"""mm that a polyline may leave its curve"""
APPLICATION: Final = "SEAMWALK"
"""name under which a seam's, a panel's or a jamb's own number and station hang on its entities"""
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
BROKEN: Final = "BROKEN"
"""name of the broken line type"""


@dataclass(frozen=True)
class Layer:
    """One layer, by what it holds."""

    name: str
    colour: int
    """index of the DXF reference"""
    weight: int
    """hundredths of a millimetre"""
    holds: str
    broken: bool = False
    """its lines are broken, not continuous"""


class DxfFile:
    """One file being written; places are given in mm."""

    def __init__(self, units: str, layers: Sequence[Layer], letter: float) -> None:
        import ezdxf  # noqa: PLC0415 - a quarter of a second that only this file needs

        self.size = 25.4 if units == "in" else 1.0
        """mm of a drawing unit"""
        self.letter = letter
        """mm, height of a plain letter"""
        with _fixed_dates():
            self._document: Document = ezdxf.new(_VERSION, setup=False)  # type: ignore[attr-defined]
        self._space: Modelspace = self._document.modelspace()
        header = self._document.header
        header["$INSUNITS"] = _UNITS[units]
        header["$MEASUREMENT"] = 0 if units == "in" else 1
        header["$LUNITS"] = 2
        header["$PDMODE"] = 34
        header["$PDSIZE"] = self.number(letter * 0.5 / self.size)
        self._document.appids.add(APPLICATION)
        dash = self.number(letter / self.size)
        self._document.linetypes.add(BROKEN, [1.6 * dash, dash, -0.6 * dash], description="broken _ _ _")
        for layer in layers:
            kind = BROKEN if layer.broken else "Continuous"
            made = self._document.layers.add(layer.name, color=layer.colour, lineweight=layer.weight, linetype=kind)
            made.description = layer.holds

    def content(self) -> bytes:
        """Return the bytes of the file."""
        out = io.StringIO()
        classes = self._document.classes
        # The writer runs through a set as it lists its classes: listed and sorted before, they repeat.
        classes.add_required_classes(self._document.dxfversion)
        classes.classes = dict(sorted(classes.classes.items()))
        with _fixed_dates():
            self._document.write(out)
        return out.getvalue().encode("utf-8", errors="replace")

    # Lines and points.

    def curve(self, segments: Iterable[Segment], layer: Layer, own: Sequence[tuple[int, float | int]] = ()) -> None:
        """Draw segments as what they are; `own` hangs on each of them."""
        for segment in segments:
            entity = self._entity(segment, {"layer": layer.name})
            if own:
                entity.set_xdata(APPLICATION, list(own))

    def straight(self, a: Floats, b: Floats, layer: Layer) -> None:
        """Draw a straight line."""
        self._space.add_line(self.at(a), self.at(b), {"layer": layer.name})

    def corners(self, points: Iterable[Floats], layer: Layer, *, close: bool = False) -> None:
        """Draw straights from point to point."""
        found = [self.at(point) for point in points]
        self._space.add_lwpolyline(found, close=close, dxfattribs={"layer": layer.name})

    def circle(self, centre: Floats, radius: float, layer: Layer) -> None:
        """Draw a circle, its radius in mm."""
        self._space.add_circle(self.at(centre), self.number(radius / self.size), {"layer": layer.name})

    def point(self, at: Floats, layer: Layer, own: Sequence[tuple[int, float | int]] = ()) -> None:
        """Put a point; `own` hangs on it."""
        point = self._space.add_point(self.at(at), {"layer": layer.name})
        if own:
            point.set_xdata(APPLICATION, list(own))

    def word(
        self, text: str, at: Floats, layer: Layer, height: float = 1.0, *, away: Sequence[float] | Floats = (0.0, 0.0)
    ) -> None:
        """Write a word at a place, or from there on away from something beside it; its height in plain letters."""
        from ezdxf.enums import TextEntityAlignment as Align  # noqa: PLC0415 - loaded already with the writer

        attributes = {"layer": layer.name, "height": self.number(self.letter * height / self.size)}
        aside = Align.MIDDLE_LEFT if away[0] > 0 else Align.MIDDLE_RIGHT
        align = aside if abs(away[0]) > _ASIDE else Align.MIDDLE_CENTER
        self._space.add_text(plain(text), dxfattribs=attributes).set_placement(self.at(at), align=align)

    def at(self, point: Floats) -> tuple[float, float]:
        """Return a place in drawing units."""
        return self.number(point[0] / self.size), self.number(point[1] / self.size)

    @staticmethod
    def number(value: float, more: int = 0) -> float:
        """Round to what machines agree on, far under 1e-6 of a unit; no minus before a zero."""
        return round(float(value), _PLACES + more) + 0.0

    # Curves as they are.

    def _entity(self, segment: Segment, attributes: dict[str, str]) -> DXFGraphic:
        match segment:
            case Line():
                a, b = segment.point(np.array([0.0, segment.length]))
                return self._space.add_line(self.at(a), self.at(b), attributes)
            case Arc():
                return self._arc(segment, attributes)
            case EllipseArc(offset=0.0):
                return self._ellipse(segment, attributes)
        points = segment.point(segment.mesh(CHORD_ERROR))
        return self._space.add_lwpolyline([self.at(point) for point in points], dxfattribs=attributes)

    def _arc(self, arc: Arc, attributes: dict[str, str]) -> DXFGraphic:
        centre, radius = self.at(np.array([arc.cx, arc.cy])), self.number(arc.radius / self.size)
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
            self.at(np.array([arc.cx, arc.cy])),
            self.at(longer * np.array([math.cos(axis), math.sin(axis)])),
            self._angle(shorter / longer),
            *((0.0, math.tau) if full else (self._angle(first), self._angle(first + abs(arc.sweep)))),
            dxfattribs=attributes,
        )

    def _angle(self, value: float) -> float:
        """Round an angle or a ratio, which a radius multiplies."""
        return self.number(value, 4)


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
