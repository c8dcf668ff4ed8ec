"""The files for the site, together."""

from __future__ import annotations

import subprocess
import sys

import ezdxf
from openpyxl import load_workbook

from layout.face.revisions import Revision
from layout.face.set_out import set_out
from layout.paper.dxf import seam_map_dxf
from layout.paper.files import write_packet
from layout.paper.site_files import site_files
from layout.paper.xlsx import packet_xlsx


def test_site_takes_four_files(plan):
    """A seam map and a template to draw on, a spreadsheet, and a page; none of them empty, none over 1 MB."""
    found = site_files(plan)
    assert list(found) == ["seam_map.dxf", "curve_template.dxf", "packet.xlsx", "site.html"]
    assert all(10_000 < len(content) < 1_000_000 for content in found.values())


def test_one_set_out_serves_all_files(ring):
    """A file made by itself is the one that is made with the others."""
    found = site_files(ring)
    assert found["seam_map.dxf"] == seam_map_dxf(ring) == seam_map_dxf(ring, set_out(ring))
    assert found["packet.xlsx"] == packet_xlsx(ring)


def test_the_packets_revision_is_in_every_file_of_the_site(ring, tmp_path):
    """Written as revision C, both DXF title blocks, every leaf of the spreadsheet and the page bear C."""
    write_packet(ring, tmp_path, Revision("C", "B"))
    for name in ("seam_map.dxf", "curve_template.dxf"):
        words = [text.dxf.text for text in ezdxf.readfile(tmp_path / name).modelspace().query('TEXT[layer=="TITLE"]')]
        assert words[words.index("revision") + 1] == "C"
    leaves = list(load_workbook(tmp_path / "packet.xlsx"))
    assert [leaf["A2"].value.split(".")[0] for leaf in leaves] == ["Revision C"] * len(leaves)
    assert '"revision":"C"' in (tmp_path / "site.html").read_text(encoding="utf-8")


def test_other_points_make_other_files(ring):
    """Control points that are given go into every file."""
    given = set_out(ring, [(0.0, -12000.0), (6000.0, -12000.0)])
    assert seam_map_dxf(ring, given) != seam_map_dxf(ring)
    assert packet_xlsx(ring, given) != packet_xlsx(ring)


def test_writers_are_loaded_late():
    """Importing the room leaves the drawing and spreadsheet libraries unloaded: a reader of jobs needs none."""
    code = (
        "import sys; from layout.paper import site_files; sys.exit(bool({'ezdxf', 'xlsxwriter'} & sys.modules.keys()))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
