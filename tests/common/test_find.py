"""Finding: what is found, by whom, in what order; what is written when something changes; the page and the API."""

from __future__ import annotations

import re
from itertools import product
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from framing.common.access import TABLE, may
from framing.common.actors import person
from framing.common.errors import Refused
from framing.common.find import Findings, find
from framing.common.find_index import KINDS, rebuild
from framing.common.find_words import left_out
from framing.common.lists_models import FindEntry, FindWord
from framing.common.models import Role
from framing.projects import services
from tests.common.find_filling import fill
from tests.factories import orders, people, projects, quotes

pytestmark = pytest.mark.django_db
MANAGER = Role.MANAGER.value


def titles(found: Findings, kind: str) -> list[str]:
    return [hit.title for section in found.sections if section.key == kind for hit in section.hits]


def kinds(found: Findings) -> list[str]:
    return [section.key for section in found.sections]


@pytest.fixture
def shipment() -> Any:
    """A delivery with its order, quote, project and builder."""
    seller = people.user(Role.SELLER)
    builder = projects.builder(
        seller, name="O'Brien Hollow Homes", contact_name="Rae Würth", phone="(330) 555-0142"
    )
    home = projects.project(seller, of=builder, name="Bracken Row")
    projects.floor(home)
    revision = quotes.draft(of=home)
    revision = quotes.services.revision_issue(
        actor=person(seller), revision=revision, key=quotes.key(), at=quotes.AT
    )
    quotes.services.quote_accept(
        actor=quotes.builder(revision),
        revision=revision,
        name="Rae",
        title="",
        key=quotes.key(),
        at=quotes.AT,
    )
    planner, shop = people.actor(Role.PLANNER), people.actor(Role.SHOP)
    order = orders.services.order_book(actor=orders.SYSTEM, at=orders.AT, quote=revision.quote)
    order = orders.services.drawings_approve(actor=planner, at=orders.AT, order=order)
    order = orders.services.order_release(actor=planner, at=orders.AT, order=order)
    order = orders.services.order_roll(actor=shop, at=orders.AT, order=order)
    order = orders.services.order_bundle(actor=shop, at=orders.AT, order=order)
    return orders.planned(order)


@pytest.mark.parametrize(
    "asked",
    [
        "obrien", "O'Brien", "brien hollow", "HOLL", "rae wurth", "Würth", "555-0142", "330.555.0142",
        "+1 (330) 555 0142", "3305550142", "bracken", "14 marsh", "alder falls 44000", "  bracken   row ",
        "hollow bracken",
    ],
)  # fmt: skip
def test_a_job_is_found_by_what_people_remember_of_it(shipment: Any, asked: str) -> None:
    found = find(asked, MANAGER)
    order = shipment.order
    assert titles(found, "quote") == [order.revision.quote.number]
    assert titles(found, "order") == [order.number]
    assert titles(found, "delivery") == [shipment.number]
    assert titles(found, "project") == ["Bracken Row"]
    assert found.instead == ()


def test_an_order_is_found_by_the_mark_of_a_piece_and_says_so(shipment: Any) -> None:
    mark = shipment.order.pieces.values_list("mark", flat=True)[0]
    found = find(mark.lower(), MANAGER)
    assert titles(found, "order") == [shipment.order.number]
    (section,) = (one for one in found.sections if one.key == "order")
    assert section.hits[0].has == mark.upper()
    assert section.hits[0].state == "bundled"
    assert titles(find(f"{mark} bracken", MANAGER), "order") == [shipment.order.number]
    assert titles(find(f"{mark} elsewhere", MANAGER), "order") == []


@pytest.mark.parametrize("asked", ["brcaken", "bracen", "brackenn", "brocken"])
def test_one_wrong_letter_is_forgiven_and_said(shipment: Any, asked: str) -> None:
    found = find(asked, MANAGER)
    assert titles(found, "project") == ["Bracken Row"]
    assert found.instead == ((asked, "bracken"),)
    assert find("brokcan", MANAGER).sections == ()


def test_a_word_that_is_there_is_not_taken_for_another() -> None:
    projects.builder(name="Marsh Homes")
    projects.builder(name="March Homes")
    assert titles(find("marsh", MANAGER), "builder") == ["Marsh Homes"]


def test_whole_numbers_come_first_then_titles_that_begin_so() -> None:
    home = quotes.project()
    first = quotes.draft(of=home)
    others = [quotes.draft(of=home) for _ in range(11)]
    whole = titles(find(first.quote.number, MANAGER), "quote")
    assert whole[0] == first.quote.number
    tail = first.quote.number.rsplit("-", 1)[1].lstrip("0")
    assert titles(find(f"0{tail}" if len(tail) == 1 else tail, MANAGER), "quote")[0] == first.quote.number
    every = find("q-2026", MANAGER)
    (section,) = every.sections
    assert [hit.title for hit in section.hits] == [one.quote.number for one in others[:-9:-1]]
    assert section.more
    assert section.all_url == f"{reverse('quotes:quote_list')}?search=q-2026"
    projects.builder(name="Heron and Swift")
    projects.builder(name="Swift and Heron")
    assert titles(find("swift", MANAGER), "builder") == ["Swift and Heron", "Heron and Swift"]


def test_what_changes_is_found_by_its_new_words_only(shipment: Any) -> None:
    builder = shipment.order.revision.quote.project.builder
    services.builder_change(
        actor=people.actor(Role.MANAGER), at=projects.AT, builder=builder, name="Plover Framing",
        contact_name="Jo Finch", email="jo@plover.example", phone="614 555 0199", tier="",
    )  # fmt: skip
    assert kinds(find("plover", MANAGER)) == ["builder", "project", "quote", "order", "delivery"]
    assert kinds(find("614-555-0199", MANAGER)) == ["builder", "project", "quote", "order", "delivery"]
    assert kinds(find("wurth", MANAGER)) == []
    assert kinds(find("obrien", MANAGER)) == []


def test_what_is_removed_is_found_no_more() -> None:
    builder = projects.builder(name="Gone Tomorrow")
    assert kinds(find("gone", MANAGER)) == ["builder"]
    builder.delete()
    assert kinds(find("gone", MANAGER)) == []


def test_a_change_that_failed_leaves_no_words() -> None:
    with transaction.atomic():
        projects.builder(name="Never Was")
        transaction.set_rollback(True)
    assert kinds(find("never", MANAGER)) == []


def test_rebuilding_gives_what_stood_there(shipment: Any) -> None:
    fields = ("kind", "object_id", "public_id", "title", "note", "title_key", "words")
    before = sorted(FindEntry.objects.values_list(*fields))
    words = set(FindWord.objects.values_list("word", flat=True))
    FindEntry.objects.filter(kind="quote").update(words="wrong")
    counts = rebuild()
    assert sorted(FindEntry.objects.values_list(*fields)) == before
    assert set(FindWord.objects.values_list("word", flat=True)) == words
    assert counts["delivery"] == 1
    assert set(counts) == {"builder", "project", "quote", "order", "delivery"}


@pytest.mark.parametrize("role", Role.values)
def test_a_role_finds_what_the_table_lets_it_read(shipment: Any, role: str) -> None:
    found = find("bracken", role)
    readable = [kind.key for kind in KINDS.values() if may(role, *kind.act, own=False)]
    assert kinds(found) == [key for key in readable if key != "builder"]
    page = people.client_of(role).get(reverse("common:find"), {"q": "bracken"}).content.decode()
    assert ("/quotes/" in page.split("<main")[1]) == ("quote" in readable)


def test_a_planner_and_the_shop_find_no_quote(shipment: Any) -> None:
    assert "read" not in TABLE["quote"][Role.PLANNER]
    assert "quote" not in kinds(find(shipment.order.revision.quote.number, Role.PLANNER.value))
    assert kinds(find("bracken", Role.SHOP.value)) == ["order"]


def test_hits_tell_no_price(shipment: Any) -> None:
    total = shipment.order.revision.total
    for asked in ("bracken", str(total), f"{total:,.2f}"):
        answer = people.client_of(Role.MANAGER).get(reverse("common:find"), {"q": asked})
        main = answer.content.decode().split("<main")[1].replace(asked, "")
        assert f"{total:,.2f}" not in main
        assert "$" not in main
    assert kinds(find(f"{total:.2f}".replace(".", " "), MANAGER)) == []


@pytest.mark.parametrize("asked", ["", " ", "a", "-/-", "a" * 101, "%", "''"])
def test_questions_too_short_or_too_long_are_refused_in_words(asked: str) -> None:
    with pytest.raises(Refused, match=r"at least 2 letters or digits|At most 100 signs"):
        find(asked, MANAGER)
    answer = people.client_of(Role.SELLER).get(reverse("common:find"), {"q": asked})
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "asked",
    [
        "a'b",
        "it's & | ! :* <->",
        "\\'",
        "'':*",
        "o'b'r",
        "x" * 100,
        "ß",
        "日本",
        "²³ ½",
        "((",
        "1e5 e",
    ],
)
def test_no_question_breaks(asked: str) -> None:
    answer = people.client_of(Role.SELLER).get(reverse("common:find"), {"q": asked})
    assert answer.status_code == 200


def test_the_page_the_part_and_the_operation_say_the_same(shipment: Any) -> None:
    client = people.client_of(Role.MANAGER)
    page = client.get(reverse("common:find"), {"q": "bracken"})
    part = client.get(reverse("common:find"), {"q": "bracken"}, headers={"HX-Request": "true"})
    assert b"<html" in page.content
    assert b"<html" not in part.content
    pattern = re.compile(r'class="find-hit"[^>]*href="([^"]+)"')
    hits = pattern.findall(part.content.decode())
    assert hits == pattern.findall(page.content.decode())
    body = client.get("/api/v1/find", {"q": "bracken"}).json()
    assert [hit["url"] for section in body["sections"] for hit in section["hits"]] == hits
    assert len(hits) == 4
    assert 'role="option"' in part.content.decode()
    assert 'role="option"' not in page.content.decode().split("<main")[1]


def test_the_operation_refuses_in_words() -> None:
    answer = people.client_of(Role.SELLER).get("/api/v1/find", {"q": "a"})
    assert answer.status_code == 422
    assert answer.json()["field"] == "q"
    assert Client().get("/api/v1/find", {"q": "marsh"}).status_code == 403


def test_show_all_leads_to_the_list_with_the_same_things() -> None:
    for _ in range(10):
        projects.builder(name=f"Sedge {people.user().pk} Homes")
    found = find("sedge", MANAGER)
    assert len(titles(found, "builder")) == 8
    page = people.client_of(Role.MANAGER).get(found.sections[0].all_url).content.decode()
    assert page.count("Sedge ") == 10


def test_the_plan_uses_the_index_among_thousands() -> None:
    fill(1000, 2000, 2000)
    letters = "abcdefghijklmnopqrst"
    words = ["".join(signs) for signs in product(letters, letters, letters, ("zzy",))]
    FindWord.objects.bulk_create(FindWord(word=word, near=left_out(word)) for word in words)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE common_findentry")
        cursor.execute("ANALYZE common_findword")
    for asked in ("Q-2020-0015", "juniper", "555-0142", "oh 44100", "junyper", "q2", "zzzz"):
        with Explained() as plans:
            find(asked, MANAGER)
        assert plans.seen
        for plan in plans.seen:
            assert "Seq Scan on common_find" not in plan, f"{asked}: {plan}"


class Explained:
    """The plans of statements on find tables that were run inside."""

    def __init__(self) -> None:
        self.seen: list[str] = []

    def __enter__(self) -> Explained:
        self.wrapper = connection.execute_wrapper(self.explain)
        self.wrapper.__enter__()
        return self

    def __exit__(self, *args: Any) -> None:
        self.wrapper.__exit__(*args)

    def explain(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.startswith("SELECT") and "common_find" in sql:
            execute(f"EXPLAIN {sql}", params, many, context)
            self.seen.append("\n".join(row[0] for row in context["cursor"].fetchall()))
        return execute(sql, params, many, context)


def test_asking_takes_as_many_statements_for_many_things_as_for_few(django_assert_num_queries: Any) -> None:
    for _ in range(2):
        projects.builder(name=f"Teal {people.user().pk}")
    find("teal", MANAGER)
    with django_assert_num_queries(2):
        find("teal", MANAGER)
    for _ in range(30):
        projects.builder(name=f"Teal {people.user().pk}")
    with django_assert_num_queries(2):
        find("teal", MANAGER)
