"""Shop papers that no longer say what is to be made: what outdates them, what does not, and where it is said."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_get
from framing.common.zones import company_zone, day_in
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import LinePlan
from orders.papers.files import paper_table
from orders.papers.standing import papers_to_print, tags_outdated
from orders.states import LinePlanState, ShopPaperKind, ShopVerb
from orders.waiting import waiting_for
from tests.factories import orders, people
from tests.orders.papers.shop import (
    AT,
    DAY,
    LATER,
    asked,
    bundle_of,
    changed,
    finish,
    line_paper,
    plan_of,
    scrapped,
    step,
    words_of,
)

TITLE = "Papers of the shop to print again"


@pytest.mark.django_db
def test_what_the_shop_does_outdates_no_paper() -> None:
    order = orders.rolling()
    papers = [asked(order, kind) for kind in ShopPaperKind.values]
    paper, _, _ = line_paper(order)
    papers.append(paper)
    services.bundle_start(actor=people.actor(Role.SHOP), at=LATER, bundle=bundle_of(order, 1))
    finish(order, 1)
    finish(order, 2)
    assert [words_of(paper) for paper in papers] == [""] * len(papers)
    assert papers_to_print(DAY) == []


@pytest.mark.django_db
def test_a_split_outdates_tags_labels_and_cut_lists_but_no_packing_list() -> None:
    order = orders.released()
    papers = {kind: asked(order, kind) for kind in ShopPaperKind.values}
    papers["line"], _, _ = line_paper(order)
    step(order, "split", number=1, at=5)
    said = "Outdated since “Split bundle 1"
    for kind in ("cut_list", "bundle_tags", "piece_labels", "line"):
        assert words_of(papers[kind]).startswith(said), kind
        assert words_of(papers[kind]).endswith(": print again."), kind
    assert words_of(papers["packing_list"]) == ""
    assert words_of(papers["carton_labels"]) == ""
    again = asked(order, "bundle_tags", LATER + timedelta(minutes=5))
    assert again.pk != papers["bundle_tags"].pk
    assert words_of(again) == ""
    services.bundles_undo(
        actor=people.actor(Role.PLANNER), at=LATER + timedelta(minutes=9), order=order,
        version=bundle_table(order).version,
    )  # fmt: skip
    assert words_of(papers["bundle_tags"]) == "", "as it was printed, so are the bundles again"
    assert words_of(again).startswith("Outdated since “Split bundle 1")
    assert "was taken back" in words_of(again)


@pytest.mark.django_db
def test_bundles_that_are_only_fixed_outdate_nothing() -> None:
    order = orders.released()
    papers = [asked(order, kind) for kind in ShopPaperKind.values]
    step(order, "fix", number=1)
    assert [words_of(paper) for paper in papers] == [""] * len(papers)


@pytest.mark.django_db
def test_a_scrapped_piece_stands_once_more_on_the_cut_list_until_it_is_made() -> None:
    order = orders.rolling()
    before = asked(order, "cut_list")
    tags = asked(order, "bundle_tags")
    services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=bundle_of(order, 1))
    piece = scrapped(order, 1)
    assert words_of(before) == f"Outdated since {piece.mark} of bundle 1 was scrapped: print again."
    assert words_of(tags) == ""
    paper = asked(order, "cut_list", LATER + timedelta(minutes=1))
    table = paper_table(paper)
    column = {name.name: index for index, name in enumerate(table.columns)}
    again = [row for row in table.rows if row[column["Again"]]]
    assert [(row[column["Mark"]], row[column["Pieces"]]) for row in again] == [(piece.mark, 1)]
    assert table.rows[-1][column["Pieces so far"]] == order.pieces.count() + 1
    services.piece_remade(actor=people.actor(Role.SHOP), at=LATER + timedelta(minutes=5), piece=piece)
    assert words_of(paper) == "", "what is made is crossed off"
    assert words_of(before) == "", "what is left is what it says"
    tap = piece.actions.filter(verb=ShopVerb.REMAKE).get()
    services.tap_undo(
        actor=person(tap.by), at=LATER + timedelta(minutes=6),
        undoes=tap.action_id,
    )  # fmt: skip
    assert words_of(before) != ""
    assert words_of(paper) == ""


@pytest.mark.django_db
def test_a_bundle_opened_again_is_missing_on_a_list_from_meanwhile() -> None:
    order = orders.rolling()
    finish(order, 1, AT)
    paper = asked(order, "cut_list", AT + timedelta(minutes=1))
    services.bundle_reopen(
        actor=people.actor(Role.SHOP), at=LATER, bundle=bundle_of(order, 1), why="One piece is bent"
    )
    assert words_of(paper) == "Outdated since bundle 1 was opened again: print again."


@pytest.mark.django_db
def test_a_change_order_outdates_and_says_which() -> None:
    order = orders.released()
    papers = [asked(order, kind) for kind in ("cut_list", "bundle_tags", "piece_labels")]
    changed(order)
    assert {words_of(paper) for paper in papers} == {"Outdated since change 1: print again."}


@pytest.mark.django_db
def test_another_day_on_site_outdates_the_packing_list_only() -> None:
    order = orders.released()
    papers = {kind: asked(order, kind) for kind in ShopPaperKind.values}
    services.order_deliver_on(
        actor=person(order.owner), at=LATER, order=order, deliver_on=DAY + timedelta(days=9)
    )
    off = {kind: words_of(paper) for kind, paper in papers.items() if words_of(paper)}
    assert off == {"packing_list": "Outdated since its day on site was moved: print again."}
    project = order.revision.quote.project
    project.name = "Another name"
    project.save()
    assert words_of(papers["carton_labels"]) == "Outdated, what it says has changed: print again."


@pytest.mark.django_db
def test_a_new_plan_outdates_a_lines_day_only_where_it_is_another_day() -> None:
    order = orders.rolling()
    paper, line, _ = line_paper(order)
    finish(order, 1)
    plan_of(order, line, 8, LATER)
    assert words_of(paper) == "", "the same turns at the same times; bundle 1 is finished"
    plan_of(order, line, 9, LATER, turn=70)
    assert words_of(paper) == "Outdated since line plan 9: print again."
    plan_of(order, line, 10, LATER, day=DAY + timedelta(days=1))
    assert words_of(paper) == "Outdated since line plan 10: nothing is left for that day, throw it away."
    assert [paper.pk for paper, _ in papers_to_print(DAY)] == [paper.pk]
    assert papers_to_print(DAY + timedelta(days=1)) == []
    LinePlan.objects.update(state=LinePlanState.PAST)
    assert words_of(paper).endswith("throw it away.")


@pytest.mark.django_db
def test_a_part_used_sheet_or_another_stock_is_no_change() -> None:
    order = orders.released()
    papers = [asked(order, "piece_labels")]
    sheet = {"page_width": 2159, "page_height": 2794, "columns": 3, "rows": 10, "label_width": 667, "label_height": 254,
             "left": 48, "top": 127, "across": 699, "down": 254}  # fmt: skip
    stock = services.stock_make(
        actor=people.actor(Role.PLANNER), at=AT, name="Sheets", use="piece", sizes=sheet
    )
    papers += [asked(order, "piece_labels", stock=stock), asked(order, "piece_labels", stock=stock, start=4)]
    assert len({paper.pk for paper in papers}) == 3
    assert len({str(paper.facts) for paper in papers}) == 1
    services.stock_change(
        actor=people.actor(Role.PLANNER), at=LATER, stock=stock, name="Sheets", sizes=sheet | {"top": 130}
    )
    assert [words_of(paper) for paper in papers] == ["", "", ""]


# --- where it is said ---


@pytest.mark.django_db
def test_it_is_said_at_the_paper_by_page_and_api() -> None:
    order = orders.released()
    paper = asked(order, "bundle_tags")
    other = asked(order, "carton_labels")
    step(order, "split", number=1, at=5)
    client = people.client_of(Role.SHOP)
    page = client.get(f"/orders/{order.public_id}/papers/").content.decode()
    assert page.count("Outdated since") == 1
    rows = {
        row["id"]: row["outdated"] for row in client.get(f"/api/v1/orders/{order.public_id}/papers/").json()
    }
    assert rows[other.public_id] == ""
    assert rows[paper.public_id].startswith("Outdated since “Split bundle 1")
    shown = client.get(f"/api/v1/shop-papers/{paper.public_id}/").json()
    assert shown["outdated"] == rows[paper.public_id]


@pytest.mark.django_db
def test_it_is_said_on_the_line_on_the_floor_and_on_today() -> None:
    order, now = orders.released(), database_now()
    day = day_in(now, company_zone())
    _, line, plan = line_paper(order, day)
    row = {"line": "Line 1", "day": day.isoformat(), "run_minutes": 9, "setup_minutes": 0, "open_minutes": 480,
           "feet_16": 1, "capacity_16": 9}  # fmt: skip
    LinePlan.objects.filter(pk=plan.pk).update(figures={"days": [row]})
    asked(order, "bundle_tags")
    planner, shop = people.client_of(Role.PLANNER), people.client_of(Role.SHOP)
    pages = {
        "/orders/lines/": planner, "/orders/cut-lists/": shop, f"/orders/floor/?line={line.public_id}": shop,
    }  # fmt: skip
    for page, client in pages.items():
        assert "utdated" not in client.get(page).content.decode(), page
    step(order, "split", number=1, at=5)
    said = "Outdated since “Split bundle 1"
    for page, client in pages.items():
        assert client.get(page).content.decode().count(said) == 1, page
    section = next(one for one in waiting_for(people.user(Role.PLANNER), now) if one.title == TITLE)
    assert section.count == 2
    assert all(said in row.words for row in section.rows)
    assert planner.get("/").content.decode().count(said) == 2
    assert not any(one.title == TITLE for one in waiting_for(people.user(Role.SELLER), now))


@pytest.mark.django_db
def test_tags_made_at_the_release_say_on_the_order_since_when_they_are_outdated() -> None:
    order = orders.released()
    assert outbox_run(OutboxEntry.objects.get(kind="bundle_tags").pk)
    made = paper_get("bundle_tags", order)
    assert made is not None
    client, page = people.client_of(Role.PLANNER), f"/orders/{order.public_id}/"
    assert "from the release are outdated" not in client.get(page).content.decode()
    step(order, "fix", made.stored_at + timedelta(minutes=1), number=1)
    assert tags_outdated(order, made) == ""
    step(order, "split", made.stored_at + timedelta(minutes=2), number=1, at=5)
    assert "from the release are outdated since “Split bundle 1" in client.get(page).content.decode()
    assert tags_outdated(order, None) == ""


@pytest.mark.django_db
def test_as_many_queries_on_today_for_many_papers_as_for_one() -> None:
    order = orders.released()
    for kind in ("cut_list", "bundle_tags"):
        asked(order, kind)
    step(order, "split", number=1, at=5)
    with CaptureQueriesContext(connection) as few:
        assert len(papers_to_print(DAY)) == 2
    for _ in range(4):
        another = orders.released()
        for kind in ShopPaperKind.values:
            asked(another, kind)
        step(another, "split", number=1, at=5)
    with CaptureQueriesContext(connection) as many:
        assert len(papers_to_print(DAY)) == 2 + 4 * 3
    assert len(many) == len(few)
