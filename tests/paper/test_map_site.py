"""What the site reads off the maps: ties, shared labels, match lines, openings, where hanging starts and closes."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from paper_plans import circle, make_job, make_plan, wander

from layout.face.plan import Hanging
from layout.face.set_out import set_out
from layout.job.model import Cutout, Opening, OutlineSpec, Viewpoint, Zone
from layout.job.model_packet import SiteSpec
from layout.paper.hanging_order import draw_hanging, goes_right, opens_away
from layout.paper.map_numbers import seams_by_place
from layout.paper.primitives import Circle, Lines, Text
from layout.paper.seam_map import draw_seam_map, draw_ties
from layout.paper.set_out import closing_sums, draw_set_out
from layout.units import format_length


def words_of(drawings, kind=None):
    """Return the texts of drawings."""
    items = (item for drawing in drawings for item in drawing.items)
    return [item.text for item in items if isinstance(item, Text) and (kind is None or item.kind == kind)]


def lines_of(drawings, kind):
    """Return the paths of one kind."""
    items = (item for drawing in drawings for item in drawing.items)
    return [path for item in items if isinstance(item, Lines) and item.kind == kind for path in item.paths]


# Ties


def test_every_tied_seam_has_its_two_ties_to_scale(plan):
    """Two lines a tied place, together as long as the set-out's distances at one scale."""
    found = set_out(plan)
    paths = lines_of(draw_ties(plan, found), "tie")
    tied = [mark for mark in found.marks if mark.ties and mark.same_as is None]
    assert len(paths) >= 2 * len(tied)  # a part's last seam is the next part's first
    if len(draw_ties(plan, found)) == 1 and tied:
        drawn = sum(math.dist(*path) for path in paths)
        told = sum(sum(mark.ties.distances) for mark in tied)
        ratios = [told / drawn]
        for path, length in zip(paths, (d for mark in tied for d in mark.ties.distances), strict=True):
            ratios.append(length / math.dist(*path))
        assert ratios == pytest.approx([ratios[0]] * len(ratios), rel=1e-6)


def test_control_points_of_the_job_are_those_drawn():
    """Given points keep their places and letters, on the map and in the set-out's table."""
    points = ((-2500.0, -2500.0), (2500.0, -2500.0), (2500.0, 2500.0))
    plan = make_plan(make_job(circle(2400.0), units="mm", site=SiteSpec(points)), 4)
    found = set_out(plan)
    assert found.given
    assert [one.xy for one in found.controls] == list(points)
    (drawing,) = draw_ties(plan, found)
    spots = [item.centre for item in drawing.items if isinstance(item, Circle) and item.kind == "control"][:3]
    assert math.dist(spots[0], spots[1]) == pytest.approx(math.dist(spots[1], spots[2]))
    names = words_of([drawing], "control-name")
    assert [name[0] for name in names] == ["A", "B", "C"]
    assert "A  (−2500 mm, −2500 mm)" in names
    assert "Control points, as given" in words_of(draw_set_out(plan, found), "heading")


def test_the_jobs_tape_sets_the_tolerance():
    """A tape twice as rough gives a wider tolerance, printed in the stop rule."""
    plans = [
        make_plan(make_job(circle(6000.0), units="mm", site=SiteSpec(tape_sigma=sigma)), 8) for sigma in (1.0, 2.0)
    ]
    founds = [set_out(plan) for plan in plans]
    assert founds[1].check_sigma == pytest.approx(2 * founds[0].check_sigma, rel=1e-9)
    for plan, found in zip(plans, founds, strict=True):
        words = " ".join(words_of(draw_set_out(plan, found)))
        assert f"differ from its figure by {format_length(found.tolerance, 'mm')}" in words


def test_closing_sum_comes_back_to_zero(plan):
    """For every line, the parts less the back line are nothing."""
    found = set_out(plan)
    said = list(closing_sums(plan, found))
    assert len(said) == len(plan.lines)
    nothing = format_length(0.0, plan.job.units)
    assert all(f": {nothing}. On the wall" in words for words in said)


# Shared labels


def twins(plan):
    """Return a plan in which one more seam stands at the third one's place, as where two runs meet."""
    third = plan.seams[2]
    return replace(plan, seams=(*plan.seams[:3], replace(third, number=len(plan.seams) + 1), *plan.seams[3:]))


def test_two_seams_at_one_place_share_one_label(open_plan):
    """Both numbers stand side by side, and the station once."""
    plan = twins(open_plan)
    places = seams_by_place(plan, plan.seams)
    assert [len(place) for place in places].count(2) == 1
    (drawing,) = draw_seam_map(plan)
    spots = {item.key: item.at for item in drawing.items if isinstance(item, Text) and item.key.startswith("seam-")}
    assert len(spots) == len(plan.seams)
    assert math.dist(spots["seam-3"], spots[f"seam-{len(plan.seams)}"]) < 9.0
    assert words_of([drawing], "station").count(format_length(plan.seams[2].station, "in")) <= 1


@pytest.mark.parametrize(("turn", "count"), [(0.09, 1), (0.11, 2)])
def test_seams_at_a_corner_keep_labels_of_their_own(open_plan, turn, count):
    """Where two seams face different ways, by more than 0.1 radians, each has its own label."""
    first = open_plan.seams[2]
    other = replace(first, number=99, heading=first.heading + turn)
    assert len(seams_by_place(open_plan, [first, other])) == count


def test_the_last_end_of_a_loop_shares_the_label_of_the_first(ring):
    """A run that ends at the datum ends where the first begins."""
    last = replace(ring.seams[0], number=99, station=ring.lines[0].back.length)
    assert len(seams_by_place(ring, [*ring.seams, last])[0]) == 2


# Parts


def test_parts_say_where_they_go_on():
    """A loop in parts: each has two match lines, and names the part that follows and the one before."""
    spec = OutlineSpec("", "rounded-rectangle", length=60000.0, width=9000.0, radius=1200.0)
    _, *parts = draw_seam_map(make_plan(make_job(spec), 120))
    assert len(parts) > 1
    for i, part in enumerate(parts):
        assert len(lines_of([part], "match-line")) == 2
        around = {(i - 1) % len(parts) + 1, (i + 1) % len(parts) + 1}
        assert {f"goes on in part {k}" for k in around} <= set(words_of([part]))


def test_one_paper_has_no_match_lines(plan):
    """Where the whole stands on one paper there is nothing to match."""
    assert lines_of(draw_seam_map(plan), "match-line") == []


# Places of the site


def test_an_opening_without_leaf_wipes_the_face_off(open_plan):
    """The gap is drawn over the face, named, and one with a leaf is only named."""
    openings = (Opening("walk-in", 3000.0, 3900.0), Opening("gate", 5000.0, 5900.0, leaf=True))
    plan = replace(open_plan, job=replace(open_plan.job, openings=openings))
    drawings = draw_seam_map(plan)
    assert len(lines_of(drawings, "opening")) == 2
    assert {"walk-in", "gate, leaf"} <= set(words_of(drawings))


def test_zones_and_cut_outs_are_named(open_plan):
    """A zone with its height, a cut-out with a cross at its place."""
    zones, holes = (Zone("bar", 0.0, 2000.0, 1066.8),), (Cutout("socket", 4000.0, 300.0, 80.0, 120.0),)
    plan = replace(open_plan, job=replace(open_plan.job, zones=zones, cutouts=holes))
    drawings = draw_seam_map(plan)
    assert {"bar, 3 ft 6 in high", "socket"} <= set(words_of(drawings))
    assert len(lines_of(drawings, "cut-out")) == 2


def test_map_says_where_hanging_starts_and_closes(ring):
    """Once each, at the panels of the order."""
    plan = replace(ring, hanging=(Hanging(1, (*range(5, 41), *range(1, 5))),))
    words = words_of(draw_seam_map(plan))
    assert words.count("hang first") == 1
    assert words.count("closing panel, last") == 1


# Hanging order


def test_hanging_order_checks_the_free_end(open_plan):
    """Hung to the right, the right valley is checked; to the left, the left one; at the stations of the seams."""
    found = set_out(open_plan)
    numbers = tuple(panel.number for panel in open_plan.panels)
    second = format_length(open_plan.seams[1].station, "in")
    for order, side in ((numbers, "right"), (numbers[::-1], "left")):
        plan = replace(open_plan, hanging=(Hanging(1, order),))
        tolerance = format_length(found.tolerance, "in")
        assert f"{side} {second} ± {tolerance}" in words_of(draw_hanging(plan, found), "cell")


def test_direction_round_a_loop_is_told_across_the_first_number(ring):
    """40, 1, 2 … goes right; 1, 40, 39 … goes left."""
    run = ring.runs[0]
    assert goes_right(run, [40, *range(1, 40)])
    assert not goes_right(run, [1, *range(40, 1, -1)])


def test_closing_panels_are_held_back(ring):
    """The sheet names the last panel of the order, and has room for the girth at floor and top."""
    plan = replace(ring, hanging=(Hanging(1, (*range(5, 41), *range(1, 5))),))
    words = " ".join(words_of(draw_hanging(plan, set_out(plan))))
    assert "Hold back the blank of panel 4:" in words
    assert {"floor", "top"} <= set(words.split())
    assert words.count("measured,") == 2


@pytest.mark.parametrize(
    ("way", "x", "away"), [("under", 500.0, True), ("under", -500.0, False), ("over", 500.0, False)]
)
def test_laps_open_away_from_who_stands_past_them(way, x, away):
    """Tucked under, a lap's edge faces left: whoever stands to the right of it does not see into it."""
    plan = make_plan(make_job(wander(), viewpoints=(Viewpoint("door", (0.0, 0.0)),)), 7)
    plan = replace(plan, job=replace(plan.job, face=replace(plan.job.face, lap_goes=way)))
    seam = replace(plan.seams[1], x=0.0, y=0.0, heading=0.0)
    assert opens_away(plan, seam, Viewpoint("door", (x, -900.0))) is away


def test_laps_are_told_from_the_main_viewpoint(ring):
    """Of several, the one that counts most is named."""
    places = (Viewpoint("bar", (0.0, -9000.0)), Viewpoint("door", (9000.0, 0.0), weight=3.0))
    plan = replace(ring, job=replace(ring.job, viewpoints=places))
    words = " ".join(words_of(draw_hanging(plan, set_out(plan))))
    assert "Seen from door, " in words
    assert "of 40 laps open away" in words
