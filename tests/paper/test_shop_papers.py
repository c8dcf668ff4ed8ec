"""Summary, set-out, cutting and elevation: their figures and how they are shared over papers."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from paper_plans import circle, make_job, make_plan
from shapely.geometry import box
from shapely.ops import unary_union

from layout.face.plan import Cut, SheetCut
from layout.face.set_out import set_out
from layout.metal.metals import metal_of
from layout.paper.cautions import in_columns
from layout.paper.cutting import draw_cutting, patterns_of
from layout.paper.drops import KEPT, drops_of
from layout.paper.elevation import draw_elevation
from layout.paper.flow import Column, Flow, Part
from layout.paper.frame import room_box
from layout.paper.primitives import Area, Lines, Text
from layout.paper.set_out import draw_set_out
from layout.paper.summary import blank_weight, draw_summary
from layout.units import format_force, format_length


def words_of(drawings, kind=None):
    """Return the texts of drawings."""
    return [
        item.text
        for drawing in drawings
        for item in drawing.items
        if isinstance(item, Text) and (kind is None or item.kind == kind)
    ]


def items_of(drawings, kind, cls):
    """Return the primitives of one kind."""
    return [item for drawing in drawings for item in drawing.items if isinstance(item, cls) and item.kind == kind]


# Tables


def test_long_table_repeats_its_head_and_loses_no_row():
    """120 rows go over several papers, each with the head; every row is there once, in order."""
    flow = Flow("Table", "in")
    flow.table([Column("seam"), Column("why")], [(f"row {i}", "x") for i in range(120)])
    papers = flow.drawings()
    assert len(papers) > 2
    for paper in papers:
        assert words_of([paper]).count("seam") == 1
    assert [word for word in words_of(papers) if word.startswith("row")] == [f"row {i}" for i in range(120)]


def test_no_heading_is_left_behind():
    """Whatever stands above, a heading has a row of its table below it on the same paper."""
    for above in range(20, 40):
        flow = Flow("Table", "in")
        flow.table([Column("a")], [(f"{i}",) for i in range(above)])
        flow.heading("Next")
        flow.table([Column("b")], [("first",), ("second",)])
        for paper in flow.drawings():
            found = words_of([paper])
            assert ("Next" in found) == ("first" in found)


def test_parts_side_by_side_stay_on_one_paper():
    """Tables next to each other begin at one height, and none is broken."""
    for above in range(20, 36):
        flow = Flow("Table", "in")
        flow.table([Column("a")], [(f"{i}",) for i in range(above)])
        flow.side_by_side([Part(name, [Column("n")], [(f"{name}{i}",) for i in range(6)]) for name in "XY"])
        papers = [p for p in flow.drawings() if "X" in words_of([p])]
        assert len(papers) == 1
        assert {"X0", "X5", "Y0", "Y5"} <= set(words_of(papers))
        tops = {item.at[1] for item in papers[0].items if getattr(item, "text", "") in {"X", "Y"}}
        assert len(tops) == 1


def filled(rows):
    """Return a flow that holds a table of so many rows."""
    flow = Flow("Table", "in")
    flow.table([Column("a")], [(f"{i}",) for i in range(rows)])
    return flow


CAUTIONS = ("Gloves on.", "Guard the die.", "Lock the ram out before hands go in.", "Sheared edges cut.")


def test_cautions_stand_whole_and_on_no_paper_more_than_they_need():
    """Whatever stands above: all on one paper; a new one only where three columns find no room on the others."""
    papers = []
    for rows in range(20, 45):
        plain, flow = filled(rows), filled(rows)
        flow.cautions(CAUTIONS)
        found = [set(CAUTIONS) & set(words_of([paper])) for paper in flow.drawings()]
        assert sorted(map(len, found))[-1] == len(CAUTIONS)
        papers.append(len(flow.drawings()) - len(plain.drawings()))
        room = plain.left.height - 3.2
        assert papers[-1] == (room < in_columns(CAUTIONS, plain.width, 3, 8.0).height and len(plain.drawings()) == 1)
    assert set(papers) == {0, 1}


def test_cautions_of_a_full_paper_stand_on_the_one_before():
    """A second paper that is full leaves them to the first, where a subject ended early."""
    flow = Flow("First", "in")
    flow.table([Column("a")], [(f"{i}",) for i in range(20)])
    flow.begin("Second")
    full = next(rows for rows in range(20, 60) if filled(rows).left.height < 12.0)
    flow.table([Column("a")], [(f"{i}",) for i in range(full)])
    flow.cautions(CAUTIONS)
    first, second = flow.drawings()
    assert "Cautions: second" in words_of([first])
    assert not set(CAUTIONS) & set(words_of([second]))


@pytest.mark.parametrize(("rows", "name"), [(10, "First, second"), (25, "Second")])
def test_a_subject_begins_on_a_paper_that_is_mostly_free(rows, name):
    """Under half a paper of the subject before: both stand on one, which bears both names."""
    flow = Flow("First", "in")
    flow.table([Column("a")], [(f"{i}",) for i in range(rows)])
    flow.begin("Second")
    flow.paragraph("Here.")
    assert next(paper.name for paper in flow.drawings() if "Here." in words_of([paper])) == name


@pytest.mark.parametrize("size", [7.5, 9.0, 10.0])
@pytest.mark.parametrize("columns", [3, 9, 15, 24])
def test_no_figure_of_a_table_is_shortened_or_broken(columns, size):
    """However many columns: every figure is there whole, once a row, each part of the table within the paper."""
    heads = [Column("seam"), *(Column(f"measured at place {k}", "end", wraps=k % 4 == 0) for k in range(columns))]
    rows = [[f"row {i}", *(f"{i + 1} ft {k % 12} {2 * (k % 8) + 1}/16 in" for k in range(columns))] for i in range(4)]
    flow = Flow("Table", "in")
    flow.table(heads, rows, size)
    papers = flow.drawings()
    words = words_of(papers)
    assert all(words.count(figure) == 1 for row in rows for figure in row[1:])
    assert not any("…" in word for word in words)
    right = max(item.box().right for paper in papers for item in paper.items if isinstance(item, Text))
    assert right <= room_box("in").right


# Summary


def test_weight_is_area_by_thickness_by_density(ring):
    """A blank of steel, 7850 kg/m³, weighs its volume by that."""
    panel = ring.panels[0]
    volume = panel.blank_length * panel.blank_height * 0.60706 / 1e9
    assert blank_weight(ring, metal_of(ring.job.metal), panel) == pytest.approx(volume * 7850)


def test_pull_is_over_the_faces_height(ring):
    """Pull: N a mm of height and mm of take-up, by both."""
    run = ring.runs[0]
    pull = ring.scallop.flex.pull_per_mm * abs(run.take_up) * run.height
    assert format_force(pull, "in") in words_of(draw_summary(ring))


def test_take_up_stands_beside_its_limits(ring):
    """The summary shows take-up as a share of first yield on a straight and at the tightest curve."""
    run, flex = ring.runs[0], ring.scallop.flex
    found = words_of(draw_summary(ring))
    assert f"{abs(run.take_up) / flex.take_up_limit:.0%}" in found
    assert f"{abs(run.take_up) / flex.tight_take_up_limit:.0%}" in found


def test_wrap_that_uses_the_whole_limit_is_said(ring):
    """Where the wrap alone takes a set, no share is reckoned."""
    flex = replace(ring.scallop.flex, tight_take_up_limit=0.0)
    plan = replace(ring, scallop=replace(ring.scallop, flex=flex))
    assert "set by the wrap" in words_of(draw_summary(plan))


def test_blanks_are_counted_by_length(ring):
    """As many of each length as the plan has."""
    counts = Counter(round(panel.blank_length, 3) for panel in ring.panels)
    found = words_of(draw_summary(ring))
    for length, count in counts.items():
        assert found[found.index(format_length(length, "in")) - 1] == str(count)


# Set-out


def test_chord_on_a_ring_is_two_r_sine_of_half_the_angle():
    """Four seams a quarter apart: the page gives 2·R·sin(s/2R) for each, the last one back to the first."""
    plan = make_plan(make_job(circle(2400.0)), 4)
    words = words_of(draw_set_out(plan, set_out(plan)), "cell")
    stations = [seam.station for seam in plan.seams]
    arcs = [b - a for a, b in zip(stations, [*stations[1:], plan.lines[0].back.length], strict=True)]
    for arc in arcs:
        assert format_length(2 * 1200.0 * math.sin(arc / 2400.0), "in") in words


def test_set_out_has_a_row_for_every_seam():
    """120 seams take several papers, and each stands once with its station."""
    plan = make_plan(make_job(circle(45000.0)), 120)
    drawings = draw_set_out(plan, set_out(plan))
    cells = words_of(drawings, "cell")
    assert len(drawings) > 2
    assert cells.count("as far as the sheet reaches") == 120
    for seam in plan.seams:
        assert format_length(seam.station, "in") in cells


# Cutting


def test_alike_sheets_are_drawn_once_with_their_count(ring):
    """Patterns hold every sheet once; each drawing says how many to make."""
    patterns = patterns_of(ring)
    assert sorted(sheet.number for p in patterns for sheet in p.sheets) == list(range(1, 41))
    found = " ".join(words_of(draw_cutting(ring), "heading"))
    for pattern in patterns:
        assert f"Make {len(pattern.sheets)} like this" in found


def test_every_panel_of_a_lone_sheet_is_named():
    """A sheet with two blanks names both, with their sizes."""
    plan = make_plan(make_job(circle(2400.0)), 2)
    blanks = [Cut(k + 1, 6.35 + 1500.0 * k, 0.0, 1400.0, 1000.0) for k in (0, 1)]
    plan = replace(plan, sheets=(SheetCut(1, 0, 3048.0, 1219.2, 0.75, tuple(blanks)),))
    found = words_of(draw_cutting(plan))
    assert {"panel 1", "panel 2"} <= set(found)
    assert f"{format_length(1400.0, 'in')} × {format_length(1000.0, 'in')}" in found
    assert format_length(6.35 + 1500.0 + 1400.0, "in") in found


def test_many_patterns_take_several_papers():
    """Five different sheets go on two papers, four and one."""
    plan = make_plan(make_job(circle(6000.0)), 5)
    sheets = tuple(
        replace(sheet, cuts=(replace(sheet.cuts[0], length=1000.0 + 50 * k),)) for k, sheet in enumerate(plan.sheets)
    )
    drawings = draw_cutting(replace(plan, sheets=sheets))
    assert [len(items_of([d], "blank", Area)) for d in drawings] == [4, 1]


@pytest.mark.parametrize("turned", [False, True])
def test_drops_and_blanks_fill_the_sheet(turned):
    """Without trims and kerfs, blanks and drops are the whole sheet, and nothing lies on anything."""
    cuts = [Cut(1, 0, 0, 900, 400), Cut(2, 900, 0, 700, 400), Cut(3, 0, 400, 1200, 500)]
    if turned:
        cuts = [Cut(c.panel, c.y, c.x, c.height, c.length, turned=True) for c in cuts]
    sheet = SheetCut(1, 0, *((1000.0, 2000.0) if turned else (2000.0, 1000.0)), 0.0, tuple(cuts))
    drops = [box(d.left, d.bottom, d.right, d.top) for d in drops_of(sheet)]
    blanks = [box(c.x, c.y, c.x + c.length, c.y + c.height) for c in cuts]
    assert unary_union(drops + blanks).area == pytest.approx(2000 * 1000)
    assert sum(shape.area for shape in drops + blanks) == pytest.approx(2000 * 1000)


@pytest.mark.parametrize(("width", "kept"), [(KEPT, True), (KEPT - 0.01, False)])
def test_drop_is_shown_from_an_inch_on(width, kept):
    """A drop an inch wide is kept; a hair less is scrap."""
    sheet = SheetCut(1, 0, 1000.0 + width, 500.0, 0.0, (Cut(1, 0.0, 0.0, 1000.0, 500.0),))
    assert bool(drops_of(sheet)) == kept


def test_full_sheet_has_no_drop():
    """A blank as large as its sheet leaves nothing."""
    assert drops_of(SheetCut(1, 0, 100.0, 50.0, 1.0, (Cut(1, 0.0, 0.0, 100.0, 50.0),))) == []


# Elevation


@pytest.mark.parametrize("panels", [4, 40, 120])
def test_elevation_shows_every_panel_once_and_to_scale(panels):
    """Panels stand once each, and their widths are in the proportion of their stations."""
    plan = make_plan(make_job(circle({4: 2400.0, 40: 15000.0, 120: 45000.0}[panels])), panels)
    drawings = draw_elevation(plan)
    shown = [int(word) for word in words_of(drawings, "panel-number")]
    assert shown == list(range(1, panels + 1))
    widths = [area.points[1][0] - area.points[0][0] for area in items_of(drawings, "panel", Area)]
    stations = [*(seam.station for seam in plan.seams), plan.lines[0].back.length]
    ratios = [(b - a) / w for a, b, w in zip(stations[:-1], stations[1:], widths, strict=True)]
    assert max(ratios) == pytest.approx(min(ratios))


def test_elevation_writes_every_station(open_plan):
    """Running dimensions at all seams, ends included."""
    found = words_of(draw_elevation(open_plan), "station")
    assert {format_length(seam.station, "in") for seam in open_plan.seams} <= set(found)


def test_elevation_draws_every_scallop(open_plan):
    """Between a panel's edges stand its inner boundaries: scallops − 1 lines."""
    lines = items_of(draw_elevation(open_plan), "scallop", Lines)
    assert [len(item.paths) + 1 for item in lines] == [panel.scallops for panel in open_plan.panels]


@pytest.mark.parametrize(("goes", "dashed"), [("under", True), ("over", False)])
def test_lap_that_is_hidden_is_dashed(open_plan, goes, dashed):
    """Under its neighbour a lap's edge is hidden, over it it is seen."""
    job = replace(open_plan.job, face=replace(open_plan.job.face, lap_goes=goes))
    drawings = draw_elevation(replace(open_plan, job=job))
    laps = items_of(drawings, "lap", Lines) + items_of(drawings, "lap", Area)
    assert len(laps) >= 6
    assert {bool(item.style.dash) for item in laps} == {dashed}


def test_butt_seams_have_no_lap(open_plan):
    """Panels that carry no lap show none."""
    bare = replace(open_plan, panels=tuple(replace(panel, lapped=False) for panel in open_plan.panels))
    drawings = draw_elevation(bare)
    assert items_of(drawings, "lap", Lines) + items_of(drawings, "lap", Area) == []
