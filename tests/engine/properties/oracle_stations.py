"""The oracle's stations: R3 written plainly, and the readings for bays that run side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from tests.engine.properties.oracle_ground import Ground, NoAnswer, Rim, Stretch, nearest

FLANGE = 26  # 1 5/8 in, the profile that the tests lay out with
RIM = 18  # 1 1/8 in
NEAR = 48  # 3 in


@dataclass(frozen=True)
class Station:
    """A joist line; on a border at the bay's far side it meets what lies just before it (way -1)."""

    exact: Fraction
    across: int
    stretch: Stretch
    way: int = 1

    def meets(self, low: Fraction, high: Fraction) -> bool:
        return low <= self.across < high if self.way > 0 else low < self.across <= high


def stations_of(ground: Ground) -> list[Station]:
    """R3."""
    kept: list[Station] = []
    dropped = []
    rims = list(ground.rims())
    exact = Fraction(ground.bay.offset_16)
    while nearest(exact) < ground.far:
        across = nearest(exact)
        for stretch in ground.scan(across):
            rim = next((r for r in rims if stretch.shares(r.low, r.high) and _too_near(across, r)), None)
            if rim is None:
                kept.append(Station(exact, across, stretch))
                continue
            beyond = ground.scan(rim.place, 1 if rim.before else -1)
            if any(stretch.shares(s.low.along, s.high.along) for s in beyond):
                moved = rim.place - RIM - NEAR if rim.before else rim.place + RIM + NEAR
                own = [s for s in ground.scan(moved) if s.shares(stretch.low.along, stretch.high.along)]
                if not own:
                    raise NoAnswer("a station moved over a border")
                kept.append(Station(moved, int(moved), own[0]))
            else:
                dropped.append((rim, stretch))
        exact += ground.bay.spacing_16
    extra = {_closing(ground, kept, rim, stretch) for rim, stretch in dropped} - {None}
    return sorted([*kept, *(s for s in extra if s)], key=lambda s: (s.across, s.stretch.low.along))


def _too_near(across: int, rim: Rim) -> bool:
    if rim.before:
        return rim.place - RIM - NEAR < across < rim.place
    return rim.place <= across < rim.place + RIM + NEAR


def _closing(ground: Ground, kept: list[Station], rim: Rim, stretch: Stretch) -> Station | None:
    """The joist in the middle of what is left beside a rim whose station was not set."""
    span = stretch.low.along, stretch.high.along
    others = [s.exact for s in kept if s.stretch.shares(*span)]
    others += [r.place for r in ground.rims() if r.place != rim.place and stretch.shares(r.low, r.high)]
    side = [o for o in others if (o < rim.place if rim.before else o > rim.place)]
    if not side:
        raise NoAnswer("no joist in the bay")
    other = max(side) if rim.before else min(side)
    if abs(rim.place - other) <= ground.bay.spacing_16:
        return None
    middle = (rim.place + other) / 2
    own = [s for s in ground.scan(nearest(middle)) if s.shares(*span)]
    return Station(middle, nearest(middle), own[0])


@dataclass(frozen=True)
class Border:
    """A stretch of border that the joists of two bays run beside: its plan place across, from, to, and whose."""

    place: Fraction
    low: Fraction
    high: Fraction
    pair: tuple[int, int]
    later: Stretch  # the ground of the later bay along it


def close_borders(grounds: list[Ground], found: list[list[Station]]) -> None:
    """Between two bays side by side: a closing joist in too wide a space, the later joist gone in too narrow a one."""
    first = [list(stations) for stations in found]
    for i, one in enumerate(grounds):
        for j in range(i + 1, len(grounds)):
            if one.bay.axis == grounds[j].bay.axis:
                for border in _borders(one, grounds[j], (i, j)):
                    _settle(grounds, first, found, border)


def _borders(one: Ground, other: Ground, pair: tuple[int, int]) -> Iterator[Border]:
    for ua, va, ub, vb, edge in one.ring:
        if ua != ub or edge is not None:
            continue
        place = one.plan_across(ua)
        away = place - other.plan_across(0)
        theirs = -away if other.bay.start == "high" else away
        for way in (-1, 1):
            flip = way if (one.bay.start == other.bay.start) else -way
            for mine in one.scan(ua, way):
                for its in other.scan(theirs, -flip):
                    low = max(va, mine.low.along, its.low.along)
                    high = min(vb, mine.high.along, its.high.along)
                    if low < high:
                        yield Border(place, low, high, pair, its)


def _settle(
    grounds: list[Ground], first: list[list[Station]], found: list[list[Station]], border: Border
) -> None:
    """What the two joists nearest to a border, one of each bay, ask for."""
    nearest_ones = []
    for index in border.pair:
        beside = [s for s in first[index] if s.stretch.shares(border.low, border.high)]
        if not beside:
            return
        ground = grounds[index]
        nearest_ones.append(min(beside, key=lambda s: abs(ground.plan_across(s.across) - border.place)))
    near = [grounds[i].plan_across(s.exact) for i, s in zip(border.pair, nearest_ones, strict=True)]
    apart = abs(near[0] - near[1])
    widths = [FLANGE * grounds[index].bay.plies for index in border.pair]
    if apart > max(grounds[index].bay.spacing_16 for index in border.pair):
        spaces = ceil(apart / max(grounds[index].bay.spacing_16 for index in border.pair))
        for number in range(1, spaces):
            _close(grounds, found, border, near, near[0] + (near[1] - near[0]) * number / spaces)
    elif 2 * apart < sum(widths) and _within(nearest_ones[1].stretch, border.later):
        _part(grounds, first, found, border, nearest_ones)


def _part(
    grounds: list[Ground],
    first: list[list[Station]],
    found: list[list[Station]],
    border: Border,
    pair: list[Station],
) -> None:
    """Of two joists that would stand in each other the later one goes, or moves off where it leaves too much space."""
    one, other = (grounds[index] for index in border.pair)
    kept, later = pair
    stays = one.plan_across(kept.across)
    all_ = found[border.pair[1]] = [s for s in found[border.pair[1]] if s is not later]
    way = _side_of(grounds, border, later)
    most = max(one.bay.spacing_16, other.bay.spacing_16)
    spans = later.stretch.low.along, later.stretch.high.along
    for s in first[border.pair[1]]:
        reached = s.stretch.low.along <= spans[0] and spans[1] <= s.stretch.high.along
        beyond = (other.plan_across(s.across) - border.place) * way >= 0
        near = abs(other.plan_across(s.exact) - one.plan_across(kept.exact)) <= most
        if s is not later and reached and beyond and near:
            return
    moved = stays + way * -(-FLANGE * (one.bay.plies + other.bay.plies) // 2)
    across = int(abs(moved - other.plan_across(0)))
    on_it = [stretch for stretch in other.scan(across) if stretch.shares(*spans)]
    all_ += [Station(Fraction(across), across, stretch) for stretch in on_it]


def _side_of(grounds: list[Ground], border: Border, later: Station) -> int:
    """On which side of a border the later bay lies: 1 towards larger plan coordinates."""
    ground = grounds[border.pair[1]]
    away = abs(ground.plan_across(0) - border.place)
    begins = away == 0 or later.across > away
    return 1 if begins is (ground.bay.start == "low") else -1


def _within(stretch: Stretch, border: Stretch) -> bool:
    return border.low.along <= stretch.low.along and stretch.high.along <= border.high.along


def _close(
    grounds: list[Ground],
    found: list[list[Station]],
    border: Border,
    near: list[Fraction],
    middle: Fraction,
) -> None:
    home, way = _home(grounds, border, near, middle)
    ground = grounds[home]
    exact = abs(middle - ground.plan_across(0))
    across = nearest(exact)
    own = [s for s in ground.scan(across, way) if s.shares(border.low, border.high)]
    if not own:  # rounded on to the bay's far border
        way = -1
        own = [s for s in ground.scan(across, way) if s.shares(border.low, border.high)]
    found[home].append(Station(exact, across, own[0], way))


def _home(grounds: list[Ground], border: Border, near: list[Fraction], middle: Fraction) -> tuple[int, int]:
    """The bay that a closing joist belongs to, and from which side to ask what it meets."""
    place = border.place
    pairs = list(zip(border.pair, near, strict=True))
    if middle != place:
        return next(i for i, n in pairs if (n < place) == (middle < place)), 1
    ends = [i for i, n in pairs if (n < place) == (grounds[i].bay.start == "low")]
    return (ends[0], -1) if ends else (border.pair[1], 1)
