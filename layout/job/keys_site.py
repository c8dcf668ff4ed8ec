"""The keys of what is on the site: openings, holes in the face, corners, eyes and walls."""

from __future__ import annotations

import json
from itertools import pairwise

from layout.job import fields
from layout.job.fields import choice, length, number, yes_no
from layout.job.key import AT_LEAST_0, HIDDEN, Key, Section, both
from layout.job.place import station
from layout.units import UnitError

LIGHTEST, HEAVIEST = 0.001, 1000.0
"""How much a viewpoint may count beside the others; outside that it is a slip (assumed)."""

MOST_CORNERS = 10000
"""Points of one wall; more are a slip (assumed)."""

_WHICH_OUTLINE = "Name of its outline, where there are several; default the first."

OPENING = Section(
    "opening",
    "A gap or gate between two jambs, where the face stops.",
    (
        Key("name", fields.text, "What it is called.", both('"staff gate"'), required=True),
        Key("from", station, "Station of its left jamb.", ('"12 ft 3 in"', "3700"), required=True),
        Key(
            "to",
            station,
            "Station of its right jamb; on a loop from > to wraps past the datum.",
            ('"15 ft 3 in"', "4600"),
            required=True,
        ),
        Key(
            "leaf",
            yes_no,
            "Whether a leaf with a face of its own closes it; default false.",
            both("true"),
            default=both(False),
        ),
        Key(
            "clearance",
            AT_LEAST_0,
            "Between each jamb and the leaf; default 0.",
            ("0.25", "6"),
            default=both(0.0),
        ),
        Key(
            "ends",
            choice("whole", "cut"),
            "How scallops end at its jambs and on its leaf; default as face.ends.",
            both('"whole"'),
            shown=HIDDEN,
        ),
        Key("outline", fields.text, _WHICH_OUTLINE, both('"kiosk"'), shown=HIDDEN),
    ),
    many="many",
)

CUTOUT = Section(
    "cutout",
    "A hole in the face, given on the wall and drawn on the blank in the flat.",
    (
        Key("name", fields.text, "What it is for.", both('"socket"'), required=True),
        Key("at", station, "Station of its centre.", ('"5 ft 2 in"', "1570"), required=True),
        Key("up", AT_LEAST_0, "Its bottom above the face's bottom.", ("12", "300"), required=True),
        Key("width", length(), "Along the wall.", ('"3 3/8 in"', "86"), required=True),
        Key("height", length(), "Of the hole.", ('"5 3/4 in"', "146"), required=True),
        Key(
            "clearance",
            AT_LEAST_0,
            "Kept free of seams on both sides; default one pitch.",
            ("3", "75"),
            shown=HIDDEN,
        ),
        Key("outline", fields.text, _WHICH_OUTLINE, both('"kiosk"'), shown=HIDDEN),
    ),
    many="many",
)

VIEWPOINT = Section(
    "viewpoint",
    "Where people stand and look; seams go where least of them is seen.",
    (
        Key("name", fields.text, "What is there.", both('"street door"'), required=True),
        Key(
            "at",
            fields.point,
            "[x, y] in plan, where the eyes are.",
            ('["18 ft", "-12 ft"]', "[5500, -3600]"),
            required=True,
        ),
        Key(
            "weight",
            number(LIGHTEST, HEAVIEST),
            "How much it counts beside the others; default 1.",
            both("2"),
            default=both(1.0),
            shown=HIDDEN,
        ),
    ),
    many="many",
)


def line(value: object, units: str | None) -> tuple[tuple[float, float], ...]:
    """Read a line of two or more different points in plan, mm.

    >>> line([[0, 0], ["1 m", 0]], "mm")
    ((0.0, 0.0), (1000.0, 0.0))
    >>> line([[0, 0], [0, 0]], "mm")
    Traceback (most recent call last):
    layout.units.UnitError: this must be a line of two or more points, each apart from the last. Write ...
    """
    listed = value if isinstance(value, list) else []
    remedy = f"Write it as {json.dumps([[0, 0], [10, 0]])}"
    if len(listed) > MOST_CORNERS:
        raise UnitError(f"a line has at most {MOST_CORNERS} points", "Give fewer")
    points = tuple(fields.point(place, units) for place in listed)
    if len(points) < 2 or any(a == b for a, b in pairwise(points)):
        raise UnitError("this must be a line of two or more points, each apart from the last", remedy)
    return points


WALL = Section(
    "wall",
    "A wall, pillar or screen that hides what stands behind it.",
    (
        Key(
            "points",
            line,
            "Its line in plan, [[x, y], [x, y], …].",
            ('[["10 ft", "-8 ft"], ["14 ft", "-8 ft"]]', "[[3000, -2400], [4200, -2400]]"),
            required=True,
        ),
    ),
    many="many",
)

CORNER = Key(
    "corner",
    choice("mitre", "return"),
    "How runs meet at sharp corners of a path or drawing: in a mitre, or the left-hand one running past the other.",
    both('"mitre"'),
    shown=HIDDEN,
)
"""For the outline's own table."""
