"""What figures are made of, and how they follow from sums (pure): rates, margins, months without anything.

Money is before tax and never summed over currencies. A quote counts once, by its accepted offer or else its newest
issued one, and only while it is decided: booked, declined or lapsed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from quotes.pricing_table import margin_of
from quotes.states import QuoteStage

WON: Final = QuoteStage.BOOKED
LOST: Final = (QuoteStage.DECLINED, QuoteStage.LAPSED)
DECIDED: Final = (WON, *LOST)


@dataclass(frozen=True, slots=True)
class Tally:
    """How many quotes, and their value before tax in one currency."""

    count: int = 0
    value: Decimal = Decimal(0)

    def __add__(self, other: Tally) -> Tally:
        return Tally(self.count + other.count, self.value + other.value)


@dataclass(frozen=True, slots=True)
class Earned:
    """Price before tax and cost of booked quotes whose cost the reader may see."""

    count: int = 0
    price: Decimal = Decimal(0)
    cost: Decimal = Decimal(0)

    def __add__(self, other: Earned) -> Earned:
        return Earned(self.count + other.count, self.price + other.price, self.cost + other.cost)

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price of all together (R39); None where nothing was booked."""
        return margin_of(self.price, self.cost)


@dataclass(frozen=True, slots=True)
class Rate:
    """Won of decided; None where nothing was decided."""

    won: Decimal
    decided: Decimal

    @property
    def share(self) -> Decimal | None:
        return self.won / self.decided if self.decided else None


@dataclass(frozen=True, slots=True)
class Month:
    """One month of one currency: quotes first issued in it, quotes decided in it."""

    first: date
    quoted: Tally
    booked: Tally
    lost: Tally
    earned: Earned | None

    @property
    def key(self) -> str:
        return f"{self.first:%Y-%m}"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why quotes were lost: a value and words of `LostReason`."""

    reason: str
    words: str
    lost: Tally


@dataclass(frozen=True, slots=True)
class Sums:
    """What the database adds up for one currency; months by their first day."""

    quoted: Mapping[date, Tally]
    decided: Mapping[tuple[str, date], Tally]
    reasons: tuple[Reason, ...]
    earned: Mapping[date, Earned] | None


@dataclass(frozen=True, slots=True)
class CurrencyFigures:
    """All figures of one currency in a period."""

    currency: str
    months: tuple[Month, ...]
    outcomes: Mapping[str, Tally]
    reasons: tuple[Reason, ...]
    earned: Earned | None

    @property
    def decided(self) -> Tally:
        return add(self.outcomes.values())

    @property
    def won(self) -> Tally:
        return self.outcomes[WON]

    @property
    def lost(self) -> Tally:
        return add(self.outcomes[stage] for stage in LOST)

    @property
    def quoted(self) -> Tally:
        return add(month.quoted for month in self.months)

    @property
    def rate_by_count(self) -> Rate:
        return Rate(Decimal(self.won.count), Decimal(self.decided.count))

    @property
    def rate_by_value(self) -> Rate:
        return Rate(self.won.value, self.decided.value)


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of a period. `margins` tells whose margins are in it: “all”, “own” or “none”."""

    currencies: tuple[CurrencyFigures, ...]
    answered: int
    median: timedelta | None
    margins: str

    @property
    def rate(self) -> Rate:
        """By count, over all currencies."""
        found = [figures.rate_by_count for figures in self.currencies]
        zero = Decimal(0)
        return Rate(sum((r.won for r in found), zero), sum((r.decided for r in found), zero))

    @property
    def median_days(self) -> float | None:
        return None if self.median is None else self.median / timedelta(days=1)

    def count(self, stage: str) -> int:
        """How many quotes came to a stage, over all currencies."""
        return sum(figures.outcomes[stage].count for figures in self.currencies)


def add(tallies: Iterable[Tally]) -> Tally:
    return sum(tallies, Tally())


def figures_of(currency: str, months: Iterable[date], sums: Sums) -> CurrencyFigures:
    """Put the sums of one currency into their months; a month without any is there with nothing."""
    nothing = Tally()
    rows = tuple(
        Month(
            first,
            sums.quoted.get(first, nothing),
            sums.decided.get((WON, first), nothing),
            add(sums.decided.get((stage, first), nothing) for stage in LOST),
            None if sums.earned is None else sums.earned.get(first, Earned()),
        )
        for first in months
    )
    outcomes = {
        stage.value: add(tally for (at, _), tally in sums.decided.items() if at == stage) for stage in DECIDED
    }
    earned = None if sums.earned is None else sum(sums.earned.values(), Earned())
    return CurrencyFigures(currency, rows, outcomes, sums.reasons, earned)
