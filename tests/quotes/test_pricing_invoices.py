"""More invoices worked by hand from R31, R38 and R39: line discounts, floors' shares, smaller trucks.

Each working stands beside its figure and was made before the code ran.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from framing.engine.result import FloorResult, PackageResult, TruckLoad
from quotes.pricing import (
    FreightRow,
    MissingPrices,
    PricedLine,
    PricedPackage,
    PriceRow,
    TruckRow,
    price_package,
)
from quotes.pricing_shares import split_cents
from tests.factories.packages import PROFILE, floor, line, package
from tests.quotes.tables import ROWS, table

D = Decimal


def price(result: PackageResult, prices: Any = None, **changes: Any) -> PricedPackage:
    values: dict[str, Any] = {
        "tier": "",
        "freight_zone": "near",
        "tax_place": "Fallow",
        "discount_share": D(0),
    }
    return price_package(result, prices or table(), **(values | changes))


def by_code(priced: PricedPackage) -> dict[str, PricedLine]:
    return {entry.code: entry for entry in priced.lines}


def figures(priced: PricedPackage) -> dict[str, tuple[Decimal, Decimal, Decimal]]:
    """Quantity, extension and tax of each line by code."""
    return {entry.code: (entry.quantity, entry.extension, entry.tax) for entry in priced.lines}


def wanted(rows: dict[str, tuple[str, str, str]]) -> dict[str, tuple[Decimal, ...]]:
    return {code: tuple(map(D, row)) for code, row in rows.items()}


def with_bill(*bill: Any, name: str = "Ground floor", repeat: int = 1) -> FloorResult:
    """A floor of five joists with a bill of its own."""
    return replace(floor(name, repeat=repeat), bill=bill)


def test_invoice_1_line_discounts_after_the_tier_and_before_the_total() -> None:
    """Tier 3 %, 10 % on the clips, 25 % on cutting, 4 % on what is left."""
    priced = price(
        package(),
        tier="regular",
        discount_share=D("0.04"),
        line_discounts={"bearing_clip:1000": D("0.10"), "cutting": D("0.25")},
    )
    assert figures(priced) == wanted(
        {
            # as in the first invoice: list extensions and their tax
            PROFILE: ("48.75", "215.48", "15.62"),
            "steel_surcharge": ("129.7", "4.54", "0.33"),
            "cutting": ("5", "9.25", "0"),
            "punching": ("10", "6.50", "0"),
            "bearing_clip:1000": ("10", "20.50", "1.49"),
            "strap": ("9", "5.22", "0.38"),
            "steel_screw": ("1", "24.50", "1.78"),
            "sheathing_panel": ("3", "134.25", "9.73"),
            # 3 % of 399.95 = 11.9985 -> 12.00; x 0.0725 = 0.87
            "tier:material": ("1", "-12.00", "-0.87"),
            # clips 20.50 x 0.97 x 0.10 = 1.9885 -> 1.99; x 0.0725 = 0.144275 -> 0.14
            "less:bearing_clip:1000": ("1", "-1.99", "-0.14"),
            # left 399.95 - 12.00 - 1.99 = 385.96; 4 % = 15.4384 -> 15.44; x 0.0725 = 1.1194 -> 1.12
            "discount:material": ("1", "-15.44", "-1.12"),
            # 3 % of 15.75 = 0.4725 -> 0.47
            "tier:labour": ("1", "-0.47", "0"),
            # cutting 9.25 x 0.97 x 0.25 = 2.243125 -> 2.24
            "less:cutting": ("1", "-2.24", "0"),
            # left 15.75 - 0.47 - 2.24 = 13.04; 4 % = 0.5216 -> 0.52
            "discount:labour": ("1", "-0.52", "0"),
            "freight": ("1", "390.00", "19.50"),
        }
    )
    # given 1.99 + 15.44 + 2.24 + 0.52
    assert priced.given == D("20.19")
    # 420.24 list goods - 12.00 - 0.47 tier - 20.19 given
    assert priced.goods == D("387.58")
    # 15.62+0.33+1.49+0.38+1.78+9.73 = 29.33; - 0.87 - 0.14 - 1.12 = 27.20; + 19.50
    assert priced.tax == D("46.70")
    assert priced.total == D("387.58") + D("390.00") + D("46.70")


def test_invoice_2_three_floors_and_what_each_bears() -> None:
    """Floors A (once), B (twice), C (once) share boxes, strap, a discount and a truck."""
    a = with_bill(
        line("steel_screw", "fasteners", 100, sold_by="box", pack=250, weight_lb=1.0),
        line("strap", "hardware", 1000, unit="length_16", sold_by="ft", weight_lb=2.0),
        name="A",
    )
    b = with_bill(
        line("steel_screw", "fasteners", 150, sold_by="box", pack=250, weight_lb=1.5), name="B", repeat=2
    )
    c = with_bill(
        line("steel_screw", "fasteners", 50, sold_by="box", pack=250, weight_lb=0.5),
        line("sheathing_panel", "sheathing", 7, sold_by="sheet", weight_lb=56.5),
        name="C",
    )
    priced = price(package(a, b, c), discount_share=D("0.05"))
    found = by_code(priced)
    # 100 + 300 + 50 = 450; x 1.05 = 472.5 -> 2 boxes of 250 = 49.00
    assert (found["steel_screw"].exact, found["steel_screw"].quantity) == (450, 2)
    # by 100 : 300 : 50 of 450: 10.888.., 32.666.., 5.444.. -> 10.88 + 32.66 + 5.44 = 48.98; two cents left go to
    # the largest rests .888 (A) and .666 (B)
    assert [s.extension for s in found["steel_screw"].shares] == [D("10.89"), D("32.67"), D("5.44")]
    # 1000/192 = 5.2083 ft counted, 6 bought; all of it A's: 6 x 0.58
    assert (found["strap"].exact, found["strap"].quantity) == (D("5.2083"), 6)
    assert [s.extension for s in found["strap"].shares] == [D("3.48"), D(0), D(0)]
    # 7 x 44.75 = 313.25, all C's
    assert found["sheathing_panel"].shares[2].extension == D("313.25")
    # cutting: 5, 10, 5 pieces of 20 x 1.85 = 37.00
    assert [s.extension for s in found["cutting"].shares] == [D("9.25"), D("18.50"), D("9.25")]
    # material 49.00 + 3.48 + 313.25 = 365.73; 5 % = 18.2865 -> 18.29, by 14.37 : 32.67 : 318.69:
    # 0.71864, 1.63381, 15.93755 -> 0.71 + 1.63 + 15.93 = 18.27; two cents: .938 (C), .864 (A)
    shares = [s.extension for s in found["discount:material"].shares]
    assert shares == [D("-0.72"), D("-1.63"), D("-15.94")]
    # weights 3 : 3 : 57 of 63; freight 390.00: 18.5714, 18.5714, 352.857 -> 18.57 + 18.57 + 352.85; 1 cent: C .857
    assert [s.extension for s in found["freight"].shares] == [D("18.57"), D("18.57"), D("352.86")]
    for line_ in priced.lines:
        assert sum(s.extension for s in line_.shares) == line_.extension
        assert sum(s.tax for s in line_.shares) == line_.tax
    assert [f.name for f in priced.floors] == ["A", "B", "C"]
    assert [f.repeat for f in priced.floors] == [1, 2, 1]
    assert sum(f.goods for f in priced.floors) == priced.goods
    assert sum(f.freight for f in priced.floors) == priced.freight
    assert sum(f.tax for f in priced.floors) == priced.tax
    assert sum(f.total for f in priced.floors) == priced.total
    # A: 10.89 + 3.48 + 9.25 cutting + 6.50 punching (10 of 40 holes, 26.00) - 0.72 - labour discount:
    # labour 37.00 + 26.00 = 63.00; 5 % = 3.15 by 15.75 : 31.50 : 15.75 -> 0.7875, 1.575, 0.7875 -> 0.78 + 1.57 + 0.78;
    # two cents: .75 (A), .75 (C)
    assert priced.floors[0].goods == D("10.89") + D("3.48") + D("9.25") + D("6.50") - D("0.72") - D("0.79")


def test_invoice_3_smaller_trucks_take_light_loads() -> None:
    """Two full trucks and a light load, by a zone with a small truck up to 6,000 lb and a van up to 1,500."""
    near = FreightRow(
        D("390.00"),
        D("305.00"),
        (TruckRow("Small", 6000, D("240.00"), D("180.00")), TruckRow("Van", 1500, D("95.00"), D("60.00"))),
    )
    loads = tuple(
        TruckLoad(n, (), (), lb) for n, lb in ((1, 41_000.0), (2, 6000.5), (3, 6000.0), (4, 1500.0))
    )
    priced = price(replace(package(), loads=loads), table(freight={"near": near}))
    found = figures(priced)
    # 41,000 and 6,000.5 lb need full trucks: 2 x 390.00, x 0.05
    assert found["freight"] == (D(2), D("780.00"), D("39.00"))
    # exactly 6,000 lb goes by the small one: 240.00, x 0.05
    assert found["freight:Small"] == (D(1), D("240.00"), D("12.00"))
    # exactly 1,500 lb goes by the van: 95.00, x 0.05 = 4.75
    assert found["freight:Van"] == (D(1), D("95.00"), D("4.75"))
    assert priced.freight == D("1115.00")
    # 2 x 305 + 180 + 60
    assert sum(entry.cost for entry in priced.lines if entry.item_class == "freight") == D("850.00")


def test_invoice_4_every_class_taxed_and_a_discount_of_a_labour_line() -> None:
    """A place that taxes all classes at 6.25 %; boards as bought by floor; no surcharge."""
    taxes = {("Fallow", kind): D("0.0625") for kind in ("material", "labour", "freight")}
    rows = {r.code: r for r in ROWS} | {
        "rim_stick:16": PriceRow("rim_stick:16", "Rim", "stick", "material", D("52.35"), D("40.10"))
    }
    bill = (line("rim_stick:16", "boards", 3000, unit="length_16", bought=2, sold_by="stick"),)
    result = package(with_bill(*bill, repeat=3))
    prices = table(rows=rows, taxes=taxes, surcharge_per_lb=D(0))
    priced = price(result, prices, line_discounts={"punching": D("0.5")})
    assert figures(priced) == wanted(
        {
            # two sticks a floor, three floors alike: 6 x 52.35 = 314.10; x 0.0625 = 19.63125 -> 19.63
            "rim_stick:16": ("6", "314.10", "19.63"),
            # 15 x 1.85 = 27.75; x 0.0625 = 1.734375 -> 1.73
            "cutting": ("15", "27.75", "1.73"),
            # 30 x 0.65 = 19.50; x 0.0625 = 1.21875 -> 1.22
            "punching": ("30", "19.50", "1.22"),
            # half of 19.50 = 9.75; x 0.0625 = 0.609375 -> 0.61
            "less:punching": ("1", "-9.75", "-0.61"),
            # 390.00 x 0.0625 = 24.375 -> 24.38
            "freight": ("1", "390.00", "24.38"),
        }
    )
    # 9000 sixteenths = 46.875 ft counted
    assert (by_code(priced)["rim_stick:16"].exact, by_code(priced)["rim_stick:16"].exact_unit) == (
        D("46.875"),
        "ft",
    )
    assert priced.total == D("351.60") + D("390.00") + D("46.35")


def test_invoice_5_halves_of_a_cent_in_discounts_go_away_from_zero() -> None:
    """One thing at 10.10: 5 % is 0.505, which is 0.51 off, not 0.50."""
    rows = {r.code: r for r in ROWS}
    rows["bearing_clip:1000"] = replace(rows["bearing_clip:1000"], price=D("10.10"), cost=D("10.10"))
    prices = table(rows=rows, surcharge_per_lb=D(0))
    priced = price(
        package(with_bill(line("bearing_clip:1000", "hardware", 1))), prices, discount_share=D("0.05")
    )
    found = figures(priced)
    # 10.10 x 0.0725 = 0.73225 -> 0.73; 0.51 x 0.0725 = 0.036975 -> 0.04
    assert found["bearing_clip:1000"] == (D(1), D("10.10"), D("0.73"))
    assert found["discount:material"] == (D(1), D("-0.51"), D("-0.04"))
    # labour 9.25 + 6.50 = 15.75; 5 % = 0.7875 -> 0.79
    assert found["discount:labour"] == (D(1), D("-0.79"), D(0))
    # price 10.10 + 15.75 - 0.51 - 0.79 + 390.00 = 414.55; cost 10.10 + 5.25 + 3.10 + 305.00 = 323.45
    assert priced.margin == (D("414.55") - D("323.45")) / D("414.55")


def test_invoice_6_metric_floors_and_the_surcharge_by_each_floors_steel() -> None:
    """Rolled feet to four decimals, surcharge on all steel to a tenth of a pound, shared by steel."""
    one = with_bill(
        line(PROFILE, "members", 1001, unit="length_16", bought=6, sold_by="ft", weight_lb=13.87), name="One"
    )
    two = with_bill(
        line(PROFILE, "members", 2001, unit="length_16", bought=11, sold_by="ft", weight_lb=27.73),
        line("bearing_clip:1000", "hardware", 2, weight_lb=1.28),
        name="Two",
    )
    priced = price(package(one, two), table(surcharge_per_lb=D("0.0375")))
    found = figures(priced)
    # 3002 / 192 = 15.635416.. -> 15.6354 ft; x 4.42 = 69.108468 -> 69.11; x 0.0725 = 5.010475 -> 5.01
    assert found[PROFILE] == (D("15.6354"), D("69.11"), D("5.01"))
    # 13.87 + 27.73 = 41.60 lb; x 0.0375 = 1.56; x 0.0725 = 0.1131 -> 0.11; clips are no rolled steel
    assert found["steel_surcharge"] == (D("41.6"), D("1.56"), D("0.11"))
    # 1.56 by 13.87 : 27.73 = 0.520125, 1.039875 -> 0.52 + 1.03 = 1.55; the cent to .9875 (Two)
    assert [s.extension for s in by_code(priced)["steel_surcharge"].shares] == [D("0.52"), D("1.04")]
    assert by_code(priced)["steel_surcharge"].tier_share == 0


def test_each_line_says_its_tier_and_its_exact_count() -> None:
    found = by_code(price(package(), tier="regular"))
    assert {found[code].tier_share for code in (PROFILE, "cutting", "strap")} == {D("0.03")}
    assert {found[code].tier_share for code in ("steel_surcharge", "freight", "tier:material")} == {D(0)}
    # 8'-0 7/16" = 1543/192 ft; 100 screws in one box of 250
    assert (found["strap"].exact, found["strap"].exact_unit, found["strap"].quantity) == (
        D("8.0365"),
        "ft",
        9,
    )
    assert (found["steel_screw"].exact, found["steel_screw"].exact_unit) == (100, "piece")


def test_a_price_by_another_unit_is_missing_too() -> None:
    """A box price on pieces would be off a hundredfold, so it stops the quote as a price that is not there."""
    rows = {r.code: r for r in ROWS}
    rows["steel_screw"] = replace(rows["steel_screw"], sold_by="piece")
    with pytest.raises(MissingPrices, match="steel_screw by the box") as caught:
        price(package(), table(rows=rows))
    assert [entry.code for entry in caught.value.missing] == ["steel_screw"]


def test_discounts_of_lines_that_are_not_there_or_never_discounted_are_left_aside() -> None:
    plain = price(package())
    odd = {"rim_stick:16": D("0.1"), "steel_surcharge": D("0.1"), "freight": D("0.1")}
    assert price(package(), line_discounts=odd) == plain


@pytest.mark.parametrize("share", [D("-0.01"), D(1), D("1.5")])
def test_a_line_discount_is_a_share(share: Decimal) -> None:
    with pytest.raises(ValueError, match="not a share"):
        price(package(), line_discounts={"strap": share})


@pytest.mark.parametrize(
    ("amount", "weights", "shares"),
    [
        ("1.00", (1, 1, 1), ("0.34", "0.33", "0.33")),
        ("-1.00", (1, 1, 1), ("-0.34", "-0.33", "-0.33")),
        ("0.02", (0, 0, 0), ("0.01", "0.01", "0.00")),
        ("0.01", (1, 2), ("0.00", "0.01")),
        ("5.00", (0, 3), ("0.00", "5.00")),
        ("0.00", (2, 1), ("0.00", "0.00")),
    ],
)
def test_odd_cents_go_to_the_largest_rests(
    amount: str, weights: tuple[int, ...], shares: tuple[str, ...]
) -> None:
    found = split_cents(D(amount), [Fraction(w) for w in weights])
    assert [f"{share:.2f}" if share else "0.00" for share in found] == list(shares)
    assert sum(found) == D(amount)


def test_an_amount_for_no_floor_is_for_nobody() -> None:
    assert split_cents(D("1.00"), []) == ()
