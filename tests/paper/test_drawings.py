"""Every drawing of every plan: nothing over another, nothing outside the frame, nothing too small to read."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from paper_plans import make_job, make_plan
from shapely.geometry import LineString, Polygon
from shapely.geometry import box as rectangle
from shapely.strtree import STRtree

from layout.face.plan import Stretch
from layout.job.model import OutlineSpec
from layout.paper.frame import frame_box
from layout.paper.letters import ink_box
from layout.paper.packet import draw_packet
from layout.paper.primitives import Area, Circle, Lines, Text
from layout.paper.seam_map import draw_seam_map, large_seam_map


def ink_of(text):
    """Return the turned rectangle round a text's ink."""
    x0, y0 = text.start
    left, bottom, right, top = ink_box(text.text, text.size, bold=text.bold)
    cos, sin = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    return Polygon([(x0 + x * cos - y * sin, y0 + x * sin + y * cos) for x, y in corners])


def texts_of(paper):
    """Return the texts of a paper."""
    return [item for item in paper.items if isinstance(item, Text) and item.text]


def badges_of(paper):
    """Return the boxes and rings of numbers on a map."""
    kinds = {"seam-box", "panel-ring", "seam-free-box"}
    return [item for item in paper.items if isinstance(item, Area) and item.kind in kinds]


def test_no_text_lies_on_another(plan):
    """On every paper the ink of every text is apart from that of every other."""
    for paper in draw_packet(plan):
        texts = texts_of(paper)
        shapes = [ink_of(text) for text in texts]
        for i, j in zip(*STRtree(shapes).query(shapes, predicate="intersects"), strict=True):
            if i < j:
                shared = shapes[i].intersection(shapes[j]).area
                assert shared < 0.01, (paper.name, texts[i].text, texts[j].text)


def test_every_text_is_inside_the_frame(plan):
    """No text reaches over the frame."""
    for paper in draw_packet(plan):
        frame = frame_box(plan.job.units, portrait=paper.height > paper.width)
        inside = rectangle(frame.left, frame.bottom, frame.right, frame.top)
        for text in texts_of(paper):
            assert inside.contains(ink_of(text)), (paper.name, text.text)


def test_every_line_is_inside_the_frame(plan):
    """Nothing is drawn outside the frame."""
    for paper in draw_packet(plan):
        frame = frame_box(plan.job.units, portrait=paper.height > paper.width).grown(1e-6)
        for item in paper.items:
            if isinstance(item, Text):
                continue
            if isinstance(item, Circle):
                (x, y), r = item.centre, item.radius
                points = [(x - r, y - r), (x + r, y + r)]
            else:
                points = item.points if isinstance(item, Area) else [p for path in item.paths for p in path]
            for x, y in points:
                assert frame.left <= x <= frame.right, (paper.name, item.kind)
                assert frame.bottom <= y <= frame.top, (paper.name, item.kind)


def test_every_text_can_be_read(plan):
    """No text is under 7 pt, and the set-out is at 9 pt or more."""
    for paper in draw_packet(plan):
        assert min(text.size for text in texts_of(paper)) >= 7.0
        if paper.name == "Set-out":
            assert min(text.size for text in texts_of(paper) if text.kind == "cell") >= 9.0


def test_map_numbers_every_seam_and_panel_once(plan):
    """The map carries the number of each seam and panel exactly once."""
    (drawing,) = draw_seam_map(plan)
    keys = [item.key for item in drawing.items if isinstance(item, Text) and item.key]
    wanted = [f"seam-{seam.number}" for seam in plan.seams] + [f"panel-{panel.number}" for panel in plan.panels]
    assert sorted(keys) == sorted(wanted)


def test_map_badges_stand_apart_and_leaders_cross_none(plan):
    """Boxes and rings on the map don't touch, and no leader passes through one that isn't its own."""
    (drawing,) = draw_seam_map(plan)
    legend = Polygon(next(item.points for item in drawing.items if item.kind == "legend-box"))
    shapes = [shape for b in badges_of(drawing) if not (shape := Polygon(b.points)).intersects(legend)]
    assert len(shapes) >= len(plan.seams) + len(plan.panels)
    tree = STRtree(shapes)
    for i, j in zip(*tree.query(shapes, predicate="intersects"), strict=True):
        assert i == j
    for item in drawing.items:
        if isinstance(item, Lines) and item.kind == "leader":
            line = LineString(item.paths[0])
            through = [k for k in tree.query(line) if shapes[k].intersection(line).length > 0.05]
            assert through == []


def test_map_is_to_scale(ring):
    """Two opposite ticks stand the ring's diameter apart, at the scale that the title block names."""
    (drawing,) = draw_seam_map(ring)
    ticks = {item.key: item.paths[0] for item in drawing.items if isinstance(item, Lines) and item.kind == "seam"}
    assert drawing.scale == '3/32" = 1\'-0"'  # one step under the largest: more stations find room
    wall = [ticks[key][0] for key in ("tick-1", "tick-21")]
    across = math.dist(*wall) + 2 * 1.8  # ticks begin 1.8 mm on the wall side
    assert across * 128 == pytest.approx(15000.0, abs=90.0)  # 21 is within a scallop of the far side


def test_two_outlines_stand_where_they_were_drawn(pair):
    """Each outline keeps its place: the map's seams have the same distances as the plan's, at one scale."""
    (drawing,) = draw_seam_map(pair)
    ticks = {item.key: item.paths[0] for item in drawing.items if isinstance(item, Lines) and "tick-" in item.key}
    first, last = pair.seams[0], pair.seams[-1]
    ratios = {
        "1/4": 48.0,
        "3/16": 64.0,
        "1/8": 96.0,
        "3/8": 32.0,
        "3/32": 128.0,
    }
    ratio = ratios[drawing.scale.split('"')[0]]
    middles = []
    for seam in (first, last):
        (x0, y0), (x1, y1) = ticks[f"tick-{seam.number}"]
        share = 0.0 if seam.end else 1.8 / 4.6  # the tick of an end begins at the face
        middles.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
    assert math.dist(*middles) * ratio == pytest.approx(math.dist((first.x, first.y), (last.x, last.y)), rel=1e-6)


@pytest.mark.parametrize(("name", "inside"), [("ring", "wall side"), ("hollow", "viewer's side")])
def test_sides_are_named_on_their_sides(name, inside, request):
    """Round a counter the wall side is inside the ring; in a hollow room the viewer is."""
    (drawing,) = draw_seam_map(request.getfixturevalue(name))
    face = [p for item in drawing.items if item.kind.startswith("face") for p in item.paths[0]]
    ring_shape = Polygon(face)
    found = {item.text: ring_shape.contains(ink_of(item)) for item in drawing.items if item.kind == "word"}
    assert {words for words in ("wall side", "viewer's side") if found[words]} == {inside}


def test_arrow_runs_with_rising_stations(ring):
    """Outside a ring stations rise anticlockwise: the arrow turns left round the middle of the ring."""
    (drawing,) = draw_seam_map(ring)
    path = next(i.paths[0] for i in drawing.items if isinstance(i, Lines) and i.kind == "direction")
    face = [p for item in drawing.items if item.kind.startswith("face") for p in item.paths[0]]
    x, y = Polygon(face).centroid.coords[0]
    (x0, y0), (x1, y1) = path[0], path[-1]
    assert (x0 - x) * (y1 - y) - (y0 - y) * (x1 - x) > 0


@pytest.fixture(scope="module")
def long_plan():
    """Return a plan of 120 panels along a thin loop, too many for one paper."""
    spec = OutlineSpec("", "rounded-rectangle", length=60000.0, width=9000.0, radius=1200.0)
    stretches = (Stretch(0, 120000.0, 2000.0, "gate"), Stretch(0, 30000.0, 31000.0, "till"))
    return make_plan(make_job(spec), 120, stretches=stretches)


def keys_of(drawing):
    """Return the names of numbers on a map."""
    return {item.key for item in drawing.items if isinstance(item, Text) and item.key}


def test_crowded_map_is_drawn_in_parts(long_plan):
    """A key names the parts; every panel stands on one part, every seam on one or on the two it parts."""
    key, *parts = draw_seam_map(long_plan)
    assert len(parts) > 1
    names = {item.text for item in key.items if isinstance(item, Text)}
    assert {f"part {i}" for i in range(1, len(parts) + 1)} <= names
    found = Counter(name for part in parts for name in keys_of(part))
    assert all(found[f"panel-{panel.number}"] == 1 for panel in long_plan.panels)
    assert all(1 <= found[f"seam-{seam.number}"] <= 2 for seam in long_plan.seams)
    assert sum(found[f"seam-{seam.number}"] for seam in long_plan.seams) == 120 + len(parts)
    assert not any("find no room" in name for name in names)


def test_parts_of_a_map_can_be_read(long_plan):
    """Parts keep the rules of every paper."""
    assert sum(paper.name.startswith("Seam map") for paper in draw_packet(long_plan)) > 2
    test_no_text_lies_on_another(long_plan)
    test_every_text_is_inside_the_frame(long_plan)
    test_every_line_is_inside_the_frame(long_plan)
    test_every_text_can_be_read(long_plan)


def test_stretch_past_the_datum_is_hatched_on_both_sides_of_it(long_plan):
    """A seam-free stretch that wraps shows its letter on the first and on the last part."""
    _, first, *_, last = draw_seam_map(long_plan)
    for part in (first, last):
        assert "a" in [item.text for item in part.items if getattr(item, "kind", "") == "seam-free-letter"]


def test_map_for_screens_holds_all_numbers_on_one_paper(long_plan):
    """The large map has every number once, on a paper as large as that takes."""
    paper = large_seam_map(long_plan)
    assert paper.width >= 2 * 279.4
    assert len(keys_of(paper)) == 240


def test_title_of_strange_letters_is_drawn(ring):
    """A title in another script, with letters that the font lacks, still gives papers."""
    job = replace(ring.job, title="Стойка 中 \U0001f600 “½”")
    papers = draw_packet(replace(ring, job=job))
    assert any(text.text == job.title for text in texts_of(papers[0]))
    assert make_job(job.outlines).title != job.title
