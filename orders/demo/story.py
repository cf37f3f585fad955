"""What happened at the demo company lately, told through the services only, with the days it happened on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from framing.common.actors import SYSTEM, Actor, person
from framing.common.models import User
from framing.projects import services as projects
from framing.projects.models import Builder, Project
from orders import services as orders
from orders.demo.people import BUILDERS, PLACES, make_staff
from orders.models import Order
from quotes import services as quotes
from quotes.models import QuoteRevision
from quotes.selectors import demo_price_document

HERE: Final = Path(__file__).parent
OPENED_DAYS_AGO: Final = 80


@dataclass(frozen=True, slots=True)
class Chapter:
    """One project and how far it came. `days` counts back from today to its first quote.

    `end` is a stage of R44; `floors` are files beside this module; `more` changes single steps.
    """

    name: str
    builder: str
    place: str
    floors: tuple[str, ...]
    end: str
    days: int
    more: Mapping[str, Any] = field(default_factory=dict)


ALTERNATES: Final = (
    ("Joists at 12 in for a stiffer floor", "1000S162-54", "12"),
    ("Deeper joists at 24 in", "1200S162-54", "24"),
)
"""Label, profile and spacing of each."""

CHAPTERS: Final = (
    Chapter("Otter Creek cottage", "tern", "near", ("cottage",), "closed", 74),
    Chapter("Millrace annex", "copper", "middle", ("annex",), "delivered", 34),
    Chapter("Pine Hollow loft", "quarry", "near", ("loft",), "lapsed", 48),
    Chapter("Harrow Bend studio", "copper", "middle", ("studio",), "cancelled", 44),
    Chapter("Gate Street loft", "hollin", "near", ("loft",), "loaded", 24),
    Chapter("Alder Falls cottage", "hollin", "near", ("cottage",), "bundled", 21, {"planned_in": 2}),
    Chapter("Bell Yard studio", "tern", "middle", ("studio",), "bundled", 20),
    Chapter("Marsh Lane house", "hollin", "near", ("house",), "rolling", 17, {"finished": 2}),
    Chapter("Quarry Street annex", "quarry", "near", ("annex",), "held", 15),
    Chapter("Lookout Way loft", "copper", "far", ("loft",), "released", 12),
    Chapter("Heron Court studio", "tern", "near", ("studio",), "booked", 8, {"approved": True}),
    Chapter("Copperleaf show cottage", "copper", "near", ("cottage",), "booked", 6),
    Chapter("Stony Reach annex", "quarry", "far", ("annex",), "declined", 18),
    Chapter("Fenwick Row town houses", "hollin", "middle", ("townhouse",), "issued", 26, {"revised": True}),
    Chapter("Weaver's loft", "quarry", "near", ("loft",), "issued", 4, {"alternates": ALTERNATES}),
    Chapter("Corridor house", "copper", "middle", ("corridor",), "bid", 2, {"discount": "0.08"}),
    Chapter("Sexton cottage", "tern", "near", ("cottage",), "bid", 1),
)  # fmt: skip

ROAD: Final = ("booked", "released", "rolling", "bundled", "loaded", "delivered", "closed")


def raised(amount: str, by: str) -> str:
    """An amount times a factor, to the cent."""
    return str((Decimal(amount) * Decimal(by)).quantize(Decimal("0.01")))


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
        manager = self.actor("greta")
        projects.practice_set_put(actor=manager, at=start, name="Standard", values={})
        book = {**demo_price_document(), "valid_from": start.date()}
        quotes.price_book_import(actor=manager, data=book, at=start)
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
        for chapter in sorted(CHAPTERS, key=lambda chapter: -chapter.days):
            self._tell(chapter)
        self._next_price_book()

    def _next_price_book(self) -> None:
        """Steel gets dearer: the next version waits in review."""
        items = [
            item | {"price": raised(item["price"], "1.045"), "cost": raised(item["cost"], "1.06")}
            if item["sold_by"] == "ft"
            else item
            for item in demo_price_document()["items"]
        ]
        begins = (self.now + timedelta(days=12)).date()
        data = {**demo_price_document(), "items": items, "surcharge_per_lb": "0.04", "valid_from": begins}
        at, manager = self.now - timedelta(hours=20), self.actor("greta")
        draft = quotes.price_book_draft(actor=manager, data=data, at=at)
        note = "Coil is dearer from next month: joists and strap up, surcharge with them."
        quotes.price_book_send(actor=manager, book=draft, note=note, edit=draft.edit, at=at)

    def actor(self, key: str) -> Actor:
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
        if chapter.end == "bid":
            if "discount" in chapter.more:
                reason = "Three floors alike; the builder compares with wood."
                quotes.approval_ask(
                    actor=seller, revision=revision, reason=reason, at=at + timedelta(hours=1)
                )
            return
        self._alternates(chapter, seller, revision, at + timedelta(hours=1))
        revision = self._issue(seller, revision, at + timedelta(hours=2))
        if chapter.more.get("revised"):
            later = at + timedelta(days=2)
            why = "The builder wants the joists closer."
            self._close_up(chapter, seller, revision.quote.project, later)
            draft = quotes.revision_revise(actor=seller, quote=revision.quote, at=later, why=why)
            revision = self._issue(seller, draft, later + timedelta(hours=1))
        self._answer(chapter, seller, revision, at + timedelta(days=3))

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

    def _issue(self, seller: Actor, revision: QuoteRevision, at: datetime) -> QuoteRevision:
        return quotes.revision_issue(actor=seller, revision=revision, key=f"demo-{revision.pk}", at=at)

    def _answer(self, chapter: Chapter, seller: Actor, revision: QuoteRevision, at: datetime) -> None:
        if chapter.end == "issued":
            return
        if chapter.end == "lapsed":
            quotes.quotes_lapse_due(at=at + timedelta(days=30))
            return
        if chapter.end == "declined":
            why = "Went with another supplier; the site is far."
            quotes.quote_decline(actor=seller, revision=revision, why=why, at=at)
            return
        contact = self.builders[chapter.builder].contact_name
        why = "Said yes on the phone; the signed quote follows by mail."
        key = f"demo-yes-{revision.pk}"
        quotes.quote_accept(actor=seller, revision=revision, name=contact, key=key, at=at, why=why)
        order = orders.order_book(actor=SYSTEM, at=at, quote=revision.quote)
        Road(self, chapter, order, at).go()


class Road:
    """An order's way from booking to the stage where its chapter ends, a few days a step."""

    def __init__(self, story: Story, chapter: Chapter, order: Order, at: datetime) -> None:
        self.story, self.chapter, self.order, self.at = story, chapter, order, at

    def go(self) -> None:
        end = self.chapter.end
        if end == "cancelled":
            self._cancel()
            return
        if end == "held":
            self._to("released")
            why = "The coil for this profile is late; back next week."
            orders.order_hold(actor=self._actor("paul"), at=self._next(), order=self.order, why=why)
            return
        self._to(end)
        if self.chapter.more.get("approved"):
            orders.drawings_approve(actor=self._actor("paul"), at=self._next(), order=self.order)
        for bundle in self.order.bundles.all()[: self.chapter.more.get("finished", 0)]:
            orders.bundle_finish(actor=self._actor("sam"), at=self._next(hours=3), bundle=bundle)

    def _cancel(self) -> None:
        why = "The builder sold the site."
        orders.order_cancel(actor=self._actor("greta"), at=self._next(), order=self.order, why=why)

    def _to(self, end: str) -> None:
        for stage in ROAD[1 : ROAD.index(end) + 1]:
            getattr(self, f"_{stage}")()
        if end == "bundled" and "planned_in" in self.chapter.more:
            self._plan(self.story.now + timedelta(days=self.chapter.more["planned_in"]))

    def _released(self) -> None:
        orders.drawings_approve(actor=self._actor("paul"), at=self._next(), order=self.order)
        orders.order_release(actor=self._actor("paul"), at=self._next(hours=2), order=self.order)

    def _rolling(self) -> None:
        orders.order_roll(actor=self._actor("sam"), at=self._next(days=4), order=self.order)

    def _bundled(self) -> None:
        orders.order_bundle(actor=self._actor("sam"), at=self._next(), order=self.order)

    def _loaded(self) -> None:
        today = self.chapter.end == "loaded"
        self._plan(self.story.now if today else self.at + timedelta(days=5))
        self.at = self.story.now - timedelta(hours=2) if today else self.at + timedelta(days=4)
        delivery = self.order.deliveries.get()
        orders.delivery_load(actor=self._actor("dina"), at=self.at, delivery=delivery)

    def _delivered(self) -> None:
        contact = self.story.builders[self.chapter.builder].contact_name
        orders.delivery_deliver(
            actor=self._actor("dina"),
            at=self._next(),
            delivery=self.order.deliveries.get(),
            received_by=contact,
        )

    def _closed(self) -> None:
        orders.order_close(actor=self._actor("dina"), at=self._next(days=2), order=self.order)

    def _plan(self, day: datetime) -> None:
        builder = self.story.builders[self.chapter.builder]
        orders.delivery_make(
            actor=self._actor("dina"),
            at=self._next(hours=4),
            order=self.order,
            planned_for=day.date(),
            contact=f"{builder.contact_name}, {builder.phone}",
            notes="Set the bundles on blocks along the street side.",
        )

    def _actor(self, key: str) -> Actor:
        return self.story.actor(key)

    def _next(self, *, days: int = 1, hours: int = 0) -> datetime:
        """The next working hour of the story, never after now."""
        step = timedelta(hours=hours) if hours else timedelta(days=days)
        self.at = min(self.at + step, self.story.now)
        return self.at
