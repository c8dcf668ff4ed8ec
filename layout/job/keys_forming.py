"""The keys of forming and buying: die, press, limits, coating, costs, and stock sizes to compare."""

from __future__ import annotations

from layout.errors import JobFaults
from layout.job import fields
from layout.job.fields import Reader, choice, length, money, number, whole
from layout.job.key import HIDDEN, Key, Section, both
from layout.job.model_forming import Limit, PressSpec
from layout.metal.stock_tools import parse_tool
from layout.units import KG_PER_POUND, MM_PER_INCH, UnitError, parse_force

STRONGEST = 1e8
"""N; past ten thousand tonnes no press stands in a shop (assumed)."""
MOST_PULL = 2e4
"""N; past this no screw holds a sheet (assumed)."""
MOST_SCALLOPS = 1000
"""Measured over at once; more is a slip (assumed)."""
DEAREST = 1e9
"""Money; past this a price is a slip (assumed)."""
OPENINGS = ("oven", "door", "elevator", "truck")
"""What panels must pass through, by the keys of [limits]."""


def force(value: object, units: str | None) -> float:
    """Read a force above 0, N.

    >>> force("30 ton", "in") == 60000 * force(1, "in")
    True
    """
    newtons = parse_force(value, units or "mm")
    if newtons <= 0 or (units and newtons > STRONGEST):
        rule = f"a force must be more than 0 and at most {STRONGEST / 1000:g} kN"
        raise UnitError(rule, "Look at the unit: bare numbers are lbf in an inch job, kN in a mm job")
    return newtons


def pull(value: object, units: str | None) -> float:
    """Read what a fixing holds, N: above 0, and what a screw in a counter can hold.

    >>> pull("250 N", "mm")
    250.0
    """
    newtons = force(value, units)
    if units and newtons > MOST_PULL:
        rule = f"a fixing holds at most {MOST_PULL / 1000:g} kN"
        raise UnitError(rule, "Look at the unit: bare numbers are lbf in an inch job, kN in a mm job")
    return newtons


def tool(value: object, units: str | None) -> str:
    """Read a stock tool's name, and give it as it is known.

    >>> tool("3 IN  bar", "in")
    '3 in bar'
    """
    name = fields.text(value, units)
    try:
        return parse_tool(name).name
    except JobFaults as refused:
        fault = refused.faults[0]
        raise UnitError(fault.rule, fault.remedy) from None


def table(value: object, units: str | None) -> list[object]:
    """Read one inline table, as a list of one; it is read by its own keys."""
    del units
    if not isinstance(value, dict):
        raise UnitError("this must be a table", "Write it as { key = value, … }")
    return [value]


def opening(name: str) -> Reader:
    """Return a reader of what panels pass through: a length, or [length, height].

    >>> opening("oven")("9 ft", "in").length, opening("door")([2000, 900], "mm").height
    (2743.2, 900.0)
    """
    one = length()

    def read(value: object, units: str | None) -> Limit:
        if not isinstance(value, list):
            return Limit(name, one(value, units))
        if len(value) != 2:
            raise UnitError("this must be a length, or a pair of lengths", "Write it as [length, height]")
        return Limit(name, one(value[0], units), one(value[1], units))

    return read


def weight(value: object, units: str | None) -> float:
    """Read a weight above 0 as kg; a bare number is pounds in an inch job.

    >>> weight(23, "mm"), round(weight(50, "in"), 2)
    (23.0, 22.68)
    """
    found = float(number(1e-6, 1e5)(value, units))
    return found * float(KG_PER_POUND) if units == "in" else found


def money_a_weight(value: object, units: str | None) -> float:
    """Read money a pound (inch job) or a kilogram as money a kilogram."""
    found = float(number(0, DEAREST)(value, units))
    return found / float(KG_PER_POUND) if units == "in" else found


def film(value: object, units: str | None) -> float:
    """Read a film's thickness, mm: bare it is mils (thousandths of an inch) in an inch job, µm in a mm job.

    >>> film(2.5, "in"), film(60, "mm")
    (0.0635, 0.06)
    """
    found = float(number(0.1, 1000)(value, units))
    return found * float(MM_PER_INCH) / 1000 if units == "in" else found / 1000


DIE = Section(
    "die",
    "The forming tool; left out, one made for the drawn scallop is worked out.",
    (
        Key("tool", tool, "A stock tool: the job is planned with its scallop.", both('"3 in bar"'), shown=HIDDEN),
        Key(
            "way",
            choice("free", "bottomed"),
            "Formed free (springs back) or bottomed (set by the tool); default free.",
            both('"free"'),
            default=both("free"),
            shown=HIDDEN,
        ),
        Key(
            "measured",
            table,
            "What the first-off measures: the job is planned with it.",
            (
                "{ scallops = 10, length = 27.5, depth = 0.625, flat = 31.2 }",
                "{ scallops = 10, length = 700, depth = 16, flat = 795 }",
            ),
            shown=HIDDEN,
        ),
    ),
)

MEASURED = Section(
    "die.measured",
    "The first-off as measured.",
    (
        Key(
            "scallops",
            whole(1, MOST_SCALLOPS),
            "Over which it was measured, valley to valley.",
            both("10"),
            required=True,
        ),
        Key("length", length(), "Over them at mid-height, formed.", ("27.5", "700"), required=True),
        Key("depth", length(), "Valley to crest, at mid-metal.", ("0.625", "16"), required=True),
        Key("flat", length(), "Of the same metal between scribed lines, before.", ("31.2", "795"), required=True),
        Key("length_top", length(), "As length, at the top edge; default as length.", ("27.51", "700.2")),
        Key("length_bottom", length(), "As length, at the bottom edge; default as length.", ("27.49", "699.8")),
    ),
)

PRESS = Section(
    "press",
    "The press; left out, its force is worked out all the same.",
    (
        Key("capacity", force, "Force of the ram; default not known.", ('"30 ton"', '"300 kN"'), shown=HIDDEN),
        Key("bed", length(), "Length of the bed; default not known.", ('"6 ft"', "2000"), shown=HIDDEN),
        Key(
            "between_uprights",
            length(),
            "Clear width between the uprights; default not known.",
            ('"5 ft"', "1500"),
            shown=HIDDEN,
        ),
        Key("daylight", length(), "Open height over the bed; default not known.", ("14", "350"), shown=HIDDEN),
        Key(
            "speed",
            number(0.01, 1000),
            "Strokes a minute, fed by hand; default 3 (assumed).",
            both("3"),
            default=both(PressSpec.speed),
            shown=HIDDEN,
        ),
        Key(
            "grooves",
            whole(1, 20),
            "Of the die; default 3, as is usual.",
            both("3"),
            default=both(PressSpec.grooves),
            shown=HIDDEN,
        ),
    ),
)

LIMITS = Section(
    "limits",
    "What panels must pass through, as overall length or [length, height]; no panel is longer.",
    (
        Key("oven", opening("oven"), "Coating oven; default no limit.", ('"9 ft"', "2750"), shown=HIDDEN),
        Key("door", opening("door"), "Narrowest way in; default no limit.", ('["9 ft", 80]', "2750"), shown=HIDDEN),
        Key("elevator", opening("elevator"), "Default no limit.", ('"8 ft"', "2400"), shown=HIDDEN),
        Key("truck", opening("truck"), "Bed of the truck; default no limit.", ('"10 ft"', "3000"), shown=HIDDEN),
        Key(
            "lift",
            weight,
            "Pounds or kilograms that one person lifts; default 51 lb, 23 kg.",
            ("51", "23"),
            shown=HIDDEN,
        ),
    ),
)

COATING = Section(
    "coating",
    "Powder on the finished panels; left out, nothing is coated.",
    (
        Key("faces", whole(1, 2), "Faces that are coated, 1 or 2; the others need it.", both("1"), shown=HIDDEN),
        Key(
            "transfer",
            number(0.01, 1),
            "Share of the powder that stays on; default 0.6 (assumed).",
            both("0.6"),
            shown=HIDDEN,
        ),
        Key(
            "gravity",
            number(0.5, 5),
            "Specific gravity of the powder; default 1.5 (assumed).",
            both("1.5"),
            shown=HIDDEN,
        ),
        Key("film", film, "Film in mils or µm; default 2.5 mil, 60 µm (assumed).", ("2.5", "60"), shown=HIDDEN),
    ),
)

COSTS = Section(
    "costs",
    "Prices beside those of sheets and panels, in one money; what is left out is not priced.",
    (
        Key("hour", number(0, DEAREST), "An hour at the press.", both("85"), shown=HIDDEN),
        Key("set_up", number(0, 1e4), "Hours to set the die; default 0.", both("2"), shown=HIDDEN),
        Key("fixing", number(0, DEAREST), "A fixing.", both("0.12"), shown=HIDDEN),
        Key("powder", money_a_weight, "A pound or a kilogram of powder.", ("6.50", "14"), shown=HIDDEN),
        Key("delivery", number(0, DEAREST), "Delivery in all.", both("120"), shown=HIDDEN),
    ),
)

COMPARE = Section(
    "order.compare",
    "A stock size to plan again with, all else alike.",
    (
        Key("length", fields.sized((304.8, 300.0)), "Of the sheet.", ("144", "3600"), required=True),
        Key("width", fields.sized((304.8, 300.0)), "Of the sheet.", ("48", "1250"), required=True),
        Key("price", money(DEAREST), "Money a sheet; default unpriced.", both("92")),
    ),
    many="many",
)
