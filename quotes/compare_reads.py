"""Stored revisions and alternates as offers to compare."""

from __future__ import annotations

from typing import Final

from django.db.models import Prefetch, QuerySet

from framing.common.errors import NotThere
from quotes.compare import compare
from quotes.compare_shapes import Comparison, Fact, Offer, OfferFloor
from quotes.models import Alternate, Quote, QuoteRevision
from quotes.selectors import ALTERNATE_BIG, package_of, revision_list

WHEN_ISSUED: Final = "set when issued"


def offer_of(revision: QuoteRevision, alternate: Alternate | None = None) -> Offer:
    """A revision's base offer, or one of its alternates."""
    what = alternate or revision
    results = package_of(what).floors
    floors = zip(what.floors, results, strict=True)
    title = f"{revision}, alternate {alternate.letter}" if alternate else str(revision)
    return Offer(
        title=title,
        floors=tuple(OfferFloor(entry["floor"], entry["document"], result) for entry, result in floors),
        lines=tuple(what.lines.all()),
        goods=what.goods,
        freight=what.freight,
        tax=what.tax,
        total=what.total,
        cost=what.cost,
        facts=_facts(revision),
        currency=revision.currency,
    )


def _facts(revision: QuoteRevision) -> tuple[Fact, ...]:
    until = f"{revision.valid_day:%b %d, %Y}" if revision.valid_day else WHEN_ISSUED
    discounts = ", ".join(
        f"{row.code} {row.share * 100:.2f} %" for row in revision.line_discounts.order_by("code")
    )
    return (
        Fact("Terms", revision.terms),
        Fact("Lead time", f"{revision.lead_time_days} days"),
        Fact("Valid until", until),
        Fact("Currency", revision.currency),
        Fact("Price book", str(revision.price_book), inside=True),
        Fact("Discount on the total", f"{revision.discount_share * 100:.2f} %", inside=True),
        Fact("Discounts of lines", discounts, inside=True),
        Fact("Practice set", str(revision.practice_set), inside=True),
        Fact("Engine", f"{revision.engine_version}, catalogue {revision.catalogue_version}", inside=True),
    )


def offer_names(quote: Quote) -> list[tuple[str, str]]:
    """What can be compared, newest first: (name, words), such as (“2A”, “R2, alternate A: Deeper joist”)."""
    found = []
    alternates = Prefetch("alternates", Alternate.objects.defer(*ALTERNATE_BIG))
    for revision in revision_list(quote).prefetch_related(alternates):
        draft = "" if revision.issued_at else ", draft"
        found.append((str(revision.number), f"R{revision.number}{draft}"))
        found += [
            (
                f"{revision.number}{one.letter}",
                f"R{revision.number}{draft}, alternate {one.letter}: {one.label}",
            )
            for one in revision.alternates.all()
        ]
    return found


def offer_named(quote: Quote, name: str) -> Offer:
    """The offer of a name of `offer_names`. Raises NotThere."""
    number, letter = (name[:-1], name[-1]) if name[-1:].isalpha() else (name, "")
    if not (number.isascii() and number.isdigit()) or len(number) > 5:
        raise NotThere()
    revision = _whole(quote).filter(number=int(number)).first()
    if revision is None:
        raise NotThere()
    alternate = revision.alternates.filter(letter=letter).first() if letter else None
    if letter and alternate is None:
        raise NotThere()
    return offer_of(revision, alternate)


def offers_usual(quote: Quote) -> tuple[str, str]:
    """What one compares unasked: the newest revision with the one before it; one alone with its first alternate.

    Raises NotThere where there is only one offer.
    """
    numbers = list(quote.revisions.order_by("-number").values_list("number", flat=True)[:2])
    if len(numbers) > 1:
        return str(numbers[1]), str(numbers[0])
    letter = Alternate.objects.filter(revision__quote=quote).values_list("letter", flat=True).first()
    if not numbers or letter is None:
        raise NotThere("There is only one offer on this quote; nothing can be compared yet.")
    return str(numbers[0]), f"{numbers[0]}{letter}"


def offer_before(revision: QuoteRevision) -> QuoteRevision | None:
    """The offer that the builder had before this one, without its big columns."""
    earlier = revision.quote.revisions.filter(number__lt=revision.number, issued_at__isnull=False)
    return earlier.defer("floors", "result").order_by("-number").first()


def comparison_with_last(revision: QuoteRevision) -> Comparison:
    """An issued revision against the offer before it. Raises NotThere where there was none."""
    before = offer_before(revision)
    if before is None:
        raise NotThere()
    return compare(offer_of(_whole(revision.quote).get(pk=before.pk)), offer_of(revision))


def _whole(quote: Quote) -> QuerySet[QuoteRevision]:
    return QuoteRevision.objects.filter(quote=quote).select_related("quote", "price_book", "practice_set")
