"""What the shop floor page shows: today's bundles by line in running order, and one bundle with its pieces."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Count, Exists, F, IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from framing.common.errors import NotThere, Refused
from framing.common.models import User
from framing.common.zones import company_day, company_zone, day_begins, day_in, end_of_day
from orders.models import Bundle, Line, LinePlan, LineRun, Piece, Remake, ShopAction
from orders.papers.standing import line_papers_outdated
from orders.selectors import BIG
from orders.services.shop_undo import UNDO_FOR
from orders.shop_scope import for_the_shop, is_again
from orders.states import LinePlanState, OrderStage, ShopVerb

OTHERS: Final = "others"
NEXT_MOST: Final = 12
HISTORY_MOST: Final = 12
WORK: Final = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.HELD)
SHOWN: Final = (*WORK, OrderStage.BUNDLED)
UNDONE: Final = (ShopVerb.REOPEN, ShopVerb.UNDO)


@dataclass(frozen=True, slots=True)
class FloorTab:
    """A list to choose: a line of the plan in force, or the bundles outside it."""

    key: str
    label: str
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """One bundle of the list with what may be tapped now; `clock` is its planned time, "" outside the plan."""

    bundle: Any
    state: str
    clock: str = ""
    day: date | None = None

    @property
    def may_start(self) -> bool:
        return self.state == "waiting"

    @property
    def may_finish(self) -> bool:
        return self.state == "started" and not self.bundle.remakes_open


@dataclass(frozen=True, slots=True)
class FloorList:
    """The tabs, the one shown, its bundles for today and those that come next; `cut`: why its cut list is off."""

    plan: LinePlan | None
    tabs: tuple[FloorTab, ...]
    tab: FloorTab
    rows: QuerySet[Any]
    next_rows: tuple[Card, ...]
    cut: str = ""


def floor_bundles() -> QuerySet[Bundle]:
    """Bundles as cards and sheets show them, with `piece_count`, `flagged_count` and `remakes_open`."""
    again = Remake.objects.filter(piece__bundle=OuterRef("pk"), made_at=None).order_by()
    counted = again.values("piece__bundle").annotate(number_of=Count("pk")).values("number_of")
    rows = Bundle.objects.select_related("order__revision__quote__project__builder", "replaces_claim")
    return rows.defer(*(f"order__{name}" for name in BIG)).annotate(
        piece_count=Count("pieces", filter=Q(pieces__dropped_by=None)),
        flagged_count=Count("pieces", filter=Q(pieces__dropped_by__isnull=False)),
        remakes_open=Coalesce(Subquery(counted, output_field=IntegerField()), 0),
    )


def floor_bundle(public_id: str) -> Any:
    """One bundle. Raises NotThere."""
    row = _in_turn(floor_bundles()).filter(public_id=public_id).first()
    if row is None:
        raise NotThere("There is no such bundle; its order may be bundled anew. Go back to the list.")
    return row


def floor_list(key: str, at: datetime) -> FloorList:
    """Today's list of a line; `key` is a line's public id or OTHERS, "" the first. Raises NotThere."""
    plan = LinePlan.objects.filter(state=LinePlanState.IN_FORCE).first()
    tabs = _tabs(plan)
    tab = next((tab for tab in tabs if tab.key == key), None) if key else tabs[0]
    if tab is None:
        raise NotThere("There is no such line in the plan in force. Go back to the list.")
    if plan is None or tab.key == OTHERS:
        return FloorList(plan, tabs, tab, _outside(plan, at), ())
    runs = _runs(plan, tab.key)
    today = company_day(at)
    coming = runs.filter(run_day__gt=today, started_at=None, finished_at=None)[:NEXT_MOST]
    cut = next(
        (why.words for (line, _), why in line_papers_outdated([today]).items() if line == tab.line), ""
    )
    return FloorList(plan, tabs, tab, runs.filter(_for_today(at)), tuple(cards_of(coming)), cut)


def _tabs(plan: LinePlan | None) -> tuple[FloorTab, ...]:
    if plan is None:
        return (FloorTab(OTHERS, "By day on site"),)
    lines = Line.objects.filter(Exists(LineRun.objects.filter(plan=plan, line=OuterRef("pk")))).order_by(
        "name"
    )
    return (
        *(FloorTab(line.public_id, line.name, line.pk) for line in lines),
        FloorTab(OTHERS, "Not in the plan"),
    )


def _in_turn(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Bundles with day, minute and position of their turn in the plan in force; None where they have none."""
    turn = LineRun.objects.filter(plan__state=LinePlanState.IN_FORCE, bundle=OuterRef("pk"))
    found: QuerySet[Any] = rows.annotate(
        run_day=Subquery(turn.values("day")[:1]),
        run_minute=Subquery(turn.values("start_minute")[:1]),
        run_position=Subquery(turn.values("position")[:1]),
    )
    return found


def _runs(plan: LinePlan, line: str) -> QuerySet[Any]:
    """Bundles on a line in running order."""
    turn = LineRun.objects.filter(plan=plan, line__public_id=line, bundle=OuterRef("pk"))
    rows = floor_bundles().filter(for_the_shop(SHOWN)).filter(Exists(turn))
    return _in_turn(rows).order_by("run_position")


def _finished_today(at: datetime) -> Q:
    zone = company_zone()
    today = day_in(at, zone)
    return Q(finished_at__gte=day_begins(today, zone), finished_at__lt=end_of_day(today, zone))


def _for_today(at: datetime) -> Q:
    """What is due today or left over, what is started early, and what was finished today."""
    today = company_day(at)
    left = Q(finished_at=None) & (Q(run_day__lte=today) | Q(started_at__isnull=False))
    return left | _finished_today(at)


def _outside(plan: LinePlan | None, at: datetime) -> QuerySet[Any]:
    """Bundles that stand in no turn of the plan, by the day on site of their order."""
    open_rows = Q(finished_at=None) & for_the_shop(WORK)
    rows = floor_bundles().filter(open_rows | (_finished_today(at) & for_the_shop(SHOWN)))
    if plan is not None:
        rows = rows.exclude(Exists(LineRun.objects.filter(plan=plan, bundle=OuterRef("pk"))))
    return rows.order_by(F("order__deliver_on").asc(nulls_last=True), "order_id", "number")


def cards_of(bundles: Iterable[Any]) -> list[Card]:
    return [card_of(bundle) for bundle in bundles]


def card_of(bundle: Any) -> Card:
    """A bundle as a card, by the stage of its order and its own."""
    minute = getattr(bundle, "run_minute", None)
    clock = "" if minute is None else f"{minute // 60 % 24:02d}:{minute % 60:02d}"
    return Card(bundle, state_of(bundle), clock, getattr(bundle, "run_day", None))


def state_of(bundle: Bundle) -> str:
    """waiting, started, finished, held, or away: no longer for the shop."""
    stage = bundle.order.stage
    if stage == OrderStage.HELD:
        return "held"
    if stage not in SHOWN and not is_again(bundle):
        return "away"
    if bundle.finished_at is not None:
        return "finished"
    return "waiting" if bundle.started_at is None else "started"


@dataclass(frozen=True, slots=True)
class BundleSheet:
    """One bundle for the shop: its pieces from the bottom up, what is to be made again, what was tapped.

    `flagged` are pieces that a change of the order needs no more; they stay in the bundle.
    """

    card: Card
    pieces: tuple[Piece, ...]
    again: tuple[Remake, ...]
    history: tuple[ShopAction, ...]
    undo: ShopAction | None
    flagged: tuple[Piece, ...] = ()

    @property
    def may_scrap(self) -> bool:
        return self.card.state == "started"

    @property
    def may_weigh(self) -> bool:
        return self.card.state in ("started", "finished")

    @property
    def may_reopen(self) -> bool:
        return self.card.state == "finished"


def bundle_sheet(bundle: Any, user: User, at: datetime) -> BundleSheet:
    """Everything on the sheet of one bundle; `undo` is the reader's newest tap while it may be taken back."""
    pieces = tuple(bundle.pieces.filter(dropped_by=None).order_by("position"))
    again = Remake.objects.filter(piece__bundle=bundle, piece__dropped_by=None, made_at=None).select_related(
        "piece", "asked_by"
    )
    told = bundle.actions.filter(changed=True).select_related("by", "piece", "taken_back").order_by("-id")
    history = tuple(told[:HISTORY_MOST])
    standing = (row for row in history if row.verb != ShopVerb.UNDO and not hasattr(row, "taken_back"))
    newest = next(standing, None)
    flagged = tuple(bundle.pieces.exclude(dropped_by=None).order_by("position"))
    return BundleSheet(card_of(bundle), pieces, tuple(again), history, _takes_back(newest, user, at), flagged)


def _takes_back(action: ShopAction | None, user: User, at: datetime) -> ShopAction | None:
    if action is None or action.by_id != user.pk or action.verb in UNDONE:
        return None
    return action if at - action.at <= UNDO_FOR - timedelta(seconds=5) else None


def hand_bundle(public_id: str) -> Bundle | None:
    """The bundle whose page is open, None for "". Raises Refused where it is no more."""
    if not public_id:
        return None
    row = Bundle.objects.select_related("order").filter(public_id=public_id).first()
    if row is None:
        raise Refused("The bundle of this page is no more. Go back to the list.", field="code")
    return row
