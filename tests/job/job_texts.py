"""Job files as text, for the tests of reading: sound ones, and ways to spoil them."""

from __future__ import annotations

from layout.errors import Fault, JobFaults
from layout.job.reading import parse_job

BASE = """\
format = 1
title = "Ring bar, east hall"
units = "in"

[outline]
shape = "ellipse"
length = "19 ft 6 in"
width = "12 ft 4 in"
inset = 9.5
face = "outside"
datum = [0, -74]

[scallop]
form = "arc"
pitch = 2.75
depth = 0.625
pitch_range = [2.70, 2.80]
count_on = "neutral"
most_take_up = 0.02

[metal]
kind = "steel"
gauge = 24

[face]
height = 42
top_return = 0.75
seam = "lap"
lap_goes = "under"
ends = "whole"
smallest_panel = 6
largest_panel = "9 ft"
form_trim = 0.75

[fixing]
edge = 0.5
every = 1

[seams]
tight_radius = 60
avoid = [{ from = "3 ft", to = "7 ft", why = "till" }]
goals = ["panels", "worst_seam", "different_lengths", "seam_cost"]

[[sheet]]
length = 120
width = 48
trim = 0.25
price = 71.50

[order]
spare = 0.10
prove_out = 1
"""
"""Every kind of value in one sound file; a loop."""

PATH_OUTLINE = """\
[outline]
shape = "path"
start = [0, 0]
heading = 90
closed = false
steps = [{ straight = "6 ft" }, { arc = 90, radius = 30, turn = "left" }, { straight = 40 }]
face = "right"
"""

ROUND_OUTLINE = '[outline]\nshape = "circle"\ndiameter = "9 ft"\n'


def changed(*changes: tuple[str, str], text: str = BASE) -> str:
    """Return the text with parts exchanged; each must stand there once."""
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


def with_outline(outline: str, text: str = BASE) -> str:
    """Return the text with another outline, and without its seam-free stretches."""
    head, rest = text.split("[outline]", 1)
    rest = rest.split("[scallop]", 1)[1]
    for line in rest.splitlines():
        if line.startswith("avoid"):
            rest = rest.replace(line + "\n", "")
    return f"{head}{outline}\n[scallop]{rest}"


def faults_of(text: str) -> tuple[Fault, ...]:
    """Return the faults of a job; none where it is sound."""
    try:
        parse_job(text.encode(), "counter.toml")
    except JobFaults as refused:
        return refused.faults
    return ()
