"""What the site takes away beside the paper: drawings for other programs, a spreadsheet, the page for the phone."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.face.revisions import FIRST
from layout.face.set_out import SetOut, set_out
from layout.paper.dxf import curve_template_dxf, seam_map_dxf
from layout.paper.site_page import site_page
from layout.paper.xlsx import packet_xlsx


def site_files(plan: Plan, given: SetOut | None = None, revision: str = FIRST) -> dict[str, bytes]:
    """Return each file's bytes by its name; the set-out, where it is not given, is worked out once for all."""
    found = set_out(plan) if given is None else given
    return {
        "seam_map.dxf": seam_map_dxf(plan, found, revision),
        "curve_template.dxf": curve_template_dxf(plan, revision),
        "packet.xlsx": packet_xlsx(plan, found, revision),
        "site.html": site_page(plan, found, revision=revision).encode(),
    }
