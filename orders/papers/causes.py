"""What may have made a shop paper outdated: changes of orders, steps on bundles, pieces scrapped, plans taken."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from framing.common.models import AuditEntry
from orders.models import (
    BundleChange,
    ChangeOrder,
    Claim,
    LinePlan,
    Order,
    Remake,
    ShopAction,
    ShopPaper,
)
from orders.states import BundleEdit, LinePlanState, ShopPaperKind, ShopVerb

_NO_TAG = (BundleEdit.FIX, BundleEdit.FREE)  # what they do stands on no paper
_OPENED = Q(verb=ShopVerb.REOPEN) | Q(undoes__verb__in=(ShopVerb.FINISH, ShopVerb.REMAKE))
_ORDER = Order._meta.label_lower
DAY_MOVED = "order_deliver_on"


@dataclass(frozen=True, slots=True)
class Cause:
    """Something that happened: when, to which order (None: to the line plan), to which of its bundles if to one.

    `kind` is the one kind of paper that it can be read on; "" for all kinds.
    """

    at: datetime
    words: str
    order: str | None
    bundle: int | None = None
    kind: str = ""


def causes(orders: Collection[str], since: datetime) -> list[Cause]:
    """What happened after a time to some orders, by their numbers, and to the plan in force; the earliest first."""
    found = [*_plan(since), *_changes(orders, since), *_steps(orders, since), *_shop(orders, since)]
    return sorted([*found, *_claims(orders, since), *_days(orders, since)], key=lambda cause: cause.at)


def touched_papers(papers: QuerySet[ShopPaper]) -> QuerySet[ShopPaper]:
    """Papers of orders to which something happened after they were made."""
    after, order = OuterRef("created_at"), OuterRef("order_id")
    steps = BundleChange.objects.filter(order=order).exclude(edit__in=_NO_TAG)
    return papers.filter(
        Exists(ChangeOrder.objects.filter(order=order, applied_at__gt=after))
        | Exists(
            steps.filter(at__gt=after, undone_at=None) | steps.filter(at__lte=after, undone_at__gt=after)
        )
        | Exists(Remake.objects.filter(piece__order=order, created_at__gt=after))
        | Exists(ShopAction.objects.filter(_OPENED, bundle__order=order, at__gt=after, changed=True))
        | Exists(_replaced().filter(order=order, decided_at__gt=after))
        | Exists(_moved().filter(object_id=order, at__gt=after))
    )


def _replaced() -> QuerySet[Claim]:
    return Claim.objects.filter(Q(replacement__isnull=False) | Q(replacement_carton__isnull=False))


def _moved() -> QuerySet[AuditEntry]:
    return AuditEntry.objects.filter(object_type=_ORDER, verb=DAY_MOVED)


def _at(at: datetime | None, words: str, order: str) -> Iterator[Cause]:
    """What happened to an order as a whole, if it did."""
    if at is not None:
        yield Cause(at, words, order)


def _plan(since: datetime) -> Iterator[Cause]:
    for plan in LinePlan.objects.filter(state=LinePlanState.IN_FORCE, taken_at__gt=since):
        if plan.taken_at:
            yield Cause(plan.taken_at, f"line plan {plan.number}", None)


def _changes(orders: Collection[str], since: datetime) -> Iterator[Cause]:
    rows = ChangeOrder.objects.filter(order__number__in=orders, applied_at__gt=since)
    for at, number, order in rows.values_list("applied_at", "number", "order__number"):
        yield from _at(at, f"change {number}", order)


def _steps(orders: Collection[str], since: datetime) -> Iterator[Cause]:
    rows = BundleChange.objects.filter(order__number__in=orders).exclude(edit__in=_NO_TAG)
    done = rows.filter(at__gt=since, undone_at=None).values_list("at", "words", "order__number")
    for at, words, order in done:
        yield from _at(at, f"“{words}”", order)
    back = rows.filter(at__lte=since, undone_at__gt=since).values_list("undone_at", "words", "order__number")
    for undone, words, order in back:
        yield from _at(undone, f"“{words}” was taken back", order)


def _shop(orders: Collection[str], since: datetime) -> Iterator[Cause]:
    asked = Remake.objects.filter(piece__order__number__in=orders, created_at__gt=since)
    columns = ("created_at", "piece__mark", "piece__bundle__number", "piece__order__number")
    for at, mark, bundle, order in asked.values_list(*columns):
        yield Cause(at, f"{mark} of bundle {bundle} was scrapped", order, bundle, ShopPaperKind.CUT_LIST)
    taps = ShopAction.objects.filter(_OPENED, bundle__order__number__in=orders, at__gt=since, changed=True)
    rows = taps.annotate(undone=F("undoes__verb"))
    for at, undone, bundle, order in rows.values_list(
        "at", "undone", "bundle__number", "bundle__order__number"
    ):
        remade = undone == ShopVerb.REMAKE
        words = (
            f"“made again” in bundle {bundle} was taken back"
            if remade
            else f"bundle {bundle} was opened again"
        )
        yield Cause(at, words, order, bundle, ShopPaperKind.CUT_LIST)


def _claims(orders: Collection[str], since: datetime) -> Iterator[Cause]:
    rows = _replaced().filter(order__number__in=orders, decided_at__gt=since)
    for at, number, order in rows.values_list("decided_at", "number", "order__number"):
        yield from _at(at, f"claim {number}", order)


def _days(orders: Collection[str], since: datetime) -> Iterator[Cause]:
    rows = _moved().filter(object_label__in=orders, at__gt=since)
    for at, order in rows.values_list("at", "object_label"):
        yield Cause(at, "its day on site was moved", order, kind=ShopPaperKind.PACKING_LIST)
