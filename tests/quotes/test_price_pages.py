"""The price book's pages: who sees what, a version from file to force, and nothing typed is lost."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from framing.common.clock import database_now
from framing.common.models import Role
from quotes import services
from quotes.models import PriceBook
from quotes.price_documents import read_price_document
from quotes.price_files import csv_of, xlsx_of
from quotes.price_reads import document_of
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db


def manager() -> Client:
    return people.client_of(Role.MANAGER)


def at(name: str, book: PriceBook | None = None) -> str:
    return reverse(f"quotes:{name}", args=[book.public_id] if book else [])


def text(answer: Any) -> str:
    plain = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", plain)


def upload(data: bytes, name: str = "prices.csv") -> dict[str, Any]:
    return {"file": SimpleUploadedFile(name, data)}


def review() -> PriceBook:
    draft = quotes.price_draft(surcharge_per_lb="0.0500")
    return services.price_book_send(
        actor=people.actor(Role.MANAGER), book=draft, note="Coil is up.", edit=1, at=database_now()
    )


def inputs(page: str) -> dict[str, str]:
    """What a browser would send of the draft's form as it stands."""
    form = page[page.index('class="price-grid') : page.index("Load a file")]
    found = dict(re.findall(r'<input(?! type="checkbox")[^>]*name="([^"]+)" value="([^"]*)"', form))
    for name, options in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form):
        chosen = re.search(r"<option selected>([^<]*)</option>", options)
        found[name] = chosen[1] if chosen else ""
    return {name: value.replace("&quot;", '"').replace("&#x27;", "'") for name, value in found.items()}


def test_a_version_goes_from_a_file_to_force() -> None:
    quotes.price_book()
    client = manager()
    changed = csv_of(read_price_document(quotes.price_document())).replace(b",3.96,2.73,", b",4.16,2.80,")
    answer = client.post(at("price_book_new"), upload(changed), follow=True)
    draft = PriceBook.objects.get(state="draft")
    assert answer.redirect_chain == [(at("price_book_version", draft), 302)]
    assert "kept as a draft" in text(answer)
    shown = text(client.get(at("price_book_changes", draft)))
    assert "1 changed, 0 added, 0 removed" in shown
    # 0.20 of 3.96 and 0.07 of 2.73
    assert "price $3.96 $4.16 +5.05 %" in shown
    assert "cost $2.73 $2.80 +2.56 %" in shown
    client.post(at("price_book_send", draft), {"note": "Joists up.", "edit": draft.edit})
    assert "Joists up." in text(client.get(at("price_book_put_in_force", draft)))
    today = database_now().date()
    answer = client.post(
        at("price_book_put_in_force", draft),
        {"edit": draft.edit, "valid_from": today.isoformat()},
        follow=True,
    )
    assert "holds from" in text(answer)
    draft.refresh_from_db()
    assert draft.holds_on(today)
    assert f"Price book {draft}" in text(client.get(at("price_book")))


def test_our_own_export_makes_no_draft() -> None:
    book = quotes.price_book()
    client = manager()
    for data, name in (
        (client.get(at("price_book_csv", book)).content, "a.csv"),
        (client.get(at("price_book_xlsx", book)).content, "a.xlsx"),
    ):
        answer = client.post(at("price_book_new"), upload(data, name))
        assert answer.status_code == 422
        assert "The file changes nothing" in text(answer)
    assert not PriceBook.objects.filter(state="draft").exists()


def test_a_wrong_file_is_told_by_row_and_column_and_stores_nothing() -> None:
    quotes.price_book()
    data = csv_of(read_price_document(quotes.price_document())).replace(b",3.96,2.73,", b",=1+1,-2,")
    answer = manager().post(at("price_book_new"), upload(data))
    assert answer.status_code == 422
    assert "row 10, column H (price) : “=1+1” begins like a formula" in text(answer)
    assert "row 10, column I (cost)" not in text(answer) or "must be 0 or more" in text(answer)
    assert PriceBook.objects.count() == 1


def test_an_upload_without_a_file_or_with_an_empty_one() -> None:
    client = manager()
    assert client.post(at("price_book_new"), {}).status_code == 422
    assert client.post(at("price_book_new"), upload(b"")).status_code == 422


def test_the_first_version_comes_from_a_file() -> None:
    client = manager()
    assert "No price book is in force" in text(client.get(at("price_book")))
    book = read_price_document(quotes.price_document())
    answer = client.post(
        at("price_book_new"), upload(xlsx_of(book, made_at=database_now()), "p.xlsx"), follow=True
    )
    assert "kept as a draft" in text(answer)
    draft = PriceBook.objects.get()
    assert "everything in this one is new" in text(client.get(at("price_book_changes", draft)))


def test_a_copy_is_changed_on_the_page_and_saved_whole() -> None:
    book = quotes.price_book()
    client = manager()
    client.post(at("price_book_new"), {"copy": "yes"})
    draft = PriceBook.objects.get(state="draft")
    page = client.get(at("price_book_edit", draft)).content.decode()
    typed = inputs(page)
    before = document_of(draft)
    assert client.post(at("price_book_edit", draft), typed).status_code == 302
    draft.refresh_from_db()
    assert (draft.edit, document_of(draft)) == (1, before)  # nothing typed, nothing changed
    number = next(name for name, value in typed.items() if value == "strap")
    row = number.rsplit("-", 1)[0]
    first_free = re.findall(r'name="(item-\d+)-0" value=""', page)[0]
    typed |= {f"{row}-4": "0.75", "item-0-away": "yes"}
    typed |= {
        f"{first_free}-{n}": value
        for n, value in enumerate(("clamp", "Clamp", "piece", "material", "2.5", "1"))
    }
    assert client.post(at("price_book_edit", draft), typed).status_code == 302
    draft = PriceBook.objects.get(pk=draft.pk)
    found = {item.code: item.price for item in draft.items.all()}
    old = {item.code: item.price for item in book.items.all()}
    assert float(found.pop("strap")) == 0.75
    assert float(found.pop("clamp")) == 2.5
    gone = old.keys() - found.keys() - {"strap"}
    assert gone == {before.items[0].code}
    assert draft.edit == 2


def test_what_is_wrong_in_the_form_stays_as_typed_with_its_reason() -> None:
    draft = quotes.price_draft()
    client = manager()
    typed = inputs(client.get(at("price_book_edit", draft)).content.decode())
    typed |= {"item-0-4": "=2*2", "item-1-4": "-3", "item-2-0": typed["item-3-0"], "book-1-1": "dollars"}
    answer = client.post(at("price_book_edit", draft), typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    for name, reason in (
        ("item-0-4", "begins like a formula"),
        ("item-1-4", "must be over 0; it is -3"),
        ("item-3-0", "has a price already in row 3"),
        ("book-1-1", "three capital letters"),
    ):
        assert f'href="#{name}"' in page, name
        assert re.search(rf'id="{name}_error">[^<]*(<li>)?[^<]*{re.escape(reason)}', page), name
    assert 'value="=2*2"' in page
    draft.refresh_from_db()
    assert draft.edit == 1


def test_a_form_saved_over_somebody_elses_change_is_held_back_once() -> None:
    draft = quotes.price_draft()
    client = manager()
    typed = inputs(client.get(at("price_book_edit", draft)).content.decode()) | {"item-0-4": "9.99"}
    services.price_book_change(
        actor=people.actor(Role.MANAGER),
        book=draft,
        data=document_of(draft).model_dump() | {"valid_days": 11},
        edit=1,
        at=database_now(),
    )
    answer = client.post(at("price_book_edit", draft), typed)
    assert answer.status_code == 409
    assert "Somebody changed" in text(answer)
    assert 'value="9.99"' in answer.content.decode()
    again = inputs(answer.content.decode())
    assert client.post(at("price_book_edit", draft), again).status_code == 302
    draft.refresh_from_db()
    assert draft.edit == 3


def test_a_file_is_loaded_into_a_draft() -> None:
    draft = quotes.price_draft()
    data = csv_of(document_of(draft)).replace(b"days that offers hold,30", b"days that offers hold,14")
    client = manager()
    answer = client.post(at("price_book_load", draft), upload(data), follow=True)
    assert "changed 1 row of" in text(answer)
    draft.refresh_from_db()
    assert draft.valid_days == 14
    bad = client.post(at("price_book_load", draft), upload(data.replace(b",USD", b",usd")))
    assert bad.status_code == 422
    assert "three capital letters" in text(bad)


def test_a_draft_that_is_none_any_more_is_not_changed_on_the_page() -> None:
    book = review()
    client = manager()
    assert client.get(at("price_book_edit", book)).status_code == 302
    answer = client.post(
        at("price_book_load", book), upload(csv_of(read_price_document(quotes.price_document())))
    )
    assert answer.status_code == 409


def test_review_is_given_back_and_refusals_stand_at_their_field() -> None:
    book = review()
    client = manager()
    assert client.post(at("price_book_give_back", book), {"why": ""}).status_code == 422
    assert client.post(at("price_book_give_back", book), {"why": "Too dear."}, follow=True).status_code == 200
    assert client.post(at("price_book_send", book), {"note": "", "edit": 1}).status_code == 422
    stale = client.post(at("price_book_send", book), {"note": "Again", "edit": 7})
    assert stale.status_code == 409
    assert "Somebody changed" in text(stale)
    book.refresh_from_db()
    assert book.state == "draft"
    assert client.post(at("price_book_discard", book), follow=True).status_code == 200
    assert not PriceBook.objects.filter(pk=book.pk).exists()


def test_a_day_that_is_taken_or_over_is_told_at_the_day() -> None:
    quotes.price_book()
    client = manager()
    today = database_now().date()
    first, second = review(), review()
    day = (today + timedelta(days=20)).isoformat()
    assert (
        client.post(at("price_book_put_in_force", first), {"edit": 1, "valid_from": day}).status_code == 302
    )
    over = {"edit": 1, "valid_from": (today + timedelta(days=10)).isoformat()}
    answer = client.post(at("price_book_put_in_force", second), over)
    assert answer.status_code == 409
    assert f"it would lie over {first}" in text(answer)
    past = {"edit": 1, "valid_from": (today - timedelta(days=1)).isoformat()}
    answer = client.post(at("price_book_put_in_force", second), past)
    assert answer.status_code == 422
    assert "today" in text(answer)
    assert (
        client.post(at("price_book_put_in_force", second), {"edit": 1, "valid_from": "x"}).status_code == 422
    )
    assert f"from {today + timedelta(days=20):%b} {(today + timedelta(days=20)).day}" in text(
        client.get(at("price_book"))
    )


def test_sellers_read_prices_without_costs_and_change_nothing() -> None:
    book = quotes.price_book()
    seller = people.client_of(Role.SELLER)
    page = text(seller.get(at("price_book")))
    assert "$3.96" in page
    assert "$2.73" not in page
    assert b"2.73" not in seller.get(at("price_book_csv", book)).content
    assert "Make a new version" not in page
    for name in ("price_book_changes", "price_book_edit", "price_book_put_in_force"):
        assert seller.get(at(name, book)).status_code == 403
    for name in ("price_book_send", "price_book_give_back", "price_book_discard", "price_book_load"):
        assert seller.post(at(name, book)).status_code == 403
    assert seller.get(at("price_book_new")).status_code == 403


def test_effects_on_open_quotes_stand_on_the_page() -> None:
    draft = quotes.draft()
    book = review()
    page = text(manager().get(at("price_book_changes", book)))
    assert "1 open quote, priced as if by this book" in page
    assert f"{draft}" in page
    assert f"${draft.total:,.2f}" in page
