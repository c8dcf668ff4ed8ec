"""Marks of a survey read from the job file and from tables: places in plan, and every fault with its line."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from layout.errors import JobFaults
from layout.job.marks import FLATTEST, from_two_tapes, survey_in, survey_of
from layout.job.model_survey import MarksSpec
from layout.job.place import Place, place
from layout.job.reading import parse_job, read_job
from layout.units import UnitError

HEAD = 'format = 1\ntitle = "Surveyed bar"\nunits = "mm"\n[outline]\nshape = "points"\n'
REST = """
[scallop]
form = "arc"
pitch = 70
depth = 16
[metal]
kind = "steel"
gauge = 24
[face]
height = 900
[[sheet]]
length = 3000
width = 1220
"""


def _faults(text: str) -> list[str]:
    with pytest.raises(JobFaults, match=":") as refused:
        parse_job((HEAD + text + REST).encode())
    return [f"{fault.key}: {fault.rule}" for fault in refused.value.faults]


# Two tapes: x = (d1² − d2² + B²)/(2B).


@pytest.mark.parametrize(("d1", "d2", "base"), [(3.0, 4.0, 5.0), (5.0, 12.0, 13.0), (4.0, 3.0, 5.0), (12.0, 5.0, 13.0)])
def test_right_triangles_of_whole_numbers_are_exact(d1: float, d2: float, base: float) -> None:
    """3-4-5 and 5-12-13: the foot divides the base as d1² : d2², the height is d1·d2/B."""
    along, off = from_two_tapes(d1, d2, base)
    assert along == pytest.approx(d1**2 / base, rel=1e-15)
    assert off == pytest.approx(d1 * d2 / base, rel=1e-15)


def test_a_right_angle_at_the_control_point_is_exact() -> None:
    """d1 = 4, base 3, d2 = 5: the mark stands square off the first control point."""
    assert from_two_tapes(4.0, 5.0, 3.0) == (0.0, 4.0)
    assert from_two_tapes(12.0, 13.0, 5.0) == (0.0, 12.0)


@pytest.mark.parametrize(("side", "sign"), [("left", 1.0), ("right", -1.0)])
def test_tapes_stand_on_the_side_that_is_stated(side: str, sign: float) -> None:
    """From (0, 0) to (0, 5000) the left is −x; tapes of 3000 and 4000 meet 2400 off it at 1800."""
    asked = MarksSpec("tapes", ((3000.0, 4000.0),), ((0.0, 0.0), (0.0, 5000.0)), side, 1.5)
    (mark,) = survey_of(asked, "outline.tapes", "mm").marks
    assert (mark.x, mark.y) == pytest.approx((-sign * 2400.0, 1800.0))
    assert mark.sigma == pytest.approx(1.5)


def test_a_mark_is_less_certain_where_tapes_meet_at_a_flat_angle() -> None:
    """At 60° (equal tapes and base) the worst error is σ/√(1 − cos 60°) = σ·√2."""
    asked = MarksSpec("tapes", ((2000.0, 2000.0),), ((0.0, 0.0), (2000.0, 0.0)), "left", 1.5)
    (mark,) = survey_of(asked, "outline.tapes", "mm").marks
    assert mark.sigma == pytest.approx(1.5 * math.sqrt(2))


@pytest.mark.parametrize(("off", "fits"), [(0.5, True), (-0.5, False)])
def test_tapes_meet_at_ten_degrees_at_least(off: float, fits: bool) -> None:
    """Equal tapes from 2000 apart meet at the angle γ when each is 1000/sin(γ/2)."""
    reach = 1000 / math.sin((FLATTEST + math.radians(off)) / 2)
    asked = MarksSpec("tapes", ((reach, reach),), ((0.0, 0.0), (2000.0, 0.0)), "left", 1.5)
    if fits:
        assert len(survey_of(asked, "outline.tapes", "mm").marks) == 1
        return
    with pytest.raises(JobFaults, match=r"outline\.tapes\[1\].*mark 1: two tapes must meet at 10° or more"):
        survey_of(asked, "outline.tapes", "mm")


def test_tapes_that_do_not_reach_each_other_name_the_mark() -> None:
    """1000 and 1500 from points 3000 apart never meet; all such marks are told together."""
    asked = MarksSpec("tapes", ((1000.0, 1500.0), (2500.0, 2500.0), (5000.0, 1000.0)), ((0.0, 0.0), (3000.0, 0.0)))
    with pytest.raises(JobFaults, match="must reach each other") as refused:
        survey_of(asked, "outline.tapes", "mm")
    assert [fault.key for fault in refused.value.faults] == ["outline.tapes[1]", "outline.tapes[3]"]
    assert refused.value.faults[0].value == "1000 mm and 1500 mm"


# Offsets and points.


@pytest.mark.parametrize(("side", "sign"), [("left", 1.0), ("right", -1.0)])
def test_offsets_stand_square_off_the_base_line(side: str, sign: float) -> None:
    """Along a base line turned up by 3-4-5 from (100, 200): 500 along and 250 off."""
    asked = MarksSpec("offsets", ((500.0, 250.0),), ((100.0, 200.0), (400.0, 600.0)), side)
    (mark,) = survey_of(asked, "outline.offsets", "mm").marks
    assert (mark.x, mark.y) == pytest.approx((100 + 300 - sign * 200, 200 + 400 + sign * 150))


def test_points_of_the_job_file_are_marks_with_their_keys() -> None:
    """Bare lengths are in the job's units, others say theirs; sigma comes from [survey]."""
    text = HEAD + 'points = [[0, 0], ["1 m", 0], ["2 ft", 500]]\nclosed = false\n[survey]\nsigma = "1/8 in"' + REST
    (outline,) = parse_job(text.encode()).outlines
    assert outline.survey is not None
    assert [(mark.name, mark.x, mark.y) for mark in outline.survey.marks] == [
        ("1", 0.0, 0.0),
        ("2", 1000.0, 0.0),
        ("3", 609.6, 500.0),
    ]
    assert outline.survey.marks[2].key == "outline.points[3]"
    assert {mark.sigma for mark in outline.survey.marks} == {3.175}
    assert outline.face == "right"


@pytest.mark.parametrize(("units", "sigma"), [("mm", 1.5), ("in", 25.4 / 16)])
def test_the_measuring_error_is_a_sixteenth_or_1_5_mm_by_default(units: str, sigma: float) -> None:
    """What a careful tape holds (assumed)."""
    text = HEAD.replace('"mm"', f'"{units}"') + "points = [[0, 0], [90, 0], [95, 50]]" + REST
    text = text.replace("pitch = 70\ndepth = 16", 'pitch = "70 mm"\ndepth = "16 mm"')
    (outline,) = parse_job(text.encode()).outlines
    assert outline.survey is not None
    assert outline.survey.sigma == sigma


# Tables.


def test_a_table_names_its_columns_in_any_order_and_its_marks(tmp_path: Path) -> None:
    """Columns by name, capitals don't count, feet and inches, a byte order mark, blank lines."""
    table = '\ufeffY; Mark ;X;remark\n0;door;12\n\n"6 1/2";post;4\' 3"\n'
    (tmp_path / "hall.csv").write_text(table, encoding="utf-8")
    job = tmp_path / "bar.toml"
    text = HEAD.replace('"mm"', '"in"') + 'file = "hall.csv"\nclosed = false' + REST
    job.write_text(text.replace("pitch = 70\ndepth = 16", 'pitch = "70 mm"\ndepth = "16 mm"'), encoding="utf-8")
    (outline,) = read_job(job).outlines
    assert outline.survey is not None
    assert [(m.name, m.x, m.y) for m in outline.survey.marks] == [
        ("door", 304.8, 0.0),
        ("post", pytest.approx(51 * 25.4), pytest.approx(6.5 * 25.4)),
    ]
    assert outline.survey.marks[1].key == "hall.csv line 4"


def test_the_digest_of_a_job_stands_for_its_table_too(tmp_path: Path) -> None:
    """Another figure in the table is another job."""
    job, table = tmp_path / "bar.toml", tmp_path / "hall.csv"
    job.write_text(HEAD + 'file = "hall.csv"\nclosed = false' + REST, encoding="utf-8")
    digests = set()
    for x in (1000, 1001):
        table.write_text(f"x,y\n0,0\n{x},0\n2000,0\n", encoding="utf-8")
        digests.add(read_job(job).digest)
    assert len(digests) == 2


@pytest.mark.parametrize(("how", "columns"), [("points", "x,y"), ("offsets", "along,offset"), ("tapes", "d1,d2")])
def test_each_way_of_measuring_has_its_columns(how: str, columns: str) -> None:
    """A table without them says which are wanted and which are not there."""
    asked = MarksSpec(how, line=None if how == "points" else ((0.0, 0.0), (3000.0, 0.0)))
    assert survey_in(f"{columns}\n2500,2500\n".encode(), asked, "a.csv", "mm").how == how
    with pytest.raises(JobFaults, match=r"a\.csv line 1 = .*the first line names the columns"):
        survey_in(b"north,east\n1,2\n", asked, "a.csv", "mm")


GARBAGE = {
    b"": "this table is empty",
    b"\n \n": "this table is empty",
    b"\xff\xfe\x00": "this is not UTF-8 text",
    b"x,y\n1,2\n3\n": "line 3",
    b"x,y\n1,2\n3,four\n": "line 3",
    b"x,y\n1,nan\n": "line 2",
    b"x,y\n1e999,2\n": "line 2",
    b'x,y\n"1,2\n': "line",
    b"x\n1\n": "y is not there",
    b"x,y\n1,2\n\x00,3\n": "line",
    b"x,y,mark\n1,2,A\n3,4,A\n": "each mark has a name of its own",
}


@pytest.mark.parametrize("data", GARBAGE, ids=repr)
def test_a_garbage_table_is_faults_with_lines(data: bytes) -> None:
    """Whatever stands in a table, what is wrong is told with its line and no traceback."""
    with pytest.raises(JobFaults) as refused:
        survey_in(data, MarksSpec("points"), "a.csv", "mm")
    assert GARBAGE[data] in str(refused.value)
    assert all(fault.key.startswith("a.csv") and fault.remedy for fault in refused.value.faults)


def test_at_most_twenty_faults_of_a_table_are_told() -> None:
    """The rest are counted."""
    with pytest.raises(JobFaults, match="10 more lines have faults") as refused:
        survey_in(b"x,y\n" + b"a,1\n" * 30, MarksSpec("points"), "a.csv", "mm")
    assert len(refused.value.faults) == 21


def test_a_table_that_is_not_there_is_a_fault_of_its_key(tmp_path: Path) -> None:
    """The key that names it, not a path."""
    job = tmp_path / "bar.toml"
    job.write_text(HEAD + 'file = "gone.csv"' + REST, encoding="utf-8")
    with pytest.raises(JobFaults, match=r'outline\.file = "gone\.csv": there is no such file'):
        read_job(job)


# Rules between the keys.


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "outline.points: a surveyed outline must have its marks"),
        ('points = [[0, 0]]\nfile = "a.csv"', "outline.file: marks are told once, and points tells them"),
        ("offsets = [[0, 0]]", "outline.base: offsets must have their base"),
        ("tapes = [[9, 9]]\nside = 'left'", "outline.controls: tapes must have their controls"),
        ("tapes = [[9, 9]]\ncontrols = [[0, 0], [900, 0]]", "outline.side: two tapes meet on either side"),
        ("points = [[0, 0]]\nbase = [[0, 0], [900, 0]]", "outline.base: points have no base"),
        ("points = [[0, 0]]\nside = 'left'", "outline.side: points in plan have no side"),
        ("points = [[0, 0, 0]]", "outline.points: pair 1: this must be a pair of lengths"),
        ("points = [[0, 0], ['x', 0]]", "outline.points: pair 2: this cannot be read as a length"),
        ("points = []", "outline.points: this must be a list of pairs"),
        ("offsets = [[0, 0]]\nbase = [[0, 0], [1, 0]]", "outline.base: the two places are at least 100 mm apart"),
        ("points = [[0, 0]]\ndiameter = 3000", "outline.diameter: a points has no diameter"),
        ("points = [[0, 0]]\n[survey]\nsigma = 0", "survey.sigma: this length must be at least"),
    ],
)
def test_marks_are_told_once_and_with_what_they_are_measured_from(text: str, fault: str) -> None:
    """Each slip is one fault of its own key."""
    found = _faults(text)
    assert any(line.startswith(fault) for line in found), found


def test_other_shapes_have_no_marks() -> None:
    """A circle with points is told so."""
    text = HEAD.replace('"points"', '"circle"\ndiameter = 3000\npoints = [[0, 0]]') + REST
    with pytest.raises(JobFaults, match=r"outline\.points.*: a circle has no points"):
        parse_job(text.encode())


# Places.


@pytest.mark.parametrize(
    ("value", "found"),
    [
        (100, Place(station=100.0)),
        ("1 m", Place(station=1000.0)),
        ({"near": [0, "1 ft"]}, Place(near=(0.0, 304.8))),
        ({"at_angle": 90}, Place(at_angle=math.pi / 2)),
        ({"at_angle": -30}, Place(at_angle=math.radians(-30))),
    ],
)
def test_a_place_is_a_station_a_point_or_an_angle(value: object, found: Place) -> None:
    """Each of the three ways."""
    assert place(value, "mm") == found


@pytest.mark.parametrize(
    ("value", "rule"),
    [
        ({}, "a place is a station, or one of near and at_angle"),
        ({"near": [0, 0], "at_angle": 3}, "a place is a station, or one of near and at_angle"),
        ([0, 0], "a place is a station, or one of near and at_angle"),
        ({"near": 3}, "near: this must be a pair of lengths"),
        ({"at_angle": 361}, "at_angle: this angle must be at least -360 and at most 360 degrees"),
        (-1, "this length must be at least 0"),
        ("soon", "this cannot be read as a length"),
        (True, "this must be a length"),
    ],
)
def test_what_is_no_place_is_told_why(value: object, rule: str) -> None:
    """The rule that it breaks."""
    with pytest.raises(UnitError) as refused:
        place(value, "mm")
    assert refused.value.rule == rule
