"""What a truck plan depends on (R47): things to load, kinds of truck, dunnage, tie-downs.

Lengths are whole sixteenths of an inch, weights pounds to the hundredth. Defaults without a source are common
practice; the company sets its own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from framing.engine.errors import EngineError
from framing.engine.floor import Units

FOOT: Final = 192
INCH: Final = 16


class TrucksRefused(EngineError):
    """Facts that no plan can be made from; the message names the thing, its value, the limit and what to do."""


@dataclass(frozen=True, slots=True)
class TruckKind:
    """A kind of truck or trailer.

    Attributes:
        name: as people call it; one of a task's kinds.
        deck_length_16, deck_width_16: the flat part that bundles lie on.
        payload_lb: what may be loaded. Axle weights are the driver's and local law's affair.
        stack_height_16: the most that a stack, dunnage and all, stands over the deck.
        tiers: the most things on each other.
        overhang_16: how far a thing may stand out over the rear end; what stands out is always told.
        count: how many there are; None as many as needed.
    """

    name: str = "Flatbed, 48 ft"
    deck_length_16: int = 48 * FOOT
    deck_width_16: int = 102 * INCH
    payload_lb: float = 48_000.0
    stack_height_16: int = 84 * INCH
    tiers: int = 6
    overhang_16: int = 4 * FOOT
    count: int | None = None

    @property
    def payload_100(self) -> int:
        return round(self.payload_lb * 100)


@dataclass(frozen=True, slots=True)
class Thing:
    """A bundle or a pack to load.

    Attributes:
        id: names it in plans; one of a task's things.
        name: as refusals and papers call it, such as `Bundle 7`.
        length_16, width_16, height_16: as it lies, length along the truck.
        stop: where it comes off, 1 the first.
        bears: how many tiers may lie on it; 0 nothing, None as many as the truck allows.
        own_place: it stands on the deck, never on another thing.
        pack: no bundle; its width does not make the lanes.
    """

    id: str
    name: str
    length_16: int
    width_16: int
    height_16: int
    weight_lb: float
    stop: int = 1
    bears: int | None = None
    own_place: bool = False
    pack: bool = False

    @property
    def weight_100(self) -> int:
        return round(self.weight_lb * 100)


@dataclass(frozen=True, slots=True)
class Dunnage:
    """Sticks across a stack, under each of its tiers. Common practice, no source.

    Attributes:
        height_16: what they lift a tier by; a 4x4.
        apart_16: the most between two of them.
        end_16: from the thing's end to the first one.
    """

    height_16: int = 56
    apart_16: int = 8 * FOOT
    end_16: int = 2 * FOOT


@dataclass(frozen=True, slots=True)
class Securing:
    """How loads are tied down (49 CFR 393.106, 393.110).

    Attributes:
        strap_wll_lb: working load limit of one tie-down; 4 in webbing without a mark (393.108 table).
        to_cargo: tie-downs run from the deck to the load itself, so that half of each counts; else over it to the
            other side, which counts in full.
        blocked: what stands at the headboard, or close behind what does, can't move forward.
    """

    strap_wll_lb: float = 4000.0
    to_cargo: bool = False
    blocked: bool = False


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search.

    Attributes:
        tries: orders changed at random after the fixed ones, where those take more trucks than the bound; large
            loads get fewer.
        exact: the exact model's limit for each count of trucks, in the solver's own measure (about seconds); 0 leaves
            it out.
        exact_most: loads with more things leave it out: it would not decide.
    """

    tries: int = 1000
    exact: float = 4.0
    exact_most: int = 60


@dataclass(frozen=True, slots=True)
class LoadTask:
    """All that a truck plan depends on.

    Attributes:
        kinds: trucks to choose from. Large ones are filled first; what remains goes on the smallest that carries it.
        lane_width_16: the deck has as many lanes as fit; 0 takes the widest bundle (packs where there is none).
    """

    things: tuple[Thing, ...]
    kinds: tuple[TruckKind, ...] = (TruckKind(),)
    lane_width_16: int = 0
    dunnage: Dunnage = Dunnage()
    securing: Securing = Securing()
    effort: Effort = Effort()
    units: Units = "imperial"


Stage = Literal["orders", "tries", "exact"]


@dataclass(frozen=True, slots=True)
class Advance:
    """How far a search is: steps done of all in this stage, and the trucks of the best plan so far."""

    stage: Stage
    done: int
    of: int
    trucks: int


GoOn = Callable[[Advance], bool]
"""Told now and then how far it is; answers whether to go on."""


def always(_: Advance) -> bool:
    """Go on to the end."""
    return True
