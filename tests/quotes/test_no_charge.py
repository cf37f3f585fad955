"""What a manager gives at no charge: on purpose, with a reason, and never by leaving a cell empty (R38)."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse

from framing.common.access import TABLE
from framing.common.actors import person
from framing.common.errors import NotAllowed, Refused
from framing.common.models import Role
from quotes import selectors, services
from quotes.documents.content import quote_paper_of_revision
from quotes.models import QuoteRevision
from quotes.price_changes import changes_between
from quotes.price_documents import read_price_document
from quotes.price_files import PriceRowsRefused, csv_of, read_price_file, xlsx_of
from quotes.price_reads import document_of
from quotes.pricing import FreightRow, TruckRow, price_package
from tests.factories import people, projects, quotes
from tests.factories.packages import package
from tests.quotes.tables import ROWS, row, table

D = Decimal
WHY = "part of the joist price"


def given(code: str = "bearing_clip:1000", **changes: Any) -> list[dict[str, Any]]:
    items = quotes.price_document()["items"]
    return [
        item | {"price": "0", "no_charge": WHY} | changes if item["code"] == code else item for item in items
    ]


def priced(prices: Any, **more: Any) -> Any:
    values: dict[str, Any] = {
        "tier": "regular",
        "freight_zone": "near",
        "tax_place": "Fallow",
        "discount_share": D("0.10"),
    }
    return price_package(package(), prices, **(values | more))


# --- the reckoning ---


def test_a_line_at_no_charge_says_so_counts_its_cost_and_bears_no_discount_or_tax() -> None:
    free = [row("bearing_clip:1000", "0", "1.30") if r.code == "bearing_clip:1000" else r for r in ROWS]
    rows = {r.code: r for r in free}
    rows["bearing_clip:1000"] = type(free[0])(
        "bearing_clip:1000", "x", "piece", "material", D(0), D("1.30"), WHY
    )
    result = priced(table(rows=rows), line_discounts={"bearing_clip:1000": D("0.5")})
    found = {line.code: line for line in result.lines}
    line = found["bearing_clip:1000"]
    # 10 clips at nothing; 10 x 1.30 of cost all the same
    assert (line.quantity, line.unit_price, line.extension, line.tax, line.cost) == (10, 0, 0, 0, D("13.00"))
    assert line.description.endswith(", no charge")
    assert (line.explain[-1].words, line.explain[-1].figure) == (f"given at no charge: {WHY}", "0.00")
    assert "less:bearing_clip:1000" not in found
    # material without clips and surcharge: 399.95 - 20.50 = 379.45; 3 % = 11.3835 -> 11.38
    assert found["tier:material"].extension == D("-11.38")
    # left 368.07; 10 % = 36.807 -> 36.81
    assert found["discount:material"].extension == D("-36.81")


def test_freight_at_no_charge_is_a_line_that_says_so() -> None:
    trucks = (TruckRow("Van", 50_000, D(0), D("60.00"), WHY),)
    zones = {"near": FreightRow(D(0), D("305.00"), no_charge=WHY), "far": FreightRow(D(900), D(700), trucks)}
    for zone, cost in (("near", "305.00"), ("far", "60.00")):
        (line,) = (e for e in priced(table(freight=zones), freight_zone=zone).lines if e.group == "freight")
        assert line.description.endswith(", no charge")
        assert (line.extension, line.tax, line.cost) == (0, 0, D(cost))


# --- the document and its files ---


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"no_charge": ""}, "must be over 0; it is 0. What is given at no charge says why"),
        ({"price": "-0"}, ""),
        ({"price": "-0.01"}, "must be over 0; it is -0.01"),
        ({"price": "2.05"}, "it is 2.05, and given at no charge too; take one of both away"),
        ({"no_charge": "=1+1"}, "begins like a formula"),
        ({"no_charge": "x" * 201}, "has more than 200 signs"),
    ],
)
def test_no_price_needs_a_reason_and_a_reason_no_price(changes: dict[str, Any], words: str) -> None:
    data = quotes.price_document(items=given(**changes))
    if not words:
        assert str(read_price_document(data).items[0].price) in {"0", "3.96"}
        return
    with pytest.raises(ValueError, match=r"items\.\d+\.(price|no_charge)") as caught:
        read_price_document(data)
    assert words in str(caught.value)


def test_freight_and_trucks_likewise() -> None:
    truck = {"truck": "Van", "most_lb": 900, "price": "0", "cost": "1"}
    for zone in ({"price": "0", "cost": "1"}, {"price": "1", "cost": "1", "trucks": [truck]}):
        with pytest.raises(ValueError, match="What is given at no charge says why"):
            read_price_document(quotes.price_document(freight={"near": zone}))
    whole = {"price": "0", "cost": "1", "no_charge": WHY, "trucks": [truck | {"no_charge": WHY}]}
    known = read_price_document(quotes.price_document(freight={"near": whole}, items=given()))
    assert known.gifts == ("bearing_clip:1000", "freight to near", "freight to near, Van")


def test_files_carry_the_reason_out_and_in_and_may_lack_the_column() -> None:
    truck = {"truck": "Van", "most_lb": 900, "price": "0", "cost": "1", "no_charge": "yard's own"}
    zone = {"price": "0", "cost": "1", "no_charge": "pickup at the yard", "trucks": [truck]}
    book = read_price_document(quotes.price_document(freight={"yard": zone}, items=given()))
    for data in (csv_of(book), xlsx_of(book, made_at=projects.AT)):
        again = read_price_file(data)
        assert changes_between(book, again) == ()
        assert again.gifts == book.gifts
    plain = read_price_document(quotes.price_document())
    lines = csv_of(plain).decode("utf-8-sig").splitlines()
    assert all(line.endswith(",") for line in lines[1:])
    assert (
        changes_between(plain, read_price_file("\n".join(li.rpartition(",")[0] for li in lines).encode()))
        == ()
    )


def test_an_empty_cell_is_no_gift_though_a_reason_stands_beside_it() -> None:
    book = read_price_document(quotes.price_document(items=given()))
    text = csv_of(book).decode("utf-8-sig")
    with pytest.raises(PriceRowsRefused) as caught:
        read_price_file(text.replace(",0.00,", ",,", 1).encode())
    ((place, message),) = caught.value.problems
    assert (place.endswith("column H (price)"), message) == (True, "is empty")


def test_a_change_to_no_charge_is_told_as_one() -> None:
    old = read_price_document(quotes.price_document())
    (change,) = changes_between(old, read_price_document(quotes.price_document(items=given())))
    assert [(m.field, m.old, m.new) for m in change.moved] == [
        ("price", D("2.16"), 0),
        ("no charge because", "", WHY),
    ]


# --- the right, the database, the paper ---


@pytest.mark.django_db
def test_only_who_may_give_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [role for role, verbs in TABLE["price_book"].items() if "give" in verbs] == [Role.MANAGER]
    with pytest.raises(NotAllowed):
        services.price_book_draft(
            actor=people.actor(Role.SELLER), data=quotes.price_document(items=given()), at=projects.AT
        )
    lent = {**TABLE["price_book"], Role.SELLER.value: frozenset({"read", "change", "put_in_force"})}
    monkeypatch.setitem(TABLE, "price_book", lent)
    seller = people.actor(Role.SELLER)
    draft = services.price_book_draft(actor=seller, data=quotes.price_document(), at=projects.AT)
    data = quotes.price_document(items=given())
    acts: list[Any] = [
        lambda: services.price_book_draft(actor=seller, data=data, at=projects.AT),
        lambda: services.price_book_change(actor=seller, book=draft, data=data, edit=1, at=projects.AT),
        lambda: services.price_book_import(actor=seller, data=data, at=projects.AT),
    ]
    for act in acts:
        with pytest.raises(NotAllowed, match=r"may not give anything at no charge: bearing_clip:1000\."):
            act()


@pytest.mark.django_db
def test_a_seller_who_tries_gets_words_by_page_and_operation() -> None:
    draft, seller = quotes.price_draft(), people.client_of(Role.SELLER)
    page = seller.post(reverse("quotes:price_book_edit", args=[draft.public_id]), {"item-0-4": "0"})
    assert page.status_code == 403
    assert "Your role may not do this" in page.content.decode()
    answer = seller.post(
        reverse("api:quotes_api:price_book_draft"),
        {"document": quotes.price_document(items=given())},
        "application/json",
    )
    assert answer.status_code == 403
    assert answer.json()["detail"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("rows", "assignment"),
    [
        ("priceitem", "price = 0"),
        ("priceitem", "no_charge = 'x'"),
        ("priceitem", "price = -1, no_charge = 'x'"),
        ("freightrate", "price_per_truck = 0"),
        ("freightrate", "no_charge = 'x'"),
        ("freightrate", "price_per_truck = -1, no_charge = 'x'"),
    ],
)
def test_plain_sql_gives_nothing_by_silence(rows: str, assignment: str) -> None:
    draft = quotes.price_draft()
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE quotes_{rows} SET {assignment} WHERE book_id = %s", [draft.pk])  # noqa: S608


@pytest.mark.django_db
def test_a_quote_shows_it_on_page_operation_and_paper_and_discounts_it_nowhere() -> None:
    codes = {line.code for line in quotes.draft().lines.all()}
    clip = next(code for code in sorted(codes) if code.startswith("bearing_clip:"))
    quotes.price_book(items=given(clip))
    draft = quotes.draft()
    line = draft.lines.get(code=clip)
    assert (line.unit_price, line.extension) == (D(0), D(0))
    assert line.description.endswith(", no charge")
    boss = people.client_of(Role.MANAGER)
    page = boss.get(reverse("quotes:revision_page", args=[draft.public_id])).content.decode()
    assert f"{line.description}" in page
    assert 'data-label="Unit price">no charge' in page
    book = boss.get(reverse("quotes:price_book")).content.decode()
    assert "no charge" in book
    assert WHY in book
    body = boss.get(reverse("api:quotes_api:revision_get", args=[draft.public_id])).json()
    assert next(e for e in body["lines"] if e["code"] == clip)["unit_price"] == "0.0000"
    paper = quote_paper_of_revision(QuoteRevision.objects.get(pk=draft.pk), quotes.AT)
    assert line.description in [entry.description for group in paper.groups for entry in group.lines]
    assert clip not in [code for code, *_ in selectors.discountable_lines(draft)]
    with pytest.raises(Refused, match=r"no line .* that can be discounted"):
        services.revision_change(
            actor=person(draft.quote.owner), revision=draft, at=quotes.AT, line_discounts={clip: D("0.1")}
        )
    assert document_of(draft.price_book).gifts == (clip,)
