"""How long a delivery is ticked, reported on and signed for on site (R48), and what stands of its receipt.

The driver's proof may end the receipt before the builder has looked; so ticking and signing end with the builder's own
signature, and reports some days after the receipt, when bundles are opened. A closed order ends all of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from framing.common.company import company
from orders.models import Delivery, Order, ReceiptAction
from orders.states import OrderStage, ReceiptVerb


@dataclass(frozen=True, slots=True)
class SiteTerms:
    """What stands of a receipt, and what may still be added to it.

    Attributes:
        left: all of it left the yard; a single truck that left is asked for at its load.
        received_at, received_by: the receipt, whoever told it; None and "" before.
        by_driver: it was the driver's proof that ended it.
        signed_at, signed_by: the builder's signature, or what staff noted of it; None and "" before.
        last_day: the last day of reports by the site's calendar; None before the receipt.
        over: that day is over.
        ended: the order is closed or cancelled.
    """

    left: bool
    received_at: datetime | None
    received_by: str
    by_driver: bool
    signed_at: datetime | None
    signed_by: str
    last_day: date | None
    over: bool
    ended: bool

    @property
    def ticks(self) -> bool:
        """Whether things are ticked and the whole is signed for."""
        return self.signed_at is None and not self.ended

    @property
    def reports(self) -> bool:
        """Whether what is short, damaged or wrong may be reported by link."""
        return not self.over and not self.ended


def site_terms(delivery: Delivery, at: datetime) -> SiteTerms:
    """The terms of a delivery, whose order is joined, at a moment; the database's clock decides, not the phone's."""
    acts = ReceiptAction.objects.filter(delivery=delivery, verb=ReceiptVerb.SIGN)
    signed = acts.values("at", "name").first()
    received = delivery.delivered_at
    zone = _zone(delivery) if received else ZoneInfo("UTC")
    last = report_until(received, zone) if received else None
    return SiteTerms(
        left=delivery.loaded_at is not None,
        received_at=received,
        received_by=delivery.received_by,
        by_driver=received is not None and delivery.loads.filter(unloaded_at=received).exists(),
        signed_at=signed["at"] if signed else None,
        signed_by=signed["name"] if signed else "",
        last_day=last,
        over=last is not None and at.astimezone(zone).date() > last,
        ended=delivery.order.stage in (OrderStage.CLOSED, OrderStage.CANCELLED),
    )


def _zone(delivery: Delivery) -> ZoneInfo:
    """The site's zone, without the revision's large fields."""
    rows = Order.objects.filter(pk=delivery.order_id)
    return ZoneInfo(rows.values_list("revision__quote__project__site__time_zone", flat=True).get())


def report_until(received: datetime, zone: ZoneInfo) -> date:
    """The last day on which reports are taken by link: so many days after that of the receipt, at the site."""
    return received.astimezone(zone).date() + timedelta(days=settings.SPANYARD_REPORT_DAYS)


def whom_to_call(order: Order) -> str:
    """Who answers for an order, with the company's telephone where it has one."""
    return ", ".join(filter(None, (order.owner.name, company().phone)))


def over_words(delivery: Delivery, last_day: date) -> str:
    """Why nothing is reported by link any more, and what to do."""
    words = _(
        "What is wrong with delivery %(number)s was to be reported by %(day)s. Call %(call)s all the same."
    )
    day = date_format(last_day, "DATE_FORMAT")
    return words % {"number": delivery.number, "day": day, "call": whom_to_call(delivery.order)}


def ended_words(delivery: Delivery) -> str:
    """Why nothing at all is added any more, and what to do."""
    if delivery.order.stage == OrderStage.CANCELLED:
        words = _("This order was cancelled. Call %(call)s.")
    else:
        words = _(
            "The order of delivery %(number)s is closed, so nothing is added to it here. Call %(call)s."
        )
    return words % {"number": delivery.number, "call": whom_to_call(delivery.order)}
