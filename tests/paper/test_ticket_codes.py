"""The codes on the panel tickets, read off the printed page by a decoder that shares no code with their writer."""

from __future__ import annotations

import os
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import zxingcpp

from layout.face.plan import Hole
from layout.face.planning import make_plan
from layout.face.revisions import Revision
from layout.job.reading import read_job
from layout.paper.frame import finish
from layout.paper.packet import draw_packet
from layout.paper.pdf import write_pdf
from layout.paper.tickets import NAME, code_text, draw_tickets

DEMOS = Path(__file__).parents[2] / "demo_jobs"
PRINTED = 200
"""dots an inch: a poor office printer (assumed)"""


def pixels(papers, folder):
    """Return each ticket page of some papers as grey pixels, rows by columns."""
    tool = shutil.which("pdftoppm")
    if tool is None and not os.environ.get("CI"):
        pytest.skip("no pdftoppm on this machine")
    assert tool is not None, "CI needs pdftoppm for the tickets' tests"
    tickets = [paper for paper in papers if paper.name == NAME]
    (folder / "tickets.pdf").write_bytes(write_pdf(tickets, "tickets"))
    subprocess.run([tool, "-r", str(PRINTED), "-gray", "tickets.pdf", "page"], cwd=folder, check=True, timeout=120)
    return [grey(path.read_bytes()) for path in sorted(folder.glob("page*.pgm"))]


def grey(content):
    """Return the pixels of a binary PGM picture."""
    kind, size, most, raw = content.split(b"\n", 3)
    assert (kind, most) == (b"P5", b"255")
    wide, tall = map(int, size.split())
    return np.frombuffer(raw, np.uint8).reshape(tall, wide)


def read_off(picture):
    """Return the texts of all codes on a page."""
    return [found.text for found in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


@pytest.mark.parametrize("name", ["garden_bar", "library_desk", "foyer_bar"])
def test_every_code_of_a_demo_is_read_off_the_page(name, tmp_path):
    """At 200 dots an inch each ticket's code gives the ticket's text, letter by letter, once a panel."""
    plan = make_plan(read_job(DEMOS / f"{name}.toml"))
    found = [text for picture in pixels(draw_packet(plan, Revision("B")), tmp_path) for text in read_off(picture)]
    assert sorted(found) == sorted(code_text(plan, panel, "B") for panel in plan.panels)


@pytest.mark.parametrize("holes", [0, 1, 4, 12])
def test_the_fullest_code_is_read_off_the_page(holes, looked, tmp_path):
    """A panel with a dozen cut-outs of long names has a dense code; it is drawn larger and read all the same."""
    name = "floor box {} with a name that is as long as any name is here"
    made = tuple(Hole(name.format(i), 1, 101.6 * i, 304.8, 95.25, 146.05) for i in range(holes))
    plan = replace(looked, cutouts=made)
    found = [text for picture in pixels(finish(draw_tickets(plan), plan.job), tmp_path) for text in read_off(picture)]
    assert sorted(found) == sorted(code_text(plan, panel) for panel in plan.panels)


def test_a_spoilt_code_is_not_read(looked, tmp_path):
    """The decoder really reads: with the middle of every code painted over, nothing comes back."""
    for picture in pixels(finish(draw_tickets(looked), looked.job), tmp_path):
        spoilt = picture.copy()
        for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode):
            a, b = code.position.top_left, code.position.bottom_right
            step = (b.x - a.x) // 5
            spoilt[a.y + step : b.y - step, a.x + step : b.x - step] = 255
        assert len(read_off(picture)) > 0
        assert read_off(spoilt) == []
