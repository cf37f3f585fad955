"""What a second look at prices, discounts and effects found: each a mistake once, and what holds instead."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Refused
from framing.common.models import Role
from framing.projects.models import Project
from quotes import selectors, services
from quotes.models import Alternate, PriceBook, QuoteRevision
from quotes.price_documents import read_price_document
from quotes.price_effects import price_effects
from quotes.price_files import csv_of, read_price_file, xlsx_of
from quotes.price_reads import document_data, document_of
from tests.factories import people, projects, quotes
from tests.factories.alternates import alternate
from tests.quotes.test_at_once import at_once

D = Decimal
AT = quotes.AT
ONLY = "bearing_clip:1200"


def owner(draft: QuoteRevision) -> Any:
    return person(draft.quote.owner)


def change(draft: QuoteRevision, **values: Any) -> QuoteRevision:
    return services.revision_change(actor=owner(draft), revision=draft, at=AT, **values)


def issue(draft: QuoteRevision) -> QuoteRevision:
    return services.revision_issue(actor=owner(draft), revision=draft, key=quotes.key(), at=AT)


# --- discounts of lines, in every offer ---


@pytest.mark.django_db
def test_a_line_that_only_an_alternate_has_can_be_discounted_and_its_limits_hold() -> None:
    draft = quotes.draft()
    made = alternate(draft, profile="1200S162-97", spacing="12")
    words = {code: said for code, said, _ in selectors.discountable_lines(draft)}
    assert words[ONLY].endswith("(alternate A)")
    total, base_total = made.total, draft.total
    draft = change(draft, line_discounts={ONLY: D("0.10"), "strap": D("0.04")})
    made.refresh_from_db()
    line = made.lines.get(code=f"less:{ONLY}")
    plain = made.lines.get(code=ONLY)
    assert line.extension == -(plain.extension * D("0.10")).quantize(D("0.01"), "ROUND_HALF_UP")
    assert made.lines.filter(code="less:strap").exists()
    assert draft.lines.filter(code="less:strap").exists()
    assert not draft.lines.filter(code=f"less:{ONLY}").exists()
    assert made.total < total
    assert draft.total < base_total
    assert selectors.line_discounts(draft) == {ONLY: D("0.10"), "strap": D("0.04")}
    assert selectors.approval_reasons(draft) == ()
    draft = change(draft, line_discounts={ONLY: D("0.1001")})
    assert f"10.01 % on {ONLY} is over the seller's limit" in selectors.approval_reasons(draft)[0]


@pytest.mark.django_db
def test_a_discount_goes_with_the_last_offer_that_has_its_line() -> None:
    draft = quotes.draft()
    alternate(draft, profile="1200S162-97", spacing="12")
    draft = change(draft, line_discounts={ONLY: D("0.05")})
    draft = services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    assert selectors.line_discounts(draft) == {ONLY: D("0.05")}
    revised = services.revision_revise(actor=owner(draft), quote=issue(draft).quote, at=AT)
    assert selectors.line_discounts(revised) == {ONLY: D("0.05")}
    services.alternate_remove(actor=owner(revised), revision=revised, letter="A", at=AT)
    assert selectors.line_discounts(QuoteRevision.objects.get(pk=revised.pk)) == {}
    with pytest.raises(Refused, match=f"“{ONLY}” is no line"):
        change(revised, line_discounts={ONLY: D("0.05")})


@pytest.mark.django_db
def test_the_page_takes_a_discount_of_an_alternates_line() -> None:
    draft = quotes.draft()
    alternate(draft, profile="1200S162-97", spacing="12")
    client = people.client_of(draft.quote.owner)
    page = client.get(reverse("quotes:revision_page", args=[draft.public_id])).content.decode()
    assert f'name="line:{ONLY}"' in page
    body = {"discount_percent": "0", "lead_time_days": "21", "terms": "Net 10.", f"line:{ONLY}": "4.00"}
    assert client.post(reverse("quotes:revision_change", args=[draft.public_id]), body).status_code == 302
    assert selectors.line_discounts(draft) == {ONLY: D("0.04")}


# --- what a new price book brings ---


@pytest.mark.django_db
def test_a_quote_is_revised_though_the_new_book_lacks_what_an_issued_alternate_needs() -> None:
    """Nobody can take an alternate away from an issued revision, so it kept the quote from being revised."""
    draft = quotes.draft()
    alternate(draft, "Wide", profile="1200S162-97", spacing="12")
    offer = issue(draft)
    quotes.price_book(items=[item for item in quotes.price_document()["items"] if item["code"] != ONLY])
    revised = services.revision_revise(actor=owner(offer), quote=offer.quote, at=AT)
    assert revised.alternates.count() == 0
    (why,) = selectors.alternates_left_out(revised)
    assert why.startswith("alternate A “Wide”: Price book ")
    assert f"a price of {ONLY}" in why


@pytest.mark.django_db
def test_a_draft_is_not_priced_anew_while_the_book_lacks_what_its_alternate_needs() -> None:
    draft = quotes.draft()
    alternate(draft, "Wide", profile="1200S162-97", spacing="12")
    quotes.price_book(items=[item for item in quotes.price_document()["items"] if item["code"] != ONLY])
    with pytest.raises(Refused, match="Alternate A: Price book"):
        services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    assert draft.alternates.count() == 1


@pytest.mark.django_db
def test_offers_in_two_currencies_are_shown_each_in_its_own_and_never_subtracted() -> None:
    first = issue(quotes.draft())
    quotes.price_book(currency="EUR")
    second = services.revision_revise(actor=owner(first), quote=first.quote, at=AT)
    client = people.client_of(Role.MANAGER)
    address = reverse("quotes:quote_compare", args=[first.quote.public_id])
    page = client.get(address).content.decode()
    assert "can't be set against each other" in page
    assert f"${first.total:,.2f}" in page
    assert f"EUR {second.total:,.2f}" in page
    assert "<dt>Difference</dt>" not in page
    assert "Line by line" not in page
    body = client.get(reverse("api:quotes_api:quote_compare", args=[first.quote.public_id])).json()
    assert body["currencies"] == ["USD", "EUR"]


# --- effects on alternates ---


@pytest.mark.django_db
def test_effects_price_alternates_as_a_repricing_would() -> None:
    draft = quotes.draft()
    alternate(draft, "Wide", profile="1200S162-97", spacing="12")
    items = [
        item | {"price": "9.99"} if item["code"] == ONLY else item
        for item in quotes.price_document()["items"]
    ]
    document = read_price_document(quotes.price_document(items=items))
    (effect,) = price_effects(document).rows
    (offer,) = effect.alternates
    assert effect.difference == 0
    assert (offer.letter, offer.label) == ("A", "Wide")
    quotes.price_book(items=items)
    services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    assert offer.total == Alternate.objects.get().total
    assert offer.difference == Alternate.objects.get().total - offer.now > 0


@pytest.mark.django_db
def test_effects_name_what_only_an_alternate_lacks_on_page_and_operation() -> None:
    draft = quotes.draft()
    alternate(draft, "Wide", profile="1200S162-97", spacing="12")
    items = [item for item in quotes.price_document()["items"] if item["code"] != ONLY]
    book = quotes.price_draft(items=items)
    boss = people.client_of(Role.MANAGER)
    page = boss.get(reverse("quotes:price_book_changes", args=[book.public_id])).content.decode()
    assert "Alternate A: Wide" in page
    assert f"a price of {ONLY}" in page
    assert "1 open quote could not be priced" in " ".join(page.replace("</strong>", "").split())
    body = boss.get(reverse("api:quotes_api:price_book_changes", args=[book.public_id])).json()
    (effect,) = body["effects"]
    assert effect["missing"] == []
    assert effect["total"] == str(draft.total)
    assert (effect["alternates"][0]["total"], effect["alternates"][0]["missing"]) == (
        None,
        [f"a price of {ONLY}"],
    )


@pytest.mark.django_db
def test_effects_ask_the_database_as_often_for_many_quotes_as_for_few() -> None:
    document = read_price_document(quotes.price_document())
    home: Project = quotes.project()

    def questions() -> int:
        with CaptureQueriesContext(connection) as asked:
            price_effects(document)
        return len(asked)

    for n in range(2):
        alternate(quotes.draft(of=home), spacing="12" if n else "24")
    few = questions()
    for _ in range(4):
        alternate(quotes.draft(of=home))
    assert questions() == few


# --- price books ---


@pytest.mark.django_db
def test_a_draft_takes_another_name_and_the_next_number_of_it() -> None:
    """The name typed on the page was thrown away without a word."""
    quotes.price_draft(name="Spring list")
    draft = quotes.price_draft()
    boss = people.actor(Role.MANAGER)
    renamed = services.price_book_change(
        actor=boss, book=draft, data=document_data(draft) | {"name": "Spring list"}, edit=1, at=AT
    )
    assert (renamed.name, renamed.version, renamed.edit) == ("Spring list", 2, 2)
    entry = audit_list(renamed).last()
    assert entry is not None
    assert entry.change["name"] == ["Demo list", "Spring list"]


@pytest.mark.django_db
def test_a_file_loaded_over_somebody_elses_change_is_held_back() -> None:
    draft = quotes.price_draft()
    services.price_book_change(
        actor=people.actor(Role.MANAGER),
        book=draft,
        data=document_data(draft) | {"valid_days": 11},
        edit=1,
        at=AT,
    )
    client = people.client_of(Role.MANAGER)
    address = reverse("quotes:price_book_load", args=[draft.public_id])
    data = csv_of(document_of(draft)).replace(b"days that offers hold,30", b"days that offers hold,14")
    answer = client.post(address, {"file": SimpleUploadedFile("p.csv", data), "edit": "1"})
    assert (answer.status_code, "Somebody changed" in answer.content.decode()) == (409, True)
    draft.refresh_from_db()
    assert draft.valid_days == 11
    assert 'name="edit" value="2"' in answer.content.decode()


@pytest.mark.django_db
def test_files_for_sellers_hold_neither_costs_nor_the_margin_floor() -> None:
    book = quotes.price_book()
    document = document_of(book)
    for data in (csv_of(document, costs=False), xlsx_of(document, made_at=AT, costs=False)):
        with pytest.raises(ValueError, match="missing"):
            read_price_file(data)
    assert b"margin" not in csv_of(document, costs=False)
    assert b"margin" in csv_of(document)
    seller = people.client_of(Role.SELLER)
    for name in ("quotes:price_book_csv", "api:quotes_api:price_book_csv"):
        assert b"margin" not in seller.get(reverse(name, args=[book.public_id])).content


# --- many at once ---


@pytest.mark.django_db(transaction=True)
def test_two_books_for_one_day_at_once_leave_one() -> None:
    boss, today = people.actor(Role.MANAGER), projects.AT.date()
    first = quotes.price_book()
    books = [quotes.price_draft() for _ in range(3)]
    for book in books:
        services.price_book_send(actor=boss, book=book, note="Up.", edit=1, at=projects.AT)

    def force(book: PriceBook) -> Callable[[], None]:
        def act() -> None:
            services.price_book_put_in_force(
                actor=boss,
                book=book,
                valid_from=today + timedelta(days=5),
                valid_until=today + timedelta(days=9),
                edit=1,
                at=projects.AT,
            )

        return act

    outcome = at_once(*map(force, books))
    assert sum(outcome.values()) == 3
    held = [b for b in PriceBook.objects.all() if b.holds_on(today + timedelta(days=6))]
    assert len(held) == 1
    first.refresh_from_db()
    assert first.valid_until == today + timedelta(days=5)


def test_the_published_interface_says_what_the_price_operations_answer() -> None:
    """Two shapes of one name took each other's place in it."""
    schema = yaml.safe_load((Path(__file__).parents[2] / "framing/api/openapi.yaml").read_text())
    shapes = schema["components"]["schemas"]
    wanted = {
        ("price_book_changes", "get"): {"against", "changes", "open_quotes", "effects"},
        ("price_file_preview", "post"): {"against", "changes", "open_quotes", "effects"},
    }
    operations = {
        (operation["operationId"], verb): operation
        for path in schema["paths"].values()
        for verb, operation in path.items()
    }
    for key, fields in wanted.items():
        content = operations[key]["responses"]["200"]["content"]["application/json"]["schema"]
        assert shapes[content["$ref"].rsplit("/", 1)[1]]["properties"].keys() == fields
    body = operations["price_book_change", "post"]["requestBody"]["content"]["application/json"]["schema"]
    assert shapes[body["$ref"].rsplit("/", 1)[1]]["properties"].keys() == {"document", "edit"}
