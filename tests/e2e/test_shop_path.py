"""The shop's whole path on the running product: from a quote to steel in bundles that the shop has tapped and scanned.

Four people work in browsers of their own: the seller, the builder by the links in his mails, the planner and the shop.
Papers are fetched as files and their QR codes read back from the rendered pages.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.models import Role
from framing.projects.models import PracticeSet
from orders.models import Bundle, LinePlan, LineRun, Order, Piece, Remake
from orders.papers.codes import read_code
from orders.release_reads import deposit_needed
from quotes.models import QuoteRevision
from quotes.services import quote_create, revision_issue
from tests.e2e.stack import Stack
from tests.e2e.test_seller_path import LINK, PHONE, WORKER_MS, Desk, sure
from tests.factories import lines, people, quotes
from tests.orders.papers.labels import codes, pictures

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

RAE = "rae@alder.example"
EVERY_DAY = ("0:00-24:00",) * 7
DEPOSIT_PERCENT = 25


@pytest.fixture
def desk(stack: Stack, browser: Browser, settings: Settings) -> Iterator[Desk]:
    # The web process checks passwords as in production, not with the tests' quick hash.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    quotes.price_book()
    for name in ("web", "worker", "beat"):
        stack.start(name)
    desk = Desk(stack, browser)
    yield desk
    for context in browser.contexts:
        context.close()


def issued_quote() -> QuoteRevision:
    """A quote as it was sent today, under a practice set that asks for a quarter before release."""
    seller = people.user(Role.SELLER, name="Ida Vale", email="ida@spanyard.example")
    home, at = quotes.project(seller), database_now()
    draft = quote_create(actor=person(seller), project=home, at=at)
    # straight in the table: a set that was in force never changes by the services
    PracticeSet.objects.filter(pk=draft.practice_set_id).update(values={"deposit_percent": DEPOSIT_PERCENT})
    return revision_issue(actor=person(seller), revision=draft, key=quotes.key(), at=at)


def test_from_accepted_to_bundled(desk: Desk) -> None:
    revision = issued_quote()
    seller = desk.signed_in(revision.quote.owner)
    the_seller_records_the_yes(seller, revision)
    order = booked(seller)
    the_seller_sends_drawings(seller, order)
    the_builder_marks_up_and_later_approves(desk, seller, order)
    the_seller_writes_the_deposit_down(seller, order)

    planner = desk.signed_in(people.user(Role.PLANNER, name="Paul Vale"))
    the_planner_releases(planner, order)
    the_planner_splits_a_bundle(planner, order)
    lines.line(shifts=EVERY_DAY)
    plan = the_planner_asks_for_a_line_plan(planner, order)
    the_cut_list_holds_what_the_plan_holds(planner, plan)
    tags = the_codes_of(planner, order, "Make bundle tags")
    labels = the_codes_of(planner, order, "Make piece labels")
    assert tags == set(order.bundles.values_list("code", flat=True))
    assert labels == set(Piece.objects.filter(bundle__order=order).values_list("code", flat=True))

    shop = desk.signed_in(people.user(Role.SHOP, name="Sam Vale"))
    the_shop_scraps_a_piece_and_makes_it_again(shop, desk, order)
    the_shop_rolls_the_rest(shop, order)
    the_last_tag_is_scanned(shop, desk, order)
    order.refresh_from_db()
    assert order.stage == "bundled"
    shop.goto(f"/orders/{order.public_id}/")
    expect(shop.locator("#title").get_by_text("Bundled")).to_be_visible()
    verbs = {entry.verb for entry in audit_list(order)}
    assert {"drawings_refuse", "drawings_approve", "deposit_record", "order_release"} <= verbs
    assert desk.watch.faults == []


def the_seller_records_the_yes(page: Page, revision: QuoteRevision) -> None:
    page.goto(f"/quotes/revisions/{revision.public_id}/")
    page.get_by_text("Record an acceptance that came by phone").click()
    page.get_by_label("Who accepted").fill("Rae Winter")
    page.get_by_label("How the builder told you").fill("By phone this morning.")
    page.get_by_role("button", name="Record acceptance").click()
    sure(page)
    expect(page.get_by_text("Rae Winter").first).to_be_visible()


def booked(page: Page) -> Order:
    """The order, once the worker booked it and its page opens from the list."""
    for _ in range(WORKER_MS // 500):
        page.goto("/orders/")
        link = page.get_by_role("link", name="SO-2026-0001")
        if link.count():
            link.first.click()
            expect(page.get_by_text("Drawings wait for approval.")).to_be_visible()
            return Order.objects.get()
        page.wait_for_timeout(500)
    raise AssertionError("no order was booked")


def the_seller_sends_drawings(page: Page, order: Order) -> None:
    page.goto(f"/orders/{order.public_id}/drawings/send/")
    page.get_by_label("Name").first.fill("Rae Winter")
    page.get_by_label("Mail address").first.fill(RAE)
    page.get_by_role("button", name="Send drawings").click()
    expect(page.get_by_text("Asked", exact=True)).to_be_visible()


def newest_link(desk: Desk, order: Order) -> str:
    found = LINK.search(desk.mail(RAE, order.number))
    assert found
    return found[0]


def the_builder_marks_up_and_later_approves(desk: Desk, seller: Page, order: Order) -> None:
    """A no with words comes first; the drawings are sent again, by a link of their own."""
    builder = desk.open(PHONE)
    first = newest_link(desk, order)
    builder.goto(first)
    builder.get_by_label("Something must change").check()
    builder.get_by_label("What must change").fill("Joist 1J04 collides with the drain; move it 2 in.")
    builder.get_by_label("Your name").fill("Rae Winter")
    builder.get_by_role("button", name="Send your answer").click()
    expect(builder.get_by_text("We know what must change.")).to_be_visible()
    seller.goto(f"/orders/{order.public_id}/")
    expect(seller.get_by_text("the builder wants a change").first).to_be_visible()
    the_seller_sends_drawings(seller, order)
    sent = len(desk.mails_to(RAE))
    for _ in range(100):
        if len(desk.mails_to(RAE)) > 1 and newest_link(desk, order) != first:
            break
        builder.wait_for_timeout(200)
    second = newest_link(desk, order)
    assert second != first, f"{sent} mails, and the second brings no link of its own"
    builder.goto(second)
    builder.get_by_label("The drawings are right").check()
    builder.get_by_label("Your name").fill("Rae Winter")
    builder.get_by_role("button", name="Send your answer").click()
    expect(builder.get_by_text("The drawings are approved.")).to_be_visible()


def the_seller_writes_the_deposit_down(page: Page, order: Order) -> None:
    needed = deposit_needed(order)
    assert needed > Decimal(0)
    page.goto(f"/orders/{order.public_id}/")
    deposit = page.locator("#deposit")
    expect(deposit.get_by_text(f"${needed:,.2f}").first).to_be_visible()
    deposit.get_by_text("Write a deposit down").click()
    deposit.get_by_label("Amount").fill(str(needed))
    deposit.get_by_label("Received on").fill(database_now().date().isoformat())
    deposit.get_by_label("Note").fill("Check 1184")
    deposit.get_by_role("button", name="Write it down").click()
    expect(page.locator("#checklist").get_by_text("Missing")).to_have_count(0)


def the_planner_releases(page: Page, order: Order) -> None:
    page.goto(f"/orders/{order.public_id}/")
    expect(page.locator("#checklist").get_by_text("Ready")).to_be_visible()
    page.get_by_role("button", name="Release to shop").click()
    sure(page)
    expect(page.locator("#title").get_by_text("Released")).to_be_visible()
    page.get_by_role("link", name="From the side, and change them").click()
    for bundle in order.bundles.all():
        card = page.locator(f"#bundle-{bundle.number}")
        expect(card.locator("[data-piece]")).to_have_count(bundle.pieces.count())


def the_planner_splits_a_bundle(page: Page, order: Order) -> None:
    before, pieces = order.bundles.count(), Piece.objects.filter(bundle__order=order).count()
    card = page.locator("#bundle-1")
    card.get_by_label("Pieces that stay, from the bottom").fill("5")
    card.get_by_role("button", name="Split").click()
    expect(
        page.get_by_text("Split bundle 1: 5 stay, 4 from the top are bundle 3.", exact=True)
    ).to_be_visible()
    assert order.bundles.count() == before + 1
    assert Piece.objects.filter(bundle__order=order).count() == pieces, "no piece comes or goes"


def the_planner_asks_for_a_line_plan(page: Page, order: Order) -> LinePlan:
    page.goto("/orders/lines/")
    page.get_by_role("button", name="Ask for a plan").click()
    take = page.get_by_role("button", name="Put in force")
    expect(take).to_be_visible(timeout=WORKER_MS)
    take.click()
    expect(page.get_by_text("Every order is in time.")).to_be_visible()
    plan = LinePlan.objects.get(state="in_force")
    for bundle in order.bundles.all():
        expect(page.locator(".line-run").get_by_text(f"{order.number}/{bundle.number}")).to_be_visible()
    return plan


def the_cut_list_holds_what_the_plan_holds(page: Page, plan: LinePlan) -> None:
    """As PDF and as CSV: each piece of the first day once, in running order."""
    day = plan.runs.order_by("day").values_list("day", flat=True)[0]
    bundles = [run.bundle for run in LineRun.objects.filter(plan=plan, day=day).order_by("position")]
    page.goto("/orders/cut-lists/")
    page.get_by_role("button", name="Make the cut list of North").first.click()
    paper = page.get_by_role("link", name="PDF").first
    expect(paper).to_be_visible(timeout=WORKER_MS)
    text = "\n".join(sheet.extract_text() for sheet in PdfReader(fetched(page, "PDF")).pages)
    rows = list(csv.DictReader(StringIO(fetched(page, "CSV").read_text(encoding="utf-8-sig"))))
    for bundle in bundles:
        for piece in bundle.pieces.all():
            assert piece.mark in text, piece.mark
    count = next(name for name in rows[0] if name in ("Quantity", "Pieces"))
    assert sum(int(row[count]) for row in rows) == sum(bundle.pieces.count() for bundle in bundles)


def fetched(page: Page, name: str) -> Path:
    with page.expect_download() as download:
        page.get_by_role("link", name=name).first.click()
    return Path(download.value.path())


def the_codes_of(page: Page, order: Order, button: str) -> set[str]:
    """What a reader finds on the rendered pages of labels that were just made; the first one is opened as scanned."""
    page.goto(f"/orders/{order.public_id}/papers/")
    made = page.locator("#papers").get_by_text("Ready").count()
    page.get_by_role("button", name=button).click()
    expect(page.locator("#papers").get_by_text("Ready")).to_have_count(made + 1, timeout=WORKER_MS)
    found = [text for picture in pictures(fetched(page, "PDF").read_bytes()) for text in codes(picture)]
    assert len(found) == len(set(found)), "each code once"
    page.goto(f"/t/{read_code(found[0])}/")
    expect(page.get_by_role("heading", name=re.compile("Bundle [0-9]+"))).to_be_visible()
    return {read_code(text) for text in found}


def open_bundle(page: Page, bundle: Bundle) -> None:
    page.goto(f"/orders/floor/{bundle.public_id}/")


def scan(page: Page, desk: Desk, code: str) -> None:
    """A scanner types, wherever the page has its focus, and ends with Enter."""
    page.locator("h1").click()
    page.keyboard.type(f"{desk.stack.url}/t/{code}/\n")


def the_shop_scraps_a_piece_and_makes_it_again(page: Page, desk: Desk, order: Order) -> None:
    bundle = order.bundles.get(number=1)
    piece = bundle.pieces.order_by("position")[0]
    open_bundle(page, bundle)
    page.locator("#floor-state button[name=start]").click()
    expect(page.locator("#floor-said")).to_have_text(f"Bundle 1 of {order.number} is started.")
    scan(page, desk, piece.code)
    expect(page.locator("#floor-check")).to_contain_text("Scanned, of all: 1 / 5.")
    page.get_by_text("Bent or twisted").click()
    page.get_by_role("button", name="Scrap and ask again").click()
    expect(page.locator("#floor-again")).to_contain_text(piece.mark)
    expect(page.locator("#floor-state button[name=finish]")).to_be_disabled()
    page.get_by_role("button", name=f"Made {piece.mark}").click()
    expect(page.locator("#floor-again")).to_contain_text("No piece of this bundle waits")
    page.get_by_label("Weight on the scale").fill(str(bundle.weight_lb))
    page.get_by_role("button", name="Keep the weight").click()
    expect(page.locator("#floor-said")).to_contain_text(f"Bundle 1 of {order.number} weighs")
    page.locator("#floor-state button[name=finish]").click()
    expect(page.locator("#floor-said")).to_contain_text("is finished")
    remake = Remake.objects.get()
    assert (remake.piece, remake.made_at is not None) == (piece, True)
    order.refresh_from_db()
    assert order.stage == "rolling", "the first start rolls the order"


def the_shop_rolls_the_rest(page: Page, order: Order) -> None:
    """All but the last bundle by one tap to start and one to finish, on the list of the line."""
    page.goto("/orders/floor/")
    last = order.bundles.order_by("number").last()
    assert last is not None
    for bundle in order.bundles.exclude(pk=last.pk).filter(started_at=None).order_by("number"):
        card = page.locator(f"#b-{bundle.public_id}")
        card.locator("button[name=start]").click()
        expect(card).to_contain_text("Started")
        card.locator("button[name=finish]").click()
        expect(card).to_contain_text("Finished")


def the_last_tag_is_scanned(page: Page, desk: Desk, order: Order) -> None:
    """The tag starts its bundle, and once it was rolled for a while the same tag finishes it."""
    last = order.bundles.order_by("number").last()
    assert last is not None
    scan(page, desk, last.code)
    expect(page.locator("#floor-said")).to_have_text(f"Bundle {last.number} of {order.number} is started.")
    # a tag read twice within 20 s counts once: the start is put back by a minute instead of waiting
    Bundle.objects.filter(pk=last.pk).update(started_at=database_now() - timedelta(minutes=1))
    page.goto("/orders/floor/")
    scan(page, desk, last.code)
    expect(page.locator("#floor-said")).to_contain_text(f"Bundle {last.number} of {order.number} is finished")
