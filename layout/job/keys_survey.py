"""The keys of a wall that was measured: its marks, what they were measured from, and the measuring error."""

from __future__ import annotations

from layout.job.fields import choice, length
from layout.job.key import HIDDEN, Key, Section, both
from layout.job.marks import names, pairs, two_points

FINEST, COARSEST = 0.01, 50.0
"""mm of measuring error; less no tape holds, more is a slip of the unit (assumed)."""

USUAL = (1.5875, 1.5)
"""mm, for an inch job (1/16 in) and a mm job: what a careful tape holds (assumed)."""

SURVEY_SHAPE = ((), ("points", "offsets", "tapes", "file", "base", "controls", "side", "corner", "corners", "closed"))
"""Keys that a surveyed outline must have, and may have; of its marks just one, told by a rule."""

MARK_KEYS = (
    Key(
        "points",
        pairs,
        "Marks of a surveyed line in plan, [[x, y], …], in their order along the wall.",
        ("[[0, 0], [60, 4], [118, 22]]", "[[0, 0], [1500, 100], [2950, 560]]"),
        shown=HIDDEN,
    ),
    Key(
        "offsets",
        pairs,
        "Marks of a surveyed line off a base line, [[along, offset], …]; needs base.",
        ("[[0, 12], [24, 13.5], [48, 18]]", "[[0, 300], [600, 340], [1200, 455]]"),
        shown=HIDDEN,
    ),
    Key(
        "tapes",
        pairs,
        "Marks of a surveyed line by two tapes, [[d1, d2], …]; needs controls and side.",
        ("[[96, 118], [104, 102]]", "[[2400, 3000], [2650, 2590]]"),
        shown=HIDDEN,
    ),
    Key(
        "base",
        two_points,
        "Base line that offsets are measured from, [[x, y], [x, y]].",
        ("[[0, 0], [240, 0]]", "[[0, 0], [6000, 0]]"),
        shown=HIDDEN,
    ),
    Key(
        "controls",
        two_points,
        "Two control points that tapes are measured from, [[x, y], [x, y]].",
        ("[[0, 0], [120, 0]]", "[[0, 0], [3000, 0]]"),
        shown=HIDDEN,
    ),
    Key(
        "side",
        choice("left", "right"),
        "Side of the line from the first place to the second: of positive offsets (default left), of taped marks.",
        both('"left"'),
        shown=HIDDEN,
    ),
    Key(
        "corners",
        names,
        "Marks of a surveyed line that stand at sharp corners, by number or name; see corner.",
        both("[4, 9]"),
        shown=HIDDEN,
    ),
)
"""Keys of an outline of the shape points."""

SURVEY = Section(
    "survey",
    "How well the wall was measured.",
    (
        Key(
            "sigma",
            length(FINEST, COARSEST, least_allowed=True),
            'Measuring error of a mark (standard deviation); default "1/16 in" or 1.5 mm.',
            ('"1/16 in"', "1.5"),
            default=USUAL,
            shown=HIDDEN,
        ),
    ),
)
