"""What was found on site at the demo company's deliveries, and what became of it (R49)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from io import BytesIO
from typing import Final
from uuid import UUID, uuid5

from PIL import Image, ImageDraw

from framing.common.actors import Actor, by_link
from framing.common.links import link_open
from framing.common.zones import company_day
from orders import services as orders
from orders.models import Bundle, Carton, Claim, Delivery
from orders.services.photos import photo_take
from orders.services.receipts import SiteAct, receipt_act
from orders.states import ClaimKind, ReceiptVerb

BENT: Final = "Two flanges are bent, the fork went in beside the blocks."
CREDIT: Final = Decimal("64.00")
_NAMES: Final = UUID("6f0d3d2e-7b0a-4c7e-9b57-1f6c4f1d2a90")


@dataclass(frozen=True, slots=True)
class Yard:
    """Who deals with what comes back from a site, and the moments at which they do."""

    dispatcher: Actor
    manager: Actor
    shop: Actor
    hours: Iterator[datetime]
    days: Iterator[datetime]


def receive_on_site(yard: Yard, delivery: Delivery, contact: str) -> None:
    """The builder ticks all on his phone, reports the first bundle damaged with a photo, and signs: a claim is open."""
    link, address = orders.delivery_link_make(
        actor=yard.dispatcher, at=next(yard.hours), delivery=delivery, for_name=contact
    )
    link_open(address.rstrip("/").rsplit("/", 1)[1], next(yard.hours))
    builder, at = by_link(link), next(yard.hours)
    bundles = list(delivery.bundles.select_related("load").order_by("number"))
    cartons = list(delivery.cartons.select_related("load").order_by("number"))
    others: list[Bundle | Carton] = [*bundles[1:], *cartons]
    for thing in others:
        _act(builder, at, delivery, ReceiptVerb.TICK, thing)
    first = bundles[0]
    marks = dict.fromkeys(sorted(set(first.pieces.values_list("mark", flat=True)))[:1], 2)
    act = _act(builder, at, delivery, ReceiptVerb.DAMAGED, first, marks=marks, words=BENT)
    photo_take(
        actor=builder,
        at=at,
        delivery=delivery,
        photo_id=uuid5(_NAMES, f"photo {delivery.number}"),
        file=("bent flanges.jpg", bent_flanges()),
        action_id=act,
    )
    _act(builder, next(yard.hours), delivery, ReceiptVerb.SIGN, None, name=contact)


def _act(
    builder: Actor,
    at: datetime,
    delivery: Delivery,
    verb: ReceiptVerb,
    thing: Bundle | Carton | None,
    *,
    marks: dict[str, int] | None = None,
    words: str = "",
    name: str = "",
) -> UUID:
    number = uuid5(_NAMES, f"{delivery.number} {verb} {thing}")
    act = SiteAct(number, verb, thing, marks or {}, words, name, at)
    receipt_act(actor=builder, at=at, delivery=delivery, act=act)
    return number


def bent_flanges() -> bytes:
    """A picture of a bundle from its end, two flanges of which are bent; drawn, not taken."""
    image = Image.new("RGB", (480, 320), (196, 200, 196))
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 250, 480, 320), fill=(136, 118, 92))
    for left in (70, 350):
        draw.rectangle((left, 228, left + 60, 252), fill=(168, 132, 84))
    for column in range(8):
        left = 42 + column * 50
        bend = 26 if column in (5, 6) else 0
        section = [(left + 38, 80), (left + 38, 66 + bend), (left - bend // 2, 66 + bend // 2), (left, 226),
                   (left + 38, 226), (left + 38, 212)]  # fmt: skip
        draw.line(section, fill=(78, 88, 96), width=6, joint="curve")
        draw.line(section, fill=(158, 170, 178), width=2)
    for left in (120, 320):
        draw.line([(left, 60), (left, 232)], fill=(40, 46, 52), width=4)
    out = BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def made_again(yard: Yard, delivery: Delivery, contact: str) -> None:
    """Two joists are short: rolled again, brought by a second delivery, received."""
    bundle = delivery.bundles.order_by("number")[0]
    pieces = list(bundle.pieces.order_by("position")[:2])
    claim = _by_phone(
        yard, delivery, ClaimKind.SHORT, f"{contact} rang: two were not in the bundle.", bundle, pieces=pieces
    )
    row = orders.claim_replace(
        actor=yard.dispatcher, at=next(yard.days), claim=claim, why="The site waits for these two."
    )
    again = row.replacement
    assert again is not None  # noqa: S101  # a bundle is made again as a bundle
    orders.bundle_start(actor=yard.shop, at=next(yard.hours), bundle=again)
    orders.bundle_finish(actor=yard.shop, at=next(yard.hours), bundle=again)
    at = next(yard.days)
    second = orders.delivery_make(
        actor=yard.dispatcher,
        at=at,
        order=row.order,
        planned_for=company_day(at),
        contact=delivery.contact,
        notes=f"Two joists for claim {row.number}.",
        bundles=[again.public_id],
        cartons=[],
        shut_ok=True,
    )
    orders.delivery_load(actor=yard.dispatcher, at=next(yard.hours), delivery=second)
    orders.delivery_deliver(actor=yard.dispatcher, at=next(yard.hours), delivery=second, received_by=contact)


def credited(yard: Yard, delivery: Delivery, contact: str) -> None:
    """A carton came wet: the builder bought screws himself and gets a credit."""
    words = f"{contact} sent a mail: the box came wet, the screws rust."
    claim = _by_phone(yard, delivery, ClaimKind.DAMAGED, words, None, carton=delivery.cartons.first())
    why = "You bought the screws in town; we credit what they cost."
    orders.claim_credit(actor=yard.manager, at=next(yard.days), claim=claim, amount=CREDIT, why=why)


def rejected(yard: Yard, delivery: Delivery, contact: str) -> None:
    """Called wrong on the phone, right by the drawing."""
    words = f"{contact} rang: the joists look too long for the bay."
    bundle = delivery.bundles.order_by("-number")[0]
    claim = _by_phone(yard, delivery, ClaimKind.WRONG, words, bundle)
    why = "They are the joists of the other bay, as drawn; we went through the marks together on the phone."
    orders.claim_reject(actor=yard.dispatcher, at=next(yard.hours), claim=claim, why=why)


def _by_phone(
    yard: Yard,
    delivery: Delivery,
    kind: ClaimKind,
    words: str,
    bundle: Bundle | None,
    **more: object,
) -> Claim:
    return orders.claim_open(
        actor=yard.dispatcher,
        at=next(yard.hours),
        order=delivery.order,
        kind=kind,
        words=words,
        bundle=bundle,
        delivery=delivery,
        **more,  # type: ignore[arg-type]  # a carton or pieces
    )


CLAIMS: Final[dict[str, Callable[[Yard, Delivery, str], None]]] = {
    "replaced": made_again,
    "credited": credited,
    "rejected": rejected,
}
"""What was reported after a delivery was received, by how it ended."""
