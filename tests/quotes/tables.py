"""A price table with round enough figures to work invoices by hand."""

from decimal import Decimal
from typing import Any

from quotes.pricing import FreightRow, PriceRow, PriceTable
from tests.factories.packages import PROFILE

D = Decimal


def row(code: str, price: str, cost: str, sold_by: str = "piece", item_class: Any = "material") -> PriceRow:
    return PriceRow(code, code, sold_by, item_class, D(price), D(cost))


ROWS = (
    row(PROFILE, "4.42", "3.05", "ft"),
    row("bearing_clip:1000", "2.05", "1.30"),
    row("strap", "0.58", "0.36", "ft"),
    row("steel_screw", "24.50", "15.80", "box"),
    row("sheathing_panel", "44.75", "35.10", "sheet"),
    row("cutting", "1.85", "1.05", "piece", "labour"),
    row("punching", "0.65", "0.31", "hole", "labour"),
)


def table(**changes: Any) -> PriceTable:
    values: dict[str, Any] = {
        "name": "Test list",
        "version": 3,
        "currency": "USD",
        "rows": {entry.code: entry for entry in ROWS},
        "surcharge_per_lb": D("0.035"),
        "tiers": {"regular": D("0.03")},
        "freight": {"near": FreightRow(D("390.00"), D("305.00"))},
        "taxes": {
            ("Fallow", "material"): D("0.0725"),
            ("Fallow", "labour"): D("0"),
            ("Fallow", "freight"): D("0.05"),
        },
    }
    return PriceTable(**(values | changes))
