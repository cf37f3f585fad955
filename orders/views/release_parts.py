"""What the order's page shows between booking and release, and whom it lets do what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from framing.common.access import may, owns
from framing.common.actors import Actor
from framing.common.clock import database_now
from framing.common.models import MailMessage, OutboxEntry, StoredPaper
from framing.common.zones import company_day
from orders import release_reads
from orders.change_facts import BEFORE_LOADING, change_closed_words
from orders.change_reads import STATE_WORDS, ChangeState, change_list, change_state
from orders.models import ChangeOrder, DrawingSet, Order
from orders.release_checks import Drawings
from orders.release_forms import DayForm, DepositForm, RecordForm, ResumeForm, TakeBackForm
from orders.states import OrderStage
from quotes.selectors import floors_moved

BEFORE_RELEASE = ("booked",)


@dataclass(frozen=True, slots=True)
class SetPart:
    """One set of drawings with its paper, the mails that went out with it, and what was marked up on it.

    `markup_over`: the worker is done with the marked-up file; without pictures it could not be read.
    """

    set: DrawingSet
    paper: StoredPaper | None
    markup: StoredPaper | None
    markup_over: bool
    mails: tuple[MailMessage, ...]


def set_parts(sets: Iterable[DrawingSet]) -> tuple[SetPart, ...]:
    """Sets with papers and mails, by three questions for all of them."""
    found = list(sets)
    label, keys = DrawingSet._meta.label_lower, [one.pk for one in found]
    kinds = ("order_drawings", "drawing_markup")
    rows = StoredPaper.objects.filter(kind__in=kinds, subject_type=label, subject_id__in=keys)
    papers = {(row.kind, row.subject_id): row for row in rows}
    mails = list(MailMessage.objects.filter(subject_type=label, subject_id__in=keys).order_by("id"))
    jobs = OutboxEntry.objects.filter(kind="drawing_markup", key__in=[str(key) for key in keys])
    over = {job.key for job in jobs if job.done_at or job.parked_at}
    return tuple(
        SetPart(
            set=one,
            paper=papers.get(("order_drawings", one.pk)),
            markup=papers.get(("drawing_markup", one.pk)),
            markup_over=str(one.pk) in over,
            mails=tuple(mail for mail in mails if mail.subject_id == one.pk),
        )
        for one in found
    )


def is_before_release(order: Order) -> bool:
    """Booked, or held from there."""
    return (order.held_from or order.stage) in BEFORE_RELEASE


def release_can(order: Order, actor: Actor) -> dict[str, bool]:
    """Which acts before release the page offers: those the stage lists and the reader may do."""
    own = owns(actor, order.owner)
    open_, booked = is_before_release(order), order.stage == OrderStage.BOOKED
    unapproved = order.drawings_approved_at is None
    return {
        "send": booked and unapproved and may(actor.audience, "drawing_set", "send", own=own),
        "record": open_ and unapproved and may(actor.audience, "order", "approve", own=own),
        "deposit": open_ and may(actor.audience, "deposit", "record", own=own),
        "take_back": may(actor.audience, "deposit", "take_back", own=own),
        "see_deposit": may(actor.audience, "deposit", "read"),
        "set_day": order.stage in BEFORE_LOADING and may(actor.audience, "order", "change", own=own),
    }


def release_context(order: Order, actor: Actor, key: str) -> dict[str, Any]:
    """The parts of the order's page about drawings, deposit and checklist; `key` is for a new deposit."""
    can = release_can(order, actor)
    lines = release_reads.release_lines(order) if is_before_release(order) else ()
    today = company_day(database_now())
    context: dict[str, Any] = {
        "release_can": can,
        "checklist": lines,
        "is_ready": all(line.ok for line in lines),
        "sets": set_parts(release_reads.drawing_sets(order)),
        "made": release_reads.order_made(order),
        "floors_moved": floors_moved(order.revision) if order.stage in BEFORE_LOADING else (),
        "record_form": RecordForm(),
        "day_form": DayForm(initial={"deliver_on": order.deliver_on}),
        "resume_form": ResumeForm(),
        "take_back_form": TakeBackForm(),
        "deposit_form": DepositForm(initial={"idempotency_key": key, "received_on": today}),
    }
    context |= changes_part(order, actor)
    return context | (_deposits(order) if can["see_deposit"] else {})


@dataclass(frozen=True, slots=True)
class ChangePart:
    """One change in the order's list."""

    change: ChangeOrder
    state: ChangeState

    @property
    def words(self) -> str:
        return STATE_WORDS[self.state]


def change_parts(order: Order) -> tuple[ChangePart, ...]:
    """The changes of an order, newest first."""
    at = database_now()
    return tuple(ChangePart(change, change_state(change, at)) for change in change_list(order))


def changes_part(order: Order, actor: Actor) -> dict[str, Any]:
    """The changes of an order and whether the reader may ask for one now."""
    parts = change_parts(order)
    over = (ChangeState.APPLIED, ChangeState.WITHDRAWN)
    may_ask = may(actor.audience, "change_order", "ask", own=owns(actor, order.owner))
    return {
        "changes": parts,
        "may_ask": may_ask and all(part.state in over for part in parts) and not change_closed_words(order),
        "see_change_price": may(actor.audience, "quote", "read"),
    }


def _deposits(order: Order) -> dict[str, Any]:
    needed, received = release_reads.deposit_needed(order), release_reads.deposit_received(order)
    return {
        "deposits": list(release_reads.deposit_list(order)),
        "deposit_needed": needed,
        "deposit_received": received,
        "deposit_missing": max(needed - received, needed * 0),
        "deposit_percent": release_reads.deposit_percent(order),
        "currency": order.revision.currency,
    }


def drawings_waiting(order: Order) -> bool:
    """Whether the builder was sent drawings that are not approved: then his answer is recorded, not ours."""
    return release_reads.drawings_state(order)[0] in (Drawings.ASKED, Drawings.REFUSED)
