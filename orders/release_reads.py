"""Reads between booking and release: drawings and their answers, deposits, the checklist's facts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum

from framing.common.errors import NotThere
from framing.common.models import AccessLink
from framing.projects.selectors import practice_of
from orders.models import Deposit, DrawingSet, Order
from orders.release_checks import CheckLine, Drawings, ReleaseFacts, release_checks
from orders.selectors import order_list
from orders.states import OrderStage
from quotes.selectors import alternate_picked

CENT = Decimal("0.01")


# --- deposits ---


def accepted_total(order: Order) -> Decimal:
    """What the builder accepted, with freight and tax: the picked alternate's total or the base offer's."""
    return (alternate_picked(order.revision) or order.revision).total


def deposit_percent(order: Order) -> int:
    """What the practice set of the accepted offer asks for before release, in percent of its total; 0 is none."""
    return practice_of(order.revision.practice_set).deposit_percent


def deposit_needed(order: Order) -> Decimal:
    """The deposit before release, to the cent, half up."""
    return (accepted_total(order) * deposit_percent(order) / 100).quantize(CENT, ROUND_HALF_UP)


def deposit_received(order: Order) -> Decimal:
    """What was received and not taken back."""
    found = order.deposits.filter(taken_back_at=None).aggregate(sum=Sum("amount"))["sum"]
    return found if found is not None else Decimal("0.00")


def deposit_list(order: Order) -> QuerySet[Deposit]:
    """All deposits of an order as they were written down, those taken back too."""
    return order.deposits.select_related("by", "taken_back_by").order_by("id")


def deposit_get(order: Order, pk: int) -> Deposit:
    """One deposit of this order. Raises NotThere."""
    found = deposit_list(order).filter(pk=pk).first()
    if found is None:
        raise NotThere()
    return found


# --- drawings ---


def drawing_sets(order: Order) -> QuerySet[DrawingSet]:
    """Drawings that were sent or answered, newest first."""
    return order.drawing_sets.select_related("sent_by", "recorded_by", "order").order_by("-number")


def drawing_set_get(order: Order, number: int) -> DrawingSet:
    """One set of this order by its number. Raises NotThere."""
    found = drawing_sets(order).filter(number=number).first()
    if found is None:
        raise NotThere()
    return found


def order_of_link(link: AccessLink) -> Order:
    """The order that a link opens. Raises NotThere for a link to anything else."""
    found = order_list().filter(pk=link.subject_id).first()
    if link.subject_type != Order._meta.label_lower or found is None:
        raise NotThere()
    return found


def orders_refused() -> QuerySet[Order]:
    """Booked orders whose builder last said that the drawings must change, the longest waiting first."""
    newest = DrawingSet.objects.filter(order=OuterRef("pk")).order_by("-number")
    rows = order_list(stage=OrderStage.BOOKED).filter(drawings_approved_at=None)
    rows = rows.annotate(
        last_approved=Subquery(newest.values("approved")[:1]),
        last_words=Subquery(newest.values("words")[:1]),
        answered_at=Subquery(newest.values("answered_at")[:1]),
    )
    return rows.filter(last_approved=False).order_by("answered_at", "id")


def drawings_state(order: Order) -> tuple[Drawings, str, datetime | None]:
    """How far the drawings are, the word with it, and when it was said."""
    if order.drawings_approved_at is not None:
        return Drawings.APPROVED, order.drawings_approved_by, order.drawings_approved_at
    newest = drawing_sets(order).first()
    if newest is None or newest.approved:
        return Drawings.NOT_SENT, "", None
    if newest.answered_at is None:
        return Drawings.ASKED, "", newest.created_at
    return Drawings.REFUSED, newest.words, newest.answered_at


# --- the checklist ---


def release_facts(order: Order) -> ReleaseFacts:
    """What the checklist is read from, as it stands now."""
    drawings, word, _ = drawings_state(order)
    revision = order.revision
    picked = alternate_picked(revision)
    change = order.changes.filter(applied_at=None, withdrawn_at=None).first()
    return ReleaseFacts(
        drawings=drawings,
        drawings_word=word,
        deposit_needed=deposit_needed(order),
        deposit_received=deposit_received(order),
        fits=picked.fits if picked else revision.fits,
        release_reason=revision.release_reason,
        change=f"Change order {change.number}" if change else "",
        held=order.stage == OrderStage.HELD,
        site=str(revision.quote.project.site),
        deliver_on=order.deliver_on,
    )


def release_lines(order: Order) -> tuple[CheckLine, ...]:
    """The checklist of an order."""
    return release_checks(release_facts(order))


# --- what the shop made ---


@dataclass(frozen=True, slots=True)
class Made:
    """What the shop made of an order: bundles begun, those of them that are finished, and the steel in these."""

    started: int
    finished: int
    finished_lb: Decimal

    @property
    def words(self) -> str:
        """Such as “3 bundles were begun, 2 of them finished with 1,204.5 lb of steel.”"""
        if not self.started:
            return "Nothing was rolled."
        bundles = "1 bundle was" if self.started == 1 else f"{self.started} bundles were"
        if not self.finished:
            return f"{bundles} begun, none finished."
        return f"{bundles} begun, {self.finished} of them finished with {self.finished_lb:,} lb of steel."

    @property
    def as_json(self) -> dict[str, int | str]:
        """For the trail."""
        return {"started": self.started, "finished": self.finished, "finished_lb": str(self.finished_lb)}


def order_made(order: Order) -> Made:
    """What the shop made by now."""
    done = Q(finished_at__isnull=False)
    found = order.bundles.aggregate(
        started=Count("pk", filter=Q(started_at__isnull=False)),
        finished=Count("pk", filter=done),
        finished_lb=Sum("weight_lb", filter=done),
    )
    return Made(found["started"], found["finished"], found["finished_lb"] or Decimal("0.0"))
