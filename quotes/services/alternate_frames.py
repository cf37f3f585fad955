"""Framing and pricing of alternates: a revision's floors with choices or documents of their own put in.

Nothing here asks for a right or locks; the verbs that call it have done so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from framing.common.errors import Refused
from framing.engine.catalogue import load_catalogue
from framing.engine.document import dump_document, read_document
from framing.engine.errors import DocumentRefused, EngineError
from framing.engine.pipeline import design_package
from framing.engine.result import PackageResult
from framing.projects.design import plan_of, problems_of, refusal
from framing.projects.options import option_document, parse_option
from framing.projects.selectors import practice_of
from quotes.alternate_figures import offer_figures
from quotes.models import Alternate, AlternateLine, PriceBook, QuoteRevision
from quotes.pricing import PricedPackage
from quotes.selectors import package_of
from quotes.services.designing import line_values, price_draft
from quotes.snapshots import package_to_json

Entry = dict[str, Any]
"""A floor of a revision or alternate: {floor, name, version, document}, of an alternate with `own`."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One bay of one floor at another profile and spacing; `spacing` as a document writes it."""

    floor: str
    bay: str
    profile: str
    spacing: str


def framed_floors(
    floors: Sequence[Mapping[str, Any]], choices: Iterable[Choice], documents: Mapping[str, Any]
) -> list[Entry]:
    """The floors with documents, then choices, put in.

    Raises Refused: a floor, bay, profile or spacing that is not there, or a document that can't be read.
    """
    entries: dict[str, Entry] = {entry["floor"]: {**entry, "own": False} for entry in floors}
    for key, document in documents.items():
        _entry(entries, key)
        try:
            known = read_document(document)
        except DocumentRefused as error:
            raise refusal(error) from error
        entries[key] |= {"document": dump_document(known), "own": True}
    for choice in choices:
        _choose(_entry(entries, choice.floor), choice)
    return list(entries.values())


def _entry(entries: Mapping[str, Entry], key: str) -> Entry:
    if key not in entries:
        raise Refused(f"“{key[:40]}” is no floor of this quote.", field="floor")
    return entries[key]


def _choose(entry: Entry, choice: Choice) -> None:
    known = read_document(entry["document"])
    if choice.bay not in {bay.id for bay in known.bays}:
        raise Refused(f"{entry['name']} has no bay “{choice.bay[:20]}”.", field="bay")
    if parse_option(f"{choice.bay}:{choice.profile}:{choice.spacing}") is None:
        words = f"“{choice.profile[:40]}” at “{choice.spacing[:12]}” is not offered."
        raise Refused(f"{entry['name']}, bay {choice.bay}: {words}", field="choices")
    framed = option_document(known, choice.bay, choice.profile, choice.spacing)
    entry["document"] = dump_document(framed)


def design_floors(revision: QuoteRevision, floors: Sequence[Mapping[str, Any]]) -> PackageResult:
    """Design floors by the revision's practice set. Raises an EngineError."""
    practice = practice_of(revision.practice_set)
    plans = tuple(plan_of(entry["document"], practice) for entry in floors)
    return design_package(plans, load_catalogue(), practice)


def price_alternate(
    revision: QuoteRevision,
    letter: str,
    result: PackageResult,
    book: PriceBook,
    discounts: Mapping[str, Decimal],
) -> PricedPackage:
    """By the revision's book, discounts and terms. Raises Refused naming the alternate and what the book lacks."""
    try:
        return price_draft(revision, result, book, discounts)
    except Refused as error:
        raise Refused(
            f"Alternate {letter}: {error.message}", field=error.field, detail=error.detail
        ) from error


def store_alternate(alternate: Alternate, priced: PricedPackage) -> None:
    """Save an alternate with its prices; its lines are written anew."""
    alternate.goods, alternate.freight = priced.goods, priced.freight
    alternate.tax, alternate.total, alternate.cost = priced.tax, priced.total, priced.cost
    alternate.save()
    alternate.lines.all().delete()
    AlternateLine.objects.bulk_create(
        [
            AlternateLine(alternate=alternate, **line_values(position, line))
            for position, line in enumerate(priced.lines, start=1)
        ]
    )


def reprice_alternates(draft: QuoteRevision, book: PriceBook, discounts: Mapping[str, Decimal]) -> None:
    """Price the stored results of a draft's alternates anew; the engine is not asked."""
    for alternate in draft.alternates.all():
        result = package_of(alternate)
        store_alternate(alternate, price_alternate(draft, alternate.letter, result, book, discounts))


def reframe_alternates(
    draft: QuoteRevision, sources: Sequence[Alternate], book: PriceBook, discounts: Mapping[str, Decimal]
) -> list[str]:
    """Frame and price alternates again on the floors that the draft has now; `sources` are its own or the last one's.

    What can't be framed on these floors is left out; so is one of an issued revision, from which nobody can take it
    away, that the book can't price. Returns why, a sentence for each that fell out.

    Raises Refused where the book can't price an alternate of the draft itself.
    """
    left_out = []
    for source in sources:
        own = source.revision_id == draft.pk
        try:
            floors, result = _framed_again(draft, source)
            priced = price_alternate(draft, source.letter, result, book, discounts)
        except (Refused, EngineError) as error:
            if own and isinstance(error, Refused) and error.field == "prices":
                raise
            left_out.append(_why_left(source, error))
            if own:
                source.delete()
            continue
        again = source if own else Alternate(revision=draft, letter=source.letter)
        again.label, again.choices, again.floors = source.label, source.choices, floors
        set_result(again, result)
        store_alternate(again, priced)
    return left_out


def _why_left(source: Alternate, error: Refused | EngineError) -> str:
    why = error.message if isinstance(error, Refused) else problems_of(error)[0].message
    why = why.removeprefix(f"Alternate {source.letter}: ")
    return f"alternate {source.letter} “{source.label}”: {why}"


def _framed_again(draft: QuoteRevision, source: Alternate) -> tuple[list[Entry], PackageResult]:
    own = {entry["floor"]: entry["document"] for entry in source.floors if entry.get("own")}
    choices = [Choice(**choice) for choice in source.choices]
    floors = framed_floors(draft.floors, choices, own)
    refuse_base(draft, floors)
    return floors, design_floors(draft, floors)


def refuse_base(draft: QuoteRevision, floors: Sequence[Mapping[str, Any]]) -> None:
    """Raises Refused where the floors are the base offer's, word for word."""
    if [entry["document"] for entry in floors] == [entry["document"] for entry in draft.floors]:
        raise Refused("It is framed like the base offer. Choose another joist or spacing.", field="choices")


def set_result(alternate: Alternate, result: PackageResult) -> None:
    """Put the engine's answer on an alternate, not saved yet."""
    alternate.result = package_to_json(result)
    alternate.figures = asdict(offer_figures(result))
    alternate.fits = all(floor.passes for floor in result.floors)


def choices_json(choices: Iterable[Choice]) -> list[dict[str, str]]:
    return [asdict(choice) for choice in choices]
