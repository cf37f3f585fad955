"""What waits for a member of staff today, by role (reads only)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.urls import reverse

from framing.common.mail_words import plain_line
from framing.common.models import OutboxEntry, Role, User
from framing.common.templatetags.figures import percent
from framing.common.zones import company_day
from orders import selectors
from orders.change_reads import STATE_WORDS, ChangeState, change_state, changes_open
from orders.claim_reads import cartons_to_pack, claim_list, claims_to_deliver
from orders.claim_words import claim_thing
from orders.line_reads import plan_list
from orders.models import ChangeOrder, Claim, Delivery, Order, ShopPaper
from orders.papers.standing import Outdated, papers_to_print
from orders.release_reads import orders_refused
from orders.selectors import content_words
from orders.states import ClaimState, LinePlanState, OrderStage
from quotes import selectors as quotes
from quotes.models import Quote
from quotes.thread_reads import quotes_unread

SHOWN_MOST = 8
BOOKED_LATELY_DAYS = 7
CHANGES = {
    ChangeState.ACCEPTED: "Changes accepted, to put into the order",
    ChangeState.OVER: "Changes not answered in time",
    ChangeState.DRAFT: "Changes to finish and issue",
    ChangeState.OFFERED: "Changes that wait for the builder",
}
LAPSED_TITLE = "Lapsed: ask why, or revise"


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that waits: `state` is a word that the page knows a shape for."""

    state: str
    label: str
    words: str
    url: str
    when: date | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """Things of one kind: how many, the first of them, and where all are."""

    title: str
    count: int
    rows: tuple[Row, ...]
    url: str

    @property
    def more(self) -> int:
        return self.count - len(self.rows)


Make = Callable[[Any], Row]


def waiting_for(user: User, at: datetime) -> tuple[Section, ...]:
    """Sections of the reader's role that hold something, most pressing first."""
    found = _BY_ROLE[user.role](user, at)
    return tuple(section for section in found if section.count)


def _section(title: str, rows: QuerySet[Any], make: Make, url: str) -> Section:
    first = tuple(make(row) for row in rows[:SHOWN_MOST])
    count = len(first) if len(first) < SHOWN_MOST else rows.count()
    return Section(title, count, first, url)


# --- by role ---


def _seller(user: User, at: datetime) -> Iterator[Section]:
    own = Q(owner=user) | (Q(owner__team=user.team) if user.team else Q())
    quote_page = reverse("quotes:quote_list")
    asked = quotes.approvals_asked_back(user)
    yield _section("Messages from builders", quotes_unread(user), _unread, quote_page)
    yield _refused(own)
    yield from _changes(Q(order__owner=user) | (Q(order__owner__team=user.team) if user.team else Q()), at)
    yield _section("Questions on your prices", asked, _question, f"{quote_page}?stage=bid")
    yield _section(
        "Offers that lapse within a week", quotes.quotes_lapsing(at=at).filter(own), _lapsing, quote_page
    )
    yield _section(
        LAPSED_TITLE, quotes.quotes_lapsed(at=at).filter(own), _lapsed, f"{quote_page}?stage=lapsed"
    )
    yield _section("Drafts to finish and issue", quotes.drafts_of(user), _quote, f"{quote_page}?stage=bid")
    since = at - timedelta(days=BOOKED_LATELY_DAYS)
    booked = selectors.order_list().filter(own, created_at__gte=since)
    yield _section("Booked in the last week", booked, _order, reverse("orders:order_list"))
    yield _held(own)


def _manager(user: User, at: datetime) -> Iterator[Section]:
    del user
    quote_page = reverse("quotes:quote_list")
    queue = reverse("quotes:approval_list")
    yield _section("Approvals asked for", quotes.approvals_waiting(), _approval, queue)
    yield _claims()
    yield from _changes(Q(), at)
    yield _section("Messages from builders", quotes_unread(), _unread, quote_page)
    yield _section("Offers that lapse within a week", quotes.quotes_lapsing(at=at), _lapsing, quote_page)
    yield _section(LAPSED_TITLE, quotes.quotes_lapsed(at=at), _lapsed, f"{quote_page}?stage=lapsed")
    yield _held(Q())


def _planner(user: User, at: datetime) -> Iterator[Section]:
    del user
    booked = selectors.order_list(stage=OrderStage.BOOKED).order_by(
        F("deliver_on").asc(nulls_last=True), "id"
    )
    url = _orders_at(OrderStage.BOOKED)
    plans = plan_list().filter(state=LinePlanState.PROPOSED)
    yield _section("A line plan waits for your word", plans, _line_plan, reverse("orders:line_board"))
    yield _papers(company_day(at))
    yield _refused(Q())
    yield from (section for section in _changes(Q(), at) if section.title == CHANGES[ChangeState.ACCEPTED])
    yield _section("Drawings to approve", booked.filter(drawings_approved_at=None), _due, url)
    yield _section(
        "Drawings approved, to release", booked.filter(drawings_approved_at__isnull=False), _due, url
    )
    yield _at(OrderStage.RELEASED, "Released, rolling not started")
    yield _held(Q())


def _shop(user: User, at: datetime) -> Iterator[Section]:
    del user, at
    rolling = selectors.order_list(stage=OrderStage.ROLLING).order_by("deliver_on", "id")
    yield _section("Bundles to finish", rolling, _to_finish, reverse("orders:floor"))
    yield _section("Cartons to pack again", cartons_to_pack(), _to_pack, _replacing())
    yield _at(OrderStage.RELEASED, "Released, to roll next")


def _dispatcher(user: User, at: datetime) -> Iterator[Section]:
    del user
    open_rows = selectors.delivery_list().filter(delivered_at=None, dropped_at=None)
    open_rows = open_rows.exclude(order__stage=OrderStage.CANCELLED)
    url = reverse("orders:delivery_list")
    yield _section("Today and overdue", open_rows.filter(planned_for__lte=company_day(at)), _delivery, url)
    bundled = (
        selectors.order_list(stage=OrderStage.BUNDLED)
        .exclude(pk__in=Delivery.objects.filter(dropped_at=None).values("order"))
        .order_by("deliver_on", "id")
    )
    yield _section("Bundled, no delivery planned", bundled, _due, _orders_at(OrderStage.BUNDLED))
    yield _claims()
    yield _section("To go again, on no delivery", claims_to_deliver(), _again, _replacing())
    later = open_rows.filter(planned_for__gt=company_day(at))
    yield _section("Planned", later, _delivery, f"{url}?state=planned")
    yield _to_close()


def _administrator(user: User, at: datetime) -> Iterator[Section]:
    del user, at
    parked = OutboxEntry.objects.filter(parked_at__isnull=False).order_by("-parked_at")
    yield _section("Background work that stopped", parked, _job, _jobs_page())


_BY_ROLE: dict[str, Callable[[User, datetime], Iterable[Section]]] = {
    Role.SELLER: _seller,
    Role.MANAGER: _manager,
    Role.PLANNER: _planner,
    Role.SHOP: _shop,
    Role.DISPATCHER: _dispatcher,
    Role.ADMINISTRATOR: _administrator,
}


# --- sections and rows ---


def _orders_at(stage: str) -> str:
    return f"{reverse('orders:order_list')}?stage={stage}"


def _at(stage: OrderStage, title: str) -> Section:
    rows = selectors.order_list(stage=stage).order_by("deliver_on", "id")
    return _section(title, rows, _due, _orders_at(stage))


def _to_close() -> Section:
    """Delivered orders that no open claim holds up."""
    rows = selectors.order_list(stage=OrderStage.DELIVERED).order_by("deliver_on", "id")
    rows = rows.exclude(Exists(Claim.objects.filter(order=OuterRef("pk"), ended_at=None)))
    return _section("Delivered, to close", rows, _due, _orders_at(OrderStage.DELIVERED))


def _changes(own: Q, at: datetime) -> Iterator[Section]:
    """Changes of orders: to finish, waiting for the builder, accepted but not in the order yet."""
    found = [(change_state(change, at), change) for change in changes_open().filter(own)]
    for state, title in CHANGES.items():
        rows = [_change(change, state) for known, change in found if known == state]
        url = reverse("orders:order_list")
        yield Section(title, len(rows), tuple(rows[:SHOWN_MOST]), url)


def _change(change: ChangeOrder, state: ChangeState) -> Row:
    project = _project_words(change.revision.quote)
    words = f"{change.order.number} change {change.number}  {project}: {plain_line(change.why, 120)}"
    url = reverse("orders:change_page", args=[change.order.public_id, change.number])
    return Row("draft", STATE_WORDS[state].split(",")[0], words, url, company_day(change.created_at))


def _held(own: Q) -> Section:
    rows = selectors.order_list(stage=OrderStage.HELD).filter(own)
    return _section("Held", rows, _order, _orders_at(OrderStage.HELD))


def _refused(own: Q) -> Section:
    """Orders whose builder wants the drawings changed."""
    return _section(
        "Drawings must change", orders_refused().filter(own), _to_change, _orders_at(OrderStage.BOOKED)
    )


def _project_words(quote: Quote) -> str:
    return f"{quote.project.name}, {quote.project.builder.name}"


def _quote_row(quote: Quote, when: date | None) -> Row:
    url = reverse("quotes:quote_page", args=[quote.public_id])
    words = f"{quote.number}  {_project_words(quote)}"
    return Row(quote.stage, quote.get_stage_display(), words, url, when)


def _quote(quote: Any) -> Row:
    return _quote_row(quote, company_day(quote.created_at))


def _lapsing(quote: Any) -> Row:
    return _quote_row(quote, quote.latest_valid_day)


def _lapsed(quote: Any) -> Row:
    url = f"{reverse('quotes:quote_page', args=[quote.public_id])}#lost"
    return Row(
        quote.stage,
        quote.get_stage_display(),
        f"{quote.number}  {_project_words(quote)}",
        url,
        quote.latest_valid_day,
    )


def _approval(approval: Any) -> Row:
    quote = approval.revision.quote
    url = reverse("quotes:quote_page", args=[quote.public_id])
    margin = f", margin {percent(approval.margin_after)}" if approval.margin_after is not None else ""
    words = f"{approval.revision}  {_project_words(quote)}, asked by {approval.asked_by.name}{margin}"
    return Row("draft", "To decide", words, url, company_day(approval.created_at))


def _question(approval: Any) -> Row:
    quote = approval.revision.quote
    url = f"{reverse('quotes:revision_page', args=[approval.revision.public_id])}#approval"
    question = [word.text for word in approval.words.all() if word.is_question][-1]
    words = f"{approval.revision}  {_project_words(quote)}: {question}"
    return Row("draft", "To answer", words, url, company_day(approval.created_at))


def _unread(quote: Any) -> Row:
    url = reverse("quotes:quote_thread", args=[quote.public_id])
    words = f"{quote.number}  {_project_words(quote)}"
    return Row("draft", f"{quote.unread} unread", words, url, company_day(quote.last_at))


def _order_row(order: Order, when: date | None, more: str = "") -> Row:
    words = f"{order.number}  {_project_words(order.revision.quote)}{more}"
    url = reverse("orders:order_page", args=[order.public_id])
    return Row(order.stage, order.get_stage_display(), words, url, when)


def _order(order: Any) -> Row:
    return _order_row(order, company_day(order.created_at))


def _due(order: Any) -> Row:
    return _order_row(order, order.deliver_on)


def _to_change(order: Any) -> Row:
    words = f"{order.number}  {_project_words(order.revision.quote)}: {plain_line(order.last_words, 120)}"
    url = f"{reverse('orders:order_page', args=[order.public_id])}#drawings"
    return Row("draft", "To change", words, url, company_day(order.answered_at))


def _to_finish(order: Any) -> Row:
    return _order_row(order, order.deliver_on, f": {order.finished_count} of {order.bundle_count} finished")


def _line_plan(plan: Any) -> Row:
    late = plan.figures.get("sums", {}).get("late_orders", 0)
    orders_late = f"{late} order{'' if late == 1 else 's'} late" if late else "every order in time"
    words = f"{plan}{f': {plan.words}' if plan.words else ''}, {orders_late}"
    url = reverse("orders:line_plan_page", args=[plan.public_id])
    return Row("draft", "To take or lay aside", words, url, company_day(plan.created_at))


def _delivery(delivery: Delivery) -> Row:
    words = f"{delivery.number}  {_project_words(delivery.order.revision.quote)}, {delivery.contact}"
    url = reverse("orders:delivery_page", args=[delivery.public_id])
    return Row(delivery.order.stage, delivery.order.get_stage_display(), words, url, delivery.planned_for)


def _papers(today: date) -> Section:
    """Papers of the shop that no longer say what is to be made, the newest first."""
    found = sorted(papers_to_print(today), key=lambda pair: pair[0].pk, reverse=True)
    rows = tuple(_paper(paper, why) for paper, why in found[:SHOWN_MOST])
    url = _orders_at(OrderStage.ROLLING) if found and found[0][0].order_id else reverse("orders:cut_lists")
    return Section("Papers of the shop to print again", len(found), rows, url)


def _paper(paper: ShopPaper, why: Outdated) -> Row:
    if paper.order is not None:
        url = reverse("orders:order_papers", args=[paper.order.public_id])
        job = f"  {_project_words(paper.order.revision.quote)}"
    else:
        url, job = reverse("orders:cut_lists"), ""
    return Row("late", "Outdated", f"{paper}{job}. {why.words}", url, company_day(paper.created_at))


def _claims() -> Section:
    """Claims that nobody has decided yet, oldest first."""
    rows = claim_list(state=ClaimState.OPEN).order_by("id")
    return _section("Claims to decide", rows, _claim, f"{_claim_page()}?state=open")


def _claim(claim: Claim) -> Row:
    told = f"{claim.number}  {claim.order.number}, {claim_thing(claim)}: {claim.words[:80]}"
    url = reverse("orders:claim_page", args=[claim.public_id])
    state = "draft" if claim.state == ClaimState.OPEN else "rolling"
    return Row(state, claim.get_state_display(), told, url, company_day(claim.created_at))


def _again(claim: Claim) -> Row:
    """What replaces something: rolled by now, or a carton, which is packed from stock."""
    made = claim.replacement
    what = f"bundle {made.number} is made" if made else f"{_carton(claim)} is packed from stock"
    told = f"{claim.number}  {claim.order.number}, {what}"
    url = reverse("orders:claim_page", args=[claim.public_id])
    return Row("rolling", "Made" if made else "To pack", told, url, company_day(claim.created_at))


def _to_pack(claim: Claim) -> Row:
    carton = claim.replacement_carton
    assert carton is not None  # noqa: S101  # these claims have one
    told = (
        f"{claim.number}  {claim.order.number}, {_carton(claim)}: {', '.join(content_words(carton.contents))}"
    )
    goes = carton.delivery.planned_for if carton.delivery else None
    url = reverse("orders:claim_page", args=[claim.public_id])
    return Row("draft", "To pack", plain_line(told, 160), url, goes)


def _carton(claim: Claim) -> str:
    return f"carton {claim.replacement_carton.number}" if claim.replacement_carton else ""


def _claim_page() -> str:
    return reverse("orders:claim_list")


def _replacing() -> str:
    return f"{_claim_page()}?state=replacing"


def _job(entry: OutboxEntry) -> Row:
    return Row("failed", "Stopped", f"{entry.kind} {entry.key}: {entry.error[:120]}", _jobs_page(), None)


def _jobs_page() -> str:
    return reverse("admin:common_outboxentry_changelist")
