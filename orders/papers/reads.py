"""Reads of the shop's papers, of label stocks, and of what a scanned code means."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from typing import NoReturn

from django.db.models import Count, Q, QuerySet

from framing.common.errors import NotThere
from framing.common.models import OutboxEntry, StoredPaper
from orders.models import Bundle, Carton, Delivery, LabelStock, Line, LineRun, Order, Piece, ShopPaper
from orders.papers.codes import read_code
from orders.papers.cut_lists import plan_in_force
from orders.papers.sizes import PRESETS
from orders.papers.standing import Outdated, outdated_of
from orders.states import LabelUse

PAPER_LABEL = "orders.shoppaper"
JOB = "shop_paper"
SHOWN_MOST = 40


def _missing(message: str = "There is nothing at this address.") -> NoReturn:
    raise NotThere(message)


@dataclass(frozen=True, slots=True)
class PaperState:
    """A paper with its PDF, if it is there yet, and else the work that makes it; and why it is outdated, if it is."""

    paper: ShopPaper
    stored: StoredPaper | None
    job: OutboxEntry | None
    outdated: Outdated | None


def _papers() -> QuerySet[ShopPaper]:
    return ShopPaper.objects.select_related("order", "line", "asked_by").defer(
        "content", "order__revision__result"
    )


def shop_paper_get(public_id: str) -> ShopPaper:
    """One paper with what stands on it. Raises NotThere."""
    found = ShopPaper.objects.select_related("order", "line").filter(public_id=public_id).first()
    return found or _missing()


def shop_paper_by_pk(pk: int) -> ShopPaper:
    return ShopPaper.objects.select_related("order", "line").get(pk=pk)


def order_papers(order: Order) -> list[PaperState]:
    """The newest papers of an order, newest first."""
    return with_state(_papers().filter(order=order).order_by("-id")[:SHOWN_MOST])


def day_papers(days: Iterable[date]) -> list[PaperState]:
    """Cut lists of lines for some days, newest first."""
    return with_state(_papers().filter(day__in=list(days)).order_by("-id")[:SHOWN_MOST])


def with_state(papers: Iterable[ShopPaper]) -> list[PaperState]:
    """Papers with their PDFs and jobs and whether they stand; as many queries for one as for many."""
    rows = list(papers)
    keys = [paper.pk for paper in rows]
    stored = {
        row.subject_id: row
        for row in StoredPaper.objects.filter(kind=JOB, subject_type=PAPER_LABEL, subject_id__in=keys)
    }
    jobs = {row.key: row for row in OutboxEntry.objects.filter(kind=JOB, key__in=[str(key) for key in keys])}
    off = outdated_of(rows)
    return [
        PaperState(paper, stored.get(paper.pk), jobs.get(str(paper.pk)), off.get(paper.pk)) for paper in rows
    ]


def stock_list(use: str = "") -> QuerySet[LabelStock]:
    """Label stocks by use, the chosen one first."""
    rows = LabelStock.objects.order_by("use", "-chosen", "name")
    return rows.filter(use=use) if use else rows


def stock_get(public_id: str) -> LabelStock:
    """One stock. Raises NotThere."""
    return LabelStock.objects.filter(public_id=public_id).first() or _missing()


def stock_for(use: str) -> LabelStock:
    """The chosen stock of a use, or the first common one, which stands in no row."""
    row = LabelStock.objects.filter(use=use, chosen=True).first()
    if row is not None:
        return row
    _, name, stock = next(preset for preset in PRESETS.values() if preset[0] == LabelUse(use))
    return LabelStock(name=name, use=use, chosen=True, **asdict(stock))


@dataclass(frozen=True, slots=True)
class LineDay:
    """How many bundles the plan in force begins on a line's day, and how many of them are left.

    None at all on a day that has a cut list of an earlier plan.
    """

    line: Line
    day: date
    bundles: int
    left: int


def line_days(since: date, most: int = 60) -> list[LineDay]:
    """Days of the plan in force and days that have a cut list, from a day on, by day and line."""
    plan = plan_in_force()
    rows = (
        LineRun.objects.filter(plan=plan, day__gte=since)
        .values_list("day", "line")
        .annotate(bundles=Count("id"), left=Count("id", filter=Q(bundle__finished_at=None)))
    )
    counts = {(day, line): (bundles, left) for day, line, bundles, left in rows}
    for paper in ShopPaper.objects.filter(day__gte=since).values_list("day", "line").distinct().order_by():
        counts.setdefault(paper, (0, 0))
    lines = Line.objects.in_bulk({line for _, line in counts})
    days = sorted(counts, key=lambda place: (place[0], lines[place[1]].name))
    return [LineDay(lines[line], day, *counts[day, line]) for day, line in days[:most]]


def line_get(public_id: str) -> Line:
    """One line. Raises NotThere."""
    return Line.objects.filter(public_id=public_id).first() or _missing()


@dataclass(frozen=True, slots=True)
class Tagged:
    """What a code stands on: the bundle (of a piece: its own, if it is in one), or the carton; and whose order."""

    kind: str
    order: Order
    bundle: Bundle | None = None
    piece: Piece | None = None
    carton: Carton | None = None


NO_TAG = (
    "No tag or label in use has this code. It may be an old one: bundles that were made anew have new tags. "
    "Look the bundle up by its order and number, and print its tag again."
)


def tagged(text: str) -> Tagged:
    """What a scanned or typed code stands on. Raises NotThere, in the same words for all codes not in use."""
    code = read_code(text)
    if code:
        joined = ("order__revision__quote__project",)
        bundle = Bundle.objects.select_related(*joined).filter(code=code).first()
        if bundle is not None:
            return Tagged("bundle", bundle.order, bundle=bundle)
        piece = Piece.objects.select_related("bundle", *joined).filter(code=code, dropped_by=None).first()
        if piece is not None:
            return Tagged("piece", piece.order, bundle=piece.bundle, piece=piece)
        carton = Carton.objects.select_related(*joined).filter(code=code).first()
        if carton is not None:
            return Tagged("carton", carton.order, carton=carton)
    _missing(NO_TAG)


def tagged_on(delivery: Delivery, text: str) -> Tagged:
    """What a code stands on, where it comes with this delivery; else the same NotThere as for no code at all."""
    found = tagged(text)
    if found.order.pk != delivery.order_id:
        _missing(NO_TAG)
    return found
