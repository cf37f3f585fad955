"""What pages show of alternates: the base offer and its alternates side by side (R42)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from framing.common.templatetags.figures import money
from framing.engine.result import PackageResult
from quotes import selectors
from quotes.alternate_figures import OfferFigures, figures_of, offer_figures
from quotes.forms import BASE_PICK
from quotes.models import Alternate, QuoteRevision

BASE = "Base offer"


@dataclass(frozen=True, slots=True)
class OfferColumn:
    """One offer of a revision; the base has no letter. `margin` is for staff only (R39)."""

    letter: str
    label: str
    figures: OfferFigures
    fits: bool
    goods: Decimal
    freight: Decimal
    tax: Decimal
    total: Decimal
    difference: Decimal
    margin: Decimal | None
    picked: bool

    @property
    def name(self) -> str:
        return f"Alternate {self.letter}" if self.letter else BASE


def offer_columns(revision: QuoteRevision, package: PackageResult) -> tuple[OfferColumn, ...]:
    """The base offer, whose package it is, then its alternates by letter; empty where there are none."""
    alternates = list(selectors.alternate_list(revision).defer(*selectors.ALTERNATE_BIG))
    if not alternates:
        return ()
    acceptance = getattr(revision, "acceptance", None)
    picked = (acceptance.alternate_id or 0) if acceptance else None
    base = _column(revision, revision, "", BASE, offer_figures(package), picked=picked == 0)
    others = (
        _column(revision, one, one.letter, one.label, figures_of(one.figures), picked=picked == one.pk)
        for one in alternates
    )
    return (base, *others)


def _column(
    revision: QuoteRevision,
    offer: QuoteRevision | Alternate,
    letter: str,
    label: str,
    figures: OfferFigures,
    *,
    picked: bool,
) -> OfferColumn:
    return OfferColumn(
        letter=letter,
        label=label,
        figures=figures,
        fits=offer.fits,
        goods=offer.goods,
        freight=offer.freight,
        tax=offer.tax,
        total=offer.total,
        difference=offer.total - revision.total,
        margin=offer.margin,
        picked=picked,
    )


def pick_choices(revision: QuoteRevision) -> list[tuple[str, str]]:
    """What can be accepted: (letter or BASE_PICK, words with the total); empty where there is no choice."""
    rows = list(selectors.alternate_list(revision).defer("floors", "result"))
    if not rows:
        return []
    base = f"{BASE}, {money(revision.total, revision.currency)}"
    words = (f"Alternate {row.letter}: {row.label}, {money(row.total, revision.currency)}" for row in rows)
    return [(BASE_PICK, base), *zip((row.letter for row in rows), words, strict=True)]
