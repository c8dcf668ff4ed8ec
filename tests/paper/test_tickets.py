"""Panel tickets and the forming table: what they say, that the code says the same, and where it is cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
import segno
from paper_plans import circle, make_job, make_plan

from layout.face.plan import Hanging, Hole
from layout.job.model_packet import PaperSpec
from layout.paper.forming_table import OVER, check_length, draw_forming
from layout.paper.frame import paper_of, room_box
from layout.paper.primitives import Box, Lines, Text
from layout.paper.tickets import SIZE, code_items, code_side, code_text, draw_tickets, ticket_lines
from layout.units import format_length


def texts_of(drawings, kind):
    """Return the texts of one kind."""
    return [item.text for drawing in drawings for item in drawing.items if isinstance(item, Text) and item.kind == kind]


def test_every_panel_has_one_ticket_with_its_figures(plan):
    """Number, scallops, blank, seams and sheet stand on a ticket of every panel, at 10 pt."""
    drawings = draw_tickets(plan)
    words = texts_of(drawings, "ticket")
    for panel in plan.panels:
        assert words.count(f"panel {panel.number} of {len(plan.panels)}") == 1
        length = format_length(panel.blank_length, plan.job.units)
        assert any(length in line for line in words)
    said = [i for d in drawings for i in d.items if isinstance(i, Text) and i.kind == "ticket"]
    assert min(item.size for item in said) >= SIZE == 10.0


@pytest.mark.parametrize(("size", "most"), [("letter", 4), ("A4", 4), ("tabloid", 9), ("A3", 9)])
def test_tickets_are_set_as_many_a_paper_as_find_room(size, most):
    """118 × 80 mm at least: four on letter and A4, nine on tabloid and A3."""
    plan = make_plan(make_job(circle(15000.0), paper=PaperSpec(size)), 40)
    drawings = draw_tickets(plan)
    assert len(drawings) == -(-40 // most)


def test_the_code_says_what_the_ticket_says(ring):
    """Every line of the ticket is in the code's text, with panel, job and revision before them."""
    panel = ring.panels[4]
    head, job, *lines = code_text(ring, panel, "C").split("\n")
    assert head == "panel 5 of 40"
    assert job == f"{ring.job.title}, rev C"
    assert lines == ticket_lines(ring, panel)


def test_the_strokes_are_the_codes_modules():
    """Read back module by module, the strokes of a code are those of the standard's symbol, in its quiet border."""
    text, box = "panel 7 of 12\nscallops: 24", Box(10.0, 20.0, 39.0, 49.0)
    (lines,) = code_items(text, box)
    symbol = segno.make(text, error="m", mask=0, micro=False, boost_error=False)
    wanted = [list(row) for row in symbol.matrix]
    module = box.width / (len(wanted) + 8)
    found = [[0] * len(wanted) for _ in wanted]
    for (x0, y), (x1, _) in lines.paths:
        row = round((box.top - y) / module - 4.5)
        for column in range(round((x0 - box.left) / module - 4), round((x1 - box.left) / module - 4)):
            found[row][column] = 1
    assert isinstance(lines, Lines)
    assert found == wanted
    assert symbol.error == "M"
    assert lines.style.weight == pytest.approx(module / 25.4 * 72, rel=0.02)


def test_codes_are_large_enough_to_read(plan):
    """A module of the fullest code is at least 0.33 mm: four dots of a 300 dpi printer."""
    for drawing in draw_tickets(plan):
        for item in drawing.items:
            if item.kind == "code":
                assert item.style.weight / 72 * 25.4 >= 0.33


def test_a_fuller_text_has_a_larger_code():
    """A short text has 29 mm, a longer one a module of 0.34 mm as long as 42 mm hold it."""
    assert code_side("panel 1 of 2") == 29.0
    symbol = segno.make("x" * 500, error="m", mask=0, micro=False, boost_error=False)
    assert code_side("x" * 500) == pytest.approx(0.34 * (len(symbol.matrix) + 8))
    assert code_side("x" * 2000) == 42.0


def test_cut_outs_are_told_from_left_and_bottom(ring):
    """A hole in a panel stands on its ticket and in its code, and on no other."""
    hole = Hole("socket", 3, 254.0, 127.0, 76.2, 101.6)
    plan = replace(ring, cutouts=(hole,))
    (said,) = [line for line in ticket_lines(plan, plan.panels[2]) if line.startswith("cut-out")]
    assert said == "cut-out socket: left 10 in, bottom 5 in, 3 in × 4 in"
    assert said in code_text(plan, plan.panels[2])
    assert not any(line.startswith("cut-out") for line in ticket_lines(plan, plan.panels[3]))


def test_the_closing_panel_says_that_it_is_formed_last():
    """The last one of the hanging order, and only that one."""
    plan = make_plan(make_job(circle(2400.0)), 4)
    plan = replace(plan, hanging=(Hanging(1, (3, 4, 1, 2)),))
    last = [panel.number for panel in plan.panels if any("form last" in line for line in ticket_lines(plan, panel))]
    assert last == [2]
    assert "hung: 1 of 4 in its run" in ticket_lines(plan, plan.panels[2])


def test_cut_marks_stand_at_the_corners_of_the_tickets(ring):
    """Two by two on letter: marks at three places across and three down, none outside the room."""
    drawing = draw_tickets(ring)[0]
    marks = [item.paths[0] for item in drawing.items if item.kind == "cut-mark"]
    room = room_box(paper_of(ring.job))
    level = {round(a[1], 6) for a, b in marks if a[1] == b[1]}
    assert level == {round(room.bottom + k * room.height / 2, 6) for k in range(3)}
    assert len(marks) == 2 * 9


def test_forming_table_checks_over_ten_scallops(ring):
    """Ten scallops of 2 3/4 in measure 27 1/2 in; strokes are the scallops, lap included."""
    words = texts_of(draw_forming(ring), "cell")
    assert OVER * ring.scallop.pitch == pytest.approx(27.5 * 25.4)
    assert "27 1/2 in" in words
    for panel in ring.panels:
        assert str(panel.scallops + panel.lapped) in words
        assert check_length(ring, panel) == (10, 10 * ring.scallop.pitch)


@pytest.mark.parametrize(("scallops", "over"), [(9, 9), (10, 10), (11, 10)])
def test_a_short_panel_is_checked_over_all_of_it(ring, scallops, over):
    """Under ten scallops, all of them; at ten and past it, ten."""
    panel = replace(ring.panels[0], scallops=scallops, lapped=False)
    assert check_length(ring, panel) == (over, over * ring.scallop.pitch)
