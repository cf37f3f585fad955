"""Marks: one text for each run of equal members, between two of them, with a thin bracket over the run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product

from framing.drawing.labels import HEAVY, ROOM, TEXT, Candidate, Label, Scene, text_box
from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.runs import Lane, Run
from framing.drawing.svg import CAP_HEIGHT, text_width

_STEP = 1.5  # mm between tried places along a member
_KEEP = 2.2  # mm kept from a member's ends
_CAP = TEXT * CAP_HEIGHT
_OUTSIDE = 60.0  # cost of a mark outside the outline, beyond a clear place inside
_ACROSS = 90.0  # cost of a mark across its members
_BEYOND = 60.0  # more cost of one across a single member's side
_LED = 100.0  # cost of a mark with a leader
_NEAR = (0.0, 5.0, -5.0, 9.0, -9.0, 14.0, -14.0, 20.0, -20.0)  # tried offsets of a mark with a leader
_FAR = (0.0, 3.0, -3.0, 7.0, -7.0, 26.0, -26.0, 33.0, -33.0, 41.0, -41.0, 50.0, -50.0)


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
            yield from _leaders(anchor, text, (*_NEAR, 27.0, -27.0), _slash(anchor))


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
