"""Claims against what was received, by month: whether the yard gets better (R49).

A claim counts on the day it was opened, a bundle on the day its delivery was received, both in the company's zone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Final
from urllib.parse import urlencode

from framing.common.zones import company_day
from orders.models import Bundle, Claim
from orders.states import ClaimKind
from quotes.figures_periods import Period

KINDS: Final = tuple(ClaimKind.values)
TOLD: Final = (ClaimKind.SHORT, ClaimKind.DAMAGED, ClaimKind.WRONG)
"""What the plot shows; the rest stands in the table."""


@dataclass(frozen=True, slots=True)
class ClaimMonth:
    """Days of one month, `first` to `last` within the period: claims opened by kind, and bundles received."""

    first: date
    last: date
    bundles: int
    by_kind: Mapping[str, int] = field(default_factory=dict)

    def count(self, kind: str = "") -> int:
        """Claims of a kind; without one, all."""
        return self.by_kind.get(kind, 0) if kind else sum(self.by_kind.values())

    def per_100(self, kind: str = "") -> float | None:
        """Claims for each 100 bundles received; None where no bundle was."""
        return 100 * self.count(kind) / self.bundles if self.bundles else None

    def query(self, kind: str = "") -> str:
        """The list of claims that is counted here, as parameters of its address."""
        pairs = {"state": "", "what": kind, "opened_from": f"{self.first}", "opened_to": f"{self.last}"}
        return urlencode({name: value for name, value in pairs.items() if value or name == "state"})


def by_month(
    opened: Iterable[tuple[date, str]],
    received: Iterable[date],
    months: Iterable[date],
    first: date,
    last: date,
) -> tuple[ClaimMonth, ...]:
    """A row a month of the period from `first` to `last`; `months` are their first days. Pure.

    Args:
        opened: day and kind of each claim.
        received: the day of each bundle.
    """
    kinds: dict[date, Counter[str]] = {}
    for day, kind in opened:
        kinds.setdefault(day.replace(day=1), Counter())[kind] += 1
    bundles = Counter(day.replace(day=1) for day in received)
    begins = sorted(months)
    ends = [date.fromordinal(month.toordinal() - 1) for month in begins[1:]] + [last]
    return tuple(
        ClaimMonth(max(month, first), end, bundles[month], dict(kinds.get(month, {})))
        for month, end in zip(begins, ends, strict=True)
    )


def together(rows: tuple[ClaimMonth, ...]) -> ClaimMonth:
    """All months of a period as one row."""
    kinds = {kind: sum(row.count(kind) for row in rows) for kind in KINDS}
    return ClaimMonth(rows[0].first, rows[-1].last, sum(row.bundles for row in rows), kinds)


def claim_months(period: Period) -> tuple[ClaimMonth, ...]:
    """Claims and received bundles of a period; two queries."""
    start, end = period.bounds
    claims = Claim.objects.filter(created_at__gte=start, created_at__lt=end).order_by()
    bundles = Bundle.objects.filter(
        delivery__delivered_at__gte=start, delivery__delivered_at__lt=end
    ).order_by()
    opened = [(_day(at), kind) for at, kind in claims.values_list("created_at", "kind")]
    received = [_day(at) for at in bundles.values_list("delivery__delivered_at", flat=True) if at is not None]
    return by_month(opened, received, period.months, period.first, period.last)


def _day(at: datetime) -> date:
    return company_day(at)
