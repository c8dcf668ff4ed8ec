"""The spreadsheet: read back it is the plan, its totals are formulas, and it repeats."""

from __future__ import annotations

import io
import math
import time
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from layout.face.planning import make_plan
from layout.face.set_out import set_out
from layout.job.model import SheetSpec
from layout.job.model_packet import PaperSpec
from layout.job.reading import read_job
from layout.paper.csv_tables import cover_on_wall
from layout.paper.forming_json import weight_in
from layout.paper.xlsx import HEAD_ROW, packet_xlsx
from layout.units import format_length

NAMES = ["Order", "Costs", "Cut list", "Panels", "Set-out", "Control points", "Closing sum"]

GARDEN_BAR = Path(__file__).parents[2] / "demo_jobs" / "garden_bar.toml"


@cache
def opened(plan, *, values=False):
    """Return the spreadsheet as another library reads it; each is read once."""
    return load_workbook(io.BytesIO(packet_xlsx(plan)), data_only=values)


def table(leaf):
    """Return the rows under the heads as dicts, the total apart."""
    heads, *rows = leaf.iter_rows(min_row=HEAD_ROW + 1, values_only=True)
    found = [dict(zip(heads, row, strict=True)) for row in rows]
    if found and found[-1][heads[0]] == "total":
        return found[:-1], found[-1]
    return found, None


def close(plan, value):
    """Return a length of the plan as the file should give it."""
    return pytest.approx(value / (25.4 if plan.job.units == "in" else 1.0), rel=1e-11, abs=1e-9)


def test_leaves_are_these(plan):
    """Order, costs, cut list, panels, set-out, control points, closing sum; places where there are any."""
    found = opened(plan).sheetnames
    assert [name for name in found if name in NAMES] == NAMES
    assert set(found) - set(NAMES) == ({"Cut-outs", "Viewpoints", "Sight"} if plan.job.viewpoints else set())


def test_every_leaf_says_the_revision(ring):
    """Under its title each leaf bears the revision with the job's date, and so does the foot of each page."""
    dated = replace(ring, job=replace(ring.job, paper=PaperSpec(date="3 March")))
    for leaf in load_workbook(io.BytesIO(packet_xlsx(dated, revision="C"))):
        assert leaf["A2"].value.startswith("Revision C, 3 March. ")
        assert leaf.oddFooter.left.text.endswith(", rev C")
    assert opened(ring)["Order"]["A2"].value.startswith("Revision A. ")


def test_set_out_reads_back(plan):
    """Every seam's station, x, y, radius, ties and chords are the plan's, as numbers and as read."""
    rows, _ = table(opened(plan)["Set-out"])
    unit, found = plan.job.units, set_out(plan)
    assert len(rows) == len(plan.seams)
    for seam, mark, row in zip(plan.seams, found.marks, rows, strict=True):
        assert row["seam"] == seam.number
        for head, value in (("station", seam.station), ("x", seam.x), ("y", seam.y)):
            assert row[f"{head} ({unit})"] == close(plan, value)
            assert row[f"{head}, read"] == format_length(value, unit)
        if seam.radius is None:
            assert row[f"radius ({unit})"] is None
        else:
            assert row[f"radius ({unit})"] == close(plan, seam.radius)
        if mark.ties:
            assert row["tie from"], row["and from"] == mark.ties.controls
            assert row[f"first tie ({unit})"] == close(plan, mark.ties.distances[0])
            assert row[f"second tie ({unit})"] == close(plan, mark.ties.distances[1])
            assert row["tapes cross at"] == pytest.approx(math.degrees(mark.ties.crossing))
        if mark.chord:
            assert row[f"chord to next ({unit})"] == close(plan, mark.chord.length)
            assert row[f"mid-ordinate ({unit})"] == close(plan, mark.chord.mid_ordinate)


def test_panels_and_cut_list_read_back(plan):
    """Covers, scallops, blanks and places on sheets are the plan's."""
    book, unit = opened(plan), plan.job.units
    panels, total = table(book["Panels"])
    for panel, row in zip(plan.panels, panels, strict=True):
        assert (row["panel"], row["scallops"], row["lap"]) == (panel.number, panel.scallops, int(panel.lapped))
        assert (row["left seam"], row["right seam"], row["sheet"]) == (panel.left_seam, panel.right_seam, panel.sheet)
        assert row[f"cover, count line ({unit})"] == close(plan, panel.cover)
        assert row[f"cover, on the wall ({unit})"] == close(plan, cover_on_wall(plan, panel))
        assert row[f"overall ({unit})"] == close(plan, panel.overall)
    assert total["scallops"].startswith("=SUM(")
    blanks, _ = table(book["Cut list"])
    cuts = [(sheet, cut) for sheet in plan.sheets for cut in sheet.cuts]
    for (sheet, cut), row in zip(cuts, blanks, strict=True):
        assert (row["sheet"], row["panel"]) == (sheet.number, cut.panel)
        assert row[f"blank length ({unit})"] == close(plan, plan.panels[cut.panel - 1].blank_length)
        assert row[f"from the left end ({unit})"] == close(plan, cut.x)


def test_order_is_the_plans(plan):
    """What is bought and what it costs are formulas whose values are the plan's."""
    formulas, sums = table(opened(plan)["Order"])
    values, total = table(opened(plan, values=True)["Order"])
    for line, formula, value in zip(plan.order, formulas, values, strict=True):
        assert formula["buy"].startswith("=")
        assert (value["needed"], value["spare"], value["in all"]) == (line.needed, line.spare, line.buy)
        assert (value["from stock"], value["buy"]) == (line.from_stock, line.to_buy)
        assert value["cost"] == pytest.approx(line.cost)
        unit = "lb" if plan.job.units == "in" else "kg"
        assert value[f"weight ({unit})"] == pytest.approx(weight_in(line.weight, plan.job.units))
    assert sums["cost"].startswith("=SUM(")
    assert total["cost"] == pytest.approx(sum(line.cost for line in plan.order))
    assert total["in all"] == sum(line.buy for line in plan.order)
    assert total["buy"] == sum(line.to_buy for line in plan.order)


def test_what_is_on_hand_is_not_bought(ring):
    """Of 8 sheets in all, 3 on hand: 5 are bought, by a formula."""
    line = replace(ring.order[0], needed=6, spare=1, prove_out=1, buy=8, from_stock=3)
    plan = replace(ring, order=(line,))
    (formula,), _ = table(opened(plan)["Order"])
    (value,), _ = table(opened(plan, values=True)["Order"])
    assert (value["in all"], value["from stock"], value["buy"]) == (8, 3, 5)
    row = HEAD_ROW + 2
    heads = [cell.value for cell in opened(plan)["Order"][HEAD_ROW + 1]]
    place = {head: f"{get_column_letter(heads.index(head) + 1)}{row}" for head in ("in all", "from stock")}
    assert formula["buy"] == f"={place['in all']}-{place['from stock']}"


def test_costs_are_the_plans(plan):
    """Every line of the cost with how it comes about; the total is a formula and the plan's total."""
    rows, total = table(opened(plan, values=True)["Costs"])
    assert [(row["what"], row["cost"]) for row in rows] == [
        (line.what, line.cost if line.cost is None else pytest.approx(line.cost)) for line in plan.buying.costs
    ]
    assert total["cost"] == pytest.approx(plan.buying.total or 0.0)


def test_total_formulas_take_in_every_row(plan):
    """A total sums from the first row under the heads to the last one above it."""
    for leaf in opened(plan):
        last = leaf.max_row
        for cell in leaf[last]:
            if isinstance(cell.value, str) and cell.value.startswith("=SUM("):
                first, end = (f"{cell.column_letter}{row}" for row in (HEAD_ROW + 2, last - 1))
                assert cell.value == (f"=SUM({first})" if first == end else f"=SUM({first}:{end})")


def test_shown_totals_are_the_sums_of_their_columns(plan):
    """Programs that only show find the value beside each formula."""
    for leaf in opened(plan, values=True):
        rows, total = table(leaf)
        for head, value in (total or {}).items():
            if isinstance(value, int | float):
                column = [row[head] for row in rows if row[head] is not None]
                assert value == pytest.approx(math.fsum(column), abs=1e-6)


def test_cut_outs_read_back(looked):
    """Each hole of each panel with its distances from the left and the bottom of the blank, panel by panel."""
    plan, unit = looked, looked.job.units
    rows, _ = table(opened(plan)["Cut-outs"])
    holes = {(hole.panel, hole.name): hole for hole in plan.cutouts}
    assert len(rows) == len(holes) >= 3
    assert [row["panel"] for row in rows] == sorted(row["panel"] for row in rows)
    for row in rows:
        hole = holes[row["panel"], row["cut-out"]]
        for head, value in (("from the left", hole.left), ("from the bottom", hole.bottom)):
            assert row[f"{head} ({unit})"] == close(plan, value)
            assert row[f"{head}, read"] == format_length(value, unit)
        assert row[f"width, flat ({unit})"] == close(plan, hole.width)
        assert row["how"] == ("whole" if hole.whole else "notch")


def test_sight_of_every_seam_reads_back(looked):
    """A column a viewpoint, a row a seam between panels; how many see it is counted by a formula."""
    plan = looked
    views, _ = table(opened(plan)["Viewpoints"])
    assert [row["viewpoint"] for row in views] == [place.name for place in plan.job.viewpoints]
    assert [row["weight"] for row in views] == [place.weight for place in plan.job.viewpoints]
    formulas, _ = table(opened(plan)["Sight"])
    rows, total = table(opened(plan, values=True)["Sight"])
    seams = [seam for seam in plan.seams if not seam.end]
    assert [row["seam"] for row in rows] == [seam.number for seam in seams]
    for seam, row, formula in zip(seams, rows, formulas, strict=True):
        assert {name: row[f"from {name}"] for name, _ in seam.sight} == dict(seam.sight)
        seen = [view for _, view in seam.sight].count("seen")
        assert row["seen from, in all"] == seen
        assert formula["seen from, in all"].startswith("=COUNTIF(")
    assert total["seen from, in all"] == sum(row["seen from, in all"] for row in rows)


def test_openings_and_zones_of_a_bar_read_back():
    """The garden bar's gate with both jambs and its clearance, its low counter with its panels."""
    plan = make_plan(read_job(GARDEN_BAR))
    book = opened(plan)
    (gate,), _ = table(book["Openings"])
    (asked,), back = plan.job.openings, plan.lines[0].back
    assert (gate["opening"], gate["leaf"], gate["ends of scallops"]) == ("staff gate", "yes", "cut")
    assert gate["left jamb (in)"] == close(plan, asked.start)
    assert gate["right jamb (in)"] == close(plan, asked.end)
    assert gate["between jambs (in)"] == close(plan, (asked.end - asked.start) % back.length)
    assert gate["clearance (in)"] == pytest.approx(0.25)
    (low,), _ = table(book["Zones"])
    assert (low["zone"], low["from (in)"], low["to (in)"]) == ("low counter", 36.0, 76.0)
    assert low["height, as seen (in)"] == pytest.approx(32.0)
    panels = [panel for panel in plan.panels if plan.runs[panel.run - 1].zone == "low counter"]
    assert low["panels"] == ", ".join(str(panel.number) for panel in panels) != ""
    assert low["blank height (in)"] == close(plan, panels[0].blank_height)


def test_closing_sum_comes_to_zero(plan):
    """Parts less the back line are 0, line by line in all."""
    _, total = table(opened(plan, values=True)["Closing sum"])
    assert total[f"on the wall ({plan.job.units})"] == pytest.approx(0.0, abs=1e-6)


def test_leaves_are_set_up_to_be_read_and_printed(plan):
    """Heads are frozen and repeat, print areas hold all, no more than some 230 characters across a page."""
    for leaf in opened(plan):
        assert leaf.freeze_panes == f"B{HEAD_ROW + 2}"
        assert leaf.print_title_rows == f"${HEAD_ROW + 1}:${HEAD_ROW + 1}"
        area = leaf.print_area.split("!")[-1].replace("$", "")
        assert area == f"A1:{leaf.cell(leaf.max_row, leaf.max_column).coordinate}"
        assert leaf.sheet_properties.pageSetUpPr.fitToPage
        assert leaf.print_title_cols == "$A:$A"
        wide = sum(leaf.column_dimensions[cell.column_letter].width for cell in leaf[HEAD_ROW + 1])
        pages = leaf.page_setup.fitToWidth or 1  # left out, it is 1
        assert wide / pages <= 250  # as it reads them, a column is 0.71 wider
        assert pages == (2 if leaf.title == "Set-out" else 1)
        assert leaf.page_setup.fitToHeight == 0
        assert leaf.page_setup.orientation == "landscape"
        for cell in leaf[HEAD_ROW + 1]:
            assert leaf.column_dimensions[cell.column_letter].width is not None


def test_numbers_have_formats(ring, hollow):
    """Lengths show ten-thousandths of an inch or tenths of a millimetre; all digits stay in the cell."""
    for plan, form in ((ring, "0.0000"), (hollow, "0.0")):
        leaf = opened(plan)["Set-out"]
        heads = [cell.value for cell in leaf[HEAD_ROW + 1]]
        cell = leaf.cell(HEAD_ROW + 2, heads.index(f"station ({plan.job.units})") + 1)
        assert cell.number_format == form


def test_file_repeats(plan):
    """The same plan gives the same bytes, a second later too."""
    first = packet_xlsx(plan)
    if len(plan.panels) == 4:
        time.sleep(2.1)  # a zip's clock ticks every two seconds
    assert packet_xlsx(plan) == first


def test_texts_of_the_job_are_no_formulas(ring):
    """A run or reason that begins with = stays text."""
    plan = replace(
        ring,
        runs=(replace(ring.runs[0], name="=1+1"),),
        seams=(replace(ring.seams[0], why='=HYPERLINK("x")'), *ring.seams[1:]),
        job=replace(ring.job, title="=A1 & more\x01"),
    )
    leaf = opened(plan)["Set-out"]
    assert [leaf.cell(HEAD_ROW + 2, 2).value, leaf.cell(HEAD_ROW + 2, 2).data_type] == ["=1+1", "s"]
    assert leaf["A1"].data_type == "s"


def test_stock_without_price_has_no_cost(ring):
    """Where nothing is priced the cost is left blank."""
    bare = replace(ring, job=replace(ring.job, sheets=(SheetSpec(length=3048.0, width=1219.2),)))
    rows, total = table(opened(bare, values=True)["Order"])
    assert rows[0]["cost"] is None
    assert total["cost"] == 0
