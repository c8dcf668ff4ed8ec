"""Set-out and elevation as the installer uses them: edges, closing check, the datum, cut ends."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from paper_plans import circle, make_job, make_plan

from layout.face.set_out import set_out
from layout.paper.csv_tables import cut_list_csv
from layout.paper.elevation import draw_elevation
from layout.paper.hanging import check_rows, closing_words, edge_words, springing
from layout.paper.hanging_order import draw_hanging
from layout.paper.map_view import panel_stations
from layout.paper.primitives import Area, Lines, Text
from layout.paper.set_out import draw_set_out
from layout.units import format_length


def words_of(drawings, kind=None):
    """Return the texts of drawings."""
    return [
        item.text
        for drawing in drawings
        for item in drawing.items
        if isinstance(item, Text) and (kind is None or item.kind == kind)
    ]


def faced(plan, **changes):
    """Return the plan with another face."""
    return replace(plan, job=replace(plan.job, face=replace(plan.job.face, **changes)))


def shifted(plan, by):
    """Return a loop's plan whose first seam stands `by` scallops past the datum."""
    run = plan.runs[0]
    lap = run.stations[-1] - run.stations[0]
    stations = np.concatenate([run.stations[by:], run.stations[1 : by + 1] + lap])
    moved = replace(run, stations=stations, start=float(stations[0]), end=float(stations[-1]))
    return replace(plan, runs=(moved,))


def test_laps_under_are_hung_in_rising_order(ring):
    """The lap tucks under the next, so the next comes after; a loop's first edge is left loose."""
    words = edge_words(ring)
    assert "left edge stands on its mark" in words
    assert "rising order" in words
    assert "left edge of the first panel hung loose" in words


def test_laps_over_are_hung_in_falling_order(ring):
    """The lap lies over the next, so the next comes first; the last panel's right end is left loose."""
    words = edge_words(faced(ring, lap_goes="over"))
    assert "falling order" in words
    assert "one scallop right of the mark" in words
    assert "right end of the first panel hung loose" in words


@pytest.mark.parametrize("goes", ["under", "over"])
def test_open_lines_have_no_loop_to_close(open_plan, goes):
    """Without a loop nothing is left loose."""
    assert "loose" not in edge_words(faced(open_plan, lap_goes=goes))


def test_butt_edges_meet_at_the_mark(ring):
    """Neither edge passes the mark."""
    bare = replace(ring, panels=tuple(replace(panel, lapped=False) for panel in ring.panels))
    assert "meet at the mark" in edge_words(faced(bare, seam="butt"))


def test_closing_check_reads_the_back_line(ring, open_plan):
    """A loop's tape comes back to the datum, an open line's ends at its right; both read the back line."""
    for plan, place in ((ring, "back at the datum"), (open_plan, "at the right end")):
        first = next(iter(closing_words(plan)))
        assert place in first
        assert first.endswith(f"must read {format_length(plan.lines[0].back.length, 'in')}.")


def test_closing_check_of_two_outlines_names_both(pair):
    """Each outline has its own tape."""
    words = list(closing_words(pair))
    assert "island: the tape back at the datum" in words[0]
    assert "back bar: the tape at the right end" in words[1]


def test_wall_may_measure_what_the_run_allows(ring):
    """Planned less may-be-shorter, to planned plus may-be-longer."""
    run = ring.runs[0]
    planned = run.end - run.start
    ((_, shown, _, may),) = check_rows(ring)
    assert shown == format_length(planned, "in")
    assert may == f"{format_length(planned - 29.0, 'in')} to {format_length(planned + 31.0, 'in')}"


def test_spring_is_scallops_by_what_take_up_leaves(ring):
    """Longer by N·(limit − take-up), shorter by N·(limit + take-up), neither past what is refused."""
    run = replace(ring.runs[0], scallops=100, take_up=0.05, may_be_longer=500.0, may_be_shorter=500.0)
    assert springing(ring, run) == pytest.approx((100 * (0.21 + 0.05), 100 * (0.21 - 0.05)))
    assert springing(ring, replace(run, may_be_longer=3.0)) == pytest.approx((26.0, 3.0))


@pytest.mark.parametrize(("take_up", "springs"), [(0.2099, True), (0.21, False), (-0.21, False)])
def test_take_up_at_first_yield_springs_no_more(ring, take_up, springs):
    """Below the limit of 0.21 mm a little is left; from it on the metal has taken a set."""
    assert (springing(ring, replace(ring.runs[0], take_up=take_up)) is not None) == springs


def test_cut_ends_take_the_difference(open_plan):
    """Where the last scallop is cut, stations are not multiplied, on paper either."""
    plan = replace(open_plan, runs=(replace(open_plan.runs[0], last_part=0.4),))
    words = " ".join(words_of(draw_hanging(plan, set_out(plan))))
    assert "stations stay as they are" in words
    assert "multiply" not in words
    assert "goes into the cut" in words
    whole = " ".join(words_of(draw_hanging(open_plan, set_out(open_plan))))
    assert "multiply every station by measured / planned" in whole


def test_site_words_can_be_read(plan):
    """Everything of the set-out and of the hanging order is at 10 pt or more."""
    kinds = {"text", "cell"}
    found = set_out(plan)
    for drawing in (*draw_set_out(plan, found), *draw_hanging(plan, found)):
        assert all(item.size >= 10.0 for item in drawing.items if isinstance(item, Text) and item.kind in kinds)


def test_station_past_the_datum_is_the_tapes_own():
    """The right end of a loop's last panel reads the first seam's station, marked past the datum."""
    plan = shifted(make_plan(make_job(circle(2400.0)), 4), 5)
    drawings = draw_elevation(plan)
    back = plan.lines[0].back.length
    end = panel_stations(plan, plan.panels[-1])[1]
    assert end > back
    found = words_of(drawings, "station")
    assert found[-1] == format_length(end - back, "in") == found[0]
    assert words_of(drawings, "past") == ["(past the datum)"]


def test_datum_is_drawn_through_the_panel_that_crosses_it():
    """It stands in the share of the last panel that lies before station 0, and only there."""
    plan = shifted(make_plan(make_job(circle(2400.0)), 4), 5)
    items = [item for drawing in draw_elevation(plan) for item in drawing.items]
    (datum,) = (item for item in items if isinstance(item, Lines) and item.kind == "datum")
    last = [item for item in items if isinstance(item, Area) and item.kind == "panel"][-1]
    start, end = panel_stations(plan, plan.panels[-1])
    left, right = last.points[0][0], last.points[1][0]
    share = (plan.lines[0].back.length - start) / (end - start)
    assert (datum.paths[0][0][0] - left) / (right - left) == pytest.approx(share)


def test_seam_at_the_datum_needs_no_mark(ring, open_plan):
    """A loop whose first seam is the datum reads its whole length at the end; an open line crosses none."""
    for plan in (ring, open_plan):
        drawings = draw_elevation(plan)
        assert words_of(drawings, "past") == []
        assert [i for d in drawings for i in d.items if isinstance(i, Lines) and i.kind == "datum"] == []
    assert words_of(draw_elevation(ring), "station")[-1] == format_length(ring.lines[0].back.length, "in")


def test_cover_on_the_wall_is_the_difference_of_stations():
    """Elevation and cut list tell both covers; the one on the wall agrees with the set-out."""
    plan = make_plan(make_job(circle(2400.0)), 4)
    notes = words_of(draw_elevation(plan), "panel-note")
    rows = list(csv.DictReader(io.StringIO(cut_list_csv(plan))))
    for panel, row in zip(plan.panels, rows, strict=True):
        start, end = panel_stations(plan, panel)
        assert f"on the wall {format_length(end - start, 'in')}" in notes
        assert f"cover, at the count line {format_length(panel.cover, 'in')}" in notes
        assert float(row["cover on the wall (in)"]) * 25.4 == pytest.approx(end - start, abs=0.002)
        assert float(row["cover at the count line (in)"]) * 25.4 == pytest.approx(panel.cover, abs=0.002)


def test_elevation_shows_the_faces_height():
    """Note and dimension say the face's height, also where a run has its own."""
    ring = make_plan(make_job(circle(2400.0)), 4)
    assert words_of(draw_elevation(ring), "dimension").count(format_length(1066.8, "in")) >= 1
    higher = replace(ring, runs=(replace(ring.runs[0], height=1219.05),))
    drawings = draw_elevation(higher)
    assert f"{format_length(1200.0, 'in')} high" in words_of(drawings, "note")[0]
    assert format_length(1200.0, "in") in words_of(drawings, "dimension")


def test_elevation_says_what_is_cut_on_site(open_plan):
    """The panel with the cut scallop is named over the rows."""
    plan = replace(open_plan, runs=(replace(open_plan.runs[0], last_part=0.4),))
    assert "Panel 7: its last scallop" in " ".join(words_of(draw_elevation(plan), "note"))


def test_several_runs_of_one_line_are_stretched_each_by_itself(open_plan):
    """With fixed ends between runs a station moves in proportion to its distance from its run's start."""
    plan = replace(open_plan, runs=(open_plan.runs[0], replace(open_plan.runs[0], number=2)))
    assert "each station's distance from its run's start" in " ".join(closing_words(plan))
    assert "multiply every station" in " ".join(closing_words(open_plan))
