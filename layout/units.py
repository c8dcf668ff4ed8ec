"""The one place that converts: what people write and read, to and from mm, N, MPa, kg and radians.

Lengths are worked out as exact fractions and rounded once, so ``2.75`` and ``"2 3/4 in"`` of an inch job
are the same number. `units` is always the job's: ``"in"`` or ``"mm"``.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

UNITS = ("in", "mm")
"""The units a job may be written in."""

MM_PER_INCH = Fraction(127, 5)
"""Exact. International yard and pound agreement, 1959: 1 in = 25.4 mm."""

KG_PER_POUND = Fraction(45359237, 10**8)
"""Exact. International yard and pound agreement, 1959: 1 lb = 0.45359237 kg."""

N_PER_LBF = KG_PER_POUND * Fraction(980665, 10**5)
"""Exact. The pound under standard gravity 9.80665 m/s² (3rd CGPM, 1901): 4.4482216152605 N."""

MPA_PER_PSI = N_PER_LBF / MM_PER_INCH**2
"""Exact by the two above; N/mm² is MPa. About 0.00689476."""

_LONGEST = 64  # characters of text that are looked at; a length never needs more
_NOISE = 9  # decimals kept before a tie is decided, so that float noise cannot turn one


class UnitError(ValueError):
    """A value that is not the measure it should be: the rule it breaks and the remedy."""

    def __init__(self, rule: str, remedy: str) -> None:
        self.rule = rule
        self.remedy = remedy
        super().__init__(f"{rule}. {remedy}.")


@dataclass(frozen=True)
class _Measure:
    """A kind of measure: its units by name with their size in the inside unit, and what a bare number is."""

    name: str
    sizes: dict[str, Fraction]
    bare: dict[str, str]
    example: str


_LENGTH = _Measure(
    "a length",
    dict.fromkeys(("in", "inch", "inches", '"'), MM_PER_INCH)
    | dict.fromkeys(("ft", "foot", "feet", "'"), 12 * MM_PER_INCH)
    | dict.fromkeys(("mm", "millimetres", "millimeters"), Fraction(1))
    | dict.fromkeys(("cm", "centimetres", "centimeters"), Fraction(10))
    | dict.fromkeys(("m", "metres", "meters"), Fraction(1000)),
    {"in": "in", "mm": "mm"},
    "24 ft 3 1/2 in, 41 1/2, 620 mm or 6.2 m",
)
_STRESS = _Measure(
    "a stress",
    {"psi": MPA_PER_PSI, "ksi": 1000 * MPA_PER_PSI, "mpa": Fraction(1), "gpa": Fraction(1000)},
    {"in": "psi", "mm": "mpa"},
    "36000 psi, 36 ksi, 250 MPa or 203 GPa",
)
_FORCE = _Measure(
    "a force",
    {"lbf": N_PER_LBF, "kn": Fraction(1000), "n": Fraction(1)} | dict.fromkeys(("ton", "tons"), 2000 * N_PER_LBF),
    {"in": "lbf", "mm": "kn"},
    "4000 lbf, 2 ton, 18 kN or 18000 N",
)
_ANGLE = _Measure(
    "an angle",
    dict.fromkeys(("deg", "degree", "degrees", "°"), Fraction(1)),
    {"in": "deg", "mm": "deg"},
    "90 or 22.5 deg",
)
_DENSITY = _Measure(
    "a density",
    {
        "kg/m3": Fraction(1),
        "g/cm3": Fraction(1000),
        "lb/in3": KG_PER_POUND / (MM_PER_INCH / 1000) ** 3,
        "lb/ft3": KG_PER_POUND / (12 * MM_PER_INCH / 1000) ** 3,
    },
    {"in": "lb/in3", "mm": "kg/m3"},
    "0.284 lb/in3, 490 lb/ft3 or 7850 kg/m3",
)

_SHOWN = {
    "fine": ((MM_PER_INCH, "in", 4), (Fraction(1), "mm", 3)),
    "weight": ((KG_PER_POUND, "lb", 1), (Fraction(1), "kg", 1)),
    "area": (((12 * MM_PER_INCH) ** 2, "ft²", 1), (Fraction(10**6), "m²", 1)),
    "density": ((_DENSITY.sizes["lb/in3"], "lb/in³", 3), (Fraction(1), "kg/m³", 0)),
    "stress": ((1000 * MPA_PER_PSI, "ksi", 1), (Fraction(1), "MPa", 0)),
    "force": ((N_PER_LBF, "lbf", 0), (Fraction(1000), "kN", 3)),
}
"""What is shown of each measure: size of its unit in the inside one, its sign, decimals; by `UNITS`."""

_FRACTION = r"[0-9]+/[0-9]+"
_ADDS = r"(?: - |-| )"  # a hyphen adds when it stands tight or free on both sides; " -1" would be a minus
_AMOUNT = rf"(?:[0-9]+{_ADDS}{_FRACTION}|{_FRACTION}|[0-9]+\.?[0-9]*|\.[0-9]+)"
_ONE = re.compile(rf"(?P<sign>[+-] ?)?(?P<amount>{_AMOUNT}) ?(?P<unit>['\"°]|[a-z]+(?:/[a-z]+3)?\.?)?")
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>[+-] ?)?(?P<feet>{_AMOUNT}) ?(?:ft\.?|foot|feet|')(?:{_ADDS})?"
    rf"(?P<inches>{_AMOUNT}) ?(?:in\.?|inch|inches|\")"
)
_LOOKALIKES = str.maketrans(
    dict.fromkeys("′’‘ʹ´`", "'")
    | dict.fromkeys("″”“ʺ", '"')
    | dict.fromkeys("−‐‑‒–—", "-")
    | dict.fromkeys("⁄∕", "/")
    | {"²": "2", "³": "3"}
)


def parse_length(value: object, units: str) -> float:
    r"""Read a length in mm from a bare number in `units` or from text.

    Raises
    ------
    UnitError
        If the value is no length, or could be read in more than one way.

    Examples
    --------
    >>> parse_length(2.75, "in"), parse_length("24' 3-1/2\"", "mm"), parse_length("6.2 m", "in")
    (69.85, 7404.1, 6200.0)
    >>> parse_length("12 ft 14 in", "in")
    Traceback (most recent call last):
    ...
    layout.units.UnitError: beside feet, inches are under 12. Carry whole feet over, or write inches alone.
    """
    if isinstance(value, str):
        text = _tidy(value, _LENGTH)
        both = _FEET_AND_INCHES.fullmatch(text)
        if both:
            return _to_float(_feet_and_inches(both) * MM_PER_INCH, _LENGTH)
    return _parse(value, units, _LENGTH)


def parse_stress(value: object, units: str) -> float:
    """Read a stress or modulus in MPa; bare it is psi in an inch job, MPa in a mm job.

    >>> parse_stress("203 GPa", "in"), round(parse_stress(36000, "in"), 1)
    (203000.0, 248.2)
    """
    return _parse(value, units, _STRESS)


def parse_force(value: object, units: str) -> float:
    """Read a force in N; bare it is lbf in an inch job, kN in a mm job; a ton is 2 000 lbf.

    >>> parse_force(18, "mm")
    18000.0
    >>> parse_force("1 ton", "mm") == parse_force(2000, "in")
    True
    """
    return _parse(value, units, _FORCE)


def parse_density(value: object, units: str) -> float:
    """Read a density in kg/m³; bare it is lb/in³ in an inch job, kg/m³ in a mm job.

    >>> parse_density("2.7 g/cm³", "in")
    2700.0
    """
    return _parse(value, units, _DENSITY)


def parse_angle(value: object) -> float:
    """Read an angle in radians from degrees.

    >>> parse_angle(180) == math.pi
    True
    """
    return math.radians(_parse(value, "mm", _ANGLE))


def format_length(mm: float, units: str, *, precision: int | None = None) -> str:
    """Write a length: feet, inches and a fraction, or millimetres; ties go away from zero.

    `precision` is parts of an inch, by default 16, or decimals of a millimetre, by default 1, left out
    where zero.

    Examples
    --------
    >>> format_length(7404.1, "in"), format_length(304.799, "in"), format_length(-12.7, "in")
    ('24 ft 3 1/2 in', '1 ft', '-1/2 in')
    >>> format_length(6200.04, "mm"), format_length(6200.05, "mm")
    ('6200 mm', '6200.1 mm')
    """
    if _known(units) == "mm":
        text = _decimal(_exact(mm), 1 if precision is None else precision)
        return (text.rstrip("0").rstrip(".") if "." in text else text) + " mm"
    parts = 16 if precision is None else precision
    count = _nearest(_exact(mm) / MM_PER_INCH * parts)
    feet, rest = divmod(abs(count), 12 * parts)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        words.append(_inches(Fraction(rest, parts)))
    return ("-" if count < 0 else "") + " ".join(words)


def format_inches(mm: float, *, precision: int = 16) -> str:
    """Write a length in inches and a fraction, without feet.

    >>> format_inches(1054.1)
    '41 1/2 in'
    """
    count = _nearest(_exact(mm) / MM_PER_INCH * precision)
    return ("-" if count < 0 else "") + _inches(Fraction(abs(count), precision))


def format_fine(mm: float, units: str, *, places: int | None = None) -> str:
    """Write a small length in decimals: 4 of an inch or 3 of a millimetre, for thickness, pitch and lift.

    >>> format_fine(0.60706, "in"), format_fine(0.60706, "mm")
    ('0.0239 in', '0.607 mm')
    """
    return _show("fine", mm, units, places)


def format_weight(kg: float, units: str, *, places: int | None = None) -> str:
    """Write a weight in pounds or kilograms.

    >>> format_weight(10.0, "in"), format_weight(10.0, "mm")
    ('22.0 lb', '10.0 kg')
    """
    return _show("weight", kg, units, places)


def format_area(mm2: float, units: str, *, places: int | None = None) -> str:
    """Write an area given in mm² in square feet or square metres.

    >>> format_area(1e6, "in"), format_area(1e6, "mm")
    ('10.8 ft²', '1.0 m²')
    """
    return _show("area", mm2, units, places)


def format_density(kg_m3: float, units: str) -> str:
    """Write a density in pounds per cubic inch or kilograms per cubic metre.

    >>> format_density(7850, "in"), format_density(7850, "mm")
    ('0.284 lb/in³', '7850 kg/m³')
    """
    return _show("density", kg_m3, units)


def format_stress(mpa: float, units: str) -> str:
    """Write a stress in ksi or MPa.

    >>> format_stress(250, "in"), format_stress(250, "mm")
    ('36.3 ksi', '250 MPa')
    """
    return _show("stress", mpa, units)


def format_force(newtons: float, units: str) -> str:
    """Write a force in whole pounds-force, or kilonewtons to the newton.

    >>> format_force(10909, "in"), format_force(10909, "mm")
    ('2452 lbf', '10.909 kN')
    """
    return _show("force", newtons, units)


def format_angle(radians: float, *, places: int = 1) -> str:
    """Write an angle in degrees.

    >>> format_angle(math.pi / 8)
    '22.5°'
    """
    return f"{_decimal(_exact(math.degrees(radians)), places)}°"


def to_units(mm: float, units: str) -> float:
    """Give a length as a number in the job's units, for files that other programs read.

    >>> to_units(69.85, "in")
    2.75
    """
    return mm if _known(units) == "mm" else float(_exact(mm) / MM_PER_INCH)


def _show(measure: str, value: float, units: str, places: int | None = None) -> str:
    size, sign, usual = _SHOWN[measure][UNITS.index(_known(units))]
    return f"{_decimal(_exact(value) / size, usual if places is None else places)} {sign}"


def _known(units: str) -> str:
    if units not in UNITS:
        raise UnitError("units are in or mm", 'Write units = "in" or units = "mm"')
    return units


def _parse(value: object, units: str, measure: _Measure) -> float:
    if isinstance(value, str):
        return _to_float(_amount_with_unit(_tidy(value, measure), units, measure), measure)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError(f"this must be {measure.name}", f"Write it as {measure.example}")
    if not math.isfinite(value if isinstance(value, float) else 0.0):
        raise UnitError(f"{measure.name} is a finite number", f"Write it as {measure.example}")
    size = measure.sizes[measure.bare[_known(units)]]
    # By its shortest decimal, so that 0.0239 is what was written and not its binary neighbour.
    return _to_float(_exact(value) * size, measure)


def _exact(value: float) -> Fraction:
    return Fraction(value) if isinstance(value, int) else Fraction(repr(float(value)))


def _to_float(exact: Fraction, measure: _Measure) -> float:
    try:
        return float(exact)
    except OverflowError:
        raise UnitError(f"{measure.name} of this size cannot be", "Look at the number of digits") from None


def _tidy(text: str, measure: _Measure) -> str:
    """One space at most, plain quotes, hyphens and fractions, small letters."""
    if len(text) > _LONGEST:
        raise UnitError(f"{measure.name} has at most {_LONGEST} characters", f"Write {measure.example}")
    plain = ""
    for char in text.translate(_LOOKALIKES):
        spelt = unicodedata.normalize("NFKC", char).translate(_LOOKALIKES)
        # ½ after a digit is a fraction beside a whole number: 41½ must not become 411/2.
        plain += f" {spelt}" if "/" in spelt and spelt != "/" and plain[-1:].isdigit() else spelt
    spaced = " ".join(plain.lower().replace("''", '"').split())
    return spaced.replace(" / ", "/")


def _amount_with_unit(text: str, units: str, measure: _Measure) -> Fraction:
    found = _ONE.fullmatch(text)
    if not found:
        raise _explain(text, measure)
    unit = (found["unit"] or measure.bare[_known(units)]).removesuffix(".")
    if unit not in measure.sizes:
        known = ", ".join(name for name in measure.sizes if len(name) <= 6 and name not in "'\"°")
        raise UnitError(f"{unit} is no known unit of {measure.name.split()[-1]}", f"Use one of {known}")
    return (-1 if "-" in (found["sign"] or "") else 1) * _amount(found["amount"]) * measure.sizes[unit]


def _feet_and_inches(found: re.Match[str]) -> Fraction:
    """Inches in all."""
    feet, inches = _amount(found["feet"]), _amount(found["inches"])
    if feet.denominator != 1:
        raise UnitError("feet beside inches are whole", "Write whole feet, then the inches")
    if inches >= 12:
        raise UnitError("beside feet, inches are under 12", "Carry whole feet over, or write inches alone")
    return (12 * feet + inches) * (-1 if "-" in (found["sign"] or "") else 1)


def _amount(text: str) -> Fraction:
    """Read ``41``, ``41.5``, ``1/2``, ``41 1/2`` or ``41-1/2``."""
    if "/" not in text:
        return Fraction(text.removesuffix(".") if not text.startswith(".") else f"0{text}")
    whole, part = re.fullmatch(rf"(?:([0-9]+){_ADDS})?({_FRACTION})", text).groups()  # type: ignore[union-attr]
    if int(part.partition("/")[2]) == 0:
        raise UnitError("a fraction's lower number is at least 1", "Write it as 1/2 or 3/16")
    if whole is not None and Fraction(part) >= 1:
        raise UnitError("a fraction beside a whole number is under 1", "Write it as 3 1/2")
    return int(whole or 0) + Fraction(part)


def _explain(text: str, measure: _Measure) -> UnitError:
    """Say why text is no measure, as closely as can be told."""
    write = f"Write it as {measure.example}"
    if not text:
        return UnitError(f"{measure.name} is not empty", write)
    if "," in text:
        return UnitError("decimals have a point, thousands have nothing between", "Write 1.5 or 1200")
    if re.search(r"[^-+] [-+][0-9.]|[0-9][^-+]*[+]|--", text):
        return UnitError("a sign inside can be read in two ways", "Put it before all, or - tight to add")
    if len(re.findall(_AMOUNT, text)) > 1:
        return UnitError(f"several numbers do not make {measure.name} without units", write)
    return UnitError(f"this cannot be read as {measure.name}", write)


def _nearest(exact: Fraction) -> int:
    """Nearest whole number, ties away from zero."""
    steadied = round(abs(exact), _NOISE)
    return math.floor(steadied + Fraction(1, 2)) * (1 if exact >= 0 else -1)


def _decimal(exact: Fraction, places: int) -> str:
    count = _nearest(exact * 10**places)
    whole, rest = divmod(abs(count), 10**places)
    return ("-" if count < 0 else "") + (f"{whole}.{rest:0{places}d}" if places else f"{whole}")


def _inches(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    words = ([f"{whole}"] if whole or not rest else []) + ([f"{rest}"] if rest else [])
    return " ".join([*words, "in"])
