"""A load task as whole numbers: things in a fixed order, and each kind of truck with its lanes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from framing.engine.trucks.facts import INCH, LoadTask, Thing, TruckKind, TrucksRefused
from framing.engine.units import format_length

MANY: Final = 1 << 30
"""More trucks, or tiers, than anybody has."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A kind of truck for the things of a task, by their index.

    Attributes:
        lanes: how many the deck has side by side; each has an equal share of the width.
        payload_100: in 1/100 lb.
        count: how many there are.
        carries: whether it can carry a thing at all.
        lengths: what a thing takes of the deck; what overhangs takes all of it.
        needs: how many lanes it takes side by side, from any lane on.
    """

    kind: TruckKind
    lanes: int
    payload_100: int
    count: int
    carries: tuple[bool, ...]
    lengths: tuple[int, ...]
    needs: tuple[int, ...]

    @property
    def deck(self) -> int:
        return self.kind.deck_length_16


class Model:
    """Raises TrucksRefused where a thing can't be carried, is there twice, or a size makes no sense."""

    def __init__(self, task: LoadTask) -> None:
        self.task = task
        # the order says nothing about a plan: whatever way things come in, the plan is the same
        self.things = sorted(task.things, key=lambda t: (-t.stop, -t.length_16, -t.weight_100, t.id))
        self.lane_16 = lane_width_16(task)
        frames = [_frame(kind, self) for kind in task.kinds if kind.count != 0]
        self.frames = tuple(sorted(frames, key=lambda f: (-f.payload_100, -f.deck * f.lanes, f.kind.name)))
        self.lengths = [thing.length_16 for thing in self.things]
        self.heights = [thing.height_16 + task.dunnage.height_16 for thing in self.things]
        self.weights = [thing.weight_100 for thing in self.things]
        self.stops = [thing.stop for thing in self.things]
        self.bears = [MANY if thing.bears is None else thing.bears for thing in self.things]
        self.most = [self._in_a_stack(index) for index in range(len(self.things))]
        _check(self)

    def _in_a_stack(self, index: int) -> int:
        """How many things a stack with this one holds at most, by what it and all that could lie below it bear."""
        own, bears = self.things[index], self.bears[index]
        if own.own_place or bears >= MANY:
            return bears + 1
        below = (
            self.bears[other]
            for other, thing in enumerate(self.things)
            if other != index
            and thing.length_16 >= own.length_16
            and thing.stop >= own.stop
            and any(frame.needs[other] >= frame.needs[index] for frame in self.frames)
        )
        return max((bears, *below)) + 1

    @property
    def available(self) -> int:
        """Trucks that there are; no more than things, as none goes empty."""
        return min(sum(frame.count for frame in self.frames), len(self.things))

    def largest(self, count: int) -> list[Frame]:
        """The first `count` trucks, large ones first."""
        return [frame for frame in self.frames for _ in range(min(frame.count, count))][:count]


def lane_width_16(task: LoadTask) -> int:
    """Width of a lane: what the task says, else the widest bundle, else that pack's whose lanes waste the least."""
    bundles = [thing.width_16 for thing in task.things if not thing.pack]
    if task.lane_width_16 or bundles or not task.things or not task.kinds:
        return task.lane_width_16 or max(bundles, default=INCH)
    return min({thing.width_16 for thing in task.things}, key=lambda width: (_taken(task, width), -width))


def _taken(task: LoadTask, lane_16: int) -> Fraction:
    """What all things would take of a deck of the first kind, were its lanes that wide."""
    kind = task.kinds[0]
    lanes = lanes_of(kind, lane_16)
    return Fraction(sum(t.length_16 * span_of(t.width_16, kind, lanes) for t in task.things), lanes)


def lanes_of(kind: TruckKind, lane_16: int) -> int:
    """Lanes side by side: the deck's width over a lane's, rounded down; one at least."""
    return max(1, kind.deck_width_16 // lane_16)


def span_of(width_16: int, kind: TruckKind, lanes: int) -> int:
    """How many lanes a thing takes: each lane has an equal share of the deck's width."""
    return -(-width_16 * lanes // kind.deck_width_16)


def _frame(kind: TruckKind, model: Model) -> Frame:
    lanes = lanes_of(kind, model.lane_16)
    things, dunnage_16 = model.things, model.task.dunnage.height_16
    carries = tuple(why_not(thing, kind, dunnage_16) is None for thing in things)
    return Frame(
        kind=kind,
        lanes=lanes,
        payload_100=kind.payload_100,
        count=MANY if kind.count is None else kind.count,
        carries=carries,
        lengths=tuple(min(thing.length_16, kind.deck_length_16) for thing in things),
        needs=tuple(span_of(thing.width_16, kind, lanes) for thing in things),
    )


def why_not(thing: Thing, kind: TruckKind, dunnage_16: int) -> tuple[str, float, float] | None:
    """What keeps a kind of truck from carrying a thing: which measure, its value and the limit; None if nothing."""
    limits = (
        ("weight", thing.weight_100 / 100, kind.payload_100 / 100),
        ("length", thing.length_16, kind.deck_length_16 + kind.overhang_16),
        ("width", thing.width_16, kind.deck_width_16),
        ("height on its dunnage", thing.height_16 + dunnage_16, kind.stack_height_16),
        ("tiers", 1, kind.tiers),
    )
    return next((limit for limit in limits if limit[1] > limit[2]), None)


def why_not_words(thing: Thing, kind: TruckKind, task: LoadTask) -> str:
    """The same as a sentence that says what to do; "" if nothing keeps it."""
    found = why_not(thing, kind, task.dunnage.height_16)
    if found is None:
        return ""
    what, value, limit = found
    if what == "weight":
        return (
            f"{thing.name} weighs {value:,.0f} lb, over the {limit:,.0f} lb that a {kind.name} may carry; split it or "
            "choose a stronger truck."
        )
    if what == "tiers":
        return f"A {kind.name} bears no tier; say how many things may lie on each other there, one at least."
    has, may = (format_length(round(size), task.units) for size in (value, limit))
    rest = {
        "length": f"of deck and overhang of a {kind.name}; choose a longer truck, or make it shorter",
        "width": f"of the deck of a {kind.name}; choose a wider truck, or split it",
        "height on its dunnage": f"that a load on a {kind.name} may be high; lay it flat, or split it",
    }[what]
    return f"{thing.name} has a {what} of {has}, over the {may} {rest}."


def _check(model: Model) -> None:
    seen: set[str] = set()
    for thing in model.things:
        if thing.id in seen:
            raise TrucksRefused(f"{thing.name} is on the list twice; take one of the two off.")
        seen.add(thing.id)
        _check_sizes(thing)
    names = [kind.name for kind in model.task.kinds]
    if twice := next((name for name in names if names.count(name) > 1), None):
        raise TrucksRefused(f"Two kinds of truck are called {twice}; name one of them otherwise.")
    if model.things and not model.frames:
        raise TrucksRefused("There is no truck to load; say which kinds there are and how many.")
    for index, thing in enumerate(model.things):
        if not any(frame.carries[index] for frame in model.frames):
            raise TrucksRefused(why_not_words(thing, model.frames[0].kind, model.task))


def _check_sizes(thing: Thing) -> None:
    least = min(thing.length_16, thing.width_16, thing.height_16)
    if least <= 0:
        raise TrucksRefused(
            f"{thing.name} has a size of {least / INCH:g} in; give length, width and height over 0."
        )
    if thing.weight_100 < 0:
        raise TrucksRefused(f"{thing.name} weighs {thing.weight_lb:g} lb; give a weight of 0 lb or more.")
    if thing.stop < 1:
        raise TrucksRefused(f"{thing.name} comes off at stop {thing.stop}; number stops from 1 on.")


def by_lane(frame: Frame, index: int) -> Iterator[int]:
    """First lanes, from 0, where a thing may stand on the deck."""
    return iter(range(frame.lanes - frame.needs[index] + 1))
