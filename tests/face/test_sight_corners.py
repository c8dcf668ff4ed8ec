"""Sight at sharp corners: mitres and returns, outside and inside, against rays cast at scallops drawn out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from site_cases import FORMS, Laid, laid, site_job

from layout.errors import JobFaults
from layout.face.check_sight import drawn_face, edge_of, possible_views, scene_of, valleys_of
from layout.face.planning import make_plan
from layout.face.sight import View, grooves_of, hand_of, sights_of, viewpoint_faults
from layout.face.sight_lines import screens_of
from layout.job.model import FaceSpec, Job, Opening, OutlineSpec, SeamsSpec, Straight, Turn, Viewpoint

DEPTH = 16.0 + 0.6
"""mm, from the back line to the outermost metal of the arc form"""


def counter(kind: str, turns: tuple[float, ...], lengths: tuple[float, ...], **parts: object) -> Job:
    """Return a job of straights that meet in corners, degrees, left positive."""
    steps: list[Straight | Turn] = [Straight(lengths[0])]
    for turn, length in zip(turns, lengths[1:], strict=True):
        steps += [Turn(math.radians(turn), 0.0), Straight(length)]
    side = str(parts.pop("side", "right"))
    outline = OutlineSpec("", "path", closed=False, face=side, corner=kind, steps=tuple(steps))
    return site_job(outline, str(parts.pop("form", "arc")), **parts)


def scenes(count: int, seed: int) -> Iterator[Job]:
    """Yield counters of three runs, with eyes all about and some near the corner."""
    dice = np.random.default_rng(seed)
    for k in range(count):
        kind = ("mitre", "return")[k % 2]
        turns = (float(dice.choice([90, -90, 60, -60, 120, -120])), float(dice.choice([90, -90, 75, -75])))
        lengths = tuple(float(mm) for mm in dice.uniform(500.0, 1500.0, 3))
        spots = np.vstack(
            [dice.uniform(-3000, 3000, (5, 2)), np.array([lengths[0], 0.0]) + dice.uniform(-500, 500, (5, 2))]
        )
        eyes = tuple(Viewpoint(f"eye {i}", (float(x), float(y))) for i, (x, y) in enumerate(spots))
        face = FaceSpec(
            height=590.0, lap_goes=str(dice.choice(["under", "over"])), seam=str(dice.choice(["lap", "butt"]))
        )
        parts = {"side": str(dice.choice(["left", "right"])), "form": str(dice.choice(list(FORMS))), "face": face}
        yield counter(kind, turns, lengths, viewpoints=eyes, **parts)


def placed(job: Job) -> Laid | None:
    """Lay a job out, without the eyes that stand in the face; None where it folds."""
    try:
        made = laid(job)
    except JobFaults:
        return None
    near = {fault.key for fault in viewpoint_faults(job, made.lines)}
    kept = tuple(eye for k, eye in enumerate(job.viewpoints, 1) if f"viewpoint[{k}].at" not in near)
    return replace(made, job=replace(job, viewpoints=kept))


def test_sight_at_corners_agrees_with_rays_cast_at_drawn_scallops() -> None:
    """Every view of every boundary but the outermost is what rays allow, but for one in a thousand by one step.

    Where a line of sight dips between the crests of the other side of a corner, rays may pass that the crest line
    stops.
    """
    tried, missed = dict.fromkeys(View, 0), []
    for scene_job in scenes(36, seed=3):
        made = placed(scene_job)
        if made is None:
            continue
        job, screens = made.job, screens_of(made.lines)
        scene = scene_of(job, made.own, made.runs, made.profile.pitch)
        for run in made.runs:
            edges = sights_of(job, made.lines[0], run, made.profile, screens).edges(hand_of(job))
            inner = [b for b in range(1, run.scallops - 1) if run.start < run.stations[b] < run.end]
            for boundary in [*inner[:3], *inner[3:-3:4], *inner[-3:]]:
                shown, side = edge_of(job, run, boundary)
                (valley,), (off,) = valleys_of(job, made.own[0], run, [shown])
                for k, eye in enumerate(job.viewpoints):
                    possible = possible_views(scene, np.array(eye.at), (valley, off), side)
                    view = View(edges[k, boundary])
                    tried[view] += len(possible) == 1
                    if view.word not in possible:
                        missed.append((view, possible, job.outlines[0], run.number, boundary))
    assert min(tried.values()) > 100, tried
    assert len(missed) <= sum(tried.values()) / 1000, missed
    assert not any({view.word} | possible >= {"hidden", "seen"} for view, possible, *_ in missed)


@pytest.mark.parametrize("kind", ["mitre", "return"])
@pytest.mark.parametrize("turn", [90.0, -90.0, 60.0, -60.0])
@pytest.mark.parametrize("hand", ["under", "over", "either"])
def test_a_counter_with_corners_that_is_looked_at_is_planned_and_agrees(kind: str, turn: float, hand: str) -> None:
    """Plan and check go through, and every seam has its view."""
    eyes = (Viewpoint("door", (-1500.0, -2500.0)), Viewpoint("stairs", (4500.0, -1800.0)))
    face = FaceSpec(height=590.0, lap_goes=hand, largest_scallops=12)
    plan = make_plan(
        counter(
            kind, (turn,), (2100.0, 1900.0), viewpoints=eyes, face=face, seams=SeamsSpec(goals=("panels", "seam_cost"))
        )
    )
    told = [dict(seam.sight) for seam in plan.seams if not seam.end]
    assert told
    assert all(set(views) == {"door", "stairs"} for views in told)


@pytest.mark.parametrize(("turn", "leg"), [(90.0, DEPTH), (60.0, DEPTH / math.sin(math.radians(60.0)))])
def test_the_short_leg_of_a_return_goes_straight_on_past_the_corner(turn: float, leg: float) -> None:
    """Drawn out, the run that runs past ends D/sin δ beyond the corner, along its own wall."""
    made = laid(counter("return", (turn,), (1400.0, 1400.0)))
    metal = drawn_face(made.job, made.own[0], made.runs[0], made.profile.pitch)
    assert metal[-1] == pytest.approx([1400.0 + leg, -made.job.metal.thickness / 2], abs=1e-3)


def test_the_run_inside_a_return_begins_off_the_other_ones_crests() -> None:
    """At an inside right angle the second run's metal begins D along its wall."""
    made = laid(counter("return", (-90.0,), (1400.0, 1400.0)))
    metal = drawn_face(made.job, made.own[0], made.runs[1], made.profile.pitch)
    assert metal[0] == pytest.approx([1400.0 - made.job.metal.thickness / 2, -DEPTH], abs=1e-3)


def test_scallops_of_a_returned_run_stand_where_its_valleys_are() -> None:
    """On straights every valley opens alike, however far the run is shifted by its corner."""
    for turn in (90.0, -90.0):
        made = laid(counter("return", (turn,), (1400.0, 1400.0)))
        for run in made.runs:
            grooves = grooves_of(made.job, made.lines[0], run, made.profile)
            inner = slice(2, run.scallops - 2)
            leaving = math.pi / 2 - 2 * math.atan2(2 * 16.0, 70.0)
            assert grooves.open_left[inner] == pytest.approx(leaving, abs=0.02)
            assert grooves.open_right[inner] == pytest.approx(leaving, abs=0.02)


def test_scallops_of_a_run_that_is_cut_at_its_left_stand_where_its_valleys_are() -> None:
    """1430 = 20·70 + 30: boundary 1 is 30 from the jamb, and every valley opens as on a whole run."""
    job = counter("mitre", (), (2400.0,), openings=(Opening("gap", 400.0, 970.0, ends="cut"),))
    made = laid(job)
    run = made.runs[1]
    assert run.first_part == pytest.approx(30.0 / 70.0)
    grooves = grooves_of(job, made.lines[0], run, made.profile)
    leaving = math.pi / 2 - 2 * math.atan2(2 * 16.0, 70.0)
    assert grooves.open_left[2:] == pytest.approx(leaving, abs=1e-6)
    assert grooves.open_right[1:-1] == pytest.approx(leaving, abs=1e-6)
    metal = drawn_face(job, made.own[0], run, made.profile.pitch)
    assert metal[:, 0].min() == pytest.approx(970.0, abs=2.0)
    lowest = metal[np.abs(metal[:, 0] - 1000.0) < 2.0, 1]
    assert lowest.max() == pytest.approx(-job.metal.thickness / 2, abs=0.2)


def test_the_other_side_of_an_inside_corner_hides() -> None:
    """From far along the second wall, close to it, the first wall's valleys near the corner are behind its crests."""
    eye = Viewpoint("along", (1400.0 - DEPTH - 160.0, -6000.0))
    made = laid(counter("return", (-90.0,), (1400.0, 3500.0), viewpoints=(eye,)))
    seen = sights_of(made.job, made.lines[0], made.runs[0], made.profile, screens_of(made.lines))
    assert seen.valley[0, made.runs[0].scallops - 3] == View.SEEN
    assert seen.valley[0, -1] == View.HIDDEN
