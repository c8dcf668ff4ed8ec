"""From right values of forming and buying to their frozen specs."""

from __future__ import annotations

from layout.job.keys_forming import OPENINGS
from layout.job.model import OrderSpec, SheetSpec
from layout.job.model_forming import CoatingSpec, CostsSpec, DieSpec, LimitsSpec, MeasuredSpec, PressSpec
from layout.job.sections import Reading


def die_of(reading: Reading) -> DieSpec:
    """Build the die."""
    values = reading.one("die")
    got = {name: value for name, value in values.got.items() if name != "measured"}
    measured = [MeasuredSpec(**one.got) for one in values.inner.get("measured", [])]
    return DieSpec(**got, measured=measured[0] if measured else None)


def press_of(reading: Reading) -> PressSpec:
    """Build the press."""
    return PressSpec(**reading.one("press").got)


def limits_of(reading: Reading) -> LimitsSpec:
    """Build what panels must pass through, and what a person lifts."""
    got = reading.one("limits").got
    openings = tuple(got[name] for name in OPENINGS if name in got)
    return LimitsSpec(openings, **({"lift": got["lift"]} if "lift" in got else {}))


def coating_of(reading: Reading) -> CoatingSpec | None:
    """Build the coating; None where there is none."""
    got = dict(reading.one("coating").got)
    if "faces" not in got:
        return None
    if reading.units == "mm":
        got.setdefault("film", 0.06)
    return CoatingSpec(**got)


def costs_of(reading: Reading) -> CostsSpec:
    """Build the prices beside those of sheets and panels."""
    return CostsSpec(**reading.one("costs").got)


def order_spec(reading: Reading) -> OrderSpec:
    """Build the order, with stock sizes to compare; these lose what the first sheet loses."""
    values = reading.one("order")
    got = {name: value for name, value in values.got.items() if name != "compare"}
    first = reading.sections["sheet"][0].got
    kept = {name: first[name] for name in ("trim", "edge_trim", "kerf", "scallops") if name in first}
    sizes = tuple(SheetSpec(**one.got, **kept) for one in values.inner.get("compare", []))
    return OrderSpec(**got, compare=sizes)
