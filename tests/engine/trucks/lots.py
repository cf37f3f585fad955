"""Random loads for tests and benches: equal seeds give equal loads."""

from __future__ import annotations

from random import Random

from framing.engine.trucks.facts import Effort, LoadTask, Thing, TruckKind

FLATBED = TruckKind(stack_height_16=60 * 16, tiers=5)
WIDE_16 = 20 * 16  # five lanes on 102 in


def lot(seed: int, count: int, *, heavy: bool, stops: int, effort: Effort = Effort()) -> LoadTask:  # noqa: B008
    """Bundles of 8 to 40 ft, 8 to 12 in high; light ones of 300 to 900 lb, heavy ones of 1,000 to 2,000 lb."""
    draw = Random(seed * 1000 + count * 10 + stops * 2 + heavy)  # noqa: S311 - made-up loads
    things = []
    for n in range(1, count + 1):
        weight = draw.uniform(1000, 2000) if heavy else draw.uniform(300, 900)
        things.append(
            Thing(
                id=f"B{n}",
                name=f"Bundle {n}",
                length_16=draw.randrange(8 * 12, 40 * 12 + 1) * 16,
                width_16=WIDE_16,
                height_16=draw.choice((8, 10, 12)) * 16,
                weight_lb=round(weight, 2),
                stop=draw.randint(1, stops),
            )
        )
    return LoadTask(tuple(things), (FLATBED,), effort=effort)
