"""Runs of members that share one text: equal neighbours, and series of marks one after another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from framing.drawing.members import Drawn
from framing.drawing.paper import Spot
from framing.drawing.svg import TIMES
from framing.engine.members import MemberKind

TO = "\N{EN DASH}"
_TIGHT = 5.3  # mm between joists that have no room for a mark each
_SHORT = 12.5  # nor have joists this short, up to _WIDE apart: a mark along them is as long
_WIDE = 14.0
_COMMON = 8.0  # mm that the joists of a series have in common, unless they are shorter
_LEAST = 1.0  # mm then
_SERIES = 3


@dataclass(frozen=True, slots=True)
class Lane:
    """A run on the paper in its own directions: u counts across the members, v along them, both in mm."""

    upright: bool
    us: tuple[float, ...]
    v_low: float
    v_high: float
    half_width: float

    def spot(self, u: float, v: float) -> Spot:
        return Spot(u, v) if self.upright else Spot(v, u)

    @property
    def v_printed(self) -> float:
        """The printed end: the plan's low end is at the foot of an upright lane, else at the left."""
        return self.v_high if self.upright else self.v_low


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring members with one mark and one reach, or a series of marks that rise by one from each to the next."""

    members: tuple[Drawn, ...]
    series: bool = False

    @property
    def text(self) -> str:
        mark = self.members[0].member.mark
        if self.series:
            return f"{mark}{TO}{self.members[-1].member.mark}"
        return f"{mark} {TIMES} {len(self.members)}" if len(self.members) > 1 else mark

    @property
    def lane(self) -> Lane:
        """Over what all members of the run have in common."""
        first = self.members[0]
        boxes = [item.box for item in self.members]
        if first.upright:
            low, high = max(box.top for box in boxes), min(box.bottom for box in boxes)
        else:
            low, high = max(box.left for box in boxes), min(box.right for box in boxes)
        us = tuple(sorted(_u(item) for item in self.members))
        return Lane(first.upright, us, low, high, first.half_width)


def _u(item: Drawn) -> float:
    return item.centre.a.x if item.upright else item.centre.a.y


def find_runs(drawn: Iterable[Drawn]) -> tuple[Run, ...]:
    """Runs of a floor: headers and trimmers alone, joists until one of another mark stands between."""
    items = tuple(item for item in drawn if item.member.mark)
    runs = [Run((item,)) for item in items if item.member.runs == "across"]
    bays = dict.fromkeys(item.member.bay for item in items)
    for bay in bays:
        along = [item for item in items if item.member.bay == bay and item.member.runs == "along"]
        found = _runs_along(sorted(along, key=lambda item: (item.member.centre_16, item.member.low_16)))
        runs.extend(_with_series(list(found)))
    return tuple(runs)


def _with_series(runs: list[Run]) -> Iterator[Run]:
    """Where single joists stand too close for a mark each, those with marks one after another share a text."""
    singles = [run for run in runs if len(run.members) == 1 and not _alone(run.members[0])]
    yield from (run for run in runs if run not in singles)
    singles.sort(key=lambda run: (run.members[0].member.line, _u(run.members[0])))
    row: list[Drawn] = []
    for item in (run.members[0] for run in singles):
        if row and not _follows(row, item):
            yield from _closed(row)
            row = []
        row.append(item)
    yield from _closed(row)


def _follows(row: list[Drawn], item: Drawn) -> bool:
    before = row[-1]
    short = max(run.lane.v_high - run.lane.v_low for run in (Run((before,)), Run((item,)))) < _SHORT
    near = before.member.line == item.member.line and _u(item) - _u(before) <= (_WIDE if short else _TIGHT)
    step = _number(item) - _number(before)
    steady = step in (1, -1) and (len(row) == 1 or step == _number(before) - _number(row[-2]))
    common, own = (lane.v_high - lane.v_low for lane in (Run((*row, item)).lane, Run(tuple(row)).lane))
    return near and steady and (common >= _COMMON or (own < _COMMON and common >= _LEAST))


def _number(item: Drawn) -> int:
    return int(
        "".join(sign for sign in item.member.mark.rpartition(item.member.kind.value)[2] if sign.isdigit())
        or 0
    )


def _closed(row: list[Drawn]) -> Iterator[Run]:
    if len(row) >= _SERIES:
        yield Run(tuple(row), series=True)
    else:
        yield from (Run((item,)) for item in row)


def _alone(item: Drawn) -> bool:
    """Trimmers: their opening lies between them."""
    return item.member.kind is MemberKind.TRIMMER


def _runs_along(items: list[Drawn]) -> Iterator[Run]:
    """Equal neighbours, in order across; a trimmer ends what goes past it and stands alone."""
    current: dict[tuple[str, int, int], list[Drawn]] = {}
    for item in items:
        key = (item.member.mark, item.member.low_16, item.member.high_16)
        for other in [k for k in current if k != key and _side_by_side(current[k][-1], item)]:
            yield Run(tuple(current.pop(other)))
        if _alone(item):
            yield Run((item,))
        else:
            current.setdefault(key, []).append(item)
    for members in current.values():
        yield Run(tuple(members))


def _side_by_side(one: Drawn, other: Drawn) -> bool:
    """Whether the second stops a run that would go on past it; a lap or a short tail is not in the way."""
    a, b = one.member, other.member
    if a.line != b.line:
        return False
    shared = min(a.high_16, b.high_16) - max(a.low_16, b.low_16)
    return shared * 2 > a.length_16
