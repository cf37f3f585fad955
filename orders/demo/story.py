"""What happened at the demo company, told through the services only, with the days it happened on."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from framing.common.actors import SYSTEM, Actor, by_link, person
from framing.common.links import link_open
from framing.common.models import AccessLink, User
from framing.projects import services as projects
from framing.projects.models import Builder, Project
from orders import services as orders
from orders.demo.chapters import CHAPTERS, Chapter
from orders.demo.labels import tell_stocks
from orders.demo.people import BUILDERS, PLACES, make_staff
from orders.demo.road import Road
from orders.demo.shop import tell_lines
from orders.demo.yard import tell_trips, tell_trucks
from quotes import services as quotes
from quotes.models import QuoteRevision
from quotes.selectors import demo_price_document

HERE: Final = Path(__file__).parent
OPENED_DAYS_AGO: Final = 400
DEARER_DAYS_AGO: Final = 150
"""When the price book in force began; before it stood one with cheaper steel."""
DEPOSIT_DAYS_AGO: Final = 8
"""Since when offers ask for a quarter before release."""
EXPORTED_DAYS_AGO: Final = 44
"""When what there was to invoice was last handed over."""
BASE_ANSWER_DAYS: Final = 3
DAYS_TO_LAPSE: Final = 32
"""Past the 30 days that an offer holds, wherever its last day ends."""


def scaled(price_by: str, cost_by: str) -> list[dict[str, Any]]:
    """The demo price book's items with what is sold by the foot dearer or cheaper, to the cent."""

    def times(amount: str, by: str) -> str:
        return str((Decimal(amount) * Decimal(by)).quantize(Decimal("0.01")))

    return [
        item | {"price": times(item["price"], price_by), "cost": times(item["cost"], cost_by)}
        if item["sold_by"] == "ft"
        else item
        for item in demo_price_document()["items"]
    ]


class Story:
    """Tells the chapters; `now` is the day the demo begins."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self.staff: dict[str, User] = {}
        self.builders: dict[str, Builder] = {}

    def tell(self) -> None:
        """People, prices, practice, builders, then every chapter in the order of its days."""
        self.staff = make_staff()
        start = self.now - timedelta(days=OPENED_DAYS_AGO)
        projects.practice_set_put(actor=self.actor("greta"), at=start, name="Standard", values={})
        self._price_books(start)
        for made in BUILDERS:
            self.builders[made.key] = projects.builder_create(
                actor=self.actor(made.seller),
                at=start,
                name=made.name,
                contact_name=made.contact,
                email=made.email,
                phone=made.phone,
                tier=made.tier,
            )
        tell_trucks(self.actor("dina"), self.now)
        for chapter in CHAPTERS:
            if chapter.days == DEPOSIT_DAYS_AGO:
                self._ask_for_deposits()
            if chapter.days == EXPORTED_DAYS_AGO:
                at = self.now - timedelta(days=EXPORTED_DAYS_AGO)
                orders.invoice_export(actor=self.actor("greta"), at=at)
            self._tell(chapter)
        self._next_price_book()
        tell_lines(self.actor("paul"), self.now)
        tell_stocks(self.actor("paul"), self.now)
        tell_trips(self.actor("dina"), self.now)

    def _ask_for_deposits(self) -> None:
        at, values = self.now - timedelta(days=DEPOSIT_DAYS_AGO, hours=1), {"deposit_percent": 25}
        projects.practice_set_put(actor=self.actor("greta"), at=at, name="Standard", values=values)

    def _price_books(self, start: datetime) -> None:
        """Last year's, and the one in force, with dearer steel."""
        manager, dearer = self.actor("greta"), self.now - timedelta(days=DEARER_DAYS_AGO)
        first = {**demo_price_document(), "items": scaled("0.97", "0.94"), "valid_from": start.date()}
        quotes.price_book_import(actor=manager, data=first, at=start)
        second = {**demo_price_document(), "number": 2, "valid_from": dearer.date()}
        quotes.price_book_import(actor=manager, data=second, at=dearer)

    def _next_price_book(self) -> None:
        """Steel gets dearer again: the next version waits in review."""
        data = {
            **demo_price_document(),
            "items": scaled("1.045", "1.06"),
            "surcharge_per_lb": "0.04",
            "valid_from": (self.now + timedelta(days=12)).date(),
        }
        at, manager = self.now - timedelta(hours=20), self.actor("greta")
        draft = quotes.price_book_draft(actor=manager, data=data, at=at)
        note = "Coil is dearer from next month: joists and strap up, surcharge with them."
        quotes.price_book_send(actor=manager, book=draft, note=note, edit=draft.edit, at=at)

    def actor(self, key: str) -> Actor:
        """A member of staff by the first word of his address."""
        return person(self.staff[key])

    def _seller(self, chapter: Chapter) -> Actor:
        return self.actor(next(b.seller for b in BUILDERS if b.key == chapter.builder))

    def _tell(self, chapter: Chapter) -> None:
        at = self.now - timedelta(days=chapter.days)
        seller = self._seller(chapter)
        revision = quotes.quote_create(
            actor=seller,
            project=self._project(chapter, seller, at),
            at=at,
            discount_share=Decimal(chapter.more.get("discount", "0")),
        )
        self._alternates(chapter, seller, revision, at + timedelta(hours=1))
        self._approval(chapter, seller, revision, at + timedelta(hours=1))
        if chapter.end == "bid":
            return
        at += timedelta(hours=2)
        revision = self._issue(seller, revision, at)
        if chapter.more.get("revised"):
            at += timedelta(days=2)
            why = "The builder wants the joists closer."
            self._close_up(chapter, seller, revision.quote.project, at)
            draft = quotes.revision_revise(actor=seller, quote=revision.quote, at=at, why=why)
            revision = self._issue(seller, draft, at + timedelta(hours=1))
        Answer(self, chapter, seller, revision, at).go()

    def _project(self, chapter: Chapter, seller: Actor, at: datetime) -> Project:
        units = "metric" if chapter.floors == ("annex",) else "imperial"
        project = projects.project_create(
            actor=seller,
            at=at,
            builder=self.builders[chapter.builder],
            name=chapter.name,
            site=PLACES[chapter.place],
            units=units,
        )
        for name in chapter.floors:
            projects.floor_create(actor=seller, at=at, project=project, document=self._document(name))
        return project

    @staticmethod
    def _document(name: str) -> dict[str, Any]:
        document: dict[str, Any] = json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))
        return document

    def _close_up(self, chapter: Chapter, seller: Actor, project: Project, at: datetime) -> None:
        """Save the first floor again with its joists at 12 in."""
        document = self._document(chapter.floors[0])
        document["bays"][0]["spacing"] = "12"
        floor = project.floors.get(position=1)
        projects.floor_save(actor=seller, at=at, floor=floor, document=document, base_version=floor.version)

    @staticmethod
    def _alternates(chapter: Chapter, seller: Actor, revision: QuoteRevision, at: datetime) -> None:
        """Other ways to frame the first floor's first bay, beside the base offer."""
        entry = revision.floors[0]
        bay = entry["document"]["bays"][0]["id"]
        for label, profile, spacing in chapter.more.get("alternates", ()):
            choice = quotes.Choice(entry["floor"], bay, profile, spacing)
            quotes.alternate_add(actor=seller, revision=revision, label=label, choices=[choice], at=at)

    def _approval(self, chapter: Chapter, seller: Actor, revision: QuoteRevision, at: datetime) -> None:
        """The manager's word on a discount over the limit, or how far it has come."""
        how, manager = chapter.more.get("approval"), self.actor("greta")
        if how is None:
            return
        reason = "The builder compares with wood; more houses like this one follow."
        quotes.approval_ask(actor=seller, revision=revision, reason=reason, at=at)
        later = at + timedelta(hours=1)
        if how == "asked_back":
            text = "What does the other offer hold? With freight, or without?"
            quotes.approval_question(actor=manager, revision=revision, text=text, at=later)
        elif how == "granted":
            answer = "Fine for this one; the next two houses go at list price."
            total = revision.total
            quotes.approval_decide(
                actor=manager, revision=revision, granted=True, answer=answer, total_seen=total, at=later
            )

    def _issue(self, seller: Actor, revision: QuoteRevision, at: datetime) -> QuoteRevision:
        return quotes.revision_issue(actor=seller, revision=revision, key=f"demo-{revision.pk}", at=at)


class Answer:
    """What the builder did with an offer: looked at it, asked, said yes or no, or nothing at all."""

    def __init__(
        self, story: Story, chapter: Chapter, seller: Actor, revision: QuoteRevision, issued: datetime
    ) -> None:
        self.story, self.chapter, self.seller, self.revision = story, chapter, seller, revision
        self.issued, self.more = issued, chapter.more
        self.at = issued + timedelta(days=self.more.get("answer", BASE_ANSWER_DAYS))
        self.contact = story.builders[chapter.builder].contact_name

    def go(self) -> None:
        link = self._link()
        for number, (side, text) in enumerate(self.more.get("said", ())):
            at = self.issued + timedelta(days=self.more["opened"], hours=1 + 5 * number)
            self._write(link, side, text, at)
        if self.more.get("read"):
            later = self.issued + timedelta(days=self.more["opened"] + 1)
            quotes.thread_seen(actor=self.seller, quote=self.revision.quote, at=later)
        if self.chapter.end == "lapsed":
            self._nothing()
        elif self.chapter.end == "declined":
            self._no(link)
        elif self.chapter.end != "issued":
            self._yes(link)

    def _link(self) -> AccessLink | None:
        """The builder's link with its openings, for a chapter in which he came by it."""
        days = self.more.get("opened", self.more.get("answer", BASE_ANSWER_DAYS) - 1)
        if "opened" not in self.more and not self.more.get("by_link"):
            return None
        link, address = quotes.quote_link_make(
            actor=self.seller, revision=self.revision, for_name=self.contact, at=self.issued
        )
        link_open(address.rstrip("/").rsplit("/", 1)[1], self.issued + timedelta(days=days))
        return link

    def _write(self, link: AccessLink | None, side: str, text: str, at: datetime) -> None:
        if side == "staff" or link is None:
            quotes.thread_answer(actor=self.seller, quote=self.revision.quote, text=text, at=at)
        else:
            quotes.thread_ask(actor=by_link(link), revision=self.revision, text=text, at=at)

    def _who(self, link: AccessLink | None) -> Actor:
        return by_link(link) if link is not None and self.more.get("by_link") else self.seller

    def _nothing(self) -> None:
        """Nobody answers; somebody may have asked why, days later."""
        over = self.issued + timedelta(days=DAYS_TO_LAPSE)
        quotes.quotes_lapse_due(at=over)
        if "reason" in self.more:
            quotes.lost_name(
                actor=self.seller,
                quote=self.revision.quote,
                reason=self.more["reason"],
                why=self.more["why"],
                at=over + timedelta(days=4),
            )

    def _no(self, link: AccessLink | None) -> None:
        quotes.quote_decline(
            actor=self._who(link),
            revision=self.revision,
            reason=self.more["reason"],
            why=self.more["why"],
            at=self.at,
        )

    def _yes(self, link: AccessLink | None) -> None:
        quotes.quote_accept(
            actor=self._who(link),
            revision=self.revision,
            name=self.contact,
            key=f"demo-yes-{self.revision.pk}",
            at=self.at,
            why="Said yes on the phone; the signed quote follows by mail.",
            alternate=self.more.get("picked", ""),
        )
        order = orders.order_book(actor=SYSTEM, at=self.at, quote=self.revision.quote)
        Road(self.story, self.chapter, order, self.at).go()
