"""A seller's whole path on the running product: a call comes in, and weeks later revision 2 is accepted and booked.

Three people work in browsers of their own: the seller, the manager who is asked for a word, and the builder, who comes
by the link in his mail, on a phone. Money is held against the API, the stored paper and what the builder reads.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from email import message_from_bytes
from email.message import Message
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from framing.common.models import AccessLink, Role, User
from framing.projects.models import Floor, Project
from orders.models import Order
from quotes.models import Acceptance, Approval, Quote, QuoteRevision
from tests.e2e.pages import Watch
from tests.e2e.stack import Stack, wait_for
from tests.factories import people, quotes

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

WORKER_MS = 60_000
DESK: ViewportSize = {"width": 1280, "height": 900}
PHONE: ViewportSize = {"width": 390, "height": 844}
LINK = re.compile(r"http://127\.0\.0\.1:\d+/l/[\w-]{43}/")


class Desk:
    """The running product, browsers signed in to it, and the mails that went out."""

    def __init__(self, stack: Stack, browser: Browser) -> None:
        self.stack, self.browser, self.mails = stack, browser, stack.mails
        self.watch = Watch(stack.url)

    def open(self, size: ViewportSize) -> Page:
        context = self.browser.new_context(base_url=self.stack.url, viewport=size, accept_downloads=True)
        context.set_default_timeout(15_000)
        return self.watch.follow(context.new_page())

    def signed_in(self, user: User) -> Page:
        page = self.open(DESK)
        page.goto("/")
        page.get_by_label("Email").fill(user.email)
        page.get_by_label("Password", exact=True).fill(people.PASSWORD)
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", name="Today")).to_be_visible()
        return page

    def mails_to(self, address: str) -> list[Message]:
        """Mails of the file backend to somebody, oldest first; a file holds all that one process wrote."""
        rows = (part for path in sorted(self.mails.glob("*.log")) for part in _mails_of(path.read_bytes()))
        return [mail for mail in rows if address in str(mail["To"])]

    def mail(self, address: str, subject: str) -> str:
        """The plain text of the newest mail to somebody whose subject holds these words, once it is out."""

        def found() -> list[Message]:
            return [mail for mail in self.mails_to(address) if subject in str(mail["Subject"])]

        wait_for(f"a mail to {address}: {subject}", found)
        return text_of(found()[-1])


def _mails_of(data: bytes) -> Iterator[Message]:
    for part in re.split(rb"\n-{79}\n", data):
        if part.strip():
            yield message_from_bytes(part.lstrip())


def text_of(mail: Message) -> str:
    part = next(part for part in mail.walk() if part.get_content_type() == "text/plain")
    payload = part.get_payload(decode=True)
    assert isinstance(payload, bytes)
    return payload.decode()


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


def sure(page: Page) -> None:
    """Answer the second look of an act that has one."""
    page.locator("dialog[open]").get_by_role("button").last.click()


def money(page: Page, amount: Decimal) -> None:
    """The page says this amount."""
    expect(page.locator("main").get_by_text(f"${amount:,.2f}").first).to_be_visible()


def draft_of(number: int) -> QuoteRevision:
    return QuoteRevision.objects.get(number=number)


def test_from_a_call_to_an_accepted_second_revision(desk: Desk) -> None:
    seller = desk.signed_in(people.user(Role.SELLER, name="Ida Vale", email="ida@spanyard.example"))
    enter_the_enquiry(seller)
    type_the_floor(seller)
    draw_up_with_an_alternate(seller)
    give_more_than_one_may(seller)
    manager = desk.signed_in(people.user(Role.MANAGER, name="Greta Vale", email="greta@spanyard.example"))
    the_manager_asks_back(manager)
    the_seller_answers(seller)
    the_manager_approves(manager)
    issue_and_send(seller, "Here is what we talked about.")

    builder = desk.open(PHONE)
    first = LINK.search(desk.mail("rae@alder.example", "Q-2026-0001-R1"))
    assert first
    the_builder_reads_and_asks(builder, first[0])
    the_seller_replies(desk, seller)
    assert "By 2 ft, yes." in desk.mail("rae@alder.example", "About quote Q-2026-0001-R1")

    the_plan_changes(seller)
    revise(seller)
    look_at_what_changed(seller)
    issue_and_send(seller, "With the longer room.")
    builder.reload()
    expect(builder.get_by_text("A newer quote replaced this one.")).to_be_visible()
    expect(builder.get_by_role("button", name="Go on to accept")).to_have_count(0)

    second = LINK.search(desk.mail("rae@alder.example", "Q-2026-0001-R2"))
    assert second
    the_builder_picks_and_accepts(builder, second[0])
    wait_for("the order", Order.objects.exists)
    the_same_money_everywhere(seller, builder)
    assert desk.watch.faults == []


# --- the enquiry ---


def enter_the_enquiry(page: Page) -> None:
    """Somebody calls: his company, his project, its site."""
    page.get_by_role("link", name="Builders").click()
    page.get_by_role("link", name="Enter a builder").first.click()
    page.get_by_label("Company").fill("Alder and Daughters")
    page.get_by_label("Person to ask for").fill("Rae Winter")
    page.get_by_label("Email").fill("rae@alder.example")
    page.get_by_label("Phone").fill("555-0142")
    page.get_by_role("button", name="Enter the builder").click()
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("link", name="Begin a project").first.click()
    page.get_by_label("Builder", exact=True).select_option(label="Alder and Daughters")
    page.get_by_label("Project", exact=True).fill("Fern Lane")
    page.get_by_label("Street and number").fill("3 Fern Lane")
    page.get_by_label("City").fill("Harrow Bend")
    page.get_by_label("State or province").fill("OH")
    page.get_by_label("Postal code").fill("44000")
    page.get_by_label("Freight zone").select_option("near")
    page.get_by_label("Place for sales tax").select_option("OH")
    page.get_by_role("button", name="Begin the project").click()


def type_the_floor(page: Page) -> None:
    page.get_by_role("link", name="Draw a floor").first.click()
    page.get_by_label("Name", exact=True).fill("First floor")
    page.get_by_label("Width, left to right").fill("24'")
    page.get_by_label("Depth, bottom to top").fill("14'")
    expect(page.locator("svg .dw-joist").first).to_be_attached()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("version 1").first).to_be_visible()


# --- the draft and its approval ---


def draw_up_with_an_alternate(page: Page) -> None:
    page.get_by_role("link", name="Fern Lane").first.click()
    page.get_by_role("link", name="Quote this project").click()
    page.get_by_role("button", name="Draw up quote").click()
    expect(page.get_by_role("heading", name="Q-2026-0001-R1")).to_be_visible()
    money(page, draft_of(1).total)
    page.get_by_role("link", name="Add an alternate").click()
    page.get_by_label("Name").fill("Joists at 12 in")
    joists = page.get_by_label("Joists", exact=True)
    drawn = joists.locator("option").first.inner_text().split(" at ")[0].strip()
    joists.select_option(value=f"{drawn}|12")
    page.get_by_role("button", name="Draw up and price").click()
    expect(page.get_by_role("link", name="Open alternate A")).to_be_visible()


def give_more_than_one_may(page: Page) -> None:
    """A discount over the seller's 5 %: the offer can't go out, a manager is asked, with a reason."""
    page.get_by_label("Discount on the total, %").fill("9")
    page.get_by_role("button", name="Change and price").click()
    expect(page.get_by_text("Discount 9.00 % is over").first).to_be_visible()
    expect(page.get_by_role("button", name="Issue quote")).to_have_count(0)
    page.get_by_role("link", name="Ask for approval").click()
    page.get_by_label("Why this price is right").fill("Five more houses follow this one.")
    page.get_by_role("button", name="Ask for approval").click()
    expect(page.get_by_text("Waiting for approval.")).to_be_visible()


def open_queue(page: Page) -> None:
    """What waits for the manager's word, from his day."""
    page.get_by_role("link", name="Today").first.click()
    asked = page.locator("section", has=page.get_by_role("heading", name="Approvals asked for"))
    asked.get_by_role("link", name="Whole list").click()
    expect(page.get_by_role("heading", name="Approvals", exact=False).first).to_be_visible()


def the_manager_asks_back(page: Page) -> None:
    open_queue(page)
    card = page.get_by_role("article").filter(has_text="Five more houses follow this one.")
    money(page, draft_of(1).total)
    card.get_by_text("Ask Ida Vale back first").click()
    card.get_by_label("Question to the seller").fill("By when?")
    card.get_by_role("button", name="Ask", exact=True).click()
    expect(page.get_by_text("Asked back, not answered yet")).to_be_visible()


def the_seller_answers(page: Page) -> None:
    """The question stands on the seller's day."""
    page.get_by_role("link", name="Today").first.click()
    expect(page.get_by_role("heading", name="Questions on your prices")).to_be_visible()
    page.get_by_role("link", name=re.compile("Q-2026-0001")).first.click()
    expect(page.locator("#approval").get_by_text("By when?")).to_be_visible()
    page.get_by_label("Answer to the manager").fill("All five before June.")
    page.get_by_role("button", name="Answer", exact=True).click()
    expect(page.get_by_label("Answer to the manager")).to_have_count(0)


def the_manager_approves(page: Page) -> None:
    open_queue(page)
    card = page.get_by_role("article").filter(has_text="All five before June.")
    card.get_by_label("Word to the seller").fill("For the first one.")
    card.get_by_role("button", name=re.compile("^Approve")).click()
    expect(page.get_by_text("Nothing waits for your word")).to_be_visible()
    approval = Approval.objects.get()
    assert (approval.granted, approval.total_seen) == (True, draft_of(1).total)


# --- out, and back ---


def issue_and_send(page: Page, word: str) -> None:
    """Issue and send in one go; then the worker makes the paper."""
    quote = Quote.objects.get()
    page.goto(f"/quotes/{quote.public_id}/")
    page.get_by_role("link", name="Issue and send").click()
    expect(page.get_by_label("Mail address").first).to_have_value("rae@alder.example")
    page.get_by_label("Your own words").fill(word)
    page.get_by_role("button", name="Look at it again").click()
    expect(page.get_by_title("The mail as it is shown")).to_be_visible()
    page.get_by_text("As plain text").click()
    expect(page.locator(".letter-look .said")).to_contain_text(word)
    page.get_by_role("button", name="Issue and send").click()
    sure(page)
    expect(page.get_by_text("On its way to Rae Winter.")).to_be_visible()
    page.goto(f"/quotes/{quote.public_id}/")
    expect(page.get_by_role("link", name="Download PDF")).to_be_visible(timeout=WORKER_MS)


def the_builder_reads_and_asks(page: Page, address: str) -> None:
    page.goto(address)
    assert address.rstrip("/").rsplit("/", 1)[1] not in page.url, "the secret stayed in the address"
    expect(page.get_by_role("heading", name="Fern Lane")).to_be_visible()
    money(page, draft_of(1).total)
    money(page, draft_of(1).alternates.get().total)
    expect(page.locator("svg.dw-sketch").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    shown = page.content()
    assert "Margin" not in shown
    assert str(draft_of(1).cost) not in shown
    page.get_by_label("Your question or remark").fill("Can the room be 2 ft longer?")
    page.get_by_role("button", name=re.compile("^Send to")).click()
    expect(page.locator(".thread").get_by_text("Can the room be 2 ft longer?").first).to_be_visible()


def the_seller_replies(desk: Desk, page: Page) -> None:
    """The question comes by mail and stands on his day; his answer goes out by mail."""
    assert "Can the room be 2 ft longer?" in desk.mail("ida@spanyard.example", "Rae Winter asks")
    page.get_by_role("link", name="Today").first.click()
    expect(page.get_by_role("heading", name="Messages from builders")).to_be_visible()
    page.goto(f"/quotes/{Quote.objects.get().public_id}/")
    page.get_by_role("link", name="Read and answer").click()
    page.get_by_label("Your answer").fill("By 2 ft, yes.")
    page.get_by_role("button", name="Answer", exact=True).click()
    expect(page.locator(".thread").get_by_text("By 2 ft, yes.").first).to_be_visible()


# --- revision 2 ---


def the_plan_changes(page: Page) -> None:
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("link", name="Fern Lane").first.click()
    page.get_by_role("link", name="First floor").first.click()
    page.get_by_label("Width, left to right").fill("26'")
    page.get_by_role("button", name="Save").first.click()
    expect(page.get_by_text("version 2").first).to_be_visible()
    assert Floor.objects.get().version == 2


def revise(page: Page) -> None:
    """Revision 2 from the floors as saved, at a discount that needs no word of a manager."""
    page.goto(f"/quotes/{Quote.objects.get().public_id}/")
    page.get_by_label("Why").last.fill("The room is 2 ft longer.")
    page.get_by_role("button", name="Revise").click()
    sure(page)
    expect(page.get_by_role("heading", name="Q-2026-0001-R2")).to_be_visible()
    expect(page.get_by_text("Needs approval.")).to_be_visible()
    page.get_by_label("Discount on the total, %").fill("4.5")
    page.get_by_role("button", name="Change and price").click()
    expect(page.get_by_role("link", name="Issue and send")).to_be_visible()


def look_at_what_changed(page: Page) -> None:
    """What differs by name, on the drawing, and in money."""
    page.get_by_role("link", name="Compare revisions").click()
    was, now = draft_of(1), draft_of(2)
    assert now.total != was.total
    money(page, was.total)
    money(page, now.total)
    expect(page.locator("tr", has_text="Outline").first).to_contain_text("26'")
    expect(page.locator("svg .dw-added").first).to_be_attached()
    expect(page.get_by_role("heading", name="Joists", exact=True)).to_be_visible()
    page.get_by_text("Line by line").click()
    before, after = was.lines.filter(group="members")[0], now.lines.filter(group="members")[0]
    assert before.code == after.code
    line = page.locator(".money-lines tr", has_text=f"${after.extension:,.2f}").first
    expect(line).to_contain_text(f"${before.extension:,.2f}")
    expect(line).to_contain_text(before.description)


def the_builder_picks_and_accepts(page: Page, address: str) -> None:
    page.goto(address)
    alternate = draft_of(2).alternates.get()
    page.get_by_role("link", name="See what changed since revision 1").click()
    money(page, draft_of(2).total)
    page.get_by_role("link", name="Back to the quote").click()
    page.get_by_role("radio", name=re.compile("Alternate A")).check()
    page.get_by_label("Your name").fill("Rae Winter")
    page.get_by_label("Your title").fill("Owner")
    page.get_by_role("button", name="Go on to accept").click()
    page.get_by_role("button", name=f"Accept for ${alternate.total:,.2f}").click()
    expect(page.get_by_text("Thank you.")).to_be_visible()


def the_same_money_everywhere(seller: Page, builder: Page) -> None:
    """The pick's total on the seller's page, by the API, on the paper of revision 2, on the order and on the phone."""
    quote, revision = Quote.objects.get(), draft_of(2)
    picked, acceptance, order = revision.alternates.get(), Acceptance.objects.get(), Order.objects.get()
    assert (acceptance.name, acceptance.title, acceptance.alternate) == ("Rae Winter", "Owner", picked)
    assert order.revision == revision
    money(builder, picked.total)
    seller.goto(f"/quotes/{quote.public_id}/")
    expect(seller.get_by_role("link", name=f"Open order {order.number}")).to_be_visible()
    money(seller, picked.total)
    told = seller.request.get(f"/api/v1/revisions/{revision.public_id}/").json()
    assert Decimal(told["total"]) == revision.total
    beside = seller.request.get(f"/api/v1/revisions/{revision.public_id}/alternates/").json()
    assert [Decimal(each["total"]) for each in beside] == [picked.total]
    with seller.expect_download() as download:
        seller.get_by_role("link", name="Download PDF").click()
    paper = PdfReader(BytesIO(Path(download.value.path()).read_bytes()))
    text = "\n".join(page.extract_text() for page in paper.pages)
    for words in (quote.number, r"[Rr]evision\s+2\b", "Joists at 12 in"):
        assert re.search(words, text), words
    for total in (revision.total, picked.total):
        assert f"{total:,.2f}" in text, total
    assert Project.objects.get().builder.phone == "555-0142"
    links = AccessLink.objects.order_by("id")
    assert [link.opened_count for link in links] == [1, 1]
    seller.get_by_role("link", name=f"Open order {order.number}").click()
    expect(seller.get_by_role("link", name=f"{revision}, alternate A")).to_be_visible()
