"""What is told of a truck plan: weights, order of unloading, tie-downs, dunnage, what stands out (R47)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from framing.engine.trucks.plan import Bound, Stack

CAUTION: Final = (
    "Axle weights, overhang and the height of the loaded truck are not checked here: they stay with the driver and "
    "local law."
)
TIES_SOURCE: Final = "49 CFR 393.106(d) and 393.110"
TIES_WORDS: Final = (
    "How tie-downs are counted (49 CFR 393.110): each stack takes 2 up to 10 ft and one more for each 10 ft begun "
    "after that, 1 up to 5 ft and 1,100 lb; blocked in front, one for each 10 ft begun. A row across serves every "
    "stack that it crosses. Their working load limits add up to half the weight at least (393.106(d))."
)


@dataclass(frozen=True, slots=True)
class Tier:
    """A thing in its stack.

    Attributes:
        tier: 1 on the deck.
        bottom_16, top_16: over the deck, dunnage below it counted.
        order: when it comes off its truck, 1 first.
        lift_16: lift points, from its front end (R36: 1/5 of the length from the ends).
        sticks_16: where dunnage lies under it, from its front end.
    """

    thing: str
    name: str
    tier: int
    bottom_16: int
    top_16: int
    length_16: int
    weight_lb: float
    stop: int
    order: int
    lift_16: tuple[int, int]
    sticks_16: tuple[int, ...]

    @property
    def sticks(self) -> int:
        """Pieces of dunnage under it."""
        return len(self.sticks_16)


@dataclass(frozen=True, slots=True)
class StackFigures:
    """A stack with its tie-downs: by length, and by weight where its own tie-downs must hold it alone.

    `stick_16` is the length of its dunnage, to the inch below.
    """

    stack: Stack
    tiers: tuple[Tier, ...]
    length_16: int
    height_16: int
    weight_lb: float
    blocked: bool
    tie_downs: int
    stick_16: int


@dataclass(frozen=True, slots=True)
class Sticks:
    """Dunnage of one length."""

    length_16: int
    count: int


@dataclass(frozen=True, slots=True)
class Overhang:
    """A thing that stands out over the rear end of the deck; never accepted in silence."""

    truck: int
    thing: str
    by_16: int
    words: str


@dataclass(frozen=True, slots=True)
class TruckFigures:
    """A truck with its load.

    Attributes:
        lanes, lane_16: how many, and the width of each.
        unloading: ids in the order in which they come off.
        centre_16: centre of the load's weight from the headboard; 0 for an empty truck.
        centre_share: the same as part of the deck's length.
        quarters_lb: weight on each quarter of the deck from the headboard.
        feet_lb: weight on each foot of the deck from the headboard; a last part of a foot counts as one.
        behind_lb: weight that stands out over the rear end.
        sides_lb: weight on the driver's half of the deck's width, and on the other.
        rows_16: where tie-downs go across, from the headboard; one row serves every stack that it crosses.
        tie_downs: how many that is; at least what lengths and weight ask for.
        least_wll_lb: what the tie-downs' working load limits must add up to (393.106(d)): half the load.
        credit_lb: what they add up to as they are counted.
    """

    number: int
    kind: str
    locked: bool
    deck_length_16: int
    deck_width_16: int
    lanes: int
    lane_16: float
    weight_lb: float
    payload_lb: float
    stacks: tuple[StackFigures, ...]
    unloading: tuple[str, ...]
    centre_16: int
    centre_share: float
    quarters_lb: tuple[float, float, float, float]
    feet_lb: tuple[float, ...]
    behind_lb: float
    sides_lb: tuple[float, float]
    rows_16: tuple[int, ...]
    tie_downs: int
    least_wll_lb: float
    credit_lb: float
    dunnage: tuple[Sticks, ...]
    overhangs: tuple[Overhang, ...]


@dataclass(frozen=True, slots=True)
class PlanFigures:
    """All trucks. `words` state count and bound; `caution` goes on every page and paper that shows a load."""

    trucks: tuple[TruckFigures, ...]
    bound: Bound
    words: str
    caution: str = CAUTION
    ties_source: str = TIES_SOURCE
