"""What each floor of a project comes to: its figures, its small drawing, its price, kept by what they came from.

Designing a floor costs up to a second, so a call designs a few and says how many still wait. What a floor comes to is
kept in the cache under its content: the document, the practice values, engine and catalogue; its price also under the
price book in force and the words of site and builder.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from time import monotonic
from typing import Any, Final, NamedTuple

from django.apps import apps
from django.core.cache import cache

from framing.drawing import size_words, thumbnail_svg
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import DocumentRefused
from framing.engine.geometry import signed_area_2
from framing.engine.pipeline import ENGINE_VERSION
from framing.engine.practice import Practice
from framing.projects.design import plan_of
from framing.projects.draw_price import price_of
from framing.projects.models import Project
from framing.projects.preview import Preview, preview_document
from framing.projects.selectors import FloorState

SECONDS_MOST: Final = 1.5
KEPT_S: Final = 24 * 3600
_SQ_16_PER_SQ_FT: Final = 192 * 192


class Outcome(NamedTuple):
    """A floor built once. `problem` says why it can't be built; what is not known then is 0 or empty.

    Attributes:
        failing: members that fail a check.
        area_sqft: inside the outline, openings included.
        size: the outline's box in words, `40 ft by 28 ft`.
        svg: the thumbnail; "" where the outline can't be read.
    """

    joists: int
    weight_lb: float
    failing: int
    problem: str
    warnings: int
    area_sqft: float
    size: str
    profiles: str
    svg: str


class Price(NamedTuple):
    """Goods of a floor with its repeats; without a `total`, `words` say why."""

    total: Decimal | None
    words: str


@dataclass(frozen=True, slots=True)
class Book:
    """The price book in force, by what tells it from others."""

    reference: str
    currency: str


@dataclass(frozen=True, slots=True)
class Found:
    """Outcomes and prices by floor, of those known; `waiting` floors are not designed yet."""

    outcomes: Mapping[int, Outcome]
    prices: Mapping[int, Price]
    book: Book | None
    waiting: int


def project_floors(
    project: Project,
    states: Sequence[FloorState],
    practice: Practice,
    *,
    design: bool = True,
    clock: Callable[[], float] = monotonic,
) -> Found:
    """What is kept, and with `design` as many floors more as there is time for, one at least."""
    book = price_book()
    keys = {state.floor.pk: _key(state, practice) for state in states}
    price_keys = {pk: _price_key(key, project, book) for pk, key in keys.items()} if book else {}
    kept = cache.get_many([*keys.values(), *price_keys.values()])
    outcomes = {pk: Outcome(*kept[key]) for pk, key in keys.items() if key in kept}
    prices = {pk: Price(*kept[key]) for pk, key in price_keys.items() if key in kept}
    end, waiting, fresh = clock() + SECONDS_MOST, 0, 0
    for state in states:
        pk = state.floor.pk
        if pk in outcomes and (book is None or pk in prices):
            continue
        if not design or (fresh and clock() > end):
            waiting += 1
            outcomes.pop(pk, None)
            continue
        preview = preview_document(state.document, practice)
        outcomes[pk] = _outcome(preview)
        cache.set(keys[pk], tuple(outcomes[pk]), KEPT_S)
        if book is not None:
            prices[pk] = _price(preview, practice, project)
            cache.set(price_keys[pk], tuple(prices[pk]), KEPT_S)
        fresh += 1
    return Found(outcomes, prices, book, waiting)


def outline_svg(state: FloorState, practice: Practice) -> str:
    """The thumbnail without members, which costs no design; "" of a document that can't be read."""
    try:
        return thumbnail_svg(plan_of(state.document, practice))
    except DocumentRefused:
        return ""


def price_book() -> Book | None:
    """The price book in force; None where there is none."""
    # By name: the price book belongs to an app that stands above this one.
    books: Any = apps.get_model("quotes", "PriceBook")._default_manager
    row = books.in_force().first()
    return None if row is None else Book(f"{row.pk} {row}", row.currency)


def _outcome(preview: Preview) -> Outcome:
    plan, result = preview.plan, preview.result
    profiles = sorted({layout.profile for layout in result.bays}) if result else []
    drawn = result or plan
    return Outcome(
        joists=sum(count.quantity for count in preview.counts if count.code == "joist"),
        weight_lb=preview.weight_lb,
        failing=preview.failing,
        problem=preview.problems[0].message if preview.problems else "",
        warnings=len(preview.warnings),
        area_sqft=abs(signed_area_2(plan.outline)) / 2 / _SQ_16_PER_SQ_FT if plan else 0.0,
        size=size_words(plan) if plan else "",
        profiles=", ".join(profiles),
        svg=thumbnail_svg(drawn) if drawn else "",
    )


def _price(preview: Preview, practice: Practice, project: Project) -> Price:
    told = None if preview.result is None else price_of(preview.result, practice, project)
    if told is None:
        return Price(None, "")
    try:
        return Price(Decimal(told["total"].replace(",", "")), told["words"])
    except InvalidOperation:
        return Price(None, told["words"])


def _key(state: FloorState, practice: Practice) -> str:
    words: list[Any] = [state.document, repr(practice), ENGINE_VERSION, load_catalogue().version]
    return f"ready:2:{hashlib.sha256(json.dumps(words, sort_keys=True).encode()).hexdigest()}"


def _price_key(key: str, project: Project, book: Book) -> str:
    site = project.site
    words = [key, book.reference, project.builder.tier, site.freight_zone, site.tax_place]
    return f"ready:price:{hashlib.sha256(json.dumps(words).encode()).hexdigest()}"
