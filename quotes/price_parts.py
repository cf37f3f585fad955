"""The money part of a quote's page: what each floor comes to, from the shares that its lines carry."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from framing.engine.result import PackageResult
from quotes.models import QuoteRevision
from quotes.pricing import FREIGHT


@dataclass(frozen=True, slots=True)
class FloorRow:
    """One floor with its repeats: goods and freight before tax, tax, and all of it."""

    name: str
    repeat: int
    goods: Decimal
    freight: Decimal
    tax: Decimal

    @property
    def total(self) -> Decimal:
        return self.goods + self.freight + self.tax


def floor_rows(revision: QuoteRevision, package: PackageResult) -> tuple[FloorRow, ...]:
    """What each floor bears of every line; the rows add up to the revision's sums, to the cent."""
    sums = [[Decimal(0)] * 3 for _ in package.floors]
    for line in revision.lines.all():
        for index, (extension, tax) in enumerate(line.shares):
            sums[index][1 if line.item_class == FREIGHT else 0] += Decimal(extension)
            sums[index][2] += Decimal(tax)
    return tuple(
        FloorRow(floor.plan.name, floor.plan.repeat, *amounts)
        for floor, amounts in zip(package.floors, sums, strict=True)
    )
