"""Readers of single values: each answers one question about one value of a job file.

A reader takes the value as TOML gave it and the job's units (None where the file does not say them
rightly: then sizes cannot be judged, only signs), and returns the value inside the program, or raises
`UnitError` with the rule and the remedy. Booleans are never numbers.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from layout.job.model import GOALS
from layout.job.slips import gauge_remedy, near_words, unit_remedy
from layout.units import (
    UNITS,
    UnitError,
    format_fine,
    format_length,
    parse_angle,
    parse_density,
    parse_length,
    parse_stress,
)

Reader = Callable[[object, str | None], Any]

LONGEST = 1e6
"""mm; 1 km: no counter is longer, so a larger figure is a slip (assumed)."""
LONGEST_TEXT = 200
"""Characters of a title or a reason: what a title block holds (assumed)."""

_FINE = 25.4  # mm; limits under this are told in decimals

MONEY_DECIMALS = 4
"""of a price (assumed: finer than any money)"""


def length(low: float = 0.0, high: float = LONGEST, *, least_allowed: bool = False) -> Reader:
    """Return a reader of a length above `low` (at least, where `least_allowed`) and at most `high`, mm.

    >>> length()("3/4 in", "mm")
    19.05
    >>> length()(0, "mm")
    Traceback (most recent call last):
    layout.units.UnitError: this length must be more than 0. Give a larger one.
    """

    def read(value: object, units: str | None) -> float:
        mm = parse_length(value, units or "mm")
        least = low if units or low <= 0 else 0.0
        if mm < least or (mm == least and not least_allowed):
            bound = "at least" if least_allowed else "more than"
            raise UnitError(f"this length must be {bound} {_shown_length(low, units)}", "Give a larger one")
        if units and mm > high:
            rule = f"this length must be at most {_shown_length(high, units)}"
            raise UnitError(rule, "Give a smaller one, or look at its unit")
        return mm

    return read


def sized(least: tuple[float, float]) -> Reader:
    """Return a reader of a length of at least `least`, mm, for an inch job and for a mm job.

    A smaller one is a slip of the unit, so the remedy speaks of that.

    >>> sized((304.8, 300.0))(9, "in")
    Traceback (most recent call last):
    layout.units.UnitError: this length must be at least 1 ft. Look at its unit: ... a bare number is inches.
    """
    plain = length()

    def read(value: object, units: str | None) -> float:
        mm = float(plain(value, units))
        if units and mm < least[UNITS.index(units)]:
            rule = f"this length must be at least {_shown_length(least[UNITS.index(units)], units)}"
            raise UnitError(rule, unit_remedy(units))
        return mm

    return read


def _shown_length(mm: float, units: str | None) -> str:
    if mm == 0 or units is None:
        return f"{mm:g}" if mm == 0 else format_length(mm, "mm")
    return format_fine(mm, units) if 0 < abs(mm) < _FINE else format_length(mm, units)


def text(value: object, units: str | None) -> str:
    """Read one line of text that is not empty.

    >>> text("East hall", None)
    'East hall'
    """
    del units
    if not isinstance(value, str):
        raise UnitError("this must be text", 'Write it between quotes, as "east hall"')
    if not value.strip():
        raise UnitError("this must not be empty", "Write a few words")
    if not value.isprintable() or len(value) > LONGEST_TEXT:
        rule = f"this must be one line of at most {LONGEST_TEXT} plain characters"
        raise UnitError(rule, "Write it shorter, on one line")
    return value.strip()


def choice(
    *options: str, later: tuple[str, ...] = (), other_words: Mapping[str, tuple[str, ...]] | None = None
) -> Reader:
    """Return a reader of one word out of `options`; those of `later` are told apart as not yet known.

    A word that is nearly one of them, or one of `other_words` for them, is told what it may have meant.

    >>> choice("lap", "butt")("butt", None)
    'butt'
    >>> choice("lap", "butt")("Lap", None)
    Traceback (most recent call last):
    layout.units.UnitError: this must be a word known here. Did you mean lap; known are lap · butt.
    """
    known = " · ".join(options)

    def read(value: object, units: str | None) -> str:
        del units
        if isinstance(value, str) and value in later:
            raise UnitError(f"{value} is not yet known", f"Use one of {known}")
        if isinstance(value, str) and value in options:
            return value
        near = near_words(value, options, other_words) if isinstance(value, str) else ()
        if near:
            remedy = f"Did you mean {' or '.join(near)}; known are {known}"
            raise UnitError("this must be a word known here", remedy)
        raise UnitError(f"this must be one of {known}", f'Write it between quotes, as "{options[0]}"')

    return read


def file_format(value: object, units: str | None) -> int:
    """Read the version of the file format, which is 1."""
    del units
    if value != 1 or isinstance(value, bool) or not isinstance(value, int):
        raise UnitError("this program reads format 1", "Write format = 1")
    return 1


def whole(low: int, high: int) -> Reader:
    """Return a reader of a whole number from `low` to `high`, both allowed.

    >>> whole(1, 10)(3, None)
    3
    """

    def read(value: object, units: str | None) -> int:
        del units
        if isinstance(value, bool) or not isinstance(value, int):
            raise UnitError("this must be a whole number", f"Write it bare and without decimals, as {low or 1}")
        if not low <= value <= high:
            raise UnitError(f"this must be from {low} to {high}", "Give a number in between")
        return value

    return read


def gauge(low: int, high: int, thinnest: float, thickest: float) -> Reader:
    """Return a reader of a gauge number; `thinnest` and `thickest`, mm, tell a thickness written for one.

    >>> gauge(1, 40, 0.05, 25.0)(24, "in")
    24
    >>> gauge(1, 40, 0.05, 25.0)(0.024, "in")
    Traceback (most recent call last):
    layout.units.UnitError: this must be a whole number. Write ... 24, or give thickness = 0.024.
    """
    plain = whole(low, high)

    def read(value: object, units: str | None) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            remedy = gauge_remedy(value, units, thinnest, thickest)
            raise UnitError("this must be a whole number", remedy)
        return int(plain(value, units))

    return read


def number(low: float, high: float) -> Reader:
    """Return a reader of a bare number from `low` to `high`, both allowed.

    >>> number(0.0, 1.0)(0.5, None)
    0.5
    """

    def read(value: object, units: str | None) -> float:
        del units
        return _number(value, low, high)

    return read


def money(high: float) -> Reader:
    """Return a reader of a price from 0 to `high`, with at most four decimals: prices are summed in whole parts.

    >>> money(100.0)(71.5, None)
    71.5
    """

    def read(value: object, units: str | None) -> float:
        del units
        price = _number(value, 0, high)
        if round(price, MONEY_DECIMALS) != price:
            rule = f"a price has at most {MONEY_DECIMALS} decimals"
            raise UnitError(rule, f"Round it, as {round(price, MONEY_DECIMALS):.{MONEY_DECIMALS}f}")
        return price

    return read


def _number(value: object, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError("this must be a bare number", f"Write it without quotes or unit, from {low:g} to {high:g}")
    if isinstance(value, float) and not math.isfinite(value):
        raise UnitError("this must be a finite number", f"Give one from {low:g} to {high:g}")
    if not low <= value <= high:
        raise UnitError(f"this must be from {low:g} to {high:g}", "Give a number in between")
    return float(value)


def share(value: object, units: str | None) -> str:
    """Read a share from 0 to 1 as decimal text, so that later rounding is of what was written.

    >>> share(0.1, None), share(1e-5, None)
    ('0.1', '0.00001')
    """
    del units
    return f"{Decimal(repr(_number(value, 0.0, 1.0))):f}"


def yes_no(value: object, units: str | None) -> bool:
    """Read true or false."""
    del units
    if not isinstance(value, bool):
        raise UnitError("this must be true or false", "Write true or false without quotes")
    return value


def point(value: object, units: str | None) -> tuple[float, float]:
    """Read a place in plan, mm, from a pair of lengths.

    >>> point([0, "-1 ft"], "mm")
    (0.0, -304.8)
    """
    if not isinstance(value, list) or len(value) != 2:
        raise UnitError("this must be a pair of lengths", "Write it as [x, y]")
    read = length(-LONGEST, least_allowed=True)
    return read(value[0], units), read(value[1], units)


def span(low: float, high: float) -> Reader:
    """Return a reader of a range of lengths, mm, written as [least, most].

    >>> span(3.0, 1000.0)(["2.70 in", "2.80 in"], "mm")
    (68.58, 71.12)
    """
    one = length(low, high, least_allowed=True)

    def read(value: object, units: str | None) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise UnitError("this must be a pair of lengths", "Write it as [least, most]")
        least, most = one(value[0], units), one(value[1], units)
        if least > most:
            raise UnitError("the first must be at most the second", "Write it as [least, most]")
        return least, most

    return read


def angle(low: float, high: float) -> Reader:
    """Return a reader of an angle above `low` (unless it is negative: at least) to `high` degrees, radians.

    >>> angle(0, 360)(180, None) == math.pi
    True
    """

    def read(value: object, units: str | None) -> float:
        del units
        radians = parse_angle(value)
        if not math.radians(low) <= radians <= math.radians(high) or (low == 0 and radians == 0):
            bound = f"more than {low:g}" if low == 0 else f"at least {low:g}"
            raise UnitError(f"this angle must be {bound} and at most {high:g} degrees", "Give one in between")
        return radians

    return read


def stress(low: float, high: float) -> Reader:
    """Return a reader of a stress or modulus from `low` to `high` MPa.

    >>> stress(1.0, 5000.0)("36 ksi", "mm") == parse_stress(36000, "in")
    True
    """

    def read(value: object, units: str | None) -> float:
        mpa = parse_stress(value, units or "mm")
        if mpa <= 0 or (units and not low <= mpa <= high):
            rule = f"this must be from {low:g} to {high:g} MPa"
            raise UnitError(rule, "Look at the unit: bare numbers are psi in an inch job, MPa in a mm job")
        return mpa

    return read


def density(value: object, units: str | None) -> float:
    """Read a density, kg/m³, from 500 to 25 000: every metal that is rolled into sheet."""
    found = parse_density(value, units or "mm")
    if found <= 0 or (units and not 500 <= found <= 25000):
        rule = "this must be from 500 to 25000 kg/m³"
        raise UnitError(rule, "Look at the unit: bare numbers are lb/in³ in an inch job, kg/m³ in a mm job")
    return found


def largest_panel(value: object, units: str | None) -> int | float:
    """Read the largest panel: a whole number is scallops (int), anything else a length (float), mm.

    >>> largest_panel(30, "in"), largest_panel("9 ft", "in")
    (30, 2743.2)
    """
    if isinstance(value, int) and not isinstance(value, bool):
        return int(whole(1, 100000)(value, units))
    return float(length()(value, units))


def not_yet(name: str, what: str) -> UnitError:
    """Make the refusal of a name that is planned but not read yet.

    >>> raise not_yet("die", "the forming tool")
    Traceback (most recent call last):
    layout.units.UnitError: die (the forming tool) is not yet known. Leave it out for now.
    """
    return UnitError(f"{name} ({what}) is not yet known", "Leave it out for now")


def goals(value: object, units: str | None) -> tuple[str, ...]:
    """Read the goals in the order of their weight: each at most once, at least one.

    >>> goals(["worst_seam", "panels"], None)
    ('worst_seam', 'panels')
    """
    del units
    listed = value if isinstance(value, list) else []
    if not listed or any(goal not in GOALS for goal in listed):
        rule = f"this must be a list of goals out of {' · '.join(GOALS)}"
        raise UnitError(rule, f"Write it as {json.dumps(GOALS[:2])}")
    if len(set(listed)) < len(listed):
        raise UnitError("a goal is met once", "Name each goal at most once")
    return tuple(listed)


def tables(value: object, units: str | None) -> list[object]:
    """Read a list whose items are tables; the items themselves are read by their own keys."""
    del units
    if not isinstance(value, list):
        raise UnitError("this must be a list of tables", "Write it as [{ … }, { … }]")
    return value


def shown(value: object) -> str:
    """Show a value as the job file has it, shortened; never raises.

    >>> shown("lapp"), shown(True), shown([1, 2]), shown({"a": 1})
    ('"lapp"', 'true', '[1, 2]', 'a table')
    """
    if isinstance(value, bool):
        found = "true" if value else "false"
    elif isinstance(value, int) and value.bit_length() > 256:
        found = "a number of very many digits"  # Python refuses to write those out
    elif isinstance(value, str):
        found = "".join(char if char.isprintable() else "�" for char in json.dumps(value, ensure_ascii=False))
    elif isinstance(value, dict):
        found = "a table"
    elif isinstance(value, list):
        short = len(value) <= 4 and not any(isinstance(item, list | dict) for item in value)
        found = f"[{', '.join(shown(item) for item in value)}]" if short else f"a list of {len(value)}"
    else:
        found = str(value)
    return found if len(found) <= 60 else found[:59] + "…"
