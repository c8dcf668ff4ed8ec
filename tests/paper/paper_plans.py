"""Plans made by hand for the drawings: rings and wandering lines, without the solver."""

from __future__ import annotations

import math
from dataclasses import replace

from layout.face.buying_work import with_buying
from layout.face.cutouts import holes_of
from layout.face.forming_work import with_forming
from layout.face.hanging import with_hanging
from layout.face.plan import (
    Choice,
    Cut,
    Flex,
    Lines,
    OrderLine,
    Panel,
    Plan,
    Proof,
    Run,
    Scallop,
    Seam,
    SheetCut,
    Stretch,
)
from layout.job.model import (
    Cutout,
    FaceSpec,
    Job,
    MetalSpec,
    OutlineSpec,
    ScallopSpec,
    SheetSpec,
    Straight,
    Turn,
    Viewpoint,
    Wall,
)
from layout.metal.forms import Profile, build_profile
from layout.outline.chain import Chain
from layout.outline.walk import walk

DIGEST = "9f2c" * 16


def make_job(spec: OutlineSpec | tuple[OutlineSpec, ...], units: str = "in", **changes: object) -> Job:
    """Return a job round the given outline."""
    outlines = spec if isinstance(spec, tuple) else (spec,)
    job = Job(
        title="Ticket counter, east hall",
        units=units,
        outlines=outlines,
        scallop=ScallopSpec("arc", pitch=69.85, depth=15.875),
        metal=MetalSpec("steel", thickness=0.60706, gauge=24),
        face=FaceSpec(height=1066.8, top_return=19.05),
        sheets=(SheetSpec(length=3048.0, width=1219.2, trim=6.35, price=71.5),),
        digest=DIGEST,
    )
    return replace(job, **changes)  # type: ignore[arg-type]


def circle(diameter: float, name: str = "") -> OutlineSpec:
    """Return a round outline."""
    return OutlineSpec(name, "circle", diameter=diameter)


def wander(name: str = "") -> OutlineSpec:
    """Return an open line that bends both ways."""
    steps = (
        Straight(2400.0),
        Turn(math.radians(70), 900.0),
        Straight(1500.0),
        Turn(-math.radians(95), 1200.0),
        Straight(1800.0),
    )
    return OutlineSpec(name, "path", closed=False, steps=steps, face="left")


def make_plan(job: Job, panels: int, *, stretches: tuple[Stretch, ...] = ()) -> Plan:
    """Return a plan of a job with this many panels, as even as whole scallops allow, on every outline."""
    profile = build_profile(job.scallop, job.metal.thickness)
    lines, runs = [], []
    seams: list[Seam] = []
    made: list[Panel] = []
    for k, spec in enumerate(job.outlines):
        lines.append(_lines(spec, job, profile))
        back, count = lines[-1].back, lines[-1].count
        run = _run(k, spec.name or f"run {k + 1}", back, count, profile.pitch, job)
        runs.append(run)
        marks = [round(i * run.scallops / panels) for i in range(panels + (not run.closed))]
        first = (len(seams) + 1, len(made) + 1)
        seams += [_seam(first[0] + i, run, back, mark) for i, mark in enumerate(marks)]
        made += _panels(run, marks, first, profile.developed)
    sheets = tuple(_sheet(job, panel) for panel in made)
    flex = Flex(0.35, 0.21, 3.75, 910.0)
    plan = Plan(
        job=job,
        lines=tuple(lines),
        scallop=Scallop("arc", profile.pitch, profile.pitch, profile.depth, profile, flex),
        runs=tuple(runs),
        seams=tuple(seams),
        panels=tuple(made),
        sheets=sheets,
        order=(_order(len(sheets)),),
        proof=(
            Proof("panels", len(made), len(made), proved=True),
            Proof("worst_seam", 1212, 1100, proved=False),
            Proof("different_lengths", 2, 2, proved=True),
            Proof("sheets", len(sheets), len(sheets), proved=True),
        ),
        choices=_choices(len(sheets), len(made)),
        stretches=stretches,
        cautions=("Pre-curve panels 2 and 3: tighter than the natural bend of 35 13/16 in.",),
    )
    return with_buying(with_forming(plan))


def _order(needed: int) -> OrderLine:
    """Return an order of the sheets needed and two more: 120 × 48 in of 24 gauge steel at 7850 kg/m³."""
    buy = needed + 2
    return OrderLine(0, needed, 1, 1, buy, 71.5 * buy, buy * 3.048 * 1.2192 * 0.60706 * 7.85)


def _lines(spec: OutlineSpec, job: Job, profile: Profile) -> Lines:
    walked = walk(spec, job.units)
    back = walked.back
    count = back.parallel(profile.neutral_height + job.metal.thickness / 2)
    crest = back.parallel(job.scallop.depth + job.metal.thickness)
    x, y = back.point(0.0).tolist()
    return Lines(spec.name, walked.drawn, back, count, crest, (x, y))


def _panels(run: Run, marks: list[int], first: tuple[int, int], developed: float) -> list[Panel]:
    """Return the panels between seams; `first` is the number of the first seam and of the first panel."""
    following = [*marks[1:], marks[0] + run.scallops] if run.closed else marks[1:]
    pitch = run.count_length / run.scallops
    made = []
    for i, (a, b) in enumerate(zip(marks, following, strict=False)):
        lapped = run.closed or b < run.scallops
        made.append(
            Panel(
                first[1] + i,
                run.number,
                a,
                b - a,
                lapped,
                pitch * (b - a),
                pitch * (b - a + lapped),
                developed * (b - a + lapped) + 38.1,
                1085.85,
                first[0] + i,
                first[0] + (i + 1) % len(marks),
                first[1] + i,
            )
        )
    return made


def _choices(sheets: int, panels: int) -> tuple[Choice, ...]:
    more = Choice(71.5 * (sheets + 1), sheets + 1, panels + 1, 0.5, 3, chosen=False, note="one more")
    return Choice(71.5 * sheets, sheets, panels, 1.212, 2, chosen=True, note="best by the goals"), more


def _run(k: int, name: str, back: Chain, count: Chain, pitch: float, job: Job) -> Run:
    scallops = round(count.length / pitch)
    marks = [count.length * j / scallops for j in range(scallops + 1)]
    return Run(
        number=k + 1,
        name=name,
        outline=k,
        closed=back.closed,
        scallops=scallops,
        start=0.0,
        end=back.length,
        count_length=count.length,
        take_up=count.length / scallops - pitch,
        may_be_longer=31.0,
        may_be_shorter=29.0,
        stations=count.carry(marks, onto=back),
        height=job.face.height + job.face.top_return,
    )


def _seam(number: int, run: Run, back: Chain, boundary: int) -> Seam:
    station = float(run.stations[boundary])
    x, y = back.point(station).tolist()
    bend = float(back.curvature(min(station, back.length)))
    end = not run.closed and boundary in {0, run.scallops}
    return Seam(
        number,
        run.number,
        run.outline,
        boundary,
        station,
        x,
        y,
        float(back.heading(station)),
        1 / bend if bend else None,
        0.0 if end else 1.2,
        0 if end else 1212,
        "end" if end else "as far as the sheet reaches",
        end=end,
    )


def _sheet(job: Job, panel: Panel) -> SheetCut:
    stock = job.sheets[0]
    cut = Cut(panel.number, stock.trim, 0.0, panel.blank_length, panel.blank_height)
    used = cut.length * cut.height / (stock.length * stock.width)
    return SheetCut(panel.number, 0, stock.length, stock.width, used, (cut,))


SITE = {
    "viewpoints": (Viewpoint("street door", (1550.0, -1550.0)), Viewpoint("stairs, far off", (-9000.0, 7000.0), 2.0)),
    "walls": (Wall(((1700.0, -1700.0), (2300.0, -1100.0))), Wall(((-4000.0, 0.0), (-1900.0, 900.0)))),
    "cutouts": (
        Cutout("socket", 900.0, 300.0, 90.0, 146.0),
        Cutout("data", 1040.0, 300.0, 76.0, 76.0),
        Cutout("hatch", 4300.0, 100.0, 400.0, 500.0),
    ),
}
"""what people look at, and what is cut, of a ring 3 600 mm across"""


def looked_at(plan: Plan) -> Plan:
    """Return the plan with something told of every seam's sight, with its holes and its order of hanging."""
    words = ("seen", "grazed", "hidden")
    names = [place.name for place in plan.job.viewpoints]
    seams = tuple(
        replace(
            seam, sight=() if seam.end else tuple((name, words[(seam.number + k) % 3]) for k, name in enumerate(names))
        )
        for seam in plan.seams
    )
    holes = holes_of(plan.job, plan.lines, plan.runs, plan.panels, plan.scallop.profile)
    return with_hanging(replace(plan, seams=seams, cutouts=holes))
