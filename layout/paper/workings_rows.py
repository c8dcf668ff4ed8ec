"""Figures with the formula, inputs and source that give them, in one coherent set of units.

A formula is written to be followed with a calculator: its letters are those of the inputs beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from layout.job.model import Job
from layout.units import KG_PER_POUND, MM_PER_INCH, MPA_PER_PSI, N_PER_LBF

DIGITS: Final = 6
"""significant digits of inputs and results: enough that a calculator meets the result in its fourth"""


@dataclass(frozen=True)
class Working:
    """One figure."""

    figure: str
    """its name, as its page has it"""
    formula: str
    """right-hand side; letters are those of `inputs`"""
    inputs: Mapping[str, float]
    """by letter, in the units of the job"""
    result: float
    unit: str
    source: str

    @property
    def inputs_text(self) -> str:
        """Write the inputs as on paper."""
        return ", ".join(f"{name} {number(value)}" for name, value in self.inputs.items())

    @property
    def result_text(self) -> str:
        """Write the result with its unit."""
        return f"{number(self.result)} {self.unit}".strip()


def number(value: float) -> str:
    """Write a number at six significant digits, never with an exponent.

    >>> number(29500000.0), number(0.0000123456), number(1 / 3), number(26328.7)
    ('29500000', '0.0000123456', '0.333333', '26328.7')
    """
    text = f"{Decimal(f'{value:.{DIGITS}g}'):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True)
class Units:
    """A coherent set: in, psi, lbf, lb, or mm, MPa, N, kg."""

    length: str
    stress: str
    force: str
    weight: str
    mm: float
    """mm of its length"""
    mpa: float
    newton: float
    kg: float

    def lengths(self, **given: float) -> dict[str, float]:
        """Return lengths given in mm in these units, by letter."""
        return {name: value / self.mm for name, value in given.items()}


_INCH: Final = Units(
    "in", "psi", "lbf", "lb", float(MM_PER_INCH), float(MPA_PER_PSI), float(N_PER_LBF), float(KG_PER_POUND)
)
_METRIC: Final = Units("mm", "MPa", "N", "kg", 1.0, 1.0, 1.0, 1.0)


def units_of(job: Job) -> Units:
    """Return the set of units that a job's workings are written in."""
    return _INCH if job.units == "in" else _METRIC


def rows_of(workings: Iterable[Working]) -> list[tuple[str, str, str, str, str]]:
    """Return figure, formula, inputs, result and source of each, as a table has them."""
    return [(one.figure, one.formula, one.inputs_text, one.result_text, one.source) for one in workings]
