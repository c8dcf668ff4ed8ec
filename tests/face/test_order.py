"""Spare and proving sheets."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.face.order import order_of, spare_sheets
from layout.face.plan import SheetCut
from layout.job.model import OrderSpec, SheetSpec
from tests.jobs import kiosk


@pytest.mark.parametrize(
    ("needed", "share", "spare"),
    [(10, "0.10", 1), (11, "0.10", 2), (1, "0.10", 1), (8, "0", 0), (30, "0.1", 3), (7, "1", 7)],
)
def test_spare_sheets_round_up_in_decimal(needed: int, share: str, spare: int):
    """A tenth of ten is one and of thirty three: no binary fraction rounds it up to more."""
    assert spare_sheets(needed, share) == spare


def test_order_adds_spare_and_proving_sheets_and_prices_them():
    """8 needed + 1 spare (10 %) + 1 for the die = 10, at 71.50 each (common practice, no source)."""
    job = replace(kiosk(), sheets=(SheetSpec(3048.0, 1219.2, price=71.5),), order=OrderSpec("0.10", 1))
    cuts = [SheetCut(k + 1, 0, 3048.0, 1219.2, 1.0, ()) for k in range(8)]
    (line,) = order_of(job, cuts)
    assert (line.needed, line.spare, line.prove_out, line.buy, line.cost) == (8, 1, 1, 10, 715.0)
