"""Paper sizes, margins, title block and scales."""

from __future__ import annotations

from itertools import islice

import pytest
from paper_plans import DIGEST, circle, make_job

from layout.paper.frame import MARGIN, SIZES, Drawing, choose_scale, finish, frame_box, room_box, scales
from layout.paper.primitives import Text


def test_paper_is_letter_for_inches_and_a4_for_millimetres():
    """Landscape letter is 11 × 8.5 in (ANSI Y14.1), A4 297 × 210 mm (ISO 216)."""
    assert {"in": pytest.approx((11 * 25.4, 8.5 * 25.4)), "mm": (297.0, 210.0)} == SIZES


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


def test_long_title_is_cut_to_its_cell():
    """A title longer than its cell is shortened, not drawn over the next cell."""
    job = make_job(circle(2400.0), title="Ticket counter " * 20)
    title = next(
        item for item in finish([Drawing("One", ())], job)[0].items if getattr(item, "text", "").startswith("Ticket")
    )
    assert title.text.endswith("…")
    assert title.box().right < frame_box("in").left + 0.34 * frame_box("in").width
