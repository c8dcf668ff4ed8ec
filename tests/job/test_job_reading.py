"""A sound job file becomes a frozen job; a file that cannot be read is one fault at its path."""

from __future__ import annotations

import errno
import hashlib
import math
import os
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import Fault, JobFaults
from layout.job.model import GOALS, Avoid, Job, Straight, Turn
from layout.job.reading import LARGEST_FILE, parse_job, read_job
from tests.job.job_texts import BASE, PATH_OUTLINE, ROUND_OUTLINE, changed, with_outline

INCH = 25.4


def read(text: str) -> Job:
    return parse_job(text.encode())


def the_fault(path: Path | str) -> Fault:
    with pytest.raises(JobFaults) as caught:
        read_job(path)
    (fault,) = caught.value.faults
    assert fault.key == str(path)
    return fault


def test_a_sound_file_is_read_in_millimetres(tmp_path: Path) -> None:
    """Every value of the example comes to its place, in mm."""
    file = tmp_path / "ring.toml"
    file.write_text(BASE, encoding="utf-8")
    job = read_job(file)
    (outline,) = job.outlines
    assert (outline.key, outline.name, outline.shape) == ("outline", "", "ellipse")
    assert (outline.length, outline.width) == pytest.approx((234 * INCH, 148 * INCH))
    assert outline.datum == pytest.approx((0, -74 * INCH))
    assert (job.scallop.pitch, job.scallop.depth) == pytest.approx((2.75 * INCH, 0.625 * INCH))
    assert job.scallop.pitch_range == pytest.approx((2.7 * INCH, 2.8 * INCH))
    assert job.metal.thickness == pytest.approx(0.0239 * INCH)  # manufacturers' standard gauge 24
    assert (job.face.largest_overall, job.face.largest_scallops) == (pytest.approx(108 * INCH), None)
    assert job.seams.avoid == (Avoid(36 * INCH, 84 * INCH, "till"),)
    assert job.seams.goals == GOALS[1:]  # as this file has them
    assert job.sheets[0].price == 71.5
    assert job.order.spare == "0.1"
    assert job.digest == hashlib.sha256(BASE.encode()).hexdigest()


def test_a_job_is_frozen() -> None:
    """A job that was read stays what was read."""
    with pytest.raises(FrozenInstanceError):
        read(BASE).title = "other"  # type: ignore[misc]


def test_a_path_has_steps_in_radians_left_positive() -> None:
    """90 degrees left is +π/2, right −π/2; an open path shows its right side."""
    (outline,) = read(with_outline(PATH_OUTLINE.replace('face = "right"\n', ""))).outlines
    assert outline.steps == (Straight(72 * INCH), Turn(math.pi / 2, 30 * INCH), Straight(40 * INCH))
    assert (outline.closed, outline.face, outline.heading) == (False, "right", math.pi / 2)
    (mirrored,) = read(with_outline(PATH_OUTLINE.replace('"left"', '"right"'))).outlines
    assert mirrored.steps[1] == Turn(-math.pi / 2, 30 * INCH)


def test_a_closed_path_shows_its_outside() -> None:
    """A path is a loop unless it says otherwise."""
    text = PATH_OUTLINE.replace('face = "right"\n', "").replace("closed = false\n", "")
    (outline,) = read(with_outline(text)).outlines
    assert (outline.closed, outline.face) == (True, "outside")


@pytest.mark.parametrize(
    ("head", "name", "key"),
    [("[outline]", "", "outline"), ("[outline]", "ring", "outline"), ("[[outline]]", "ring", "outline[1]")],
)
def test_a_single_outline_may_be_a_list_and_have_a_name(head: str, name: str, key: str) -> None:
    """Messages of later steps find the outline by its key as the file has it."""
    named = f'{head}\nname = "{name}"' if name else head
    job = read(with_outline(ROUND_OUTLINE.replace("[outline]", named)))
    assert [(outline.name, outline.key) for outline in job.outlines] == [(name, key)]


def test_the_goals_keep_the_order_of_the_file() -> None:
    """Five goals by default, cost first; a file may name fewer, in its own order."""
    assert GOALS == ("cost", "panels", "worst_seam", "different_lengths", "seam_cost")
    goals = 'goals = ["panels", "worst_seam", "different_lengths", "seam_cost"]'
    assert read(changed((goals, 'goals = ["seam_cost", "panels"]'))).seams.goals == ("seam_cost", "panels")
    assert read(changed((goals, ""))).seams.goals == GOALS


LEAST = """\
title = "Small desk"
units = "{units}"
[outline]
shape = "circle"
diameter = "3 m"
[scallop]
form = "sine"
pitch = "70 mm"
depth = "16 mm"
[metal]
kind = "zinc"
thickness = "0.7 mm"
[face]
height = "900 mm"
[[sheet]]
length = "3 m"
width = "1 m"
"""


@pytest.mark.parametrize(("units", "form_trim", "edge"), [("in", 0.75 * INCH, 0.5 * INCH), ("mm", 20.0, 12.0)])
def test_what_is_left_out_has_its_default(units: str, form_trim: float, edge: float) -> None:
    """Only form_trim and the fixing's edge depend on the units; the rest is alike."""
    job = read(LEAST.format(units=units))
    assert (job.face.form_trim, job.fixing.edge) == pytest.approx((form_trim, edge))
    assert (job.face.seam, job.face.lap_goes, job.face.ends, job.face.smallest_panel) == (
        "lap",
        "under",
        "whole",
        4,
    )
    assert (job.face.largest_scallops, job.face.largest_overall) == (None, None)
    assert (job.face.top_return, job.face.bottom_return, job.face.scribe) == (0.0, 0.0, 0.0)
    assert (job.scallop.count_on, job.scallop.most_take_up, job.scallop.pitch_range) == (
        "neutral",
        0.02,
        None,
    )
    assert (job.outlines[0].inset, job.outlines[0].face, job.outlines[0].datum) == (0.0, "outside", None)
    assert (job.seams.goals, job.seams.panel_price, job.seams.tight_radius) == (GOALS, 0.0, None)
    assert (job.seams.avoid, job.seams.require) == ((), ())
    (sheet,) = job.sheets
    assert (sheet.trim, sheet.edge_trim, sheet.kerf, sheet.price, sheet.count) == (0.0, 0.0, 0.0, None, None)
    assert (sheet.remnant, sheet.scallops) == (False, "across")
    assert (job.order.spare, job.order.prove_out, job.fixing.every) == ("0.10", 1, 1)


def test_the_largest_panel_is_scallops_or_a_length() -> None:
    """A whole number counts scallops; 108.0 is a length, and so is text."""
    counted = read(changed(('largest_panel = "9 ft"', "largest_panel = 30"))).face
    measured = read(changed(('largest_panel = "9 ft"', "largest_panel = 108.0"))).face
    assert (counted.largest_scallops, counted.largest_overall) == (30, None)
    assert (measured.largest_scallops, measured.largest_overall) == (None, pytest.approx(108 * INCH))


BOUNDS = [
    ("pitch = 2.75\ndepth = 0.625\npitch_range = [2.70, 2.80]", 'pitch = "3 mm"\ndepth = "1 mm"', True),
    ("pitch = 2.75\ndepth = 0.625\npitch_range = [2.70, 2.80]", 'pitch = "2.9 mm"\ndepth = "1 mm"', False),
    ("pitch = 2.75", "pitch = 2.80", True),
    ("pitch = 2.75", "pitch = 2.8001", False),
    ("depth = 0.625", "depth = 1.375", True),
    ("depth = 0.625", "depth = 1.3751", False),
    ("most_take_up = 0.02", "most_take_up = 0.2", True),
    ("most_take_up = 0.02", "most_take_up = 0.2001", False),
    ("most_take_up = 0.02", "most_take_up = 0", True),
    ("gauge = 24", "gauge = 30", True),
    ("gauge = 24", "gauge = 31", False),
    ("smallest_panel = 6", "smallest_panel = 1", True),
    ('largest_panel = "9 ft"', "largest_panel = 6", True),
    ('largest_panel = "9 ft"', "largest_panel = 5", False),
    ("trim = 0.25", "trim = 59.99", True),
    ("trim = 0.25", "trim = 60", False),
    ("spare = 0.10", "spare = 1", True),
    ("spare = 0.10", "spare = 0", True),
    ("edge = 0.5", "edge = 0", True),
    ("inset = 9.5", "inset = -9.5", True),
    ('length = "19 ft 6 in"', 'length = "1000 m"', True),
    ('length = "19 ft 6 in"', 'length = "1000.1 m"', False),
]


@pytest.mark.parametrize(("old", "new", "sound"), BOUNDS)
def test_limits_are_where_they_are_said_to_be(old: str, new: str, sound: bool) -> None:
    """The last value that is taken and the first that is not."""
    text = changed((old, new))
    if sound:
        read(text)
    else:
        with pytest.raises(JobFaults):
            read(text)


def test_a_missing_file_is_one_fault(tmp_path: Path) -> None:
    """The remedy offers a starter."""
    fault = the_fault(tmp_path / "none.toml")
    assert "no such file" in fault.rule
    assert "seamwalk new" in fault.remedy


def test_a_folder_is_no_job(tmp_path: Path) -> None:
    assert "folder" in the_fault(tmp_path).rule


def test_a_device_is_not_even_opened() -> None:
    """A device or pipe may never end."""
    assert "not a plain file" in the_fault("/dev/null").rule
    assert "not a plain file" in the_fault("/dev/zero").rule


def test_a_pipe_does_not_hang(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "not a plain file" in the_fault(pipe).rule


@pytest.mark.parametrize("name", ["a" * 5000, "plan.toml/inner.toml/x", "job\0.toml"])
def test_a_name_that_cannot_be_is_one_fault(name: str) -> None:
    """Too long, through a file, or with a null byte."""
    with pytest.raises(JobFaults) as caught:
        read_job(name)
    assert len(caught.value.faults) == 1


def test_a_file_without_rights_is_one_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's reason is told; raised by hand, as a superuser may read everything."""
    file = tmp_path / "job.toml"
    file.write_text(BASE, encoding="utf-8")

    def refuse(_: Path) -> bytes:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert "cannot be read (Permission denied)" in the_fault(file).rule


@pytest.mark.parametrize(
    ("content", "rule", "remedy"),
    [
        (b"", "empty", "seamwalk new"),
        (b" \n\n", "empty", "seamwalk new"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "UTF-8", "plain text"),
        (b'title = "a"\ntitle = "b"\n', "line 2", "Correct that line"),
        (b'title = "a\nunits = "in"\n', "line 1", 'title = \\"a'),
        (b"[outline\n", "line 1", "[outline"),
        (b"title = 'a'\nunits =", "line 2", "Correct that line"),
        (b"{}", "line 1", "{}"),
        (b"x = " + b"[" * 100000, "nested", "plain tables"),
        (b"x = " + b"9" * 5000, "not TOML", "digits"),
    ],
)
def test_what_is_not_toml_is_one_fault_with_its_line(tmp_path: Path, content: bytes, rule: str, remedy: str) -> None:
    file = tmp_path / "job.toml"
    file.write_bytes(content)
    fault = the_fault(file)
    assert rule in fault.rule
    assert remedy in fault.remedy


def test_a_file_of_a_million_bytes_is_read_and_one_more_is_not(tmp_path: Path) -> None:
    """A pair at the limit of size."""
    file = tmp_path / "job.toml"
    file.write_bytes(BASE.encode() + b"#" * (LARGEST_FILE - len(BASE.encode())))
    assert read_job(file).title == "Ring bar, east hall"
    file.write_bytes(BASE.encode() + b"#" * (LARGEST_FILE + 1 - len(BASE.encode())))
    assert "at most 1000000 bytes" in the_fault(file).rule


def test_a_byte_order_mark_and_foreign_line_ends_are_read() -> None:
    """Some editors write them."""
    assert parse_job(b"\xef\xbb\xbf" + BASE.replace("\n", "\r\n").encode()).title == "Ring bar, east hall"


VALUES = st.sampled_from(
    [
        "true",
        "nan",
        "-inf",
        "0",
        "-1",
        "1e999",
        "[]",
        "{}",
        "[[]]",
        '""',
        '"x"',
        '"3 ft"',
        "07:32:00",
        "[1, {}]",
        "9",
    ]
)


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.data())
def test_a_spoilt_file_raises_job_faults_and_nothing_else(data: st.DataObject) -> None:
    """Values exchanged, lines doubled, dropped or moved: a job or its faults come out, each in four parts."""
    lines = BASE.splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(lines) - 1))
        how = data.draw(st.sampled_from(["value", "drop", "move", "name"]))
        name, equals, _old = lines[at].partition(" = ")
        if how == "value" and equals:
            lines[at] = f"{name} = {data.draw(VALUES)}"
        elif how == "name" and equals:
            lines[at] = f"{name}x = {_old}"
        elif how == "drop" and len(lines) > 1:
            del lines[at]
        else:
            lines.insert(data.draw(st.integers(0, len(lines) - 1)), lines.pop(at))
    assert_job_or_faults("\n".join(lines).encode())


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.integers(0, len(BASE) - 1), st.binary(min_size=0, max_size=6), st.integers(0, 8))
def test_spoilt_bytes_raise_job_faults_and_nothing_else(at: int, put: bytes, drop: int) -> None:
    """Any bytes anywhere."""
    assert_job_or_faults(BASE.encode()[:at] + put + BASE.encode()[at + drop :])


def assert_job_or_faults(content: bytes) -> None:
    try:
        job = parse_job(content, "job.toml")
    except JobFaults as refused:
        told = refused.faults
    else:
        assert job.digest == hashlib.sha256(content).hexdigest()
        return
    assert told
    assert all(fault.key and fault.rule and fault.remedy for fault in told)
    assert all(str(fault).replace("\n", "").isprintable() for fault in told)
