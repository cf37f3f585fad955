"""The fewest trucks that any plan takes (R47): the largest of several counts, each a rule by itself.

With several kinds of truck each count takes the trucks that serve its rule best first. None counts what only several
rules together forbid, so the truth may lie above; no plan lies below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import product, zip_longest

from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.model import MANY, Frame, Model
from framing.engine.trucks.plan import Bound, BoundTerm
from framing.engine.units import format_length


def lowest_bound(task: LoadTask) -> Bound:
    """The bound of a task's things, all of them, whatever is locked.

    Where there are fewer trucks than a term asks for, it is held to those that there are: the rest stays behind.

    Raises:
        TrucksRefused: facts that no plan can be made from.
    """
    return bound_of(Model(task))


def bound_of(model: Model) -> Bound:
    """The same for a task that is read already. Of equal terms the first one binds."""
    if not model.things:
        return Bound(0, "", ())
    terms = (
        _weight(model),
        _heavy(model),
        _deck(model),
        _tiers(model),
        _volume(model),
        _long(model),
        _stacks(model),
        _side_by_side(model),
    )
    binding = max(terms, key=lambda term: term.trucks)
    return Bound(binding.trucks, binding.name, terms)


def _weight(model: Model) -> BoundTerm:
    total = sum(model.weights)
    trucks = _fewest(model, total, lambda frame: frame.payload_100)
    return BoundTerm("weight", trucks, f"{total / 100:,.0f} lb in all, {_payloads(model)} a truck")


def _heavy(model: Model) -> BoundTerm:
    """For each weight: a truck takes so many things of that weight or more as its payload holds."""
    best, least = 0, 0
    for weight, count in _at_least(model.weights, [1] * len(model.weights)):
        if weight:
            trucks = _fewest(model, count, lambda frame, w=weight: frame.payload_100 // w)  # type: ignore[misc]
            best, least = max((best, least), (trucks, weight), key=lambda pair: pair[0])
    words = f"of things from {least / 100:,.0f} lb up a truck's payload holds a few only"
    return BoundTerm("heavy things", best, words)


def _deck(model: Model) -> BoundTerm:
    """What can't lie on anything else stands on the deck; lanes give its length."""
    own = [i for i, thing in enumerate(model.things) if thing.own_place]
    trucks = _fewest_by_frame(model, own, lambda f, i: f.lengths[i] * f.needs[i], lambda f: f.deck * f.lanes)
    return BoundTerm("deck places", trucks, f"{len(own)} things with a place of their own on the deck")


def _tiers(model: Model) -> BoundTerm:
    trucks = _fewest_by_frame(
        model,
        range(len(model.things)),
        lambda f, i: f.lengths[i] * f.needs[i] * _share(model, f, i, 2, 2 * f.kind.tiers),
        lambda f: f.deck * f.lanes * 2 * f.kind.tiers,
    )
    total = format_length(sum(model.lengths), model.task.units)
    return BoundTerm("length over lanes and tiers", trucks, f"{total} of length in all over lanes and tiers")


def _volume(model: Model) -> BoundTerm:
    trucks = _fewest_by_frame(
        model,
        range(len(model.things)),
        lambda f, i: (
            f.lengths[i] * f.needs[i] * _share(model, f, i, 2 * model.heights[i], 2 * f.kind.stack_height_16)
        ),
        lambda f: f.deck * f.lanes * 2 * f.kind.stack_height_16,
    )
    return BoundTerm(
        "length times height", trucks, "length times height, dunnage with it, over lanes and height"
    )


def _share(model: Model, frame: Frame, index: int, own: int, whole: int) -> int:
    """What a thing takes of a stack, of `whole`: all of it where nothing goes with it, else half where only one other
    thing does, else its own share, which is held to half, so that with such a one it is no more than the stack."""
    most = min(frame.kind.tiers, model.most[index])
    if most > 2:
        return min(own, whole // 2)
    return whole // most


def _long(model: Model) -> BoundTerm:
    """For each length: what is as long or longer lies only on its like, and a lane takes few of it end to end."""
    best, least = 0, 0
    spans = [min(frame.needs[i] for frame in model.frames) for i in range(len(model.things))]
    for length, count in _at_least(model.lengths, spans):
        lowest = min(h for h, own in zip(model.heights, model.lengths, strict=True) if own >= length)
        trucks = _fewest(model, count, lambda f, n=length, h=lowest: _places(f, n, h))  # type: ignore[misc]
        best, least = max((best, least), (trucks, length), key=lambda pair: pair[0])
    words = f"of things from {format_length(least, model.task.units)} up a lane takes few end to end"
    return BoundTerm("long things", best, words)


def _stacks(model: Model) -> BoundTerm:
    """However things are stacked, the n-th longest thing on the deck is at least so long; lanes must take them all.

    Asked of all things; of those that need so many lanes or more, for below them lie only such, and so many at most
    stand side by side; of those that bear so little, for few of them go in a stack.
    """
    needs = [min(frame.needs[i] for frame in model.frames) for i in range(len(model.things))]
    few = {bears for bears in model.bears if bears + 1 < max(frame.kind.tiers for frame in model.frames)}
    best, words = 0, ""
    for side, bears in product(sorted(set(needs)), (MANY, *sorted(few))):
        stacks, lanes = _stood(model, needs, side, bears)
        trucks = _fewest(model, lanes, lambda frame, n=side: frame.lanes // n)  # type: ignore[misc]
        if trucks > best:
            wide = "" if side == 1 else f", each {side} lanes or more wide"
            best, words = trucks, f"{stacks} stacks at least{wide}, which take {lanes * side} lanes or more"
    return BoundTerm("stacks", best, words)


def _side_by_side(model: Model) -> BoundTerm:
    """Deck that stacks take, lane by lane of their width: the n-th lane of a stack is one of what needs n or more.

    What stands alone takes its whole length in each; of the rest stacks hold so many tiers and so much height at most.
    """
    frames = model.frames
    needs = [min(frame.needs[i] for frame in frames) for i in range(len(model.things))]
    alone = [index for index, most in enumerate(model.most) if most == 1]
    least = sum(min(frame.lengths[i] for frame in frames) * needs[i] for i in alone)
    for wide in range(1, max(needs) + 1):
        rest = [i for i, need in enumerate(needs) if need >= wide and model.most[i] > 1]
        least += max((sum(_heads(model, rest, bears)) for bears in {model.bears[i] for i in rest}), default=0)
    trucks = _fewest(model, least, lambda frame: frame.deck * frame.lanes)
    words = f"stacks take {format_length(least, model.task.units)} of lanes or more"
    return BoundTerm("stacks side by side", trucks, words)


def _heads(model: Model, things: Sequence[int], bears: int) -> list[int]:
    """Lengths that the stacks of some things have at least: of those among them that bear so many or fewer."""
    kinds, deck = [frame.kind for frame in model.frames], max(frame.deck for frame in model.frames)
    slices = [(min(model.lengths[i], deck), model.heights[i]) for i in things if model.bears[i] <= bears]
    tiers = min(bears + 1, max(kind.tiers for kind in kinds))
    return _bottoms(sorted(slices, reverse=True), tiers, max(kind.stack_height_16 for kind in kinds))


def _stood(model: Model, needs: Sequence[int], side: int, bears: int) -> tuple[int, int]:
    """Stacks, and places of `side` lanes, that things so wide which bear so little take at least.

    Stacks hold so many tiers and so much height at most: n stacks hold no more than the first things by length up to
    n times that, so a further stack begins with the next thing or a longer one. A thing over several such places
    counts as one on each of them.
    """
    kinds, deck = [frame.kind for frame in model.frames], max(frame.deck for frame in model.frames)
    slices = [
        (min(length, deck), height)
        for length, height, need, may in zip(model.lengths, model.heights, needs, model.bears, strict=True)
        if may <= bears
        for _ in range(need // side)
    ]
    tiers = min(bears + 1, max(kind.tiers for kind in kinds))
    bottoms = _bottoms(sorted(slices, reverse=True), tiers, max(kind.stack_height_16 for kind in kinds))
    return len(bottoms), _lanes(bottoms, deck)


def _bottoms(slices: Sequence[tuple[int, int]], tiers: int, high: int) -> list[int]:
    """Lengths below which the longest, next, ... bottom of a stack can't be."""
    by_tiers = [length for length, _ in slices[::tiers]]
    by_height, sum_16 = list[int](), 0
    for length, height in slices:
        sum_16 += height
        by_height += [length] * (-(-sum_16 // high) - len(by_height))
    return [max(pair) for pair in zip_longest(by_tiers, by_height, fillvalue=0)]


def _lanes(bottoms: Sequence[int], deck: int) -> int:
    """Lanes that lengths take at least: those over half a deck share none, nor do those with what is too long."""
    best = -(-sum(bottoms) // deck)
    for least in {length for length in bottoms if 2 * length <= deck}:
        alone = sum(length > deck - least for length in bottoms)
        halves = [length for length in bottoms if deck - least >= length and 2 * length > deck]
        small = sum(length for length in bottoms if least <= length and 2 * length <= deck)
        over = small - sum(deck - length for length in halves)
        best = max(best, alone + len(halves) + max(0, -(-over // deck)))
    return max(best, sum(2 * length > deck for length in bottoms))


def _places(frame: Frame, length: int, lowest: int) -> int:
    """How many things of a length or more, none lower, a truck takes: end to end, on each other, side by side."""
    tiers = min(frame.kind.tiers, frame.kind.stack_height_16 // lowest)
    return max(1, frame.deck // length) * tiers * frame.lanes


def _at_least(values: Sequence[int], counts: Sequence[int]) -> Iterable[tuple[int, int]]:
    """Each value with the sum of the counts of what has it or more, largest value first."""
    pairs = sorted(zip(values, counts, strict=True), reverse=True)
    total = 0
    for place, (value, count) in enumerate(pairs):
        total += count
        if place + 1 == len(pairs) or pairs[place + 1][0] < value:
            yield value, total


def _fewest_by_frame(
    model: Model, things: Iterable[int], takes: Callable[[Frame, int], int], gives: Callable[[Frame], int]
) -> int:
    """Trucks by what things take of each kind; with several kinds the least that a thing takes of any, as a share."""
    indexes = list(things)
    if len(model.frames) == 1:
        frame = model.frames[0]
        return _fewest(model, sum(takes(frame, i) for i in indexes), gives)
    least = [min(takes(frame, i) for frame in model.frames) for i in indexes]
    return _fewest(model, sum(least), gives)


def _fewest(model: Model, need: int, gives: Callable[[Frame], int]) -> int:
    """The fewest trucks that together give what is needed, those that give most first; all if they don't."""
    trucks = 0
    for frame in sorted(model.frames, key=gives, reverse=True):
        each = gives(frame)
        if need <= 0 or each <= 0:
            break
        used = min(frame.count, -(-need // each))
        trucks, need = trucks + used, need - used * each
    return trucks


def _payloads(model: Model) -> str:
    found = sorted({frame.payload_100 // 100 for frame in model.frames}, reverse=True)
    return " or ".join(f"{lb:,} lb" for lb in found)
