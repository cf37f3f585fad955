"""The change-over grid: profiles in use across and down, what the shop timed, what the rule says (R46)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Count, Q

from framing.engine.line import ChangeOver, setup_minutes
from orders.line_facts import profile_codes, rolled_profiles, settings_now
from orders.line_typed import Pair, pair_field
from orders.models import Bundle, ChangeOverTime
from orders.states import OrderStage

GRID_MOST: Final = 24
LATELY: Final = timedelta(days=180)


@dataclass(frozen=True, slots=True)
class GridCell:
    """A pair of profiles: minutes that the shop timed, None where the rule holds, and the rule's own figure."""

    before: str
    after: str
    minutes: int | None
    by_rule: int

    @property
    def field(self) -> str:
        return pair_field((self.before, self.after))


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows are what a line made, columns what comes next; None where both are one.

    `left_out` counts profiles in use that the grid has no room for; their pairs are set one by one.
    """

    codes: tuple[str, ...]
    rows: tuple[tuple[str, tuple[GridCell | None, ...]], ...]
    left_out: int

    @property
    def cells(self) -> list[GridCell]:
        return [cell for _, row in self.rows for cell in row if cell is not None]


def pairs_timed() -> dict[Pair, int]:
    """Minutes that the shop timed, by pair."""
    return {
        (row.before, row.after): row.minutes for row in ChangeOverTime.objects.order_by("before", "after")
    }


def change_over_grid(at: datetime) -> Grid:
    """The grid of the profiles in use: timed ones first, then those of most bundles, as many as it has room for."""
    timed = pairs_timed()
    known = {code: place for place, code in enumerate(profile_codes())}
    wanted = list(dict.fromkeys([*(code for pair in timed for code in pair), *_rolled(at)]))
    wanted = [code for code in wanted if code in known]
    codes = tuple(sorted(wanted[:GRID_MOST], key=lambda code: known[code]))
    rule = rule_minutes(codes)
    rows = tuple(
        (
            before,
            tuple(
                GridCell(before, after, timed.get((before, after)), rule[before, after])
                if before != after
                else None
                for after in codes
            ),
        )
        for before in codes
    )
    return Grid(codes, rows, len(wanted) - len(codes))


def _rolled(at: datetime) -> list[str]:
    """Profiles of bundles to roll and of those finished lately, most used first."""
    rows = Bundle.objects.exclude(order__stage=OrderStage.CANCELLED).filter(
        Q(finished_at=None) | Q(finished_at__gte=at - LATELY)
    )
    counted = rows.values("profile").annotate(bundles=Count("id")).order_by("-bundles", "profile")
    return [row["profile"] for row in counted]


def rule_minutes(codes: Iterable[str]) -> dict[Pair, int]:
    """What the rule says of each pair, whatever was timed."""
    settings = settings_now()
    rule = ChangeOver(
        settings.base_minutes, settings.gauge_minutes, settings.depth_minutes, settings.flange_minutes
    )
    profiles = rolled_profiles(codes)
    return {(a.code, b.code): setup_minutes(rule, a, b) for a in profiles for b in profiles}
