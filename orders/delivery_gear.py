"""What unloads on site and what it lifts: what the site told, else a cautious figure; what is too heavy for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import Any, Final

from django.db.models import Case, F, Q, Value, When
from django.db.models.functions import Coalesce
from django.db.models.lookups import GreaterThan

from orders.models import Bundle, Carton, Delivery
from orders.states import Gear

REACH_PARTS: Final = 4
BASE_RATING_LB: Final = 6_000
NAMED_MOST: Final = 3
USUAL_LB: Final[Mapping[str, int]] = {
    Gear.TELEHANDLER: BASE_RATING_LB // REACH_PARTS,
    Gear.FORKLIFT: 5_000,
    Gear.CRANE: 1_000,
    Gear.HAND: 100,
}
"""What is taken where nobody told what the gear lifts. Common practice, from memory, with no source: the smallest
usual telehandler at full reach, the smallest usual rough-terrain forklift, a small crane far out, two people."""
_WHENCE: Final[Mapping[str, str]] = {
    Gear.TELEHANDLER: "a small telehandler at full reach",
    Gear.FORKLIFT: "a small rough-terrain forklift",
    Gear.CRANE: "a small crane far out",
    Gear.HAND: "two people, 50 lb each",
}
REACH_WORDS: Final = (
    "A telehandler's rating holds at its base; at full reach it lifts a quarter or less (common practice)."
)
_HAND_WORDS: Final = "What is heavier is opened on the truck and carried piece by piece."


@dataclass(frozen=True, slots=True)
class Lift:
    """What unloads there. `limit_lb` is what it lifts where bundles are set down; `known`: the site told it."""

    gear: Gear
    limit_lb: int
    known: bool

    @property
    def name(self) -> str:
        return self.gear.label.lower()

    @property
    def words(self) -> str:
        """What it lifts, and whence the figure is."""
        if self.known:
            return f"lifts {self.limit_lb:,} lb"
        what = "how much is not told" if self.gear == Gear.HAND else "what it lifts is not known"
        return f"{what}; taken as {self.limit_lb:,} lb, {_WHENCE[self.gear]} (common practice, no source)"


def lift_of(delivery: Delivery) -> Lift:
    """What unloads a delivery."""
    return lift(delivery.gear, delivery.gear_limit_lb)


def lift(gear: str, limit_lb: int | None) -> Lift:
    """What some gear lifts."""
    known = limit_lb is not None
    return Lift(Gear(gear), limit_lb if limit_lb is not None else USUAL_LB[gear], known)


def usual_words() -> str:
    """What is taken for each kind of gear where nobody knows, for the form that asks."""
    told = ", ".join(f"{Gear(gear).label.lower()} {lb:,}" for gear, lb in USUAL_LB.items())
    return (
        "Leave it empty if nobody knows: we then warn from a cautious figure in lb, which is common practice with no "
        f"source: {told}."
    )


def weight_of(row: Bundle | Carton) -> Decimal:
    """Pounds as weighed, else as reckoned."""
    weighed = row.weighed_lb if isinstance(row, Bundle) else None
    return weighed if weighed is not None else row.weight_lb


def is_too_heavy(row: Bundle | Carton, what: Lift) -> bool:
    return weight_of(row) > what.limit_lb


def too_heavy(row: Bundle | Carton, what: Lift) -> str:
    """Why one thing is too heavy for what unloads there; “” where it is not."""
    if not is_too_heavy(row, what):
        return ""
    return f"{_name(row)} weighs {weight_of(row):,.0f} lb; {_can(what)}."


def heavy_words(rows: Iterable[Bundle | Carton], what: Lift) -> tuple[str, ...]:
    """Warnings of what is too heavy: each thing by itself, or drawn together where there are many; what to do last."""
    heavy = [row for row in rows if is_too_heavy(row, what)]
    if not heavy:
        return ()
    told = [too_heavy(row, what) for row in heavy] if len(heavy) <= NAMED_MOST else [_together(heavy, what)]
    return (*told, *_advice(what))


def reach_words(rows: Iterable[Bundle | Carton], what: Lift) -> str:
    """What is too heavy at full reach, where the figure looks like a telehandler's rating at its base; else “”."""
    if what.gear != Gear.TELEHANDLER or not what.known or what.limit_lb < BASE_RATING_LB:
        return ""
    far = Lift(what.gear, what.limit_lb // REACH_PARTS, known=True)
    heavy = [row for row in rows if is_too_heavy(row, far) and not is_too_heavy(row, what)]
    if not heavy:
        return ""
    return (
        f"If {what.limit_lb:,} lb is the telehandler's rating at its base, it lifts {far.limit_lb:,} lb or less at "
        f"full reach: too little for {_numbers(heavy)}. Ask how far it reaches here."
    )


def too_heavy_rows(things: str = "bundles") -> Q:
    """Bundles, or cartons, of a delivery that are too heavy for what unloads there, to be counted in the database."""
    usual = Case(*(When(gear=gear, then=Value(lb)) for gear, lb in USUAL_LB.items()), default=Value(0))
    weight: Any = F(f"{things}__weight_lb")
    if things == "bundles":
        weight = Coalesce(F("bundles__weighed_lb"), weight)
    return Q(GreaterThan(weight, Coalesce(F("gear_limit_lb"), usual)))


def _name(row: Bundle | Carton) -> str:
    return f"Bundle {row.number}" if isinstance(row, Bundle) else f"Carton {row.number}"


def _together(heavy: Sequence[Bundle | Carton], what: Lift) -> str:
    weights = [weight_of(row) for row in heavy]
    return f"{_numbers(heavy)} weigh {min(weights):,.0f} to {max(weights):,.0f} lb each; {_can(what)}."


def _can(what: Lift) -> str:
    about = "" if what.known else "about "
    if what.gear == Gear.HAND:
        return f"people there carry {about}{what.limit_lb:,} lb by hand"
    return f"the {what.name} there lifts {about}{what.limit_lb:,} lb"


def _numbers(rows: Sequence[Bundle | Carton]) -> str:
    """“Bundles 1 to 3, 7 and carton 2”."""
    told = []
    for kind, name in ((Bundle, "bundle"), (Carton, "carton")):
        numbers = sorted(row.number for row in rows if isinstance(row, kind))
        if numbers:
            told.append(f"{name}{'' if len(numbers) == 1 else 's'} {_runs(numbers)}")
    words = " and ".join(told)
    return words[:1].upper() + words[1:]


def _runs(numbers: Sequence[int]) -> str:
    runs = []
    for _, pairs in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in pairs]
        runs.append(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)))
    return ", ".join(runs)


def _advice(what: Lift) -> tuple[str, ...]:
    if what.gear == Gear.HAND:
        return (_HAND_WORDS,)
    if not what.known:
        return (f"Nobody told what the {what.name} lifts: ask the site and enter it.",)
    return (REACH_WORDS,) if what.gear == Gear.TELEHANDLER else ("Split them, or ask for more.",)
