"""Cutting papers: stops across and along, the order of cuts, and drops after kerf and trims."""

from __future__ import annotations

from dataclasses import replace

import pytest
from paper_plans import circle, make_job, make_plan

from layout.face.plan import Cut, SheetCut
from layout.job.model import SheetSpec
from layout.paper.cut_order import order_of_cuts, passes_of, strips_of
from layout.paper.cutting import draw_cutting
from layout.paper.drops import KEPT, drops_of
from layout.paper.primitives import Text
from layout.units import format_length

KERF, TRIM, EDGE = 3.0, 5.0, 6.0
STOCK = SheetSpec(length=3000.0, width=1250.0, trim=TRIM, edge_trim=EDGE, kerf=KERF)


def three_strips():
    """Return a sheet with three strips of 360 mm, the uppermost one shorter."""
    lengths = (2800.0, 2800.0, 2100.0)
    cuts = tuple(Cut(k + 1, TRIM, EDGE + k * (360.0 + KERF), length, 360.0) for k, length in enumerate(lengths))
    return SheetCut(1, 0, STOCK.length, STOCK.width, 0.7, cuts)


def texts_of(kind):
    """Return the texts of one kind on the cutting paper of the three strips."""
    job = make_job(circle(2400.0), units="mm", sheets=(STOCK,))
    plan = replace(make_plan(job, 3), sheets=(three_strips(),))
    (drawing,) = draw_cutting(plan)
    return [item.text for item in drawing.items if isinstance(item, Text) and item.kind == kind]


def test_dimensions_across_run_from_the_lower_edge_with_the_kerf_counted():
    """Edge trim, then each strip's top: trim + k·height + (k − 1)·kerf, then the sheet's width."""
    tops = [EDGE + k * 360.0 + (k - 1) * KERF for k in (1, 2, 3)]
    assert texts_of("across") == [format_length(edge, "mm") for edge in (EDGE, *tops, 1250.0)]


def test_strip_that_ends_elsewhere_has_its_own_running_cut():
    """Only the third strip ends at another place than the lowest: its cut stands in it."""
    assert texts_of("inner") == [format_length(TRIM + 2100.0, "mm")]


def test_order_of_cuts_gives_stops_from_squared_edges():
    """Squaring first, then the strips' tops and each strip's ends, trims taken off and kerfs counted."""
    tops = ", ".join(f"{k + 2} at {format_length(k * 360.0 + (k - 1) * KERF, 'mm')}" for k in (1, 2, 3))
    assert order_of_cuts(three_strips(), STOCK, "mm") == (
        "Square: 1 the left end, 5 mm off, 2 the lower edge, 6 mm off."
        f" Saw from the lower edge: {tops}, kerf 3 mm counted."
        " Crosscut strip 1 from the left end: 6 at 2800 mm."
        " Crosscut strip 2 from the left end: 7 at 2800 mm."
        " Crosscut strip 3 from the left end: 8 at 2100 mm."
    )


def test_every_cut_is_numbered_once_on_its_line():
    """Squaring apart, each cut of the three strips has its number in a ring; numbers run on without a gap."""
    passes = passes_of(three_strips(), STOCK)
    assert [one.number for one in passes] == list(range(1, 9))
    assert [one.kind for one in passes] == ["square"] * 2 + ["long"] * 3 + ["cross"] * 3
    assert sorted(map(int, texts_of("cut-number"))) == list(range(3, 9))


def test_order_is_on_the_paper():
    """The lines under the sheet hold the whole order of cuts."""
    assert order_of_cuts(three_strips(), STOCK, "mm") in " ".join(texts_of("foot"))


def test_turned_blanks_are_cut_in_strips_across_the_sheet():
    """Strips of turned blanks are counted from the left end, their cross cuts from the lower edge."""
    cuts = (Cut(1, 0.0, 0.0, 400.0, 900.0, turned=True), Cut(2, 400.0, 0.0, 400.0, 900.0, turned=True))
    sheet = SheetCut(1, 0, 2000.0, 1000.0, 0.36, cuts)
    assert [(strip.low, strip.high, strip.edges) for strip in strips_of(sheet)] == [
        (0.0, 400.0, (900.0,)),
        (400.0, 800.0, (900.0,)),
    ]
    words = order_of_cuts(sheet, SheetSpec(length=2000.0, width=1000.0), "mm")
    assert "Shear from the left end: 2 at 400 mm, 3 at 800 mm." in words
    assert words.endswith("Crosscut strip 2 from the lower edge: 5 at 900 mm.")


def test_drops_lose_the_last_kerf_and_the_trims():
    """Beside each strip length − trims − blank − kerf; above them width − trims − strips − 3 kerfs."""
    drops = {(drop.width, drop.height) for drop in drops_of(three_strips(), STOCK)}
    above = 1250.0 - 2 * EDGE - 3 * 360.0 - 3 * KERF
    beside = [(3000.0 - 2 * TRIM - length - KERF, 360.0) for length in (2800.0, 2100.0)]
    assert drops == {(3000.0 - 2 * TRIM, above), *beside}


@pytest.mark.parametrize(("spare", "kept"), [(KEPT, 1), (KEPT - 0.01, 0)])
def test_kerf_is_taken_off_before_a_drop_is_judged(spare, kept):
    """A drop that is an inch wide after its kerf is kept; a hair less is scrap."""
    sheet = SheetCut(1, 0, 1000.0 + KERF + spare, 500.0, 0.9, (Cut(1, 0.0, 0.0, 1000.0, 500.0),))
    assert len(drops_of(sheet, SheetSpec(length=sheet.length, width=500.0, kerf=KERF))) == kept


def test_a_blank_lower_than_its_strip_has_a_cut_of_its_own():
    """800 beside 1000 high in one strip: after both crosscuts the lower one is cut to 800."""
    cuts = (Cut(1, 0.0, 0.0, 900.0, 1000.0), Cut(2, 900.0, 0.0, 700.0, 800.0))
    sheet, stock = SheetCut(1, 0, 2000.0, 1250.0, 0.6, cuts), SheetSpec(length=2000.0, width=1250.0)
    passes = passes_of(sheet, stock)
    assert [(one.kind, one.stop) for one in passes] == [
        ("square", 0.0),
        ("long", 1000.0),
        ("cross", 900.0),
        ("cross", 1600.0),
        ("trim", 800.0),
    ]
    assert order_of_cuts(sheet, stock, "mm").endswith("Then 5 panel 2 to 800 mm high, from its lower edge.")
