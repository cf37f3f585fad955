"""Parts of the figures page: plots with their tables, and for each figure the address of the quotes it counts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.urls import reverse

from framing.common.templatetags.figures import money, percent
from framing.drawing.plots import (
    NARROW,
    WIDE,
    Category,
    Plot,
    PlotSize,
    Row,
    Series,
    bars_svg,
    lines_svg,
    rows_svg,
)
from quotes.figures_asked import Asked
from quotes.figures_shapes import DECIDED, LOST, WON, CurrencyFigures, Figures, Month, Tally

LONG = 24  # from so many months on a phone scrolls the wide plot
_OUTCOMES = {WON: ("Booked", "booked"), LOST[0]: ("Declined", "declined"), LOST[1]: ("Lapsed", "lapsed")}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A plot as SVG for wide pages and one for phones; a long one scrolls there instead."""

    wide: str
    narrow: str | None


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure and the address of the quotes that it counts; without any there is none."""

    words: str
    url: str


@dataclass(frozen=True, slots=True)
class TableRow:
    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class CurrencyPart:
    """What the page shows of one currency."""

    figures: CurrencyFigures
    months: tuple[TableRow, ...]
    total: TableRow
    values: Drawn | None
    margins: Drawn | None
    reasons: tuple[TableRow, ...]
    why: Drawn | None


class Page:
    """Makes the parts of one page; every figure's address has the page's period and seller."""

    def __init__(self, figures: Figures, asked: Asked) -> None:
        self.figures, self.asked = figures, asked

    def parts(self) -> dict[str, Any]:
        """The context of the figures page."""
        figures = self.figures
        return {
            "figures": figures,
            "outcomes": self._outcomes(),
            "rate": figures.rate,
            "decided_url": self._url("decided"),
            "answered_url": self._url("answered"),
            "currencies": [self._currency(each) for each in figures.currencies],
            "many": len(figures.currencies) > 1,
        }

    def _url(self, what: str, **more: str) -> str:
        query = {**self.asked.query, "what": what, **more}
        return reverse("quotes:figures_quotes", query=query)

    def _cells(self, what: str, currency: str, tally: Tally, **more: str) -> tuple[Cell, Cell]:
        url = self._url(what, currency=currency, **more) if tally.count else ""
        return Cell(f"{tally.count:,}", url), Cell(money(tally.value, currency), url)

    # --- won and lost ---

    def _outcomes(self) -> list[TableRow]:
        """A row a stage: the count over all currencies, then each currency's value."""
        rows = []
        for stage in DECIDED:
            name, what = _OUTCOMES[stage]
            tallies = [(each.currency, each.outcomes[stage]) for each in self.figures.currencies]
            rows.append(self._outcome(name, what, tallies))
        decided = [(each.currency, each.decided) for each in self.figures.currencies]
        rows.append(self._outcome("Decided", "decided", decided))
        return rows

    def _outcome(self, name: str, what: str, tallies: list[tuple[str, Tally]]) -> TableRow:
        count = sum(tally.count for _, tally in tallies)
        values = (self._cells(what, currency, tally)[1] for currency, tally in tallies)
        return TableRow(name, (Cell(f"{count:,}", self._url(what) if count else ""), *values))

    # --- one currency ---

    def _currency(self, each: CurrencyFigures) -> CurrencyPart:
        some = each.quoted.count or each.won.count
        return CurrencyPart(
            each,
            tuple(self._month(each.currency, month) for month in each.months),
            self._total(each),
            values_plot(each, self.asked.period.name) if some else None,
            margin_plot(each, self.asked.period.name) if each.earned and each.earned.count else None,
            tuple(
                TableRow(row.words, self._cells("lost", each.currency, row.lost, reason=row.reason))
                for row in each.reasons
            ),
            reasons_plot(each, self.asked.period.name) if each.reasons else None,
        )

    def _month(self, currency: str, month: Month) -> TableRow:
        cells = (
            *self._cells("quoted", currency, month.quoted, month=month.key),
            *self._cells("booked", currency, month.booked, month=month.key),
        )
        if month.earned is None:
            return TableRow(f"{month.first:%b %Y}", cells)
        url = self._url("margin", currency=currency, month=month.key) if month.earned.count else ""
        return TableRow(f"{month.first:%b %Y}", (*cells, Cell(percent(month.earned.margin), url)))

    def _total(self, each: CurrencyFigures) -> TableRow:
        cells = (
            *self._cells("quoted", each.currency, each.quoted),
            *self._cells("booked", each.currency, each.won),
        )
        if each.earned is None:
            return TableRow("Period", cells)
        url = self._url("margin", currency=each.currency) if each.earned.count else ""
        return TableRow("Period", (*cells, Cell(percent(each.earned.margin), url)))


# --- plots ---


def sign_of(currency: str) -> str:
    """What stands before an amount of the currency, as `money` writes it."""
    return money(Decimal(0), currency).removesuffix("0.00")


def _drawn(draw: Callable[[PlotSize], str], count: int) -> Drawn:
    return Drawn(draw(WIDE), draw(NARROW) if count <= LONG else None)


def _categories(months: tuple[Month, ...]) -> tuple[Category, ...]:
    return tuple(Category(f"{m.first:%b}", f"{m.first:%Y}", month_words(m.first)) for m in months)


def month_words(first: date) -> str:
    return f"{first:%B %Y}"


def values_plot(each: CurrencyFigures, period: str) -> Drawn:
    """Quoted beside booked value by month."""
    quoted = Series("Quoted", tuple(float(m.quoted.value) for m in each.months))
    booked = Series("Booked", tuple(float(m.booked.value) for m in each.months))
    desc = (
        f"Quoted {money(each.quoted.value, each.currency)}, booked {money(each.won.value, each.currency)},"
        f" before tax, in {len(each.months)} months. The table holds every number."
    )
    title = f"Quoted and booked value by month, {period}"
    plot = Plot(title, desc, _categories(each.months), (quoted, booked), sign_of(each.currency))
    return _drawn(lambda size: bars_svg(plot, size), len(each.months))


def margin_plot(each: CurrencyFigures, period: str) -> Drawn:
    """Margin by month of what was booked; a month without bookings is a gap."""
    margins = [m.earned.margin if m.earned else None for m in each.months]
    values = tuple(None if margin is None else float(margin) for margin in margins)
    overall = percent(each.earned.margin) if each.earned else ""
    desc = f"Margin of booked quotes, {overall} over the period. Months without bookings are gaps."
    title = f"Margin of booked quotes by month, {period}"
    plot = Plot(title, desc, _categories(each.months), (Series("Margin", values),), "%")
    return _drawn(lambda size: lines_svg(plot, size), len(each.months))


def reasons_plot(each: CurrencyFigures, period: str) -> Drawn:
    """Why quotes were lost, by count, with the value at the bar's end."""
    rows = [
        Row(row.words, row.lost.count, f"{row.lost.count:,}, {money(row.lost.value, each.currency)}")
        for row in each.reasons
    ]
    desc = f"{each.lost.count} lost quotes by reason, the most frequent first."
    title = f"Reasons of lost quotes, {period}"
    return _drawn(lambda size: rows_svg(title, desc, rows, size.width), 1)
