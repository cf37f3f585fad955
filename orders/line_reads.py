"""Reads of lines, their plans and coils: the board by day and line, what is late, how far the steel lasts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final, NoReturn

from django.db.models import QuerySet

from framing.common.errors import NotThere
from framing.common.zones import company_day
from orders.line_facts import (
    PLANNED_AT,
    plan_in_force,
    public_holidays,
    settings_now,
)
from orders.line_typed import WEEKDAYS, clock, shift_text, span_words
from orders.models import Bundle, ChangeOverTime, Closure, CoilCount, Line, LinePlan, LineRun, Order
from orders.papers.standing import line_papers_outdated
from orders.shop_scope import for_the_shop
from orders.states import LinePlanState

BOARD_DAYS: Final = 5
PLANS_SHOWN: Final = 12
_BIG: Final = tuple(f"bundle__order__{name}" for name in ("revision__result", "revision__floors"))


def _missing() -> NoReturn:
    raise NotThere()


# --- lines ---


def line_list() -> QuerySet[Line]:
    """All lines by name with shifts and closures."""
    return Line.objects.prefetch_related("shifts", "closures").order_by("name")


def line_get(public_id: str) -> Line:
    return line_list().filter(public_id=public_id).first() or _missing()


def shift_texts(line: Line) -> list[str]:
    """What the line works on each weekday from Monday on, as it is typed."""
    return [
        ", ".join(shift_text((s.starts, s.ends)) for s in line.shifts.all() if s.weekday == day)
        for day in range(len(WEEKDAYS))
    ]


def shift_summary(line: Line) -> list[tuple[str, str]]:
    """Working days with equal hours together: “Mon to Thu”, “6:00-14:30”."""
    found: list[tuple[list[int], str]] = []
    for day, text in enumerate(shift_texts(line)):
        if text and found and found[-1][1] == text and found[-1][0][-1] == day - 1:
            found[-1][0].append(day)
        elif text:
            found.append(([day], text))
    return [(_days_words(days), text) for days, text in found]


def _days_words(days: list[int]) -> str:
    first, last = WEEKDAYS[days[0]][:3], WEEKDAYS[days[-1]][:3]
    return first if first == last else f"{first} to {last}"


def closure_list(at: datetime) -> QuerySet[Closure]:
    """Closed days from today on, next first."""
    return Closure.objects.filter(day__gte=today_of(at)).select_related("line").order_by("day", "id")


def closure_get(pk: int) -> Closure:
    return Closure.objects.filter(pk=pk).first() or _missing()


def change_over_list() -> QuerySet[ChangeOverTime]:
    return ChangeOverTime.objects.order_by("before", "after")


def holidays_next(at: datetime, count: int = 6) -> list[tuple[date, str]]:
    """The next public holidays of the place that the settings name."""
    settings, today = settings_now(), today_of(at)
    found = [
        pair
        for year in (today.year, today.year + 1)
        for pair in public_holidays(settings.country, settings.subdivision, year).items()
    ]
    return sorted(pair for pair in found if pair[0] >= today)[:count]


def today_of(at: datetime) -> date:
    """The shop's day."""
    return company_day(at)


# --- plans ---


def plan_list() -> QuerySet[LinePlan]:
    """Plans, newest first."""
    return LinePlan.objects.select_related("asked_by", "taken_by").order_by("-number")


def plan_get(public_id: str) -> LinePlan:
    return plan_list().filter(public_id=public_id).first() or _missing()


def plan_open() -> LinePlan | None:
    """The plan that is being made or waits for the planner's word."""
    states = (LinePlanState.ASKED, LinePlanState.MAKING, LinePlanState.PROPOSED)
    return plan_list().filter(state__in=states).first()


@dataclass(frozen=True, slots=True)
class BoardRun:
    """One bundle's turn, in words: “6:40 to 7:55”, “10 min change-over”, “3 h 20 min late”."""

    run: LineRun
    bundle: Bundle
    times: str
    setup: str
    late: str
    pinned: bool
    pushed: str
    pushed_tone: str


@dataclass(frozen=True, slots=True)
class BoardCell:
    """A line on a day: its turns in order and its load, or why it stands; `cut` says that its cut list is outdated."""

    line: str
    line_id: str
    runs: tuple[BoardRun, ...]
    load: Mapping[str, Any] | None
    stands: str
    cut: str = ""


@dataclass(frozen=True, slots=True)
class BoardDay:
    day: date
    frozen: bool
    cells: tuple[BoardCell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """Days of a plan; `before` and `after` are the first days of the boards beside this one."""

    days: tuple[BoardDay, ...]
    lines: tuple[Line, ...]
    before: date | None
    after: date | None


def board(plan: LinePlan, first: date, at: datetime) -> Board:
    """Working days of a plan from one on, by line."""
    worked = sorted({date.fromisoformat(row["day"]) for row in plan.figures.get("days", [])})
    shown = [day for day in worked if day >= first][:BOARD_DAYS]
    earlier = [day for day in worked if day < first]
    later = [day for day in worked if shown and day > shown[-1]]
    lines = tuple(line for line in line_list() if line.works)
    loads = {(row["line"], row["day"]): row for row in plan.figures.get("days", [])}
    turns = _turns(plan, shown)
    names = {line.name for line in lines} | {line for line, _ in turns}
    ids = {line.name: line.public_id for line in lines}
    stands = _stands(shown)
    cuts = _cuts(lines, shown) if plan.state == LinePlanState.IN_FORCE else {}

    def cell(name: str, day: date) -> BoardCell:
        made = _cell(name, ids.get(name, ""), day, turns.get((name, day), []), loads, stands)
        return replace(made, cut=cuts.get((name, day), ""))

    days = tuple(
        BoardDay(day, day <= today_of(at), tuple(cell(name, day) for name in sorted(names))) for day in shown
    )
    return Board(
        days,
        lines,
        earlier[-BOARD_DAYS:][0] if earlier else None,
        later[0] if later else None,
    )


def _cuts(lines: Iterable[Line], days: list[date]) -> dict[tuple[str, date], str]:
    """Lines' days whose cut list is outdated, and since what."""
    names = {line.pk: line.name for line in lines}
    off = line_papers_outdated(days)
    return {(names[line], day): why.words for (line, day), why in off.items() if line in names}


def _turns(plan: LinePlan, days: list[date]) -> dict[tuple[str, date], list[BoardRun]]:
    pushed = {row["bundle"]: row["minutes"] for row in plan.figures.get("pushed", [])}
    rows = plan.runs.filter(day__in=days).select_related(
        "line", "bundle__order__revision__quote__project__builder", "bundle__pin"
    )
    found: dict[tuple[str, date], list[BoardRun]] = {}
    for run in rows.defer(*_BIG).order_by("line_id", "position"):
        found.setdefault((run.line.name, run.day), []).append(_turn(run, pushed))
    return found


def _turn(run: LineRun, pushed: Mapping[str, int]) -> BoardRun:
    bundle = run.bundle
    later = pushed.get(f"{bundle.order.number}/{bundle.number}", 0)
    ends = clock(run.end_minute)
    if run.end_day != run.day:
        ends = f"{ends} on {run.end_day:%a}"
    return BoardRun(
        run,
        bundle,
        f"{clock(run.start_minute)} to {ends}",
        f"{span_words(run.setup_minutes)} change-over" if run.setup_minutes else "",
        f"{span_words(run.late_minutes)} late" if run.late_minutes else "",
        getattr(bundle, "pin", None) is not None,
        f"{span_words(abs(later))} {'later' if later > 0 else 'earlier'}" if later else "",
        "care" if later > 0 else "plain",
    )


def _stands(days: list[date]) -> dict[tuple[int | None, date], str]:
    """Why lines stand, by line (None is every line) and day."""
    found: dict[tuple[int | None, date], str] = {}
    settings = settings_now()
    for day in days:
        words = public_holidays(settings.country, settings.subdivision, day.year).get(day)
        if words:
            found[None, day] = words
    for closure in Closure.objects.filter(day__in=days).select_related("line"):
        found[closure.line_id, closure.day] = closure.words
    return found


def _cell(
    name: str,
    line_id: str,
    day: date,
    runs: list[BoardRun],
    loads: Mapping[tuple[str, str], Mapping[str, Any]],
    stands: Mapping[tuple[int | None, date], str],
) -> BoardCell:
    row = loads.get((name, day.isoformat()))
    why = stands.get((None, day), "")
    return BoardCell(
        name, line_id, tuple(runs), _load(row) if row else None, "" if row else why or "no shift"
    )


def _load(row: Mapping[str, Any]) -> dict[str, Any]:
    used = row["run_minutes"] + row["setup_minutes"]
    return {
        "share": used / row["open_minutes"] if row["open_minutes"] else 0.0,
        "used": used,
        "open": row["open_minutes"],
        "setup": row["setup_minutes"],
        "feet": row["feet_16"] // 192,
        "capacity_feet": row["capacity_16"] // 192,
    }


@dataclass(frozen=True, slots=True)
class LateRow:
    """An order that is late in the plan or in the one that it is held against."""

    number: str
    public_id: str
    project: str
    bundles: int
    now: str
    was: str
    ends: date | None
    worse: bool


def late_rows(plan: LinePlan) -> list[LateRow]:
    """Late orders, the worst first, with by how much, and by how much without this plan."""
    late = plan.figures.get("late", [])
    orders = {
        order.number: order
        for order in Order.objects.filter(number__in=[row["order"] for row in late])
        .select_related("revision__quote__project")
        .defer("revision__result", "revision__floors")
    }
    made = [_late_row(row, orders[row["order"]]) for row in late if row["order"] in orders]
    minutes = {row["order"]: row["minutes"] for row in late}
    return sorted(made, key=lambda row: (-minutes[row.number], row.number))


def _late_row(row: Mapping[str, Any], order: Order) -> LateRow:
    return LateRow(
        order.number,
        order.public_id,
        order.revision.quote.project.name,
        row["bundles"],
        span_words(row["minutes"]) if row["minutes"] else "in time",
        span_words(row["was_minutes"]) if row["was_minutes"] else "in time",
        date.fromisoformat(row["ends"]) if row["ends"] else None,
        row["minutes"] > row["was_minutes"],
    )


SUMS: Final = (
    ("late_orders", "Late orders", False),
    ("late_bundles", "Late bundles", False),
    ("late_minutes", "Working time late, all bundles", True),
    ("setup_minutes", "Change-over time", True),
    ("moved", "Bundles on another day or line than planned", False),
)


def sum_rows(plan: LinePlan) -> list[tuple[str, str, str, str]]:
    """What a plan comes to, against the one in force and against taking orders by their date; a dash where unknown."""
    sets = [plan.figures.get(name) for name in ("sums", "was", "by_date")]

    def said(sums: Mapping[str, int] | None, name: str, timed: bool) -> str:
        if not sums or (name == "moved" and sums is not sets[0]):
            return "-"
        return span_words(sums[name]) if timed else f"{sums[name]:,}"

    rows = []
    for name, words, timed in SUMS:
        now, was, by_date = (said(sums, name, timed) for sums in sets)
        rows.append((words, now, was, by_date))
    return rows


def pushed_rows(plan: LinePlan) -> list[dict[str, Any]]:
    """Bundles that end at another time than without this what-if: later ones first."""
    rows = sorted(plan.figures.get("pushed", []), key=lambda row: -row["minutes"])
    return [
        row
        | {
            "by": f"{span_words(abs(row['minutes']))} {'later' if row['minutes'] > 0 else 'earlier'}",
            "late": span_words(row["late_minutes"]) if row["late_minutes"] else "",
        }
        for row in rows
    ]


def turn_of(bundle: Bundle) -> LineRun | None:
    """A bundle's turn in the plan in force."""
    return (
        LineRun.objects.filter(plan__state=LinePlanState.IN_FORCE, bundle=bundle)
        .select_related("line", "plan")
        .first()
    )


def unplanned(plan: LinePlan) -> QuerySet[Bundle]:
    """Bundles to roll that a plan does not know yet."""
    rows = Bundle.objects.filter(for_the_shop(PLANNED_AT), finished_at=None)
    return (
        rows.exclude(pk__in=plan.runs.values("bundle")).select_related("order").order_by("order_id", "number")
    )


def orders_to_roll() -> QuerySet[Order]:
    """Released and rolling orders with a bundle that is not begun, the next one on site first."""
    rows = Order.objects.filter(
        stage__in=PLANNED_AT, bundles__started_at=None, bundles__isnull=False
    ).distinct()
    rows = rows.select_related("revision__quote__project").defer("revision__result", "revision__floors")
    return rows.order_by("deliver_on", "id")


# --- coils ---


@dataclass(frozen=True, slots=True)
class CoilRow:
    """Steel of one thickness: what is there, what the plan needs by day, and how far it lasts."""

    mils: int
    count: CoilCount | None
    need_lb: tuple[float, ...]
    total_lb: float
    tone: str
    words: str


def coil_days(plan: LinePlan | None) -> list[date]:
    """Days on which the plan takes steel."""
    found = plan.figures.get("coils", []) if plan else []
    return sorted({date.fromisoformat(row["day"]) for row in found})


def coil_rows(plan: LinePlan | None, days: Iterable[date]) -> list[CoilRow]:
    """By thickness; a count holds from the evening of its day."""
    needs: dict[tuple[int, date], float] = {}
    for row in plan.figures.get("coils", []) if plan else []:
        needs[row["mils"], date.fromisoformat(row["day"])] = row["lb"]
    newest = {count.mils: count for count in CoilCount.objects.order_by("counted_on", "id")}
    shown = sorted({mils for mils, _ in needs} | set(newest))
    return [_coil_row(mils, newest.get(mils), needs, tuple(days)) for mils in shown]


def _coil_row(
    mils: int, count: CoilCount | None, needs: Mapping[tuple[int, date], float], days: tuple[date, ...]
) -> CoilRow:
    by_day = tuple(needs.get((mils, day), 0.0) for day in days)
    tone, words = _lasts(count, zip(days, by_day, strict=True))
    return CoilRow(mils, count, by_day, sum(by_day), tone, words)


def _lasts(count: CoilCount | None, needs: Iterable[tuple[date, float]]) -> tuple[str, str]:
    if count is None:
        return "plain", "Not counted yet: enter what is there."
    left, low_on = float(count.weight_lb), None
    for day, need in needs:
        if day <= count.counted_on:
            continue
        left -= need
        if left < 0:
            return "bad", f"Runs out on {day:%a %b} {day.day}: {-left:,.0f} lb short that day. Order coil."
        if low_on is None and left < count.low_lb:
            low_on = day
    if float(count.weight_lb) < count.low_lb:
        return "care", f"Low now: under {count.low_lb:,.0f} lb."
    if low_on is not None:
        return "care", f"Falls under {count.low_lb:,.0f} lb on {low_on:%a %b} {low_on.day}."
    return "good", f"Enough for the plan; {left:,.0f} lb stay."


__all__ = [
    "BOARD_DAYS",
    "PLANS_SHOWN",
    "Board",
    "BoardCell",
    "BoardDay",
    "BoardRun",
    "CoilRow",
    "LateRow",
    "board",
    "change_over_list",
    "closure_get",
    "closure_list",
    "coil_days",
    "coil_rows",
    "holidays_next",
    "late_rows",
    "line_get",
    "line_list",
    "orders_to_roll",
    "plan_get",
    "plan_in_force",
    "plan_list",
    "plan_open",
    "pushed_rows",
    "settings_now",
    "shift_summary",
    "shift_texts",
    "sum_rows",
    "today_of",
    "turn_of",
    "unplanned",
]
