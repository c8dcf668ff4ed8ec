"""The order as a CSV table: one row a thing to buy."""

from __future__ import annotations

from layout.face.plan import Plan
from layout.paper.csv_tables import Row, table
from layout.paper.forming_json import weight_in
from layout.paper.plan_json import stock_names


def order_csv(plan: Plan) -> str:
    """Return what to buy: sheets by stock size, then powder and fixings."""
    units = plan.job.units
    weight = "lb" if units == "in" else "kg"
    head = ["item", "stock", "needed", "spare", "to prove the die", "buy", "from stock", f"weight ({weight})", "cost"]
    names = stock_names(plan.job)
    rows: list[Row] = [
        (
            "sheet",
            names[row.stock],
            row.needed,
            row.spare,
            row.prove_out,
            row.to_buy,
            row.from_stock,
            f"{weight_in(row.weight, units):.1f}",
            "" if row.cost is None else f"{row.cost:.2f}",
        )
        for row in plan.order
        if row.buy
    ]
    buying = plan.buying
    if buying is not None:
        prices = {line.what: "" if line.cost is None else f"{line.cost:.2f}" for line in buying.costs}
        if buying.powder is not None:
            powder = f"{weight_in(buying.powder, units):.1f}"
            rows.append(("powder", "", powder, "", "", powder, "", powder, prices.get("powder", "")))
        rows.append(("fixing", "", buying.fixings, "", "", buying.fixings, "", "", prices.get("fixings", "")))
    return table(head, rows)
