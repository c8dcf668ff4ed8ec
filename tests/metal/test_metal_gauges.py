"""Gauges, weights and metals against published tables."""

from __future__ import annotations

import math

import pytest

from layout.errors import JobFaults
from layout.job.model import MetalSpec
from layout.metal.gauges import FAMILIES, gauge_weight, sheet_weight, thickness
from layout.metal.metals import METALS, metal_of
from layout.units import MPA_PER_PSI

IN = 25.4
PSF = 0.45359237 / 0.3048**2  # kg/m² of 1 lb/ft²
NON_FERROUS = ("aluminium-3003", "aluminium-5052", "copper", "brass")

GAUGE_TABLES = {
    # manufacturers' standard gauge tables (read); 22, 24, 26 by the same rule
    "steel": {16: 0.0598, 18: 0.0478, 20: 0.0359, 22: 0.0299, 24: 0.0239, 26: 0.0179},
    # galvanised gauge tables (read)
    "galvanised": {16: 0.0635, 18: 0.0516, 20: 0.0396},
    # 15 U.S.C. §206 (read)
    "stainless": {16: 0.0625, 18: 0.05, 20: 0.0375},
    # ASTM B258 (from memory)
    "copper": {16: 0.0508, 18: 0.0403, 20: 0.0320, 22: 0.0253, 24: 0.0201},
}
TABLED = [(kind, gauge, inches) for kind, table in GAUGE_TABLES.items() for gauge, inches in table.items()]


@pytest.mark.parametrize(("kind", "gauge", "inches"), TABLED)
def test_gauges_are_the_tables_thicknesses(kind: str, gauge: int, inches: float) -> None:
    """To the table's own four decimals."""
    assert thickness(kind, gauge) == pytest.approx(inches * IN, rel=1e-12)


@pytest.mark.parametrize("gauge", range(10, 31))
def test_brown_and_sharpe_follows_its_formula(gauge: int) -> None:
    """0.005·92^((36−n)/39) in, ASTM B258 (from memory), rounded to .0001 in, for all four metals."""
    for kind in NON_FERROUS:
        assert thickness(kind, gauge) / IN == pytest.approx(0.005 * 92 ** ((36 - gauge) / 39), abs=5.001e-5)


@pytest.mark.parametrize(
    ("kind", "gauge", "weight"),
    [
        ("steel", 16, 2.5 * PSF),  # manufacturers' standard, lb/ft² (read)
        ("steel", 18, 2.0 * PSF),
        ("steel", 20, 1.5 * PSF),
        ("galvanised", 16, 2.656 * PSF),  # galvanised gauge tables (read)
        ("galvanised", 18, 2.156 * PSF),
        ("galvanised", 20, 1.656 * PSF),
        ("stainless", 16, 12.21),  # 15 U.S.C. §206, kg/m² (read)
        ("stainless", 18, 9.765),
        ("stainless", 20, 7.324),
    ],
)
def test_gauge_weights_are_the_published_ones(kind: str, gauge: int, weight: float) -> None:
    """Nominal weights, to the digits printed."""
    assert gauge_weight(kind, gauge) == pytest.approx(weight, rel=4e-4)


def test_the_gauge_rule_is_heavier_than_steel() -> None:
    """41.82 lb/ft² per inch is 8039 kg/m³, 2.4 % over 7850: thickness × 7850 weighs less than the gauge."""
    nominal = gauge_weight("steel", 16)
    assert nominal is not None
    implied = nominal / (thickness("steel", 16) / 1000)
    assert implied == pytest.approx(8039, rel=1e-3)
    assert pytest.approx(8039, abs=0.5) == 41.82 * PSF / 0.0254
    assert METALS["steel"].density == 7850
    assert nominal / sheet_weight(thickness("steel", 16), METALS["steel"].density) == pytest.approx(1.024, abs=1e-3)


@pytest.mark.parametrize(("feet", "pounds"), list(enumerate((275, 270, 267, 264, 262, 261), start=5)))
def test_laid_corrugated_sheets_weigh_what_the_cyclopedia_says(feet: int, pounds: int) -> None:
    """26 in wide from 30-3/8 in flat covers 24 in, 18 ga .049 in at 40 lb/ft²/in, 6 in end lap: per 100 ft².

    Source: Cyclopedia of Architecture, Carpentry and Building, American Technical
    Society, c. 1908 (read); within 1.2 lb.
    """
    density = 40 * PSF / 0.0254
    flat = sheet_weight(0.049 * IN, density) / PSF
    laid = 100 * flat * (30 + 3 / 8) / 24 * feet / (feet - 0.5)
    assert laid == pytest.approx(pounds, abs=1.2)


@pytest.mark.parametrize(
    ("kind", "gauge", "nearest"),
    [
        ("steel", 9, "gauge 10"),
        ("steel", 31, "gauge 30"),
        ("zinc", 25, "gauge 24"),
        ("copper", -3, "gauge 10"),
    ],
)
def test_an_unknown_gauge_names_the_nearest_known_one(kind: str, gauge: int, nearest: str) -> None:
    """The first gauges off each end of the tables are faults; the last on them are not."""
    with pytest.raises(JobFaults, match=r"metal\.gauge") as caught:
        thickness(kind, gauge)
    assert nearest in caught.value.faults[0].remedy
    assert thickness(kind, int(nearest.rsplit(maxsplit=1)[-1])) > 0


def test_thickness_falls_as_the_gauge_rises_but_for_zinc() -> None:
    """Zinc's own gauge runs the other way, the trap of ordering it by number."""
    for kind, family in FAMILIES.items():
        thick = [family.inches[gauge] for gauge in sorted(family.inches)]
        assert thick == sorted(thick, reverse=kind != "zinc")
        assert len(set(thick)) == len(thick)


def test_an_unknown_kind_is_a_fault_of_both_tables() -> None:
    """Gauges and metals know the same kinds, and say them."""
    assert set(FAMILIES) == set(METALS)
    with pytest.raises(JobFaults, match=r"metal\.kind = tin.*zinc"):
        thickness("tin", 20)
    with pytest.raises(JobFaults, match=r"metal\.kind = tin.*zinc"):
        metal_of(MetalSpec("tin", 0.6))


PUBLISHED = [
    ("steel", "modulus", 29.5e6 * float(MPA_PER_PSI), 1e-9),  # AISI S100 (second hand): 29 500 ksi
    ("steel", "modulus", 203000, 3e-3),  # the same in GPa
    ("aluminium-3003", "yield_", 145, 0),  # data sheet (read)
    ("aluminium-3003", "modulus", 68900, 0),
    ("aluminium-5052", "yield_", 160, 0),  # Aluminum Design Manual Table 3.3-1M (read)
    ("aluminium-5052", "modulus", 70300, 0),
]


@pytest.mark.parametrize(("kind", "figure", "value", "within"), PUBLISHED)
def test_metals_have_their_published_figures(kind: str, figure: str, value: float, within: float) -> None:
    """Source beside each row of the table."""
    assert getattr(METALS[kind], figure) == pytest.approx(value, rel=within)


def test_every_number_of_a_metal_names_its_source_or_is_assumed() -> None:
    """Density, modulus, yield and tensile are each spoken of, with a source, memory or the word assumed."""
    for metal in METALS.values():
        for figure in ("density", "modulus", "yield", "tensile"):
            assert figure in metal.source, metal.name
        for part in metal.source.split(";"):
            assert any(word in part for word in ("memory", "read", "hand", "assumed", "usual", "as steel")), part
        assert metal.yield_low <= metal.yield_ <= metal.yield_high < metal.tensile * 1.2


def test_a_jobs_own_figures_override_the_tables() -> None:
    """Each override replaces its figure alone, and the source says that the job gave it."""
    table = METALS["brass"]
    own = metal_of(MetalSpec("brass", 0.8, modulus=1e5, density=8400.0, tensile=400.0))
    assert (own.modulus, own.density, own.tensile) == (1e5, 8400.0, 400.0)
    assert (own.yield_, own.yield_low, own.yield_high) == (table.yield_, table.yield_low, table.yield_high)
    assert "given by the job" in own.source
    assert metal_of(MetalSpec("brass", 0.8)) is table


def test_a_yield_outside_the_band_carries_the_band_with_it() -> None:
    """Inside the table's band it stays; outside, the band moves in proportion, so that it holds the yield."""
    low = METALS["steel"].yield_low
    inside, outside = (metal_of(MetalSpec("steel", 0.6, yield_=low * share)) for share in (1.0, 0.99))
    assert inside.yield_low == low
    assert outside.yield_low == pytest.approx(low * 0.99 * 25 / 33)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_figures_that_cannot_be_are_faults(value: float) -> None:
    """By their keys in the job file."""
    with pytest.raises(JobFaults) as caught:
        metal_of(MetalSpec("steel", 0.6, yield_=value, density=value))
    assert [fault.key for fault in caught.value.faults] == ["metal.yield", "metal.density"]
