"""The same outline by key and by drawing gives the same plan; the command line tells and draws what was read."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing_files import CASES, L, R, new, plain, stadium

from layout.cli import main
from layout.face.plan import Plan
from layout.face.planning import make_plan
from layout.job.model import OutlineSpec, Straight, Turn
from layout.job.reading import read_job
from layout.paper.plan_json import plan_object
from tests.jobs import job

JOB = """
title = "Hall bar"
units = "mm"
[outline]
shape = "dxf"
file = "hall.dxf"
{more}
[scallop]
form = "arc"
pitch = 70
depth = 16
[metal]
kind = "steel"
gauge = 24
[face]
height = 1000
[[sheet]]
length = 3000
width = 1250
"""


def planned(spec: OutlineSpec) -> Plan:
    """Plan a job of this outline."""
    return make_plan(job(spec))


def close(one: Any, other: Any) -> bool:
    """Compare two values of plan.json, numbers to rounding."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(close(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(close, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-7)
    return bool(one == other)


def _rounded(space: Any) -> None:
    space.add_lwpolyline(
        [(-900, -700, 0), (900, -700, b := math.tan(math.pi / 8)), (1200, -400, 0), (1200, 400, b), (900, 700, 0),
         (-900, 700, b), (-1200, 400, 0), (-1200, -400, b)], format="xyb", close=True)  # fmt: skip


def _open(space: Any) -> None:
    space.add_line((800, 800), (800, 2200))
    space.add_arc((0, 800), 800, 270, 0)
    space.add_line((-1500, 0), (0, 0))


BY_KEY = {
    "stadium": (stadium, OutlineSpec("", "stadium", length=2 * (L + R), width=2 * R)),
    "circle": (lambda space: space.add_circle((0, 0), 1300), OutlineSpec("", "circle", diameter=2600.0)),
    "ellipse": (
        lambda space: space.add_ellipse((0, 0), (0, 1700), 0.7),
        OutlineSpec("", "ellipse", length=2 * 0.7 * 1700, width=3400.0),
    ),
    "rounded rectangle": (_rounded, OutlineSpec("", "rounded-rectangle", length=2400.0, width=1400.0, radius=300.0)),
    "open path": (
        _open,
        OutlineSpec("", "path", closed=False, face="right", start=(-1500.0, 0.0),
                    steps=(Straight(1500.0), Turn(math.pi / 2, 800.0), Straight(1400.0))),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BY_KEY)
@pytest.mark.parametrize("inset", [0.0, 35.0])
def test_by_key_and_by_drawing_the_plan_is_the_same(name: str, inset: float, tmp_path: Path) -> None:
    """All that plan.json tells but the source itself, checked by the independent check on both ways."""
    draw, by_key = BY_KEY[name]
    document = new("R2000")
    draw(document.modelspace())
    document.saveas(tmp_path / "hall.dxf")
    by_key = replace(by_key, inset=inset)
    drawn = replace(by_key, shape="dxf", file="hall.dxf", folder=str(tmp_path))
    one, other = plan_object(planned(by_key)), plan_object(planned(drawn))
    one["outline"].pop("source", None)  # type: ignore[union-attr]
    other["outline"].pop("source", None)  # type: ignore[union-attr]
    assert close(one, other)


@pytest.mark.parametrize("name", ["rational spline all round", "block with a polyline, scaled unevenly", "open line"])
def test_drawings_plan_and_pass_the_check(name: str, tmp_path: Path) -> None:
    """Splines, blocks and open lines go through planning, whose check agrees."""
    case = next(case for case in CASES if case.name == name)
    plan = planned(case.write(tmp_path))
    assert plan.lines[0].drawn.length == pytest.approx(case.length, rel=1e-11)


def written(folder: Path, more: str = "", gap: float = 0.0) -> Path:
    """Write a job and its drawing."""
    document = new()
    plain(gap=gap)(document)
    document.modelspace().add_line((-400, 200), (600, -300))
    document.saveas(folder / "hall.dxf")
    (folder / "bar.toml").write_text(JOB.format(more=more), encoding="utf-8")
    return folder / "bar.toml"


def test_the_drawing_lies_beside_the_job_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From any folder the job's own folder is looked in; the check says what was read and left aside."""
    file = written(tmp_path, gap=0.3)
    (tmp_path / "else").mkdir()
    monkeypatch.chdir(tmp_path / "else")
    assert main(["check", str(file)]) == 0
    told = capsys.readouterr().out
    assert "hall.dxf, layer 0, in millimetres (as it states): 2 arcs, 2 lines" in told
    assert "0.3 mm at x 1499.9 mm, y -700 mm" in told
    assert "left aside: 1 stray line at x 100 mm, y -50 mm" in told


def test_the_jobs_digest_covers_the_drawing(tmp_path: Path) -> None:
    """Another drawing under the same job file is another job; the same one is the same."""
    file = written(tmp_path)
    first = read_job(file)
    assert read_job(file) == first
    assert len(first.outlines[0].source_digest) == 64
    written(tmp_path, gap=0.2)
    assert read_job(file).digest != first.digest


def test_faults_of_drawing_and_job_come_by_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A drawing that is not there exits with 2 and names its key."""
    file = written(tmp_path)
    (tmp_path / "hall.dxf").unlink()
    assert main(["check", str(file)]) == 2
    assert "outline.file = hall.dxf: there is no such file" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "key"),
    [("diameter = 900", "outline.diameter"), ('units = "yd"', "outline.units"), ("near = 5", "outline.near")],
)
def test_keys_of_a_drawing_are_judged_with_the_others(more: str, key: str, tmp_path: Path) -> None:
    """A drawing has no diameter; units and near have their rules."""
    with pytest.raises(Exception, match=key.replace(".", r"\.")):
        read_job(written(tmp_path, more))


def test_the_picture_shows_what_was_read(tmp_path: Path) -> None:
    """Outline, joints, the joined gap, the stray, the datum and the direction of stations are in it."""
    file = written(tmp_path, gap=0.3)
    picture = tmp_path / "seen.svg"
    assert main(["check", str(file), "--picture", str(picture)]) == 0
    drawn = picture.read_text(encoding="utf-8")
    for kind, least in (("outline", 1), ("back", 1), ("joint", 4), ("joined", 2), ("stray", 2), ("datum", 2)):
        assert drawn.count(f'class="{kind}"') >= least, kind
    assert 'class="direction"' in drawn
    assert "joined 0.3 mm" in drawn
    before = picture.read_bytes()
    assert main(["check", str(file), "--picture", str(picture)]) == 0
    assert picture.read_bytes() == before


def test_the_picture_shows_gaps_that_were_not_joined(tmp_path: Path) -> None:
    """A job with faults is drawn all the same, so that one sees where."""
    file = written(tmp_path, gap=3.0)
    picture = tmp_path / "seen.svg"
    assert main(["check", str(file), "--picture", str(picture)]) == 2
    drawn = picture.read_text(encoding="utf-8")
    assert "gap 3 mm" in drawn
    assert 'class="unchosen"' in drawn
    assert 'class="outline"' not in drawn


def test_the_picture_takes_no_other_files_place(tmp_path: Path) -> None:
    """Only a new file that ends in .svg, or one that was a picture."""
    file = written(tmp_path)
    assert main(["check", str(file), "--picture", str(file)]) == 2
    assert file.read_text(encoding="utf-8") == JOB.format(more="")
    other = tmp_path / "notes.svg"
    other.write_text("notes", encoding="utf-8")
    assert main(["check", str(file), "--picture", str(other)]) == 2
    assert other.read_text(encoding="utf-8") == "notes"
