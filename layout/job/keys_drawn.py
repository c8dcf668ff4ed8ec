"""The keys of what is drawn: outlines, their steps, and the scallop."""

from __future__ import annotations

from layout.job import fields
from layout.job.fields import choice, length, number
from layout.job.key import AT_LEAST_0, HIDDEN, Key, Section, both
from layout.job.keys_site import CORNER
from layout.job.keys_survey import MARK_KEYS, SURVEY_SHAPE

SHORTEST_PITCH, LONGEST_PITCH = 3.0, 1000.0
"""mm; finer is mesh, coarser is bays: a slip of the unit (assumed)."""
MOST_TAKE_UP = 0.2
"""Share of the pitch; past a fifth no scallop is the scallop drawn (assumed)."""

LEAST_OUTLINE = (304.8, 300.0)
"""mm, for an inch job (12 in) and a mm job; no counter is smaller: a slip of the unit (assumed)."""

OTHER_SHAPES = {
    "oval": ("ellipse", "stadium"),
    "round": ("circle",),
    "racetrack": ("stadium",),
    "polyline": ("path",),
}
"""Other words for shapes, with what they may mean (common practice, no source)."""

DRAWING_UNITS = ("in", "ft", "mm", "cm", "m")
"""Units that a drawing may be said to be in."""

SHAPE_KEYS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "circle": (("diameter",), ()),
    "ellipse": (("length", "width"), ()),
    "stadium": (("length", "width"), ()),
    "rounded-rectangle": (("length", "width", "radius"), ()),
    "path": (("steps",), ("start", "heading", "closed", "corner")),
    "dxf": (("file",), ("layer", "units", "near", "closed", "corner")),
    "points": SURVEY_SHAPE,
}
"""Which keys a shape must have, and which it may have."""

FORM_KEYS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "arc": ((), ("valley_radius",)),
    "arc-flat": (("flat",), ("valley_radius",)),
    "sine": ((), ()),
    "serpentine": ((), ()),
    "arc-tangent": (("radius",), ()),
}
"""Which keys a form of scallop must have, and which it may have, beside pitch and depth."""

OUTLINE = Section(
    "outline",
    "The plan-view line as drawn, from above.",
    (
        Key("name", fields.text, "What the line is called; default no name.", both('"kiosk"'), shown=HIDDEN),
        Key(
            "shape",
            choice(*SHAPE_KEYS, other_words=OTHER_SHAPES),
            "circle, ellipse, stadium, rounded-rectangle, path, dxf (a drawing) or points (a survey).",
            both('"stadium"'),
            required=True,
        ),
        Key("diameter", fields.sized(LEAST_OUTLINE), "Of a circle.", ('"9 ft"', "2800"), shown=HIDDEN),
        Key("length", fields.sized(LEAST_OUTLINE), "Along x, overall.", ('"16 ft 4 in"', "5000")),
        Key("width", fields.sized(LEAST_OUTLINE), "Along y, overall.", ('"8 ft"', "2440")),
        Key("radius", length(), "Of a rounded-rectangle's corners.", ("24", "600"), shown=HIDDEN),
        Key(
            "start",
            fields.point,
            "Where a path starts, [x, y]; default [0, 0].",
            both("[0, 0]"),
            shown=HIDDEN,
        ),
        Key(
            "heading",
            fields.angle(-360, 360),
            "Degrees from +x, anticlockwise, in which a path starts; default 0.",
            both("0"),
            shown=HIDDEN,
        ),
        Key(
            "closed",
            fields.yes_no,
            "Whether a path, drawn or surveyed line is a loop; default true.",
            both("true"),
            shown=HIDDEN,
        ),
        Key(
            "steps",
            fields.tables,
            "A path's straights and arcs, one after another.",
            (
                '[{ straight = "6 ft" }, { arc = 90, radius = 30, turn = "left" }]',
                '[{ straight = 1800 }, { arc = 90, radius = 750, turn = "left" }]',
            ),
            shown=HIDDEN,
        ),
        Key(
            "file",
            fields.text,
            "A drawing (DXF) or a table of marks (CSV), from the job file's folder.",
            both('"hall.dxf"'),
            shown=HIDDEN,
        ),
        Key(
            "layer",
            fields.text,
            "The drawing's layer with the line; default the only one that holds lines.",
            both('"COUNTER"'),
            shown=HIDDEN,
        ),
        Key(
            "units",
            choice(*DRAWING_UNITS),
            "Unit of a drawing that states none: in, ft, mm, cm or m.",
            ('"in"', '"mm"'),
            shown=HIDDEN,
        ),
        Key(
            "near",
            fields.point,
            "[x, y] in the drawing that the wanted line passes nearest, where it holds several.",
            ("[120, 60]", "[3000, 1500]"),
            shown=HIDDEN,
        ),
        *MARK_KEYS,
        Key(
            "inset",
            length(-fields.LONGEST, least_allowed=True),
            "Outline to the line the face sits on, away from the viewer; may be negative; default 0.",
            ("1.5", "40"),
            default=both(0.0),
        ),
        Key(
            "face",
            choice("outside", "inside", "right", "left"),
            "Outside or inside of a loop; right or left of an open path; default outside, right.",
            both('"outside"'),
        ),
        Key(
            "datum",
            fields.point,
            "Station 0 of a loop is nearest to this [x, y]; default its lowest point.",
            ("[0, -48]", "[0, -1220]"),
            shown=HIDDEN,
        ),
        CORNER,
    ),
    many="either",
    required=True,
)

STEPS = Section(
    "outline.steps",
    "One step of a path: a straight, or an arc with its radius and turn.",
    (
        Key("straight", length(), "Length of a straight.", ('"6 ft"', "1800")),
        Key("arc", fields.angle(0, 360), "Degrees that an arc turns.", both("90")),
        Key("radius", AT_LEAST_0, "Radius of an arc; 0 is a sharp corner.", ("30", "750")),
        Key("turn", choice("left", "right"), "Which way an arc turns.", both('"left"')),
    ),
    many="many",
)

SCALLOP = Section(
    "scallop",
    "One repeat of the profile, valley to valley, at the middle of the metal.",
    (
        Key(
            "form",
            choice(*FORM_KEYS),
            "arc, arc-flat, sine, serpentine or arc-tangent.",
            both('"arc"'),
            required=True,
        ),
        Key(
            "pitch",
            length(SHORTEST_PITCH, LONGEST_PITCH, least_allowed=True),
            "Valley to valley.",
            ("2.75", "70"),
            required=True,
        ),
        Key("depth", length(0.0, LONGEST_PITCH), "Valley to crest.", ("0.625", "16"), required=True),
        Key(
            "valley_radius",
            length(0.0, LONGEST_PITCH),
            "Inside radius that rounds the valleys of an arc or arc-flat; default sharp.",
            ("0.125", "3"),
            shown=HIDDEN,
        ),
        Key("flat", length(0.0, LONGEST_PITCH), "Length of an arc-flat's flat.", ("0.75", "20"), shown=HIDDEN),
        Key(
            "radius",
            length(0.0, LONGEST_PITCH),
            "Inside radius of an arc-tangent.",
            ("0.5", "12"),
            shown=HIDDEN,
        ),
        Key(
            "pitch_range",
            fields.span(SHORTEST_PITCH, LONGEST_PITCH),
            "[least, most] where the die is not made yet: the pitch is chosen in it, the depth held.",
            ("[2.70, 2.80]", "[68, 72]"),
            shown=HIDDEN,
        ),
        Key(
            "count_on",
            choice("neutral", "back", "crest"),
            "Line on which whole scallops are counted; default neutral.",
            both('"neutral"'),
            default=both("neutral"),
            shown=HIDDEN,
        ),
        Key(
            "most_take_up",
            number(0.0, MOST_TAKE_UP),
            "Share of the pitch that a scallop may be stretched or crowded; default 0.02.",
            both("0.02"),
            default=both(0.02),
            shown=HIDDEN,
        ),
    ),
    required=True,
)
