"""What a stack breaks: its place on the deck, its height and tiers, and what lies on what (R47)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from framing.engine.trucks.facts import Thing
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.model import why_not_words
from framing.engine.trucks.plan import Broken, Stack, Truck


def stack_breaks(hold: Hold, truck: Truck, stack: Stack) -> Iterator[Broken]:
    """All that a stack of known things breaks on a truck of a known kind."""
    if not stack.things:
        words = f"Truck {truck.number} has a stack of nothing on lane {stack.lane}; take it out."
        yield Broken("deck", truck.number, "", words)
        return
    for thing in stack.things:
        words = why_not_words(hold.things[thing], hold.frame(truck).kind, hold.task)
        if words:
            yield Broken("kind", truck.number, thing, words)
    yield from _across(hold, truck, stack)
    yield from _along(hold, truck, stack)
    yield from _up(hold, truck, stack)
    for tier, (lower, upper) in enumerate(pairwise(hold.things[thing] for thing in stack.things), start=1):
        yield from _one_on_another(hold, truck, lower, upper)
        on_it = len(stack.things) - tier
        if lower.bears is not None and on_it > lower.bears:
            words = f"{lower.name} bears {_tiers(lower.bears)} and would carry {on_it}; put what lies on it elsewhere."
            yield Broken("bears", truck.number, lower.id, words)


def _across(hold: Hold, truck: Truck, stack: Stack) -> Iterator[Broken]:
    """On lanes that are there, and on as many as the bottom is wide."""
    frame, thing = hold.frame(truck), hold.things[stack.things[0]]
    needs = hold.span(truck, thing.id)
    last = stack.lane + stack.lanes - 1
    if stack.lane < 1 or last > frame.lanes or stack.lanes < 1:
        words = (
            f"{thing.name} would stand on lanes {stack.lane} to {last}; truck {truck.number} has lanes 1 to "
            f"{frame.lanes}. Choose a lane that is there."
        )
        yield Broken("lanes", truck.number, thing.id, words)
    elif stack.lanes < needs:
        words = (
            f"{thing.name} is {hold.size(thing.width_16)} wide and needs {needs} lanes side by side, not "
            f"{stack.lanes}; choose a place that has them."
        )
        yield Broken("lanes", truck.number, thing.id, words)


def _along(hold: Hold, truck: Truck, stack: Stack) -> Iterator[Broken]:
    """Between headboard and rear end; what is longer than the deck begins at the headboard."""
    deck_16, thing = hold.frame(truck).deck, hold.things[stack.things[0]]
    end_16 = stack.x_16 + hold.on_deck(truck, thing.id)
    if stack.x_16 >= 0 and end_16 <= deck_16:
        return
    if stack.x_16 < 0:
        words = f"{thing.name} would stand {hold.size(-stack.x_16)} before the headboard; move it back."
    else:
        words = (
            f"On lane {stack.lane} of truck {truck.number} {thing.name} would end {hold.size(end_16)} from the "
            f"headboard, {hold.size(end_16 - deck_16)} past the {hold.size(deck_16)} deck; choose another lane or "
            "truck."
        )
    yield Broken("deck", truck.number, thing.id, words)


def _up(hold: Hold, truck: Truck, stack: Stack) -> Iterator[Broken]:
    kind, top = hold.frame(truck).kind, stack.things[-1]
    height_16, tiers = hold.height_16(stack.things), len(stack.things)
    if height_16 > kind.stack_height_16:
        words = (
            f"With {hold.name(top)} the stack would be {hold.size(height_16)} high on its dunnage, over the "
            f"{hold.size(kind.stack_height_16)} of a {kind.name}; put it on a lower stack."
        )
        yield Broken("height", truck.number, top, words)
    if tiers > kind.tiers:
        words = (
            f"With {hold.name(top)} the stack would have {tiers} tiers, over the {kind.tiers} of a {kind.name}; put "
            "it on a lower stack."
        )
        yield Broken("tiers", truck.number, top, words)


def _one_on_another(hold: Hold, truck: Truck, lower: Thing, upper: Thing) -> Iterator[Broken]:
    """The one above is no longer, no wider, and comes off no later."""
    on = f"would lie on {lower.name}"
    if upper.own_place:
        words = f"{upper.name} stands on the deck, never on {lower.name}; give it a place of its own."
        yield Broken("own place", truck.number, upper.id, words)
    if upper.length_16 > lower.length_16:
        words = (
            f"{upper.name} is {hold.size(upper.length_16)} long and {on} of {hold.size(lower.length_16)}; put it on "
            "one at least as long, or on the deck."
        )
        yield Broken("longer", truck.number, upper.id, words)
    if hold.span(truck, upper.id) > hold.span(truck, lower.id):
        words = (
            f"{upper.name} is {hold.size(upper.width_16)} wide and {on} of {hold.size(lower.width_16)}, which takes "
            "fewer lanes; put it on one as wide, or on the deck."
        )
        yield Broken("wider", truck.number, upper.id, words)
    if upper.stop > lower.stop:
        words = (
            f"{upper.name} comes off at stop {upper.stop} and {on}, which comes off before it at stop {lower.stop}; "
            "put it on one that comes off at the same stop or later."
        )
        yield Broken("stop", truck.number, upper.id, words)


def _tiers(count: int) -> str:
    return {0: "nothing on it", 1: "1 tier"}.get(count, f"{count} tiers")
