"""Which lanes a load stands on, so that the truck leans to no side (R47)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

from framing.engine.trucks.plan import Stack


@dataclass(frozen=True, slots=True)
class _Block:
    """Lanes that change places only together, for a stack reaches over them."""

    width: int
    stacks: tuple[Stack, ...]  # lanes count from 1 within the block
    weight: int
    moment: int  # twice the weight times its distance from the block's first edge, in lanes

    @property
    def leans_right(self) -> bool:
        return self.moment > self.weight * self.width


def evened(stacks: Sequence[Stack], lanes: int, weight: Callable[[str], int]) -> list[Stack]:
    """The same stacks with whole lanes moved: side by side, their weight about the middle of the deck.

    What stands before what along the deck stays; equal input gives an equal answer. `weight` is that of a thing.
    Blocks go from the middle out, the heaviest first, each on the lighter side; then two change places, one goes
    elsewhere or is turned about, as long as that brings the centre of weight nearer to the middle. What is left of the
    lean goes to the driver's side, away from the edge of the road.
    """
    row = _from_the_middle(_blocks(stacks, lanes, weight))
    spare = lanes - sum(block.width for block in row)
    (best, first), found = _lean(row, lanes, spare), row
    while best:
        (lean, first_of_it), row = min(
            ((_lean(other, lanes, spare), other) for other in _changed(found, weight)), key=lambda one: one[0]
        )
        if lean >= best:
            break
        best, first, found = lean, first_of_it, row
    placed = [
        replace(stack, lane=stack.lane + at) for at, block in _placed(found, first) for stack in block.stacks
    ]
    return _turned(placed, lanes) if _block(lanes, placed, weight).leans_right else placed


def _blocks(stacks: Sequence[Stack], lanes: int, weight: Callable[[str], int]) -> list[_Block]:
    """All lanes with something on them, parted into the smallest blocks that no stack reaches over."""
    joined: set[int] = set()  # lanes that go with the one after them
    for stack in stacks:
        joined |= set(range(stack.lane, stack.lane + stack.lanes - 1))
    blocks, first = [], 1
    for lane in range(1, lanes + 1):
        if lane not in joined:
            inside = [replace(s, lane=s.lane - first + 1) for s in stacks if first <= s.lane <= lane]
            if inside:
                blocks.append(_block(lane - first + 1, inside, weight))
            first = lane + 1
    return blocks


def _block(width: int, stacks: Sequence[Stack], weight: Callable[[str], int]) -> _Block:
    loads = [sum(map(weight, stack.things)) for stack in stacks]
    moments = (load * (2 * stack.lane - 2 + stack.lanes) for load, stack in zip(loads, stacks, strict=True))
    return _Block(width, tuple(stacks), sum(loads), sum(moments))


def _from_the_middle(blocks: Sequence[_Block]) -> list[_Block]:
    row: list[_Block] = []
    left = right = 0
    for block in sorted(blocks, key=lambda block: (-block.weight, -block.width)):
        if left < right:
            row.insert(0, block)
            left += block.weight
        else:
            row.append(block)
            right += block.weight if len(row) > 1 else 0
    return row


def _placed(blocks: Sequence[_Block], first: int) -> Iterator[tuple[int, _Block]]:
    """Each block with how many lanes lie before it."""
    for block in blocks:
        yield first, block
        first += block.width


def _lean(blocks: Sequence[_Block], lanes: int, spare: int) -> tuple[int, int]:
    """Twice the moment about the middle, in lanes and 1/100 lb, and how many of the `spare` lanes stay free before."""
    weight = sum(block.weight for block in blocks)
    moment = sum(block.moment + (2 * at - lanes) * block.weight for at, block in _placed(blocks, 0))
    return min((abs(moment + 2 * free * weight), free) for free in range(spare + 1))


def _changed(blocks: Sequence[_Block], weight: Callable[[str], int]) -> Iterator[list[_Block]]:
    """Two blocks change places, one goes elsewhere, or one is turned about."""
    for one, other in combinations(range(len(blocks)), 2):
        swapped = list(blocks)
        swapped[one], swapped[other] = blocks[other], blocks[one]
        yield swapped
    for one, to in permutations(range(len(blocks)), 2):
        rest = [*blocks[:one], *blocks[one + 1 :]]
        yield [*rest[:to], blocks[one], *rest[to:]]
    for place, block in enumerate(blocks):
        turned = _block(block.width, _turned(block.stacks, block.width), weight)
        yield [*blocks[:place], turned, *blocks[place + 1 :]]


def _turned(stacks: Sequence[Stack], lanes: int) -> list[Stack]:
    """Right for left."""
    return [replace(stack, lane=lanes - stack.lane - stack.lanes + 2) for stack in stacks]
