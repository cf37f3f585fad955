"""500 random quotes against the plain oracle, line by line, in every run."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from framing.engine.result import PackageResult, TruckLoad
from quotes.pricing import FreightRow, PricedPackage, PriceRow, PriceTable, TruckRow, price_package
from tests.factories.packages import floor, line, package
from tests.quotes.oracle import reckon
from tests.quotes.tables import table

QUOTES = 500
KINDS = (
    # sold by, group, unit
    ("ft", "members", "length_16"),
    ("ft", "hardware", "length_16"),
    ("box", "fasteners", "piece"),
    ("piece", "hardware", "piece"),
    ("stick", "boards", "length_16"),
    ("sheet", "sheathing", "piece"),
    ("tube", "sheathing", "piece"),
)
PLACES = ("Town", "County")


@dataclass(frozen=True)
class Terms:
    tier: str
    zone: str
    place: str
    total: Decimal
    lines: dict[str, Decimal]


def rate(rng: random.Random) -> Decimal:
    """A price with up to four decimals; often one that makes halves of a cent."""
    return (
        Decimal(rng.choice((rng.randint(1, 999_999), rng.randint(1, 2000) * 5, rng.randint(1, 200) * 50)))
        / 10_000
    )


def share(rng: random.Random, most: int) -> Decimal:
    return Decimal(rng.choice((0, rng.randint(1, most)))) / 10_000


def catalogue(rng: random.Random) -> list[tuple[str, str, str, str, int]]:
    """Things that a bill may hold: code, sold by, group, unit, pieces in a box."""
    found = []
    for number in range(rng.randint(1, 9)):
        sold_by, group, unit = rng.choice(KINDS)
        found.append((f"thing:{number}", sold_by, group, unit, rng.choice((50, 100, 250, 1000))))
    return found


def made_floor(rng: random.Random, number: int, things: list[tuple[str, str, str, str, int]]) -> Any:
    bill = tuple(
        line(
            code,
            group,
            rng.randint(1, 60_000),
            unit=unit,
            sold_by=sold_by,
            pack=pack if sold_by == "box" else 1,
            bought=rng.randint(1, 300),
            weight_lb=rng.randint(0, 99_999) / 160,
        )
        for code, sold_by, group, unit, pack in rng.sample(things, rng.randint(1, len(things)))
    )
    made = replace(floor(f"F{number}", repeat=rng.randint(1, 5)), bill=bill)
    return replace(made, pieces=made.pieces[: rng.randint(0, 5)])


def made_up(rng: random.Random) -> tuple[PackageResult, PriceTable, Terms]:
    things = catalogue(rng)
    floors = [made_floor(rng, number, things) for number in range(rng.randint(1, 4))]
    loads = tuple(
        TruckLoad(number, (), (), rng.choice((1500.0, rng.uniform(10, 48_000))))
        for number in range(rng.randint(0, 4))
    )
    rows = {
        code: PriceRow(code, code, sold_by, rng.choice(("material", "labour")), rate(rng), rate(rng))
        for code, sold_by, *_ in things
    }
    rows |= {
        code: PriceRow(code, code, "piece", "labour", rate(rng), rate(rng))
        for code in ("cutting", "punching")
    }
    trucks = (
        TruckRow("Van", 1500, Decimal("95.35"), Decimal(60)),
        TruckRow("Small", 9000, Decimal("240.15"), Decimal(1)),
    )
    prices = table(
        rows=rows,
        surcharge_per_lb=rng.choice((Decimal(0), Decimal("0.0375"), Decimal("0.04"))),
        tiers={"t": share(rng, 2000)},
        freight={"z": FreightRow(Decimal("390.25"), Decimal(300), rng.choice(((), trucks, trucks[:1])))},
        taxes={
            (place, kind): Decimal(rng.choice((0, rng.randint(1, 20_000)))) / 100_000
            for place in PLACES
            for kind in ("material", "labour", "freight")
        },
    )
    codes = [*rows, "not-there"]
    lines = {code: share(rng, 9999) for code in rng.sample(codes, rng.randint(0, min(4, len(codes))))}
    return (
        package_of(floors, loads),
        prices,
        Terms(rng.choice(("", "t")), "z", rng.choice(PLACES), share(rng, 4000), lines),
    )


def package_of(floors: list[Any], loads: tuple[TruckLoad, ...]) -> PackageResult:
    return replace(package(*floors), loads=loads)


def priced_of(result: PackageResult, prices: PriceTable, terms: Terms) -> PricedPackage:
    return price_package(
        result,
        prices,
        tier=terms.tier,
        freight_zone=terms.zone,
        tax_place=terms.place,
        discount_share=terms.total,
        line_discounts=terms.lines,
    )


def test_random_quotes_equal_the_oracle_to_the_cent_line_by_line() -> None:
    seen_lines = discounted = trucks = 0
    for seed in range(QUOTES):
        rng = random.Random(seed)  # noqa: S311  # a seed to repeat a case by
        result, prices, terms = made_up(rng)
        priced = priced_of(result, prices, terms)
        wanted = reckon(result, prices, terms)
        found = {entry.code: entry for entry in priced.lines}
        assert found.keys() == wanted.keys(), f"seed {seed}"
        for code, row in wanted.items():
            entry = found[code]
            got = (entry.quantity, entry.unit_price, entry.extension, entry.tax, entry.cost, entry.item_class)
            assert got == (row.quantity, row.unit, row.amount, row.tax, row.cost, row.kind), (
                f"seed {seed}, {code}"
            )
        freight = sum(row.amount for row in wanted.values() if row.kind == "freight")
        goods = sum(row.amount for row in wanted.values() if row.kind != "freight")
        tax = sum(row.tax for row in wanted.values())
        assert (priced.goods, priced.freight, priced.tax) == (goods, freight, tax), f"seed {seed}"
        assert priced.total == goods + freight + tax, f"seed {seed}"
        assert priced.cost == sum(row.cost for row in wanted.values()), f"seed {seed}"
        seen_lines += len(wanted)
        discounted += any(code.startswith("less:") for code in wanted)
        trucks += any(code.startswith("freight:") for code in wanted)
    assert seen_lines >= 1000
    assert discounted >= 30, "the cases hold discounts of lines"
    assert trucks >= 30, "the cases hold smaller trucks"


def test_floors_add_up_to_the_quote_to_the_cent_and_nobody_bears_what_he_has_not() -> None:
    for seed in range(QUOTES):
        rng = random.Random(10_000 + seed)  # noqa: S311
        result, prices, terms = made_up(rng)
        priced = priced_of(result, prices, terms)
        for entry in priced.lines:
            assert sum(s.extension for s in entry.shares) == entry.extension, f"seed {seed}, {entry.code}"
            assert sum(s.tax for s in entry.shares) == entry.tax, f"seed {seed}, {entry.code}"
            for made, borne in zip(result.floors, entry.shares, strict=True):
                has = any(part.code == entry.code for part in made.bill)
                if entry.code.startswith("thing:") and not has:
                    assert borne.extension == 0, f"seed {seed}, {entry.code}"
        assert sum(f.total for f in priced.floors) == priced.total, f"seed {seed}"
