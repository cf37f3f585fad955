"""An order's way through shop and yard in the demo company's story."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final, Protocol

from framing.common.actors import Actor, person
from framing.projects.models import Builder
from orders import services as orders
from orders.demo.booking import hurry, tell_booking
from orders.demo.changing import tell_change
from orders.demo.chapters import Chapter
from orders.demo.claims import CLAIMS, Yard, receive_on_site
from orders.demo.rolling import tell_rolling
from orders.demo.yard import send_off
from orders.models import Order

ROAD: Final = ("booked", "released", "rolling", "bundled", "loaded", "delivered", "closed")


class Teller(Protocol):
    """What a road needs of the story: the day it is told on, who works here, and the builders."""

    now: datetime
    builders: dict[str, Builder]

    def actor(self, key: str) -> Actor: ...


class Road:
    """An order's way from booking to the stage where its chapter ends, a few days a step."""

    def __init__(self, story: Teller, chapter: Chapter, order: Order, at: datetime) -> None:
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
        more, seller = self.chapter.more, person(self.order.owner)
        if end == "booked":
            tell_booking(seller, self.order, self._builder, self._hours(5), more)
        if "due_in" in more:
            hurry(seller, self.order, self._next(), self.story.now, more["due_in"])
        if "finished" in more:
            tell_rolling(self._actor("sam"), self.order, self._hours(2), more["finished"])
        if "change" in more:
            tell_change(seller, self.order, self._builder.contact_name, self._hours(3), more["change"])

    @property
    def _builder(self) -> Builder:
        return self.story.builders[self.chapter.builder]

    def _hours(self, step: int) -> Iterator[datetime]:
        """Moments so many hours apart."""
        while True:
            yield self._next(hours=step)

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
        delivery, dina = self.order.deliveries.get(), self._actor("dina")
        if today:
            send_off(dina, delivery, self.at)
        else:
            orders.delivery_load(actor=dina, at=self.at, delivery=delivery)

    def _delivered(self) -> None:
        delivery, contact = self.order.deliveries.get(), self._builder.contact_name
        at, claim = self._next(), self.chapter.more.get("claim")
        dina, greta, sam = (self._actor(key) for key in ("dina", "greta", "sam"))
        yard = Yard(dina, greta, sam, self._hours(2), self._hours(26))
        if claim == "open":
            receive_on_site(yard, delivery, contact)
            return
        orders.delivery_deliver(actor=self._actor("dina"), at=at, delivery=delivery, received_by=contact)
        if claim:
            CLAIMS[claim](yard, delivery, contact)

    def _closed(self) -> None:
        orders.order_close(actor=self._actor("dina"), at=self._next(days=2), order=self.order)

    def _plan(self, day: datetime) -> None:
        builder = self._builder
        orders.delivery_make(
            actor=self._actor("dina"),
            at=self._next(hours=4),
            order=self.order,
            planned_for=day.date(),
            contact=f"{builder.contact_name}, {builder.phone}",
            notes="Set the bundles on blocks along the street side.",
            shut_ok=True,
        )

    def _actor(self, key: str) -> Actor:
        return self.story.actor(key)

    def _next(self, *, days: int = 1, hours: int = 0) -> datetime:
        """The next working hour of the story, never after now."""
        step = timedelta(hours=hours) if hours else timedelta(days=days)
        self.at = min(self.at + step, self.story.now)
        return self.at
