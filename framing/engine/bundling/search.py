"""Better plans from a plan: neighboring bundles cut again, single pieces moved or swapped (R32-R35)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from framing.engine.bundling.costs import BUNDLE_RANK, Bundle, Limits, Score, cost
from framing.engine.bundling.exchange import best_change
from framing.engine.bundling.orders import best_cut

_ROUNDS: Final = 20
_APART_MOST: Final = 3  # bundles farther apart than this exchange nothing


def improved(plan: Sequence[Bundle], limits: Limits) -> list[Bundle]:
    """The plan after re-cuts and exchanges, as long as they gain; never worse."""
    search = _Search(limits)
    current = in_order(plan)
    for _ in range(_ROUNDS):
        before = search.score(current)
        current = in_order(search.recut(current))
        current = in_order(search.exchanged(current))
        if search.score(current) >= before:
            break
    return current


def in_order(plan: Sequence[Bundle]) -> list[Bundle]:
    """Bundles in the order of their first pieces, each in install order."""
    return sorted(tuple(sorted(bundle)) for bundle in plan)


class _Search:
    """One search; costs, cuts and pairs without a gain are kept, as rounds come to the same ones again."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self._costs: dict[Bundle, int] = {}
        self._cuts: dict[Bundle, tuple[Score, list[Bundle]]] = {}
        self._settled: set[tuple[Bundle, Bundle]] = set()

    def cost(self, bundle: Bundle) -> int:
        if bundle not in self._costs:
            self._costs[bundle] = cost(bundle, self.limits)
        return self._costs[bundle]

    def score(self, plan: Sequence[Bundle]) -> Score:
        return sum(self.cost(bundle) for bundle in plan), sum(len(bundle) ** 2 for bundle in plan)

    def recut(self, plan: list[Bundle]) -> list[Bundle]:
        """Cut each two to four neighboring bundles again in every order worth trying."""
        first = 0
        while first < len(plan):
            for width in (2, 3, 4):
                window = plan[first : first + width]
                if len(window) < width or self._is_clean(window):
                    continue
                tried, bundles = self._best_cut(window)
                if tried < self.score(window):
                    plan = [*plan[:first], *in_order(bundles), *plan[first + width :]]
            first += 1
        return plan

    def _best_cut(self, window: Sequence[Bundle]) -> tuple[Score, list[Bundle]]:
        union = tuple(sorted(unit for bundle in window for unit in bundle))
        if union not in self._cuts:
            self._cuts[union] = best_cut(union, self.limits)
        return self._cuts[union]

    def _is_clean(self, window: Sequence[Bundle]) -> bool:
        """Whether no re-cut can gain but by fewer bundles: nothing short, spread or skipped."""
        if any(self.cost(bundle) % BUNDLE_RANK for bundle in window):
            return False
        sizes = [len(bundle) for bundle in window]
        return sum(sizes) > self.limits.most * (len(window) - 1) and max(sizes) - min(sizes) <= 1

    def exchanged(self, plan: list[Bundle]) -> list[Bundle]:
        """Move or swap single pieces between bundles at most three apart, the best change of each pair."""
        for a in range(len(plan)):
            for b in range(a + 1, min(a + _APART_MOST, len(plan) - 1) + 1):
                pair = plan[a], plan[b]
                if pair in self._settled or self._is_clean(pair):
                    continue
                changed = best_change(*pair, self.limits)
                if changed is None:
                    self._settled.add(pair)
                else:
                    plan[a], plan[b] = changed
        return plan
