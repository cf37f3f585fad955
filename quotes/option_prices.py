"""Prices of the option matrix (R18): each passing option framed in full, taken off and priced.

One option costs as much as designing the floor anew, so a call prices a few and says how many still wait; what
was priced is kept in the cache under the content it came from: the floor but for the bay's own profile and
spacing, practice, engine, catalogue, price book, tier and site words.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from time import monotonic
from typing import Any, Final

from django.core.cache import cache

from framing.common.errors import Refused
from framing.engine.catalogue import Catalogue, load_catalogue
from framing.engine.document import FloorDocument, dump_document, read_document
from framing.engine.errors import EngineError
from framing.engine.pipeline import ENGINE_VERSION, design_floor
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, Option, PackageResult
from framing.projects.design import plan_of, problems_of
from framing.projects.models import Project
from framing.projects.options import (
    OptionMatrix,
    OptionPrice,
    OptionPrices,
    option_document,
    option_matrix,
    spacing_typed,
)
from framing.projects.preview import Preview, preview_document
from framing.projects.selectors import practice_in_force
from quotes.models import PriceBook
from quotes.pricing import MissingPrices, PriceTable, price_package
from quotes.selectors import price_book_in_force, price_table, site_zone

OPTIONS_MOST: Final = 24
SECONDS_MOST: Final = 1.5
KEPT_S: Final = 24 * 3600
_UNBUILT, _FAILS = "Can't be built so", "Fails as framed"
_NO_PRICE: Final = "The price book lacks a price that this option needs."


_Outcome = tuple[Decimal | None, str, str, tuple[str, ...]]
"""Goods, problem and stops of an OptionPrice, and what the book lacks: plain, so that an old one still reads."""
_Kept = dict[tuple[str, float], _Outcome]


@dataclass(frozen=True, slots=True)
class _Terms:
    """All that prices depend on beside the floor."""

    project: Project
    practice: Practice
    book: PriceBook
    table: PriceTable


def priced_options(
    document: FloorDocument | Mapping[str, Any] | str | bytes, project: Project
) -> tuple[Preview, OptionMatrix | None]:
    """A floor of the project as the entry page shows it, and its matrix with the prices found so far.

    The matrix is None where the floor can't be read or built. Ask again while its `unpriced` is true.
    """
    practice = practice_in_force()
    preview = preview_document(document, practice)
    if preview.result is None:
        return preview, None
    known = document if isinstance(document, FloorDocument) else read_document(document)
    return preview, option_matrix(preview.result, price_options(known, preview.result, project, practice))


def price_options(
    document: FloorDocument,
    result: FloorResult,
    project: Project,
    practice: Practice,
    *,
    clock: Callable[[], float] = monotonic,
) -> OptionPrices:
    """Goods totals of the floor alone for its passing options, without freight, tax and manual discount.

    At most OPTIONS_MOST are designed, and none is begun after SECONDS_MOST; the lightest come first. In a
    floor of several bays the other bays stay as they are drawn. Nothing is raised: what hinders is told.
    """
    try:
        book = price_book_in_force()
    except Refused as error:
        return OptionPrices(problem=error.message)
    terms = _Terms(project, practice, book, price_table(book))
    passing = sorted((option for option in result.options if option.passes), key=lambda o: o.weight_lb)
    keys = {bay.id: _key(document, bay.id, terms) for bay in document.bays}
    kept: dict[str, _Kept] = {bay: cache.get(key) or {} for bay, key in keys.items()}
    open_ = [option for option in passing if (option.profile, option.spacing_in) not in kept[option.bay]]
    fresh = _price_some(open_, document, terms, clock)
    for bay, outcomes in fresh.items():
        kept[bay] |= outcomes
        cache.set(keys[bay], kept[bay], KEPT_S)
    done = sum(len(outcomes) for outcomes in fresh.values())
    return _prices(passing, kept, terms, len(open_) - done)


def _prices(
    passing: Iterable[Option], kept: Mapping[str, _Kept], terms: _Terms, waiting: int
) -> OptionPrices:
    found: dict[tuple[str, str, float], OptionPrice] = {}
    missing: dict[str, None] = {}
    for option in passing:
        outcome = kept[option.bay].get((option.profile, option.spacing_in))
        if outcome is not None:
            goods, problem, stops, lacks = outcome
            found[option.bay, option.profile, option.spacing_in] = OptionPrice(goods, problem, stops)
            missing |= dict.fromkeys(lacks)
    return OptionPrices(
        found=found,
        waiting=waiting,
        currency=terms.table.currency,
        book=f"{terms.table.name} {terms.table.version}",
        tier=terms.project.builder.tier,
        missing=tuple(missing),
    )


def _price_some(
    options: Iterable[Option], document: FloorDocument, terms: _Terms, clock: Callable[[], float]
) -> dict[str, _Kept]:
    end = clock() + SECONDS_MOST
    fresh: dict[str, _Kept] = {}
    for count, option in enumerate(options):
        if count == OPTIONS_MOST or clock() > end:
            break
        fresh.setdefault(option.bay, {})[option.profile, option.spacing_in] = _price(option, document, terms)
    return fresh


def _price(option: Option, document: FloorDocument, terms: _Terms) -> _Outcome:
    typed = spacing_typed(option.spacing_in, document.units)
    framed = option_document(document, option.bay, option.profile, typed)
    try:
        floor = design_floor(plan_of(framed, terms.practice), _catalogue(framed), terms.practice)
    except EngineError as error:
        return None, problems_of(error)[0].message, _UNBUILT, ()
    if not floor.passes:
        return None, _failing(floor), _FAILS, ()
    site = terms.project.site
    try:
        priced = price_package(
            _alone(floor, terms.practice),
            terms.table,
            tier=terms.project.builder.tier,
            freight_zone=site_zone(site, terms.book),
            tax_place=site.tax_place,
            discount_share=Decimal(0),
            practice=terms.practice,
        )
    except MissingPrices as error:
        return None, _NO_PRICE, "", tuple(entry.words for entry in error.missing)
    return priced.goods, "", "", ()


def _catalogue(document: FloorDocument) -> Catalogue:
    """The catalogue with no more profiles than a floor of fixed ones needs: no other options are tried on it."""
    catalogue = load_catalogue()
    fixed = {bay.profile for bay in document.bays}
    if None in fixed or "" in fixed:
        return catalogue
    return replace(catalogue, profiles=tuple(p for p in catalogue.profiles if p.designator in fixed))


def _failing(floor: FloorResult) -> str:
    """The worst case of a floor that fails once it is framed."""
    case = max((case for case in floor.checks if not case.passes), key=lambda c: c.checks[c.governing].ratio)
    check = case.checks[case.governing]
    return f"{case.title}: {check.name.lower()} needs {check.ratio:.3g} times what it has ({check.clause})."


def _alone(floor: FloorResult, practice: Practice) -> PackageResult:
    """A package of one floor, not bundled or loaded: its goods do not depend on that."""
    return PackageResult(
        engine_version=ENGINE_VERSION,
        catalogue_version=load_catalogue().version,
        practice_name=practice.name,
        practice_version=practice.version,
        floors=(floor,),
        bundles=(),
        cartons=(),
        loads=(),
        notes=(),
    )


def _key(document: FloorDocument, bay: str, terms: _Terms) -> str:
    """The cache's key for the options of one bay, by content."""
    neutral = dump_document(option_document(document, bay, "", ""))
    site = terms.project.site
    words = (
        json.dumps(neutral, sort_keys=True),
        repr(terms.practice),
        ENGINE_VERSION,
        load_catalogue().version,
        f"{terms.book.pk} {terms.table.name} {terms.table.version}",
        terms.project.builder.tier,
        site_zone(site, terms.book),
        site.tax_place,
    )
    return f"options:1:{hashlib.sha256(json.dumps(words).encode()).hexdigest()}"
