"""Cut lists: what a line rolls on a day in running order, or what an order needs where no plan holds it (R46)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from django.db.models import Prefetch

from orders.models import Line, LinePlan, LineRun, Order, Piece, Remake
from orders.papers.contents import FORM, again_rows, cut_rows, units_of
from orders.papers.facts import CutBundle, as_json
from orders.papers.order_rows import OrderRows, remakes_open
from orders.states import LinePlanState

SHORT = "Short pieces, in packs"
_DAY_MINUTES = 1440


def plan_in_force() -> LinePlan | None:
    return LinePlan.objects.filter(state=LinePlanState.IN_FORCE).first()


def line_runs(plan: LinePlan, days: Iterable[date]) -> dict[tuple[int, date], list[LineRun]]:
    """The runs of a plan that begin on some days, by line and day in running order, with all that is read of them."""
    pieces = Piece.objects.filter(dropped_by=None).order_by("position", "id")
    joined = LineRun.objects.filter(plan=plan, day__in=list(days)).select_related(
        "bundle__order__revision__quote__project"
    )
    rows = joined.defer("bundle__order__revision__result", "bundle__order__revision__floors").order_by(
        "position"
    )
    found: dict[tuple[int, date], list[LineRun]] = {}
    for run in rows.prefetch_related(Prefetch("bundle__pieces", pieces, to_attr="wanted")):
        found.setdefault((run.line_id, run.day), []).append(run)
    return found


def line_content(
    plan: int, line: Line, day: date, runs: list[LineRun], again: dict[int, list[Remake]]
) -> dict[str, Any]:
    """The cut list of a line's day; bundles that are finished by now are left out and counted.

    `plan` is its number, `runs` are that day's of `line_runs`, `again` what is to be made again, by bundle.
    """
    bundles: list[CutBundle] = []
    before = ""
    done = 0
    for run in runs:
        bundle = run.bundle
        if bundle.finished_at is not None:
            done += 1
            before = bundle.profile
            continue
        bundles.append(
            CutBundle(
                order=bundle.order.number,
                project=bundle.order.revision.quote.project.name,
                number=bundle.number,
                place=bundle.zone,
                profile=bundle.profile,
                starts=_clock(run.start_minute),
                change=run.setup_minutes > 0 or (before not in ("", bundle.profile)),
                setup_minutes=run.setup_minutes,
                rows=cut_rows(bundle.wanted),  # type: ignore[attr-defined]  # prefetched above
                units=units_of(bundle.order),
                again=again_rows(again.get(bundle.pk, [])),
            )
        )
        before = bundle.profile
    head = {"line": line.name, "day": day.isoformat(), "plan": plan, "finished": done}
    return {"form": FORM, **head, "bundles": [as_json(bundle) for bundle in bundles]}


def line_day_content(plan: LinePlan, line: Line, day: date) -> dict[str, Any]:
    """As `line_content`, read for this one day."""
    runs = line_runs(plan, [day]).get((line.pk, day), [])
    return line_content(plan.number, line, day, runs, remakes_open(run.bundle_id for run in runs))


def order_content(rows: OrderRows) -> dict[str, Any]:
    """The cut list of an order: bundles of one profile after each other, then short pieces that go in packs."""
    order = rows.order
    waiting = [pair for pair in rows.held if pair[0].finished_at is None]
    finished = sum(bundle.finished_at is not None for bundle in rows.bundles)
    bundles: list[CutBundle] = []
    for bundle, pieces in sorted(waiting, key=lambda pair: (pair[0].profile, pair[0].number)):
        turn = _turn(order, bundle.number, bundle.zone, bundle.profile, pieces, bundles)
        bundles.append(replace(turn, again=again_rows(rows.again.get(bundle.pk, []))))
    for profile in sorted({piece.profile for piece in rows.loose}):
        short = [piece for piece in rows.loose if piece.profile == profile]
        short.sort(key=lambda piece: (-piece.length_16, piece.mark, piece.pk))
        bundles.append(_turn(order, 0, SHORT, profile, short, bundles))
    head = {"order": order.number, "project": order.revision.quote.project.name, "finished": finished}
    return {"form": FORM, **head, "bundles": [as_json(bundle) for bundle in bundles]}


def _turn(
    order: Order, number: int, place: str, profile: str, pieces: list[Piece], before: list[CutBundle]
) -> CutBundle:
    return CutBundle(
        order=order.number,
        project=order.revision.quote.project.name,
        number=number,
        place=place,
        profile=profile,
        starts="",
        change=bool(before) and before[-1].profile != profile,
        setup_minutes=0,
        rows=cut_rows(pieces),
        units=units_of(order),
    )


def _clock(minute: int) -> str:
    """A minute from midnight as a time of day."""
    hour, rest = divmod(minute % _DAY_MINUTES, 60)
    return f"{hour:02d}:{rest:02d}"
