"""An independent checker of bundle plans, written from the rules R32-R35 and not from the planner's code."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from framing.engine.bundling.costs import Limits, Unit


def check_bundles(units: Sequence[Unit], plan: Sequence[Sequence[Unit]], limits: Limits) -> None:
    """Every piece once; sizes and weights within the limits; bundles and pieces in install sequence."""
    assert Counter(unit for bundle in plan for unit in bundle) == Counter(units)
    for bundle in plan:
        assert bundle, "a bundle without pieces"
        assert len(bundle) <= limits.most, f"{len(bundle)} pieces, at most {limits.most}"
        weight = 0
        for unit in bundle:
            weight += unit.weight_100
        assert len(bundle) == 1 or weight <= limits.weight_100, f"{weight} over {limits.weight_100}"
        places = [unit.place for unit in bundle]
        assert places == sorted(places), "pieces of a bundle in install order"
    first = [bundle[0].place for bundle in plan]
    assert first == sorted(first), "bundles in the order of their first pieces"


def ranks(plan: Sequence[Sequence[Unit]], limits: Limits) -> tuple[int, int, int, int]:
    """What plans are compared by, worked out anew: short ones, over the spread, bundles, then the cost (R33, R35).

    The cost in sixteenths: spread, 4 in for each position skipped, 100 in for a short bundle and 50 in for each piece
    that it lacks.
    """
    short = wide = cost = 0
    for bundle in plan:
        lengths, places = [u.length_16 for u in bundle], [u.place for u in bundle]
        spread = max(lengths) - min(lengths)
        cost += spread + 4 * 16 * (max(places) - min(places) + 1 - len(bundle))
        wide += spread > limits.spread_16
        if len(bundle) < limits.least:
            short += 1
            cost += 100 * 16 + 50 * 16 * (limits.least - len(bundle))
    return short, wide, len(plan), cost
