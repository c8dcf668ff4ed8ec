"""The files for the site, together."""

from __future__ import annotations

import subprocess
import sys

from layout.face.set_out import set_out
from layout.paper.dxf import seam_map_dxf
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
