"""Drawings written at test time, each with the length of its line as a sum done by hand.

A stadium of straights of 2L and half circles of radius R turns up in most: 4L + 2πR round.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.math import rational_bspline_from_arc
from scipy.special import ellipe

from layout.job.model import OutlineSpec

L, R = 1500.0, 700.0
"""mm: half of a straight, and the radius of the ends"""

ROUND = 4 * L + math.tau * R

MM = 4
"""$INSUNITS of millimetres (DXF reference)"""

Draw = Callable[[Any], None]
"""Draws into a document, in its own units."""


@dataclass(frozen=True)
class Case:
    """One drawing, what the job says of it, and the length of the line in it."""

    name: str
    draw: Draw
    length: float
    """mm"""
    version: str = "R2010"
    stated: int = MM
    """$INSUNITS"""
    says: dict[str, Any] = field(default_factory=dict)
    """what the job says beside the file"""
    joined: int = 0
    """ends that are joined over a gap"""
    aside: tuple[str, ...] = ()
    """what is left aside, by kind, sorted"""
    binary: bool = False

    def write(self, folder: Path) -> OutlineSpec:
        """Write the drawing into a folder, and return the outline that asks for it."""
        document = new(self.version, self.stated)
        self.draw(document)
        document.saveas(folder / "hall.dxf", fmt="bin" if self.binary else "asc")
        face = "outside" if self.says.get("closed", True) else "right"
        return OutlineSpec("", "dxf", file="hall.dxf", folder=str(folder), **{"face": face, **self.says})


def new(version: str = "R2010", stated: int = MM) -> Any:
    """Return an empty document that states its units."""
    document = ezdxf.new(version)  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = stated
    return document


def half_ellipse(a: float, b: float) -> float:
    """Half the length of an ellipse: 2·a·E(1 − b²/a²), DLMF 19.9.9, here for either axis the longer."""
    long, short = max(a, b), min(a, b)
    return float(2 * long * ellipe(1 - (short / long) ** 2))


def stadium(space: Any, one: float = 1.0, gap: float = 0.0, **given: Any) -> None:
    """Draw the stadium by lines and arcs; `one` is mm in a unit, `gap` mm opens its lower right corner."""
    x, r = L / one, R / one
    space.add_line((-x, -r), (x - gap / one, -r), dxfattribs=given)
    space.add_arc((x, 0), r, 270, 90, dxfattribs=given)
    space.add_line((x, r), (-x, r), dxfattribs=given)
    space.add_arc((-x, 0), r, 90, 270, dxfattribs=given)


def plain(one: float = 1.0, gap: float = 0.0) -> Draw:
    """Return what draws the plain stadium."""
    return lambda document: stadium(document.modelspace(), one, gap)


def bulged(one: float = 1.0) -> list[tuple[float, float, float]]:
    """Return the stadium's corners with bulges: tan of a quarter of a half turn is 1."""
    x, r = L / one, R / one
    return [(-x, -r, 0.0), (x, -r, 1.0), (x, r, 0.0), (-x, r, 1.0)]


def _backwards(document: Any) -> None:
    space = document.modelspace()
    space.add_line((L, -R), (-L, -R))
    space.add_line((-L, R), (L, R))
    # Seen from below, x runs the other way: these arcs are walked clockwise.
    space.add_arc((-L, 0), R, 90, 270, dxfattribs={"extrusion": (0, 0, -1)})
    space.add_arc((L, 0), R, 270, 90, dxfattribs={"extrusion": (0, 0, -1)})


def _shuffled(document: Any) -> None:
    space = document.modelspace()
    space.add_arc((-L, 0), R, 180, 270)
    space.add_line((0, R), (-L, R))
    space.add_arc((L, 0), R, 270, 360)
    space.add_line((L, -R), (300, -R))
    space.add_arc((-L, 0), R, 90, 180)
    space.add_line((L, R), (0, R))
    space.add_arc((L, 0), R, 0, 90)
    space.add_line((-L, -R), (300, -R))


def _twice(document: Any) -> None:
    space = document.modelspace()
    stadium(space)
    space.add_line((-L, -R), (L, -R))
    space.add_line((-L, R), (L, R))
    space.add_arc((L, 0), R, 270, 90)


def _overlapping(document: Any) -> None:
    space = document.modelspace()
    space.add_line((-L, -R), (400, -R))
    space.add_line((L, -R), (-200, -R))
    space.add_line((100, -R), (900, -R))
    space.add_line((L, R), (-L, R))
    space.add_arc((L, 0), R, 270, 20)
    space.add_arc((L, 0), R, 330, 90)
    space.add_arc((-L, 0), R, 90, 270)
    space.add_arc((-L, 0), R, 100, 190)


def _light(document: Any, **given: Any) -> None:
    document.modelspace().add_lwpolyline(bulged(), format="xyb", close=True, dxfattribs=given)


def _light_mirrored(document: Any) -> None:
    _light(document, extrusion=(0, 0, -1), elevation=30)


def _heavy(document: Any) -> None:
    line = document.modelspace().add_polyline2d(bulged(25.4), format="xyb")
    line.close()


def _light_open(document: Any) -> None:
    space = document.modelspace()
    space.add_lwpolyline([*bulged()[:3], (0, R, 0)], format="xyb")
    space.add_lwpolyline([(0, R, 0), (-L, R, 1), (-L, -R, 0)], format="xyb")


def _whole_ellipse(document: Any) -> None:
    document.modelspace().add_ellipse((200, 300), (2400, 700), 0.6)


def _ellipse_in_halves(document: Any) -> None:
    space = document.modelspace()
    space.add_ellipse((0, 0), (0, 2500), 0.6, 0, math.pi)
    # From below the short axis points the other way: this is the other half, walked against it.
    space.add_ellipse((0, 0), (0, 2500), 0.6, 0, math.pi, dxfattribs={"extrusion": (0, 0, -1)})


def _round_ellipses(document: Any) -> None:
    space = document.modelspace()
    space.add_line((-L, -R), (L, -R))
    space.add_ellipse((L, 0), (0, -R), 1.0, 0, math.pi)
    space.add_line((L, R), (-L, R))
    space.add_ellipse((-L, 0), (0, R), 1.0, 0, math.pi)


def _nurbs_ends(document: Any) -> None:
    space = document.modelspace()
    space.add_line((-L, -R), (L, -R))
    space.add_line((L, R), (-L, R))
    for centre, first in ((L, 270), (-L, 90)):
        tool = rational_bspline_from_arc((centre, 0), R, first, first + 180, segments=4)
        space.add_spline().apply_construction_tool(tool)


def _nurbs_circle(document: Any) -> None:
    tool = rational_bspline_from_arc((0, 0), 1200, 0, 360, segments=4)
    document.modelspace().add_spline().apply_construction_tool(tool)


def _parabola(document: Any) -> None:
    line = document.modelspace().add_spline()
    line.dxf.degree = 2
    line.control_points = [(0, 0, 0), (1000, 0, 0), (1000, 1000, 0)]
    line.knots = [0, 0, 0, 1, 1, 1]


PARABOLA = 1000 * (1 + math.asinh(1) / math.sqrt(2))
"""∫ |2·1000·(1 − t, t)| dt from 0 to 1."""


def _in_block(document: Any, **given: Any) -> None:
    stadium(document.blocks.new("BAR"))
    document.modelspace().add_blockref("BAR", (500, -200), dxfattribs=given)


def _polyline_in_block(document: Any) -> None:
    document.blocks.new("BAR").add_lwpolyline(bulged(), format="xyb", close=True)
    document.modelspace().add_blockref("BAR", (0, 0), dxfattribs={"xscale": 1.5, "yscale": 0.8, "rotation": 25})


def _circle_in_block(document: Any) -> None:
    document.blocks.new("TABLE").add_circle((100, 0), 800)
    document.modelspace().add_blockref("TABLE", (0, 0), dxfattribs={"xscale": 3, "yscale": 2, "rotation": 40})


def _nested(document: Any) -> None:
    end = document.blocks.new("END")
    end.add_arc((0, 0), 1, 270, 90)
    bar = document.blocks.new("BAR")
    bar.add_line((-L, -R), (L, -R))
    bar.add_line((-L, R), (L, R))
    bar.add_blockref("END", (L, 0), dxfattribs={"xscale": R, "yscale": R, "zscale": R})
    bar.add_blockref("END", (-L, 0), dxfattribs={"xscale": -R, "yscale": R, "zscale": R})
    document.modelspace().add_blockref("BAR", (10, 20), dxfattribs={"rotation": 30, "xscale": 2, "yscale": 2})


def _grid(document: Any) -> None:
    document.blocks.new("TABLE").add_circle((0, 0), 600)
    document.modelspace().add_blockref(
        "TABLE",
        (0, 0),
        dxfattribs={"row_count": 2, "column_count": 3, "row_spacing": 3000, "column_spacing": 2500},
    )


def _heights(document: Any, other: float = 900.0) -> None:
    space = document.modelspace()
    space.add_polyline3d([(-L, -R, 900), (0, -R, 900), (L, -R, 900)])
    space.add_arc((L, 0, other), R, 270, 90)
    space.add_polyline3d([(L, R, 900), (-L, R, 900)])
    space.add_arc((-L, 0, 900), R, 90, 270)


def _with_writing(document: Any) -> None:
    space = document.modelspace()
    stadium(space)
    space.add_text("Bar, 9 m")
    space.add_mtext("as agreed")
    space.add_linear_dim(base=(0, -1000), p1=(-L, -R), p2=(L, -R)).render()
    space.add_hatch(color=2).paths.add_polyline_path([(0, 0), (100, 0), (100, 100)])
    space.add_point((5, 5))


def _layers(document: Any) -> None:
    space = document.modelspace()
    stadium(space, layer="Counter")
    space.add_lwpolyline([(-5000, -5000), (5000, -5000), (5000, 5000), (-5000, 5000)], close=True,
                         dxfattribs={"layer": "WALLS"})  # fmt: skip


def _hidden(document: Any) -> None:
    document.layers.add("OLD").off()
    document.layers.add("SOLD").freeze()
    space = document.modelspace()
    stadium(space, layer="NEW")
    space.add_circle((0, 0), 2000, dxfattribs={"layer": "OLD"})
    space.add_circle((0, 0), 2500, dxfattribs={"layer": "SOLD"})
    space.add_circle((0, 0), 3000, dxfattribs={"layer": "NEW", "invisible": 1})
    space.add_point((0, 0), dxfattribs={"layer": "DEFPOINTS"})
    document.layout().add_circle((0, 0), 400, dxfattribs={"layer": "NEW"})


def _block_on_layer(document: Any) -> None:
    stadium(document.blocks.new("BAR"), layer="0")
    document.modelspace().add_blockref("BAR", (0, 0), dxfattribs={"layer": "COUNTER"})
    document.modelspace().add_circle((0, 0), 5000, dxfattribs={"layer": "0"})


def _several(document: Any) -> None:
    space = document.modelspace()
    space.add_circle((0, 0), 1000)
    space.add_circle((0, 0), 1600)
    stadium(space)
    space.add_circle((300, 300), 60)


def _open(document: Any) -> None:
    space = document.modelspace()
    space.add_arc((0, 800), 800, 270, 0)
    space.add_line((800, 1800), (800, 800))
    space.add_line((0, 0), (-1200, 0))


def _tails(document: Any) -> None:
    space = document.modelspace()
    stadium(space)
    space.add_line((L, -R), (L + 400, -R - 300))
    space.add_line((-L, R), (-L - 2000, R))
    space.add_circle((-L - 2000 - 450, R), 450)


def _hung(document: Any) -> None:
    space = document.modelspace()
    stadium(space, gap=0.3)
    space.add_line((L, -R), (L + 400, -R - 300))


def _crossed(document: Any) -> None:
    space = document.modelspace()
    stadium(space)
    space.add_line((-L, -3000), (L, 3000))


def _loop_twice(document: Any) -> None:
    stadium(document.modelspace())
    _light(document)


def _far_off(document: Any) -> None:
    document.blocks.new("BAR")
    stadium(document.blocks.get("BAR"))
    document.modelspace().add_blockref("BAR", (4.0e7, -2.5e7), dxfattribs={"rotation": 77})


CASES = (
    Case("millimetres", plain(), ROUND),
    Case("R12, which states no units", plain(), ROUND, "R12", 0, {"drawing_units": "mm"}),
    Case("inches, R2000", plain(25.4), ROUND, "R2000", 1),
    Case("feet, R2004", plain(304.8), ROUND, "R2004", 2),
    Case("centimetres, R2007", plain(10.0), ROUND, "R2007", 5),
    Case("metres, R2013", plain(1000.0), ROUND, "R2013", 6),
    Case("survey feet", plain(1200 / 3937 * 1000), ROUND, "R2018", 21),
    Case("no units, inches by the job, R2018", plain(25.4), ROUND, "R2018", 0, {"drawing_units": "in"}),
    Case("no units, feet by the job", plain(304.8), ROUND, "R2000", 0, {"drawing_units": "ft"}),
    Case("no units, metres by the job", plain(1000.0), ROUND, "R2000", 0, {"drawing_units": "m"}),
    Case("units said twice alike", plain(25.4), ROUND, "R2010", 1, {"drawing_units": "in"}),
    Case("binary", plain(), ROUND, binary=True),
    Case("pieces backwards, arcs mirrored", _backwards, ROUND),
    Case("pieces shuffled and split", _shuffled, ROUND),
    Case("gap of 0.001 mm, one point", plain(gap=0.00099), ROUND - 0.00099),
    Case("gap of 0.0011 mm", plain(gap=0.0011), ROUND - 0.0011, joined=1),
    Case("gap of 0.01 mm", plain(gap=0.01), ROUND - 0.01, joined=1),
    Case("gap of 0.1 mm", plain(gap=0.1), ROUND - 0.1, joined=1),
    Case("gap of 0.49 mm", plain(gap=0.49), ROUND - 0.49, joined=1),
    Case("straight 0.3 mm too long", plain(gap=-0.3), ROUND + 0.3, joined=1),
    Case("pieces drawn twice", _twice, ROUND, aside=("line drawn twice",) * 3),
    Case("pieces partly over each other", _overlapping, ROUND, aside=("line drawn twice",) * 4),
    Case("light polyline with bulges", _light, ROUND),
    Case("light polyline mirrored and raised", _light_mirrored, ROUND),
    Case("light polylines, open", _light_open, ROUND),
    Case("heavy polyline with bulges, R12", _heavy, ROUND, "R12", 0, {"drawing_units": "in"}),
    Case("circle", lambda d: d.modelspace().add_circle((50, 60), 1100), math.tau * 1100),
    Case("ellipse, turned", _whole_ellipse, 2 * half_ellipse(2500, 1500)),
    Case("ellipse in halves, one from below", _ellipse_in_halves, 2 * half_ellipse(2500, 1500)),
    Case("ellipses with equal axes", _round_ellipses, ROUND),
    Case("rational splines for the ends", _nurbs_ends, ROUND),
    Case("rational spline all round", _nurbs_circle, math.tau * 1200),
    Case("spline, a parabola", _parabola, PARABOLA, says={"closed": False}),
    Case("block turned and scaled", lambda d: _in_block(d, rotation=33, xscale=1.7, yscale=1.7, zscale=1.7),
         1.7 * ROUND),
    Case("block mirrored", lambda d: _in_block(d, xscale=-1, rotation=12), ROUND),
    Case("block scaled unevenly", lambda d: _in_block(d, xscale=1.5, yscale=0.8),
         1.5 * 4 * L + 2 * half_ellipse(1.5 * R, 0.8 * R)),
    Case("block with a polyline, scaled unevenly", _polyline_in_block,
         1.5 * 4 * L + 2 * half_ellipse(1.5 * R, 0.8 * R)),
    Case("block with a circle, scaled unevenly", _circle_in_block, 2 * half_ellipse(2400, 1600)),
    Case("blocks in blocks", _nested, 2 * ROUND),
    Case("block in rows and columns", _grid, math.tau * 600, says={"near": (5000.0, 2300.0)},
         aside=("other line that closes",) * 5),
    Case("3D polylines at one height", _heights, ROUND),
    Case("pieces at several heights", lambda d: _heights(d, 960.0), ROUND),
    Case("texts, dimensions, hatches", _with_writing, ROUND, aside=("dimension", "hatch", "point", "text")),
    Case("layer by name, in small letters", _layers, ROUND, says={"layer": "counter"}),
    Case("hidden layers and paper space", _hidden, ROUND, aside=("hidden piece",)),
    Case("hidden layer by name", _hidden, math.tau * 2000, says={"layer": "OLD"}),
    Case("block on a layer", _block_on_layer, ROUND, says={"layer": "COUNTER"}),
    Case("the inner of several loops", _several, math.tau * 1000, says={"near": (0.0, 990.0)},
         aside=("other line that closes",) * 3),
    Case("the stadium of several loops", _several, ROUND, says={"near": (2200.0, 10.0)},
         aside=("other line that closes",) * 3),
    Case("open line", _open, 1000 + 800 * math.pi / 2 + 1200, says={"closed": False}),
    Case("loop with tails", _tails, ROUND, says={"near": (0.0, -R)},
         aside=("other line that closes", "stray line", "stray line")),
    Case("gap where a tail hangs on", _hung, ROUND - 0.3, joined=1, aside=("stray line",)),
    Case("loop crossed by a line", _crossed, ROUND, aside=("stray line",)),
    Case("loop drawn twice, in other pieces", _loop_twice, ROUND, aside=("line drawn twice",)),
    Case("40 km off the origin", _far_off, ROUND),
)  # fmt: skip
"""Drawings whose line is found."""
