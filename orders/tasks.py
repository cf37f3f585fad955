"""Background work of orders, run from the outbox; each handler is safe to run twice."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import closing
from typing import Any

from framing.common.actors import SYSTEM
from framing.common.clock import database_now
from framing.common.outbox import outbox_handler
from framing.common.papers import paper_get, paper_store
from framing.projects.plan_reading import read_bounded
from framing.projects.reading.kinds import kind_of
from orders.change_facts import change_closed_words
from orders.claim_reads import claim_by_pk
from orders.documents import tags_render
from orders.line_progress import Progress
from orders.load_progress import LoadProgress
from orders.manifest_files import manifest_store
from orders.markup_store import MARKUPS
from orders.models import BundleChange, ChangeOrder, DrawingSet, LinePlan, LoadPlan, Order
from orders.papers.again import PAPER as AGAIN
from orders.papers.again import again_name, again_render
from orders.papers.files import file_name, paper_render
from orders.papers.reads import shop_paper_by_pk
from orders.release_papers import drawings_name, drawings_render, markup_name, markup_render
from orders.services.booking import order_book
from orders.services.changes import change_apply
from orders.services.line_plans import KIND as LINE_PLAN
from orders.services.line_plans import line_plan_make
from orders.services.load_plans import KIND as LOAD_PLAN
from orders.services.load_plans import load_plan_make
from orders.services.notices import KIND as NOTICE
from orders.services.notices import notice_make
from quotes.models import Quote


@outbox_handler("order_book")
def book(payload: Mapping[str, Any]) -> None:
    """Book the order of an accepted quote."""
    order_book(actor=SYSTEM, at=database_now(), quote=Quote.objects.get(pk=payload["quote"]))


@outbox_handler(LINE_PLAN)
def line_plan(payload: Mapping[str, Any]) -> None:
    """Make a line plan that was asked for, telling meanwhile how far it is."""
    plan = LinePlan.objects.filter(pk=payload["plan"]).first()
    if plan is not None:
        with closing(Progress(plan.pk)) as progress:
            line_plan_make(actor=SYSTEM, at=database_now(), plan=plan, go_on=progress)


@outbox_handler("manifest_paper")
def manifest_paper(payload: Mapping[str, Any]) -> None:
    """Make and store the manifest of a loaded truck, once."""
    manifest_store(payload["load"])


@outbox_handler(LOAD_PLAN)
def load_plan(payload: Mapping[str, Any]) -> None:
    """Plan trucks as asked for, telling meanwhile how far it is."""
    plan = LoadPlan.objects.filter(pk=payload["plan"]).first()
    if plan is not None:
        with closing(LoadProgress(plan.pk)) as progress:
            load_plan_make(actor=SYSTEM, at=database_now(), plan=plan, go_on=progress)


@outbox_handler("bundle_tags")
def bundle_tags(payload: Mapping[str, Any]) -> None:
    """Make and store the tags of an order's bundles, or of those that a step on them changed, once."""
    order = Order.objects.select_related("revision__quote__project").get(pk=payload["order"])
    if "change_order" in payload:
        _tags_of_change(order, order.changes.get(pk=payload["change_order"]))
        return
    if "change" in payload:
        _tags_of_step(order, order.bundle_changes.get(pk=payload["change"]))
        return
    if paper_get("bundle_tags", order) is not None or not order.bundles.exists():
        return
    released = order.moves.filter(to_stage="released").earliest("id")
    made = tags_render(order, issued_at=released.at)
    name = f"bundle-tags-{order.number}.pdf"
    paper_store("bundle_tags", order, data=made.data, pages=made.pages, file_name=name)


def _tags_of_step(order: Order, change: BundleChange) -> None:
    """Tags of the bundles that are still as the step left them; none where it was taken back."""
    bundles = order.bundles.filter(code__in=[entry["code"] for entry in change.after])
    if paper_get("bundle_tags", change) is not None or not bundles.exists():
        return
    made = tags_render(order, issued_at=change.at, bundles=bundles)
    name = f"bundle-tags-{order.number}-step-{change.pk}.pdf"
    paper_store("bundle_tags", change, data=made.data, pages=made.pages, file_name=name)


def _tags_of_change(order: Order, change: ChangeOrder) -> None:
    """Tags of the bundles whose pieces or marks a change order changed."""
    bundles = order.bundles.filter(number__in=change.difference["bundles"]["tags"])
    if paper_get("bundle_tags", change) is not None or change.applied_at is None or not bundles.exists():
        return
    made = tags_render(order, issued_at=change.applied_at, bundles=bundles)
    name = f"bundle-tags-{order.number}-change-{change.number}.pdf"
    paper_store("bundle_tags", change, data=made.data, pages=made.pages, file_name=name)


@outbox_handler("change_apply")
def apply_change(payload: Mapping[str, Any]) -> None:
    """Put a change that the builder accepted into its order; one that comes too late waits for people on Today."""
    rows = ChangeOrder.objects.select_related("order")
    change = rows.filter(revision=payload["revision"], applied_at=None, withdrawn_at=None).first()
    if change is not None and not change_closed_words(change.order):
        change_apply(actor=SYSTEM, at=database_now(), change=change)


@outbox_handler("order_drawings")
def order_drawings(payload: Mapping[str, Any]) -> None:
    """Make and store the drawings of a set that was sent for approval, once."""
    joined = DrawingSet.objects.select_related("order__revision__quote__project", "revision")
    drawing_set = joined.get(pk=payload["set"])
    if paper_get("order_drawings", drawing_set) is not None:
        return
    made, name = drawings_render(drawing_set), drawings_name(drawing_set)
    paper_store("order_drawings", drawing_set, data=made.data, pages=made.pages, file_name=name)


@outbox_handler("drawing_markup")
def drawing_markup(payload: Mapping[str, Any]) -> None:
    """Make pictures of a marked-up file in a bounded process and store them as a paper, once; what can't be read
    there leaves none, and the order's page says so."""
    joined = DrawingSet.objects.select_related("order__revision__quote__project", "revision")
    drawing_set = joined.get(pk=payload["set"])
    data = MARKUPS.read(drawing_set.markup_sha256)
    if data is None or paper_get("drawing_markup", drawing_set) is not None:
        return
    outcome = read_bounded(kind_of(data), data, {"name": drawing_set.markup_name})
    if outcome.state != "done" or not outcome.blobs:
        return
    made, name = markup_render(drawing_set, outcome.blobs), markup_name(drawing_set)
    paper_store("drawing_markup", drawing_set, data=made.data, pages=made.pages, file_name=name)


@outbox_handler("shop_paper")
def shop_paper(payload: Mapping[str, Any]) -> None:
    """Make and store a paper of the shop, once."""
    paper = shop_paper_by_pk(payload["paper"])
    if paper_get("shop_paper", paper) is not None:
        return
    made = paper_render(paper)
    paper_store("shop_paper", paper, data=made.data, pages=made.pages, file_name=file_name(paper, "pdf"))


@outbox_handler(AGAIN)
def again_label(payload: Mapping[str, Any]) -> None:
    """Make and store the tag or label of what replaces something that a claim found, once."""
    claim = claim_by_pk(payload["claim"])
    if claim.decided_at is None or paper_get(AGAIN, claim) is not None:
        return
    made = again_render(claim, issued_at=claim.decided_at)
    if made is not None:
        paper_store(AGAIN, claim, data=made.data, pages=made.pages, file_name=again_name(claim))


@outbox_handler(NOTICE)
def notice(payload: Mapping[str, Any]) -> None:
    """Write the mails of a move to whom the company wants told, once."""
    notice_make(payload)
