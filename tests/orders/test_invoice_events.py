"""All that an order is invoiced for, together, whatever happened to it and in whatever order."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from random import Random

import pytest
from django.db import transaction

from framing.common.actors import SYSTEM, Actor
from framing.common.models import Role
from orders import services
from orders.claim_facts import credit_room
from orders.invoice_content import file_bytes
from orders.invoice_shares import running
from orders.models import Bundle, Carton, Claim, Delivery, InvoiceFile, InvoiceItem, Order
from tests.factories import changes, orders, people, quotes

pytestmark = pytest.mark.django_db
AT = orders.AT
WIDTHS = ("20'", "22' 6", "30'", "12'")
DEPTHS = ("13'", "14'")
SEEDS = (7, 22, 35)  # in these stories taxes rounded item by item would be a cent off
STEPS = 30


@dataclass
class Story:
    """One order, and what happens to it; `rng` draws it, `credited` is what was given back on the way."""

    rng: Random
    percent: int
    seller: Actor = field(default_factory=lambda: people.actor(Role.MANAGER))
    credited: Decimal = Decimal(0)
    happened: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        roles = (Role.PLANNER, Role.SHOP, Role.DISPATCHER)
        self.planner, self.shop, self.dispatcher = map(people.actor, roles)

    # --- to the yard ---

    def booked(self, order: Order) -> None:
        self.order = order
        if self.rng.random() < 0.4:
            self.change()
        if self.percent:
            services.deposit_record(
                actor=self.seller, at=AT, order=self.order, amount=self.order.revision.total, received_on=AT.date(),
                note="By wire", key=quotes.key(),
            )  # fmt: skip
        order = services.drawings_approve(actor=self.planner, at=AT, order=self.order)
        self.order = services.order_release(actor=self.planner, at=AT, order=order)

    def change(self) -> None:
        width, depth = self.rng.choice(WIDTHS), self.rng.choice(DEPTHS)
        change = changes.applied(changes.asked(self.order, width=width, depth=depth))
        self.order = orders.fresh(self.order)
        self.happened.append(f"change {change.price_change}")

    def rolled(self) -> None:
        """All bundles are finished in the end; changes come before, between and after some of them."""
        for _ in range(self.rng.randint(0, 2)):
            self.finish(self.rng.randint(0, 2))
            self.change()
        self.finish(99)
        assert self.order.stage == "bundled", self.happened

    def finish(self, most: int) -> None:
        left = (
            self.order.bundles.filter(finished_at=None, pieces__dropped_by=None).distinct().order_by("number")
        )
        for bundle in list(left[:most]):
            services.bundle_start(actor=self.shop, at=AT, bundle=bundle)
            services.bundle_finish(actor=self.shop, at=AT, bundle=bundle)
        self.order = orders.fresh(self.order)

    # --- out and back ---

    def left(self) -> tuple[list[Bundle], list[Carton]]:
        bundles = self.order.bundles.filter(delivery=None, pieces__dropped_by=None, finished_at__isnull=False)
        return list(bundles.distinct().order_by("number")), list(self.order.cartons.filter(delivery=None))

    def out(self) -> None:
        """Deliveries are made, dropped, loaded and received, claims opened and decided, until all is on site."""
        acts = (
            self.plan,
            self.plan,
            self.go,
            self.go,
            self.go,
            self.claim,
            self.claim,
            self.decide,
            self.decide,
        )
        for act in self.rng.choices((*acts, self.drop), k=STEPS):
            act()
        self.rest()

    def plan(self) -> None:
        bundles, cartons = self.left()
        mine = [row.public_id for row in bundles if self.rng.random() < 0.5]
        packs = [row.number for row in cartons if self.rng.random() < 0.5]
        if mine or packs:
            self.make(mine, packs)

    def make(self, bundles: list[str], cartons: list[int]) -> None:
        services.delivery_make(
            actor=self.dispatcher, at=AT, order=self.order, planned_for=orders.PLANNED_FOR, contact="Rae",
            bundles=bundles, cartons=cartons,
        )  # fmt: skip

    def rest(self) -> None:
        bundles, cartons = self.left()
        if bundles or cartons:
            self.make([row.public_id for row in bundles], [row.number for row in cartons])
        while self.waiting():
            self.go()

    def waiting(self) -> list[Delivery]:
        return list(self.order.deliveries.filter(delivered_at=None, dropped_at=None).order_by("pk"))

    def go(self) -> None:
        """One delivery goes a step on."""
        if not self.waiting():
            return
        delivery = self.rng.choice(self.waiting())
        if delivery.loaded_at is None:
            services.delivery_load(actor=self.dispatcher, at=AT, delivery=delivery)
        else:
            services.delivery_deliver(actor=self.dispatcher, at=AT, delivery=delivery, received_by="Rae")
            self.happened.append(f"received {delivery}")

    def drop(self) -> None:
        planned = [row for row in self.waiting() if row.loaded_at is None]
        if planned:
            delivery = self.rng.choice(planned)
            services.delivery_drop(actor=self.dispatcher, at=AT, delivery=delivery, why="Not yet")

    def claim(self) -> None:
        """On a bundle, a carton or the whole of a delivery that has left the yard."""
        gone = list(self.order.deliveries.filter(loaded_at__isnull=False).order_by("pk"))
        if not gone:
            return
        delivery = self.rng.choice(gone)
        things = [*delivery.bundles.all(), *delivery.cartons.all(), None]
        thing = self.rng.choice(things)
        services.claim_open(
            actor=self.seller, at=AT, order=self.order, kind="short", words="One is short", delivery=delivery,
            bundle=thing if isinstance(thing, Bundle) else None,
            carton=thing if isinstance(thing, Carton) else None,
        )  # fmt: skip

    def decide(self) -> None:
        claim = self.order.claims.filter(state="open").order_by("pk").first()
        if claim is None:
            return
        how = self.rng.choice(("replace", "credit", "credit", "reject"))
        is_thing = claim.bundle is not None or claim.carton is not None
        first = not any(words.startswith("made again") for words in self.happened)
        if is_thing and (first or how == "replace"):
            services.claim_replace(actor=self.seller, at=AT, claim=claim)
            again = self.order.bundles.filter(finished_at=None, replaces_claim=claim).first()
            if again is not None:
                services.bundle_start(actor=self.shop, at=AT, bundle=again)
                services.bundle_finish(actor=self.shop, at=AT, bundle=again)
            self.happened.append(f"made again {claim}")
        elif how == "credit":
            room = int(credit_room(self.order).left * 100)
            self.credit(claim, Decimal(self.rng.randint(1, max(1, room // 4))) / 100)
        else:
            services.claim_reject(actor=self.seller, at=AT, claim=claim, why="It was there")

    def credit(self, claim: Claim, amount: Decimal) -> None:
        services.claim_credit(actor=self.seller, at=AT, claim=claim, amount=amount, why="Agreed")
        self.credited += amount
        self.happened.append(f"credit {amount}")


def told(seed: int, quote: object) -> Story:
    rng = Random(seed)  # noqa: S311  # the same story each time
    story = Story(rng, rng.choice((0, 25, 33, 100)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("orders.release_reads.deposit_percent", lambda _order: story.percent)
        story.booked(services.order_book(actor=SYSTEM, at=AT, quote=quote))  # type: ignore[arg-type]
        story.rolled()
        story.out()
    return story


def check(story: Story) -> None:
    """To the cent, with the tax: what is agreed now less the credits, each number once."""
    order, agreed = story.order, orders.fresh(story.order).revision
    items = list(order.invoice_items.order_by("number"))
    owed = [item for item in items if item.kind != "credit"]
    back = [item for item in items if item.kind == "credit"]
    assert sum(item.amount for item in owed) == agreed.total, story.happened
    assert sum(item.tax for item in owed) == agreed.tax, story.happened
    assert sum(item.amount for item in back) == -story.credited, story.happened
    assert -sum(item.tax for item in back) == running(agreed.tax, story.credited, agreed.total), (
        story.happened
    )
    assert [item.number for item in items] == list(range(1, len(items) + 1))
    for item in items:
        assert 0 <= item.tax / item.amount <= 1, f"the tax of {item} is a part of it"


def check_file(story: Story) -> None:
    """The export holds each item once and comes to the same."""
    file = services.invoice_export(actor=story.seller, at=AT)
    assert isinstance(file, InvoiceFile)
    rows = file_bytes(file.content, "csv").decode().splitlines()
    assert len(rows) == InvoiceItem.objects.count() + 1
    net = sum(Decimal(item["net"]) for item in file.content["items"])
    tax = sum(Decimal(item["tax"]) for item in file.content["items"])
    assert net + tax == story.order.revision.total - story.credited


def test_all_items_together_are_what_was_agreed_less_the_credits_whatever_happened() -> None:
    """Deposit, changes before and after release, deliveries in parts, claims made again, credited and rejected."""
    quote, met = quotes.accepted().quote, set[str]()
    for seed in SEEDS:
        with transaction.atomic():
            story = told(seed, quote)
            check(story)
            check_file(story)
            met |= {words.split()[0] for words in story.happened}
            met |= {item.kind for item in story.order.invoice_items.all()}
            transaction.set_rollback(True)
    assert met >= {"deposit", "delivery", "change", "credit", "made"}, "the stories are worth telling"


def test_all_of_an_order_credited_comes_to_nothing() -> None:
    story = told(3, quotes.accepted().quote)
    delivery = story.order.deliveries.filter(delivered_at__isnull=False).earliest("pk")
    last = services.claim_open(
        actor=story.seller, at=AT, order=story.order, kind="other", words="Sent back", delivery=delivery
    )
    story.credit(last, credit_room(story.order).left)
    check(story)
    items = story.order.invoice_items.all()
    assert sum(item.amount for item in items) == 0
    assert sum(item.tax for item in items) == 0


@pytest.mark.parametrize(("percent", "width"), [(25, "30'"), (0, "30'"), (0, "20'"), (25, "8'"), (0, "")])
def test_a_cancelled_order_comes_to_nothing(
    monkeypatch: pytest.MonkeyPatch, percent: int, width: str
) -> None:
    """With its deposit and a change that cost more, or less than the deposit, or with nothing to take back."""
    monkeypatch.setattr("orders.release_reads.deposit_percent", lambda _order: percent)
    order = orders.booked()
    if width:
        changes.applied(changes.asked(order, width=width))
    before = sum(item.amount for item in order.invoice_items.all())
    order = services.order_cancel(
        actor=people.actor(Role.MANAGER), at=AT, order=orders.fresh(order), why="Sold the lot"
    )
    items = list(order.invoice_items.order_by("number"))
    assert sum(item.amount for item in items) == 0
    assert sum(item.tax for item in items) == 0
    back = [item for item in items if item.kind == "cancelled"]
    assert [item.amount for item in back] == ([-before] if before else [])
