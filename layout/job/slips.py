"""Slips that people often make, and the remedies that name them: words, gauges, units, decimals."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from difflib import SequenceMatcher
from typing import Final

from layout.metal.gauges import GAUGES
from layout.units import UNITS, parse_length

NEAR: Final = 0.6
"""Likeness from which a known word is offered for an unknown one, 1 being the same (assumed)."""

_TIED = 0.05  # likeness under the nearest word's by which another is offered too (assumed)
_SHORTEST_START = 2  # letters from which the beginning of a word is taken for it (assumed)
_LONGEST_WORD = 60  # characters compared; no known word is longer
_WRITTEN_GAUGE = re.compile(r"(?:ga(?:uge)?\.? ?|#)?([0-9]{1,2}) ?(?:ga(?:uge)?\.?)?", re.IGNORECASE)
_IN_QUOTES_OR_TOLD = re.compile(r"\"[^\"]*\"|'[^']*'|#.*")
_UNITS_OF_LENGTH = r"(?:ft|foot|feet|in|inch|inches|mm|cm|m)\b|['\"′″]"
_COMMA_OR_UNIT = re.compile(rf"=\s*[-+]?(?=[0-9])[0-9\s./-]*(?:,\s*[0-9]|{_UNITS_OF_LENGTH})")


def near_words(
    word: str, options: tuple[str, ...], other_words: Mapping[str, tuple[str, ...]] | None = None
) -> tuple[str, ...]:
    """Give the options that a word may have been meant as, in their own order; capitals do not count.

    The same word goes before one that begins alike, and that before one that is spelt nearly alike;
    `other_words` are names of the trade for the options.

    >>> near_words("Aluminum", ("steel", "aluminium-3003", "aluminium-5052"))
    ('aluminium-3003', 'aluminium-5052')
    >>> near_words("tin", ("steel", "zinc"))
    ()
    """
    plain = word.strip().casefold()[:_LONGEST_WORD]
    same = tuple(option for option in options if option.casefold() == plain)
    if same or plain in (other_words or {}):
        return same or (other_words or {})[plain]
    begun = tuple(option for option in options if _begins(plain, option) or _begins(option, plain))
    if begun:
        longest = max(len(option) for option in begun)
        # Of options that the word goes on from, the longest: arc-flats is arc-flat and not arc.
        return tuple(option for option in begun if _begins(plain, option) or len(option) == longest)
    likeness = {option: SequenceMatcher(None, plain, option.casefold()).ratio() for option in options}
    least = max(NEAR, max(likeness.values(), default=0.0) - _TIED)
    return tuple(option for option in options if likeness[option] >= least)


def _begins(start: str, word: str) -> bool:
    return len(start) >= _SHORTEST_START and word.startswith(start)


def gauge_remedy(value: object, units: str | None, thinnest: float, thickest: float) -> str:
    """Say what to write for a gauge that is no whole number: its neighbours, or the thickness it may be.

    `thinnest` and `thickest` are the least and largest thickness, mm.

    >>> gauge_remedy(23.5, "in", 0.05, 25.0)
    'Write 23 or 24, or give thickness = …'
    >>> gauge_remedy(0.024, "in", 0.05, 25.0)
    'Write a whole gauge as 24, or give thickness = 0.024'
    """
    if isinstance(value, str):
        written = _WRITTEN_GAUGE.fullmatch(value.strip())
        return f"Write it bare and without decimals, as {int(written[1]) if written else 24}"
    if not isinstance(value, float) or not math.isfinite(value):
        return "Write it bare and without decimals, as 24"
    below, above = math.floor(value), math.ceil(value)
    if below == above:
        return f"Write it bare and without decimals, as {below if below in GAUGES else 24}"
    if below in GAUGES and above in GAUGES:
        return f"Write {below} or {above}, or give thickness = …"
    fits = units is not None and thinnest <= parse_length(value, units) <= thickest
    return f"Write a whole gauge as 24, or give thickness = {value if fits else '…'}"


def unit_remedy(units: str) -> str:
    """Say how a length is written where one is so small that its unit must be another.

    >>> unit_remedy("mm")
    'Look at its unit: 24 ft is written "24 ft", a bare number is millimetres'
    """
    bare = ("inches", "millimetres")[UNITS.index(units)]
    return f'Look at its unit: 24 ft is written "24 ft", a bare number is {bare}'


def line_remedy(line: str) -> str | None:
    """Say what to write for a line with a decimal comma or a length out of quotes; None where it has none.

    >>> line_remedy("height = 36,5  # of the face") == line_remedy("height = 3 ft")
    True
    >>> line_remedy("height = = 3  # was 3 ft") is None
    True
    """
    if not _COMMA_OR_UNIT.search(_IN_QUOTES_OR_TOLD.sub("", line)):
        return None
    return 'Write decimals with a point (36.5), and put a length with a unit in quotes ("3 ft")'
