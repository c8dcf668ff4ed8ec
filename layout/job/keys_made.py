"""The keys of what is made and bought: metal, face, fixing, seams, zones, sheets, order."""

from __future__ import annotations

import json

from layout.job import fields
from layout.job.fields import choice, length, money, whole
from layout.job.key import AT_LEAST_0, HIDDEN, Key, Section, both
from layout.job.keys_forming import pull
from layout.job.model import GOALS
from layout.job.place import station
from layout.metal.gauges import FAMILIES

THINNEST, THICKEST = 0.05, 25.0
"""mm; between foil and plate (assumed)."""
DEAREST = 1e9
"""Money; past this a price is a slip (assumed)."""
MOST_PIECES = 100000
"""Scallops; past this a count is a slip (assumed)."""

LEAST_SHEET = (304.8, 300.0)
"""mm, for an inch job (12 in) and a mm job; a shorter or narrower sheet is a slip of the unit (assumed)."""
LEAST_HEIGHT = (50.8, 50.0)
"""mm, for an inch job (2 in) and a mm job; a lower face is a slip of the unit (assumed)."""

_WHICH_OUTLINE = "Name of its outline, where there are several."

METALS = tuple(FAMILIES)
"""Kinds of metal, as the gauge tables know them."""

METAL = Section(
    "metal",
    "The sheet metal.",
    (
        Key(
            "kind",
            choice(*METALS),
            f"{', '.join(METALS[:-1])} or {METALS[-1]}.",
            both('"steel"'),
            required=True,
        ),
        Key(
            "gauge",
            fields.gauge(1, 40, THINNEST, THICKEST),
            "By the metal's own gauge table; or thickness.",
            both("24"),
            shown=(True, False),
        ),
        Key(
            "thickness",
            length(THINNEST, THICKEST, least_allowed=True),
            "Instead of a gauge.",
            ("0.0239", "0.6"),
            shown=(False, True),
        ),
        Key(
            "modulus",
            fields.stress(1e3, 1e6),
            "Young's modulus; default by the metal.",
            ('"29500 ksi"', '"203 GPa"'),
            shown=HIDDEN,
        ),
        Key(
            "yield",
            fields.stress(1, 5e3),
            "Yield stress; default by the metal.",
            ('"36 ksi"', "250"),
            shown=HIDDEN,
        ),
        Key(
            "tensile",
            fields.stress(1, 5e3),
            "Tensile strength; default by the metal.",
            ('"50 ksi"', "345"),
            shown=HIDDEN,
        ),
        Key("density", fields.density, "Default by the metal.", both('"7850 kg/m3"'), shown=HIDDEN),
        Key(
            "yield_low",
            fields.stress(1, 5e3),
            "Softest that may be delivered; default by the metal.",
            ('"25 ksi"', "170"),
            shown=HIDDEN,
        ),
        Key(
            "yield_high",
            fields.stress(1, 5e3),
            "Hardest that may be delivered; default by the metal.",
            ('"40 ksi"', "280"),
            shown=HIDDEN,
        ),
    ),
    required=True,
)

FACE = Section(
    "face",
    "The face as hung.",
    (
        Key("height", fields.sized(LEAST_HEIGHT), "Of the face as seen.", ("40", "1000"), required=True),
        Key(
            "top_return",
            AT_LEAST_0,
            "Added to the blank's height at the top; default 0.",
            ("0.75", "20"),
            default=both(0.0),
        ),
        Key(
            "bottom_return",
            AT_LEAST_0,
            "Added at the bottom; default 0.",
            ("0.75", "20"),
            default=both(0.0),
            shown=HIDDEN,
        ),
        Key(
            "scribe",
            AT_LEAST_0,
            "Added to be cut to the floor on site; default 0.",
            ("1", "25"),
            default=both(0.0),
        ),
        Key("seam", choice("lap", "butt"), "lap or butt; default lap.", both('"lap"'), default=both("lap")),
        Key(
            "lap_goes",
            choice("under", "over", "either"),
            "A lap tucks under or over its right-hand neighbour, or whichever is better; default under.",
            both('"under"'),
            default=both("under"),
            shown=HIDDEN,
        ),
        Key(
            "ends",
            choice("whole", "cut"),
            "How the last scallop of an open run ends, cut being buried in a trim; default whole.",
            both('"whole"'),
            default=both("whole"),
            shown=HIDDEN,
        ),
        Key("smallest_panel", whole(1, MOST_PIECES), "Scallops; default 4.", both("6"), default=both(4)),
        Key(
            "largest_panel",
            fields.largest_panel,
            "A length is overall, a whole number is scallops; default what the sheets allow.",
            ('"9 ft"', '"2.7 m"'),
        ),
        Key(
            "form_trim",
            AT_LEAST_0,
            "At each end of a blank, formed shallow and cut back; default 3/4 in, 20 mm.",
            ("0.75", "20"),
            default=(19.05, 20.0),
        ),
        Key(
            "shear_length",
            length(),
            "Longest straight cut that the shop's shear makes; default no limit.",
            ('"10 ft"', '"3 m"'),
            shown=HIDDEN,
        ),
    ),
    required=True,
)

FIXING = Section(
    "fixing",
    "How the face is held; every edge that stands off a curve is worked out from it.",
    (
        Key(
            "edge",
            AT_LEAST_0,
            "From the last fixing to the panel's end; default 1/2 in, 12 mm.",
            ("0.5", "12"),
            default=(12.7, 12.0),
        ),
        Key("every", whole(1, 1000), "Valleys between fixings; default 1.", both("1"), default=both(1)),
        Key(
            "rows",
            whole(1, 1000),
            "Fixings up the height of each fixed valley; default 3 (assumed).",
            both("3"),
            default=both(3),
            shown=HIDDEN,
        ),
        Key("pull", pull, "What one fixing holds; default not known.", ('"60 lbf"', '"250 N"'), shown=HIDDEN),
    ),
)

SEAMS = Section(
    "seams",
    "What the seams must and should do.",
    (
        Key(
            "tight_radius",
            length(),
            "No seam where the curve is tighter than this.",
            ("24", "600"),
            shown=HIDDEN,
        ),
        Key(
            "avoid",
            fields.tables,
            "Seam-free stretches by station; on a loop from > to wraps past the datum.",
            (
                '[{ from = "3 ft", to = "5 ft 6 in", why = "serving hatch" }]',
                '[{ from = 900, to = 1700, why = "serving hatch" }]',
            ),
        ),
        Key(
            "require",
            fields.tables,
            "Stations where one run ends and the next begins.",
            ('[{ at = "12 ft 3 in", why = "gate jamb" }]', '[{ at = 3700, why = "gate jamb" }]'),
            shown=HIDDEN,
        ),
        Key(
            "panel_price",
            money(DEAREST),
            "Money of labour a panel; default 0.",
            both("90"),
            default=both(0.0),
            shown=HIDDEN,
        ),
        Key(
            "even",
            fields.yes_no,
            "Panels as equal as can be; default false.",
            both("true"),
            default=both(False),
            shown=HIDDEN,
        ),
        Key(
            "symmetric",
            fields.yes_no,
            "Seams mirrored about the plan's own axis; default false.",
            both("true"),
            default=both(False),
            shown=HIDDEN,
        ),
        Key(
            "goals",
            fields.goals,
            "Met one after another, each held while the next is met; default this order.",
            both(json.dumps(GOALS)),
            default=both(GOALS),
            shown=HIDDEN,
        ),
    ),
)

AVOID = Section(
    "seams.avoid",
    "A seam-free stretch.",
    (
        Key("from", station, "Station where the stretch begins.", ('"3 ft"', "900"), required=True),
        Key("to", station, "Station where it ends.", ('"5 ft 6 in"', "1700"), required=True),
        Key("why", fields.text, "Told on the seam map.", both('"serving hatch"'), default=both("kept free")),
        Key("outline", fields.text, _WHICH_OUTLINE, both('"kiosk"')),
    ),
    many="many",
)

REQUIRE = Section(
    "seams.require",
    "A place where one run ends and the next begins.",
    (
        Key("at", station, "Its station.", ('"12 ft 3 in"', "3700"), required=True),
        Key("why", fields.text, "Told on the seam map.", both('"gate jamb"'), default=both("required")),
        Key("outline", fields.text, _WHICH_OUTLINE, both('"kiosk"')),
    ),
    many="many",
)

ZONE = Section(
    "zone",
    "A stretch of the face with a height of its own; its ends are seams.",
    (
        Key("name", fields.text, "What it is called; default its number, as zone 1.", both('"low counter"')),
        Key("from", station, "Station where it begins.", ('"3 ft"', "900"), required=True),
        Key(
            "to",
            station,
            "Station where it ends; on a loop from > to wraps past the datum.",
            ('"7 ft"', "2100"),
            required=True,
        ),
        Key("height", fields.sized(LEAST_HEIGHT), "Of the face there, as seen.", ("30", "760"), required=True),
        Key("outline", fields.text, _WHICH_OUTLINE, both('"kiosk"')),
    ),
    many="many",
)

SHEET = Section(
    "sheet",
    "A stock size that the blanks are cut from.",
    (
        Key("length", fields.sized(LEAST_SHEET), "Of the sheet.", ("120", "3000"), required=True),
        Key("width", fields.sized(LEAST_SHEET), "Of the sheet.", ("48", "1250"), required=True),
        Key("trim", AT_LEAST_0, "Lost at each end; default 0.", ("0.25", "5"), default=both(0.0)),
        Key("edge_trim", AT_LEAST_0, "Lost at each long edge; default 0.", ("0", "0"), default=both(0.0)),
        Key("kerf", AT_LEAST_0, "Lost in each cut; 0 for a shear; default 0.", ("0", "0"), default=both(0.0)),
        Key("price", money(DEAREST), "Money a sheet; default unpriced.", both("71.50")),
        Key("count", whole(0, MOST_PIECES), "On hand; default no limit.", both("6"), shown=HIDDEN),
        Key(
            "remnant",
            fields.yes_no,
            "Whether it is a drop kept in stock; default false.",
            both("true"),
            default=both(False),
            shown=HIDDEN,
        ),
        Key(
            "scallops",
            choice("across", "along", "either"),
            "How scallops lie on it: across, along or either; default across.",
            both('"across"'),
            default=both("across"),
            shown=HIDDEN,
        ),
    ),
    many="many",
    required=True,
)

ORDER = Section(
    "order",
    "What is bought beyond the bare need.",
    (
        Key(
            "spare",
            fields.share,
            "Share of the sheets, rounded up; default 0.10.",
            both("0.10"),
            default=both("0.10"),
        ),
        Key("prove_out", whole(0, 1000), "Sheets for proving the die; default 1.", both("1"), default=both(1)),
        Key(
            "compare",
            fields.tables,
            "Stock sizes to plan again with, to compare.",
            (
                "[{ length = 144, width = 48, price = 92 }]",
                "[{ length = 3600, width = 1200, price = 92 }]",
            ),
            shown=HIDDEN,
        ),
    ),
)
