"""What another price book would make of open quotes: priced from stored results, to the cent of a real repricing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from framing.common.actors import person
from framing.common.models import Role
from framing.engine import pipeline
from quotes import services
from quotes.models import QuoteRevision
from quotes.price_documents import PriceBookDocument, read_price_document
from quotes.price_effects import price_effects
from quotes.services import designing
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
D = Decimal


def other_book(**changes: Any) -> PriceBookDocument:
    """The demo book with joists and surcharge dearer."""
    items = [
        item | {"price": str(D(item["price"]) * 2)} if item["sold_by"] == "ft" else item
        for item in quotes.price_document()["items"]
    ]
    return read_price_document(quotes.price_document(items=items, surcharge_per_lb="0.05") | changes)


def test_drafts_and_open_offers_are_priced_by_the_other_book_without_the_engine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    draft = quotes.draft(discount_share=D("0.03"))
    draft = services.revision_change(
        actor=person(draft.quote.owner), revision=draft, at=quotes.AT, line_discounts={"strap": D("0.05")}
    )
    offer = quotes.issued()
    quotes.accepted()  # answered, so not open
    declined = quotes.issued()
    services.quote_decline(actor=people.actor(Role.MANAGER), revision=declined, why="No.", at=quotes.AT)

    def no_engine(*_: Any, **__: Any) -> None:
        raise AssertionError("the engine was asked")

    for module in (pipeline, designing):
        monkeypatch.setattr(module, "design_package", no_engine)
    effects = price_effects(other_book())
    assert effects.count == 2
    found = {row.revision.pk: row for row in effects.rows}
    assert found.keys() == {draft.pk, offer.pk}
    assert all(row.total is not None and row.total > row.revision.total for row in effects.rows)
    assert (
        effects.difference == effects.then - effects.now == sum(row.difference or 0 for row in effects.rows)
    )
    # nothing moved by looking
    assert QuoteRevision.objects.get(pk=draft.pk).total == draft.total


def test_the_total_shown_is_the_total_that_a_repricing_gives() -> None:
    draft = quotes.draft(discount_share=D("0.03"))
    document = other_book()
    (effect,) = price_effects(document).rows
    services.price_book_import(
        actor=people.actor(Role.MANAGER),
        data=document.model_dump() | {"name": "Next", "number": 1, "valid_from": quotes.AT.date()},
        at=quotes.AT,
    )
    anew = services.draft_reprice(actor=person(draft.quote.owner), revision=draft, at=quotes.AT)
    assert effect.total == anew.total != draft.total


def test_what_the_other_book_lacks_is_listed_and_no_total_is_made_up() -> None:
    quotes.draft()
    document = other_book()
    kept = tuple(item for item in document.items if item.code not in ("strap", "cutting"))
    (effect,) = price_effects(document.model_copy(update={"items": kept, "freight": {}})).rows
    assert (effect.total, effect.difference, effect.percent) == (None, None, None)
    assert [words.split()[-1] for words in effect.missing] == ["strap", "cutting", "“near”"]
    effects = price_effects(document.model_copy(update={"items": kept}))
    assert (effects.now, effects.then, len(effects.lacking)) == (0, 0, 1)


def test_looking_ends_in_time_and_says_how_many_there_are() -> None:
    for _ in range(3):
        quotes.draft()
    ticks = iter([0.0, 1.0, 99.0, 99.0])
    effects = price_effects(other_book(), clock=lambda: next(ticks))
    assert (len(effects.rows), effects.count) == (1, 3)


def test_another_currency_is_said() -> None:
    quotes.draft()
    assert price_effects(other_book()).same_currency
    assert not price_effects(other_book().model_copy(update={"currency": "CAD"})).same_currency
