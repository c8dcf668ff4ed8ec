"""Job files damaged at random, by a seed: what reading, taking off and planning them must bear.

A quarter of the damage is to the text, as a slip of the hand or of a disk would do it; the rest puts
another number where one stands, so that many files still read and the sums behind them are tried.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.job.job_texts import BASE, PATH_OUTLINE, ROUND_OUTLINE, with_outline

DEMOS = Path(__file__).parents[2] / "demo_jobs"

NUMBER = re.compile(rb"(?<![\w.-])-?\d+(?:\.\d+)?(?![\w.])")

EXTREMES = (
    b"0", b"-1", b"1e308", b"-1e-308", b"nan", b"inf", b"-inf", b"9223372036854775808", b"1e9", b"0.0000001", b'""',
    b'"x"', b"true", b"[]", b"{}", b"[0, 0]", b"[[0, 0], [9, 9]]", b"1979-05-27", b'"24 ft 3 1/2 in"', b'"620 mm"',
    b'"1/0 in"', b"{ near = [0, 0] }", b"{ at_angle = 90 }", b'"\\u202e"', b"0x7fffffff", b'"inside"', b'"left"',
    b'"mitre"', b'"return"', b'"cut"', b'"over"', b'"butt"', b'"along"', b'"ellipse"', b'"stadium"', b'"path"',
)  # fmt: skip

MORE = """
[[zone]]
name = "low"
from = "1 ft"
to = "5 ft"
height = 30

[[opening]]
name = "gate"
from = "20 ft"
to = "23 ft"
leaf = true
clearance = 0.5
ends = "cut"

[[cutout]]
name = "socket"
at = "10 ft"
up = 12
width = 3
height = 4

[[viewpoint]]
name = "door"
at = [0, -200]

[[wall]]
points = [[-100, -150], [-40, -150]]

[die]
way = "free"

[press]
capacity = "60 ton"
bed = 96
"""

CORNERED = """\
[outline]
shape = "path"
closed = false
corner = "mitre"
steps = [{ straight = "6 ft" }, { arc = 90, radius = 0, turn = "left" }, { straight = 80 }]
"""

OFFSETS = """\
[outline]
shape = "points"
closed = false
base = [[0, 0], [240, 0]]
offsets = [[0, 12], [24, 13.5], [48, 18], [72, 25.4], [96, 36], [120, 50], [144, 65], [168, 80]]
"""

TAPES = """\
[outline]
shape = "points"
controls = [[-40, 0], [40, 0]]
closed = false
side = "left"
tapes = [[60, 100], [66, 90], [75, 80], [84, 74], [95, 70]]
"""

SEVERAL = """\
[[outline]]
name = "bar"
shape = "circle"
diameter = "9 ft"

[[outline]]
name = "back"
shape = "path"
start = [0, 100]
closed = false
steps = [{ straight = "6 ft" }, { arc = 90, radius = 30, turn = "left" }, { straight = 40 }]
"""

EASY = BASE.replace("pitch_range = [2.70, 2.80]\n", "").replace("most_take_up = 0.02", "most_take_up = 0.1")
"""A job that most lengths of wall can be planned with."""

TOLD = (
    BASE,
    EASY + MORE,
    *(with_outline(outline, EASY) for outline in (ROUND_OUTLINE, PATH_OUTLINE, CORNERED, OFFSETS, TAPES, SEVERAL)),
    with_outline(ROUND_OUTLINE, EASY) + MORE,
)
"""Sound jobs, beside the demos."""


@dataclass(frozen=True)
class Damaged:
    """A job file that was damaged."""

    name: str
    """of the sound one"""
    data: bytes


def sound_jobs() -> list[tuple[str, bytes]]:
    """Return the jobs that are damaged, with a name for each."""
    demos = [(file.name, file.read_bytes()) for file in sorted(DEMOS.glob("*.toml"))]
    return [(f"text {k}", text.encode()) for k, text in enumerate(TOLD)] + demos


def damaged_jobs(count: int, seed: int) -> Iterator[Damaged]:
    """Give damaged job files, the same for the same seed."""
    rng = random.Random(seed)
    whole = sound_jobs()
    for _ in range(count):
        name, data = rng.choice(whole)
        damage = _other_values if rng.random() < 0.75 else _other_lines
        yield Damaged(name, damage(data, rng))


def _other_values(data: bytes, rng: random.Random) -> bytes:
    """Put other numbers where numbers stand: near ones mostly, so that most files still read."""
    for _ in range(rng.choice((1, 1, 2, 3, 6))):
        places = list(NUMBER.finditer(data))
        if not places:
            return data
        place = rng.choice(places)
        data = data[: place.start()] + _other_number(place[0], rng) + data[place.end() :]
    return data


def _other_number(old: bytes, rng: random.Random) -> bytes:
    match rng.randrange(8):
        case 0:
            return rng.choice(EXTREMES)
        case 1:
            return str(rng.choice((-1, 1)) * 10 ** rng.uniform(-6, 9)).encode()
        case 2:
            return b"-" + old.lstrip(b"-")
        case 3:
            return str(rng.randrange(0, 400)).encode()
        case _:
            near = float(old) * math.exp(rng.gauss(0.0, 0.4))
            return (str(round(near)) if b"." not in old and rng.random() < 0.5 else f"{near:.4f}").encode()


def _other_lines(data: bytes, rng: random.Random) -> bytes:
    """Change, lose, double or exchange lines, values and letters."""
    lines = data.split(b"\n")
    for _ in range(rng.choice((1, 1, 2, 3, 8))):
        if not lines:
            return b""
        k = rng.randrange(len(lines))
        match rng.randrange(7):
            case 0 | 1 if b"=" in lines[k]:
                lines[k] = lines[k].split(b"=")[0] + b"= " + rng.choice(EXTREMES)
            case 2:
                del lines[k : k + rng.choice((1, 1, 2, 6))]
            case 3:
                lines[k:k] = lines[k : k + rng.choice((1, 4, 12))]
            case 4:
                text = bytearray(lines[k] or b" ")
                text[rng.randrange(len(text))] = rng.randrange(256)
                lines[k] = bytes(text)
            case _:
                other = rng.randrange(len(lines))
                lines[k], lines[other] = lines[other], lines[k]
    found = b"\n".join(lines)
    return found[: rng.randrange(len(found) + 1)] if rng.random() < 0.03 else found
