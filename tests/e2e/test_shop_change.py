"""A change after booking on the running product (R45): half of it rolled, drawn anew, accepted on a phone, put in.

Two floors of 24 ft by 14 ft are ordered, 17 joists each (at 16, 32, ... 272 in). The first one's first bundle is rolled
when that floor becomes 30 ft by 13 ft: 22 joists (at 16, ... 352 in), all of them shorter. The upper floor stays.
"""

from __future__ import annotations

import re
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from framing.common.actors import SYSTEM, person
from framing.common.clock import database_now
from framing.common.models import Role, User
from orders import services
from orders.models import Bundle, ChangeOrder, Order
from quotes.services import quote_accept, quote_create, revision_issue
from tests.e2e.stack import wait_for
from tests.e2e.test_seller_path import LINK, PHONE, WORKER_MS, Desk, money, sure
from tests.e2e.test_shop_path import RAE, desk  # noqa: F401  # the fixture
from tests.factories import people, projects, quotes

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

JOISTS, SHORTER = 17, 22
WHY = "The hall is longer and less deep."


def released_order(seller: User) -> Order:
    """Two floors, booked and in the shop as of today."""
    at, actor = database_now(), person(seller)
    home = projects.project(seller, of=projects.builder(seller, email=RAE))
    for name in ("Ground floor", "Upper floor"):
        projects.floor(home, name=name)
    revision = revision_issue(
        actor=actor, revision=quote_create(actor=actor, project=home, at=at), key=quotes.key(), at=at
    )
    quote_accept(actor=quotes.builder(revision), revision=revision, name="Rae Winter", key="yes", at=at)
    order = services.order_book(actor=SYSTEM, at=at, quote=revision.quote)
    planner = people.actor(Role.PLANNER)
    services.drawings_approve(actor=planner, at=at, order=order)
    return services.order_release(actor=planner, at=at, order=order)


def test_a_change_of_an_order_that_is_half_rolled(desk: Desk) -> None:  # noqa: F811
    order = released_order(people.user(Role.SELLER, name="Ida Vale", email="ida@spanyard.example"))
    shop = desk.signed_in(people.user(Role.SHOP, name="Sam Vale"))
    rolled = the_shop_rolls_one_bundle(shop, order)
    held = list(rolled.pieces.order_by("position").values_list("pk", "code", "length_16"))
    assert 0 < len(held) < JOISTS, "some of the ground floor's joists are rolled, some are not"

    seller = desk.signed_in(order.owner)
    the_floor_changes(seller)
    change = the_seller_drafts_the_change(seller, order, held=len(held))
    the_seller_issues_and_sends(seller, desk, change)
    the_builder_accepts(desk, change)
    wait_for("the change in the order", ChangeOrder.objects.filter(applied_at__isnull=False).exists)

    order.refresh_from_db()
    assert order.revision_id == change.revision_id
    assert list(rolled.pieces.order_by("position").values_list("pk", "code", "length_16")) == held
    assert order.pieces.filter(dropped_by=None).count() == SHORTER + JOISTS
    the_page_tells_what_became_of_the_steel(seller, order, rolled)
    the_same_difference_everywhere(seller, order)
    the_shop_sees_it(shop, order, rolled)
    assert desk.watch.faults == []


def the_shop_rolls_one_bundle(page: Page, order: Order) -> Bundle:
    bundle = order.bundles.get(number=1)
    page.goto("/orders/floor/")
    card = page.locator(f"#b-{bundle.public_id}")
    for tap, words in (("start", "Started"), ("finish", "Finished")):
        card.locator(f"button[name={tap}]").click()
        expect(card).to_contain_text(words)
    bundle.refresh_from_db()
    return bundle


def the_floor_changes(page: Page) -> None:
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("link", name=re.compile("^Marsh Lane")).first.click()
    page.get_by_role("link", name="Ground floor").first.click()
    page.get_by_label("Width, left to right").fill("30'")
    page.get_by_label("Depth, bottom to top").fill("13'")
    page.get_by_role("button", name="Save").first.click()
    expect(page.get_by_text("version 2").first).to_be_visible()


def the_seller_drafts_the_change(page: Page, order: Order, *, held: int) -> ChangeOrder:
    """The order's page tells that a floor was saved since; from there he asks."""
    page.goto(f"/orders/{order.public_id}/")
    expect(page.get_by_text("Floors were saved since.")).to_be_visible()
    page.get_by_role("link", name="Change the order").first.click()
    expect(page.get_by_text("Begun already.")).to_be_visible()
    page.get_by_label("Why").fill(WHY)
    page.get_by_role("button", name="Draft the change").click()
    expect(page.get_by_role("heading", name=re.compile("^Change 1"))).to_be_visible()
    expect(page.get_by_text(f"{JOISTS} pieces stay as they are")).to_be_visible()
    assert counts(page, "Changed") == JOISTS
    assert counts(page, "Added") == SHORTER - JOISTS
    assert counts(page, "Changed", begun=True) == held
    return ChangeOrder.objects.select_related("revision__quote", "was").get()


def counts(page: Page, words: str, *, begun: bool = False) -> int:
    """Pieces of the rows that say this, or how many of them are begun."""
    rows = page.locator("#pieces tbody tr").filter(has_text=words).all()
    label = "Begun" if begun else "Pieces"
    return sum(int(row.locator(f"td[data-label='{label}']").inner_text()) for row in rows)


def the_seller_issues_and_sends(page: Page, desk: Desk, change: ChangeOrder) -> None:  # noqa: F811
    page.get_by_role("link", name="Finish and issue the offer").click()
    page.get_by_role("link", name="Issue and send").click()
    page.get_by_label("Your own words").fill("As we said on the phone.")
    page.get_by_role("button", name="Look at it again").click()
    page.get_by_role("button", name="Issue and send").click()
    sure(page)
    expect(page.get_by_text("On its way to Rae Winter.")).to_be_visible()
    page.goto(f"/quotes/revisions/{change.revision.public_id}/")
    expect(page.get_by_role("link", name="Download PDF")).to_be_visible(timeout=WORKER_MS)
    page.goto(f"/orders/{change.order.public_id}/changes/1/")
    expect(page.locator("#title").get_by_text("Waits for the builder")).to_be_visible()
    assert desk.mail(RAE, str(change.revision))


def the_builder_accepts(desk: Desk, change: ChangeOrder) -> None:  # noqa: F811
    found = LINK.search(desk.mail(RAE, str(change.revision)))
    assert found
    page = desk.open(PHONE)
    page.goto(found[0])
    expect(page.get_by_text("This is change 1 of your order")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    change.revision.refresh_from_db()
    for amount in (change.was.total, change.revision.total):
        money(page, amount)
    expect(page.locator("main")).to_contain_text(signed(change.revision.total - change.was.total))
    page.get_by_label("Your name").fill("Rae Winter")
    page.get_by_role("button", name="Go on to accept").click()
    page.get_by_role("button", name=f"Accept for ${change.revision.total:,.2f}").click()
    expect(page.get_by_text("accepted change 1 of your order")).to_be_visible()


def signed(amount: Decimal) -> str:
    """A difference as pages write it; this one is dearer."""
    assert amount > 0
    return f"+${amount:,.2f}"


def the_page_tells_what_became_of_the_steel(page: Page, order: Order, rolled: Bundle) -> None:
    change, dropped = ChangeOrder.objects.get(), rolled.pieces.exclude(dropped_by=None)
    feet = Decimal(sum(piece.length_16 for piece in dropped)) / 192
    pounds = sum((piece.weight_lb for piece in dropped), Decimal(0))
    page.goto(f"/orders/{order.public_id}/")
    listed = page.locator("#changes li", has_text=WHY)
    expect(listed).to_contain_text("In the order")
    expect(listed).to_contain_text(signed(change.revision.total - change.was.total))
    flagged = page.locator("tr", has=page.get_by_role("link", name=str(rolled.number), exact=True))
    expect(flagged).to_contain_text(f"{dropped.count()} not needed")
    listed.get_by_role("link").click()
    nothing = page.locator(".notice", has_text="Rolled for nothing.")
    expect(nothing).to_contain_text(f"{dropped.count()} pieces, {feet:.1f} ft and {pounds:.1f} lb together")
    assert dropped.count() == rolled.pieces.count()
    facts = page.locator("#bundles")
    made = sorted(change.difference["bundles"]["new"])
    for words, numbers in (("Stay with flagged pieces", [rolled.number]), ("New", made)):
        fact = facts.locator("div", has=page.get_by_text(words, exact=True)).last
        expect(fact.locator("dd")).to_have_text(", ".join(map(str, numbers)))
    expect(page.get_by_role("link", name="Tags made anew")).to_be_visible(timeout=WORKER_MS)


def the_same_difference_everywhere(page: Page, order: Order) -> None:
    """Page, operation and paper say the same, to the cent."""
    change = ChangeOrder.objects.get()
    was, now = change.was.total, change.revision.total
    assert change.price_change == now - was
    price = page.locator("#price")
    for words in (f"${was:,.2f}", f"${now:,.2f}", signed(now - was)):
        expect(price).to_contain_text(words)
    told = page.request.get(f"/api/v1/orders/{order.public_id}/changes/1/").json()
    assert told["state"] == "applied"
    money_told = [Decimal(told["price"][name]) for name in ("agreed", "total", "difference")]
    assert money_told == [was, now, now - was]
    page.goto(f"/quotes/revisions/{change.revision.public_id}/")
    with page.expect_download() as download:
        page.get_by_role("link", name="Download PDF").click()
    paper = PdfReader(BytesIO(Path(download.value.path()).read_bytes()))
    text = " ".join("\n".join(sheet.extract_text() for sheet in paper.pages).split())
    assert f"change 1 to order {order.number}" in text
    for words in (f"${was:,.2f}", f"${now:,.2f}", signed(now - was)):
        assert words in text, words


def the_shop_sees_it(page: Page, order: Order, rolled: Bundle) -> None:
    """What is needed no more is named on its bundle; the rest is there to roll."""
    page.goto(f"/orders/floor/{rolled.public_id}/")
    expect(page.get_by_text("The order changed.")).to_be_visible()
    page.goto("/orders/floor/")
    card = page.locator(f"#b-{rolled.public_id}")
    expect(card).to_contain_text(f"No piece needed, {rolled.pieces.count()} left over")
    left = list(order.bundles.filter(finished_at=None))
    assert sum(bundle.pieces.count() for bundle in left) == SHORTER + JOISTS
    for bundle in left:
        expect(page.locator(f"#b-{bundle.public_id}")).to_contain_text(f"{bundle.pieces.count()} pieces")
