"""The files that a plan is handed over as."""

from __future__ import annotations

from pathlib import Path

from layout.face.plan import Plan
from layout.paper.csv_tables import cut_list_csv, set_out_csv
from layout.paper.packet import draw_packet
from layout.paper.pdf import write_pdf
from layout.paper.plan_json import plan_json
from layout.paper.seam_map import NAME as SEAM_MAP
from layout.paper.seam_map import large_seam_map
from layout.paper.svg import write_svg


def write_packet(plan: Plan, folder: Path) -> list[Path]:
    """Write every file of a plan into a folder that exists.

    The same plan gives the same bytes, whenever and wherever it is written.

    Returns
    -------
    list of Path
        packet.pdf, seam_map.svg, cut_list.csv, set_out.csv, plan.json.

    Raises
    ------
    OSError
        Where the folder cannot be written to.
    """
    papers = draw_packet(plan)
    whole = [paper for paper in papers if paper.name == SEAM_MAP]
    seam_map = whole[0] if whole else large_seam_map(plan)
    contents = {
        "packet.pdf": write_pdf(papers, plan.job.title),
        "seam_map.svg": write_svg(seam_map, f"{plan.job.title}: seam map").encode(),
        "cut_list.csv": cut_list_csv(plan).encode(),
        "set_out.csv": set_out_csv(plan).encode(),
        "plan.json": plan_json(plan).encode(),
    }
    written = []
    for name, content in contents.items():
        path = folder / name
        path.write_bytes(content)
        written.append(path)
    return written
