"""Papers of the shop from the order's rows: what stands on them, made once, by page and API, and the tag's door."""

from __future__ import annotations

import csv
import io
import re
from datetime import date, timedelta
from typing import Any

import pypdf
import pytest
from django.db import ProgrammingError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from python_calamine import CalamineWorkbook

from framing.common.actors import SYSTEM
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_bytes, paper_get
from orders import services
from orders.models import ChangeOrder, Line, LinePlan, LineRun, Order, Piece, ShopPaper
from orders.papers.codes import read_code
from orders.papers.files import paper_table, table_bytes
from orders.papers.reads import NO_TAG, tagged
from orders.states import LinePlanState, ShopPaperKind
from tests.factories import orders, people, quotes
from tests.orders.papers.labels import codes, pictures

MAKERS = (Role.PLANNER, Role.SHOP, Role.DISPATCHER)
READERS = (*MAKERS, Role.MANAGER, Role.ADMINISTRATOR)
DAY = date(2026, 12, 1)


def asked(order: Order, kind: str, **more: Any) -> ShopPaper:
    return services.shop_paper_make(
        actor=people.actor(Role.PLANNER), at=orders.AT, order=order, kind=kind, **more
    )


def printed(paper: ShopPaper) -> bytes:
    """The PDF as the worker makes and stores it."""
    assert outbox_run(OutboxEntry.objects.get(kind="shop_paper", key=str(paper.pk)).pk)
    stored = paper_get("shop_paper", paper)
    assert stored is not None
    return paper_bytes(stored)


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages).split())


def planned_line(order: Order, day: date = DAY) -> tuple[Line, LinePlan]:
    """A plan in force that rolls the order's bundles on one line, the last one first."""
    line = Line.objects.create(name="Line 1", feet_per_minute=40)
    plan = LinePlan.objects.create(
        number=7, state=LinePlanState.IN_FORCE, frozen_through=day - timedelta(days=1)
    )
    for place, bundle in enumerate(order.bundles.order_by("-number"), 1):
        LineRun.objects.create(
            plan=plan, line=line, bundle=bundle, position=place, day=day, end_day=day,
            start_minute=420 + 60 * place, end_minute=470 + 60 * place, setup_minutes=25 if place == 2 else 0,
        )  # fmt: skip
    return line, plan


@pytest.mark.django_db
def test_every_piece_bundle_and_carton_gets_its_own_code_on_paper() -> None:
    order = orders.released()
    wanted = {
        ShopPaperKind.PIECE_LABELS: order.pieces,
        ShopPaperKind.BUNDLE_TAGS: order.bundles,
        ShopPaperKind.CARTON_LABELS: order.cartons,
    }
    for kind, rows in wanted.items():
        data = printed(asked(order, kind))
        found = [read_code(text) for page in pictures(data) for text in codes(page)]
        assert sorted(found) == sorted(rows.values_list("code", flat=True)), kind


@pytest.mark.django_db
def test_equal_papers_are_one_and_a_change_makes_another() -> None:
    order = orders.released()
    first = asked(order, "piece_labels")
    assert asked(order, "piece_labels").pk == first.pk
    assert OutboxEntry.objects.filter(kind="shop_paper").count() == 1
    piece = Piece.objects.filter(order=order).order_by("pk").first()
    assert piece is not None
    piece.zone = "elsewhere"
    piece.save()
    assert asked(order, "piece_labels").pk != first.pk
    once = printed(first)
    assert not outbox_run(OutboxEntry.objects.get(kind="shop_paper", key=str(first.pk)).pk)
    assert "elsewhere" not in text_of(once)


@pytest.mark.django_db
def test_a_paper_never_changes() -> None:
    paper = asked(orders.released(), "bundle_tags")
    for change in (lambda: ShopPaper.objects.filter(pk=paper.pk).update(day=DAY), lambda: paper.delete()):
        with pytest.raises(ProgrammingError, match="Cannot update or delete"), transaction.atomic():
            change()


@pytest.mark.django_db
def test_pieces_that_a_change_order_dropped_get_no_label() -> None:
    order = orders.released()
    piece = order.pieces.exclude(bundle=None).order_by("pk").first()
    assert piece is not None
    count = order.pieces.count()
    assert len(asked(order, "piece_labels").content["labels"]) == count
    Piece.objects.filter(pk=piece.pk).update(dropped_by=_change(order).pk)
    paper = asked(order, "piece_labels")
    assert len(paper.content["labels"]) == count - 1
    assert piece.code not in str(paper.content)
    with pytest.raises(NotThere, match="No tag or label in use"):
        tagged(piece.code)


def _change(order: Order) -> Any:
    return ChangeOrder.objects.create(
        order=order, number=1, was=order.revision, revision=quotes.accepted().revision, why="A smaller hall",
        asked_by=people.user(Role.SELLER),
    )  # fmt: skip


@pytest.mark.django_db
def test_what_cannot_be_made_is_refused_in_words() -> None:
    with pytest.raises(Clash, match="not released yet"):
        asked(orders.approved(), "piece_labels")
    order = orders.released()
    with pytest.raises(Refused, match="no paper of the shop"):
        asked(order, "poster")
    with pytest.raises(Refused, match="has 1 label; 2 is none of them") as refusal:
        asked(order, "piece_labels", start=2)
    assert refusal.value.field == "start"
    order.cartons.all().delete()
    with pytest.raises(Refused, match="nothing to put carton labels on"):
        asked(order, "carton_labels")
    services.order_cancel(actor=people.actor(Role.MANAGER), at=orders.AT, order=order, why="Builder gave up")
    with pytest.raises(Clash, match="cancelled"):
        asked(order, "cut_list")


@pytest.mark.django_db
def test_labels_go_on_a_stock_of_their_use_only() -> None:
    order = orders.released()
    roll = {"page_width": 1016, "page_height": 1524, "columns": 1, "rows": 1, "label_width": 1016, "label_height": 1524,
            "left": 0, "top": 0, "across": 0, "down": 0}  # fmt: skip
    stock = services.stock_make(
        actor=people.actor(Role.PLANNER), at=orders.AT, name="Tags", use="bundle", sizes=roll
    )
    with pytest.raises(Refused, match="is for bundle tags"):
        asked(order, "piece_labels", stock=stock)
    assert asked(order, "bundle_tags", stock=stock).content["stock"]["label_height"] == 1524


@pytest.mark.django_db
def test_the_cut_list_of_an_order_counts_every_piece_and_foot_once() -> None:
    order = orders.released()
    paper = asked(order, "cut_list")
    rows = [row for bundle in paper.content["bundles"] for row in bundle["rows"]]
    assert sum(row["count"] for row in rows) == order.pieces.count()
    steel = sum(row["count"] * row["length_16"] for row in rows)
    assert steel == sum(order.pieces.values_list("length_16", flat=True))
    table = paper_table(paper)
    names = [column.name for column in table.columns]
    last = dict(zip(names, table.rows[-1], strict=True))
    assert last["Pieces so far"] == order.pieces.count()
    assert last["Feet so far"] == f"{steel / 192:,.1f}"
    text = text_of(printed(paper))
    assert f"{order.pieces.count()} pieces" in text
    assert "by profile and bundle; no line plan" in text
    for row in rows:
        assert row["mark"] in text


@pytest.mark.django_db
def test_holes_stand_from_the_printed_end() -> None:
    order = orders.released()
    piece = next(piece for piece in order.pieces.all() if piece.holes_16)
    paper = asked(order, "cut_list")
    row = next(
        row for bundle in paper.content["bundles"] for row in bundle["rows"] if row["mark"] == piece.mark
    )
    assert list(row["holes_16"]) == piece.holes_16


@pytest.mark.django_db
def test_the_cut_list_of_a_line_runs_as_the_plan_does() -> None:
    order = orders.released()
    line, plan = planned_line(order)
    numbers = list(order.bundles.order_by("-number").values_list("number", flat=True))
    paper = services.cut_list_make(actor=people.actor(Role.SHOP), at=orders.AT, line=line, day=DAY)
    assert [bundle["number"] for bundle in paper.content["bundles"]] == numbers
    assert [bundle["starts"] for bundle in paper.content["bundles"]] == ["08:00", "09:00"]
    assert [bundle["change"] for bundle in paper.content["bundles"]] == [False, True]
    text = text_of(printed(paper))
    assert "Change over to" in text
    assert "25 min" in text
    assert "Tuesday, Dec 1, 2026" in text
    services.order_roll(actor=SYSTEM, at=orders.AT, order=order)
    first = order.bundles.order_by("-number").first()
    assert first is not None
    services.bundle_finish(actor=people.actor(Role.SHOP), at=orders.AT, bundle=first)
    again = services.cut_list_make(actor=people.actor(Role.SHOP), at=orders.AT, line=line, day=DAY)
    assert (again.content["finished"], len(again.content["bundles"])) == (1, 1)
    with pytest.raises(Refused, match="nothing left to roll on Dec 2, 2026"):
        services.cut_list_make(actor=SYSTEM, at=orders.AT, line=line, day=DAY + timedelta(days=1))
    LinePlan.objects.filter(pk=plan.pk).update(state=LinePlanState.PAST)
    with pytest.raises(Clash, match="No line plan is in force"):
        services.cut_list_make(actor=SYSTEM, at=orders.AT, line=line, day=DAY)


@pytest.mark.django_db
def test_the_packing_list_names_every_carton_and_thing() -> None:
    order = orders.released()
    paper = asked(order, "packing_list")
    text = text_of(printed(paper))
    for carton in order.cartons.all():
        assert f"C{carton.number}" in text
        for what, _, _ in carton.contents:
            assert " ".join(what.split()) in text
    assert len(paper_table(paper).rows) == sum(len(carton.contents) for carton in order.cartons.all())


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ShopPaperKind.values)
def test_workbook_and_csv_hold_the_same_rows_and_no_formula(kind: str) -> None:
    order = orders.released()
    project = order.revision.quote.project
    project.name = "=1+1"
    project.save()
    order.cartons.update(title="+cmd")
    paper = asked(Order.objects.get(pk=order.pk), kind)
    table = paper_table(paper)
    lines = list(csv.reader(io.StringIO(table_bytes(paper, "csv").decode("utf-8-sig"))))
    book = CalamineWorkbook.from_filelike(io.BytesIO(table_bytes(paper, "xlsx"))).get_sheet_by_index(0)
    cells = book.to_python()
    assert len(lines) == len(cells) == len(table.rows) + 1
    assert lines[0] == cells[0] == [column.name for column in table.columns]
    assert not [cell for line in lines for cell in line if cell.startswith(("=", "+", "-", "@"))]
    assert table_bytes(paper, "xlsx") == table_bytes(paper, "xlsx")


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_who_may_make_and_read_papers(role: str) -> None:
    order = orders.released()
    line, _ = planned_line(order)
    actor = people.actor(role)
    acts = (
        lambda: services.shop_paper_make(actor=actor, at=orders.AT, order=order, kind="cut_list"),
        lambda: services.cut_list_make(actor=actor, at=orders.AT, line=line, day=DAY),
    )
    for act in acts:
        if role in MAKERS:
            act()
        else:
            with pytest.raises(NotAllowed):
                act()
    paper = asked(order, "packing_list")
    client = people.client_of(role)
    expected = 200 if role in READERS else 403
    for address in (
        f"/orders/{order.public_id}/papers/",
        "/orders/cut-lists/",
        f"/orders/papers/{paper.public_id}/paper.csv",
        f"/api/v1/orders/{order.public_id}/papers/",
        f"/api/v1/shop-papers/{paper.public_id}/",
    ):
        assert client.get(address).status_code == expected, address


@pytest.mark.django_db
def test_the_page_makes_a_paper_and_gives_it_out() -> None:
    order = orders.released()
    client = people.client_of(Role.SHOP)
    page = f"/orders/{order.public_id}/papers/"
    assert client.post(page + "piece_labels/", {"stock": "usual", "start": "1"}).status_code == 302
    paper = ShopPaper.objects.get()
    shown = client.get(page).content.decode()
    assert "The paper is being made." in shown
    pdf = f"/orders/papers/{paper.public_id}/paper.pdf"
    assert client.get(pdf).status_code == 404
    printed(paper)
    response = client.get(pdf)
    assert response["Content-Type"] == "application/pdf"
    assert f"piece-labels-{order.number.lower()}.pdf" in response["Content-Disposition"]
    assert client.get(f"/orders/papers/{paper.public_id}/paper.exe").status_code == 404
    book = client.get(f"/orders/papers/{paper.public_id}/paper.xlsx")
    assert book.content.startswith(b"PK")
    wrong = client.post(page + "piece_labels/", {"stock": "usual", "start": "5"})
    assert wrong.status_code == 422
    assert "5 is none of them" in wrong.content.decode()
    assert client.post(page + "poster/").status_code == 404


@pytest.mark.django_db
def test_the_page_of_cut_lists_makes_one_for_a_day_of_a_line(time_machine: Any) -> None:
    time_machine.move_to(orders.AT)
    order = orders.released()
    client = people.client_of(Role.SHOP)
    assert "No line plan from today on" in client.get("/orders/cut-lists/").content.decode()
    line, _ = planned_line(order, date(2100, 1, 5))
    day = "2100-01-05"
    made = client.post("/orders/cut-lists/make/", {"line": line.public_id, "day": day}, follow=True)
    assert made.status_code == 200
    paper = ShopPaper.objects.get()
    printed(paper)
    page = client.get("/orders/cut-lists/").content.decode()
    assert f"/orders/papers/{paper.public_id}/paper.pdf" in page
    said = client.post("/orders/cut-lists/make/", {"line": line.public_id, "day": "2100-01-06"}, follow=True)
    assert "nothing left to roll" in said.content.decode()
    assert client.post("/orders/cut-lists/make/", {"line": line.public_id, "day": "soon"}).status_code == 404
    wrong = client.post("/orders/cut-lists/make/", {"line": "0" * 20, "day": day})
    assert wrong.status_code == 404


@pytest.mark.django_db
def test_the_api_makes_and_shows_papers() -> None:
    order = orders.released()
    line, _ = planned_line(order)
    client = people.client_of(Role.PLANNER)
    address = f"/api/v1/orders/{order.public_id}/papers/"
    made = client.post(address + "make/", {"kind": "bundle_tags"}, content_type="application/json")
    assert made.status_code == 202, made.content
    assert made.json()["ready"] is False
    printed(ShopPaper.objects.get())
    shown = client.get(f"/api/v1/shop-papers/{made.json()['id']}/").json()
    assert (shown["ready"], shown["pages"]) == (True, order.bundles.count())
    assert [row["ready"] for row in client.get(address).json()] == [True]
    cuts = client.post(
        f"/api/v1/lines/{line.public_id}/cut-list/", {"day": DAY.isoformat()}, content_type="application/json"
    )
    assert cuts.status_code == 202, cuts.content
    assert cuts.json()["line"] == line.public_id


@pytest.mark.django_db
def test_as_many_queries_for_many_papers_as_for_one() -> None:
    order = orders.released()
    client = people.client_of(Role.PLANNER)
    page = f"/orders/{order.public_id}/papers/"
    asked(order, "cut_list")
    client.get(page)
    with CaptureQueriesContext(connection) as few:
        client.get(page)
    for kind in ShopPaperKind.values:
        asked(order, kind)
    with CaptureQueriesContext(connection) as many:
        client.get(page)
    assert len(many) == len(few)


# --- the door behind a code ---


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_each_role_lands_where_it_goes_on_working(role: str) -> None:
    delivery = orders.planned()
    bundle = delivery.order.bundles.select_related("load").first()
    assert bundle is not None
    piece = bundle.pieces.first()
    carton = delivery.order.cartons.first()
    assert piece is not None
    assert carton is not None
    client = people.client_of(role)
    places = {
        Role.SHOP: f"/orders/floor/{bundle.public_id}/",
        Role.DISPATCHER: f"/orders/deliveries/{delivery.public_id}/",
    }
    place = places.get(Role(role), f"/orders/bundles/{bundle.public_id}/")
    for address in (f"/t/{bundle.code}/", f"/T/{bundle.code}/", f"/t/{piece.code.lower()}/"):
        response = client.get(address)
        assert (response.status_code, response["Location"]) == (302, place), address
    order = f"/orders/{delivery.order.public_id}/" if role != Role.DISPATCHER else places[Role.DISPATCHER]
    assert client.get(f"/t/{carton.code}/")["Location"] == order


@pytest.mark.django_db
def test_a_code_that_is_not_in_use_gets_words_and_no_hint() -> None:
    client = people.client_of(Role.SHOP)
    answers = {client.get(f"/t/{code}/").content for code in ("0123456789AB", "short", "0" * 12)}
    bare = {_without_token(answer.decode()) for answer in answers}
    assert len(bare) == 1
    assert NO_TAG[:40] in bare.pop()
    assert client.get("/api/v1/tags/0123456789AB/").status_code == 404


def _without_token(page: str) -> str:
    page = re.sub(r'csrfmiddlewaretoken" value="[^"]+"', "", page)
    page = re.sub(r'"X-CSRFToken": "[^"]+"', "", page)
    return re.sub(r"/t/\w+/", "", page)


@pytest.mark.django_db
def test_a_stranger_gets_the_same_for_a_code_in_use_and_for_none() -> None:
    bundle = orders.released().bundles.first()
    assert bundle is not None
    used, none = (Client().get(f"/t/{code}/") for code in (bundle.code, "0123456789AB"))
    assert (used.status_code, none.status_code) == (302, 302)
    assert used["Location"].replace(bundle.code, "X") == none["Location"].replace("0123456789AB", "X")


@pytest.mark.django_db
def test_the_api_tells_what_a_code_stands_on() -> None:
    order = orders.released()
    piece = order.pieces.exclude(bundle=None).first()
    carton = order.cartons.first()
    assert piece is not None
    assert carton is not None
    client = people.client_of(Role.SHOP)
    assert piece.bundle is not None
    assert client.get(f"/api/v1/tags/{piece.code}/").json() == {
        "kind": "piece", "order": order.public_id, "bundle": piece.bundle.public_id, "piece": piece.piece_id,
        "carton": None,
    }  # fmt: skip
    assert client.get(f"/api/v1/tags/{carton.code}/").json()["carton"] == carton.number


@pytest.mark.django_db
def test_whoever_has_the_deliverys_link_reads_its_tags_and_no_others() -> None:
    delivery = orders.planned()
    other = orders.released().bundles.first()
    bundle = delivery.order.bundles.first()
    carton = delivery.order.cartons.first()
    assert bundle is not None
    assert other is not None
    assert carton is not None
    piece = bundle.pieces.first()
    assert piece is not None
    link, address = services.delivery_link_make(
        actor=people.actor(Role.DISPATCHER),
        at=orders.AT + timedelta(days=365 * 50),
        delivery=delivery,
        for_name="Rae",
    )
    client = Client()
    assert client.get(f"/orders/your/{link.public_id}/tag/", {"code": bundle.code}).status_code == 404
    client.get(address.removeprefix("http://testserver").removeprefix("http://127.0.0.1:8000"))
    page = f"/orders/your/{link.public_id}/tag/"
    shown = client.get(page, {"code": f"HTTPS://SHOP.EXAMPLE/T/{bundle.code}/"})
    assert shown.status_code == 200
    assert bundle.zone in shown.content.decode()
    assert piece.mark in client.get(page, {"code": piece.code}).content.decode()
    assert carton.title in client.get(page, {"code": carton.code}).content.decode()
    foreign, none = client.get(page, {"code": other.code}), client.get(page, {"code": "0123456789AB"})
    assert (foreign.status_code, none.status_code) == (404, 404)
    assert _without_token(foreign.content.decode()) == _without_token(none.content.decode())
    assert other.zone not in foreign.content.decode() or other.zone == bundle.zone
