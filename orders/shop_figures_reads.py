"""Reads for the figures of the shop: a fixed number of queries, whatever the period.

Shifts and speeds are those of today, for earlier ones are not kept; closed days and plans are those of their day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Count, Max, OuterRef, Subquery, Sum

from framing.common.zones import company_day
from framing.engine.line import LineRefused, RollLine, due_day
from framing.engine.line.working_time import length_minutes, shifts_on
from orders.line_facts import engine_line, public_holidays, settings_now, working_lines
from orders.models import Bundle, Closure, LinePlan, LineRun, LineSettings, Order, OrderMove, Remake
from orders.shop_figures import (
    Backlog,
    DayCapacity,
    Finished,
    OnTime,
    Rolled,
    Scrap,
    Waiting,
    backlog,
    on_time,
    rolled,
)
from orders.shop_figures_claims import KINDS, ClaimMonth, claim_months
from orders.shop_scope import for_the_shop
from orders.states import LinePlanState, OrderStage, RemakeReason
from quotes.figures_periods import Period, period_read

DONE: Final = (OrderStage.BUNDLED, OrderStage.LOADED, OrderStage.DELIVERED, OrderStage.CLOSED)
_SIGNS_MOST: Final = 40
TO_ROLL: Final = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.HELD)


@dataclass(frozen=True, slots=True)
class ShopFigures:
    """All figures of a period; the backlog is that of now. `late` are the late orders, latest first."""

    period: Period
    lead_days: int
    on_time: tuple[OnTime, ...]
    late: tuple[Finished, ...]
    rolled: tuple[Rolled, ...]
    scrap: tuple[Scrap, ...]
    backlog: tuple[Backlog, ...]
    claims: tuple[ClaimMonth, ...]

    @property
    def empty(self) -> bool:
        """Nothing was finished, scrapped, received or claimed in the period, and nothing waits."""
        counted = any(row.on_time + row.late + row.undated for row in self.on_time)
        counted = counted or any(row.bundles or row.count() for row in self.claims)
        return not (counted or any(row.bundles for row in self.rolled) or self.scrap or self.backlog)


def asked_words(query: Mapping[str, str]) -> dict[str, str]:
    """What an address says of the period."""
    found = {name: query.get(name, "").strip()[:_SIGNS_MOST] for name in ("period", "first", "last")}
    return {name: words for name, words in found.items() if words}


def period_asked(query: Mapping[str, str], today: date) -> Period:
    """The period that an address names, this quarter where it names none. Raises Refused at its field."""
    words = asked_words(query)
    if "period" not in words:
        words["period"] = f"{today.year}-q{(today.month + 2) // 3}"
    return period_read(words.get("period", ""), words.get("first", ""), words.get("last", ""), today)


def shop_figures(period: Period, at: datetime) -> ShopFigures:
    """The figures of a period as things stand."""
    shop = _Shop(period, company_day(at))
    finished = shop.finished()
    capacity, setups = shop.capacity(), _setups(period)
    late = sorted((order for order in finished if order.days_late), key=lambda o: (-o.days_late, o.number))
    return ShopFigures(
        period,
        shop.settings.lead_days,
        on_time(finished, period.first, period.last),
        tuple(late),
        rolled(_bundles(period), capacity, setups, period.first, period.last),
        _scrap(period),
        backlog(shop.waiting(), shop.today),
        claim_months(period),
    )


class _Shop:
    """Lines, closed days and lead for a period and for what waits now."""

    def __init__(self, period: Period, today: date) -> None:
        self.period, self.today = period, today
        self.settings: LineSettings = settings_now()
        self.lines = [engine_line(line) for line in working_lines()]
        self.closed = frozenset(day.toordinal() for day in self._closed())
        self._due: dict[date, date] = {}

    def _closed(self) -> set[date]:
        first, last = min(self.period.first, self.today), max(self.period.last, self.today)
        years = range(first.year - 1, last.year + 2)
        place = self.settings.country, self.settings.subdivision
        found = {day for year in years for day in public_holidays(*place, year)}
        return found | set(Closure.objects.filter(line=None).values_list("day", flat=True))

    def due(self, wanted: date | None) -> date | None:
        """The last day to finish what is on site on a day (R46); that day itself where no line works yet."""
        if wanted is None:
            return None
        if wanted not in self._due:
            try:
                day = due_day(wanted.toordinal(), self.settings.lead_days, self.lines, self.closed)
                self._due[wanted] = date.fromordinal(day)
            except LineRefused:
                self._due[wanted] = wanted
        return self._due[wanted]

    def finished(self) -> list[Finished]:
        """Orders whose last bundle was finished in the period: the last move to “bundled” counts."""
        moves = OrderMove.objects.filter(order=OuterRef("pk"), to_stage=OrderStage.BUNDLED).order_by()
        last = moves.values("order").annotate(last=Max("at")).values("last")
        start, end = self.period.bounds
        rows = Order.objects.annotate(bundled_at=Subquery(last)).filter(
            stage__in=DONE, bundled_at__gte=start, bundled_at__lt=end
        )
        found = rows.order_by("bundled_at", "pk").values_list("number", "bundled_at", "deliver_on")
        return [Finished(number, _day(at), self.due(wanted)) for number, at, wanted in found]

    def capacity(self) -> dict[date, DayCapacity]:
        """What the lines could roll on each day of the period."""
        days = (self.period.last - self.period.first).days + 1
        each = [self.period.first + timedelta(days=n) for n in range(days)]
        return {day: DayCapacity(*self._capacity(day)) for day in each}

    def _capacity(self, day: date) -> tuple[float, int]:
        feet, shifts = 0.0, 0
        for line in self.lines:
            of_day = shifts_on(line, day.toordinal(), self.closed)
            feet += sum(shift_ft(line, length_minutes(shift)) for shift in of_day)
            shifts += len(of_day)
        return feet, shifts

    def waiting(self) -> list[Waiting]:
        """Bundles of orders in the shop that are not finished."""
        rows = Bundle.objects.filter(for_the_shop(TO_ROLL), finished_at=None)
        rows = rows.annotate(feet_16=Sum("pieces__length_16"))
        found = rows.order_by("pk").values_list("order__deliver_on", "feet_16", "order_id")
        return [Waiting(self.due(wanted), length or 0, order) for wanted, length, order in found]


def shift_ft(line: RollLine, minutes: int) -> float:
    """Feet of a shift: a share of what the longest one makes where that is known, else what the speed gives."""
    if line.capacity_ft_per_shift is None:
        return line.speed_ft_per_hour * minutes / 60
    longest = max(length_minutes(shift) for shift in line.shifts)
    return line.capacity_ft_per_shift * minutes / longest


def _day(at: datetime) -> date:
    return company_day(at)


def _bundles(period: Period) -> list[tuple[date, int]]:
    """Day and length of each bundle finished in the period."""
    start, end = period.bounds
    rows = Bundle.objects.filter(finished_at__gte=start, finished_at__lt=end)
    rows = rows.annotate(feet_16=Sum("pieces__length_16")).order_by("pk")
    found = rows.values_list("finished_at", "feet_16")
    return [(_day(at), length or 0) for at, length in found if at is not None]


def _scrap(period: Period) -> tuple[Scrap, ...]:
    """Pieces scrapped in the period by reason, the most feet first."""
    start, end = period.bounds
    rows = Remake.objects.filter(created_at__gte=start, created_at__lt=end).order_by().values("reason")
    summed = rows.annotate(number_of=Count("pk"), length=Sum("piece__length_16"))
    found = [Scrap(str(RemakeReason(row["reason"]).label), row["number_of"], row["length"]) for row in summed]
    return tuple(sorted(found, key=lambda scrap: (-scrap.length_16, scrap.reason)))


def _setups(period: Period) -> dict[date, int]:
    """Change-over minutes of each day by the plan that held on it: the last one taken before the day was over."""
    rows = LineRun.objects.filter(
        day__gte=period.first, day__lte=period.last, plan__taken_at__isnull=False
    ).order_by()
    sums = rows.values_list("plan_id", "day").annotate(minutes=Sum("setup_minutes"))
    by_plan: dict[int, dict[date, int]] = defaultdict(dict)
    for plan, day, minutes in sums:
        by_plan[plan][day] = minutes
    plans = LinePlan.objects.filter(
        state__in=(LinePlanState.IN_FORCE, LinePlanState.PAST), taken_at__isnull=False
    )
    taken = list(plans.order_by("taken_at", "pk").values_list("pk", "taken_at"))
    return held_minutes([(pk, _day(at)) for pk, at in taken if at is not None], by_plan)


def held_minutes(
    taken: Iterable[tuple[int, date]], by_plan: Mapping[int, Mapping[date, int]]
) -> dict[date, int]:
    """A day's minutes by the last plan that was taken on it or before; `taken` is in order of time.

    A plan holds from the day it was taken on: what it says of earlier days is passed over.
    """
    found: dict[date, int] = {}
    for plan, since in taken:
        found = {day: minutes for day, minutes in found.items() if day < since}
        found |= {day: minutes for day, minutes in by_plan.get(plan, {}).items() if day >= since}
    return found


def facts(figures: ShopFigures) -> dict[str, Any]:
    """The figures as plain values, for the API."""
    return {
        "first": figures.period.first,
        "last": figures.period.last,
        "lead_days": figures.lead_days,
        "on_time": figures.on_time,
        "late": figures.late,
        "rolled": figures.rolled,
        "scrap": figures.scrap,
        "backlog": figures.backlog,
        "claims": [
            {
                "first": row.first,
                "last": row.last,
                "bundles": row.bundles,
                "per_100": row.per_100(),
                **{kind: row.count(kind) for kind in KINDS},
            }
            for row in figures.claims
        ],
    }
