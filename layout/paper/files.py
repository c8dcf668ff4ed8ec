"""The files that a plan is handed over as."""

from __future__ import annotations

from pathlib import Path

from layout.face.plan import Plan
from layout.face.revisions import Revision
from layout.face.set_out import set_out
from layout.paper.csv_tables import cut_list_csv, set_out_csv
from layout.paper.order_csv import order_csv
from layout.paper.packet import ONE, draw_packet
from layout.paper.pdf import write_pdf
from layout.paper.plan_json import plan_json
from layout.paper.seam_map import NAME as SEAM_MAP
from layout.paper.seam_map import large_seam_map
from layout.paper.site_files import site_files
from layout.paper.svg import write_svg


def write_packet(plan: Plan, folder: Path, revision: Revision = ONE) -> list[Path]:
    """Write every file of a plan into a folder that exists.

    The same plan gives the same bytes, whenever and wherever it is written.

    Returns
    -------
    list of Path
        The paths of all files, the packet on paper first and plan.json last.

    Raises
    ------
    OSError
        Where the folder cannot be written to.
    """
    found = set_out(plan)
    papers = draw_packet(plan, revision, found)
    whole = [paper for paper in papers if paper.name == SEAM_MAP]
    seam_map = whole[0] if whole else large_seam_map(plan, revision.letter)
    contents = {
        "packet.pdf": write_pdf(papers, plan.job.title),
        **site_files(plan, found, revision.letter),
        "seam_map.svg": write_svg(seam_map, f"{plan.job.title}: seam map").encode(),
        "cut_list.csv": cut_list_csv(plan).encode(),
        "set_out.csv": set_out_csv(plan).encode(),
        "order.csv": order_csv(plan).encode(),
        "plan.json": plan_json(plan, revision.letter).encode(),
    }
    written = []
    for name, content in contents.items():
        path = folder / name
        path.write_bytes(content)
        written.append(path)
    return written
