"""Rows of the shop as the engine of the line plan wants them (R46): lines, closed days, bundles to roll."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

import holidays
from django.db.models import Count, Sum

from framing.common.zones import company_day, company_zone
from framing.engine.catalogue import load_catalogue
from framing.engine.line import (
    ChangeOver,
    Held,
    Job,
    LineTask,
    Moment,
    Pin,
    Placing,
    Prices,
    RolledProfile,
    RollLine,
    Run,
    Shift,
    due_day,
)
from framing.engine.line import LinePlan as EnginePlan
from framing.engine.line.result import PlanCost
from orders.models import Bundle, ChangeOverTime, Closure, Line, LineRun, LineSettings
from orders.models import LinePlan as PlanRow
from orders.shop_scope import for_the_shop
from orders.states import LinePlanState, OrderStage

PLANNED_AT: Final = (OrderStage.RELEASED, OrderStage.ROLLING)
YEARS_AHEAD: Final = 3
MINUTES_PER_DAY: Final = 1440


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """The task of a plan made today, and how its names lead back to rows.

    Attributes:
        bundles: by job id, “SO-2026-0003/4”.
        signs: by job id, what of a bundle a plan stands for; another sign is another bundle under its number.
    """

    task: LineTask
    bundles: Mapping[str, Bundle]
    lines: Mapping[str, Line]
    signs: Mapping[str, str]
    today: date


def settings_now() -> LineSettings:
    """The settings of all lines; the usual ones where nobody set any."""
    return LineSettings.objects.filter(pk=1).first() or LineSettings(pk=1)


def plan_in_force() -> PlanRow | None:
    return PlanRow.objects.filter(state=LinePlanState.IN_FORCE).first()


def bundle_name(bundle: Bundle) -> str:
    """How plans and their messages name a bundle."""
    return f"{bundle.order.number}/{bundle.number}"


@cache
def public_holidays(country: str, subdivision: str, year: int) -> Mapping[date, str]:
    """Public holidays of a year by day. Empty where no country is set."""
    if not country:
        return {}
    return dict(holidays.country_holidays(country, subdiv=subdivision or None, years=year))


def holiday_places() -> Mapping[str, list[str]]:
    """Subdivisions by country that holidays are known of."""
    return holidays.list_supported_countries()


def closed_days(settings: LineSettings, today: date) -> frozenset[int]:
    """Days on which every line stands: public holidays and closures of the whole shop."""
    years = range(today.year - 1, today.year + YEARS_AHEAD + 1)
    found = {day for year in years for day in public_holidays(settings.country, settings.subdivision, year)}
    found |= set(Closure.objects.filter(line=None).values_list("day", flat=True))
    return frozenset(day.toordinal() for day in found)


def engine_line(line: Line, loaded: str | None = None) -> RollLine:
    """A line with its shifts and own closed days; both should be prefetched."""
    depths = frozenset(round(int(code) * 16 / 100) for code in line.depths)
    return RollLine(
        name=line.name,
        speed_ft_per_hour=int(line.feet_per_minute * 60),
        shifts=tuple(engine_shift(shift.weekday, shift.starts, shift.ends) for shift in line.shifts.all()),
        capacity_ft_per_shift=line.capacity_ft_per_shift,
        depths_16=depths or None,
        closed=frozenset(closure.day.toordinal() for closure in line.closures.all()),
        loaded=loaded,
    )


def engine_shift(weekday: int, starts: int, ends: int) -> Shift:
    over = ends > MINUTES_PER_DAY
    return Shift(weekday, starts, ends - MINUTES_PER_DAY if over else ends, over)


def working_lines() -> list[Line]:
    """Lines that work and have a shift, with what the engine reads of them."""
    rows = Line.objects.filter(works=True, shifts__isnull=False).distinct()
    return list(rows.prefetch_related("shifts", "closures").order_by("name"))


def to_roll() -> list[Bundle]:
    """Bundles of released and rolling orders that are not finished, with feet and pieces counted."""
    rows = Bundle.objects.filter(for_the_shop(PLANNED_AT), finished_at=None)
    rows = rows.select_related("order", "delivery", "pin__line")
    counted = rows.annotate(feet_16=Sum("pieces__length_16"), piece_count=Count("pieces"))
    return list(counted.filter(feet_16__gt=0).order_by("order_id", "number"))


def rolled_profiles(codes: Iterable[str]) -> tuple[RolledProfile, ...]:
    """Facts of the profiles that the catalogue knows; the coil goes by its thickness in mils."""
    wanted = set(codes)
    return tuple(
        RolledProfile(
            row.designator,
            str(row.mils),
            round(row.depth_in * 16),
            round(row.flange_in * 16),
            row.weight_plf,
        )
        for row in load_catalogue().profiles
        if row.designator in wanted
    )


def profile_depths() -> list[int]:
    """Depths of the catalogue in 1/100 in, least first."""
    return sorted({round(row.depth_in * 100) for row in load_catalogue().profiles})


def profile_codes() -> list[str]:
    return [row.designator for row in load_catalogue().profiles]


def coil_mils() -> list[int]:
    """Thicknesses of the catalogue's coils, in mils."""
    return sorted({row.mils for row in load_catalogue().profiles})


def shop_facts(at: datetime) -> ShopFacts:
    """What a plan made at an instant depends on: today is frozen, planning begins tomorrow.

    Errors: LineRefused where no line works on any day before a delivery.
    """
    today = company_day(at)
    settings, lines, bundles = settings_now(), working_lines(), to_roll()
    closed = closed_days(settings, today)
    before = plan_in_force()
    runs = (
        list(before.runs.select_related("line", "bundle__order").order_by("line_id", "position"))
        if before
        else []
    )
    loaded = _loaded(runs)
    rolls = tuple(engine_line(line, loaded.get(line.pk)) for line in lines)
    make = _JobMaker(settings, rolls, closed, today, {run.bundle_id: run for run in runs})
    jobs = tuple(make.job(bundle) for bundle in bundles)
    task = LineTask(
        lines=rolls,
        profiles=rolled_profiles([*(job.profile for job in jobs), *loaded.values()]),
        jobs=jobs,
        free_from=today.toordinal() + 1,
        closed=closed,
        change_over=_change_over(settings),
        seconds_per_piece=settings.piece_seconds,
        previous=tuple(_placing(run) for run in runs),
        frozen_since=today.toordinal(),
        prices=Prices(settings.setup_price, settings.moved_price),
    )
    names = {bundle_name(bundle): bundle for bundle in bundles}
    return ShopFacts(
        task,
        names,
        {line.name: line for line in lines},
        {name: _sign(bundle) for name, bundle in names.items()},
        today,
    )


def _sign(bundle: Bundle) -> str:
    pin = getattr(bundle, "pin", None)
    pinned = f"{pin.day} {pin.line_id}" if pin else "free"
    return f"{bundle.pk} {bundle.profile} {bundle.feet_16} {bundle.piece_count} {pinned}"  # type: ignore[attr-defined]


def _change_over(settings: LineSettings) -> ChangeOver:
    pairs = ChangeOverTime.objects.values_list("before", "after", "minutes")
    return ChangeOver(
        settings.base_minutes,
        settings.gauge_minutes,
        settings.depth_minutes,
        settings.flange_minutes,
        tuple(pairs),
    )


def _loaded(runs: Iterable[LineRun]) -> dict[int, str]:
    """The profile that each line made last, as far as its plan tells."""
    made: dict[int, str] = {}
    for run in runs:
        if run.bundle.finished_at is not None:
            made[run.line_id] = run.bundle.profile
    known = {row.code for row in rolled_profiles(made.values())}
    return {line: profile for line, profile in made.items() if profile in known}


def _moment(day: date, minute: int) -> Moment:
    days, left = divmod(minute, MINUTES_PER_DAY)
    return Moment(day.toordinal() + days, left)


def _placing(run: LineRun) -> Placing:
    return Placing(
        bundle_name(run.bundle), run.line.name, _moment(run.day, run.start_minute), run.day.toordinal()
    )


@dataclass(frozen=True, slots=True)
class _JobMaker:
    settings: LineSettings
    lines: tuple[RollLine, ...]
    closed: frozenset[int]
    today: date
    runs: Mapping[int, LineRun]

    def job(self, bundle: Bundle) -> Job:
        name = bundle_name(bundle)
        wanted = self._wanted(bundle)
        due = self.today.toordinal() + 1 if wanted is None else self._due(wanted)
        return Job(
            id=name,
            order=bundle.order.number,
            profile=bundle.profile,
            feet_16=bundle.feet_16,  # type: ignore[attr-defined]
            pieces=bundle.piece_count,  # type: ignore[attr-defined]
            due=due,
            weight=0 if wanted is None else 1,
            pin=self._pin(bundle),
            held=self._held(bundle),
        )

    @staticmethod
    def _wanted(bundle: Bundle) -> date | None:
        """The day on site: its delivery's once one is planned, else the order's; nobody waits without either."""
        return bundle.delivery.planned_for if bundle.delivery else bundle.order.deliver_on

    def _due(self, wanted: date) -> int:
        return due_day(wanted.toordinal(), self.settings.lead_days, self.lines, self.closed)

    def _pin(self, bundle: Bundle) -> Pin | None:
        """What the planner fixed; a day that has gone by binds no more, the line does."""
        pin = getattr(bundle, "pin", None)
        if pin is None:
            return None
        line = pin.line.name if pin.line else None
        day = pin.day.toordinal() if pin.day > self.today else None
        return Pin(line, day) if line or day else None

    def _held(self, bundle: Bundle) -> Held | None:
        """A bundle that rolls already stays on the line of the plan, or else on the first that can take it."""
        if bundle.started_at is None or not self.lines:
            return None
        line = self._line_of(bundle)
        local = min(bundle.started_at.astimezone(_zone()), _last_minute(self.today))
        return Held(line, Moment(local.date().toordinal(), local.hour * 60 + local.minute)) if line else None

    def _line_of(self, bundle: Bundle) -> str | None:
        run, names = self.runs.get(bundle.pk), [line.name for line in self.lines]
        if run is not None and run.line.name in names:
            return run.line.name
        profile = next(iter(rolled_profiles([bundle.profile])), None)
        fit = [
            line.name
            for line in self.lines
            if profile is not None and (line.depths_16 is None or profile.depth_16 in line.depths_16)
        ]
        return fit[0] if fit else None


def _last_minute(day: date) -> datetime:
    """A bundle that begins while a plan is made has begun by the end of its day."""
    return datetime.combine(day, time(23, 59), tzinfo=_zone())


def _zone() -> ZoneInfo:
    return ZoneInfo(company_zone())


def plan_of_rows(plan: PlanRow, facts: ShopFacts) -> EnginePlan:
    """A stored plan as the engine's, without its finished bundles: only runs, no loads and no cost."""
    rows = plan.runs.select_related("line", "bundle__order").order_by("line__name", "position")
    runs = [_engine_run(row) for row in rows if facts.signs.get(bundle_name(row.bundle))]
    return EnginePlan(tuple(runs), (), (), (), PlanCost(0, 0, 0))


def _engine_run(row: LineRun) -> Run:
    return Run(
        job=bundle_name(row.bundle),
        order=row.bundle.order.number,
        line=row.line.name,
        profile=row.bundle.profile,
        start=_moment(row.day, row.start_minute),
        end=_moment(row.end_day, row.end_minute),
        day=row.day.toordinal(),
        end_day=row.end_day.toordinal(),
        setup_minutes=row.setup_minutes,
        minutes=0,
        due=row.day.toordinal(),
        late_minutes=row.late_minutes,
        held=False,
        moved=False,
    )
