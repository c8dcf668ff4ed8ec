"""How figures of the shop are written: as finely as they are known, and no finer."""

from __future__ import annotations

from typing import Final

from layout.units import MPA_PER_PSI, format_area, format_fine, format_force, format_inches, parse_force

ROUGH: Final = {"in": 2, "mm": 1}
"""decimals of what springback moves: a hundredth of an inch, a tenth of a millimetre"""

CLOSE: Final = {"in": 3, "mm": 2}
"""decimals of what a caliper tells"""

TON: Final = parse_force("1 ton", "in")
"""N"""


def rough(mm: float, units: str) -> str:
    """Write a length that springback moves.

    >>> rough(35.8523, "in"), rough(35.8523, "mm")
    ('1.41 in', '35.9 mm')
    """
    return format_fine(mm, units, places=ROUGH[units])


def close(mm: float, units: str) -> str:
    """Write a length that a drawing gives and a shop can still measure: thousandths, or hundredths of a millimetre.

    >>> close(50.505, "in"), close(9.525, "mm")
    ('1.988 in', '9.53 mm')
    """
    return format_fine(mm, units, places=CLOSE[units])


def scribed(mm: float, units: str) -> str:
    """Write a length that is measured by tape or rule, on the nearest 64th or tenth of a millimetre.

    >>> scribed(505.06, "in"), scribed(505.06, "mm")
    ('19 57/64 in', '505.1 mm')
    """
    return format_inches(mm, precision=64) if units == "in" else format_fine(mm, units, places=1)


def signed_rough(mm: float, units: str) -> str:
    """Write such a difference with its sign; what rounds to nothing is 0.

    >>> signed_rough(0.54, "mm"), signed_rough(-0.54, "in"), signed_rough(0.01, "mm")
    ('+0.5 mm', '−0.02 in', '0.0 mm')
    """
    text = rough(abs(mm), units)
    if not any(figure in "123456789" for figure in text):
        return text
    return ("+" if mm > 0 else "−") + text


def force_words(newtons: float, units: str) -> str:
    """Write an estimated force to three figures; in an inch job in tons too.

    >>> force_words(38504.86, "in"), force_words(38504.86, "mm")
    ('8,660 lbf (4.3 tons)', '38.5 kN')
    """
    if units == "mm":
        return f"{newtons / 1000:.3g} kN"
    pounds = float(f"{newtons / TON * 2000:.3g}")
    return f"{pounds:,.0f} lbf ({newtons / TON:.1f} tons)"


def small_force(newtons: float, units: str) -> str:
    """Write a force of the hand: whole pounds-force, or newtons.

    >>> small_force(62.3, "mm"), small_force(62.3, "in")
    ('62 N', '14 lbf')
    """
    return f"{newtons:.0f} N" if units == "mm" else format_force(newtons, units)


def modulus_words(mpa: float, units: str) -> str:
    """Write a modulus of elasticity.

    >>> modulus_words(70300.0, "mm"), modulus_words(203395.0, "in")
    ('70.3 GPa', '29,500 ksi')
    """
    return f"{mpa / 1000:.4g} GPa" if units == "mm" else f"{mpa / float(MPA_PER_PSI) / 1000:,.0f} ksi"


def area_words(mm2: float, units: str) -> str:
    """Write an area of metal.

    >>> area_words(1.5e7, "mm")
    '15.0 m²'
    """
    return format_area(mm2, units)


def money(amount: float | None) -> str:
    """Write money to the cent; nothing where it is not priced.

    >>> money(1234.5), money(None)
    ('1,234.50', '')
    """
    return "" if amount is None else f"{amount:,.2f}"
