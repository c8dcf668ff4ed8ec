"""Every demo job plans from the command line, proved, twice alike; and checks without planning."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline
from pypdf import PdfReader

from layout.cli import main
from layout.face.folder import OURS
from tests.demo_drawing import drawing
from tests.demo_survey import marks, survey

ROOT = Path(__file__).parents[1]
DEMOS = sorted((ROOT / "demo_jobs").glob("*.toml"))

FIGURES = ("radius", "start_angle", "end_angle", "height")
"""of entities of a drawing"""

MAY_STAY_OPEN = {"different_lengths"}
"""No polynomial method is known for it; a value with its bound is an honest end."""


@pytest.fixture(scope="module", params=DEMOS, ids=lambda path: path.stem)
def demo(request: pytest.FixtureRequest) -> Path:
    """Give each demo job in turn."""
    path: Path = request.param
    return path


@pytest.fixture(scope="module")
def packet(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Plan the demo through the command line, once."""
    folder = tmp_path_factory.mktemp("demos") / demo.stem
    assert main(["plan", str(demo), "--out", str(folder)]) == 0
    return folder


@pytest.fixture
def plan(packet: Path) -> Any:
    """Give the demo's plan.json."""
    return json.loads((packet / "plan.json").read_text(encoding="utf-8"))


def geometry(document: Drawing) -> list[tuple[str, str, list[float]]]:
    """Give kind, layer and figures of each thing in a drawing, in its order."""
    found = []
    for entity in document.modelspace():
        figures = [float(entity.dxf.get(name)) for name in FIGURES if entity.dxf.hasattr(name)]
        for name in ("start", "end", "center", "insert", "defpoint", "defpoint2", "defpoint3"):
            if entity.dxf.hasattr(name):
                figures += [float(part) for part in entity.dxf.get(name)]
        if isinstance(entity, LWPolyline):
            figures += [float(part) for point in entity.get_points() for part in point]
        found.append((entity.dxftype(), entity.dxf.layer, figures))
    return found


def rows(path: Path) -> list[list[str]]:
    """Read a CSV table."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file))


def test_the_demos_are_there() -> None:
    """An ellipse in inches, three runs of one desk, an open path, a drawing with openings, a stadium in millimetres."""
    named = {"bakery_island", "clinic_desk", "ferry_desk", "foyer_bar", "garden_bar", "library_desk"}
    assert named <= {path.stem for path in DEMOS}


def test_the_kept_drawing_is_what_its_script_draws() -> None:
    """Kind, layer and places of every line, arc, circle, polyline and text are those of tests/demo_drawing.py."""
    kept = geometry(ezdxf.readfile(ROOT / "demo_jobs" / "garden_bar.dxf"))
    drawn = geometry(drawing())
    assert [row[:2] for row in kept] == [row[:2] for row in drawn]
    for (kind, layer, there), (_, _, here) in zip(kept, drawn, strict=True):
        assert there == pytest.approx(here, abs=1e-9), (kind, layer)
    assert sum(kind in {"LINE", "ARC"} and layer == "COUNTER" for kind, layer, _ in drawn) == 8


def test_the_kept_survey_is_what_its_script_measures() -> None:
    """The table holds the marks of tests/demo_survey.py, forty or more."""
    assert (ROOT / "demo_jobs" / "clinic_desk.csv").read_text(encoding="utf-8") == survey()
    assert len(marks()) >= 40


def test_packet_is_whole(packet: Path) -> None:
    """Every file of a packet is there and holds something."""
    assert {path.name for path in packet.iterdir()} == OURS
    assert all(path.stat().st_size > 100 for path in packet.iterdir())


def test_every_goal_is_proved(plan: Any) -> None:
    """Value and bound meet for every goal; where one may stay open, its bound is told and not passed."""
    assert {"panels", "worst_seam", "sheets"} <= {p["goal"] for p in plan["proof"]}
    for proof in plan["proof"]:
        assert proof["bound"] <= proof["value"]
        assert proof["proved"] == (proof["bound"] == proof["value"])
        assert proof["proved"] or proof["goal"] in MAY_STAY_OPEN


def test_panels_cover_the_face(plan: Any) -> None:
    """The covers of all panels add up to the runs' count lengths, their scallops to the count (decomposition)."""
    assert sum(panel["scallops"] for panel in plan["panels"]) == plan["scallop"]["count"]
    covers = sum(panel["cover"] for panel in plan["panels"])
    assert covers == pytest.approx(sum(run["count_length"] for run in plan["runs"]), rel=1e-9)


def test_every_blank_lies_on_its_sheet(plan: Any) -> None:
    """Each panel is cut once, at its own size, within the sheet that it names."""
    cuts = {cut["panel"]: (sheet, cut) for sheet in plan["sheets"] for cut in sheet["cuts"]}
    assert sorted(cuts) == [panel["number"] for panel in plan["panels"]]
    for panel in plan["panels"]:
        sheet, cut = cuts[panel["number"]]
        assert sheet["number"] == panel["sheet"]
        assert {cut["length"], cut["height"]} == {panel["blank_length"], panel["blank_height"]}
        assert cut["x"] + cut["length"] <= sheet["length"] + 1e-6
        assert cut["y"] + cut["height"] <= sheet["width"] + 1e-6


def test_tables_have_a_line_for_each(packet: Path, plan: Any) -> None:
    """The cut list tells every panel, the set-out every seam, under one heading."""
    assert len(rows(packet / "cut_list.csv")) == 1 + len(plan["panels"])
    assert len(rows(packet / "set_out.csv")) == 1 + len(plan["seams"])


@pytest.mark.parametrize("seed", ["1", "2"])
def test_planned_by_another_process_it_gives_the_same_bytes(
    demo: Path, packet: Path, tmp_path: Path, seed: str
) -> None:
    """Further processes, with other orders of sets, one of them with single threads, write the same files."""
    again = tmp_path / "again"
    threads = {} if seed == "1" else {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    subprocess.run(
        [sys.executable, "-m", "layout.cli", "plan", str(demo), "--out", str(again)],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": seed, **threads},
        check=True,
        capture_output=True,
        timeout=120,
    )
    assert {path.name for path in again.iterdir()} == OURS
    for name in sorted(OURS):
        assert (again / name).read_bytes() == (packet / name).read_bytes(), name


def test_planned_into_its_own_packet_it_stands(demo: Path, packet: Path) -> None:
    """An earlier packet is replaced by the new one, and nothing is left beside it."""
    assert main(["plan", str(demo), "--out", str(packet)]) == 0
    assert {path.name for path in packet.parent.iterdir()} == {packet.name}


def test_check_reports_without_planning(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`check` tells title and take-off, and writes nothing."""
    before = sorted(demo.parent.iterdir())
    assert main(["check", str(demo)]) == 0
    told = capsys.readouterr().out
    assert "scallops" in told
    assert "count line" in told
    assert sorted(demo.parent.iterdir()) == before


def no_seam_between(plan: Any, start: float, end: float) -> bool:
    """Tell whether no seam's station lies in a stretch, ends included."""
    return all(not start <= seam["station"] <= end for seam in plan["seams"] if seam["why"] != "end")


@pytest.mark.parametrize("demo", [DEMOS[0]], indirect=True, ids=["bakery_island"])
def test_every_page_of_the_first_packet_is_pictured(packet: Path) -> None:
    """demo_jobs/pages holds a PNG a page, none over 300 KB, none of a page that is not."""
    pages = len(PdfReader(packet / "packet.pdf").pages)
    pictures = sorted((DEMOS[0].parent / "pages").iterdir())
    wide = len(str(pages))  # pdftoppm fills page numbers up with noughts
    assert [path.name for path in pictures] == [f"bakery_island-{k:0{wide}}.png" for k in range(1, pages + 1)]
    assert all(path.stat().st_size < 300_000 for path in pictures)


@pytest.mark.parametrize("demo", [ROOT / "demo_jobs" / "library_desk.toml"], indirect=True, ids=["library_desk"])
def test_no_seam_falls_on_the_book_return_flap(plan: Any) -> None:
    """The stretch of 220 to 920 mm that the job keeps free holds no seam, and none needs lift."""
    assert no_seam_between(plan, 220, 920)


@pytest.mark.parametrize("demo", [ROOT / "demo_jobs" / "foyer_bar.toml"], indirect=True, ids=["foyer_bar"])
def test_a_free_pitch_fills_the_bar_without_take_up(plan: Any) -> None:
    """With a pitch range and one run the pitch makes a whole number fit: take-up 0, pitch in its range."""
    assert plan["scallop"]["take_up"] == pytest.approx(0, abs=1e-8)
    assert 1.98 <= plan["scallop"]["pitch"] <= 2.02


@pytest.mark.parametrize("demo", [DEMOS[0]], indirect=True, ids=["bakery_island"])
def test_no_seam_falls_on_the_tight_ends(plan: Any) -> None:
    """Every seam of the island stands where the back line's radius is at least 48 in."""
    assert min(seam["radius"] for seam in plan["seams"]) >= 48
