"""The whole engine, from a checked drawing to loaded trucks: one house, six storeys, a new price, a new truck."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import partial

import pytest

from framing.engine import design_package, load_catalogue
from framing.engine.floor import FloorPlan
from framing.engine.practice import Practice
from framing.engine.result import PackageResult
from quotes.pricing import PricedPackage, PriceTable, price_package
from quotes.selectors import DEMO_PLACE, DEMO_ZONE, demo_price_table
from tests.bench.floors import forget, house, storey

pytestmark = pytest.mark.bench
Measure = Callable[..., float]
CATALOGUE, PRACTICE = load_catalogue(), Practice()


def package(plans: list[FloorPlan], practice: Practice = PRACTICE) -> PackageResult:
    return design_package(plans, CATALOGUE, practice)


def quote(plans: list[FloorPlan], table: PriceTable) -> PricedPackage:
    """What drawing up a quote asks of the engine and of the prices."""
    return price_package(
        package(plans),
        table,
        tier="",
        freight_zone=DEMO_ZONE,
        tax_place=DEMO_PLACE,
        discount_share=Decimal(0),
        practice=PRACTICE,
    )


def dearer(table: PriceTable) -> PriceTable:
    rows = {code: replace(row, price=row.price * 2) for code, row in table.rows.items()}
    return replace(table, version=table.version + 1, rows=rows)


@pytest.mark.parametrize(
    ("what", "plans", "most_ms"),
    [
        ("house of 59 joists", [house()], 30),
        ("six different storeys", [storey(number) for number in range(6)], 1_500),
    ],
    ids=["house", "storeys"],
)
def test_whole_run_and_what_a_new_price_asks(
    what: str, plans: list[FloorPlan], most_ms: float, measure: Measure, clock: Measure
) -> None:
    old, new = demo_price_table(), dearer(demo_price_table())
    forget()
    before = quote(plans, old)
    pieces = sum(len(floor.pieces) for floor in package(plans).floors)
    taken_ms = clock(
        f"{what}, {pieces:,} pieces, whole run", partial(package, plans), before=forget, rounds=5
    )
    kept = measure(
        f"{what}, priced anew", partial(quote, plans, new), "quoted from the drawing", Anew(plans, old)
    )
    after = quote(plans, new)
    assert (before.goods, before.freight) != (after.goods, after.freight)
    assert before.freight == after.freight
    assert kept <= 1 / 20
    assert taken_ms <= most_ms


class Anew:
    """A quote for which the engine remembers nothing; what it then knows, the next price is asked with."""

    def __init__(self, plans: list[FloorPlan], table: PriceTable) -> None:
        self.plans, self.table = plans, table

    def __call__(self) -> PricedPackage:
        forget()
        return quote(self.plans, self.table)


def test_six_equal_storeys_against_six_different_ones(measure: Measure) -> None:
    different = [storey(number) for number in range(6)]
    equal = [replace(storey(0), name=f"Level {level}", level=str(level)) for level in range(1, 7)]
    six = partial(package, equal)
    ratio = measure(
        "six equal storeys", six, "six different ones", partial(package, different), before=forget
    )
    forget()
    told = six()
    forget()
    apart = [package([plan]).floors[0] for plan in equal]
    assert list(told.floors) == apart
    assert ratio <= 1 / 4


def test_another_truck_against_the_whole_run(measure: Measure) -> None:
    plans = [storey(number) for number in range(6)]
    lighter = iter(range(30_000, 40_000, 100))

    def reload() -> PackageResult:
        return package(plans, replace(PRACTICE, truck_payload_lb=float(next(lighter))))

    def whole() -> PackageResult:
        forget()
        return package(plans)

    whole()
    ratio = measure("another truck for six storeys", reload, "the whole run", whole)
    assert len(reload().loads) > len(package(plans).loads)
    assert ratio <= 1 / 3
