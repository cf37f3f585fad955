"""Parts of the shop's figures: plots, tables and files, all from the same rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from framing.common.templatetags.figures import percent
from framing.drawing.plots import (
    Category,
    Plot,
    Row,
    Series,
    bars_svg,
    rows_svg,
)
from orders.shop_figures import Rolled, summed
from orders.shop_figures_claim_part import claims_part
from orders.shop_figures_reads import ShopFigures
from orders.shop_figures_shapes import NOTHING, Drawn, Part, Plots, Table, bundles_words, drawn_twice


def parts(figures: ShopFigures) -> tuple[Part, ...]:
    """Every section of the page, in its order."""
    return (
        _on_time(figures),
        _rolled(figures),
        _setups(figures),
        _scrap(figures),
        _backlog(figures),
        claims_part(figures.claims),
    )


def tables(figures: ShopFigures) -> dict[str, Table]:
    """The files that the page offers, by their names."""
    found = [part.table for part in parts(figures)] + [_late(figures)]
    return {table.key: table for table in found}


# --- sections ---


def _on_time(figures: ShopFigures) -> Part:
    rows = [*figures.on_time]
    total = summed(rows, figures.period.first)
    lines = [
        (f"{r.week:%Y-%m-%d}", f"{r.on_time}", f"{r.late}", f"{r.undated}", _share(r.share)) for r in rows
    ]
    lines.append(("All", f"{total.on_time}", f"{total.late}", f"{total.undated}", _share(total.share)))
    columns = ("Week of", "On time", "Late", "No day", "On time %")
    plots: Plots = ()
    if total.on_time + total.late:
        names = (("On time", "on_time"), ("Late", "late"))
        series = [Series(n, tuple(float(getattr(r, field)) for r in rows)) for n, field in names]
        desc = f"{total.on_time} of {total.on_time + total.late} orders were finished by their due day."
        plots = (("Orders finished, by week", _bars("Orders finished", desc, rows, series)),)
    words = (
        "An order counts in the week its last bundle was finished. It is on time where that was by its due day:"
        f" {figures.lead_days} working day{'' if figures.lead_days == 1 else 's'} before it is on site."
    )
    table = Table("on-time", "Orders finished", columns, tuple(lines))
    return Part("on-time", f"On time {_percent(total.share)}", words, plots, table)


def _late(figures: ShopFigures) -> Table:
    rows = tuple(
        (
            order.number,
            f"{order.due:%Y-%m-%d}" if order.due else "",
            f"{order.day:%Y-%m-%d}",
            f"{order.days_late}",
        )
        for order in figures.late
    )
    return Table("late", "Late orders", ("Order", "Due", "Finished", "Days late"), rows, texts=3)


def _rolled(figures: ShopFigures) -> Part:
    rows = figures.rolled
    lines = [_rolled_line(f"{row.week:%Y-%m-%d}", row) for row in rows]
    total = _rolled_total(figures)
    lines.append(_rolled_line("All", total))
    columns = ("Week of", "Bundles", "Feet", "Shifts", "Feet per shift", "Capacity per shift", "Used %")
    plots: Plots = ()
    if total.feet or total.shifts:
        made = Series("Rolled per shift", tuple(row.per_shift for row in rows))
        could = Series("Capacity per shift", tuple(row.capacity_per_shift for row in rows))
        desc = f"{total.feet:,.0f} ft finished in {total.shifts} shifts. The table holds every number."
        plots = (("Feet per shift against capacity", _bars("Feet per shift", desc, rows, [made, could])),)
    words = (
        "Feet of finished bundles, by the day they were finished; shifts and capacity are those of the lines as they"
        " are set up now, without closed days."
    )
    table = Table("feet", "Feet per shift", columns, tuple(lines))
    return Part("feet", "Feet per shift against capacity", words, plots, table)


def _rolled_total(figures: ShopFigures) -> Rolled:
    rows = figures.rolled
    return Rolled(
        figures.period.first,
        sum(row.feet for row in rows),
        sum(row.bundles for row in rows),
        sum(row.shifts for row in rows),
        sum(row.capacity_ft for row in rows),
        sum(row.setup_minutes for row in rows),
    )


def _rolled_line(name: str, row: Rolled) -> tuple[str, ...]:
    return (
        name, f"{row.bundles:,}", f"{row.feet:,.0f}", f"{row.shifts:,}", _feet(row.per_shift),
        _feet(row.capacity_per_shift), _share(row.share),
    )  # fmt: skip


def _setups(figures: ShopFigures) -> Part:
    rows, total = figures.rolled, _rolled_total(figures).setup_minutes
    lines = [(f"{row.week:%Y-%m-%d}", f"{row.setup_minutes:,}") for row in rows]
    lines.append(("All", f"{total:,}"))
    plots: Plots = ()
    if total:
        series = [Series("Minutes", tuple(float(row.setup_minutes) for row in rows))]
        desc = f"{total:,} minutes of change-over in the plans that held."
        plots = (("Change-over minutes planned, by week", _bars("Change-over minutes", desc, rows, series)),)
    words = "Minutes from one profile to the next, by the line plan that held on each day."
    table = Table("change-over", "Change-over", ("Week of", "Minutes"), tuple(lines))
    none = "No plan in this period has a change-over."
    return Part("change-over", "Change-over minutes planned", words, plots, table, none)


def _scrap(figures: ShopFigures) -> Part:
    rows = figures.scrap
    lines = [(row.reason, f"{row.pieces:,}", f"{row.feet:,.1f}") for row in rows]
    pieces, feet = sum(row.pieces for row in rows), sum(row.feet for row in rows)
    lines.append(("All", f"{pieces:,}", f"{feet:,.1f}"))
    plots: Plots = ()
    if rows:
        bars = [Row(row.reason, row.feet, f"{row.feet:,.1f} ft, {row.pieces:,}") for row in rows]
        desc = f"{pieces:,} pieces of {feet:,.1f} ft by reason, the most feet first."
        plots = (("Scrap by reason, feet and pieces", _rows("Scrap by reason", desc, bars)),)
    words = "Pieces that the shop scrapped and asked for again, on the day it did."
    table = Table("scrap", "Scrap", ("Reason", "Pieces", "Feet"), tuple(lines))
    return Part("scrap", "Scrap", words, plots, table)


def _backlog(figures: ShopFigures) -> Part:
    rows = figures.backlog
    lines = [(row.name, f"{row.orders:,}", f"{row.bundles:,}", f"{row.feet:,.0f}") for row in rows]
    bundles, feet = sum(row.bundles for row in rows), sum(row.feet for row in rows)
    lines.append(("All", "", f"{bundles:,}", f"{feet:,.0f}"))
    plots: Plots = ()
    if rows:
        bars = [Row(row.name, row.feet, f"{row.feet:,.0f} ft, {bundles_words(row.bundles)}") for row in rows]
        desc = f"{feet:,.0f} ft in {bundles:,} bundles that are not finished, by the week they are due in."
        plots = (("Feet to roll, by the week they are due in", _rows("Backlog by week", desc, bars)),)
    words = "Bundles of released, rolling and held orders that are not finished, as things stand now."
    table = Table("backlog", "Backlog", ("Due in the week of", "Orders", "Bundles", "Feet"), tuple(lines))
    return Part("backlog", "Backlog by week", words, plots, table, "Nothing waits to be rolled.")


# --- drawing and words ---


def _bars(title: str, desc: str, rows: Sequence[Any], series: Sequence[Series]) -> Drawn:
    categories = tuple(
        Category(f"{row.week:%b} {row.week.day}", f"{row.week:%Y}", f"week of {row.week:%b} {row.week.day}")
        for row in rows
    )
    plot = Plot(f"{title} by week", desc, categories, tuple(series))
    return drawn_twice(lambda size: bars_svg(plot, size), len(rows))


def _rows(title: str, desc: str, rows: list[Row]) -> Drawn:
    return drawn_twice(lambda size: rows_svg(title, desc, rows, size.width), 1)


def _share(value: float | None) -> str:
    return NOTHING if value is None else f"{value * 100:.1f}"


def _percent(value: float | None) -> str:
    return "" if value is None else percent(value)


def _feet(value: float | None) -> str:
    return NOTHING if value is None else f"{value:,.0f}"
