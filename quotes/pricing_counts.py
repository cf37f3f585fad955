"""Quantities of a whole order out of the floors' bills, before they meet a price (R31, R38). Pure.

Equal bill lines of all floors (times their repeats) are one line, so a box that two floors share is bought
once: exact counts are added up, then come allowance and boxes. Sticks and sheets are cut per floor, so those
are added up as bought.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil
from typing import Final

from framing.engine.practice import Practice
from framing.engine.result import BomLine, FloorResult, PackageResult
from framing.engine.units import format_length
from quotes.pricing_table import CUTTING, PUNCHING, RATE, TENTH, Reason

SIXTEENTHS_PER_FT: Final = 192
_Part = tuple[int, FloorResult, BomLine]


@dataclass(frozen=True, slots=True)
class Count:
    """A quantity before it is priced.

    Attributes:
        weights: how much of it each floor needs, in the floors' order; a line is shared by floors in that proportion.
        sold_by: the unit that the bill counts in; "" where the price book's own unit holds (shop work).
    """

    group: str
    code: str
    description: str
    quantity: Decimal
    explain: tuple[Reason, ...]
    exact: Decimal
    exact_unit: str
    weights: tuple[Fraction, ...]
    sold_by: str = ""


def package_counts(result: PackageResult, practice: Practice) -> list[Count]:
    """Everything that is priced by quantity: bill lines, cutting and punching; nothing of quantity 0."""
    merged: dict[str, list[_Part]] = {}
    for index, floor in enumerate(result.floors):
        for line in floor.bill:
            merged.setdefault(line.code, []).append((index, floor, line))
    size = len(result.floors)
    counts = [_bill_count(code, parts, practice, size) for code, parts in merged.items()]
    counts += [_cutting(result), _punching(result)]
    return [count for count in counts if count.quantity > 0]


def steel_lb(floor: FloorResult) -> Decimal:
    """Weight of rolled steel (joists, built-up members, blocks) of a floor with its repeats, not rounded."""
    return sum(
        (Decimal(repr(line.weight_lb)) * floor.plan.repeat for line in floor.bill if line.group == "members"),
        Decimal(0),
    )


def rolled_lb(result: PackageResult) -> Decimal:
    """Rolled steel of the package to a tenth of a pound."""
    return sum(map(steel_lb, result.floors), Decimal(0)).quantize(TENTH, ROUND_HALF_UP)


def floor_lb(floor: FloorResult) -> Fraction:
    """Everything that a floor with its repeats puts on a truck, in pounds."""
    return sum((Fraction(repr(line.weight_lb)) for line in floor.bill), Fraction(0)) * floor.plan.repeat


def _bill_count(code: str, parts: list[_Part], practice: Practice, size: int) -> Count:
    first = parts[0][2]
    exact = sum(line.exact * floor.plan.repeat for _, floor, line in parts)
    explain = [reason for _, floor, line in parts for reason in _reasons(floor, line)]
    quantity, step = _quantity(parts, exact, practice)
    whole = first.sold_by not in ("ft", "box")
    weights = [Fraction(0)] * size
    for index, floor, line in parts:
        weights[index] += (line.bought if whole else line.exact) * floor.plan.repeat
    in_feet = first.unit == "length_16"
    shown = (Decimal(exact) / SIXTEENTHS_PER_FT).quantize(RATE, ROUND_HALF_UP) if in_feet else Decimal(exact)
    return Count(
        first.group,
        code,
        first.description,
        quantity,
        (*explain, *step),
        shown,
        "ft" if in_feet else "piece",
        tuple(weights),
        first.sold_by,
    )


def _quantity(parts: list[_Part], exact: int, practice: Practice) -> tuple[Decimal, tuple[Reason, ...]]:
    """What is bought of a bill line, and the step of rounding up to it."""
    first = parts[0][2]
    if first.sold_by == "ft" and first.group == "members":
        return (Decimal(exact) / SIXTEENTHS_PER_FT).quantize(RATE, ROUND_HALF_UP), ()
    if first.sold_by == "ft":
        feet = Decimal(ceil(Fraction(exact, SIXTEENTHS_PER_FT)))
        return feet, (Reason("rounded up to whole feet", "R38", f"{feet} ft"),)
    if first.sold_by == "box":
        percent = practice.fastener_allowance_percent
        boxes = Decimal(ceil(Fraction(exact * (100 + percent), 100 * first.pack)))
        words = f"{exact:,} and {percent} % allowance, in boxes of {first.pack:,}"
        return boxes, (Reason(words, "R31", f"{boxes} box" if boxes == 1 else f"{boxes} boxes"),)
    return Decimal(sum(line.bought * floor.plan.repeat for _, floor, line in parts)), ()


def _reasons(floor: FloorResult, line: BomLine) -> Iterator[Reason]:
    repeat = floor.plan.repeat
    times = f" × {repeat}" if repeat > 1 else ""  # noqa: RUF001
    for term in line.terms:
        amount = term.quantity * repeat
        figure = format_length(amount, floor.plan.units) if line.unit == "length_16" else f"{amount:,}"
        yield Reason(f"{floor.plan.name}{times}: {term.words}", term.rule, figure)


def _cutting(result: PackageResult) -> Count:
    """Every piece of the cut list is cut once; blocks are priced ready cut."""
    numbers = [len(floor.pieces) * floor.plan.repeat for floor in result.floors]
    return _shop_work(result, numbers, CUTTING, "Cutting to length", "pieces to roll and cut", "R38")


def _punching(result: PackageResult) -> Count:
    numbers = [
        sum(len(member.holes_16) * member.plies for member in floor.members) * floor.plan.repeat
        for floor in result.floors
    ]
    return _shop_work(result, numbers, PUNCHING, "Punching service holes", "service holes", "R10")


def _shop_work(
    result: PackageResult, numbers: list[int], code: str, title: str, words: str, rule: str
) -> Count:
    explain = tuple(
        Reason(f"{floor.plan.name}: {words}", rule, f"{number:,}")
        for floor, number in zip(result.floors, numbers, strict=True)
    )
    total = Decimal(sum(numbers))
    return Count("shop", code, title, total, explain, total, "piece", tuple(map(Fraction, numbers)))
