"""What is seen of seams: by hand, by symmetry, and against rays cast at faces with scallops drawn out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from site_cases import FORMS, Laid, laid, random_scenes, site_job

from layout.face.check_sight import check_sight, edge_of, possible_views, scene_of, valleys_of
from layout.face.hanging import closing_panel
from layout.face.planning import make_plan
from layout.face.sight import (
    HANDS,
    LIFT_ROOM,
    MARGIN,
    MOST_WEIGHT,
    STAND_OFF,
    Sights,
    View,
    grooves_of,
    hand_of,
    hands_of,
    long_faults,
    most_seams,
    priced,
    sights_of,
    told,
    viewpoint_faults,
    whole_weights,
)
from layout.face.sight_lines import screens_of
from layout.job.model import FaceSpec, Job, OutlineSpec, Straight, Turn, Viewpoint, Wall

WALL = OutlineSpec("", "path", closed=False, face="right", steps=(Straight(7000.0),))
RING = OutlineSpec("", "circle", diameter=5000.0)


def sights(job: Job) -> tuple[Laid, Sights]:
    """Lay a job out and look at its only run."""
    made = laid(job)
    run = made.runs[0]
    lines = made.lines[run.outline]
    return made, sights_of(job, lines, run, made.profile, screens_of(made.lines, job.walls))


def eye(x: float, y: float, name: str = "door", weight: float = 1.0) -> Viewpoint:
    return Viewpoint(name, (x, y), weight)


def opening_of(form: str, outline: OutlineSpec = WALL) -> tuple[Laid, np.ndarray]:
    """Return the angle that the right-hand scallop leaves open, at every boundary but the last."""
    made = laid(site_job(outline, form))
    run = made.runs[0]
    return made, grooves_of(made.job, made.lines[0], run, made.profile).open_right[: run.scallops]


# Hand-worked.


def test_arc_on_a_flat_wall_is_seen_to_ninety_degrees_less_its_leaving_angle() -> None:
    """An arc of chord p and rise d leaves its valley at 2·atan(2d/p); take-up stretches x by P/p."""
    made, open_right = opening_of("arc")
    leaving, stretch = 2 * math.atan2(2 * 16.0, 70.0), made.runs[0].pitch / 70.0
    assert open_right == pytest.approx(math.atan2(stretch * math.cos(leaving), math.sin(leaving)), abs=1e-12)
    assert stretch == 1.0
    assert open_right == pytest.approx(math.pi / 2 - leaving, abs=1e-12)


def test_half_round_valley_opens_to_nothing() -> None:
    """A half-round scallop leaves its valley square off the wall: only straight ahead is it open."""
    _, open_right = opening_of("half round")
    assert open_right == pytest.approx(0.0, abs=1e-9)


def test_sine_valley_opens_to_the_tangent_of_its_wave() -> None:
    """y/x of depth/2·(1 − cos u), x = pitch·u/(2π), is greatest where tan(u/2) = u: u = 2.331122370414423."""
    made, open_right = opening_of("sine")
    steepest = math.pi * 18.0 / 76.0 * math.sin(2.331122370414423)
    stretch = made.runs[0].pitch / 76.0
    assert open_right == pytest.approx(math.pi / 2 - math.atan(steepest / stretch), abs=2e-4)


@pytest.mark.parametrize("form", FORMS)
def test_scallop_opens_as_its_profile_says_on_a_flat_wall(form: str) -> None:
    """On a flat wall without take-up the angle is the profile's own atan(min x/y)."""
    pitch = FORMS[form].pitch
    steps = (Straight(90 * pitch),)
    made, open_right = opening_of(form, OutlineSpec("", "path", closed=False, face="right", steps=steps))
    assert open_right == pytest.approx(made.profile.leaving_angle, abs=5e-4)


def test_valley_opens_wider_on_a_convex_curve_than_on_a_concave_one() -> None:
    """Crests spread round a convex face and close up in a concave one: open angles in that order."""
    steps = (Turn(2.0, 1500.0), Straight(2000.0), Turn(-2.0, 1500.0))
    _, opened = opening_of("sine", OutlineSpec("", "path", closed=False, face="right", steps=steps))
    assert opened[10] > opened[len(opened) // 2] > opened[-10]


@pytest.mark.parametrize(
    ("past", "view"), [(-1.1, View.SEEN), (-0.9, View.GRAZED), (0.9, View.GRAZED), (1.1, View.HIDDEN)]
)
def test_view_changes_at_the_margin_about_the_grazing_angle(past: float, view: View) -> None:
    """A valley looked at from 1.1 margins inside its open angle is seen, 1.1 outside hidden, between grazed."""
    made, open_right = opening_of("arc")
    run = made.runs[0]
    angle = float(open_right[50]) + past * MARGIN
    x, y = float(run.stations[50]), -made.profile.thickness / 2
    at = eye(x + 3000 * math.sin(angle), y - 3000 * math.cos(angle))
    _, seen = sights(site_job(WALL, viewpoints=(at,)))
    assert seen.valley[0, 50] == view
    assert seen.angle[0, 50] == pytest.approx(angle, abs=1e-9)


def test_viewer_inside_a_counter_sees_nothing_of_its_outside_face() -> None:
    """Within the back line every line of sight passes the counter itself."""
    _, seen = sights(site_job(RING, viewpoints=(eye(0.0, 0.0), eye(1200.0, -2000.0, "till"))))
    assert not seen.valley.any()


def test_viewer_inside_sees_all_of_an_inside_face() -> None:
    """From the centre of a ring every valley of its inside face is looked at straight ahead."""
    _, seen = sights(site_job(replace(RING, face="inside"), viewpoints=(eye(0.0, 0.0),)))
    assert (seen.valley == View.SEEN).all()


def test_viewer_sees_no_more_of_a_ring_than_the_tangents_touch() -> None:
    """From a distance D a ring of radius r shows at most the arc within acos(r/D) to either side."""
    made, seen = sights(site_job(RING, viewpoints=(eye(0.0, -6000.0),)))
    point = grooves_of(made.job, made.lines[0], made.runs[0], made.profile).point
    off = np.abs(np.arctan2(point[:, 0], -point[:, 1]))
    assert off[seen.valley[0] > 0].max() < math.acos(2500.0 / 6000.0)
    angle = np.arctan2(6000 * np.sin(off), 6000 * np.cos(off) - 2500)
    assert (seen.valley[0, angle < math.radians(39)] == View.SEEN).all()


def test_viewer_behind_an_open_face_sees_nothing() -> None:
    """Behind the face is hidden, past its ends too."""
    _, seen = sights(site_job(WALL, viewpoints=(eye(3000.0, 2000.0), eye(-50.0, 1.0, "end"))))
    assert not seen.valley.any()


def test_wall_hides_what_stands_behind_it() -> None:
    """A wall halfway from the eye to the face hides twice its width, and nothing else."""
    at, wall = eye(3500.0, -4000.0), Wall(((3000.0, -2000.0), (3500.0, -2000.0)))
    made, free = sights(site_job(WALL, viewpoints=(at,)))
    _, hidden = sights(site_job(WALL, viewpoints=(at,), walls=(wall,)))
    stations = made.runs[0].stations
    behind = (stations > 2500 + 100) & (stations < 3500 - 100)
    beside = (stations < 2500 - 100) | (stations > 3500 + 100)
    assert (free.valley[0, behind] == View.SEEN).all()
    assert not hidden.valley[0, behind].any()
    assert (hidden.valley[0, beside] == free.valley[0, beside]).all()


def test_one_counter_hides_another() -> None:
    """The faces of other outlines stand in the way like walls."""
    near = OutlineSpec("near", "circle", diameter=1500.0, inset=0.0)
    far = OutlineSpec("far", "path", start=(-4000.0, 2000.0), closed=False, face="right", steps=(Straight(8000.0),))
    job = replace(site_job(far, viewpoints=(eye(0.0, -2500.0),)), outlines=(far, near))
    made = laid(job)
    run = made.runs[0]
    seen = sights_of(job, made.lines[0], run, made.profile, screens_of(made.lines))
    middle = np.abs(run.stations - 4000.0)
    assert not seen.valley[0, middle < 1000].any()
    assert seen.valley[0, (middle > 1800) & (middle < 2200)].any()


@pytest.mark.parametrize(("off", "faults"), [(0.1, 0), (-0.1, 1), (-160.0, 1)])
def test_viewpoint_in_the_metal_or_at_its_nose_is_a_fault(off: float, faults: int) -> None:
    """Eyes stand 150 mm off the crest line: 0.1 mm more does, 0.1 mm less or inside the scallops doesn't."""
    made = laid(site_job(WALL))
    y = -(made.profile.depth + made.profile.thickness + STAND_OFF + off)
    job = site_job(WALL, viewpoints=(eye(2000.0, -2000.0), eye(2000.0, y)))
    found = list(viewpoint_faults(job, made.lines))
    assert [fault.key for fault in found] == ["viewpoint[2].at"] * faults


# Laps.


def test_edge_tucked_under_is_seen_from_its_left_only() -> None:
    """The neighbour's left edge lies on top: from the right its valley is seen, the edge turned away."""
    made, seen = sights(site_job(WALL, viewpoints=(eye(3500.0, -3000.0),)))
    stations, edges = made.runs[0].stations, seen.edges(HANDS["under"])[0]
    near = np.abs(stations - 3500.0) < 1500
    assert (seen.valley[0, near] == View.SEEN).all()
    assert (edges[near & (stations > 3600)] == View.SEEN).all()
    assert (edges[near & (stations < 3400)] == View.GRAZED).all()


def test_edge_laid_over_is_seen_one_scallop_right_and_from_its_right() -> None:
    """The views of laps over at boundary j are those of the valley j + 1 from the other side."""
    _, seen = sights(site_job(RING, viewpoints=(eye(3000.0, -5000.0),)))
    over = seen.edges(HANDS["over"])[0]
    valley = np.where(seen.angle[0] < MARGIN, np.minimum(seen.valley[0], View.GRAZED), seen.valley[0])
    assert over[:-1].tolist() == valley[1:].tolist()
    assert over[-1] == valley[1]
    assert (over == View.SEEN).any()


def test_butt_seam_is_seen_as_its_valley() -> None:
    """Where nothing laps both edges meet in the valley."""
    _, seen = sights(site_job(WALL, viewpoints=(eye(1000.0, -2500.0),)))
    assert (seen.edges(HANDS["butt"]) == seen.valley).all()
    assert hand_of(site_job(WALL, face=FaceSpec(height=590.0, seam="butt"))) == HANDS["butt"]


def test_both_hands_are_planned_only_where_the_job_leaves_the_choice() -> None:
    """A hand that is asked for stands; with either there are two, under first, and with butt seams one."""
    asked, free = (site_job(WALL, face=FaceSpec(height=590.0, lap_goes=goes)) for goes in ("over", "either"))
    butt = replace(free, face=replace(free.face, seam="butt"))
    assert hands_of(asked) == (asked,)
    assert [job.face.lap_goes for job in hands_of(butt)] == ["under"]
    assert [job.face.lap_goes for job in hands_of(free)] == ["under", "over"]


# Sights as costs.


def test_sight_outweighs_any_lift_and_lift_tells_equals_apart() -> None:
    """One step of sight costs more than as many seams as there may be, each of the greatest lift."""
    cost = priced(np.array([0.0, 1e9, 0.001]), np.array([1, 0, 0]), 50)
    assert cost[0] > 50 * int(cost[1])
    assert int(cost[2]) == 1
    assert told(int(cost[0])) == (1, 0)
    assert told(int(cost[1])) == (0, (LIFT_ROOM - 1) // 50)


@pytest.mark.parametrize(("scallops", "weights", "fits"), [(1000, 3, True), (1000, 100, True), (25_000, 1, False)])
def test_face_too_long_to_weigh_exactly_is_refused(scallops: int, weights: int, fits: bool) -> None:
    """(seams + 1)²·2·scallops levels of costs up to 2·weights·LIFT_ROOM stay below 2⁵⁹, or it is a fault."""
    job = site_job(WALL, viewpoints=(eye(0.0, -2000.0, weight=weights),))
    runs = [replace(laid(job).runs[0], scallops=scallops)]
    seams = most_seams(runs, job.face.smallest_panel)
    assert seams == scallops // 4 + 1
    assert ((seams + 1) ** 2 * 2 * scallops * 2 * weights * LIFT_ROOM < 2**59) == fits
    assert [fault.key for fault in long_faults(job, runs)] == ([] if fits else ["viewpoint"])


def test_a_plan_without_viewpoints_costs_its_lift_alone() -> None:
    """No viewpoint: the cost is the lift in whole µm, as ever."""
    plan = make_plan(site_job(RING))
    assert [seam.cost for seam in plan.seams] == [round(seam.lift * 1000) for seam in plan.seams]
    assert not any(seam.sight for seam in plan.seams)


def test_heavier_viewpoint_counts_more() -> None:
    """A score is the views times whole weights: seen is 2, grazed 1, hidden 0."""
    _, seen = sights(site_job(WALL, viewpoints=(eye(500.0, -2000.0, "a", 3), eye(6500.0, -2000.0, "b", 1))))
    views = seen.edges(HANDS["butt"]).astype(int)
    assert (seen.scores(HANDS["butt"]) == 3 * views[0] + views[1]).all()
    assert seen.at(5, HANDS["butt"]) == {"a": View(views[0, 5]).word, "b": View(views[1, 5]).word}


@pytest.mark.parametrize("weights", [[0.1, 0.7], [1e-9, 1.0, 1e9], [3, 7000], [0.3]])
def test_whole_weights_keep_their_order_and_their_room(weights: list[float]) -> None:
    """However odd the weights, each is at least 1, they rise together, and their sum has its room."""
    whole = whole_weights(weights)
    assert whole.min() >= 1
    assert whole.sum() <= MOST_WEIGHT
    assert (np.diff(whole)[np.argsort(weights)[:-1]] >= 0).all()


@pytest.mark.parametrize("weights", [[0.0], [-1.0, 2.0], [math.nan]])
def test_weight_that_is_none_is_refused(weights: list[float]) -> None:
    """Weights are above 0."""
    with pytest.raises(ValueError, match="weights must be above 0"):
        whole_weights(weights)


# Start and closing panel.


def test_closing_panel_goes_where_its_edges_are_least_seen() -> None:
    """A ring looked at from below closes at its upper side; hanging starts at its right-hand neighbour."""
    made, seen = sights(site_job(RING, viewpoints=(eye(0.0, -6000.0),)))
    run, hand = made.runs[0], HANDS["under"]
    chosen = list(range(0, run.scallops, run.scallops // 8))[:8]
    first, closing = closing_panel(made.lines[0], run, chosen, seen.scores(hand), hand)
    scores = seen.scores(hand)
    assert scores[chosen[closing]] + scores[chosen[(closing + 1) % 8]] == 0
    assert first == (closing + 1) % 8
    assert closing_panel(made.lines[0], run, chosen, scores, HANDS["over"]) == ((closing - 1) % 8, closing)


def test_closing_panel_goes_to_the_flattest_line_where_nobody_looks() -> None:
    """With no viewpoint a stadium closes on a straight."""
    made = laid(site_job(OutlineSpec("", "stadium", length=6000.0, width=2400.0)))
    run = made.runs[0]
    back = made.lines[0].back
    chosen = list(range(0, run.scallops, run.scallops // 12))[:12]
    _, closing = closing_panel(made.lines[0], run, chosen, np.zeros(run.scallops + 1, np.int64), HANDS["under"])
    a, b = run.stations[chosen[closing]], run.stations[chosen[closing + 1]]
    least, most = back.extreme_curvature(float(a), float(b))
    assert float(least) == float(most) == 0.0


@pytest.mark.parametrize(("hand", "order"), [("under", (0, 3)), ("over", (3, 0))])
def test_open_run_with_laps_is_hung_from_end_to_end(hand: str, order: tuple[int, int]) -> None:
    """Laps under are hung left to right, laps over right to left."""
    made = laid(site_job(WALL))
    run = made.runs[0]
    chosen, scores = [0, 20, 50, 80, run.scallops], np.zeros(run.scallops + 1, dtype=np.int64)
    assert closing_panel(made.lines[0], run, chosen, scores, HANDS[hand]) == order


def test_open_run_with_butt_seams_ends_where_less_is_seen() -> None:
    """Butt seams can be hung either way: the end whose seam is seen comes first."""
    made = laid(site_job(WALL))
    run = made.runs[0]
    chosen, scores = [0, 20, 50, run.scallops], np.zeros(run.scallops + 1, dtype=np.int64)
    scores[20] = 2
    assert closing_panel(made.lines[0], run, chosen, scores, HANDS["butt"]) == (0, 2)
    scores[50] = 4
    assert closing_panel(made.lines[0], run, chosen, scores, HANDS["butt"]) == (2, 0)


# Symmetry, and rays.


def test_turned_and_moved_scene_looks_the_same() -> None:
    """Turning and moving counter, eyes and walls together changes no view."""
    turn, shift = 0.83, np.array([700.0, -1200.0])

    def moved(xy: tuple[float, float]) -> tuple[float, float]:
        cos, sin = math.cos(turn), math.sin(turn)
        return (cos * xy[0] - sin * xy[1] + shift[0], sin * xy[0] + cos * xy[1] + shift[1])

    steps = (Straight(1500.0), Turn(1.0, 1800.0), Turn(-1.2, 1500.0), Straight(800.0))
    here = OutlineSpec("", "path", closed=False, face="right", steps=steps)
    there = replace(here, start=moved((0.0, 0.0)), heading=turn)
    eyes, wall = ((900.0, -2500.0), (4000.0, -900.0)), ((1500.0, -1000.0), (2500.0, -1300.0))
    views = []
    for outline, place in ((here, tuple), (there, moved)):
        points = [Viewpoint(str(k), place(at)) for k, at in enumerate(eyes)]  # type: ignore[arg-type]
        walls = (Wall(tuple(place(xy) for xy in wall)),)  # type: ignore[misc]
        views.append(sights(site_job(outline, viewpoints=tuple(points), walls=walls))[1].valley)
    assert (views[0] == views[1]).all()
    assert set(views[0].ravel().tolist()) == {0, 1, 2}


def test_sight_agrees_with_rays_cast_at_drawn_scallops() -> None:
    """On random outlines, forms, eyes and walls each view is one that rays at drawn-out scallops allow."""
    tried = dict.fromkeys(View, 0)
    for scene_job in random_scenes(18, seed=11):
        made = laid(scene_job)
        near = {int(fault.key[len("viewpoint[") : -len("].at")]) for fault in viewpoint_faults(scene_job, made.lines)}
        kept = tuple(place for k, place in enumerate(scene_job.viewpoints, 1) if k not in near)
        job = replace(scene_job, viewpoints=kept)
        made, seen = sights(job)
        run, edges = made.runs[0], seen.edges(hand_of(job))
        scene = scene_of(job, made.own, made.runs, made.profile.pitch)
        for boundary in range(0 if run.closed else 1, run.scallops, 7):
            shown, side = edge_of(job, run, boundary)
            valley, off = valleys_of(job, made.own[0], run, [shown])
            for k, place in enumerate(job.viewpoints):
                possible = possible_views(scene, np.array(place.at), (valley[0], off[0]), side)
                view = View(edges[k, boundary])
                assert view.word in possible, (job.outlines[0], job.scallop.form, boundary, place)
                tried[view] += len(possible) == 1
    assert min(tried.values()) > 30, tried


def test_check_finds_a_seam_that_is_not_seen_as_told() -> None:
    """The check passes what is so, and names the seam and viewpoint whose view was swapped."""
    job = site_job(WALL, viewpoints=(eye(3500.0, -3000.0),))
    plan = make_plan(job)
    own = laid(job).own
    assert check_sight(plan, own) == []
    at = next(k for k, seam in enumerate(plan.seams) if not seam.end)

    def said(*sight: tuple[str, str]) -> list[str]:
        changed = replace(plan.seams[at], sight=sight)
        return check_sight(replace(plan, seams=(*plan.seams[:at], changed, *plan.seams[at + 1 :])), own)

    for wrong in {"hidden", "grazed", "seen"} - {plan.seams[at].sight[0][1]}:
        (found,) = said(("door", wrong))
        assert found.startswith(f"seam {plan.seams[at].number}: said to be {wrong} from door, the check finds it")
    assert said()
    assert said(("window", "hidden"))
