"""The section of the shop's figures on claims: their number for each 100 bundles received, each leading to its list."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse

from framing.drawing.plots import Category, Plot, Series, bars_svg
from orders.shop_figures_claims import KINDS, TOLD, ClaimMonth, together
from orders.shop_figures_shapes import NOTHING, Drawn, Part, Plots, Table, bundles_words, drawn_twice
from orders.states import ClaimKind


def claims_part(months: tuple[ClaimMonth, ...]) -> Part:
    """Bars of the kinds that are reported on site; the table has every kind, each number with its list."""
    rows, total = months, together(months)
    labels = [*(f"{row.first:%Y-%m}" for row in rows), "All"]
    lines = [_line(label, row) for label, row in zip(labels, (*rows, total), strict=True)]
    links = [_links(row) for row in (*rows, total)]
    names = [str(ClaimKind(kind).label) for kind in KINDS]
    columns = ("Month", "Bundles", *names, *(f"{name} per 100" for name in names[: len(TOLD)]), "All per 100")
    plots: Plots = ()
    if total.bundles and total.count():
        series = [Series(str(kind.label), tuple(row.per_100(kind) for row in rows)) for kind in TOLD]
        desc = f"{total.count():,} claims, {bundles_words(total.bundles)} received. The table holds every number."
        plots = (("Claims for each 100 bundles received, by month", _by_month(desc, rows, series)),)
    words = (
        "A claim counts in the month it was opened, on bundles, cartons and whole deliveries alike; a bundle in that in"
        " which its delivery was received. Numbers lead to the claims that they count."
    )
    table = Table("claims", "Claims", columns, tuple(lines), links=tuple(links))
    rate = total.per_100()
    heading = "Claims" if rate is None else f"Claims: {rate:.1f} for each 100 bundles received"
    return Part("claims", heading, words, plots, table, _no_claims(total))


def _line(label: str, row: ClaimMonth) -> tuple[str, ...]:
    counts = (f"{row.count(kind):,}" for kind in KINDS)
    return (label, f"{row.bundles:,}", *counts, *(_rate(row.per_100(kind)) for kind in (*TOLD, "")))


def _links(row: ClaimMonth) -> tuple[str, ...]:
    """Month and counts lead to the claims; bundles and rates do not."""
    everything, *kinds = (_claim_list(row, kind) if row.count(kind) else "" for kind in ("", *KINDS))
    return (everything, "", *kinds, *("" for _ in (*TOLD, "")))


def _claim_list(row: ClaimMonth, kind: str) -> str:
    return f"{reverse('orders:claim_list')}?{row.query(kind)}"


def _no_claims(total: ClaimMonth) -> str:
    if total.count():
        return f"{total.count():,} claims were opened, but no bundle was received in this period."
    return (
        f"No claim; {bundles_words(total.bundles)} received." if total.bundles else "Nothing in this period."
    )


def _by_month(desc: str, rows: Sequence[ClaimMonth], series: Sequence[Series]) -> Drawn:
    places = tuple(Category(f"{row.first:%b}", f"{row.first:%Y}", f"{row.first:%B %Y}") for row in rows)
    plot = Plot("Claims for each 100 bundles by month", desc, places, tuple(series))
    return drawn_twice(lambda size: bars_svg(plot, size), len(rows))


def _rate(value: float | None) -> str:
    return NOTHING if value is None else f"{value:.1f}"
