"""Whether a shop paper still says what it would say now, apart from what got done, and since what it doesn't.

A paper stands as long as what is left of it, with all that is done crossed off, is what would be printed now. What
would be printed is worked out anew from the rows at each look, so nothing that changes them has to tell its papers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from framing.common.models import StoredPaper
from orders.models import Bundle, Line, Order, Remake, ShopPaper
from orders.papers.causes import Cause, causes, touched_papers
from orders.papers.contents import labels_content, packing_content
from orders.papers.cut_lists import line_content, line_runs, order_content, plan_in_force
from orders.papers.order_rows import OrderRows, remakes_open, rows_of_orders
from orders.papers.paper_facts import (
    PaperFacts,
    differing,
    facts_from,
    facts_of,
    order_and_number,
)
from orders.states import LABEL_PAPERS, OrderStage, ShopPaperKind

AT_WORK: Final = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.BUNDLED, OrderStage.HELD)
_BIG: Final = ("order__revision__result", "order__revision__floors", "content")
AGAIN: Final = "print again"
Place = tuple[int, date]


@dataclass(frozen=True, slots=True)
class Outdated:
    """Why a paper is outdated: `since` what, "" where nothing known did it, and what to do."""

    since: str
    todo: str = AGAIN

    @property
    def words(self) -> str:
        """“Outdated since change 2: print again.”"""
        since = f" since {self.since}" if self.since else ", what it says has changed"
        return f"Outdated{since}: {self.todo}."


def outdated_of(papers: Iterable[ShopPaper]) -> dict[int, Outdated]:
    """Those of some papers that are outdated, by their keys; as many queries for one paper as for many."""
    rows = list(papers)
    if not rows:
        return {}
    now = _now(rows)
    printed = {paper.pk: facts_from(paper.facts) for paper in rows}
    done = _done({name for facts in printed.values() for name, _ in facts.parts})
    off: dict[int, tuple[PaperFacts, PaperFacts]] = {}
    for paper in rows:
        left, here = printed[paper.pk].left(done), now[paper.pk]
        if left != here:
            off[paper.pk] = (left, here)
    return _told([paper for paper in rows if paper.pk in off], off)


def papers_to_print(since: date) -> list[tuple[ShopPaper, Outdated]]:
    """Papers to print again: of orders at work where none of its kind stands, of lines' days from a day on."""
    joined = ShopPaper.objects.select_related("order__revision__quote__project__builder", "line").defer(*_BIG)
    touched = touched_papers(joined.filter(order__stage__in=AT_WORK))
    rows = [*joined.filter(day__gte=since).order_by("-id"), *touched.order_by("-id")]
    off = outdated_of(rows)
    newest: dict[object, ShopPaper] = {}
    standing = {_subject(paper) for paper in rows if paper.pk not in off}
    for paper in rows:
        newest.setdefault(_subject(paper), paper)
    untouched = joined.filter(order__in={paper.order_id for paper in newest.values()}).exclude(
        pk__in=[paper.pk for paper in rows]
    )
    standing |= {_subject(paper) for paper in untouched}
    return [(paper, off[paper.pk]) for subject, paper in newest.items() if subject not in standing]


def _subject(paper: ShopPaper) -> object:
    return (paper.kind, paper.order_id, paper.line_id, paper.day)


def line_papers_outdated(days: Iterable[date]) -> dict[Place, Outdated]:
    """Lines' days, by line and day, whose cut lists are all outdated, with why the newest is."""
    rows = list(ShopPaper.objects.filter(day__in=list(days)).defer("content").order_by("id"))
    off = outdated_of(rows)
    standing = {(row.line_id, row.day) for row in rows if row.pk not in off}
    return {
        (row.line_id, row.day): off[row.pk]
        for row in rows
        if row.line_id and row.day and row.pk in off and (row.line_id, row.day) not in standing
    }


def tags_outdated(order: Order, made: StoredPaper | None) -> str:
    """Since what the tags that were made at an order's release are outdated; "" where nothing changed since."""
    if made is None:
        return ""
    found = causes([order.number], made.stored_at)
    return next((one.words for one in found if one.order is not None and not one.kind), "")


# --- what would be printed now ---


def _now(papers: Sequence[ShopPaper]) -> dict[int, PaperFacts]:
    orders = Order.objects.filter(pk__in={paper.order_id for paper in papers if paper.order_id})
    joined = orders.select_related("revision__quote__project__builder", "revision__quote__project__site")
    rows = rows_of_orders(joined.defer("revision__result", "revision__floors"))
    wanted = {(paper.order_id, paper.kind) for paper in papers if paper.order_id}
    by_order = {(pk, kind): _of_order(kind, rows[pk]) for pk, kind in wanted}
    by_line = _of_lines({place for paper in papers if (place := _place(paper))})
    made = {}
    for paper in papers:
        place = _place(paper)
        if place is not None:
            made[paper.pk] = by_line[place]
        elif paper.order_id is not None:
            made[paper.pk] = by_order[paper.order_id, paper.kind]
    return made


def _place(paper: ShopPaper) -> Place | None:
    return (paper.line_id, paper.day) if paper.line_id and paper.day else None


def _of_order(kind: str, rows: OrderRows) -> PaperFacts:
    if kind == ShopPaperKind.CUT_LIST:
        return facts_of(kind, order_content(rows))
    if kind in LABEL_PAPERS:
        return facts_of(kind, labels_content(kind, rows))
    return facts_of(kind, packing_content(rows))


def _of_lines(places: set[Place]) -> Mapping[Place, PaperFacts]:
    """The cut lists of lines' days; without a plan in force nothing stands on them."""
    if not places:
        return {}
    plan = plan_in_force()
    lines = Line.objects.in_bulk({line for line, _ in places})
    runs = line_runs(plan, {day for _, day in places}) if plan else {}
    again = remakes_open(run.bundle_id for day in runs.values() for run in day)
    made = {}
    for line, day in places:
        on = runs.get((line, day), [])
        made[line, day] = facts_of(
            ShopPaperKind.CUT_LIST, line_content(plan.number if plan else 0, lines[line], day, on, again)
        )
    return made


def _done(names: Iterable[str]) -> set[str]:
    """Those parts that are done: their bundle is finished, or the piece is made again."""
    parts = {name: order_and_number(name) for name in names}
    orders = {order for order, number in parts.values() if number}
    rows = Bundle.objects.filter(order__number__in=orders, finished_at__isnull=False)
    finished = set(rows.values_list("order__number", "number"))
    asked = {name.split("/")[2] for name in parts if name.count("/") > 1}
    made = set(
        Remake.objects.filter(public_id__in=asked, made_at__isnull=False).values_list("public_id", flat=True)
    )
    return {
        name
        for name, key in parts.items()
        if key in finished or (name.count("/") > 1 and name.split("/")[2] in made)
    }


# --- since what ---


def _told(
    papers: Sequence[ShopPaper], off: Mapping[int, tuple[PaperFacts, PaperFacts]]
) -> dict[int, Outdated]:
    if not papers:
        return {}
    own = Order.objects.filter(pk__in={paper.order_id for paper in papers if paper.order_id})
    numbers = dict(own.values_list("pk", "number"))
    parts = {paper.pk: differing(*off[paper.pk]) for paper in papers}
    known = {order_and_number(name)[0] for names in parts.values() for name in names} | set(numbers.values())
    found = causes(known, min(paper.created_at for paper in papers))
    made = {}
    for paper in papers:
        here = off[paper.pk][1]
        later = [one for one in found if one.at > paper.created_at and one.kind in ("", paper.kind)]
        since = _since(numbers.get(paper.order_id or 0), parts[paper.pk], later)
        gone = paper.line_id is not None and not here.parts
        made[paper.pk] = Outdated(since, "nothing is left for that day, throw it away" if gone else AGAIN)
    return made


def _since(order: str | None, parts: Sequence[str], later: Sequence[Cause]) -> str:
    """The first thing that touches what is other on a paper; on a line's, of no order, a new plan before all."""
    if order is None:
        plan = next((cause.words for cause in later if cause.order is None), "")
        if plan:
            return plan
    touched = {order_and_number(name) for name in parts}
    orders = {one for one, _ in touched} or ({order} if order else set())
    own = [cause for cause in later if cause.order in orders]
    exact = [one for one in own if one.bundle is None or not touched or (one.order, one.bundle) in touched]
    return next((cause.words for cause in [*exact, *own]), "")
