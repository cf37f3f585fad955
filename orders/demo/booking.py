"""What happened between booking and release: drawings sent and answered, part of a deposit, a nearer day on site."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final

from framing.common.actors import Actor, by_link
from framing.common.models import AccessLink, LinkPurpose
from framing.common.zones import company_day
from framing.projects.models import Builder
from orders import services as orders
from orders.models import Order
from orders.release_reads import deposit_needed

MUST_CHANGE: Final = "The stair stands 1 ft nearer to the street by now; please move its opening."
PART: Final = Decimal("0.4")
"""The share of a deposit that came so far."""


def tell_booking(
    seller: Actor, order: Order, builder: Builder, days: Iterator[datetime], more: Mapping[str, Any]
) -> None:
    """Tell what `more` names: `drawings` (“sent”, “refused” or “approved”) and `deposit`."""
    if "drawings" in more:
        _drawings(seller, order, builder, days, str(more["drawings"]))
    if more.get("deposit"):
        at = next(days)
        amount = (deposit_needed(order) * PART).quantize(Decimal("0.01"))
        orders.deposit_record(
            actor=seller,
            at=at,
            order=order,
            amount=amount,
            received_on=company_day(at),
            key=f"demo-deposit-{order.pk}",
            note="Check 1184; the rest follows.",
        )


def _drawings(seller: Actor, order: Order, builder: Builder, days: Iterator[datetime], how: str) -> None:
    sent = orders.drawings_send(
        actor=seller,
        at=next(days),
        order=order,
        people=[(builder.contact_name, builder.email)],
        key=f"demo-drawings-{order.pk}",
    )
    if how == "sent":
        return
    link = AccessLink.objects.get(purpose=LinkPurpose.ORDER, subject_id=order.pk)
    approved = how == "approved"
    orders.drawings_answer(
        actor=by_link(link),
        at=next(days),
        drawing_set=sent,
        approved=approved,
        name=builder.contact_name,
        words="" if approved else MUST_CHANGE,
    )


def hurry(seller: Actor, order: Order, at: datetime, now: datetime, days_left: int) -> None:
    """The builder needs it sooner than was promised: so many days from today."""
    day = company_day(now) + timedelta(days=days_left)
    orders.order_deliver_on(actor=seller, at=at, order=order, deliver_on=day)
