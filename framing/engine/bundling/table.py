"""Bundles as the planner handles them, and what the rules say of each (R32-R36)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from framing.engine.bundling.costs import Limits, Unit, least_bundles
from framing.engine.errors import EngineError, Problem
from framing.engine.floor import Units
from framing.engine.units import format_length


class EditRefused(EngineError):
    """A step on bundles that would break a hard rule; nothing was changed."""


@dataclass(frozen=True, slots=True)
class Part:
    """A piece in the planner's hand. `key` names it, `place` is its position in the install sequence.

    `floor` tells copies of a floor apart, `zone` is where on it the piece goes; weight in 1/100 lb.
    """

    key: str
    place: int
    mark: str
    profile: str
    length_16: int
    weight_100: int
    floor: str
    zone: str

    @property
    def unit(self) -> Unit:
        return Unit(self.place, self.length_16, self.weight_100)


@dataclass(frozen=True, slots=True)
class Stack:
    """A bundle with its parts from the bottom up. A started one is never changed, a fixed one not by `again`."""

    number: int
    parts: tuple[Part, ...]
    fixed: bool = False
    started: bool = False

    @property
    def profile(self) -> str:
        return self.parts[0].profile

    @property
    def weight_100(self) -> int:
        return sum(part.weight_100 for part in self.parts)

    @property
    def length_16(self) -> int:
        return max(part.length_16 for part in self.parts)

    @property
    def spread_16(self) -> int:
        return self.length_16 - min(part.length_16 for part in self.parts)


@dataclass(frozen=True, slots=True)
class Rules:
    """What bundles of each profile may be, and the units in which lengths are told."""

    limits: Mapping[str, Limits]
    units: Units


def stacked(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Parts from the bottom up: the longest first, equal ones in install order (R34)."""
    return tuple(sorted(parts, key=lambda part: (-part.length_16, part.place)))


def zone_words(parts: Iterable[Part]) -> str:
    """Floors and zones that parts go to, in install order: `Level 2: west half; Level 3: east half`."""
    zones: dict[str, list[str]] = {}
    for part in sorted(parts, key=lambda part: part.place):
        named = zones.setdefault(part.floor, [])
        if part.zone and part.zone not in named:
            named.append(part.zone)
    return "; ".join(f"{floor}: {', '.join(named)}" if named else floor for floor, named in zones.items())


def check_stack(stack: Stack, rules: Rules) -> None:
    """Raises EditRefused where a bundle has two profiles, too many pieces or too much weight (R32, R33).

    One piece alone may be as heavy as it is.
    """
    other = next((part for part in stack.parts if part.profile != stack.profile), None)
    if other is not None:
        raise EditRefused(
            f"Bundle {stack.number} would hold {stack.profile} and {other.profile} ({other.mark}). A bundle holds "
            "one profile: choose a bundle of the same profile, or a new one."
        )
    limits, count = rules.limits[stack.profile], len(stack.parts)
    if count > limits.most:
        raise EditRefused(
            f"Bundle {stack.number} would hold {count} pieces; at most {limits.most} of {stack.profile} lie in one "
            f"bundle. Leave out {count - limits.most} or more."
        )
    if stack.weight_100 > limits.weight_100 and count > 1:
        raise EditRefused(
            f"Bundle {stack.number} would weigh {_pounds(stack.weight_100)}, over the lift limit of "
            f"{_pounds(limits.weight_100)}. Leave out at least {_pounds(stack.weight_100 - limits.weight_100)}."
        )


def remarks(stack: Stack, stacks: Sequence[Stack], rules: Rules) -> tuple[Problem, ...]:
    """What a bundle is allowed but should not be: short and why, over the length spread, zones mixed.

    Args:
        stack: the bundle, one of `stacks`.
        stacks: all bundles of the delivery; why a bundle is short depends on them.
        rules: limits of the profiles.
    """
    return tuple(
        Problem(f"bundles.{stack.number}.{name}", words) for name, words in _remarks(stack, stacks, rules)
    )


def _remarks(stack: Stack, stacks: Sequence[Stack], rules: Rules) -> Iterator[tuple[str, str]]:
    limits = rules.limits[stack.profile]
    if len(stack.parts) < limits.least:
        why = short_reason(stack, stacks, rules)
        yield "short", f"{len(stack.parts)} of at least {limits.least} pieces. {why}"
    if stack.spread_16 > limits.spread_16:
        spread, most = (format_length(value, rules.units) for value in (stack.spread_16, limits.spread_16))
        yield "spread", f"Lengths differ by {spread}, over {most}."
    if stack.weight_100 > limits.weight_100:
        yield (
            "weight",
            f"One piece of {_pounds(stack.weight_100)}, over the lift limit of {_pounds(limits.weight_100)}.",
        )
    zones = {(part.floor, part.zone) for part in stack.parts}
    if len(zones) > 1:
        yield "zones", f"Serves {len(zones)} zones: {zone_words(stack.parts)}."


def short_reason(stack: Stack, stacks: Sequence[Stack], rules: Rules) -> str:
    """Why a bundle has fewer pieces than it should, in one sentence (R35)."""
    limits = rules.limits[stack.profile]
    parts = [part for one in stacks if one.profile == stack.profile for part in one.parts]
    others = [part for part in parts if part not in stack.parts]
    if len(parts) < limits.least:
        return f"This delivery has only {len(parts)} of {stack.profile}."
    if stack.weight_100 + min(part.weight_100 for part in others) > limits.weight_100:
        return f"One piece more would pass the lift limit of {_pounds(limits.weight_100)}."
    if not can_part(len(parts), limits):
        return f"{len(parts)} pieces can't be parted into bundles of {limits.least} to {limits.most}."
    floor = {part.floor for part in stack.parts}
    if all(part.floor not in floor for part in others):
        return "The other pieces of this profile go to other floors."
    lows, highs = stack.length_16 - limits.spread_16, stack.length_16 - stack.spread_16 + limits.spread_16
    if all(not lows <= part.length_16 <= highs for part in others):
        return f"The others differ by more than {format_length(limits.spread_16, rules.units)} in length."
    return "Other pieces of this profile could join it."


def can_part(count: int, limits: Limits) -> bool:
    """Whether a number of pieces can be parted into bundles that are neither short nor too large (R35)."""
    return ceil(count / limits.most) <= count // limits.least


@dataclass(frozen=True, slots=True)
class Count:
    """Bundles of one profile, and what no plan can go below by count and weight: of all, and floor by floor."""

    profile: str
    pieces: int
    bundles: int
    least: int
    least_by_floor: int
    short: tuple[int, ...]
    by_weight: bool


def counts(stacks: Sequence[Stack], rules: Rules) -> tuple[Count, ...]:
    """Figures of each profile, by designator; `by_weight` tells that weight, not number, asks for as many."""
    by_profile = sorted(stacks, key=lambda stack: stack.profile)
    return tuple(
        _count(profile, list(mine), rules.limits[profile])
        for profile, mine in groupby(by_profile, key=lambda stack: stack.profile)
    )


def _count(profile: str, mine: Sequence[Stack], limits: Limits) -> Count:
    parts = sorted((part for stack in mine for part in stack.parts), key=lambda part: part.place)
    floors = [list(same) for _, same in groupby(parts, key=lambda part: part.floor)]
    least = least_bundles([part.unit for part in parts], limits)
    return Count(
        profile=profile,
        pieces=len(parts),
        bundles=len(mine),
        least=least,
        least_by_floor=sum(least_bundles([part.unit for part in same], limits) for same in floors),
        short=tuple(stack.number for stack in mine if len(stack.parts) < limits.least),
        by_weight=least > ceil(len(parts) / limits.most),
    )


def _pounds(weight_100: int) -> str:
    return f"{weight_100 / 100:,.2f}".rstrip("0").rstrip(".") + " lb"
