"""Random loads for tests and benches: equal seeds give equal loads."""

from __future__ import annotations

from random import Random

from framing.engine.trucks.facts import Effort, LoadTask, Thing, TruckKind
from framing.engine.trucks.sizes import pack_thing

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


def mixed_lot(seed: int, count: int, *, stops: int, effort: Effort = Effort()) -> LoadTask:  # noqa: B008
    """Of three things two are bundles 9 to 20 in wide, one a pack: boards, floor panels, a pallet or a box."""
    draw = Random(seed * 7919 + count * 31 + stops)  # noqa: S311 - made-up loads
    things = [_pack(draw, n, stops) if n % 3 == 0 else _bundle(draw, n, stops) for n in range(1, count + 1)]
    return LoadTask(tuple(things), (FLATBED,), lane_width_16=WIDE_16, effort=effort)


def _bundle(draw: Random, n: int, stops: int) -> Thing:
    return Thing(
        id=f"B{n}",
        name=f"Bundle {n}",
        length_16=draw.randrange(8 * 12, 40 * 12 + 1) * 16,
        width_16=draw.randrange(9, 21) * 16,
        height_16=draw.choice((8, 10, 12)) * 16,
        weight_lb=round(draw.uniform(300, 1500), 2),
        stop=draw.randint(1, stops),
    )


def _pack(draw: Random, n: int, stops: int) -> Thing:
    title, low_lb, high_lb = draw.choice(
        (("Boards", 400, 900), ("Boards", 400, 900), ("Sheathing", 900, 3000), ("Sheathing", 900, 3000),
         ("Hardware", 60, 290), ("Hardware", 320, 900))
    )  # fmt: skip
    weight_lb = round(draw.uniform(low_lb, high_lb), 2)
    return pack_thing(f"C{n}", f"Pack {n}", f"L1: {title}", weight_lb, draw.randint(1, stops))
