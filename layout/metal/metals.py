"""What each kind of metal is taken to be, with the source of every number.

Yield is what springback and take-up live on, and what varies most from heat to heat: `yield_` is the
figure planned with, `yield_low` and `yield_high` the band it may fall in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from layout.errors import Fault, JobFaults
from layout.job.model import MetalSpec
from layout.units import MPA_PER_PSI

_KSI = float(1000 * MPA_PER_PSI)


@dataclass(frozen=True)
class Metal:
    """A kind of sheet metal."""

    name: str
    density: float
    """kg/m³"""
    modulus: float
    """MPa"""
    yield_: float
    """MPa, planned with"""
    tensile: float
    """MPa"""
    source: str
    """where each number comes from, or "assumed" """
    yield_low: float
    """MPa, the softest that may be delivered"""
    yield_high: float
    """MPa, the hardest"""

    def __post_init__(self) -> None:
        figures = (self.density, self.modulus, self.yield_, self.tensile, self.yield_low, self.yield_high)
        if not all(math.isfinite(figure) and figure > 0 for figure in figures):
            raise ValueError(f"{self.name}: every figure must be above 0")
        if not self.yield_low <= self.yield_ <= self.yield_high:
            raise ValueError(f"{self.name}: yield {self.yield_} must lie in its own band")


def _metal(
    name: str,
    density: float,
    modulus: float,
    yields: tuple[float, float, float],
    tensile: float,
    source: str,
) -> Metal:
    low, planned, high = yields
    return Metal(name, density, modulus, planned, tensile, source, low, high)


METALS: Final[Mapping[str, Metal]] = {
    metal.name: metal
    for metal in (
        _metal(
            "steel",
            7850.0,
            29500 * _KSI,
            (25 * _KSI, 33 * _KSI, 40 * _KSI),
            48 * _KSI,
            "density 7850 kg/m³: usual value, not the gauge rule's 8039; modulus 29 500 ksi: AISI S100 "
            "(second hand); "
            "yield 33 and tensile 48 ksi: ASTM A1008 SS grade 33 (from memory); yield band 25 to 40 ksi: "
            "assumed",
        ),
        _metal(
            "galvanised",
            7850.0,
            29500 * _KSI,
            (30 * _KSI, 33 * _KSI, 50 * _KSI),
            45 * _KSI,
            "density 7850 kg/m³: as steel, coating counted as steel; modulus 29 500 ksi: AISI S100 (second "
            "hand); "
            "yield 33 and tensile 45 ksi: ASTM A653 SS grade 33 (from memory); yield band 30 to 50 ksi: "
            "assumed",
        ),
        _metal(
            "stainless",
            8000.0,
            193000.0,
            (205.0, 240.0, 310.0),
            515.0,
            "type 304 annealed: density 8000 kg/m³ and modulus 193 GPa: data sheets (from memory); least "
            "yield 205 and "
            "tensile 515 MPa: ASTM A240 (from memory); yield 240 and 310 MPa: assumed",
        ),
        _metal(
            "aluminium-3003",
            2730.0,
            68900.0,
            (117.0, 145.0, 165.0),
            152.0,
            "3003-H14: yield 145 MPa and modulus 68.9 GPa: data sheet (read); density 2730 kg/m³ and "
            "tensile 152 MPa: "
            "data sheets (from memory); least yield 117 MPa: ASTM B209 (from memory); 165 MPa: assumed",
        ),
        _metal(
            "aluminium-5052",
            2680.0,
            70300.0,
            (160.0, 160.0, 215.0),
            228.0,
            "5052-H32: yield 160 MPa least and modulus 70.3 GPa: Aluminum Design Manual Table 3.3-1M "
            "(read); density "
            "2680 kg/m³ and tensile 228 MPa: data sheets (from memory); greatest yield 215 MPa: assumed",
        ),
        _metal(
            "copper",
            8930.0,
            117000.0,
            (20 * _KSI, 20 * _KSI, 36 * _KSI),
            32 * _KSI,
            "cold rolled, H00: yield 20 and tensile 32 ksi least: ASTM B370 (from memory); density 8930 "
            "kg/m³ and modulus "
            "117 GPa: data sheets (from memory); greatest yield 36 ksi: assumed",
        ),
        _metal(
            "brass",
            8530.0,
            110000.0,
            (200.0, 275.0, 360.0),
            370.0,
            "cartridge brass, quarter hard: density 8530 kg/m³, modulus 110 GPa, yield 275 and tensile 370 "
            "MPa: data sheets "
            "(from memory); yield band 200 to 360 MPa: assumed",
        ),
        _metal(
            "zinc",
            7200.0,
            80000.0,
            (100.0, 110.0, 160.0),
            150.0,
            "zinc-copper-titanium: least yield 100 and tensile 150 MPa: EN 988 (from memory); density 7200 "
            "kg/m³ and "
            "modulus 80 GPa: data sheets (from memory); yield 110 and 160 MPa: assumed",
        ),
    )
}
"""The metals by kind"""


def metal_of(spec: MetalSpec) -> Metal:
    """Return the metal of a job: the table's, with the job's own figures in place of its.

    A yield given by the job scales the band with it, unless it lies inside the table's.

    Raises
    ------
    JobFaults
        For an unknown kind (``metal.kind``) or a figure that is not above 0 (``metal.yield`` and so on).

    Examples
    --------
    >>> metal_of(MetalSpec("aluminium-3003", thickness=0.8)).yield_
    145.0
    >>> metal_of(MetalSpec("aluminium-3003", thickness=0.8, yield_=290.0)).yield_low
    234.0
    """
    table, own = _table_of(spec.kind), _given(spec)
    if not own:
        return table
    planned = own.get("yield_", table.yield_)
    low, high = _band(table, planned)
    low, high = own.get("yield_low", low), own.get("yield_high", high)
    if not low <= planned <= high:
        raise JobFaults([_band_fault(planned, low, high)])
    source = f"{table.source}; {', '.join(field.rstrip('_') for field in own)}: given by the job"
    return replace(
        table,
        density=own.get("density", table.density),
        modulus=own.get("modulus", table.modulus),
        yield_=planned,
        tensile=own.get("tensile", table.tensile),
        source=source,
        yield_low=low,
        yield_high=high,
    )


def _table_of(kind: str) -> Metal:
    """Return the table's metal of a kind, or refuse it."""
    table = METALS.get(kind)
    if table is None:
        known = ", ".join(METALS)
        raise JobFaults([Fault("metal.kind", kind, "the metal must be a known one", f"Use one of {known}")])
    return table


def _given(spec: MetalSpec) -> dict[str, float]:
    """Return the figures that the job gives itself, by field; refuse those that are not above 0."""
    given = {
        "modulus": spec.modulus,
        "yield_": spec.yield_,
        "tensile": spec.tensile,
        "density": spec.density,
        "yield_low": spec.yield_low,
        "yield_high": spec.yield_high,
    }
    own = {field: value for field, value in given.items() if value is not None}
    faults = [
        Fault(f"metal.{field.rstrip('_')}", f"{value:g}", "it must be above 0", "Leave it out to use the table's")
        for field, value in own.items()
        if not (math.isfinite(value) and value > 0)
    ]
    if faults:
        raise JobFaults(faults)
    return own


def _band_fault(planned: float, low: float, high: float) -> Fault:
    return Fault(
        "metal.yield",
        f"{planned:.4g} MPa",
        f"the yield planned with lies in its band, {low:.4g} to {high:.4g} MPa",
        "Give yield between yield_low and yield_high, or leave one of them out",
    )


def _band(table: Metal, planned: float) -> tuple[float, float]:
    """Return the band about a yield: the table's where it covers it, else the table's in proportion."""
    if table.yield_low <= planned <= table.yield_high:
        return table.yield_low, table.yield_high
    return planned * table.yield_low / table.yield_, planned * table.yield_high / table.yield_
