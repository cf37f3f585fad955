"""Shop papers that no longer say what is to be made: what outdates them, what does not, and where it is said."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.common.actors import SYSTEM, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Refused
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_get
from framing.common.zones import company_zone, day_in
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import Bundle, Line, LinePlan, LineRun, Order, PastCode, Piece, Remake, ShopPaper
from orders.papers.files import paper_table
from orders.papers.paper_facts import facts_from, facts_of
from orders.papers.standing import outdated_of, papers_to_print, tags_outdated
from orders.services.bundles import Step
from orders.states import LinePlanState, ShopPaperKind, ShopVerb
from orders.waiting import waiting_for
from tests.factories import changes, orders, people

AT = orders.AT
LATER = AT + timedelta(hours=1)
DAY = (AT + timedelta(days=3)).date()
TITLE = "Papers of the shop to print again"


def asked(order: Order, kind: str, at: datetime = AT, **more: Any) -> ShopPaper:
    return services.shop_paper_make(
        actor=people.actor(Role.PLANNER), at=at, order=orders.fresh(order), kind=kind, **more
    )


def words_of(paper: ShopPaper) -> str:
    found = outdated_of([ShopPaper.objects.get(pk=paper.pk)]).get(paper.pk)
    return found.words if found else ""


def step(order: Order, edit: str, when: datetime = LATER, **more: Any) -> None:
    services.bundles_edit(
        actor=people.actor(Role.PLANNER), at=when, order=order, version=bundle_table(order).version,
        step=Step(edit, **more),
    )  # fmt: skip


def changed(order: Order) -> None:
    """A smaller hall, accepted and put into the order later."""
    change = changes.asked(order)
    changes.accepted(change)
    services.change_apply(actor=SYSTEM, at=LATER, change=change)


def bundle_of(order: Order, number: int) -> Bundle:
    return order.bundles.get(number=number)


def scrapped(order: Order, number: int, at: datetime = LATER) -> Piece:
    piece = bundle_of(order, number).pieces.order_by("position").first()
    assert piece is not None
    services.piece_scrap(actor=people.actor(Role.SHOP), at=at, piece=piece, reason="bent")
    return piece


def finish(order: Order, number: int, at: datetime = LATER) -> None:
    services.bundle_finish(actor=people.actor(Role.SHOP), at=at, bundle=bundle_of(order, number))


def line_paper(order: Order, day: date = DAY) -> tuple[ShopPaper, Line, LinePlan]:
    """A plan in force that rolls all bundles on one line on a day, and its cut list."""
    line = Line.objects.create(name="Line 1", feet_per_minute=40)
    plan = plan_of(order, line, 7, AT, day=day)
    return services.cut_list_make(actor=people.actor(Role.SHOP), at=AT, line=line, day=day), line, plan


def plan_of(
    order: Order, line: Line, number: int, taken: datetime, turn: int = 60, day: date = DAY
) -> LinePlan:
    """A plan in force of an order's open bundles, `turn` minutes apart."""
    LinePlan.objects.filter(state=LinePlanState.IN_FORCE).update(state=LinePlanState.PAST)
    plan = LinePlan.objects.create(
        number=number, state=LinePlanState.IN_FORCE, frozen_through=DAY - timedelta(days=1), taken_at=taken
    )
    for place, bundle in enumerate(order.bundles.order_by("number"), 1):
        if bundle.finished_at is None:
            LineRun.objects.create(
                plan=plan, line=line, bundle=bundle, position=place, day=day, end_day=day,
                start_minute=420 + turn * place, end_minute=470 + turn * place, setup_minutes=0,
            )  # fmt: skip
    return plan


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


# --- equal facts, equal papers ---


def _leaves(thing: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(thing, dict):
        for key in thing:
            yield from _leaves(thing[key], (*path, key))
    elif isinstance(thing, list | tuple):
        for index, part in enumerate(thing):
            yield from _leaves(part, (*path, index))
    else:
        yield path


def _changed(content: dict[str, Any], path: tuple[Any, ...]) -> dict[str, Any]:
    made = copy.deepcopy(content)
    place: Any = made
    for key in path[:-1]:
        place = place[key]
    value = place[path[-1]]
    other = (
        not value if isinstance(value, bool) else value + 1 if isinstance(value, int | float) else f"{value}x"
    )
    place[path[-1]] = other
    return made


PROGRESS = ("form", "stock", "stock_name", "start", "finished", "plan")


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [*ShopPaperKind.values, "line"])
def test_facts_are_equal_if_and_only_if_all_but_progress_is(kind: str) -> None:
    order = orders.rolling()
    services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=bundle_of(order, 1))
    scrapped(order, 1, AT)
    paper = line_paper(order)[0] if kind == "line" else asked(order, kind)
    content = ShopPaper.objects.get(pk=paper.pk).content
    facts = facts_of(paper.kind, content)
    assert facts == facts_from(paper.facts)
    paths = list(_leaves(content))
    assert len(paths) > 20
    for path in paths:
        progress = path[0] in PROGRESS or path[-1] == "change"
        same = facts_of(paper.kind, _changed(content, path)) == facts
        assert same is progress, path


ACTS = (
    "split",
    "merge",
    "fix",
    "finish",
    "start",
    "reopen",
    "scrap",
    "remade",
    "undo",
    "plan",
    "rename",
    "print",
)


@pytest.mark.django_db
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(st.tuples(st.sampled_from(ACTS), st.integers(1, 3)), min_size=1, max_size=6))
def test_a_paper_stands_if_and_only_if_what_is_left_of_it_would_be_printed(
    acts: list[tuple[str, int]], rolling_order: Order
) -> None:
    with transaction.atomic():
        order = orders.fresh(rolling_order)
        papers = [*(asked(order, kind) for kind in ShopPaperKind.values), line_paper(order)[0]]
        for minute, (act, number) in enumerate(acts, 1):
            at = AT + timedelta(minutes=5 * minute)
            with_refusal(partial(do, order, act, number, at, papers))
        rows = list(ShopPaper.objects.filter(pk__in=[paper.pk for paper in papers]).order_by("id"))
        off = outdated_of(rows)
        now = {(paper.kind, paper.line_id): now_of(paper) for paper in rows[:6]}
        for paper in rows:
            assert (paper.pk in off) is (left_of(paper) != now[paper.kind, paper.line_id]), (paper, acts)
        transaction.set_rollback(True)


@pytest.fixture
def rolling_order() -> Order:
    return orders.rolling()


def with_refusal(act: Callable[[], None]) -> None:
    """What the rules refuse changes nothing."""
    try:
        with transaction.atomic():
            act()
    except ApplicationError:
        pass


def do(order: Order, act: str, number: int, at: datetime, papers: list[ShopPaper]) -> None:
    actor = people.actor(Role.PLANNER)
    line = Line.objects.get()
    if act in ("split", "fix"):
        step(order, act, at, number=number, **({"at": 4 + number} if act == "split" else {}))
    elif act == "merge":
        step(order, act, at, number=number, other=number % 3 + 1)
    elif act == "undo":
        services.bundles_undo(actor=actor, at=at, order=order, version=bundle_table(order).version)
    elif act == "plan":
        plan_of(order, line, 20 + number + at.minute, at, turn=55 + 5 * number)
    elif act == "rename":
        project = order.revision.quote.project
        project.name = f"Hall {number}"
        project.save()
    elif act == "print":
        papers.extend(asked(order, kind, at) for kind in ShopPaperKind.values)
    else:
        _in_the_shop(order, act, number, at)


def _in_the_shop(order: Order, act: str, number: int, at: datetime) -> None:
    bundle = order.bundles.filter(number=number).first()
    if bundle is None:
        return
    actor = people.actor(Role.SHOP)
    if act == "scrap":
        scrapped(order, number, at)
    elif act == "remade":
        remake = Remake.objects.filter(piece__bundle=bundle, made_at=None).first()
        if remake is not None:
            services.piece_remade(actor=actor, at=at, piece=remake.piece)
    elif act == "reopen":
        services.bundle_reopen(actor=actor, at=at, bundle=bundle, why="One is bent")
    else:
        verb = services.bundle_finish if act == "finish" else services.bundle_start
        verb(actor=actor, at=at, bundle=bundle)


def left_of(paper: ShopPaper) -> Any:
    """What stands on a paper, with all crossed off that is done by now."""
    kept = {key: value for key, value in paper.content.items() if key not in PROGRESS}
    if paper.kind != "cut_list":
        return kept
    finished = {(str(b.order), b.number) for b in Bundle.objects.exclude(finished_at=None)}
    made = set(Remake.objects.exclude(made_at=None).values_list("public_id", flat=True))
    turns = [
        bundle | {"change": None, "again": [row for row in bundle["again"] if row["id"] not in made]}
        for bundle in kept["bundles"]
        if (bundle["order"], bundle["number"]) not in finished
    ]
    return kept | {"bundles": turns}


def now_of(paper: ShopPaper) -> Any:
    """The same of the paper that would be made now; without any turn where none is left."""
    actor = people.actor(Role.PLANNER)
    try:
        if paper.line is not None and paper.day is not None:
            fresh = services.cut_list_make(actor=actor, at=LATER, line=paper.line, day=paper.day)
        else:
            assert paper.order is not None
            fresh = asked(paper.order, paper.kind, LATER)
    except Refused:
        return left_of(paper) | {"bundles": []}
    return left_of(ShopPaper.objects.get(pk=fresh.pk))


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


# --- an old tag in hand ---


@pytest.mark.django_db
def test_an_old_tag_leads_to_its_bundle_and_counts_no_step() -> None:
    order = orders.rolling()
    code = bundle_of(order, 1).code
    step(order, "split", number=1, at=5)
    found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code)
    assert found.bundle == bundle_of(order, 1)
    assert found.action is None
    assert found.told.startswith("This tag is old: since “Split bundle 1")
    assert "print the tag again" in found.told
    assert bundle_of(order, 1).started_at is None
    shop = people.client_of(Role.SHOP)
    answer = shop.post("/api/v1/bundles/scan/", {"code": code}, content_type="application/json").json()
    assert (answer["said"], answer["tone"], answer["action_id"]) == (found.told, "care", None)
    page = shop.get(f"/t/{code}/", follow=True)
    assert page.status_code == 200
    assert "This tag is old" in page.content.decode()
    now = bundle_of(order, 1).code
    scanned = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=now)
    assert (scanned.told, scanned.action is not None) == ("", True)


@pytest.mark.django_db
def test_a_tag_of_a_bundle_that_is_no_more_says_where_its_pieces_are() -> None:
    order = orders.rolling()
    step(order, "split", number=1, at=5)
    code = bundle_of(order, 3).code
    step(order, "merge", number=1, other=3)
    with pytest.raises(
        Refused, match=r"Bundle 3 of order .* is no more since “.*”\. Its pieces are in bundle 1; scan"
    ) as no:
        services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code)
    assert no.value.field == "code"
    page = people.client_of(Role.SHOP).get(f"/t/{code}/")
    assert page.status_code == 404
    assert "Its pieces are in bundle 1" in page.content.decode()


@pytest.mark.django_db
def test_a_code_that_came_back_is_no_old_one() -> None:
    order = orders.rolling()
    code = bundle_of(order, 1).code
    step(order, "split", number=1, at=5)
    assert PastCode.objects.filter(code=code).exists()
    services.bundles_undo(
        actor=people.actor(Role.PLANNER), at=LATER, order=order, version=bundle_table(order).version
    )
    assert not PastCode.objects.filter(code=code).exists()
    assert services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code).told == ""


@pytest.mark.django_db
def test_tags_and_labels_from_before_a_change_lead_on() -> None:
    order = orders.released()
    bundles = {row.number: row.code for row in order.bundles.all()}
    cartons = {row.number: row.code for row in order.cartons.all()}
    changed(order)
    anew = {number for number, code in bundles.items() if not order.bundles.filter(code=code).exists()}
    assert anew
    here = {row.number for row in order.bundles.all()}
    for number in anew & here:
        found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundles[number])
        assert found.told.startswith("This tag is old: since change 1,")
    for number in anew - here:
        with pytest.raises(Refused, match="is no more since change 1"):
            services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundles[number])
    packed = {code for code in cartons.values() if not order.cartons.filter(code=code).exists()}
    assert packed
    with pytest.raises(Refused, match="from before change 1"):
        services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=packed.pop())


@pytest.mark.django_db
def test_the_tag_of_a_bundle_with_flagged_pieces_works_and_says_what_to_do() -> None:
    order = changes.half_rolled()
    changes.applied(changes.asked(order, depth="13'", width="20'"))
    bundle = order.bundles.filter(pieces__dropped_by__isnull=False).distinct().first()
    assert bundle is not None
    found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundle.code)
    assert found.action is not None
    assert found.told.startswith("Change 1 needs some of its pieces no more")
