"""Every number of plan.json that a page bears stands on that page, read back out of the PDF of every demo."""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from pypdf import PdfReader

from layout.face.planning import make_plan
from layout.job.reading import read_job
from layout.paper.packet import draw_packet
from layout.paper.pdf import write_pdf
from layout.paper.plan_json import plan_json
from layout.paper.workings_rows import number
from layout.units import format_fine, format_length

JOBS = sorted((Path(__file__).parents[2] / "demo_jobs").glob("*.toml"))
PLACES = {"in": (2, 3), "mm": (1, 2)}
"""decimals of what springback moves, and of what a caliper tells"""
LENGTH = re.compile(r"\d+ ft(?: \d+(?: \d+/\d+)?| \d+/\d+)? in|\d+ ft|\d+(?: \d+/\d+)? in|\d+/\d+ in|[\d.]+ mm")


@dataclass(frozen=True)
class Packet:
    """A plan as other programs read it, beside the words of its pages."""

    found: dict
    pages: tuple[tuple[str, str], ...]
    """subjects and text of each page"""

    def of(self, *subjects):
        """Return the text of all pages of some subjects, with a blank at either end."""
        texts = [
            text
            for names, text in self.pages
            if {part.lower() for part in names.split(", ")} & {s.lower() for s in subjects}
        ]
        assert texts, subjects
        return f" {' '.join(texts)} "

    @property
    def mm(self):
        return 25.4 if self.found["units"] == "in" else 1.0

    def long(self, value):
        """Write a length as tapes have it."""
        return format_length(value * self.mm, self.found["units"]).replace("-", "−", 1)

    def fine(self, value, places=None):
        """Write a length as a shop's drawing has it."""
        return format_fine(value * self.mm, self.found["units"], places=places)

    def rough(self, value):
        return self.fine(value, PLACES[self.found["units"]][0])

    def close(self, value):
        return self.fine(value, PLACES[self.found["units"]][1])


@pytest.fixture(scope="module", params=JOBS, ids=lambda path: path.stem)
def packet(request):
    """Plan a demo, print its packet, and read it back."""
    plan = make_plan(read_job(request.param))
    papers = draw_packet(plan)
    pages = PdfReader(io.BytesIO(write_pdf(papers, plan.job.title))).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    named = zip((paper.name for paper in papers), texts, strict=True)
    return Packet(json.loads(plan_json(plan)), tuple(named))


def money(value):
    """Write money to the cent."""
    return f"{value:,.2f}"


def test_no_text_of_a_packet_is_cut(packet):
    """The sign of a shortened text stands nowhere."""
    assert [names for names, text in packet.pages if "…" in text] == []


def test_every_title_block_names_job_revision_units_page_and_job_file(packet):
    """Page i of n, the units in words, the revision's letter and the first twelve digits of the job file's hash."""
    units = {"in": "feet, inches", "mm": "millimetres"}[packet.found["units"]]
    for i, (_, text) in enumerate(packet.pages, 1):
        assert f"page {i} of {len(packet.pages)}" in text
        assert f"units {units}" in text
        assert f"revision {packet.found['revision']}" in text
        assert f"job file {packet.found['job_file'][:12]}" in text
        assert packet.found["title"] in text


def test_the_quote_counts_what_the_plan_counts(packet):
    """Panels, scallops, longest panel, sheets to buy and their cost; the sum of the runs is the face."""
    found, text = packet.found, packet.of("Quote")
    bought = sum(row["buy"] - row["from_stock"] for row in found["order"])
    assert f"panels {len(found['panels'])} " in text
    assert f"scallops {found['scallop']['count']} " in text
    assert f"longest panel, overall {packet.long(max(panel['overall'] for panel in found['panels']))} " in text
    assert f"sheets to buy {bought} " in text
    assert f"pitch {packet.fine(found['scallop']['pitch'])} " in text
    assert f"depth {packet.fine(found['scallop']['depth'])} " in text
    for row in found["order"]:
        counts = " ".join(str(row[key]) for key in ("needed", "spare", "prove_out", "buy"))
        assert f" {counts} {money(row['cost'] / row['buy'])} {money(row['cost'])} " in text


def test_the_summary_bears_scallop_lines_and_runs(packet):
    """Each figure beside its name; a run's ends are stations of the tape, past the datum begun anew."""
    found, text = packet.found, packet.of("Summary")
    scallop, line = found["scallop"], found["outline"]
    for name, key in (
        ("pitch, as formed", "pitch"),
        ("pitch, as drawn", "drawn_pitch"),
        ("depth, mid-metal", "depth"),
        ("developed length", "developed"),
        ("neutral height", "neutral_height"),
        ("first yield on a straight", "take_up_limit"),
    ):
        assert f"{name} {packet.fine(scallop[key])} " in text
    assert f"scallops in all {scallop['count']} " in text
    assert f"natural bend radius {packet.long(scallop['natural_bend_radius'])} " in text
    keys = ("drawn_length", "back_length", "count_length", "crest_length", "smallest_radius")
    assert f" {' '.join(packet.long(line[key]) for key in keys)} " in text
    for run in found["runs"]:
        ends = (run["from"], run["to"] - line["back_length"] * (run["to"] > line["back_length"] + 1e-6))
        shown = " ".join(packet.long(value) for value in (*ends, run["count_length"]))
        assert re.search(rf" {re.escape(run['name'])} \d+( \+ 0\.\d\d cut)? {re.escape(shown)} ", text)
        assert f"{packet.long(run['may_be_longer'])} {packet.long(run['may_be_shorter'])} " in text


def test_the_summary_bears_proof_choices_and_cautions(packet):
    """Value and bound of each count, the row of each choice, and every caution of the plan, word for word."""
    found, text = packet.found, packet.of("Summary")
    for proof in found["proof"]:
        if proof["goal"] in {"panels", "sheets", "different_lengths"}:
            assert f" {proof['value']:g} {proof['bound']:g} {'proved' if proof['proved'] else 'not proved'} " in text
        if proof["goal"] == "cost":
            assert f"least cost {money(proof['value'])} {money(proof['bound'])} " in text
    for row, choice in enumerate(found["choices"], 1):
        cost = money(choice["cost"])
        assert re.search(rf" {row} {cost} {choice['sheets']} {choice['panels']} .*{choice['different_lengths']} ", text)
    for caution in found["cautions"]:
        assert caution[1:] in text


def test_order_and_workings_bear_weights_and_costs(packet):
    """What is bought of each stock, its weight and its cost; the workings give both at six digits."""
    found, text, sums = packet.found, packet.of("Order"), packet.of("Workings")
    unit = {"in": "lb", "mm": "kg"}[found["units"]]
    for row in found["order"]:
        price = money(row["cost"] / row["buy"])
        weights = f"{row['weight'] / row['buy']:.1f} {unit} {row['weight']:.1f} {unit}"
        assert f" {row['buy'] - row['from_stock']} {weights} {price} {money(row['cost'])} " in text
        assert f" {number(row['weight'])} {unit} " in sums
        assert f" {number(row['cost'])} " in sums


def test_cutting_bears_every_sheet_and_blank(packet):
    """Size and share used of each stock, each blank's size, and how far from its squared end it is cut off."""
    found, text = packet.found, packet.of("Cutting")
    blanks = {panel["number"]: panel for panel in found["panels"]}
    for sheet in found["sheets"]:
        size = f"{packet.long(sheet['length'])} × {packet.long(sheet['width'])}"
        assert f"{size}, {sheet['used']:.0%} used" in text
        squared = min(cut["x"] for cut in sheet["cuts"])
        for cut in sheet["cuts"]:
            panel = blanks[cut["panel"]]
            assert packet.long(panel["blank_length"]) in text
            assert f" at {packet.long(cut['x'] + cut['length'] - squared)}" in text


def test_cut_outs_are_marked_from_left_and_bottom(packet):
    """Each hole's place and size on the flat blank."""
    if not packet.found["cutouts"]:
        assert all("Cut-outs" not in names for names, _ in packet.pages)
        return
    text = packet.of("Cut-outs")
    for hole in packet.found["cutouts"]:
        left, up, wide, high = (packet.long(hole[key]) for key in ("left", "bottom", "flat_width", "height"))
        assert f"{hole['name']}: {left} from the left, {up} up, {wide} wide in the flat, {high} high" in text


def test_forming_holds_back_what_closes_a_run(packet):
    """A blank's size stands before its scallops, its lap and its strokes; held back are the closing panels."""
    found, text = packet.found, packet.of("Forming")
    closing = [run["closing_panel"] for run in found["runs"]]
    held = set()
    for panel in found["panels"]:
        lap = panel["overall"] > panel["cover"] + 1e-6
        blank = f"{packet.long(panel['blank_length'])} × {packet.long(panel['blank_height'])}"
        counts = f"{panel['scallops']} {'1 ' if lap else ''}{panel['scallops'] + lap}"
        assert f" {blank} {counts} over " in text
        if panel["number"] in closing:
            held.add((blank, counts))
    assert text.count(" hold back ") == len(held)
    first = re.search(r"Hold back the blanks? of panels? ([\d, –]+):", text)
    assert first is not None
    assert numbers(first[1]) == sorted(closing)


def numbers(words):
    """Read numbers of which unbroken stretches are drawn together."""
    found = []
    for part in words.split(", "):
        low, _, high = part.partition("–")
        found += range(int(low), int(high or low) + 1)
    return found


def test_tickets_bear_their_panels_and_no_other_length(packet):
    """Run, scallops, blank, seams and sheet of each; every length on a ticket is one of its panel's or its holes'."""
    found, text = packet.found, packet.of("Panel tickets")
    allowed = set()
    for panel in found["panels"]:
        blank = f"{packet.long(panel['blank_length'])} × {packet.long(panel['blank_height'])}"
        assert f"blank: {blank} " in text
        assert f"hangs: seam {panel['left_seam']} to {panel['right_seam']} " in text
        allowed |= {packet.long(panel[key]) for key in ("blank_length", "blank_height")}
    for hole in found["cutouts"]:
        allowed |= {packet.long(hole[key]) for key in ("left", "bottom", "flat_width", "height")}
    assert set(LENGTH.findall(re.sub(r"\d+ of \d+ in its run", "", text))) <= allowed


def test_maps_and_set_out_bear_every_seam(packet):
    """Station, x, y and radius on the set-out, each in the row of its seam; stations on the map where there is room."""
    found, text, site = packet.found, packet.of("Set-out"), packet.of("Seam map")
    shown = [packet.long(seam["station"]) in site for seam in found["seams"]]
    assert shown.count(False) <= len(shown) / 8
    several = len(found["runs"]) > 1
    for seam in found["seams"]:
        station, x, y = (packet.long(seam[key]) for key in ("station", "x", "y"))
        assert f" {seam['number']} {station} " in text
        run = f"{seam['run']} " if several else ""
        assert f" {seam['number']} {run}{x} {y} " in text
        if seam["radius"] is not None:
            sign = "+" if seam["radius"] > 0 else "−"
            assert f" {x} {y} {sign}{packet.long(abs(seam['radius']))} " in text


def test_hanging_bears_every_panel_between_its_seams(packet):
    """Each panel's row has its seams and the station that its left valley stands on; girths are the runs'."""
    found, text = packet.found, packet.of("Hanging order")
    stations = {seam["number"]: seam["station"] for seam in found["seams"]}
    for panel in found["panels"]:
        row = f"{panel['left_seam']} to {panel['right_seam']} {packet.long(stations[panel['left_seam']])} "
        assert f" {panel['number']} {panel['run']} {row}" in text
    for run in found["runs"]:
        girth = run["to"] - run["from"]
        may = f"{packet.long(girth - run['may_be_shorter'])} to {packet.long(girth + run['may_be_longer'])}"
        assert f" {run['name']} {packet.long(girth)} " in text
        assert f" {may} " in text


def test_elevation_bears_stations_and_scallops(packet):
    """Every seam's station, and the count of scallops in every panel that is wide enough for it on paper."""
    text = packet.of("Developed elevation")
    assert all(f" {packet.long(seam['station'])} " in text for seam in packet.found["seams"])
    shown = Counter(map(int, re.findall(r" (\d+) scallops ", text)))
    counts = Counter(panel["scallops"] for panel in packet.found["panels"])
    assert shown <= counts
    assert min((counts - shown).elements(), default=0) <= 6
    assert sum(shown.values()) >= 0.8 * sum(counts.values())


def test_scallop_and_gauge_bear_pitch_and_depth(packet):
    """Both pages give the formed pitch and the depth as a drawing does."""
    scallop = packet.found["scallop"]
    pitch, depth = packet.fine(scallop["pitch"]), packet.fine(scallop["depth"])
    assert f" pitch {pitch} " in packet.of("Scallop")
    assert f" depth {depth} " in packet.of("Scallop")
    assert f"pitch {pitch}, depth {depth}" in packet.of("Full-size gauge")


def test_die_bears_radii_spacing_and_stock_tools(packet):
    """Figures that springback moves are rounded to what is known; workings give them at six digits."""
    die, text, sums = packet.found["die"], packet.of("Die"), packet.of("Workings")
    assert f"punch radius {packet.rough(die['punch_radius'])} " in text
    assert f"groove radius {packet.rough(die['groove_radius'])} " in text
    assert f"groove spacing = loaded pitch {packet.rough(die['spacing'])} " in text
    assert f"radius in tool / finished {die['springback_ratio']:.2f} " in text
    assert f"strokes of the whole job {die['strokes']} " in text
    assert f" {number(die['punch_radius'])} {packet.found['units']} " in sums
    for tool in die["stock"]:
        made = re.escape(f"{tool['name']} {packet.fine(tool['diameter'])} {packet.rough(tool['pitch'])} ")
        off = r"[+−]?[\d.]+ (in|mm) "
        depth, flat = (re.escape(packet.rough(tool[key])) for key in ("depth", "developed"))
        assert re.search(rf" {made}{off}{depth} {off}{flat} {off}{tool['count']} ", text)


def test_press_and_first_off_bear_force_strokes_and_ten_scallops(packet):
    """Force to three figures, in tons too where inches are used; ten pitches beside the sample's line."""
    found, text = packet.found, packet.of("Press")
    for key in ("force", "bottoming"):
        value = float(f"{found['press'][key]:.3g}")
        shown = (
            f"{value:,.0f} lbf ({found['press'][key] / 2000:.1f} tons)" if found["units"] == "in" else f"{value:.3g} kN"
        )
        assert f" {shown} " in text
    assert f"strokes of all panels {found['die']['strokes']} " in text
    assert f"depth, valley to crest {packet.close(found['scallop']['depth'])} " in packet.of("First-off")
