"""Panels between chosen seams, with their sizes on the wall and in the flat."""

from __future__ import annotations

from collections.abc import Sequence

from layout.face.blanks import Blanks
from layout.face.plan import Panel, Run
from layout.job.model import Job


def panels_of(job: Job, runs: Sequence[Run], chosen: Sequence[Sequence[int]], blanks: Blanks) -> tuple[Panel, ...]:
    """Return all panels, numbered through the job; sheets are not yet known (0)."""
    panels: list[Panel] = []
    first_seam = 1
    for run, boundaries in zip(runs, chosen, strict=True):
        for k, (start, scallops) in enumerate(_gaps(run, boundaries)):
            left, right = first_seam + k, first_seam + (k + 1) % len(boundaries)
            lapped = job.face.seam == "lap" and (run.closed or start + scallops < run.scallops)
            panels.append(_panel(len(panels) + 1, run, blanks, (start, scallops), (left, right), lapped=lapped))
        first_seam += len(boundaries)
    return tuple(panels)


def _gaps(run: Run, boundaries: Sequence[int]) -> list[tuple[int, int]]:
    """Return (first boundary, scallops) of each panel in station order."""
    following = [*boundaries[1:], boundaries[0] + run.scallops] if run.closed else boundaries[1:]
    return [(a, b - a) for a, b in zip(boundaries, following, strict=False)]


def _panel(
    number: int, run: Run, blanks: Blanks, extent: tuple[int, int], seams: tuple[int, int], *, lapped: bool
) -> Panel:
    start, scallops = extent
    at_cut = start == 0 if run.first_part is not None else start + scallops == run.scallops
    cut_off = 1 - run.cut_part if run.cut_part is not None and at_cut else 0.0
    cover = run.pitch * (scallops - cut_off)
    return Panel(
        number=number,
        run=run.number,
        first_scallop=start,
        scallops=scallops,
        lapped=lapped,
        cover=cover,
        overall=cover + run.pitch * lapped,
        blank_length=blanks.length(scallops, lapped=lapped),
        blank_height=run.height,
        left_seam=seams[0],
        right_seam=seams[1],
        sheet=0,
    )
