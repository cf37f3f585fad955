"""A project's floors through the engine, and a result through the price table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from framing.common.errors import Refused
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import EngineError
from framing.engine.pipeline import design_package
from framing.engine.result import PackageResult
from framing.projects.design import plan_of, refusal
from framing.projects.models import PracticeSet, Project
from framing.projects.selectors import floor_state_list, practice_of
from framing.projects.services import practice_set_current
from quotes.models import LineDiscount, PriceBook, QuoteLine, QuoteRevision
from quotes.pricing import MissingPrices, PricedLine, PricedPackage, price_package
from quotes.selectors import discountable_lines, price_table, site_zone
from quotes.snapshots import package_to_json


@dataclass(frozen=True, slots=True)
class Designed:
    """The floors of a project as documents, and what the engine made of them."""

    floors: list[dict[str, Any]]
    result: PackageResult
    practice_set: PracticeSet


def design_project(project: Project, *, at: datetime) -> Designed:
    """Design all floors of a project as they are saved now.

    Raises Refused: no floor, or a floor that cannot be built (R51; `detail` lists the places).
    """
    practice_set = practice_set_current(at=at)
    practice = practice_of(practice_set)
    states = floor_state_list(project)
    if not states:
        raise Refused("The project has no floor yet. Draw one, then quote it.", field="project")
    floors = [
        {"floor": s.floor.public_id, "name": s.floor.name, "version": s.floor.version, "document": s.document}
        for s in states
    ]
    try:
        plans = tuple(plan_of(state.document, practice) for state in states)
        result = design_package(plans, load_catalogue(), practice)
    except EngineError as error:
        raise refusal(error) from error
    return Designed(floors, result, practice_set)


def price_draft(
    revision: QuoteRevision, result: PackageResult, book: PriceBook, discounts: Mapping[str, Decimal]
) -> PricedPackage:
    """Price a result for the revision's builder and site, its discount and those of single lines.

    Raises Refused naming every price that the book lacks (`detail` lists them).
    """
    project = revision.quote.project
    try:
        return price_package(
            result,
            price_table(book),
            tier=project.builder.tier,
            freight_zone=site_zone(project.site, book),
            tax_place=project.site.tax_place,
            discount_share=revision.discount_share,
            line_discounts=discounts,
            practice=practice_of(revision.practice_set),
        )
    except MissingPrices as error:
        detail = [
            {"code": entry.code, "message": f"The price book lacks {entry.words}."} for entry in error.missing
        ]
        raise Refused(str(error), field="prices", detail=detail) from error


def set_design(revision: QuoteRevision, designed: Designed) -> None:
    """Put the engine's answer on a draft, not saved yet."""
    revision.floors = designed.floors
    revision.result = package_to_json(designed.result)
    revision.practice_set = designed.practice_set
    revision.engine_version = designed.result.engine_version
    revision.catalogue_version = designed.result.catalogue_version
    revision.fits = all(floor.passes for floor in designed.result.floors)


def set_prices(
    revision: QuoteRevision, book: PriceBook, priced: PricedPackage, discounts: Mapping[str, Decimal]
) -> None:
    """Save a draft with its prices; its lines and their discounts are written anew (see `prune_discounts`)."""
    revision.price_book = book
    revision.currency = book.currency
    revision.goods, revision.freight = priced.goods, priced.freight
    revision.tax, revision.total = priced.tax, priced.total
    revision.cost = priced.cost
    revision.save()
    revision.lines.all().delete()
    QuoteLine.objects.bulk_create(
        [
            QuoteLine(revision=revision, **line_values(position, line))
            for position, line in enumerate(priced.lines, start=1)
        ]
    )
    revision.line_discounts.all().delete()
    LineDiscount.objects.bulk_create(
        [
            LineDiscount(revision=revision, code=code, share=share)
            for code, share in discounts.items()
            if share
        ]
    )


def prune_discounts(draft: QuoteRevision) -> None:
    """Take away discounts of lines that neither the base offer nor an alternate of the draft holds any more."""
    held = {code for code, *_ in discountable_lines(draft)}
    draft.line_discounts.exclude(code__in=held).delete()


def line_values(position: int, line: PricedLine) -> dict[str, Any]:
    """The stored fields of a priced line."""
    return {
        "position": position,
        "group": line.group,
        "code": line.code,
        "description": line.description,
        "item_class": line.item_class,
        "exact": line.exact,
        "exact_unit": line.exact_unit,
        "quantity": line.quantity,
        "sold_by": line.sold_by,
        "unit_price": line.unit_price,
        "unit_cost": line.unit_cost,
        "tier_share": line.tier_share,
        "extension": line.extension,
        "tax": line.tax,
        "shares": [[str(share.extension), str(share.tax)] for share in line.shares],
        "explain": [asdict(reason) for reason in line.explain],
    }


def read_share(value: Decimal | int | str) -> Decimal:
    """A discount as a share from 0 up to 1, to four places. Raises Refused."""
    share = Decimal(value)
    if not share.is_finite() or not 0 <= share < 1:
        raise Refused("A discount is from 0 % up to, not including, 100 %.", field="discount_share")
    if share != share.quantize(Decimal("0.0001")):
        raise Refused("A discount has at most two decimals of a per cent.", field="discount_share")
    return share
