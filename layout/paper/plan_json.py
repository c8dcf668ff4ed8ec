"""The plan for other programs: JSON, lengths in the job's units at 12 significant digits.

What it holds is described by `plan_schema.json` beside this file.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Final

from layout import __version__
from layout.face.plan import Lines, OrderLine, Panel, Plan, Proof, Run, Seam, SheetCut
from layout.job.model import Job
from layout.units import to_units

Value = str | int | float | bool | None | list["Value"] | dict[str, "Value"]
Object = dict[str, Value]

FORMAT: Final = 1
"""of plan.json; a program that reads it refuses others"""
NOUGHT: Final = 1e-9
"""of a unit: the last digit of a length of 100 units, so nothing that is a length (assumed)"""
_COUNTED: Final = frozenset({"sheets", "panels", "different_lengths", "worst_seam", "seam_cost"})
"""goals whose values are whole numbers; seams in µm of edge lift, as the solver counts them"""


def plan_json(plan: Plan) -> str:
    """Return the plan as JSON text."""
    return json.dumps(plan_object(plan), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def plan_object(plan: Plan) -> Object:
    """Return the plan as plain values, in the order in which they are written."""
    writer = _Writer(plan)
    found: Object = {
        "format": FORMAT,
        "seamwalk": __version__,
        "title": plan.job.title,
        "units": plan.job.units,
        "outline": writer.outlines(),
        "scallop": writer.scallop(),
        "runs": [writer.run(run) for run in plan.runs],
        "seams": [writer.seam(seam) for seam in plan.seams],
        "panels": [writer.panel(panel) for panel in plan.panels],
        "sheets": [writer.sheet(sheet) for sheet in plan.sheets],
        "order": [writer.order(row) for row in plan.order],
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
        }

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
            "cost": None if row.cost is None else digits(row.cost),
        }

    def choices(self) -> list[Value]:
        return [
            {
                "cost": None if choice.cost is None else digits(choice.cost),
                "sheets": choice.sheets,
                "panels": choice.panels,
                "worst_seam": self._length(choice.worst_seam),
                "different_lengths": choice.different_lengths,
                "chosen": choice.chosen,
            }
            for choice in self._plan.choices
        ]
