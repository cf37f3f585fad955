"""Cut lists: what a line rolls on a day in running order, or what an order needs where no plan holds it (R46)."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Prefetch

from orders.models import Line, LinePlan, LineRun, Order, Piece
from orders.papers.contents import FORM, bundles_with_pieces, cut_rows, live_pieces, units_of
from orders.papers.facts import CutBundle, as_json
from orders.states import LinePlanState

SHORT = "Short pieces, in packs"
_DAY_MINUTES = 1440


def plan_in_force() -> LinePlan | None:
    return LinePlan.objects.filter(state=LinePlanState.IN_FORCE).first()


def line_runs(plan: LinePlan, line: Line, day: date) -> list[LineRun]:
    """The runs that begin on a day on a line, in running order, with bundles, orders and wanted pieces."""
    pieces = Piece.objects.filter(dropped_by=None).order_by("position", "id")
    rows = LineRun.objects.filter(plan=plan, line=line, day=day)
    joined = rows.select_related("bundle__order__revision__quote__project").defer(
        "bundle__order__revision__result", "bundle__order__revision__floors"
    )
    return list(
        joined.prefetch_related(Prefetch("bundle__pieces", pieces, to_attr="wanted")).order_by("position")
    )


def line_content(plan: LinePlan, line: Line, day: date) -> dict[str, Any]:
    """The cut list of a line's day; bundles that are finished by now are left out and counted."""
    runs = line_runs(plan, line, day)
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
            )
        )
        before = bundle.profile
    head = {"line": line.name, "day": day.isoformat(), "plan": plan.number, "finished": done}
    return {"form": FORM, **head, "bundles": [as_json(bundle) for bundle in bundles]}


def order_content(order: Order) -> dict[str, Any]:
    """The cut list of an order: bundles of one profile after each other, then short pieces that go in packs."""
    waiting = [pair for pair in bundles_with_pieces(order) if pair[0].finished_at is None]
    finished = order.bundles.exclude(finished_at=None).count()
    bundles: list[CutBundle] = []
    for bundle, pieces in sorted(waiting, key=lambda pair: (pair[0].profile, pair[0].number)):
        bundles.append(_turn(order, bundle.number, bundle.zone, bundle.profile, pieces, bundles))
    loose = [piece for piece in live_pieces(order) if piece.bundle_id is None]
    for profile in sorted({piece.profile for piece in loose}):
        short = [piece for piece in loose if piece.profile == profile]
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
