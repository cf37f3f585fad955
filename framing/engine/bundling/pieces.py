"""The package's pieces in delivery order, and which floors share bundles of a profile (R35)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from framing.engine.bundling.plan import (
    Bundle,
    Limits,
    Unit,
    cost,
    least_bundles,
    plan_bundles,
    short_bundles,
)
from framing.engine.catalogue import Catalogue
from framing.engine.floor import FloorPlan
from framing.engine.members import Piece
from framing.engine.result import BundlePiece
from framing.engine.units import feet


@dataclass(frozen=True, slots=True)
class Delivered:
    """One piece of one copy of one floor; `place` is its position in the delivery's install sequence."""

    place: int
    profile: str
    zone: str
    piece: BundlePiece

    @property
    def unit(self) -> Unit:
        return Unit(self.place, self.piece.length_16, round(self.piece.weight_lb * 100))


def delivered_pieces(
    floors: Sequence[tuple[FloorPlan, tuple[Piece, ...]]], catalogue: Catalogue
) -> tuple[Delivered, ...]:
    """Every piece: floors in order, in each its copies, in each install order. Raises UnknownProfile."""
    found: list[Delivered] = []
    for index, (plan, pieces) in enumerate(floors):
        weight_plf = {name: catalogue.profile(name).weight_plf for name in {p.profile for p in pieces}}
        ordered = sorted(pieces, key=lambda p: (p.sequence, p.id))
        weighed = [(p, round(feet(p.length_16) * weight_plf[p.profile], 2)) for p in ordered]
        for copy in range(1, plan.repeat + 1):
            for piece, weight_lb in weighed:
                placed = BundlePiece(
                    index, copy, piece.id, piece.mark, piece.length_16, piece.sequence, weight_lb
                )
                found.append(Delivered(len(found), piece.profile, piece.zone, placed))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Planned:
    """Pieces bundled together and the fewest bundles that count and weight would allow for them."""

    bundles: tuple[Bundle, ...]
    least: int


def bundles_of_profile(
    units_by_floor: Sequence[Sequence[Unit]], limits: Limits, *, neater: bool = False
) -> tuple[Planned, ...]:
    """Bundles of one profile: floor by floor, but a floor with too few pieces shares its neighbor's (R35).

    `neater` as in `plan_bundles`.
    """
    planner = _Planner(limits, neater=neater)
    groups = [tuple(units) for units in units_by_floor if units]
    index = 0
    while index < len(groups):
        partner = _partner(groups, index, planner)
        if partner is None:
            index += 1
            continue
        low = min(index, partner)
        groups[low : low + 2] = [(*groups[low], *groups[low + 1])]
        index = low
    return tuple(Planned(planner.plan(group), least_bundles(group, limits)) for group in groups)


def _partner(groups: list[tuple[Unit, ...]], index: int, planner: _Planner) -> int | None:
    """The neighbor of a group too small for a bundle, if sharing saves a short one; the cheaper of two."""
    if len(groups[index]) >= planner.limits.least:
        return None
    best: tuple[int, int] | None = None
    for other in (index - 1, index + 1):
        if not 0 <= other < len(groups):
            continue
        low, high = sorted((index, other))
        apart = (*planner.plan(groups[low]), *planner.plan(groups[high]))
        together = planner.plan((*groups[low], *groups[high]))
        if short_bundles(together, planner.limits) < short_bundles(apart, planner.limits):
            gain = sum(cost(b, planner.limits) for b in together) - sum(
                cost(b, planner.limits) for b in apart
            )
            if best is None or gain < best[0]:
                best = (gain, other)
    return best[1] if best else None


class _Planner:
    """Plans groups of units and keeps each answer, as equal floors and trial merges ask again."""

    def __init__(self, limits: Limits, *, neater: bool) -> None:
        self.limits, self.neater = limits, neater
        self._kept: dict[tuple[Unit, ...], tuple[Bundle, ...]] = {}

    def plan(self, units: tuple[Unit, ...]) -> tuple[Bundle, ...]:
        start = units[0].place
        shifted = tuple(Unit(u.place - start, u.length_16, u.weight_100) for u in units)
        if shifted not in self._kept:
            self._kept[shifted] = plan_bundles(shifted, self.limits, neater=self.neater)
        return tuple(
            tuple(Unit(u.place + start, u.length_16, u.weight_100) for u in bundle)
            for bundle in self._kept[shifted]
        )
