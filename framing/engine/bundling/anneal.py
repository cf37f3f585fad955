"""A search that may pass through worse plans, for lots where weight decides and ranges of the sequence fall short.

Pieces are moved and swapped between any two bundles; a worse plan is taken less and less often. The heat falls through
the ranks of `costs` in turn, so that short bundles are settled first, then broken spreads, the count, and the rest.
Repeatable: what is drawn follows from fixed seeds, the number of steps from the number of pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import exp
from typing import Final

from framing.engine.bundling.costs import Bundle, Limits, Score, score

PIECES_MOST: Final = 80  # more take too long for what it gains
STEPS_PER_PAIR: Final = 20
TURNS: Final = ((7, 120.0), (11, 400.0), (13, 120.0))  # seed, and what a full bundle is favored by
_SHORT, _WIDE, _BUNDLE, _COST = 6_000.0, 600.0, 200.0, 1 / 64
_HOT, _COLD = 3_000.0, 3.0
_MODULUS, _FACTOR = (1 << 31) - 1, 48_271  # the minimal standard generator of Park and Miller


def annealed(plan: Sequence[Bundle], limits: Limits) -> list[Bundle]:
    """The best plan met on the way from a plan; never worse than it."""
    steps = STEPS_PER_PAIR * sum(len(bundle) for bundle in plan) ** 2
    cooling = (_COLD / _HOT) ** (1 / max(1, steps))
    best = list(plan)
    for seed, full in TURNS:
        turn, draw, heat = _Turn(best, limits, full), _draws(seed), _HOT
        for _ in range(steps):
            turn.step(draw, heat)
            heat *= cooling
        best = turn.best
    return best


def _draws(seed: int) -> Iterator[float]:
    """Numbers from 0 to 1, without end."""
    while True:
        seed = seed * _FACTOR % _MODULUS
        yield seed / _MODULUS


class _Turn:
    """Bundles on their way, the energy of each, and the best plan so far."""

    def __init__(self, plan: Sequence[Bundle], limits: Limits, full: float) -> None:
        self.limits, self.full = limits, full
        self.bundles: list[Bundle] = [*plan, ()]  # the empty one at the end takes what opens a bundle
        self.energies = [self._energy(bundle) for bundle in self.bundles]
        self.total = sum(self.energies)
        self.best, self.least = list(plan), self.total
        self.best_score: Score = score(plan, limits)

    def _energy(self, bundle: Bundle) -> float:
        """Ranks on one scale, less a little for full and heavy bundles, so that others may empty."""
        if not bundle:
            return 0.0
        limits, size = self.limits, len(bundle)
        low = high = bundle[0].place
        shortest = longest = bundle[0].length_16
        weight = 0
        for place, length, own in bundle:
            weight += own
            if place < low:
                low = place
            elif place > high:
                high = place
            if length < shortest:
                shortest = length
            elif length > longest:
                longest = length
        spread = longest - shortest
        total = _BUNDLE + (spread + 64 * (high - low + 1 - size)) * _COST
        if size < limits.least:
            total += _SHORT
        if spread > limits.spread_16:
            total += _WIDE
        return total - self.full * (weight / limits.weight_100) ** 2

    def step(self, draw: Iterator[float], heat: float) -> None:
        """One move or swap between two bundles, taken or left."""
        count = len(self.bundles)
        a, b = int(next(draw) * (count - 1)), int(next(draw) * count)
        one, other = self.bundles[a], self.bundles[b]
        i, j = int(next(draw) * len(one)), int(next(draw) * 2 * len(other)) - len(other)
        if a == b:
            return
        taken, given = (other[j],) if other and j >= 0 else (), one[i]
        left = (*one[:i], *one[i + 1 :], *taken)
        grown = (*other[:j], *other[j + 1 :], given) if taken else (*other, given)
        if not (self._fits(left) and self._fits(grown)):
            return
        low, high = self._energy(left), self._energy(grown)
        more = low + high - self.energies[a] - self.energies[b]
        if more <= 0 or next(draw) < exp(-more / heat):
            self.bundles[a], self.bundles[b] = left, grown
            self.energies[a], self.energies[b] = low, high
            self.total += more
            self._tidy(a, b)

    def _fits(self, bundle: Bundle) -> bool:
        """Whether a bundle keeps to its limits; one piece may be as heavy as it is."""
        if len(bundle) < 2:
            return True
        return len(bundle) <= self.limits.most and sum(unit[2] for unit in bundle) <= self.limits.weight_100

    def _tidy(self, a: int, b: int) -> None:
        """Keep one empty bundle, at the end, and the best plan."""
        last = len(self.bundles) - 1
        if b == last:
            self.bundles.append(())
            self.energies.append(0.0)
        if not self.bundles[a]:
            del self.bundles[a], self.energies[a]
        if self.total < self.least + self.full:
            found = [bundle for bundle in self.bundles if bundle]
            tried = score(found, self.limits)
            if tried < self.best_score:
                self.best, self.best_score, self.least = found, tried, min(self.least, self.total)
