"""The files handed over: their names, their figures, and that they repeat."""

from __future__ import annotations

import csv
import io
import json
import math
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from pypdf import PdfReader

from layout.face.folder import OURS
from layout.face.plan import Choice, Proof
from layout.job.model import SheetSpec
from layout.paper import plan_json as module
from layout.paper.csv_tables import cut_list_csv, set_out_csv
from layout.paper.files import write_packet
from layout.paper.plan_json import digits, plan_json, plan_object, stock_names
from layout.units import format_fine, format_length, to_units

SCHEMA = json.loads((Path(module.__file__).with_name("plan_schema.json")).read_text(encoding="utf-8"))
KEYS = {
    None: "format seamwalk title revision job_file units outline scallop runs seams panels openings cutouts viewpoints"
    " sheets order die press proof choices cautions",
    "outline": "closed drawn_length back_length count_length crest_length smallest_radius source",
    "scallop": "form pitch drawn_pitch depth developed neutral_height count take_up take_up_limit natural_bend_radius",
    "runs": "name closed scallops from to count_length take_up may_be_longer may_be_shorter height zone"
    " first_panel closing_panel",
    "seams": "number run scallop station x y radius lift cost why sight",
    "panels": "number run first_scallop scallops cover overall blank_length blank_height left_seam right_seam sheet",
    "sheets": "number stock length width used cuts",
    "order": "stock needed spare prove_out buy from_stock cost weight",
    "die": "punch_radius groove_radius loaded_pitch spacing grooves springback_ratio strokes stock",
    "press": "force bottoming capacity share",
    "proof": "goal value bound proved",
    "choices": "cost sheets panels worst_seam worst_sight different_lengths chosen note",
}


def test_packet_has_its_ten_files(ring, tmp_path):
    """The packet is these ten files, the page for the phone among them, and nothing else."""
    written = write_packet(ring, tmp_path)
    site = ["seam_map.dxf", "curve_template.dxf", "packet.xlsx", "site.html"]
    names = ["packet.pdf", *site, "seam_map.svg", "cut_list.csv", "set_out.csv", "order.csv", "plan.json"]
    assert [path.name for path in written] == names
    assert set(names) == OURS
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(names)


def test_packet_repeats_byte_for_byte(plan, tmp_path):
    """The same plan written twice gives the same bytes in every file."""
    first, second = tmp_path / "a", tmp_path / "b"
    for folder in (first, second):
        folder.mkdir()
        write_packet(plan, folder)
    for path in first.iterdir():
        assert path.read_bytes() == (second / path.name).read_bytes(), path.name


def test_drawing_needs_no_plotting_library(ring, tmp_path):
    """Writing a packet leaves the plotting library unloaded: it would cost more time than all drawings."""
    code = "import sys; from layout.paper import files; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_figures_of_the_plan_are_in_the_packet(plan, tmp_path):
    """The PDF's text holds lengths, pitch, counts, blanks, seams, sheets to buy, and every caution."""
    write_packet(plan, tmp_path)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "packet.pdf").pages]
    text, units = " ".join(pages), plan.job.units
    for lines in plan.lines:
        for chain in (lines.drawn, lines.back, lines.count, lines.crest):
            assert format_length(chain.length, units) in text
    profile = plan.scallop.profile
    for fine in (plan.scallop.pitch, plan.scallop.depth, profile.developed, profile.neutral_height):
        assert format_fine(fine, units) in text
    for panel in plan.panels:
        assert format_length(panel.blank_length, units) in text
    for seam in plan.seams:
        assert format_length(seam.station, units) in text
    assert f"{plan.order[0].cost:,.2f}" in text
    assert plan.cautions[0][:40] in text
    assert "Local codes" in text
    assert "wiring" in text
    assert all(f"{i} of {len(pages)}" in page for i, page in enumerate(pages, 1))


# plan.json


def test_plan_json_follows_its_schema(plan):
    """Every plan's JSON is as the schema beside the writer says."""
    validator = jsonschema.Draft202012Validator(SCHEMA)
    assert [error.message for error in validator.iter_errors(json.loads(plan_json(plan)))] == []


def test_schema_can_refuse(ring):
    """The schema refuses a missing key, a wrong type, and a proof without sheets."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    whole = json.loads(plan_json(ring))
    for broken in (
        {key: value for key, value in whole.items() if key != "seams"},
        whole | {"units": "ft"},
        whole | {"proof": [entry for entry in whole["proof"] if entry["goal"] != "sheets"]},
        whole | {"seams": [whole["seams"][0] | {"number": 1.5}]},
    ):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, SCHEMA, cls=jsonschema.Draft202012Validator)


def test_plan_json_has_exactly_the_keys_promised(ring):
    """The keys are those of the contract, in its order."""
    found = json.loads(plan_json(ring))
    assert list(found) == KEYS[None].split()
    for part in ("outline", "scallop", "die", "press"):
        assert list(found[part]) == KEYS[part].split()
    for part in ("runs", "seams", "panels", "sheets", "order", "proof", "choices"):
        assert list(found[part][0]) == KEYS[part].split()
    assert list(found["sheets"][0]["cuts"][0]) == ["panel", "x", "y", "length", "height"]


@pytest.mark.parametrize("name", ["ring", "hollow"])
def test_plan_json_gives_the_plans_numbers(name, request):
    """Lengths are the plan's in the job's units at 12 significant digits; whole numbers stay whole."""
    plan = request.getfixturevalue(name)
    found = json.loads(plan_json(plan))
    size = 25.4 if plan.job.units == "in" else 1.0
    assert found["outline"]["back_length"] == float(f"{plan.lines[0].back.length / size:.12g}")
    assert found["scallop"]["pitch"] == pytest.approx(plan.scallop.pitch / size, rel=1e-12)
    assert found["scallop"]["count"] == plan.runs[0].scallops
    for seam, entry in zip(plan.seams, found["seams"], strict=True):
        assert entry["station"] == pytest.approx(seam.station / size, rel=1e-11)
        assert entry["radius"] == pytest.approx(seam.radius / size, rel=1e-11)
        assert (entry["number"], entry["scallop"], entry["cost"]) == (seam.number, seam.boundary, seam.cost)
        assert entry["run"] == plan.runs[0].name
    for panel, entry in zip(plan.panels, found["panels"], strict=True):
        assert entry["blank_length"] == pytest.approx(panel.blank_length / size, rel=1e-11)
        assert isinstance(entry["scallops"], int)
        assert found["sheets"][entry["sheet"] - 1]["cuts"][0]["panel"] == panel.number
    assert [isinstance(entry["value"], int) for entry in found["proof"]] == [True] * len(plan.proof)


def test_hollow_radius_is_negative_and_a_straight_has_none(hollow, open_plan):
    """Radius is signed, convex positive; null on a straight; the smallest is unsigned."""
    found = plan_object(hollow)
    assert found["seams"][0]["radius"] == -3000.0
    assert found["outline"]["smallest_radius"] == 3000.0
    assert plan_object(open_plan)["seams"][0]["radius"] is None


def test_priced_goal_keeps_its_cents(ring):
    """A cost is money, not a count."""
    priced = replace(ring, proof=(Proof("cost", 1234.5, 1234.5, proved=True), *ring.proof))
    assert plan_object(priced)["proof"][0] == {
        "goal": "cost",
        "value": 1234.5,
        "bound": 1234.5,
        "proved": True,
    }


def test_unpriced_choice_costs_null(ring):
    """A choice without prices says null."""
    choice = Choice(None, 3, 3, 0.5, 1, chosen=True)
    assert plan_object(replace(ring, choices=(choice,)))["choices"][0]["cost"] is None


def test_several_outlines_are_given_in_all_and_one_by_one(pair):
    """`outline` adds up; `outlines` has each by name."""
    found = plan_object(pair)
    each = [to_units(lines.back.length, "in") for lines in pair.lines]
    assert found["outline"]["back_length"] == digits(math.fsum(each))
    assert [entry["back_length"] for entry in found["outlines"]] == [digits(length) for length in each]
    assert [entry["name"] for entry in found["outlines"]] == ["island", "back bar"]
    assert found["outline"]["closed"] is False


def test_stock_names_tell_stocks_apart(ring):
    """Two stocks of one size have two names."""
    sheet = SheetSpec(length=3048.0, width=1219.2)
    job = replace(ring.job, sheets=(sheet, replace(sheet, price=60.0), replace(sheet, remnant=True)))
    assert stock_names(job) == ["120 x 48", "120 x 48 (2)", "120 x 48 remnant"]


# CSV


def test_csv_tables_are_rfc_4180(plan):
    """Lines end in CR LF, every row has as many cells as the head, and the head names the units."""
    for text in (cut_list_csv(plan), set_out_csv(plan)):
        assert text.endswith("\r\n")
        assert text.count("\n") == text.count("\r\n")
        head, *rows = csv.reader(io.StringIO(text, newline=""))
        assert {len(row) for row in rows} == {len(head)}
        assert any(cell.endswith(f"({plan.job.units})") for cell in head)


def test_cut_list_has_every_blank(ring):
    """One row a panel, with the size that is sheared and where it lies."""
    rows = list(csv.DictReader(io.StringIO(cut_list_csv(ring), newline="")))
    assert [int(row["panel"]) for row in rows] == [panel.number for panel in ring.panels]
    for row, panel in zip(rows, ring.panels, strict=True):
        assert float(row["blank length (in)"]) == pytest.approx(panel.blank_length / 25.4, abs=5.1e-5)
        assert row["stock"] == "120 x 48"
        assert float(row["sheet x (in)"]) == 0.25


def test_set_out_has_every_seam(open_plan):
    """One row a seam; a straight has an empty radius."""
    rows = list(csv.DictReader(io.StringIO(set_out_csv(open_plan), newline="")))
    for row, seam in zip(rows, open_plan.seams, strict=True):
        assert float(row["station (in)"]) == pytest.approx(seam.station / 25.4, abs=5.1e-5)
        assert (row["radius (in)"] == "") == (seam.radius is None)
        assert row["reason"] == seam.why


def test_words_of_a_job_are_quoted_and_never_formulas(ring):
    """Commas and quotes come back whole; a word that a spreadsheet would reckon is kept a word."""
    why = 'gate, "east"\nleaf'
    run = replace(ring.runs[0], name="=1+1")
    strange = replace(ring, runs=(run,), seams=(replace(ring.seams[0], why=why), *ring.seams[1:]))
    rows = list(csv.DictReader(io.StringIO(set_out_csv(strange), newline="")))
    assert rows[0]["reason"] == why
    assert rows[0]["run"] == "'=1+1"
    assert float(rows[5]["x (in)"]) == pytest.approx(ring.seams[5].x / 25.4, abs=5.1e-5)
