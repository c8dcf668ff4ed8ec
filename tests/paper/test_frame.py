"""Paper sizes, margins, title block and scales."""

from __future__ import annotations

from itertools import islice

import pytest
from paper_plans import DIGEST, circle, make_job, make_plan

from layout.job.model_packet import PaperSpec
from layout.paper.frame import MARGIN, SIZES, Drawing, choose_scale, finish, frame_box, room_box, scales
from layout.paper.packet import draw_packet
from layout.paper.primitives import Text


def test_paper_is_letter_for_inches_and_a4_for_millimetres():
    """Landscape letter is 11 × 8.5 in, tabloid 17 × 11 (ANSI Y14.1); A4 297 × 210, A3 420 × 297 mm (ISO 216)."""
    inch = 25.4
    assert SIZES["in"] == SIZES["letter"] == pytest.approx((11 * inch, 8.5 * inch))
    assert SIZES["tabloid"] == pytest.approx((17 * inch, 11 * inch))
    assert SIZES["mm"] == SIZES["A4"] == (297.0, 210.0)
    assert SIZES["A3"] == (420.0, 297.0)


@pytest.mark.parametrize("size", ["letter", "tabloid", "A4", "A3"])
def test_a_job_may_ask_for_any_paper(size):
    """Every paper of the packet is the size that the job asks for, lying or standing."""
    plan = make_plan(make_job(circle(2400.0), paper=PaperSpec(size)), 4)
    for paper in draw_packet(plan):
        assert sorted((paper.width, paper.height)) == sorted(SIZES[size])


@pytest.mark.parametrize("portrait", [False, True])
def test_page_count_of_three_figures_finds_room(portrait):
    """Page 123 of 123 is not cut short, and neither are the scale and the date."""
    job = make_job(circle(2400.0), paper=PaperSpec(date="9 March 2024"))
    drawing = Drawing("Map", (), '1 1/2" = 1\'-0"', portrait, "site")
    words = [item.text for item in finish([drawing] * 123, job, revision="AB")[-1].items if isinstance(item, Text)]
    assert {"123 of 123", '1 1/2" = 1\'-0"', "9 March 2024", "for: site", "AB"} <= set(words)


def test_date_is_left_open_where_the_job_gives_none():
    """No clock: the date's cell has its caption and nothing else."""
    (paper,) = finish([Drawing("One", ())], make_job(circle(2400.0)))
    words = [item.text for item in paper.items if isinstance(item, Text)]
    assert words[words.index("date") + 1] == ""


@pytest.mark.parametrize("units", ["in", "mm"])
def test_margins_are_at_least_ten_millimetres(units):
    """The frame stands 10 mm inside the paper's edge, and the room inside the frame."""
    frame, (width, height) = frame_box(units), SIZES[units]
    assert min(frame.left, frame.bottom, width - frame.right, height - frame.top) >= MARGIN >= 10.0
    assert frame.holds(room_box(units))


def test_scale_changes_at_its_boundary():
    """What just fits at 1:20 is drawn at 1:20; a millimetre more goes to 1:25."""
    assert choose_scale((2000.0, 100.0), (100.0, 100.0), "mm").ratio == 20
    assert choose_scale((2001.0, 100.0), (100.0, 100.0), "mm").ratio == 25
    assert choose_scale((100.0, 2001.0), (100.0, 100.0), "mm").ratio == 25


def test_inch_scales_mean_what_they_say():
    """An architect's scale of n inches a foot has the ratio 12/n; an engineer's of n feet an inch, 12·n."""
    parts = {'3"': 3, '1 1/2"': 1.5, '1"': 1, '3/4"': 0.75, '1/2"': 0.5, '1/4"': 0.25, '3/32"': 3 / 32}
    named = {scale.words: scale.ratio for scale in islice(scales("in"), 20)}
    for words, inches in parts.items():
        assert named[f"{words} = 1'-0\""] == 12 / inches
    assert named["1\" = 20'"] == 12 * 20


@pytest.mark.parametrize("units", ["in", "mm"])
def test_scales_never_end_and_always_grow(units):
    """A kilometre of wall still finds a scale, and each scale is smaller than the one before."""
    ratios = [scale.ratio for scale in islice(scales(units), 30)]
    assert ratios == sorted(set(ratios))
    assert choose_scale((1e6, 1e6), (200.0, 150.0), units).ratio >= 1e6 / 150.0


def test_senseless_extent_is_refused():
    """An extent that is not finite has no scale."""
    with pytest.raises(ValueError, match="no scale"):
        choose_scale((float("nan"), 1.0), (10.0, 10.0), "mm")


def test_title_block_tells_job_drawing_and_count():
    """Every paper names the job, the drawing, its place in the packet, scale, units and the job file."""
    papers = finish([Drawing("One", ()), Drawing("Two", (), "1 : 20")], make_job(circle(2400.0), units="mm"))
    words = [item.text for item in papers[1].items if isinstance(item, Text)]
    assert {"Ticket counter, east hall", "Two", "2 of 2", "1 : 20", "millimetres", DIGEST[:12]} <= set(words)


def titles_of(title):
    """Return the lines in which a title block writes a job's title."""
    items = finish([Drawing("One", ())], make_job(circle(2400.0), title=title))[0].items
    return [item for item in items if getattr(item, "kind", "") == "title" and item.at[0] < 20.0]


@pytest.mark.parametrize(
    ("title", "lines"),
    [("Ticket counter, east hall, level 2", 1), ("Ticket counter, east hall, level 2, departures", 2)],
)
def test_long_title_is_set_smaller_then_on_two_lines(title, lines):
    """A title as long as its cell takes is whole: smaller than 10 pt, or on two lines, within the cell."""
    found = titles_of(title)
    assert " ".join(item.text for item in found) == title
    assert len(found) == lines
    assert all(7.0 <= item.size < 10.0 for item in found)
    assert all(item.box().right < frame_box("in").left + 0.25 * frame_box("in").width for item in found)


def test_title_longer_than_two_lines_is_cut():
    """What two lines of 7 pt cannot hold ends with …, inside its cell."""
    first, second = titles_of("Ticket counter " * 20)
    assert second.text.endswith("…")
    assert not first.text.endswith("…")
    assert second.box().right < frame_box("in").left + 0.25 * frame_box("in").width
