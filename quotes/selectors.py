"""Reads of quotes, revisions and price books; every list fixes its joins and its order.

Big JSON columns (`floors`, `result`) are left out of lists and fetched only where one revision is shown.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from framing.common.access import may, owns
from framing.common.actors import Actor
from framing.common.errors import NotThere
from framing.common.models import User
from framing.engine.result import PackageResult
from framing.projects.models import Floor, Project
from quotes.alternate_reads import (
    ALTERNATE_BIG,
    alternate_get,
    alternate_list,
    alternate_picked,
    alternates_fit,
    alternates_left_out,
    alternates_seen,
    package_accepted,
)
from quotes.approval_reads import (
    BIG,
    approval_holds,
    approval_list,
    approval_open,
    approval_reasons,
    approvals_asked_back,
    approvals_decided,
    approvals_waiting,
    discount_given,
    discountable_lines,
    line_discounts,
)
from quotes.models import Acceptance, Alternate, LostOffer, Quote, QuoteMove, QuoteRevision
from quotes.price_reads import (
    DEMO_PLACE,
    DEMO_ZONE,
    demo_price_document,
    demo_price_table,
    price_book_in_force,
    price_table,
    site_zone,
)
from quotes.snapshots import package_from_json
from quotes.states import QuoteStage

__all__ = [
    "ALTERNATE_BIG",
    "BIG",
    "DEMO_PLACE",
    "DEMO_ZONE",
    "alternate_get",
    "alternate_list",
    "alternate_picked",
    "alternates_fit",
    "alternates_left_out",
    "alternates_seen",
    "approval_holds",
    "approval_list",
    "approval_open",
    "approval_reasons",
    "approvals_asked_back",
    "approvals_decided",
    "approvals_waiting",
    "demo_price_document",
    "demo_price_table",
    "discount_given",
    "discountable_lines",
    "drafts_of",
    "floors_moved",
    "line_discounts",
    "may_see_cost",
    "package_accepted",
    "package_of",
    "price_book_in_force",
    "price_table",
    "quotable_projects",
    "quote_get",
    "quote_list",
    "quote_moves",
    "quotes_due_to_lapse",
    "quotes_lapsed",
    "quotes_lapsing",
    "revision_accepted",
    "revision_by_pk",
    "revision_get",
    "revision_latest",
    "revision_list",
    "revision_offered",
    "site_zone",
]


# --- quotes ---


def quote_list(*, stage: str = "", search: str = "") -> QuerySet[Quote]:
    """Quotes, newest first, with the newest revision's number, total and validity as `latest_*`.

    `latest_valid_day` is the offer's last day at its site, `latest_valid_until` the instant at which that day ends.
    Once accepted, the total is that of the offer agreed last; a change that is not accepted yet does not count.
    """
    newest = QuoteRevision.objects.filter(quote=OuterRef("pk"), withdrawn_at=None).order_by("-number")
    agreed = Acceptance.objects.filter(quote=OuterRef("pk"), revision__withdrawn_at=None).order_by("-id")
    rows = Quote.objects.select_related("project__builder", "owner").annotate(
        latest_number=Subquery(newest.values("number")[:1]),
        latest_total=Coalesce(
            Subquery(agreed.values("alternate__total")[:1]),
            Subquery(agreed.values("revision__total")[:1]),
            Subquery(newest.values("total")[:1]),
        ),
        latest_currency=Subquery(newest.values("currency")[:1]),
        latest_valid_until=Subquery(newest.values("valid_until")[:1]),
        latest_valid_day=Subquery(newest.values("valid_day")[:1]),
    )
    if stage:
        rows = rows.filter(stage=stage)
    if search:
        rows = rows.filter(
            Q(number__icontains=search)
            | Q(project__name__icontains=search)
            | Q(project__builder__name__icontains=search)
        )
    return rows.order_by("-id")


def quote_get(public_id: str) -> Quote:
    """Raises NotThere."""
    rows = Quote.objects.select_related("project__builder", "project__site", "owner")
    quote = rows.filter(public_id=public_id).first()
    if quote is None:
        raise NotThere()
    return quote


def _revisions() -> QuerySet[QuoteRevision]:
    return QuoteRevision.objects.select_related(
        "quote__project__builder", "quote__project__site", "quote__owner", "price_book", "practice_set"
    )


def revision_get(public_id: str) -> QuoteRevision:
    """One revision with all that its page needs, but for the lines. Raises NotThere."""
    revision = _revisions().filter(public_id=public_id).first()
    if revision is None:
        raise NotThere()
    return revision


def revision_by_pk(pk: int) -> QuoteRevision:
    return _revisions().get(pk=pk)


def revision_list(quote: Quote) -> QuerySet[QuoteRevision]:
    """All revisions of a quote, newest first, without their big columns."""
    return quote.revisions.defer(*BIG).select_related("quote").order_by("-number")


def revision_latest(quote: Quote) -> QuoteRevision:
    """The newest revision, draft or issued, that was not taken back."""
    return _revisions().filter(quote=quote, withdrawn_at=None).order_by("-number")[0]


def revision_offered(quote: Quote) -> QuoteRevision | None:
    """The newest issued revision: the only one that can be accepted. Without its big columns."""
    rows = quote.revisions.defer(*BIG).select_related("quote")
    rows = rows.filter(issued_at__isnull=False, withdrawn_at=None)
    return rows.order_by("-number").first()


def revision_accepted(quote: Quote) -> QuoteRevision:
    """The revision by which a quote was booked; changes after it are not meant. Raises NotThere."""
    revision = _revisions().filter(quote=quote, acceptance__after_booking=False).first()
    if revision is None:
        raise NotThere()
    return revision


def package_of(revision: QuoteRevision | Alternate) -> PackageResult:
    """The engine's result that a revision or an alternate stands on."""
    return package_from_json(revision.result)


def quote_moves(quote: Quote) -> QuerySet[QuoteMove]:
    """Recorded moves, oldest first."""
    return quote.moves.order_by("id")


# --- what waits for people ---


def quotable_projects(actor: Actor) -> QuerySet[Project]:
    """Projects with floors that the reader may quote, newest first."""
    rows = Project.objects.filter(Exists(Floor.objects.filter(project=OuterRef("pk"))))
    if not may(actor.audience, "draft", "make", own=False):
        own = Q(owner=actor.user)
        if actor.user is not None and actor.user.team:
            own |= Q(owner__team=actor.user.team)
        rows = rows.filter(own)
    return rows.select_related("builder").order_by("-id")


def drafts_of(owner: User) -> QuerySet[Quote]:
    """Quotes that the seller or a team mate has in draft, newest first."""
    own = Q(owner=owner) | (Q(owner__team=owner.team) if owner.team else Q())
    return quote_list(stage=QuoteStage.BID).filter(own)


def quotes_lapsing(*, at: datetime, within_days: int = 7) -> QuerySet[Quote]:
    """Issued quotes whose validity ends soon, soonest first."""
    until = at + timedelta(days=within_days)
    rows = quote_list(stage=QuoteStage.ISSUED)
    rows = rows.filter(latest_valid_until__lte=until)  # type: ignore[misc]  # annotated by quote_list
    return rows.order_by("latest_valid_until")


def quotes_lapsed(*, at: datetime, within_days: int = 7) -> QuerySet[Quote]:
    """Quotes that lapsed of late and whose reason nobody named yet, latest first, with `lapsed_at`."""
    moved = QuoteMove.objects.filter(quote=OuterRef("pk"), to_stage=QuoteStage.LAPSED).order_by("-id")
    told = LostOffer.objects.filter(quote=OuterRef("pk"), revision__number=OuterRef("latest_number"))
    rows = quote_list(stage=QuoteStage.LAPSED).annotate(lapsed_at=Subquery(moved.values("at")[:1]))
    since = at - timedelta(days=within_days)
    return rows.filter(~Exists(told), lapsed_at__gt=since).order_by("-lapsed_at", "-id")


def quotes_due_to_lapse(at: datetime) -> list[int]:
    """Ids of issued quotes whose validity is over."""
    rows = quote_list(stage=QuoteStage.ISSUED)
    rows = rows.filter(latest_valid_until__lte=at)  # type: ignore[misc]  # annotated by quote_list
    return list(rows.order_by("id").values_list("pk", flat=True))


# --- what the reader may see ---


def may_see_cost(actor: Actor, quote: Quote) -> bool:
    """Cost and margin: managers, and sellers for what is theirs."""
    return actor.user is not None and may(actor.audience, "cost", "read", own=owns(actor, quote.owner))


def floors_moved(revision: QuoteRevision) -> tuple[str, ...]:
    """Names of project floors saved, added or removed since the revision was drawn up."""
    now = {floor.public_id: (floor.name, floor.version) for floor in revision.quote.project.floors.all()}
    then = {entry["floor"]: (entry["name"], entry["version"]) for entry in revision.floors}
    moved = [key for key in now.keys() | then.keys() if now.get(key) != then.get(key)]
    return tuple(sorted((now.get(key) or then[key])[0] for key in moved))
