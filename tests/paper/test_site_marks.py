"""Holes, viewpoints, walls and the order of hanging on paper, in tables and in files."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from layout.paper.clear import largest_free, name_beside
from layout.paper.csv_tables import cut_list_csv, set_out_csv
from layout.paper.cutout_blanks import draw_cutouts
from layout.paper.cutting import draw_cutting, patterns_of
from layout.paper.elevation import draw_elevation
from layout.paper.goals import goal_value, goal_words
from layout.paper.hanging import edge_words, hanging_order
from layout.paper.map_sight import DOT, EYE, clipped
from layout.paper.plan_json import plan_json
from layout.paper.primitives import Area, Box, Circle, Lines, Text
from layout.paper.seam_map import draw_seam_map
from layout.paper.sight_words import sight_words
from layout.units import format_length


def items(drawings, kind, sort):
    return [item for drawing in drawings for item in drawing.items if isinstance(item, sort) and item.kind == kind]


def box_of(area):
    xs, ys = zip(*area.points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def texts(drawings):
    return [item.text for drawing in drawings for item in drawing.items if isinstance(item, Text)]


def test_holes_are_drawn_on_the_blank_from_its_left_and_bottom(looked):
    """On the cut-outs' paper every hole stands left/ratio and bottom/ratio inside its blank, with both figures."""
    drawings = draw_cutouts(looked)
    blanks = [box_of(item) for item in items(drawings, "blank", Area)]
    holes = [box_of(item) for item in items(drawings, "hole", Area)]
    panels = sorted({hole.panel for hole in looked.cutouts})
    assert (len(blanks), len(holes)) == (len(panels), len(looked.cutouts))
    for blank, number in zip(blanks, panels, strict=True):
        panel = looked.panels[number - 1]
        ratio = panel.blank_length / blank.width
        assert panel.blank_height / blank.height == pytest.approx(ratio)
        wanted = sorted((h.left, h.bottom, h.width, h.height) for h in looked.cutouts if h.panel == number)
        drawn = sorted(
            tuple(ratio * side for side in (box.left - blank.left, box.bottom - blank.bottom, box.width, box.height))
            for box in holes
            if blank.holds(box)
        )
        assert len(drawn) == len(wanted)
        for one, other in zip(drawn, wanted, strict=True):
            assert one == pytest.approx(other)
    words = texts(drawings)
    for hole in looked.cutouts:
        for figure in (hole.left, hole.bottom):
            assert format_length(figure, "in") in words


def test_no_paper_of_cut_outs_without_any(ring):
    """A plan without holes has no such paper."""
    assert draw_cutouts(ring) == []


def test_holes_are_on_the_cutting_diagrams_clear_of_the_words(looked):
    """Sheets with holes are told apart, the holes are drawn to scale, and no word lies on one."""
    drawings = draw_cutting(looked)
    holes = [box_of(item) for item in items(drawings, "hole", Area)]
    assert len(holes) == len(looked.cutouts)
    for drawing in drawings:
        inside = [item.box() for item in drawing.items if isinstance(item, Text)]
        mine = [box_of(item) for item in drawing.items if isinstance(item, Area) and item.kind == "hole"]
        assert not [word for word in inside for hole in mine if word.overlaps(hole)]
    pierced = {hole.panel for hole in looked.cutouts}
    alone = [p for p in patterns_of(looked) if any(cut.panel in pierced for cut in p.model.cuts)]
    assert [len(pattern.sheets) for pattern in alone] == [1] * len(pierced)


def test_holes_are_on_the_elevation_where_they_are_on_the_wall(looked):
    """Rolled out, a hole is as wide as on the wall, as high, and as far up, to one scale; its name is near."""
    drawings = draw_elevation(looked)
    holes = sorted((box_of(item) for item in items(drawings, "hole", Area)), key=lambda box: box.width)
    asked = sorted(looked.job.cutouts, key=lambda cutout: cutout.width)
    ratio = asked[0].width / holes[0].width
    for box, cutout in zip(holes, asked, strict=True):
        assert (box.width * ratio, box.height * ratio) == pytest.approx((cutout.width, cutout.height))
    assert {item.text for item in items(drawings, "hole-name", Text)} == {"socket", "data", "hatch"}
    words = " ".join(texts(drawings))
    assert f"hatch at {format_length(4300.0, 'in')}, {format_length(100.0, 'in')} up" in words


def test_map_shows_viewpoints_walls_and_what_is_seen(looked):
    """A near viewpoint has its ring, a far one an arrow; seams that are seen or grazed have their mark."""
    drawings = draw_seam_map(looked)
    rings = [item for item in items(drawings, "viewpoint", Circle) if item.radius == EYE]
    names = {item.text for item in items(drawings, "viewpoint-name", Text)}
    assert names == {"street door", "stairs, far off"}
    assert len(rings) == 2  # one on the map, one in the legend
    marks = {kind: len(items(drawings, kind, Circle)) for kind in ("seen", "grazed")}
    views = [{view for _, view in seam.sight} for seam in looked.seams]
    assert marks["seen"] == sum("seen" in view for view in views) + 1
    assert marks["grazed"] == sum("grazed" in view and "seen" not in view for view in views) + 1
    assert all(item.radius == DOT for item in items(drawings, "seen", Circle))
    assert items(drawings, "wall", Lines)
    assert "hides what is behind it" in texts(drawings)
    assert any(text.startswith("street door: sees seam") for text in texts(drawings))


def test_map_without_viewpoints_has_nothing_of_sight(ring):
    """Neither marks nor words."""
    drawings = draw_seam_map(ring)
    assert not items(drawings, "viewpoint", Circle)
    assert "Seen from" not in texts(drawings)


def test_walls_are_cut_at_the_edge_of_the_map():
    """What leaves the box ends at its edge; what comes back is a part of its own; what misses it is none."""
    box = Box(0.0, 0.0, 10.0, 10.0)
    assert list(clipped(((-5.0, 5.0), (15.0, 5.0)), box)) == [((0.0, 5.0), (10.0, 5.0))]
    there_and_back = ((5.0, 5.0), (15.0, 5.0), (15.0, 8.0), (5.0, 8.0))
    assert list(clipped(there_and_back, box)) == [((5.0, 5.0), (10.0, 5.0)), ((10.0, 8.0), (5.0, 8.0))]
    assert list(clipped(((-5.0, -1.0), (15.0, -1.0)), box)) == []
    assert list(clipped(((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)), box)) == [((1.0, 1.0), (2.0, 1.0), (2.0, 2.0))]


def test_words_find_the_largest_room_beside_holes():
    """Of a 100 × 40 box with a hole at its right the left part is larger; without holes it is all of it."""
    box = Box(0.0, 0.0, 100.0, 40.0)
    assert largest_free(box, []) == box
    assert largest_free(box, [Box(60.0, 10.0, 80.0, 30.0)]) == Box(0.0, 0.0, 59.5, 40.0)
    assert largest_free(box, [Box(0.5, 0.5, 99.5, 30.0)]) == Box(0.0, 30.5, 100.0, 40.0)


def test_name_of_a_hole_stands_in_it_beside_it_or_not_at_all():
    """A large hole holds its name, a small one has it over it, and where all is taken there is none."""
    room = Box(0.0, 0.0, 60.0, 30.0)
    large, small = Box(20.0, 10.0, 40.0, 20.0), Box(29.0, 14.0, 31.0, 16.0)
    assert large.holds(name_beside("hatch", large, room, [large])[1].box())
    assert name_beside("hatch", small, room, [small])[1].box().bottom > small.top
    assert name_beside("hatch", small, room, [small, room]) == []


def test_tables_tell_holes_and_sight(looked):
    """The cut list names each panel's holes with their figures; the set-out says how each seam is seen."""
    cut = list(csv.reader(io.StringIO(cut_list_csv(looked))))
    told = {int(row[0]): row[-1] for row in cut[1:]}
    for hole in looked.cutouts:
        assert f"{hole.name}, {hole.left / 25.4:.4f}, {hole.bottom / 25.4:.4f}" in told[hole.panel]
    assert all(not words for panel, words in told.items() if panel not in {h.panel for h in looked.cutouts})
    rows = list(csv.DictReader(io.StringIO(set_out_csv(looked))))
    for seam, row in zip(looked.seams, rows, strict=True):
        assert row["seen from"] == "; ".join(f"{name}: {view}" for name, view in seam.sight)


def test_plan_file_tells_holes_viewpoints_sight_and_hanging(looked):
    """Lengths in the job's units; sight by viewpoint name; the first and the closing panel of each run."""
    found = json.loads(plan_json(looked))
    assert [hole["name"] for hole in found["cutouts"]] == [hole.name for hole in looked.cutouts]
    assert found["cutouts"][0]["left"] == pytest.approx(looked.cutouts[0].left / 25.4, rel=1e-11)
    assert found["cutouts"][0]["station"] == pytest.approx(900.0 / 25.4, rel=1e-11)
    assert found["viewpoints"][1] == {"name": "stairs, far off", "x": -354.330708661, "y": 275.590551181, "weight": 2.0}
    assert [seam["sight"] for seam in found["seams"]] == [dict(seam.sight) for seam in looked.seams]
    order = looked.hanging[0].order
    assert (found["runs"][0]["first_panel"], found["runs"][0]["closing_panel"]) == (order[0], order[-1])


def test_hanging_starts_and_closes_as_planned(looked):
    """Words and page take the plan's own order."""
    order = list(looked.hanging[0].order)
    assert hanging_order(looked) == order
    assert f"Start with panel {order[0]}, close with panel {order[-1]}." in edge_words(looked)


def test_goals_are_told_with_their_sight(looked, ring):
    """2 × 10⁷ + 254 is sight 2 and a lift of 0.254 mm; without viewpoints it is lift alone."""
    assert goal_value("seam_cost", 20_000_254, "mm", sighted=True) == "sight 2, lift 0.254 mm"
    assert goal_value("seam_cost", 254, "mm") == "0.254 mm"
    assert goal_words("worst_seam", looked.job) == "worst seam least seen, then least edge lift"
    assert goal_words("worst_seam", ring.job) == "least edge lift at the worst seam"


def test_what_a_viewpoint_sees_is_said_by_seam_numbers(looked):
    """Seams that are seen, then those that are grazed; nothing where all are hidden."""
    words = sight_words(looked)
    seen = [seam.number for seam in looked.seams if dict(seam.sight)["street door"] == "seen"]
    assert words[0].startswith(f"street door: sees seams {', '.join(map(str, seen))}")
    hidden = tuple(replace(seam, sight=tuple((name, "hidden") for name, _ in seam.sight)) for seam in looked.seams)
    assert sight_words(replace(looked, seams=hidden))[0] == "street door: sees no seam"
