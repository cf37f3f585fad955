"""Made-up lots of pieces of one profile, by seed: floors as they are built, and heavy ones where weight decides."""

from __future__ import annotations

from random import Random

from framing.engine.bundling.costs import Limits, Unit

FT = 192
CAPS = (
    (800, 15, 1.9),
    (1000, 13, 2.6),
    (1200, 11, 3.6),
    (1400, 9, 4.4),
)  # depth, cap of R32, lb per ft about


def ordinary(seed: int, most: int = 400) -> tuple[list[Unit], Limits]:
    """A floor of 8 pieces and more: bays of one length each, openings with tails, other profiles in between.

    Bays of one lot differ by 4 ft at most, as those of one profile mostly do: one profile goes with one span.
    """
    draw = Random(seed)  # noqa: S311 - made-up lots, the same for each seed
    _, cap, plf = draw.choice(CAPS[:3])
    longest = draw.randrange(11 * FT, 20 * FT)
    lengths: list[int] = []
    wanted = draw.randint(8, most)
    while len(lengths) < wanted:
        length = longest - draw.choice((0, 0, 0, draw.randrange(0, 4 * FT)))
        run = [length] * min(draw.randint(4, 30), wanted - len(lengths))
        if draw.random() < 0.3 and len(run) > 6:
            at = draw.randrange(1, len(run) - 4)
            run[at : at + draw.randint(2, 4)] = [max(length - 3 * FT, longest - 4 * FT)] * draw.randint(2, 4)
        lengths += run
    return _placed(draw, lengths[:wanted], plf), Limits(8, cap, 200_000, 4 * FT)


def heavy(seed: int, most: int = 40) -> tuple[list[Unit], Limits]:
    """Long, deep pieces of several weights each: the lift limit is reached before the cap."""
    draw = Random(seed)  # noqa: S311 - made-up lots, the same for each seed
    _, cap, _ = draw.choice(CAPS[1:])
    kinds = [draw.randrange(22 * FT, 40 * FT) for _ in range(draw.randint(2, 4))]
    lengths = [draw.choice(kinds) for _ in range(draw.randint(8, most))]
    return _placed(draw, lengths, draw.uniform(6.0, 14.0)), Limits(8, cap, 200_000, 4 * FT)


def mixed(seed: int) -> tuple[list[Unit], Limits]:
    """16 to 60 pieces whose lengths and positions pull apart: what the search has to be good at."""
    draw = Random(seed)  # noqa: S311 - made-up lots, the same for each seed
    _, cap, plf = draw.choice(CAPS[:3])
    kinds = [draw.randrange(8 * FT, 22 * FT) for _ in range(draw.randint(2, 5))]
    lengths: list[int] = []
    wanted = draw.randint(16, 60)
    while len(lengths) < wanted:
        lengths += [draw.choice(kinds)] * draw.randint(1, 9)
    return _placed(draw, lengths[:wanted], plf), Limits(8, cap, 200_000, 4 * FT)


def _placed(draw: Random, lengths: list[int], plf: float) -> list[Unit]:
    """Pieces in install order; now and then one of another profile stands in between."""
    units, place = [], 0
    for length in lengths:
        place += 1 if draw.random() < 0.9 else draw.randint(2, 6)
        units.append(Unit(place, length, round(length / FT * plf * 100)))
    return units
