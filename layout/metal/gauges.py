"""Gauge numbers and the thickness that each trade means by them.

A gauge is a number in a family's own table, so 20 gauge is .0359 in of steel, .0396 in galvanised, .0375 in
stainless, .0320 in aluminium. Three families are defined by weight in ounces a square foot, one by a
formula, zinc by a list that runs the other way (a higher number is thicker).

Density: the two steel families turn weight into thickness at 41.82 lb/ft² per inch. That is 8039 kg/m³,
2.4 % above the 7850 kg/m³ of steel, because it allows for sheets that run over size. A sheet weighed as
thickness × 7850 kg/m³ is therefore 2.4 % lighter than its nominal gauge weight. `sheet_weight` uses the
density it is given, `gauge_weight` the family's nominal weight; say which one is shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from layout.errors import Fault, JobFaults
from layout.units import KG_PER_POUND, MM_PER_INCH

STEEL_RULE: Final = Fraction("41.82")
"""lb/ft² per inch of thickness; manufacturers' standard gauge for sheet steel (gauge tables)"""

IRON_RULE: Final = Fraction(40)
"""lb/ft² per inch of thickness: wrought iron at 480 lb/ft³; 15 U.S.C. §206"""

ZINC_COATING: Final = Fraction("2.5")
"""oz/ft² that the galvanised gauge adds to the same number's weight (gauge tables: 2.656 − 2.5 lb at 16)"""

GAUGES: Final = range(10, 31)
"""Gauge numbers kept: what a hand or press brake shop forms"""

OUNCES: Final[Mapping[int, int]] = dict(
    zip(
        GAUGES,
        (90, 80, 70, 60, 50, 45, 40, 36, 32, 28, 24, 22, 20, 18, 16, 14, 12, 11, 10, 9, 8),
        strict=True,
    )
)
"""oz/ft² of each gauge number; 15 U.S.C. §206, kept by the steel families"""

ZINC: Final[Mapping[int, int]] = dict(
    zip(range(10, 25), (20, 24, 28, 32, 36, 40, 45, 50, 55, 60, 70, 80, 90, 100, 125), strict=True)
)
"""thousandths of an inch, American zinc gauge; from memory: the mill's list decides"""


@dataclass(frozen=True)
class Family:
    """A gauge family: its thicknesses and where they come from."""

    name: str
    source: str
    inches: Mapping[int, Fraction]
    """in, by gauge number"""
    ounces: Mapping[int, Fraction] | None
    """oz/ft², the nominal weight; None where the family is not defined by weight"""


def _brown_and_sharpe(gauge: int) -> Fraction:
    """Return the thickness (in): 0.005·92^((36 − n)/39), to .0001 in as the standard rounds it."""
    return Fraction(f"{0.005 * 92 ** ((36 - gauge) / 39):.4f}")


def _by_weight(ounces: Mapping[int, Fraction], rule: Fraction, places: int | None) -> dict[int, Fraction]:
    exact = {gauge: weight / 16 / rule for gauge, weight in ounces.items()}
    return exact if places is None else {gauge: round(inches, places) for gauge, inches in exact.items()}


_PLAIN = {gauge: Fraction(weight) for gauge, weight in OUNCES.items()}
_COATED = {gauge: weight + ZINC_COATING for gauge, weight in _PLAIN.items()}

MANUFACTURERS: Final = Family(
    "manufacturers' standard",
    "manufacturers' standard gauge for sheet steel, 41.82 lb/ft² per inch, to .0001 in",
    _by_weight(_PLAIN, STEEL_RULE, 4),
    _PLAIN,
)
GALVANISED: Final = Family(
    "galvanised sheet",
    "galvanised sheet gauge: the same number's weight and 2.5 oz/ft², at 41.82 lb/ft² per inch, to .0001 "
    "in, coating included",
    _by_weight(_COATED, STEEL_RULE, 4),
    _COATED,
)
US_STANDARD: Final = Family(
    "U.S. standard",
    "U.S. standard gauge, 15 U.S.C. §206, 40 lb/ft² per inch",
    _by_weight(_PLAIN, IRON_RULE, None),
    _PLAIN,
)
BROWN_SHARPE: Final = Family(
    "Brown & Sharpe",
    "Brown & Sharpe (American wire) gauge, ASTM B258 (from memory), to .0001 in",
    {gauge: _brown_and_sharpe(gauge) for gauge in GAUGES},
    None,
)
AMERICAN_ZINC: Final = Family(
    "American zinc",
    "American zinc gauge, a higher number is thicker (from memory)",
    {gauge: Fraction(mils, 1000) for gauge, mils in ZINC.items()},
    None,
)

FAMILIES: Final[Mapping[str, Family]] = {
    "steel": MANUFACTURERS,
    "galvanised": GALVANISED,
    "stainless": US_STANDARD,
    "aluminium-3003": BROWN_SHARPE,
    "aluminium-5052": BROWN_SHARPE,
    "copper": BROWN_SHARPE,
    "brass": BROWN_SHARPE,
    "zinc": AMERICAN_ZINC,
}
"""The family that each kind of metal is ordered by"""


def thickness(kind: str, gauge: int) -> float:
    """Return the thickness (mm) that a gauge means for a kind of metal.

    Raises
    ------
    JobFaults
        For a kind without gauges (``metal.kind``), or a gauge that its table lacks (``metal.gauge``).

    Examples
    --------
    >>> thickness("steel", 24) == 0.0239 * 25.4
    True
    >>> thickness("steel", 9)
    Traceback (most recent call last):
    layout.errors.JobFaults: metal.gauge = 9: steel is known by ... 10 to 30. Use ... ...
    """
    return float(_inches(kind, gauge) * MM_PER_INCH)


def gauge_weight(kind: str, gauge: int) -> float | None:
    """Return the nominal weight (kg/m²) of a gauge; None for a family that is not defined by weight.

    Raises
    ------
    JobFaults
        As `thickness`.

    Examples
    --------
    >>> round(gauge_weight("stainless", 16), 2)
    12.21
    >>> gauge_weight("copper", 16) is None
    True
    """
    _inches(kind, gauge)
    ounces = FAMILIES[kind].ounces
    if ounces is None:
        return None
    return float(ounces[gauge] / 16 * KG_PER_POUND / (12 * MM_PER_INCH / 1000) ** 2)


def sheet_weight(thick: float, density: float) -> float:
    """Return the weight (kg/m²) of a sheet: thickness (mm) × density (kg/m³).

    >>> sheet_weight(1.0, 7850.0)
    7.85
    """
    return thick * density / 1000


def _inches(kind: str, gauge: int) -> Fraction:
    family = FAMILIES.get(kind)
    if family is None:
        raise JobFaults(
            [Fault("metal.kind", kind, "the metal must be a known one", f"Use one of {', '.join(FAMILIES)}")]
        )
    found = family.inches.get(gauge)
    if found is None:
        raise JobFaults([_gauge_fault(kind, gauge, family)])
    return found


def _gauge_fault(kind: str, gauge: int, family: Family) -> Fault:
    known = sorted(family.inches)
    near = min(known, key=lambda number: (abs(number - gauge), number))
    inches = f"{float(family.inches[near]):.4f}".lstrip("0")
    return Fault(
        "metal.gauge",
        str(gauge),
        f"{kind} is known by the {family.name} gauge {known[0]} to {known[-1]}",
        f"Use the nearest known gauge {near} ({inches} in), or give thickness instead",
    )
