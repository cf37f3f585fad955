"""Marks: one text for each run of equal members, between two of them, with a thin bracket over the run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from framing.drawing.labels import HEAVY, ROOM, TEXT, Candidate, Label, Scene, text_box
from framing.drawing.members import Drawn
from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.svg import CAP_HEIGHT, TIMES, text_width
from framing.engine.members import MemberKind

TO = "\N{EN DASH}"
_TIGHT = 5.3  # mm between joists that have no room for a mark each
_SHORT = 12.5  # nor have joists this short, up to _WIDE apart: a mark along them is as long
_WIDE = 14.0
_COMMON = 8.0  # mm that the joists of a series have in common, unless they are shorter
_LEAST = 1.0  # mm then
_SERIES = 3
_STEP = 1.5  # mm between tried places along a member
_KEEP = 2.2  # mm kept from a member's ends
_CAP = TEXT * CAP_HEIGHT
_OUTSIDE = 60.0  # cost of a mark outside the outline, beyond a clear place inside
_ACROSS = 90.0  # cost of a mark across its members
_BEYOND = 60.0  # more cost of one across a single member's side
_LED = 100.0  # cost of a mark with a leader
_NEAR = (0.0, 5.0, -5.0, 9.0, -9.0, 14.0, -14.0, 20.0, -20.0)  # tried offsets of a mark with a leader
_FAR = (0.0, 3.0, -3.0, 7.0, -7.0, 26.0, -26.0, 33.0, -33.0, 41.0, -41.0, 50.0, -50.0)


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


def place_marks(scene: Scene, runs: Iterable[Run], outline: Box) -> None:
    """Place the marks of the hardest runs first: those with the fewest places."""
    ordered = sorted(runs, key=lambda run: (len(run.members) > 1, run.lane.v_high - run.lane.v_low))
    for index, run in enumerate(ordered):
        label = Label(run.text, Spot(0, 0), False, owner=run.members[0].member.id)
        lane = run.lane
        wanted = 0.36 if index % 2 else 0.64
        room = outline.grown(ROOM)
        first, *others = (
            scene.within(label, stage, room)
            for stage in (
                _inside(lane, run.text, wanted),
                _outside(lane, run, outline),
                _across(lane, run.text),
                _led(lane, run.text, _NEAR),
                _led(lane, run.text, _FAR),
                _led_to_one(lane, run.text),
            )
        )
        scene.place(label, first, *zip((_OUTSIDE, _OUTSIDE, _OUTSIDE, HEAVY, HEAVY), others, strict=True))


def _inside(lane: Lane, text: str, wanted: float) -> Iterator[Candidate]:
    """Places along the members: in the spaces of the run, or at either side of a single member."""
    length = text_width(text, TEXT, mono=True)
    first, last = lane.v_low + _KEEP + length / 2, lane.v_high - _KEEP - length / 2
    middle = lane.v_low + (lane.v_high - lane.v_low) * wanted
    for u, cost in _spaces(lane):
        for v in _steps(first, last):
            strokes = _bracket(lane, v + length / 2 + 1.0)
            yield Candidate(lane.spot(u, v), lane.upright, cost + abs(v - middle) * 0.1, strokes)


def _spaces(lane: Lane) -> list[tuple[float, float]]:
    if len(lane.us) == 1:
        by = lane.half_width + _CAP / 2 + 0.75
        return [(lane.us[0] - by, 0.0), (lane.us[0] + by, 0.1)]
    middle = (lane.us[0] + lane.us[-1]) / 2
    centres = [(a + b) / 2 for a, b in zip(lane.us, lane.us[1:], strict=False)]
    return [(u, abs(u - middle) * 0.2) for u in sorted(centres, key=lambda u: abs(u - middle))[:7]]


def _bracket(lane: Lane, v: float) -> tuple[Stroke, ...]:
    """A line over the run with a short tick at each end; none for a single member."""
    if len(lane.us) == 1:
        return ()
    low, high = lane.us[0], lane.us[-1]
    return (
        Stroke(lane.spot(low, v), lane.spot(high, v)),
        Stroke(lane.spot(low - 0.4, v + 0.4), lane.spot(low + 0.4, v - 0.4)),
        Stroke(lane.spot(high - 0.4, v + 0.4), lane.spot(high + 0.4, v - 0.4)),
    )


def _outside(lane: Lane, run: Run, outline: Box) -> Iterator[Candidate]:
    """Places beyond the outline, where the members end at it, with the bracket along its edge."""
    edges = (outline.top, outline.bottom) if lane.upright else (outline.left, outline.right)
    length = text_width(run.text, TEXT, mono=True)
    for edge, end, way in ((edges[0], lane.v_low, -1.0), (edges[1], lane.v_high, 1.0)):
        if abs(edge - end) > 2.0:
            continue
        strokes = _bracket(lane, edge + way * 0.9)
        u_first, u_last = lane.us[0] - 2, lane.us[-1] + 2
        for u in _steps(u_first + length / 2, u_last - length / 2):
            cost = _OUTSIDE + abs(u - (u_first + u_last) / 2) * 0.1
            yield Candidate(lane.spot(u, edge + way * (1.6 + _CAP / 2)), not lane.upright, cost, strokes)


def _across(lane: Lane, text: str) -> Iterator[Candidate]:
    """The last resort: the text across the members, which are broken under it."""
    middle = (lane.us[0] + lane.us[-1]) / 2
    by = text_box(text, Spot(0, 0), False).width / 2
    shifts = (0.0,) if len(lane.us) > 1 else (by + 1.2, -by - 1.2)
    for v in _steps(lane.v_low + 2.5, lane.v_high - 2.5):
        for shift in shifts:
            strokes = _bracket(lane, v + _CAP / 2 + 0.9)
            yield Candidate(
                lane.spot(middle + shift, v), not lane.upright, _ACROSS + (_BEYOND if shift else 0.0), strokes
            )


def _led(lane: Lane, text: str, offs: Sequence[float]) -> Iterator[Candidate]:
    """For the crowded places: a level text at a distance, with a leader to the run."""
    u = (lane.us[0] + lane.us[-1]) / 2
    for share in (0.5, 0.3, 0.7):
        v = lane.v_low + (lane.v_high - lane.v_low) * share
        anchor = lane.spot(u, v)
        yield from _leaders(anchor, text, offs, _bracket(lane, v) or _slash(anchor))


def _led_to_one(lane: Lane, text: str) -> Iterator[Candidate]:
    """Where there is no room for the bracket of a run: a leader to its first or last member."""
    for u in dict.fromkeys((lane.us[0], lane.us[-1])):
        for share in (0.5, 0.2, 0.8, 0.35, 0.65, 0.06, 0.94):
            anchor = lane.spot(u, lane.v_low + (lane.v_high - lane.v_low) * share)
            yield from _leaders(anchor, text, (*_NEAR, *_FAR), _slash(anchor))


def _leaders(anchor: Spot, text: str, offs: Sequence[float], foot: tuple[Stroke, ...]) -> Iterator[Candidate]:
    for dx, dy in product(offs, offs):
        box = text_box(text, anchor.moved(dx, dy), False).grown(0.5)
        near = Spot(min(max(anchor.x, box.left), box.right), min(max(anchor.y, box.top), box.bottom))
        leader = Stroke(anchor, near)
        if leader.length > 2.0:
            yield Candidate(box.centre, False, _LED + leader.length, (leader, *foot))


def _slash(spot: Spot) -> tuple[Stroke, ...]:
    return (Stroke(spot.moved(-0.45, 0.45), spot.moved(0.45, -0.45)),)


def _steps(first: float, last: float) -> Iterator[float]:
    if last < first:
        return
    count = max(int((last - first) / _STEP), 1)
    for index in range(count + 1):
        yield first + (last - first) * index / count
