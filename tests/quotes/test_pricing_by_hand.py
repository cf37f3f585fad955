"""Invoices worked by hand from R31, R38 and R39 before the code ran; the working is beside each figure."""

from dataclasses import replace
from decimal import Decimal

import pytest

from quotes.pricing import GROUPS, MissingPrices, PricedPackage, price_package
from tests.factories.packages import PROFILE, floor, line, package
from tests.quotes.tables import ROWS, table

D = Decimal


def price(result=None, prices=None, **changes) -> PricedPackage:
    values = {"tier": "", "freight_zone": "near", "tax_place": "Fallow", "discount_share": D(0)}
    return price_package(result or package(), prices or table(), **(values | changes))


def by_code(priced: PricedPackage) -> dict:
    return {entry.code: entry for entry in priced.lines}


def test_a_whole_invoice_with_tier_discount_freight_and_tax():
    priced = price(package(trucks=2), tier="regular", discount_share=D("0.04"))
    wanted = {
        # code: (quantity, unit price, extension, tax at 7.25 % on material, 0 on labour, 5 % on freight)
        # 5 x 9'-9" = 48.75 ft; 48.75 x 4.42 = 215.475 -> 215.48; x 0.0725 = 15.6223 -> 15.62
        PROFILE: ("48.7500", "4.42", "215.48", "15.62"),
        # 129.675 lb -> 129.7 lb; x 0.035 = 4.5395 -> 4.54; x 0.0725 = 0.32915 -> 0.33
        "steel_surcharge": ("129.7", "0.035", "4.54", "0.33"),
        # five pieces cut: 5 x 1.85
        "cutting": ("5", "1.85", "9.25", "0.00"),
        # five joists x two holes: 10 x 0.65
        "punching": ("10", "0.65", "6.50", "0.00"),
        # 10 x 2.05 = 20.50; x 0.0725 = 1.48625 -> 1.49
        "bearing_clip:1000": ("10", "2.05", "20.50", "1.49"),
        # 8'-0 7/16" -> 9 ft; 9 x 0.58 = 5.22; x 0.0725 = 0.37845 -> 0.38
        "strap": ("9", "0.58", "5.22", "0.38"),
        # 100 + 5 % = 105 -> one box of 250; 24.50 x 0.0725 = 1.77625 -> 1.78
        "steel_screw": ("1", "24.50", "24.50", "1.78"),
        # 3 x 44.75 = 134.25; x 0.0725 = 9.733125 -> 9.73
        "sheathing_panel": ("3", "44.75", "134.25", "9.73"),
        # material without surcharge 215.48 + 20.50 + 5.22 + 24.50 + 134.25 = 399.95; 3 % = 11.9985 -> 12.00
        "tier:material": ("1", "-12.00", "-12.00", "-0.87"),
        # what is left 387.95; 4 % = 15.518 -> 15.52; x 0.0725 = 1.1252 -> 1.13
        "discount:material": ("1", "-15.52", "-15.52", "-1.13"),
        # labour 9.25 + 6.50 = 15.75; 3 % = 0.4725 -> 0.47
        "tier:labour": ("1", "-0.47", "-0.47", "0.00"),
        # what is left 15.28; 4 % = 0.6112 -> 0.61
        "discount:labour": ("1", "-0.61", "-0.61", "0.00"),
        # two trucks x 390.00 = 780.00; x 0.05 = 39.00
        "freight": ("2", "390.00", "780.00", "39.00"),
    }
    found = by_code(priced)
    assert found.keys() == wanted.keys()
    for code, figures in wanted.items():
        entry = found[code]
        assert (entry.quantity, entry.unit_price, entry.extension, entry.tax) == tuple(map(D, figures)), code
    # 215.48 + 4.54 + 9.25 + 6.50 + 20.50 + 5.22 + 24.50 + 134.25 - 12.00 - 15.52 - 0.47 - 0.61
    assert priced.goods == D("391.64")
    assert priced.freight == D("780.00")
    # 15.62 + 0.33 + 1.49 + 0.38 + 1.78 + 9.73 - 0.87 - 1.13 + 39.00
    assert priced.tax == D("66.33")
    assert priced.total == D("1237.97")
    # 148.69 + 4.54 + 5.25 + 3.10 + 13.00 + 3.24 + 15.80 + 105.30 + 610.00
    assert priced.cost == D("908.92")
    # (1171.64 - 908.92) / 1171.64 = 262.72 / 1171.64
    assert priced.margin == D("262.72") / D("1171.64")


def test_floors_share_boxes_and_repeats_multiply():
    priced = by_code(price(package(floor("Ground"), floor("Upper", repeat=2))))
    # exact 100 + 2 x 100 = 300; + 5 % = 315; in boxes of 250: 2 (box by box a floor it would be 3)
    assert priced["steel_screw"].quantity == 2
    # 3 x 48.75 ft
    assert priced[PROFILE].quantity == D("146.25")
    # 3 x 8'-0 7/16" = 24'-1 5/16" -> 25 ft, not 3 x 9
    assert priced["strap"].quantity == 25
    assert priced["sheathing_panel"].quantity == 9
    assert priced["cutting"].quantity == 15
    assert priced["punching"].quantity == 30
    figures = [(reason.words, reason.rule, reason.figure) for reason in priced["steel_screw"].explain]
    assert figures == [
        ("Ground: counted on the plan", "R20", "100"),
        ("Upper × 2: counted on the plan", "R20", "200"),  # noqa: RUF001
        ("300 and 5 % allowance, in boxes of 250", "R31", "2 boxes"),
    ]


@pytest.mark.parametrize(
    ("exact", "boxes"),
    # 238 x 1.05 = 249.9 -> 1; 239 x 1.05 = 250.95 -> 2; 500 x 1.05 = 525 -> 3; 10,000 x 1.05 / 250 = 42
    [(1, 1), (238, 1), (239, 2), (500, 3), (10_000, 42), (10_001, 43)],
)
def test_boxes_after_the_allowance(exact, boxes):
    bill = (line("steel_screw", "fasteners", exact, sold_by="box", pack=250),)
    assert by_code(price(package(replace(floor(), bill=bill))))["steel_screw"].quantity == boxes


@pytest.mark.parametrize(
    ("price_text", "count", "extension"),
    # halves of a cent go up: 3 x 0.335 = 1.005 -> 1.01; 1 x 0.0049 -> 0.00; 1 x 0.005 -> 0.01
    [("0.335", 3, "1.01"), ("0.0049", 1, "0.00"), ("0.005", 1, "0.01"), ("0.0150", 3, "0.05")],
)
def test_halves_of_a_cent_go_up(price_text, count, extension):
    rows = {r.code: r for r in ROWS}
    rows["bearing_clip:1000"] = replace(rows["bearing_clip:1000"], price=D(price_text))
    result = package(replace(floor(), bill=(line("bearing_clip:1000", "hardware", count),)))
    assert by_code(price(result, table(rows=rows)))["bearing_clip:1000"].extension == D(extension)


def test_list_price_without_discount_or_surcharge_has_no_such_lines():
    codes = by_code(price(prices=table(surcharge_per_lb=D(0))))
    assert not [code for code in codes if code.startswith(("tier", "discount", "steel_surcharge"))]


def test_every_missing_price_is_named_and_none_is_zero():
    rows = {r.code: r for r in ROWS if r.code not in ("strap", "punching")}
    with pytest.raises(MissingPrices) as caught:
        price(prices=table(rows=rows, taxes={}), tier="unknown", freight_zone="moon")
    assert [entry.code for entry in caught.value.missing] == [
        "strap",
        "punching",
        "tier:unknown",
        "freight:moon",
        "tax:Fallow:freight",
        "tax:Fallow:labour",
        "tax:Fallow:material",
    ]


@pytest.mark.parametrize("share", [D("-0.01"), D(1), D("1.5")])
def test_a_discount_is_a_share(share):
    with pytest.raises(ValueError, match="not a share"):
        price(discount_share=share)


def test_lines_stand_in_the_order_of_their_groups():
    groups = [entry.group for entry in price(tier="regular").lines]
    assert groups == sorted(
        groups,
        key=GROUPS.index,
    )
