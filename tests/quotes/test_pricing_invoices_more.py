"""Whole invoices worked by hand from R31, R38 and R39: two taxes, pickup, limits to the cent, many halves, 400 lines.

Each working stands beside its figure and was made before the code ran. Rates of tax are invented.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from framing.engine.result import FloorResult
from quotes.approval_reads import given_together
from quotes.pricing import FreightRow, PricedPackage, PriceRow, price_package
from tests.factories.packages import PROFILE, floor, line, package
from tests.quotes.tables import row, table

D = Decimal


def price(result: Any, prices: Any, **changes: Any) -> PricedPackage:
    values: dict[str, Any] = {"tier": "", "freight_zone": "near", "tax_place": "Fallow"}
    return price_package(result, prices, **(values | {"discount_share": D(0)} | changes))


def figures(priced: PricedPackage) -> dict[str, tuple[str, str]]:
    return {entry.code: (f"{entry.extension:.2f}", f"{entry.tax:.2f}") for entry in priced.lines}


def bare(*bill: Any) -> FloorResult:
    """A floor of nothing but a bill."""
    return replace(floor(), bill=bill, pieces=(), bays=())


def test_invoice_7_a_metric_project_where_two_taxes_are_levied_on_one_place() -> None:
    """One tax of 5 % on everything, a second of 7 % on material: 12 %, 5 % and 5 %. Tier 6 %."""
    metric = replace(floor(), plan=replace(floor().plan, units="metric"))
    taxes = {("Fallow", kind): D("0.05") for kind in ("labour", "freight")}
    taxes["Fallow", "material"] = D("0.05") + D("0.07")
    prices = table(currency="CAD", taxes=taxes, tiers={"volume": D("0.06")})
    priced = price(package(metric), prices, tier="volume")
    assert figures(priced) == {
        # 5 x 9'-9" = 48.75 ft x 4.42 = 215.475; x 0.12 = 25.8576
        PROFILE: ("215.48", "25.86"),
        # 129.7 lb x 0.035 = 4.5395; x 0.12 = 0.5448
        "steel_surcharge": ("4.54", "0.54"),
        # 9.25 x 0.05 = 0.4625
        "cutting": ("9.25", "0.46"),
        # 6.50 x 0.05 = 0.325, half up
        "punching": ("6.50", "0.33"),
        # 20.50 x 0.12
        "bearing_clip:1000": ("20.50", "2.46"),
        # 5.22 x 0.12 = 0.6264
        "strap": ("5.22", "0.63"),
        "steel_screw": ("24.50", "2.94"),
        "sheathing_panel": ("134.25", "16.11"),
        # 6 % of 399.95 = 23.997; x 0.12 = 2.88
        "tier:material": ("-24.00", "-2.88"),
        # 6 % of 15.75 = 0.945, half up; x 0.05 = 0.0475
        "tier:labour": ("-0.95", "-0.05"),
        "freight": ("390.00", "19.50"),
    }
    # 420.24 list goods - 24.00 - 0.95
    assert priced.goods == D("395.29")
    # 25.86+0.54+0.46+0.33+2.46+0.63+2.94+16.11 = 49.33; - 2.88 - 0.05; + 19.50
    assert priced.tax == D("65.90")
    assert priced.total == D("851.19")
    joists = next(entry for entry in priced.lines if entry.code == PROFILE)
    assert joists.explain[0].figure.endswith(" mm")


def test_invoice_8_collected_at_the_yard() -> None:
    """Freight is a zone like any other, given at no charge with a reason; it bears no tax and no cost."""
    yard = FreightRow(D(0), D(0), no_charge="collected at the yard")
    priced = price(package(), table(freight={"yard": yard}), freight_zone="yard")
    (freight,) = (entry for entry in priced.lines if entry.group == "freight")
    assert freight.description == "Freight, zone yard, no charge"
    assert (priced.freight, freight.tax) == (D(0), D(0))
    # list goods; tax 15.62+0.33+0+0+1.49+0.38+1.78+9.73
    assert (priced.goods, priced.tax, priced.total) == (D("420.24"), D("29.33"), D("449.57"))
    # 148.69+4.54+5.25+3.10+13.00+3.24+15.80+105.30 = 298.92; 420.24 - 298.92 = 121.32
    assert priced.margin == D("121.32") / D("420.24")


def one_thing(extension: str, number: int = 1) -> tuple[FloorResult, dict[str, PriceRow]]:
    """So many lines of one piece each at a price."""
    codes = [f"thing{n}" for n in range(number)]
    return bare(*(line(code, "hardware", 1) for code in codes)), {
        code: row(code, extension, "1.00") for code in codes
    }


@pytest.mark.parametrize(
    ("shares", "over"),
    [
        # one line of 1,000.00: 5 % is 50.00 and the limit
        (("0.0500",), ""),
        # 50.10 is 10 cents over
        (("0.0501",), "5.01 %"),
    ],
)
def test_invoice_9_a_discount_at_the_limit_and_over_it(shares: tuple[str, ...], over: str) -> None:
    result, rows = one_thing("1000.00")
    given = {f"thing{n}": D(share) for n, share in enumerate(shares)}
    priced = price(package(result), table(rows=rows, surcharge_per_lb=D(0)), line_discounts=given)
    words = given_together(priced.lines, D("0.05"))
    assert bool(words) == bool(over)
    assert all(f"come to {over} together" in said for said in words)


@pytest.mark.parametrize(
    ("price_text", "share", "given", "over"),
    [
        # 5 % of 100.10 is 5.005: the cent that rounding gives is no discount
        ("100.10", "0.05", "5.01", False),
        # of 100.20 it is 5.01 to the cent
        ("100.20", "0.05", "5.01", False),
        # 5.01 % of 100.00 is 5.01, a cent over 5.00
        ("100.00", "0.0501", "5.01", True),
        # 5.01 % of 50.00 is 2.505, rounded to 2.51: a cent over 2.50
        ("50.00", "0.0501", "2.51", True),
        # of 20.00 it is 1.002, to the cent 1.00: nothing over
        ("20.00", "0.0501", "1.00", False),
    ],
)
def test_a_cent_over_the_limit_is_over(price_text: str, share: str, given: str, over: bool) -> None:
    result, rows = one_thing(price_text)
    priced = price(
        package(result), table(rows=rows, surcharge_per_lb=D(0)), line_discounts={"thing0": D(share)}
    )
    assert priced.given == D(given)
    assert bool(given_together(priced.lines, D("0.05"))) == over


def test_invoice_10_forty_lines_that_all_end_in_half_a_cent() -> None:
    """3 x 0.335 = 1.005 forty times: 1.01 each. Tax 7.25 % on each, discount 5 % on all."""
    codes = [f"part{n:02}" for n in range(40)]
    rows = {code: row(code, "0.335", "0.205") for code in codes}
    result = bare(*(line(code, "hardware", 3) for code in codes))
    priced = price(package(result), table(rows=rows, surcharge_per_lb=D(0)), discount_share=D("0.05"))
    found = figures(priced)
    # 1.01 x 0.0725 = 0.073225
    assert {found[code] for code in codes} == {("1.01", "0.07")}
    # 5 % of 40.40 = 2.02; x 0.0725 = 0.14645
    assert found["discount:material"] == ("-2.02", "-0.15")
    assert priced.goods == D("38.38")
    # 40 x 0.07 - 0.15 = 2.65; freight 390.00 x 0.05 = 19.50; not 38.38 x 0.0725 = 2.78
    assert priced.tax == D("22.15")
    # cost 3 x 0.205 = 0.615, half up 0.62; 40 of them, and 305.00
    assert priced.cost == D("329.80")


def test_invoice_11_four_hundred_lines() -> None:
    """Line i has i pieces at 0.125, tax 10 %.

    i x 0.125 ends in half a cent for every odd i: 200 times half a cent up. The sum of all is 0.125 x 80,200 =
    10,025.00, so the lines come to 10,026.00. In eight lines running the cents end in 3, 5, 8, 0, 3, 5, 8, 0, so a
    tenth of them is rounded by -0.3, +0.5, +0.2, 0, -0.3, +0.5, +0.2, 0 = 0.8 of a cent; 50 times: 40 cents more than
    1,002.60.
    """
    codes = [f"part{n:03}" for n in range(1, 401)]
    rows = {code: row(code, "0.125", "0.08") for code in codes}
    result = bare(*(line(code, "hardware", n) for n, code in enumerate(codes, 1)))
    taxes = {("Fallow", "material"): D("0.1"), ("Fallow", "freight"): D(0)}
    priced = price(package(result), table(rows=rows, taxes=taxes, surcharge_per_lb=D(0)))
    assert len(priced.lines) == 401
    assert priced.goods == D("10026.00")
    assert priced.tax == D("1003.00")
    # 80,200 x 0.08 = 6,416.00 in whole cents, and 305.00
    assert priced.cost == D("6721.00")
    assert priced.total == D("10026.00") + D("390.00") + D("1003.00")
    assert priced.floors[0].goods == priced.goods
