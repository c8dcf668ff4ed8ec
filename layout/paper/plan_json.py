"""The plan for other programs: JSON, lengths in the job's units at 12 significant digits.

What it holds is described by `plan_schema.json` beside this file.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Final

from layout import __version__
from layout.face.plan import Hole, Lines, OrderLine, Panel, Plan, Proof, Run, Seam, SheetCut
from layout.face.revisions import FIRST
from layout.job.model import Job, Opening
from layout.paper.forming_json import Value, die_object, press_object, weight_in
from layout.paper.source_json import source_object
from layout.units import to_units

Object = dict[str, Value]

FORMAT: Final = 1
"""of plan.json; a program that reads it refuses others"""
NOUGHT: Final = 1e-9
"""of a unit: the last digit of a length of 100 units, so nothing that is a length (assumed)"""
_COUNTED: Final = frozenset({"sheets", "panels", "different_lengths", "worst_seam", "seam_cost"})
"""goals whose values are whole numbers; seams as the solver counts them: µm of edge lift, sight before that"""


def plan_json(plan: Plan, revision: str = FIRST) -> str:
    """Return the plan as JSON text."""
    return json.dumps(plan_object(plan, revision), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def plan_object(plan: Plan, revision: str = FIRST) -> Object:
    """Return the plan as plain values, in the order in which they are written."""
    writer = _Writer(plan)
    found: Object = {
        "format": FORMAT,
        "seamwalk": __version__,
        "title": plan.job.title,
        "revision": revision,
        "job_file": plan.job.digest,
        "units": plan.job.units,
        "outline": writer.outlines(),
        "scallop": writer.scallop(),
        "runs": [writer.run(run) for run in plan.runs],
        "seams": [writer.seam(seam) for seam in plan.seams],
        "panels": [writer.panel(panel) for panel in plan.panels],
        "openings": [writer.opening(opening) for opening in plan.job.openings],
        "cutouts": [writer.hole(hole) for hole in plan.cutouts],
        "viewpoints": writer.viewpoints(),
        "sheets": [writer.sheet(sheet) for sheet in plan.sheets],
        "order": [writer.order(row) for row in plan.order],
        "die": writer.die(),
        "press": writer.press(),
        "proof": [_proof(proof) for proof in plan.proof],
        "choices": writer.choices(),
        "cautions": list(plan.cautions),
    }
    if len(plan.lines) > 1:
        found["outlines"] = [{"name": lines.name, **writer.outline((lines,))} for lines in plan.lines]
    return found


def stock_names(job: Job) -> list[str]:
    """Return a name for each stock size, length by width in the job's units; equal sizes are counted.

    Examples
    --------
    >>> from layout.job.model import FaceSpec, MetalSpec, ScallopSpec, SheetSpec
    >>> stock = SheetSpec(length=3048.0, width=1219.2), SheetSpec(length=1524.0, width=1219.2, remnant=True)
    >>> job = Job("Bar", "in", (), ScallopSpec("arc", 70, 16), MetalSpec("steel", 0.6), FaceSpec(1000), stock)
    >>> stock_names(job)
    ['120 x 48', '60 x 48 remnant']
    """
    names: list[str] = []
    for sheet in job.sheets:
        size = " x ".join(f"{to_units(side, job.units):.10g}" for side in (sheet.length, sheet.width))
        name = f"{size} remnant" if sheet.remnant else size
        alike = sum(other == name or other.startswith(f"{name} (") for other in names)
        names.append(f"{name} ({alike + 1})" if alike else name)
    return names


def digits(value: float) -> float:
    """Round to 12 significant digits; what is smaller than `NOUGHT` is rounding, and becomes 0.

    Examples
    --------
    >>> digits(100 / 3), digits(-0.0), digits(-1.9e-14)
    (33.3333333333, 0.0, 0.0)
    """
    return 0.0 if abs(value) < NOUGHT else float(f"{value:.12g}")


def _proof(proof: Proof) -> Object:
    values: list[Value] = [
        round(value) if proof.goal in _COUNTED else digits(value) for value in (proof.value, proof.bound)
    ]
    return {"goal": proof.goal, "value": values[0], "bound": values[1], "proved": proof.proved}


class _Writer:
    """Turns parts of one plan into plain values in its job's units."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._runs = {run.number: run.name for run in plan.runs}
        self._stocks = stock_names(plan.job)
        self._hung = {hung.run: hung.order for hung in plan.hanging}
        self._asked = {cutout.name: cutout for cutout in plan.job.cutouts}

    def _length(self, mm: float) -> float:
        return digits(to_units(mm, self._plan.job.units))

    def _radius(self, mm: float | None) -> float | None:
        return None if mm is None or math.isinf(mm) else self._length(mm)

    def outlines(self) -> Object:
        return self.outline(self._plan.lines)

    def outline(self, lines: Sequence[Lines]) -> Object:
        """Return the lengths of some outlines in all."""
        return {
            "closed": all(one.closed for one in lines),
            "drawn_length": self._length(math.fsum(one.drawn.length for one in lines)),
            "back_length": self._length(math.fsum(one.back.length for one in lines)),
            "count_length": self._length(math.fsum(one.count.length for one in lines)),
            "crest_length": self._length(math.fsum(one.crest.length for one in lines)),
            "smallest_radius": self._radius(min(one.back.smallest_radius for one in lines)),
            "source": source_object(lines[0], self._length) if len(lines) == 1 else None,
        }

    def scallop(self) -> Object:
        scallop, runs = self._plan.scallop, self._plan.runs
        return {
            "form": scallop.form,
            "pitch": self._length(scallop.pitch),
            "drawn_pitch": self._length(scallop.drawn_pitch),
            "depth": self._length(scallop.depth),
            "developed": self._length(scallop.profile.developed),
            "neutral_height": self._length(scallop.profile.neutral_height),
            "count": sum(run.scallops for run in runs),
            "take_up": self._length(max((run.take_up for run in runs), key=abs, default=0.0)),
            "take_up_limit": self._length(scallop.flex.take_up_limit),
            "natural_bend_radius": self._length(scallop.flex.natural_bend_radius),
        }

    def run(self, run: Run) -> Object:
        return {
            "name": run.name,
            "closed": run.closed,
            "scallops": run.scallops,
            "from": self._length(run.start),
            "to": self._length(run.end),
            "count_length": self._length(run.count_length),
            "take_up": self._length(run.take_up),
            "may_be_longer": self._length(run.may_be_longer),
            "may_be_shorter": self._length(run.may_be_shorter),
            "height": self._length(run.height),
            "zone": run.zone or None,
            "first_panel": self._hung[run.number][0] if self._hung.get(run.number) else None,
            "closing_panel": self._hung[run.number][-1] if self._hung.get(run.number) else None,
        }

    def opening(self, opening: Opening) -> Object:
        return {
            "name": opening.name,
            "from": self._length(opening.start),
            "to": self._length(opening.end),
            "leaf": opening.leaf,
            "clearance": self._length(opening.clearance),
            "ends": opening.ends or self._plan.job.face.ends,
        }

    def seam(self, seam: Seam) -> Object:
        return {
            "number": seam.number,
            "run": self._runs[seam.run],
            "scallop": seam.boundary,
            "station": self._length(seam.station),
            "x": self._length(seam.x),
            "y": self._length(seam.y),
            "radius": self._radius(seam.radius),
            "lift": self._length(seam.lift),
            "cost": seam.cost,
            "why": seam.why,
            "sight": dict(seam.sight),
        }

    def hole(self, hole: Hole) -> Object:
        asked = self._asked[hole.name]
        return {
            "name": hole.name,
            "station": self._length(asked.at),
            "up": self._length(asked.up),
            "width": self._length(asked.width),
            "height": self._length(asked.height),
            "panel": hole.panel,
            "left": self._length(hole.left),
            "bottom": self._length(hole.bottom),
            "flat_width": self._length(hole.width),
            "whole": hole.whole,
        }

    def viewpoints(self) -> list[Value]:
        return [
            {"name": place.name, "x": self._length(place.at[0]), "y": self._length(place.at[1]), "weight": place.weight}
            for place in self._plan.job.viewpoints
        ]

    def panel(self, panel: Panel) -> Object:
        return {
            "number": panel.number,
            "run": self._runs[panel.run],
            "first_scallop": panel.first_scallop,
            "scallops": panel.scallops,
            "cover": self._length(panel.cover),
            "overall": self._length(panel.overall),
            "blank_length": self._length(panel.blank_length),
            "blank_height": self._length(panel.blank_height),
            "left_seam": panel.left_seam,
            "right_seam": panel.right_seam,
            "sheet": panel.sheet,
        }

    def sheet(self, sheet: SheetCut) -> Object:
        return {
            "number": sheet.number,
            "stock": self._stocks[sheet.stock],
            "length": self._length(sheet.length),
            "width": self._length(sheet.width),
            "used": digits(sheet.used),
            "cuts": [
                {
                    "panel": cut.panel,
                    "x": self._length(cut.x),
                    "y": self._length(cut.y),
                    "length": self._length(cut.length),
                    "height": self._length(cut.height),
                }
                for cut in sheet.cuts
            ],
        }

    def order(self, row: OrderLine) -> Object:
        return {
            "stock": self._stocks[row.stock],
            "needed": row.needed,
            "spare": row.spare,
            "prove_out": row.prove_out,
            "buy": row.buy,
            "from_stock": row.from_stock,
            "cost": None if row.cost is None else digits(row.cost),
            "weight": weight_in(row.weight, self._plan.job.units),
        }

    def die(self) -> Value:
        forming = self._plan.forming
        return None if forming is None else die_object(forming, self._length)

    def press(self) -> Value:
        forming = self._plan.forming
        return None if forming is None else press_object(forming, self._plan.job.units)

    def choices(self) -> list[Value]:
        return [
            {
                "cost": None if choice.cost is None else digits(choice.cost),
                "sheets": choice.sheets,
                "panels": choice.panels,
                "worst_seam": self._length(choice.worst_seam),
                "worst_sight": choice.worst_sight,
                "different_lengths": choice.different_lengths,
                "chosen": choice.chosen,
                "note": choice.note,
            }
            for choice in self._plan.choices
        ]
