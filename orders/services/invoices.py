"""What there is to invoice: one item a thing, numbered without a gap, within the transaction of its move.

The company's books are kept elsewhere; items are exported. A deposit is asked for at booking where the practice set
asks; each received delivery takes its share by weight of what is left; a change order and a credit stand alone; a
cancelled order takes back all that it came to.
"""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db.models import Q, Sum

from framing.common.models import NumberSeries
from orders.invoice_shares import NOTHING, Agreed, delivery_share, tax_of
from orders.models import Bundle, Carton, ChangeOrder, Claim, Delivery, InvoiceItem, Order
from orders.release_reads import deposit_needed
from orders.shop_scope import still_wanted
from orders.states import InvoiceKind
from quotes.selectors import alternate_picked

SERIES = "invoice"


def invoice_deposit(*, at: datetime, order: Order) -> InvoiceItem | None:
    """The deposit that an order is booked with; None where none is asked for."""
    amount = deposit_needed(order)
    if amount <= 0:
        return None
    tax = tax_of(base_agreed(order), Agreed(), amount)
    return _item(at, order, InvoiceKind.DEPOSIT, amount, tax, f"Deposit on order {order.number}")


def invoice_delivery(*, at: datetime, delivery: Delivery) -> InvoiceItem | None:
    """A received delivery's share of the agreed total less the deposit, by weight; the last takes the rest.

    Replacements of claims weigh nothing here. None where there is nothing to share, or it has its item already.
    """
    order = delivery.order
    if InvoiceItem.objects.filter(delivery=delivery).exists():
        return None
    agreed = base_agreed(order)
    made = _made(order, InvoiceKind.DEPOSIT, InvoiceKind.DELIVERY)
    deposit = _made(order, InvoiceKind.DEPOSIT).total
    now, all_lb = _pounds(order, delivery=delivery), _pounds(order)
    before = _pounds(order, delivery__in=_received(order, delivery))
    rest = agreed.total - deposit
    left = rest - (made.total - deposit)
    last = before + now == all_lb
    # a change may have made the order heavier since, so that a share by its weight now is more than what is left
    amount = left if last else min(left, delivery_share(rest, before, now, all_lb))
    if amount <= 0:
        return None
    words = f"Delivery {delivery.number} of order {order.number}"
    tax = tax_of(agreed, made, amount)
    return _item(at, order, InvoiceKind.DELIVERY, amount, tax, words, delivery=delivery)


def invoice_change(*, at: datetime, change: ChangeOrder, tax: Decimal) -> InvoiceItem | None:
    """The price difference of an applied change order with the tax in it; None where there is none."""
    if not change.price_change:
        return None
    words = f"Change {change.number} of order {change.order.number}"
    return _item(at, change.order, InvoiceKind.CHANGE, change.price_change, tax, words, change=change)


def invoice_credit(*, at: datetime, claim: Claim) -> InvoiceItem:
    """The credit of a claim, below zero, with its share of the tax; all that an order comes to has all of its tax."""
    assert claim.credit is not None  # noqa: S101  # a credited claim has one by constraint
    order = claim.order
    offer = alternate_picked(order.revision) or order.revision
    before = _made(order, InvoiceKind.CREDIT)
    tax = tax_of(Agreed(offer.total, offer.tax), Agreed(-before.total, -before.tax), claim.credit)
    words = f"Credit, claim {claim.number} on order {order.number}"
    return _item(at, order, InvoiceKind.CREDIT, -claim.credit, -tax, words, claim=claim)


def invoice_cancelled(*, at: datetime, order: Order) -> InvoiceItem | None:
    """All that a cancelled order came to by then, deposit and changes, taken back; None where that is nothing.

    What was made for it is settled between people.
    """
    made = _made(order, *InvoiceKind)
    if not made.total:
        return None
    words = f"Cancelled order {order.number}: what it came to, taken back"
    return _item(at, order, InvoiceKind.CANCELLED, -made.total, -made.tax, words)


def base_agreed(order: Order) -> Agreed:
    """What an order comes to without its applied changes, whose differences are items of their own."""
    offer = alternate_picked(order.revision) or order.revision
    changed = _made(order, InvoiceKind.CHANGE)
    return Agreed(offer.total - changed.total, offer.tax - changed.tax)


def _made(order: Order, *kinds: InvoiceKind) -> Agreed:
    """What the items of these kinds come to by now."""
    rows = order.invoice_items.filter(kind__in=kinds)
    sums = rows.aggregate(amount=Sum("amount"), tax=Sum("tax"))
    return Agreed(sums["amount"] or NOTHING, sums["tax"] or NOTHING)


def _received(order: Order, but: Delivery) -> list[int]:
    """Deliveries that took their share before this one, also where it came to nothing."""
    took = Q(delivered_at__isnull=False) | Q(invoice_item__isnull=False)
    return list(order.deliveries.filter(took).exclude(pk=but.pk).values_list("pk", flat=True))


def _pounds(order: Order, **where: object) -> Decimal:
    """Weight of an order's first-made bundles and cartons, of those that `where` picks."""
    chosen = Q(order=order, replaces_claim=None, **where)
    rows = (Bundle.objects.filter(chosen, still_wanted()), Carton.objects.filter(chosen))
    sums = [found.aggregate(sum=Sum("weight_lb"))["sum"] for found in rows]
    return sum((found or NOTHING for found in sums), NOTHING)


def _item(
    at: datetime,
    order: Order,
    kind: InvoiceKind,
    amount: Decimal,
    tax: Decimal,
    words: str,
    *,
    delivery: Delivery | None = None,
    change: ChangeOrder | None = None,
    claim: Claim | None = None,
) -> InvoiceItem:
    return InvoiceItem.objects.create(
        number=next_running(SERIES),
        kind=kind,
        order=order,
        delivery=delivery,
        change=change,
        claim=claim,
        amount=amount,
        tax=tax,
        words=words,
        at=at,
    )


def next_running(series: str) -> int:
    """The next running number of a series that never begins anew, inside the caller's transaction."""
    NumberSeries.objects.get_or_create(series=series, year=0)
    row = NumberSeries.objects.select_for_update().get(series=series, year=0)
    row.last += 1
    row.save(update_fields=["last"])
    return row.last
