"""Primitives: boxes, hatches and texts as numbers."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import LineString, Point, Polygon

from layout.paper.letters import PT, text_width
from layout.paper.primitives import (
    Area,
    Box,
    Circle,
    Lines,
    Style,
    Text,
    centred,
    hatch,
    moved,
)

INK = Style("#141414", 0.5)


def test_box_turned_inside_out_is_refused():
    """A box runs from its lower left to its upper right."""
    assert Box(0, 0, 0, 0).width == 0
    with pytest.raises(ValueError, match="lower left"):
        Box(1, 0, 0, 1)


def test_boxes_that_touch_do_not_overlap():
    """Sharing a side is no overlap; sharing a thousandth of a millimetre is."""
    assert not Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1))
    assert Box(0, 0, 1, 1).overlaps(Box(0.999, 0, 2, 1))


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0, 90.0, 137.0])
def test_hatch_stays_inside_and_covers_evenly(angle):
    """Strokes lie in the polygon, and their length times the spacing is its area."""
    hollow = ((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (30.0, 15.0), (0.0, 40.0))
    shape = Polygon(hollow)
    strokes = hatch(hollow, 0.25, angle, INK).paths
    assert strokes
    assert all(shape.buffer(1e-6).contains(LineString(stroke)) for stroke in strokes)
    assert 0.25 * sum(math.dist(a, b) for a, b in strokes) == pytest.approx(shape.area, rel=0.01)


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_text_starts_by_its_anchor(anchor, share):
    """The anchor's share of the width lies before the place."""
    text = Text((10.0, 5.0), "24 ft 3 1/2 in", 9.0, anchor)
    assert text.start == pytest.approx((10.0 - share * text_width(text.text, 9.0), 5.0))


@pytest.mark.parametrize("angle", [0.0, 90.0, 33.0, -120.0])
def test_centred_text_is_centred_at_every_angle(angle):
    """The box of figures drawn at a point has that point as its middle, whatever the turn."""
    text = centred((50.0, 40.0), "0", 12.0, angle=angle)
    assert text.box().centre == pytest.approx((50.0, 40.0), abs=0.15)


def test_upright_text_has_the_level_box_turned():
    """Turned by a right angle, width and height of the ink change places."""
    level, upright = Text((0, 0), "panel 12", 9.0).box(), Text((0, 0), "panel 12", 9.0, angle=90.0).box()
    assert (upright.width, upright.height) == pytest.approx((level.height, level.width))


def test_text_size_is_points():
    """A 72 pt text is an inch high: its width grows with 25.4/72 mm a point."""
    assert PT == 25.4 / 72
    assert text_width("in", 18.0) == pytest.approx(2 * text_width("in", 9.0))


def test_moving_moves_everything_alike():
    """Every kind of primitive is shifted, nothing else is changed."""
    items = [
        Lines((((0, 0), (1, 1)),), INK, "a", "k"),
        Area(((0, 0), (1, 0), (1, 1)), INK),
        Circle((2, 2), 1.5, INK),
        Text((3, 3), "x", 8.0, "end", 45.0, bold=True, ink="#123456", kind="b", key="c"),
    ]
    there = moved(items, 5.0, -2.0)
    assert there[0] == Lines((((5, -2), (6, -1)),), INK, "a", "k")
    assert there[2] == Circle((7, 0), 1.5, INK)
    assert moved(there, -5.0, 2.0) == items
    assert Point(there[3].at).distance(Point(8, 1)) == 0
