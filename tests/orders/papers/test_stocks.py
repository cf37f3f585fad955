"""Label stocks: sizes as typed, what they must hold to, one usual one a use, by page and by API, for each role."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from framing.common.audit import audit_list
from framing.common.errors import NotAllowed, Refused
from framing.common.models import AuditEntry, Role
from orders import services
from orders.models import LabelStock
from orders.papers.reads import stock_for
from orders.papers.sheet_drawing import stock_drawing
from orders.papers.sizes import PRESETS, check_stock, read_tenths
from tests.factories import orders, people

SHEET = {
    "page_width": 2159, "page_height": 2794, "columns": 3, "rows": 10, "label_width": 667, "label_height": 254,
    "left": 48, "top": 127, "across": 699, "down": 254,
}  # fmt: skip
TYPED = {
    "name": "Letter, 30 labels", "use": "piece", "page_width": "8 1/2 in", "page_height": '11"',
    "columns": "3", "rows": "10", "label_width": "2 5/8 in", "label_height": "1 in", "left": "4.8", "top": "1/2",
    "across": "2.75 in", "down": "25.4 mm",
}  # fmt: skip
CHANGERS = (Role.PLANNER, Role.MANAGER, Role.ADMINISTRATOR)
READERS = (*CHANGERS, Role.SHOP, Role.DISPATCHER)


def make(**more: Any) -> LabelStock:
    given = {"name": "Sheet", "use": "piece", "sizes": SHEET, **more}
    return services.stock_make(actor=people.actor(Role.PLANNER), at=orders.AT, **given)


@pytest.mark.parametrize(
    ("typed", "tenths"),
    [
        ("66.7", 667), ("66.7 mm", 667), ("6.67cm", 667), ("2 5/8 in", 667),  # 66.675 mm
        ('2.625"', 667), ("5/8 in", 159), ("5/8", 159), ("0", 0), ("1 in", 254),
    ],
)  # fmt: skip
def test_sizes_are_read_as_people_type_them(typed: str, tenths: int) -> None:
    assert read_tenths(typed, "left") == tenths


@pytest.mark.parametrize("typed", ["", "wide", "-3 mm", "3 ft", "1/0 in", "1e9", "2 5/8 5/8"])
def test_what_is_no_size_is_refused_at_its_field(typed: str) -> None:
    with pytest.raises(Refused) as refusal:
        read_tenths(typed, "across")
    assert refusal.value.field == "across"


@pytest.mark.parametrize("key", PRESETS)
def test_common_stocks_hold_to_the_rules(key: str) -> None:
    use, _, stock = PRESETS[key]
    check_stock(use, stock)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"label_width": 470}, "label_width", "47 mm; piece labels need 48 mm at least"),
        ({"label_height": 190, "down": 254}, "label_height", "need 20 mm"),
        ({"across": 600}, "across", "60 mm, less than the label's width of 66.7 mm"),
        ({"columns": 4}, "columns", "4 columns end at 281.2 mm, beyond the page's width of 215.9 mm"),
        ({"top": 400}, "rows", "beyond the page's height"),
        ({"columns": 0}, "columns", "0 columns"),
        ({"rows": 31}, "rows", "31 rows"),
        ({"page_width": 0}, "page_width", "must be from 0.1 to 1200 mm"),
        ({"page_height": 20000}, "page_height", "2000 mm"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_what_to_do(
    wrong: dict[str, int], field: str, words: str
) -> None:
    with pytest.raises(Refused) as refusal:
        make(sizes=SHEET | wrong)
    assert refusal.value.field == field
    assert words in refusal.value.message
    assert not LabelStock.objects.exists()


@pytest.mark.django_db
def test_names_are_told_apart() -> None:
    first, second = make(), make(name="Other")
    for name, words in (
        ("  ", "name that stands on its pack"),
        ("Other", "already"),
        ("x" * 61, "at most 60"),
    ):
        with pytest.raises(Refused, match=words):
            services.stock_change(
                actor=people.actor(Role.PLANNER), at=orders.AT, stock=first, name=name, sizes=SHEET
            )
    with pytest.raises(Refused, match="nothing that labels are for"):
        make(name="New", use="pallet")
    assert second.name == "Other"


@pytest.mark.django_db
def test_one_stock_a_use_is_the_usual_one() -> None:
    first, second = make(), make(name="Other")
    assert (first.chosen, second.chosen) == (True, False)
    assert stock_for("piece") == first
    actor = people.actor(Role.PLANNER)
    for _ in range(2):
        services.stock_choose(actor=actor, at=orders.AT, stock=second)
    assert stock_for("piece") == second
    assert [entry.verb for entry in audit_list(second)] == ["label_stock_make", "label_stock_choose"]
    with pytest.raises(IntegrityError), transaction.atomic():
        LabelStock.objects.filter(pk=first.pk).update(chosen=True)


@pytest.mark.django_db
def test_without_a_stock_labels_go_on_a_roll() -> None:
    assert stock_for("bundle").label_width == 1016
    assert stock_for("bundle").pk is None


@pytest.mark.django_db
def test_a_change_is_kept_in_the_trail_and_none_is_not() -> None:
    row = make()
    actor = people.actor(Role.PLANNER)
    services.stock_change(actor=actor, at=orders.AT, stock=row, name="Sheet", sizes=SHEET)
    assert audit_list(row).count() == 1
    services.stock_change(actor=actor, at=orders.AT, stock=row, name="Sheet", sizes=SHEET | {"left": 50})
    assert audit_list(row).last().change == {"left": [48, 50]}  # type: ignore[union-attr]
    services.stock_remove(actor=actor, at=orders.AT, stock=row)
    gone = AuditEntry.objects.get(verb="label_stock_remove")
    assert gone.change["removed"]["label_width"] == 667


@pytest.mark.django_db
def test_a_step_is_not_asked_for_where_there_is_nothing_to_step_to() -> None:
    roll = {"page_width": 1016, "page_height": 508, "columns": 1, "rows": 1, "label_width": 1016, "label_height": 508,
            "left": 0, "top": 0, "across": 0, "down": 0}  # fmt: skip
    row = make(sizes=roll)
    assert (row.across, row.down) == (1016, 508)


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_who_may_change_stocks(role: str) -> None:
    actor = people.actor(role)
    if role in CHANGERS:
        services.stock_make(actor=actor, at=orders.AT, name="Sheet", use="piece", sizes=SHEET)
    else:
        with pytest.raises(NotAllowed):
            services.stock_make(actor=actor, at=orders.AT, name="Sheet", use="piece", sizes=SHEET)
    row = LabelStock.objects.first() or make()
    for act in (
        lambda: services.stock_change(actor=actor, at=orders.AT, stock=row, name="New", sizes=SHEET),
        lambda: services.stock_choose(actor=actor, at=orders.AT, stock=row),
        lambda: services.stock_remove(actor=actor, at=orders.AT, stock=row),
    ):
        if role in CHANGERS:
            act()
        else:
            with pytest.raises(NotAllowed):
                act()


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_who_sees_stocks(role: str) -> None:
    row = make()
    client = people.client_of(role)
    expected = 200 if role in READERS else 403
    for address in (
        "/orders/label-stocks/",
        f"/orders/label-stocks/{row.public_id}/",
        "/api/v1/label-stocks/",
    ):
        assert client.get(address).status_code == expected, address
    assert client.get("/orders/label-stocks/new/").status_code == (200 if role in CHANGERS else 403)


@pytest.mark.django_db
def test_the_pages_make_change_choose_and_remove() -> None:
    client = people.client_of(Role.PLANNER)
    assert "2159" not in client.get("/orders/label-stocks/new/?like=piece-letter").content.decode()
    made = client.post("/orders/label-stocks/new/", TYPED, follow=True)
    row = LabelStock.objects.get()
    assert (row.label_width, row.top, row.across, row.chosen) == (667, 127, 699, True)
    assert "66.7 mm" in made.content.decode()
    address = f"/orders/label-stocks/{row.public_id}/"
    wrong = client.post(address + "change/", TYPED | {"columns": "9", "left": "wide"})
    assert wrong.status_code == 422
    assert "“wide” is no size" in wrong.content.decode()
    assert 'value="wide"' in wrong.content.decode()  # what was typed stays
    wrong = client.post(address + "change/", TYPED | {"columns": "9"})
    assert "9 columns end at" in wrong.content.decode()
    assert client.post(address + "change/", TYPED | {"left": "5"}).status_code == 302
    row.refresh_from_db()
    assert row.left == 50
    other = make(name="Other")
    client.post(f"/orders/label-stocks/{other.public_id}/choose/")
    other.refresh_from_db()
    assert other.chosen
    listed = client.get("/orders/label-stocks/").content.decode()
    assert listed.count("Usual") == 1
    assert client.post(address + "remove/", follow=True).status_code == 200
    assert list(LabelStock.objects.values_list("name", flat=True)) == ["Other"]


@pytest.mark.django_db
def test_the_api_makes_changes_chooses_and_removes() -> None:
    client = people.client_of(Role.PLANNER)
    made = client.post(
        "/api/v1/label-stocks/make/",
        {"name": "Sheet", "use": "piece", **SHEET},
        content_type="application/json",
    )
    assert made.status_code == 201, made.content
    key = made.json()["id"]
    address = f"/api/v1/label-stocks/{key}/"
    wrong = client.post(address, {"name": "Sheet", **SHEET, "columns": 9}, content_type="application/json")
    assert (wrong.status_code, wrong.json()["field"]) == (422, "columns")
    assert (
        client.post(address, {"name": "New", **SHEET}, content_type="application/json").json()["name"]
        == "New"
    )
    assert client.post(address + "choose/").json()["chosen"] is True
    assert [row["id"] for row in client.get("/api/v1/label-stocks/").json()] == [key]
    assert client.post(address + "remove/").status_code == 204
    assert client.post(address + "remove/").status_code == 404


@pytest.mark.parametrize("key", PRESETS)
def test_the_drawing_numbers_every_label(key: str) -> None:
    _, name, stock = PRESETS[key]
    svg = stock_drawing(stock, name)
    for number in range(1, stock.on_a_page + 1):
        assert f">{number}</text>" in svg
    assert svg.count("<rect") == stock.on_a_page + 1 + svg.count('class="dw-sheet"')
