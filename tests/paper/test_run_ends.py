"""An end of a run, a jamb among them, is never drawn as a seam: on paper, SVG, DXF, the phone's page, small maps."""

from __future__ import annotations

import io
import json
import re
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
from shapely.geometry import LineString, Point
from shapely.ops import unary_union

from layout.face.planning import make_plan
from layout.face.set_out import set_out
from layout.job.reading import read_job
from layout.paper.badges import Spot, seam_badge
from layout.paper.dxf import curve_template_dxf, seam_map_dxf
from layout.paper.elevation import draw_elevation
from layout.paper.ink import END_TICK, SEAM, SEAM_TICK, WHITE
from layout.paper.primitives import Area, Box, Lines, Text
from layout.paper.seam_map import draw_seam_map, draw_ties, large_seam_map
from layout.paper.site_page import site_page
from layout.paper.small_map import SmallMap
from layout.paper.svg import write_svg

GARDEN_BAR = Path(__file__).parents[2] / "demo_jobs" / "garden_bar.toml"


@pytest.fixture(scope="module")
def bar():
    """Return the garden bar: a gate with a leaf a quarter of an inch off its jambs, and a lowered part."""
    return make_plan(read_job(GARDEN_BAR))


def ends_of(plan):
    """Return the numbers of ends of runs, and those of seams between panels."""
    ends = {seam.number for seam in plan.seams if seam.end}
    return ends, {seam.number for seam in plan.seams} - ends


def papers_of(plan):
    """Return every map and elevation on which seams have numbers."""
    found = set_out(plan)
    drawings = [*draw_seam_map(plan, found), *draw_ties(plan, found), *draw_elevation(plan)]
    return [drawing.items for drawing in drawings] + [large_seam_map(plan).items]


def test_the_bar_has_both_kinds(bar):
    """Four jambs and leaf ends, four ends at the lowered part, and seams beside them."""
    ends, seams = ends_of(bar)
    assert {5, 6, 7, 8} <= ends
    assert len(seams) >= 2


def test_numbers_of_ends_stand_in_light_boxes_on_every_paper(bar):
    """The box round an end's number is white with dark figures, round a seam's the other way about."""
    ends, seams = ends_of(bar)
    for items in papers_of(bar):
        told = set()
        for box, text in pairwise(items):
            if isinstance(box, Area) and box.kind == "seam-box" and isinstance(text, Text) and text.key:
                number = int(text.text)
                told.add(number)
                assert (box.style.fill, text.ink) == ((WHITE, SEAM) if number in ends else (SEAM, WHITE)), number
        assert told == ends | seams


def test_ticks_of_ends_do_not_go_through_the_face(bar):
    """A seam's tick crosses the face; an end's begins at it: so two close together are never one seam."""
    ends, seams = ends_of(bar)
    for items in [drawing.items for drawing in draw_seam_map(bar, set_out(bar))] + [large_seam_map(bar).items]:
        lines = [item for item in items if isinstance(item, Lines)]
        face = unary_union([LineString(path) for item in lines if "tightness" in item.kind for path in item.paths])
        ticks = {int(item.key[5:]): item for item in lines if item.key.startswith("tick-")}
        assert set(ticks) == ends | seams
        for number, tick in ticks.items():
            start, end = (face.distance(Point(at)) for at in tick.paths[0])
            style = ("run-end", END_TICK) if number in ends else ("seam", SEAM_TICK)
            assert (tick.kind, tick.style) == style
            assert start == pytest.approx(0.0 if number in ends else 1.8, abs=0.05), number
            assert end == pytest.approx(2.8, abs=0.05), number


def test_the_elevation_draws_an_end_as_the_edge_of_a_panel(bar):
    """Seams have the seam's ink; where a run ends there is none of it."""
    ends, seams = ends_of(bar)
    items = [item for drawing in draw_elevation(bar) for item in drawing.items]
    edges = [item for item in items if isinstance(item, Lines) and item.kind == "run-end"]
    ticks = [item for item in items if isinstance(item, Lines) and item.kind == "seam"]
    assert len(ticks) == len(seams)
    assert len(edges) == len(ends)
    assert all(item.style.ink != SEAM for item in edges)


def test_the_svg_keeps_ends_and_seams_apart(bar):
    """By class: as many ticks of the one and of the other as the plan has."""
    ends, seams = ends_of(bar)
    text = write_svg(large_seam_map(bar), "bar")
    ids = {kind: set(re.findall(rf'class="{kind}" id="([^"]+)"', text)) for kind in ("seam", "run-end")}
    assert ids["seam"] == {f"tick-{number}" for number in seams}
    assert ids["run-end"] == {f"tick-{number}" for number in ends}


@pytest.mark.parametrize("write", [seam_map_dxf, curve_template_dxf])
def test_the_dxf_has_ends_on_a_layer_of_their_own(bar, write):
    """Points, ticks and numbers: no end of a run on the layers of seams, no seam on that of ends."""
    ends, seams = ends_of(bar)
    space = ezdxf.read(io.StringIO(write(bar).decode("utf-8"))).modelspace()
    for layer, numbers in (("SEAMS", seams), ("RUN_ENDS", ends)):
        points = space.query(f'POINT[layer=="{layer}"]')
        assert {point.get_xdata("SEAMWALK")[0].value for point in points} == numbers
        assert len(space.query(f'LINE[layer=="{layer}"]')) == len(numbers)
    for layer, numbers in (("SEAM_NUMBERS", seams), ("RUN_ENDS", ends)):
        assert {int(text.dxf.text) for text in space.query(f'TEXT[layer=="{layer}"]')} == numbers


def test_the_phones_page_is_told_which_seams_are_ends(bar):
    """Each seam says whether it is an end; the page gives those another line, box and heading."""
    page = site_page(bar)
    (data,) = re.findall(r'<script[^>]*id="plan"[^>]*>(.*?)</script>', page, re.DOTALL)
    told = {seam["n"] for seam in json.loads(data)["seams"] if seam["end"]}
    assert told == ends_of(bar)[0]
    assert 'seam.end ? "seam end" : "seam"' in page
    assert ".tag.of-seam.end rect { fill: var(--ground); }" in page


def test_small_maps_tick_seams_across_and_ends_on_one_side(bar):
    """The quote's picture: 2.6 mm across the face for a seam, half of it for an end."""
    ends, seams = ends_of(bar)
    items = list(SmallMap(bar, (100.0, 60.0)).whole(Box(0.0, 0.0, 100.0, 60.0)))
    for kind, numbers, long in (("thumbnail-seam", seams, 2.6), ("thumbnail-end", ends, 1.3)):
        (ticks,) = [item for item in items if isinstance(item, Lines) and item.kind == kind]
        assert [LineString(path).length for path in ticks.paths] == pytest.approx([long] * len(numbers))


def test_a_badge_is_dark_unless_it_is_told_of_an_end():
    """The measure of this file sees the difference."""
    dark, light = (seam_badge(Spot((0.0, 0.0), 9.0), 5, end=end)[0].style.fill for end in (False, True))
    assert (dark, light) == (SEAM, WHITE)
