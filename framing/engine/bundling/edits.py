"""The planner's steps on bundles: split, merge, move, fix, free, bundle the rest anew (R32-R35).

Each takes all bundles of a delivery and returns them after the step. A bundle that a step leaves alone keeps its
number; a new one gets the number that the caller says, one that no bundle of the delivery ever had. Hard rules
raise `EditRefused`; what is only unwished is told by `table.remarks`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from framing.engine.bundling.pieces import bundles_of_profile
from framing.engine.bundling.table import EditRefused, Part, Rules, Stack, check_stack, stacked

Stacks = tuple[Stack, ...]


@dataclass(frozen=True, slots=True)
class Edited:
    """All bundles after a step, by number, and the step in words."""

    stacks: Stacks
    words: str


def split(stacks: Stacks, rules: Rules, *, number: int, at: int, new: int) -> Edited:
    """Leave the lowest `at` pieces of a bundle where they are; those above become the bundle `new`."""
    stack = _open(stacks, number)
    count = len(stack.parts)
    if not 0 < at < count:
        raise EditRefused(
            f"Bundle {number} holds {count} {_pieces(count)}; it can be split after piece 1 to {count - 1} from the "
            f"bottom, not after {at}."
            if count > 1
            else f"Bundle {number} holds one piece; there is nothing to split."
        )
    low, high = replace(stack, parts=stack.parts[:at]), replace(stack, number=new, parts=stack.parts[at:])
    words = f"Split bundle {number}: {at} stay, {count - at} from the top are bundle {new}."
    return _edited(stacks, rules, [low, high], words)


def merge(stacks: Stacks, rules: Rules, *, into: int, other: int) -> Edited:
    """Put the pieces of one bundle into another, which keeps its number; the emptied number is not used again."""
    if into == other:
        raise EditRefused(f"Bundle {into} can't be merged with itself; choose another bundle.")
    target, source = _open(stacks, into), _open(stacks, other)
    merged = replace(target, parts=stacked((*target.parts, *source.parts)))
    return _edited(
        stacks,
        rules,
        [merged, replace(source, parts=())],
        f"Merged bundle {other} into {into}: {len(merged.parts)} pieces.",
    )


def move(stacks: Stacks, rules: Rules, *, keys: Iterable[str], to: int | None, new: int) -> Edited:
    """Move pieces to bundle `to`, or to the bundle `new` where it is None. A bundle left empty is gone."""
    wanted = frozenset(keys)
    if not wanted:
        raise EditRefused("No piece is chosen; tick the pieces to move.")
    sources = [
        stack for stack in stacks if any(part.key in wanted for part in stack.parts) and stack.number != to
    ]
    moved = [part for stack in sources for part in stack.parts if part.key in wanted]
    known = sum(part.key in wanted for stack in stacks for part in stack.parts)
    if known < len(wanted):
        raise EditRefused(
            f"{len(wanted) - known} of the pieces are in no bundle of this order; choose again."
        )
    if not moved:
        raise EditRefused(f"The pieces lie in bundle {to} already; choose another bundle.")
    for stack in sources:
        _open(stacks, stack.number)
    target = Stack(new, ()) if to is None else _open(stacks, to)
    left = [replace(s, parts=tuple(part for part in s.parts if part.key not in wanted)) for s in sources]
    grown = replace(target, parts=stacked((*target.parts, *moved)))
    begin = ", ".join(str(stack.number) for stack in sources)
    end = f"{'new ' if to is None else ''}bundle {grown.number}"
    words = f"Moved {len(moved)} {_pieces(len(moved))} from bundle {begin} to {end}."
    return _edited(stacks, rules, [*left, grown], words)


def fix(stacks: Stacks, rules: Rules, *, number: int, fixed: bool) -> Edited:
    """Keep a bundle as it is when the rest is bundled anew, or let it go again."""
    stack = _open(stacks, number)
    if stack.fixed == fixed:
        raise EditRefused(f"Bundle {number} is {'fixed already' if fixed else 'not fixed'}.")
    words = f"Fixed bundle {number}." if fixed else f"Freed bundle {number}."
    return _edited(stacks, rules, [replace(stack, fixed=fixed)], words)


def again(stacks: Stacks, rules: Rules, *, new: int, neater: bool = False) -> Edited:
    """Bundle all that is neither fixed nor started anew, as at release; new bundles are numbered from `new`.

    A bundle that comes out as it was keeps its number; another takes the number of the free bundle that it shares
    most pieces with. `neater` keeps each bundle's pieces together in the sequence where fewer bundles would not.
    """
    free = [stack for stack in stacks if not (stack.fixed or stack.started)]
    if not free:
        raise EditRefused("Every bundle is fixed or started; free one first.")
    made = _numbered(_planned(free, rules, neater=neater), free, new)
    taken = {stack.number for stack in made}
    gone = [replace(stack, parts=()) for stack in free if stack.number not in taken]
    words = f"Bundled anew: {len(free)} bundles became {len(made)}."
    return _edited(stacks, rules, [*made, *gone], words)


def _planned(free: Sequence[Stack], rules: Rules, *, neater: bool) -> list[tuple[Part, ...]]:
    """Groups of parts in the order of their first ones."""
    parts = sorted((part for stack in free for part in stack.parts), key=lambda p: (p.profile, p.place))
    groups: list[tuple[Part, ...]] = []
    for profile, mine in groupby(parts, key=lambda part: part.profile):
        by_place = {part.place: part for part in mine}
        floors = [
            [part.unit for part in same]
            for _, same in groupby(by_place.values(), key=lambda part: part.floor)
        ]
        for planned in bundles_of_profile(floors, rules.limits[profile], neater=neater):
            groups += [tuple(by_place[unit.place] for unit in bundle) for bundle in planned.bundles]
    return sorted(groups, key=lambda group: group[0].place)


def _numbered(groups: Sequence[tuple[Part, ...]], free: Sequence[Stack], new: int) -> list[Stack]:
    """Bundles of the groups under the free numbers, each with the one it shares most pieces with."""
    keys = {stack.number: {part.key for part in stack.parts} for stack in free}
    shared = sorted(
        (-len(own & {part.key for part in group}), index, number)
        for index, group in enumerate(groups)
        for number, own in keys.items()
    )
    numbers: dict[int, int] = {}
    for less, index, number in shared:
        if less and index not in numbers and number not in numbers.values():
            numbers[index] = number
    made = []
    for index, group in enumerate(groups):
        if index not in numbers:
            numbers[index], new = new, new + 1
        made.append(Stack(numbers[index], stacked(group)))
    return made


def _open(stacks: Stacks, number: int) -> Stack:
    """The bundle of a number that may be changed."""
    stack = next((stack for stack in stacks if stack.number == number), None)
    if stack is None:
        raise EditRefused(f"There is no bundle {number} in this order; choose one that is there.")
    if stack.started:
        raise EditRefused(f"Bundle {number} is started; the shop rolls it as it is. Choose another bundle.")
    return stack


def _edited(stacks: Stacks, rules: Rules, changed: Sequence[Stack], words: str) -> Edited:
    """All bundles with the changed ones in place, the empty ones gone; the hard rules checked."""
    for stack in changed:
        if stack.parts:
            check_stack(stack, rules)
    by_number = {stack.number: stack for stack in (*stacks, *changed)}
    return Edited(tuple(by_number[number] for number in sorted(by_number) if by_number[number].parts), words)


def _pieces(count: int) -> str:
    return "piece" if count == 1 else "pieces"
