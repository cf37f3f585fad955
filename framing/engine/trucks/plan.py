"""A truck plan: which thing lies where on which truck, and what a search answers (R47)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stack:
    """Things on each other, with their front ends in line.

    Attributes:
        lane: the first lane that it takes, 1 at the driver's side.
        lanes: how many lanes it takes side by side.
        x_16: from the headboard to its front end.
        things: ids from the deck up.
    """

    lane: int
    lanes: int
    x_16: int
    things: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Truck:
    """A loaded truck; a locked one stays as it is when the rest is planned anew."""

    number: int
    kind: str
    stacks: tuple[Stack, ...] = ()
    locked: bool = False

    @property
    def things(self) -> tuple[str, ...]:
        return tuple(thing for stack in self.stacks for thing in stack.things)


@dataclass(frozen=True, slots=True)
class TrucksPlan:
    """All trucks by number, and the ids of what has no place on them."""

    trucks: tuple[Truck, ...] = ()
    left: tuple[str, ...] = ()

    @property
    def places(self) -> Iterator[tuple[Truck, Stack, str]]:
        """Each thing on a truck with where it lies."""
        return (
            (truck, stack, thing) for truck in self.trucks for stack in truck.stacks for thing in stack.things
        )


@dataclass(frozen=True, slots=True)
class BoundTerm:
    """The fewest trucks that one rule allows; `words` say how it comes about."""

    name: str
    trucks: int
    words: str


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan takes fewer trucks than this; `binding` names the term that says so. Nothing to load: 0 and ""."""

    trucks: int
    binding: str
    terms: tuple[BoundTerm, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a search found.

    Attributes:
        bound: for all things of the task.
        fewest: no plan takes fewer trucks: the bound says so, or the exact search proved it.
        words: count, bound, which term binds, and how the plan was found, as one or two sentences.
        stopped: the search was told to stop before its end.
    """

    plan: TrucksPlan
    bound: Bound
    fewest: bool
    words: str
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a plan breaks.

    Attributes:
        rule: "payload", "deck", "lanes", "height", "tiers", "bears", "longer", "wider", "stop", "own place",
            "overhang", "kind", "count", "twice" or "unknown"; "missing" for a thing that the plan leaves out.
        truck: its number, 0 where it is the whole plan's affair.
        thing: the thing's id, "" where the truck is meant.
        words: names thing, value, limit and what to do.
    """

    rule: str
    truck: int
    thing: str
    words: str


@dataclass(frozen=True, slots=True)
class Edited:
    """The plan after the dispatcher's step, and the step in words."""

    plan: TrucksPlan
    words: str
