"""The summary: how blanks are made up, bent, lapped and fixed; the scallop's section; goals in words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from paper_plans import circle, make_job, make_plan

from layout.face.plan import Choice, Proof
from layout.face.revisions import Revision
from layout.job.model import FaceSpec, FixingSpec, ScallopSpec
from layout.metal.flex import lap_rise
from layout.paper.goals import GOAL_WORDS, goal_value
from layout.paper.making import (
    bench_width,
    bend_lines,
    cut_ends,
    face_height,
    height_block,
    height_sum,
    seam_block,
    shape_block,
)
from layout.paper.packet import draw_packet
from layout.paper.primitives import Lines, Text
from layout.paper.profile import draw_scallop, section_scale
from layout.paper.quote import draw_quote
from layout.paper.summary import draw_summary
from layout.paper.terminal import plan_text
from layout.units import format_fine, format_length

INCH = 25.4
SUBJECTS = [
    *("Quote", "Summary", "Order", "Cutting", "Forming", "Panel tickets"),
    *("Seam map", "Ties", "Set-out", "Hanging order", "Flex", "Developed elevation"),
    *("Scallop", "Full-size gauge", "Die", "First-off", "Press", "Workings"),
]
"""of a packet, in the order in which they are begun"""


def words_of(drawings):
    """Return the texts of drawings."""
    return [item.text for drawing in drawings for item in drawing.items if isinstance(item, Text)]


def faced(plan, **changes):
    """Return the plan with another face."""
    return replace(plan, job=replace(plan.job, face=replace(plan.job.face, **changes)))


def test_height_tells_each_part_that_there_is(ring):
    """3 ft 3 3/4 in = 3/4 in + 3 ft 2 in + 1 in; no bottom return, none told."""
    plan = faced(ring, top_return=0.75 * INCH, scribe=INCH, bottom_return=0.0)
    words = height_sum(plan, 39.75 * INCH)
    assert words == "3 ft 3 3/4 in = 3/4 in top return + 3 ft 2 in face + 1 in scribe"


def test_height_with_all_parts_and_with_none(ring):
    """Both returns stand on their side of the face; a bare face is its blank."""
    plan = faced(ring, top_return=INCH, bottom_return=2 * INCH, scribe=3 * INCH)
    shown = height_sum(plan, 42 * INCH)
    assert shown == "3 ft 6 in = 1 in top return + 3 ft face + 2 in bottom return + 3 in scribe"
    assert height_sum(faced(ring, top_return=0.0), 36 * INCH) == "3 ft = 3 ft face"


def test_bends_are_measured_from_the_bottom_edge(ring):
    """Scribe, then bottom return over it, then the top return under the upper edge."""
    plan = faced(ring, top_return=10.0, bottom_return=20.0, scribe=30.0)
    assert bend_lines(plan, 1000.0) == [
        ("scribe line", 30.0),
        ("bend, bottom return", 30.0 + 20.0),
        ("bend, top return", 1000.0 - 10.0),
    ]
    assert bend_lines(faced(ring, top_return=0.0), 1000.0) == []


def test_face_height_is_blank_less_returns(ring):
    """A run's face is its blank less returns and scribe: the job's own height where it has no other."""
    plan = faced(ring, scribe=0.0)
    assert face_height(plan, plan.runs[0]) == pytest.approx(plan.job.face.height)
    assert face_height(plan, replace(plan.runs[0], height=0.0)) == plan.job.face.height


def test_form_trim_is_told(ring):
    """The metal formed shallow and cut back stands beside the bends."""
    assert ("form trim, each end", "3/4 in") in height_block(ring).rows


@pytest.mark.parametrize("goes", ["under", "over"])
def test_seams_say_which_way_laps_go(ring, goes):
    """The word of the job stands in the summary, with the lap's rise."""
    rows = dict(seam_block(faced(ring, lap_goes=goes)).rows)
    assert f"goes {goes} its right-hand neighbour" in rows["seams"]
    assert rows["lap rise on the flanks"] == format_fine(lap_rise(ring.scallop.profile), "in")


def test_butt_seams_have_no_rise(ring):
    """Edges that meet have no upper layer."""
    bare = replace(ring, panels=tuple(replace(panel, lapped=False) for panel in ring.panels))
    rows = dict(seam_block(faced(bare, seam="butt")).rows)
    assert rows["seams"].startswith("butt")
    assert "lap rise on the flanks" not in rows


def test_fixings_are_so_many_valleys_apart(ring):
    """Every third valley is three pitches: 3 × 2.75 in."""
    plan = replace(ring, job=replace(ring.job, fixing=FixingSpec(edge=0.5 * INCH, every=3)))
    rows = dict(seam_block(plan).rows)
    assert rows["fixings"] == "every 3 valleys = 8.2500 in"
    assert rows["last fixing, from the panel's end"] == "1/2 in"


def test_arc_tells_its_radius(ring):
    """An arc of chord p and rise d has the radius (p²/4 + d²)/(2·d)."""
    p, d = 69.85, 15.875
    rows = dict(shape_block(ring).rows)
    assert rows["arc radius"] == format_fine((p * p / 4 + d * d) / (2 * d), "in")
    assert rows["valley radius"] == "sharp"
    assert rows["overall depth, with the metal"] == format_fine(d + 0.60706, "in")


def test_flat_of_a_flat_form_is_told():
    """A flat of 1/2 in stands there, and the valley is flat."""
    scallop = ScallopSpec("arc-flat", pitch=69.85, depth=12.0, flat=12.7)
    plan = make_plan(make_job(circle(2400.0), scallop=scallop), 4)
    rows = dict(shape_block(plan).rows)
    assert rows["flat in the valley"] == "0.5000 in"
    assert rows["valley radius"] == "flat"


def test_bench_width_is_scallops_by_pitch(ring):
    """A panel lies n + 1 formed pitches wide with its lap; the summary shows it."""
    panel = ring.panels[0]
    assert bench_width(ring, panel) == pytest.approx((panel.scallops + 1) * 69.85)
    assert format_length(bench_width(ring, panel), "in") in words_of(draw_summary(ring))
    assert bench_width(ring, replace(panel, lapped=False)) == pytest.approx(panel.scallops * 69.85)


def test_cut_end_names_its_panel_and_width(open_plan):
    """The last panel's last scallop is as wide as its two boundaries stand apart."""
    run = replace(open_plan.runs[0], last_part=0.4)
    plan = replace(open_plan, runs=(run,))
    (words,) = cut_ends(plan)
    assert words.startswith("Panel 7:")
    assert format_length(run.stations[-1] - run.stations[-2], "in") in words
    assert words in " ".join(words_of(draw_summary(plan)))
    assert cut_ends(open_plan) == []


def test_section_is_to_scale(ring):
    """Two scallops in section are two pitches wide at the scale that the title block names."""
    (drawing,) = draw_scallop(ring)
    (metal,) = (item for item in drawing.items if isinstance(item, Lines) and item.kind == "metal")
    xs, ys = zip(*metal.paths[0], strict=True)
    ratio = section_scale(ring).ratio
    assert drawing.scale == section_scale(ring).words
    assert (max(xs) - min(xs)) * ratio == pytest.approx(2 * ring.scallop.profile.pitch)
    assert (max(ys) - min(ys)) * ratio == pytest.approx(ring.scallop.profile.depth, rel=1e-3)
    assert metal.style.weight * 25.4 / 72 * ratio == pytest.approx(0.60706)


def test_section_notes_pitch_depth_and_thickness(ring):
    """The three figures of a tool stand at the section."""
    found = " ".join(words_of(draw_scallop(ring)))
    for words in ("pitch 2.7500 in", "depth 0.6250 in", "thickness 0.0239 in"):
        assert words in found


@pytest.mark.parametrize(("pitch", "words"), [(12.0, "4 : 1"), (30.0, "2 : 1"), (69.85, "full size")])
def test_small_scallops_are_drawn_larger(pitch, words):
    """A scallop of 12 mm is drawn four times its size, one of 2 3/4 in as it is."""
    plan = make_plan(make_job(circle(2400.0), scallop=ScallopSpec("arc", pitch=pitch, depth=pitch / 5)), 4)
    assert section_scale(plan).words == words


def test_edge_lift_goals_are_lengths_of_the_job():
    """1212 µm is 1.212/25.4 in; counts stay counts."""
    assert goal_value("seam_cost", 1212, "in") == f"{1.212 / 25.4:.4f} in"
    assert goal_value("sheets", 6.0, "in") == "6"


def test_terminal_and_summary_speak_alike(ring):
    """Every goal has the same words and the same value on paper and in the terminal."""
    told, drawn = plan_text(ring, []), words_of(draw_summary(ring))
    proof = Proof("worst_seam", 1212, 1100, proved=False)
    assert proof in ring.proof
    for goal in ("panels", "worst_seam", "different_lengths", "sheets"):
        assert GOAL_WORDS[goal] in told
        assert GOAL_WORDS[goal] in drawn
    assert "0.0477 in, not proved: no plan goes below 0.0433 in" in told
    assert {"0.0477 in", "0.0433 in"} <= set(drawn)
    assert "µm" not in told + " ".join(drawn)


def test_packet_is_bound_for_its_four_readers(ring):
    """Quote, shop, site, die, in this order and each without a gap; the quote is one page."""
    papers = draw_packet(ring)
    assert list(dict.fromkeys(paper.reader for paper in papers)) == ["quote", "shop", "site", "die"]
    readers = [paper.reader for paper in papers]
    assert readers == sorted(readers, key=["quote", "shop", "site", "die"].index)
    assert readers.count("quote") == 1
    subjects = [part.split(" part")[0] for paper in papers for part in paper.name.split(", ")]
    names = [name for name in dict.fromkeys(name[:1].upper() + name[1:] for name in subjects) if name in SUBJECTS]
    assert names == SUBJECTS


def test_bare_face_needs_no_bends():
    """A face without returns has its height and form trim alone."""
    job = make_job(circle(2400.0), face=FaceSpec(height=1085.85))
    assert [name for name, _ in height_block(make_plan(job, 4)).rows] == ["blank", "form trim, each end"]


def test_a_row_other_than_the_best_is_proved_within_itself_only(ring):
    """Terminal, summary and quote say "within this row" where another row is chosen, and not of the best."""
    choice = Choice(None, 3, 3, 0.5, 1, chosen=True, note="one more panel")
    for note, said in (("one more panel", True), ("best by the goals", False)):
        plan = replace(ring, choices=(replace(choice, note=note),))
        for words in (plan_text(plan, []), words_of(draw_summary(plan)), words_of(draw_quote(plan, Revision()))):
            assert ("within this row" in str(words)) is said


def test_edge_lift_of_a_plan_without_seams_is_no_seam(ring):
    """One panel has no seam, so no lift is told or called least."""
    alone = replace(ring, seams=tuple(replace(seam, end=True) for seam in ring.seams))
    assert "no seam" in plan_text(alone, [])
    assert "no seam" in words_of(draw_summary(alone))
    assert "no seam" not in plan_text(ring, []).replace("no seams", "")
