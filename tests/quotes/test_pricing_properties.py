"""Prices of made-up packages against a second way of reckoning, in fractions and whole cents."""

import random
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from quotes.pricing import FreightRow, PriceRow, price_package
from tests.factories.packages import floor, line, package
from tests.quotes.tables import table

CASES = 300
CLASSES = ("material", "labour", "freight")


def cents(amount: Fraction) -> int:
    """Whole cents, halves away from zero."""
    sign = -1 if amount < 0 else 1
    return sign * int(abs(amount) * 100 + Fraction(1, 2))


def made_up(rng: random.Random):
    """A package with random bills and a table that holds all its codes."""
    rows = {}
    lines_of = []
    for number in range(rng.randint(1, 6)):
        sold_by = rng.choice(["piece", "box", "ft", "sheet", "rolled"])
        code = f"thing:{number}"
        pack = rng.choice([100, 250, 1000]) if sold_by == "box" else 1
        group = {"rolled": "members", "box": "fasteners", "sheet": "boards"}.get(sold_by, "hardware")
        unit = "length_16" if sold_by in ("ft", "rolled") else "piece"
        lines_of.append((code, group, "ft" if sold_by == "rolled" else sold_by, pack, unit))
        kind = rng.choice(["material", "labour"])
        rows[code] = PriceRow(code, code, lines_of[-1][2], kind, money(rng), money(rng))
    for code in ("cutting", "punching"):
        rows[code] = PriceRow(code, code, "piece", "labour", money(rng), money(rng))
    floors = [
        replace(
            floor(f"F{i}", repeat=rng.randint(1, 4)),
            bill=tuple(
                made_up_line(rng, *entry) for entry in rng.sample(lines_of, rng.randint(1, len(lines_of)))
            ),
        )
        for i in range(rng.randint(1, 3))
    ]
    prices = table(
        rows=rows,
        surcharge_per_lb=rng.choice([Decimal(0), Decimal("0.0375")]),
        tiers={"t": Decimal(rng.randint(0, 2000)) / 10_000},
        freight={"z": FreightRow(money(rng).quantize(Decimal("0.01")), Decimal("1.00"))},
        taxes={("p", kind): Decimal(rng.randint(0, 20_000)) / 100_000 for kind in CLASSES},
    )
    return package(*floors, trucks=rng.randint(1, 4)), prices


def money(rng: random.Random) -> Decimal:
    return Decimal(rng.randint(1, 999_999)) / 10_000


def made_up_line(rng, code, group, sold_by, pack, unit):
    exact = rng.randint(1, 5000)
    return line(
        code,
        group,
        exact,
        sold_by=sold_by,
        pack=pack,
        unit=unit,
        bought=exact,
        weight_lb=rng.randint(0, 9999) / 16,
    )


def reckon(result, prices, discount: Fraction) -> dict[str, int]:
    """Goods, freight, tax and total in cents."""
    wanted: dict[str, list] = {}
    weight = Fraction(0)
    for made in result.floors:
        for entry in made.bill:
            wanted.setdefault(entry.code, [0, entry])[0] += entry.exact * made.plan.repeat
            weight += Fraction(entry.weight_lb) * made.plan.repeat if entry.group == "members" else 0
    amounts = []  # (class, cents, discountable)
    for code, (exact, entry) in wanted.items():
        quantity = Fraction(exact)
        if entry.sold_by == "box":
            quantity = Fraction(-(-exact * 105 // (100 * entry.pack)))
        elif entry.sold_by == "ft" and entry.group == "members":
            quantity = Fraction(int(Fraction(exact, 192) * 10_000 + Fraction(1, 2)), 10_000)
        elif entry.sold_by == "ft":
            quantity = Fraction(-(-exact // 192))
        row = prices.rows[code]
        amounts.append((row.item_class, cents(quantity * Fraction(row.price)), True))
    copies = sum(made.plan.repeat for made in result.floors)
    amounts.append(("labour", cents(copies * 5 * Fraction(prices.rows["cutting"].price)), True))
    amounts.append(("labour", cents(copies * 10 * Fraction(prices.rows["punching"].price)), True))
    tenths = Fraction(int(weight * 10 + Fraction(1, 2)), 10)
    amounts.append(("material", cents(tenths * Fraction(prices.surcharge_per_lb)), False))
    for kind in ("material", "labour"):
        left = sum(amount for its, amount, counts in amounts if its == kind and counts)
        for share in (Fraction(prices.tiers["t"]), discount):
            off = cents(Fraction(left, 100) * share)
            left -= off
            amounts.append((kind, -off, False))
    trucks = cents(len(result.loads) * Fraction(prices.freight["z"].price))
    tax = sum(cents(Fraction(a, 100) * Fraction(prices.taxes["p", kind])) for kind, a, _ in amounts)
    tax += cents(Fraction(trucks, 100) * Fraction(prices.taxes["p", "freight"]))
    goods = sum(amount for _, amount, _ in amounts)
    return {"goods": goods, "freight": trucks, "tax": tax, "total": goods + trucks + tax}


def test_sums_equal_a_second_way_of_reckoning():
    for seed in range(CASES):
        rng = random.Random(seed)  # noqa: S311  # a seed to repeat a case by
        result, prices = made_up(rng)
        discount = Decimal(rng.randint(0, 3000)) / 10_000
        priced = price_package(
            result, prices, tier="t", freight_zone="z", tax_place="p", discount_share=discount
        )
        wanted = reckon(result, prices, Fraction(discount))
        found = {name: int(getattr(priced, name) * 100) for name in wanted}
        assert found == wanted, f"seed {seed}"
        assert priced.total == sum(entry.extension + entry.tax for entry in priced.lines)
