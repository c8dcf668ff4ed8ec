"""Holes in the blanks, worked out again on scallops drawn out in chords."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from layout.face.check_runs import Own
from layout.face.check_scallop import Sums, traced
from layout.face.check_words import EDGE, differs, joined, unless
from layout.face.plan import Hole, Panel, Plan, Run
from layout.job.model import Avoid, Cutout

CHORDS = 4000
"""chords of each part of a scallop"""

PLACED = 1e-3
"""mm that a hole may differ by: chords are that near"""

Held = tuple[str, int, float, float, float, float, bool]
"""name, panel, left, bottom, width, height, whole: a hole as the check finds it"""


def kept_by_cutouts(plan: Plan, own: Sequence[Own]) -> list[tuple[int, Avoid]]:
    """Return the stretches that cut-outs keep seams off, each with its outline's index."""
    pitch = max(plan.scallop.pitch + run.take_up for run in plan.runs)
    found = []
    for cutout in plan.job.cutouts:
        outline = _outline(plan, cutout)
        back = own[outline].back
        clear = pitch if cutout.clearance is None else cutout.clearance
        start, end = cutout.at - cutout.width / 2 - clear, cutout.at + cutout.width / 2 + clear
        if back.closed and end - start < back.length:
            start, end = start % back.length, end % back.length
        else:
            start, end = max(start, 0.0), min(end, back.length)
        found.append((outline, Avoid(start, end, cutout.name, plan.job.outlines[outline].name)))
    return found


def _outline(plan: Plan, cutout: Cutout) -> int:
    return next((k for k, spec in enumerate(plan.job.outlines) if spec.name == cutout.outline), 0)


def check_cutouts(plan: Plan, sums: Sums, own: Sequence[Own]) -> list[str]:
    """Return what of the holes does not follow from the job's cut-outs, the runs and the panels."""
    if not plan.job.cutouts:
        return unless(not plan.cutouts, "blanks have holes, and the job has no cut-outs")
    found = [hole for cutout in plan.job.cutouts for hole in _holes(plan, sums, own, cutout)]
    claimed = [(h.name, h.panel, h.left, h.bottom, h.width, h.height, h.whole) for h in plan.cutouts]
    if [hole[:2] for hole in sorted(found)] != [hole[:2] for hole in sorted(claimed)]:
        return [f"holes in panels {_panels(claimed)}, the check finds them in {_panels(found)}"]
    return joined(
        [
            *(_check_hole(*pair) for pair in zip(sorted(claimed), sorted(found), strict=True)),
            *(_check_inside(plan, hole) for hole in plan.cutouts),
        ]
    )


def _panels(holes: Sequence[Held]) -> str:
    return ", ".join(f"{hole[1]} ({hole[0]})" for hole in sorted(holes)) or "none"


def _check_hole(claimed: Held, own: Held) -> Iterator[str]:
    where = f"cut-out {own[0]} in panel {own[1]}"
    for what, value, mine in zip(("left", "bottom", "width", "height"), claimed[2:6], own[2:6], strict=True):
        yield from differs(f"{where}: {what}", value, mine, PLACED)
    yield from unless(claimed[6] == own[6], f"{where}: whole in one, a notch in the other")


def _check_inside(plan: Plan, hole: Hole) -> Iterator[str]:
    panel = next(panel for panel in plan.panels if panel.number == hole.panel)
    across = hole.left >= -EDGE and hole.left + hole.width <= panel.blank_length + EDGE
    up = hole.bottom >= -EDGE and hole.bottom + hole.height <= panel.blank_height + EDGE
    yield from unless(across and up, f"cut-out {hole.name} in panel {hole.panel}: off its blank")


def _holes(plan: Plan, sums: Sums, own: Sequence[Own], cutout: Cutout) -> Iterator[Held]:
    """Yield a cut-out on every panel of its run that it goes through."""
    outline = _outline(plan, cutout)
    lines = own[outline]
    left = cutout.at - cutout.width / 2
    for run in plan.runs:
        gone = left - run.start
        if lines.back.closed:
            gone = (gone + EDGE) % lines.back.length - EDGE
        if run.outline != outline or (not run.closed and not _within(run, gone, cutout.width)):
            continue
        sides = [_scallops(plan, run, lines, run.start + at) for at in (gone, gone + cutout.width)]
        for panel in plan.panels:
            if panel.run == run.number:
                yield from _on_panel(plan, sums, cutout, (run, panel), (sides[0], sides[1]))
        return


def _within(run: Run, gone: float, width: float) -> bool:
    return gone >= -EDGE and gone + width <= run.end - run.start + EDGE


def _scallops(plan: Plan, run: Run, own: Own, station: float) -> float:
    """Return scallops from a run's start to a station, by lengths of the count line."""
    start, there = own.back.carried([run.start, station], own.count)
    return float(there - start) / (plan.scallop.pitch + run.take_up)


def _on_panel(
    plan: Plan, sums: Sums, cutout: Cutout, place: tuple[Run, Panel], sides: tuple[float, float]
) -> Iterator[Held]:
    (run, panel), face = place, plan.job.face
    metal = panel.scallops + panel.lapped
    for lap in (-1, 0, 1) if run.closed else (0,):
        a, b = (side - panel.first_scallop + lap * run.scallops for side in sides)
        begin, end = max(a, 0.0), min(b, metal)
        if (end - begin) * sums.pitch > EDGE:
            left, right = (_flat(plan, sums, at) for at in (begin, end))
            bottom = cutout.up + face.bottom_return + face.scribe
            whole = a >= -EDGE / sums.pitch and b <= metal + EDGE / sums.pitch
            yield cutout.name, panel.number, face.form_trim + left, bottom, right - left, cutout.height, whole


def _flat(plan: Plan, sums: Sums, scallops: float) -> float:
    """Return the developed length of so many scallops, by chords of the last one."""
    points = traced(plan.job.scallop, plan.job.metal.thickness, sums.pitch, CHORDS)
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    whole, part = math.floor(scallops), scallops - math.floor(scallops)
    x = np.maximum.accumulate(points[:, 0])
    share = float(np.interp(part * sums.pitch, x, walked)) / float(walked[-1])
    return (whole + share) * sums.developed
