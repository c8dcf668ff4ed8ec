"""What to buy: the sheets needed, spare ones, and those that prove the die."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import ROUND_CEILING, Decimal

from layout.face.plan import OrderLine, SheetCut
from layout.face.sheets import stock_name
from layout.job.model import Job
from layout.metal.gauges import sheet_weight
from layout.metal.metals import metal_of


def spare_sheets(needed: int, share: str) -> int:
    """Return the spare sheets, rounded up in decimal so that a tenth of ten is one.

    >>> spare_sheets(10, "0.10"), spare_sheets(11, "0.10"), spare_sheets(8, "0")
    (1, 2, 0)
    """
    return int((Decimal(share) * needed).to_integral_value(rounding=ROUND_CEILING))


def order_of(job: Job, sheets: Sequence[SheetCut]) -> tuple[OrderLine, ...]:
    """Return one line per stock size; the proving sheets are of the size most used."""
    needed = [sum(sheet.stock == k for sheet in sheets) for k in range(len(job.sheets))]
    proving = max(range(len(needed)), key=lambda k: (not job.sheets[k].remnant, needed[k], -k))
    return tuple(_line(job, k, needed[k], job.order.prove_out if k == proving else 0) for k in range(len(needed)))


def _line(job: Job, stock: int, needed: int, prove_out: int) -> OrderLine:
    sheet = job.sheets[stock]
    spare = 0 if sheet.remnant else spare_sheets(needed, job.order.spare)
    buy = needed + spare + prove_out
    each = sheet.length * sheet.width / 1e6 * sheet_weight(job.metal.thickness, metal_of(job.metal).density)
    cost = None if sheet.price is None else buy * sheet.price
    on_hand = 0 if sheet.count is None else min(sheet.count, buy)
    return OrderLine(stock, needed, spare, prove_out, buy, cost, buy * each, on_hand)


def order_cautions(job: Job, order: Sequence[OrderLine]) -> Iterator[str]:
    """Yield which sizes fall short: what a job has on hand covers its blanks, not always spare and proving sheets."""
    for row in order:
        if job.sheets[row.stock].count is not None and row.to_buy:
            yield (
                f"order: of {stock_name(job, row.stock)} {row.from_stock} on hand; spare and proving sheets take "
                f"{row.buy} in all: buy {row.to_buy} more, or lower [order] spare or prove_out"
            )
