"""Where whole scallops do not fit at openings: each remedy told does, half of it does not, and none is missing."""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace
from functools import cache

import pytest
from check_cases import a_job

from layout.errors import JobFaults, NoPlan
from layout.face.fit import found_fits
from layout.face.planning import make_plan
from layout.face.runs import spans_of, walk_all
from layout.face.spans import count_height
from layout.job.model import Job, Opening, OutlineSpec, SeamsSpec, SheetSpec, Straight, Turn
from layout.metal.forms import build_profile
from layout.units import parse_length

PITCH = 70.0
STEP = 1.0
"""mm between the stations that are tried one by one"""
COUNT = 24
MOVE = re.compile(r'opening\[(\d)\]\.(from|to) = "([^"]+)"')
FILLER = re.compile(
    r"at least (\S+ mm) wide at the (left jamb|right jamb|right end) of (the leaf|\w+), "
    r"beside \d+ scallops? in run (\w+)"
)
PITCHES = re.compile(r"at (most|least) (\S+ mm), best")
WIDER = re.compile(r"(down|up) to (\S+ mm)")


@cache
def job_of(seed: int) -> Job:
    """Return a wall, a ring or a bent wall with one or two openings, some with leaves; half with a pitch range."""
    dice = random.Random(seed)
    shape = dice.choice(("wall", "ring", "bent"))
    steps: tuple[Straight | Turn, ...] = (Straight(dice.uniform(2200.0, 4200.0)),)
    if shape == "bent":
        steps = (Straight(900.0), Turn(math.radians(80.0), 900.0), Straight(500.0), Turn(-1.0, 800.0), Straight(900.0))
    spec = OutlineSpec("", "path", closed=False, face="right", steps=steps)
    if shape == "ring":
        spec = OutlineSpec("", "circle", diameter=dice.uniform(1400.0, 2000.0))
    openings = [_opening(dice, "gate", dice.uniform(300.0, 700.0))]
    if dice.random() < 0.4:
        openings.append(_opening(dice, "hatch", openings[0].end + dice.uniform(300.0, 500.0)))
    around = (PITCH * dice.uniform(0.993, 0.9995), PITCH * dice.uniform(1.0005, 1.007))
    scallop = {"pitch_range": around} if dice.random() < 0.5 else {}
    usual = a_job(spec, openings=tuple(openings), seams=SeamsSpec(goals=("panels",)))
    made = replace(usual.scallop, pitch=PITCH, most_take_up=dice.choice((0.005, 0.01)), **scallop)
    return replace(usual, scallop=made, sheets=(SheetSpec(3000.0, 1250.0),), face=replace(usual.face, smallest_panel=1))


def _opening(dice: random.Random, name: str, start: float) -> Opening:
    width = dice.uniform(500.0, 900.0)
    return Opening(name, start, start + width, leaf=dice.random() < 0.5, clearance=dice.choice((0.0, 6.0)))


def does(job: Job) -> bool:
    """Tell whether whole scallops fit: the fit alone, which is what is refused."""
    try:
        return bool(found_fits(job, spans_of(job, walk_all(job))))
    except (NoPlan, JobFaults):
        return False


@cache
def refused(seed: int) -> list[str]:
    """Return the remedies of a refusal."""
    with pytest.raises(NoPlan) as caught:
        make_plan(job_of(seed))
    return list(caught.value.remedies)


REFUSED = [seed for seed in range(3 * COUNT) if not does(job_of(seed))][:COUNT]


def told(seed: int, start: str) -> str:
    """Return the remedy that begins with some words; empty where there is none."""
    return next((words for words in refused(seed) if words.startswith(start)), "")


def with_jamb(job: Job, number: int, key: str, station: float) -> Job:
    """Return the job with one jamb elsewhere."""
    openings = list(job.openings)
    openings[number - 1] = replace(openings[number - 1], **{{"from": "start", "to": "end"}[key]: station})
    return replace(job, openings=tuple(openings))


def jamb(job: Job, number: int, key: str) -> float:
    """Return the station of a jamb."""
    opening = job.openings[number - 1]
    return opening.start if key == "from" else opening.end


def moves_of(words: str, job: Job) -> list[tuple[int, str, float]]:
    """Return (opening, key, new station) of every jamb that is told to move."""
    return [(int(number), key, parse_length(at, job.units)) for number, key, at in MOVE.findall(words)]


def with_moves(job: Job, moves: list[tuple[int, str, float]], shares: list[float]) -> Job:
    """Return the job with jambs moved by a share of what is told."""
    found = job
    for (number, key, station), share in zip(moves, shares, strict=True):
        before = jamb(job, number, key)
        found = with_jamb(found, number, key, before + share * (station - before))
    return found


def with_fillers(job: Job, words: str, share: float) -> Job:
    """Return the job with each filler that is told as so much less face: a jamb further off, a leaf narrower."""
    found = list(job.openings)
    for width, side, name, run in FILLER.findall(words):
        by = share * parse_length(width, job.units)
        k = next(k for k, one in enumerate(found) if one.name == (run if name == "the leaf" else name))
        one = found[k]
        if side == "left jamb":
            one = replace(one, start=one.start - by)
        elif side == "right jamb":
            one = replace(one, end=one.end + by)
        # The leaf stays as wide as it is where the jamb moves, and loses the filler's width where it stands on it.
        found[k] = replace(one, clearance=one.clearance + by / 2) if one.leaf else one
    return replace(job, openings=tuple(found))


def test_the_jobs_cover_what_they_should() -> None:
    """All are refused; among them lone runs and several, leaves and none, one pitch and a range."""
    jobs = [job_of(seed) for seed in REFUSED]
    assert len(jobs) == COUNT
    for kind in (
        lambda job: job.scallop.pitch_range is None,
        lambda job: job.openings[0].leaf,
        lambda job: len(job.openings) == 2,
        lambda job: job.outlines[0].shape == "circle",
    ):
        assert 3 < sum(map(kind, jobs)) < COUNT - 3
    assert sum(bool(told(seed, "Or move")) for seed in REFUSED) > COUNT / 2


@pytest.mark.parametrize("seed", REFUSED)
def test_a_jamb_move_does_and_half_of_it_does_not(seed: int) -> None:
    """As told the job plans; with any one of the moves by half it is refused."""
    job, words = job_of(seed), told(seed, "Or move")
    moves = moves_of(words, job)
    if not words:
        pytest.skip("no jamb to move does")
    assert make_plan(with_moves(job, moves, [1.0] * len(moves))).panels
    for k in range(len(moves)):
        assert not does(with_moves(job, moves, [0.5 if j == k else 1.0 for j in range(len(moves))]))


@pytest.mark.parametrize("seed", REFUSED)
def test_no_lesser_move_of_one_jamb_does(seed: int) -> None:
    """Every jamb tried every millimetre up to a pitch either way: where one does, one as small is told."""
    job = job_of(seed)
    moves = moves_of(told(seed, "Or move"), job)
    least = sum(abs(station - jamb(job, number, key)) for number, key, station in moves) if moves else math.inf
    tried = [
        abs(k * STEP)
        for number in range(1, len(job.openings) + 1)
        for key in ("from", "to")
        for k in range(-round(PITCH / STEP), round(PITCH / STEP) + 1)
        if abs(k * STEP) < least - 1e-3 and does(with_jamb(job, number, key, jamb(job, number, key) + k * STEP))
    ]
    assert not tried or (len(moves) > 1 and not tried), (min(tried, default=0.0), least)


@pytest.mark.parametrize("seed", REFUSED)
def test_cut_ends_do_and_are_told_where_they_do(seed: int) -> None:
    """With the ends cut that are told the job plans; where cutting one opening's would do, no more are told."""
    job, words = job_of(seed), told(seed, "Or cut")
    numbers = [int(number) for number in re.findall(r"opening\[(\d)\]\.ends", words)]

    def cut(which: list[int]) -> Job:
        return replace(
            job,
            openings=tuple(replace(one, ends="cut") if k in which else one for k, one in enumerate(job.openings, 1)),
        )

    assert not numbers or make_plan(cut(numbers)).panels
    alone = [k for k in range(1, len(job.openings) + 1) if does(cut([k]))]
    assert bool(alone) == (len(numbers) == 1)
    assert numbers or not does(cut([1, 2]))


@pytest.mark.parametrize("seed", REFUSED)
def test_a_filler_does_and_half_of_it_does_not(seed: int) -> None:
    """As much less face as the filler is wide and the job plans; half as much and it is refused."""
    job, words = job_of(seed), told(seed, "Or fill")
    if not words:
        sides = [(one.name, side) for one in job.openings for side in ("left jamb", "right jamb")]
        tried = [
            f"at least {mm} mm wide at the {side} of {name}, beside 2 scallops in run face"
            for name, side in sides
            for mm in range(1, 70)
        ]
        assert not any(does(with_fillers(job, one, 1.0)) for one in tried)
        return
    assert FILLER.findall(words)
    # Openings narrow a leaf at both of its ends, which on a curve is not quite what the right one alone comes to.
    assert any(does(with_fillers(job, words, share)) for share in (1.0001, 1.01, 1.03))
    assert not does(with_fillers(job, words, 0.5))


@pytest.mark.parametrize("seed", REFUSED)
def test_another_pitch_does_and_half_way_to_it_does_not(seed: int) -> None:
    """At the pitch told, or with the range widened to it, the job fits; half way there it does not."""
    job = job_of(seed)
    ways = PITCHES.findall(told(seed, "Or draw")) or WIDER.findall(told(seed, "Widen"))
    for side, words in ways:
        end = parse_length(words, job.units)
        for share, fit in ((1.0, True), (0.5, False)):
            if job.scallop.pitch_range is None:
                scallop = replace(job.scallop, pitch=PITCH + share * (end - PITCH))
            else:
                low, high = job.scallop.pitch_range
                change = {"down": (low + share * (end - low), high), "up": (low, high + share * (end - high))}
                scallop = replace(job.scallop, pitch_range=change[side])
            assert does(replace(job, scallop=scallop)) is fit, (side, words, share)
    if job.scallop.pitch_range is None and not ways:
        assert not any(
            does(replace(job, scallop=replace(job.scallop, pitch=PITCH * (1 + k / 2000)))) for k in range(-200, 201, 8)
        )


@pytest.mark.parametrize("face", ["outside", "inside"])
def test_a_jamb_on_a_curve_moves_less_on_a_convex_wall_and_more_on_a_hollow_one(face: str) -> None:
    """By hand: what the run lacks at the count line, c off a wall of radius R, times R/(R ± c)."""
    radius, width, most = 1000.0, 500.0, 0.001
    usual = a_job(
        OutlineSpec("", "circle", diameter=2 * radius, face=face), openings=(Opening("gap", 400.0, 400.0 + width),)
    )
    job = replace(usual, scallop=replace(usual.scallop, pitch=PITCH, most_take_up=most))
    offset = count_height(job, build_profile(job.scallop, job.metal.thickness, PITCH))
    grown = (radius + offset * (1 if face == "outside" else -1)) / radius
    length = (math.tau * radius - width) * grown
    fewer = math.floor(length / PITCH)
    shrink, grow = length - fewer * PITCH * (1 + most), (fewer + 1) * PITCH * (1 - most) - length
    with pytest.raises(NoPlan) as caught:
        make_plan(job)
    words = next(words for words in caught.value.remedies if words.startswith("Or move"))
    ((number, key, station),) = moves_of(words, job)
    assert abs(station - jamb(job, number, key)) == pytest.approx(min(shrink, grow) / grown, abs=1.5e-3)
