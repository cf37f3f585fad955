"""What the quote pages show, gathered from selectors into plain shapes; templates only lay it out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from framing.common.access import may, owns
from framing.common.actors import Actor
from framing.common.links import link_list
from framing.common.models import AccessLink, OutboxEntry, StoredPaper
from framing.common.papers import paper_get
from framing.common.templatetags.figures import ratio
from framing.drawing import sketch_svg
from framing.engine.result import FloorResult, PackageResult
from quotes import selectors
from quotes.approval_reads import approval_seen, offered_now
from quotes.documents import PAPER_KIND, framing_words, shown_quantity
from quotes.line_models import LineFields
from quotes.models import Alternate, Approval, Quote, QuoteRevision
from quotes.pricing import GROUP_NAMES, GROUPS, margin_of, round_cent

LINE = ("bid", "issued", "booked", "released", "rolling", "bundled", "loaded", "delivered", "closed")
ENDED = ("declined", "lapsed")


@dataclass(frozen=True, slots=True)
class FloorCard:
    """One floor of an offer with its small drawing."""

    name: str
    repeat: int
    framing: str
    loads: str
    pieces: int
    svg: str
    passes: bool
    cares: tuple[str, ...]
    governing: str


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line: what is bought, and what was counted where that says more."""

    line: LineFields
    quantity: str
    exact: str

    @property
    def cost(self) -> Decimal:
        """What the line costs us; staff only (R39)."""
        return round_cent(self.line.quantity * self.line.unit_cost)


@dataclass(frozen=True, slots=True)
class LineGroup:
    title: str
    rows: tuple[LineRow, ...]
    amount: Decimal

    @property
    def cost(self) -> Decimal:
        return sum((row.cost for row in self.rows), Decimal(0))

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price of the group; None for discounts, which have no cost of their own."""
        return margin_of(self.amount, self.cost) if self.cost else None


@dataclass(frozen=True, slots=True)
class OrderPart:
    """What is known of the order that an acceptance led to."""

    number: str
    stage: str
    stage_words: str
    public_id: str


def floor_cards(package: PackageResult) -> tuple[FloorCard, ...]:
    return tuple(_card(floor) for floor in package.floors)


def _card(floor: FloorResult) -> FloorCard:
    case = floor.plan.load_case
    return FloorCard(
        name=floor.plan.name,
        repeat=floor.plan.repeat,
        framing=framing_words(floor),
        loads=_("%(live)s psf live, %(dead)s psf dead")
        % {"live": f"{case.live_psf:g}", "dead": f"{case.dead_psf:g}"},
        pieces=len(floor.pieces),
        svg=sketch_svg(floor, floor.warnings),
        passes=floor.passes,
        cares=tuple(warning.message for warning in floor.warnings),
        governing=_governing(floor),
    )


def _governing(floor: FloorResult) -> str:
    if not floor.checks:
        return ""
    worst = max(floor.checks, key=lambda check: check.checks[check.governing].ratio)
    check = worst.checks[worst.governing]
    return f"{worst.title}: {check.name.lower()} at {ratio(check.ratio)} of what is allowed ({check.clause})"


def line_groups(revision: QuoteRevision | Alternate) -> tuple[LineGroup, ...]:
    """Price lines by group, in the groups' order."""
    lines: list[LineFields] = list(revision.lines.all())
    return tuple(_group(group, lines) for group in GROUPS if any(line.group == group for line in lines))


def _group(group: str, lines: list[LineFields]) -> LineGroup:
    found = [line for line in lines if line.group == group]
    rows = tuple(LineRow(line, _quantity_words(line), _exact_words(line)) for line in found)
    return LineGroup(GROUP_NAMES[group], rows, sum((line.extension for line in found), Decimal(0)))


def _exact_words(line: LineFields) -> str:
    """“300 pieces”; nothing where what was counted is what is bought."""
    same = line.exact == line.quantity and line.sold_by != "box"
    if not line.exact_unit or same:
        return ""
    unit = "pieces" if line.exact_unit == "piece" and line.exact != 1 else line.exact_unit
    return f"{shown_quantity(line.exact)} {unit}"


def _quantity_words(line: LineFields) -> str:
    """“2 boxes”; a discount has no quantity of its own."""
    quantity, unit = shown_quantity(line.quantity), line.sold_by
    if unit == "offer":
        return ""
    if unit not in ("ft", "lb") and line.quantity != 1:
        unit += "es" if unit.endswith("x") else "s"
    return f"{quantity} {unit}"


def order_part(revision: QuoteRevision) -> OrderPart | None:
    """The order of an accepted revision once booked; read through the relation, without knowing orders."""
    order: Any = getattr(revision.quote, "order", None) if revision.quote.stage == "booked" else None
    if order is None or getattr(revision, "acceptance", None) is None:
        return None
    return OrderPart(order.number, order.stage, order.get_stage_display(), order.public_id)


def stage_line(quote: Quote, order: OrderPart | None) -> list[dict[str, Any]]:
    """Knots of the stage line with the dates of the quote's moves."""
    dates: dict[str, datetime] = {move.to_stage: move.at for move in selectors.quote_moves(quote)}
    if quote.stage in ENDED:
        names: tuple[str, ...] = ("bid", "issued", quote.stage)
    else:
        names = LINE
    stage = order.stage if order and order.stage in LINE else quote.stage
    present = names.index(stage)
    return [
        {
            "name": name.capitalize(),
            "state": "past" if place < present else "present" if place == present else "future",
            "at": dates.get(name) if place <= present else None,
        }
        for place, name in enumerate(names)
    ]


@dataclass(frozen=True, slots=True)
class Rights:
    """What the reader may do here now; the services check again."""

    change: bool
    issue: bool
    approve: bool
    revise: bool
    answer: bool
    link: bool
    send: bool
    withdraw: bool
    cost: bool
    explain: bool


def rights(actor: Actor, revision: QuoteRevision, offered: QuoteRevision | None) -> Rights:
    quote = revision.quote
    own = owns(actor, quote.owner)
    draft = revision.issued_at is None and revision.withdrawn_at is None
    latest = offered is not None and offered.pk == revision.pk
    open_offer = latest and quote.stage == "issued"
    if revision.after_booking:
        unanswered = getattr(revision, "acceptance", None) is None and revision.withdrawn_at is None
        open_offer = latest and quote.stage == "booked" and unanswered

    def can(object_: str, verb: str) -> bool:
        return may(actor.audience, object_, verb, own=own)

    return Rights(
        change=draft and can("draft", "change"),
        issue=draft and can("quote", "issue"),
        approve=draft and can("quote", "approve"),
        revise=not draft and quote.stage in ("issued", *ENDED) and can("quote", "revise"),
        answer=open_offer and can("quote", "accept"),
        link=latest and quote.stage in ("issued", "booked") and can("quote_link", "make"),
        send=(draft or open_offer) and can("quote", "send"),
        withdraw=can("quote_link", "withdraw"),
        cost=selectors.may_see_cost(actor, quote),
        explain=latest and quote.stage == "lapsed" and can("quote", "explain"),
    )


@dataclass(frozen=True, slots=True)
class PaperPart:
    """The stored paper, or the work that makes it."""

    paper: StoredPaper | None
    job: OutboxEntry | None


def paper_part(revision: QuoteRevision) -> PaperPart:
    paper = paper_get(PAPER_KIND, revision)
    if paper is not None or revision.issued_at is None:
        return PaperPart(paper, None)
    return PaperPart(None, OutboxEntry.objects.filter(kind="quote_paper", key=str(revision.pk)).first())


def booking_job(quote: Quote) -> OutboxEntry | None:
    """The work that books the order, while it is not done."""
    return OutboxEntry.objects.filter(kind="order_book", key=str(quote.pk), done_at=None).first()


@dataclass(frozen=True, slots=True)
class ApprovalPart:
    """Whether a draft needs a manager's word, and how that stands."""

    reasons: tuple[str, ...]
    holds: bool
    waiting: Approval | None
    past: tuple[Approval, ...]
    moved: bool = False

    @property
    def missing(self) -> bool:
        return bool(self.reasons) and not self.holds


def approval_part(revision: QuoteRevision) -> ApprovalPart:
    approvals = list(selectors.approval_list(revision))
    now = offered_now(revision, selectors.alternates_seen(revision))
    waiting = next((entry for entry in approvals if entry.decided_at is None), None)
    return ApprovalPart(
        reasons=selectors.approval_reasons(revision) if revision.issued_at is None else (),
        holds=any(entry.granted and approval_seen(entry) == now for entry in approvals),
        waiting=waiting,
        past=tuple(entry for entry in approvals if entry.decided_at is not None),
        moved=waiting is not None and approval_seen(waiting) != now,
    )


def live_links(revision: QuoteRevision, at: datetime) -> list[tuple[AccessLink, bool]]:
    """Links of a revision, newest first, and whether each still opens."""
    return [(link, link.withdrawn_at is None and link.expires_at > at) for link in link_list(revision)]
