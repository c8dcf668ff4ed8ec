"""The keys of what is handed over: the paper it is printed on, and what the site measures from."""

from __future__ import annotations

import datetime
from itertools import combinations

from layout.job import fields
from layout.job.fields import choice, length
from layout.job.key import HIDDEN, Key, Section, both
from layout.job.keys_survey import COARSEST, FINEST
from layout.job.model_packet import PAPER_SIZES
from layout.units import UnitError

MOST_CONTROLS = 26
"""Control points; they are named A to Z."""
LEAST_APART = 1.0
"""mm between two control points; nearer they are one (assumed)."""
LONGEST_DATE = 14
"""Characters of a date; more does not fit the title block."""


def date(value: object, units: str | None) -> str:
    """Read a date, of TOML's own or as text; it is printed as it is.

    >>> date(datetime.date(2024, 3, 9), "mm"), date("9 March 2024", "mm")
    ('2024-03-09', '9 March 2024')
    """
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    said = fields.text(value, units)
    if len(said) > LONGEST_DATE:
        raise UnitError(f"a date has at most {LONGEST_DATE} characters", "Write it as 2024-03-09")
    return said


def controls(value: object, units: str | None) -> tuple[tuple[float, float], ...]:
    """Read two or more control points in plan, mm.

    >>> controls([[0, 0], ["4 m", 0]], "mm")
    ((0.0, 0.0), (4000.0, 0.0))
    >>> controls([[0, 0]], "mm")
    Traceback (most recent call last):
    layout.units.UnitError: this must be 2 to 26 control points. Write them as [[0, 0], [120, 0]].
    """
    listed = value if isinstance(value, list) else []
    if not 2 <= len(listed) <= MOST_CONTROLS:
        raise UnitError(f"this must be 2 to {MOST_CONTROLS} control points", "Write them as [[0, 0], [120, 0]]")
    points = tuple(fields.point(place, units) for place in listed)
    if any(abs(a[0] - b[0]) + abs(a[1] - b[1]) < LEAST_APART for a, b in combinations(points, 2)):
        raise UnitError("no two control points stand at one place", "Leave one of them out")
    return points


PAPER = Section(
    "paper",
    "What the packet is printed on.",
    (
        Key(
            "size",
            choice(*PAPER_SIZES),
            "Paper of the packet; default letter in inch jobs, A4 in mm jobs.",
            ('"letter"', '"A4"'),
            shown=HIDDEN,
        ),
        Key(
            "date",
            date,
            "Printed in every title block as it is; left out, there is room to write it.",
            both('"2024-03-09"'),
            shown=HIDDEN,
        ),
    ),
)

SITE = Section(
    "site",
    "What seams are measured from on site, and with what.",
    (
        Key(
            "control",
            controls,
            "Control points in plan to tape from, [[x, y], …]; left out, they are chosen.",
            ('[["-8 ft", "-6 ft"], ["8 ft", "-6 ft"]]', "[[-2400, -1800], [2400, -1800]]"),
            shown=HIDDEN,
        ),
        Key(
            "tape_sigma",
            length(FINEST, COARSEST, least_allowed=True),
            'Error of one reading of the tape (standard deviation); default "1/16 in" or 1.5 mm.',
            ('"1/16 in"', "1.5"),
            shown=HIDDEN,
        ),
        Key(
            "tape",
            length(),
            'Length of the tape; default "100 ft" or "30 m".',
            ('"100 ft"', '"30 m"'),
            shown=HIDDEN,
        ),
    ),
)
