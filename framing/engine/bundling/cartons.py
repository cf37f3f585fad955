"""Numbered packs of what is not bundled: short pieces, blocks, hardware, boxes, boards, sheets (R32, R36).

Each copy of a floor gets its own packs, one for each kind of thing, none over the lift limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.engine.bundling.pieces import Delivered
from framing.engine.catalogue import Catalogue
from framing.engine.floor import FloorPlan
from framing.engine.practice import Practice
from framing.engine.result import BomLine, Carton
from framing.engine.units import format_length

TITLES = (
    ("members", "Short pieces and blocks"),
    ("hardware", "Clips, plates and strap"),
    ("fasteners", "Fasteners"),
    ("boards", "Boards"),
    ("sheathing", "Sheathing and adhesive"),
)
"""Groups of the bill with what stands on their packs, after the floor's name."""


@dataclass(frozen=True, slots=True)
class _Content:
    description: str
    quantity: int
    sold_by: str
    each_lb: float


def pack_cartons(
    plans: Sequence[FloorPlan],
    short_pieces: Sequence[Delivered],
    bills: Sequence[tuple[BomLine, ...]],
    catalogue: Catalogue,
    practice: Practice,
) -> tuple[Carton, ...]:
    """Packs numbered through the delivery: floors in order, copies inside, then by kind.

    Args:
        plans: the package's floors.
        short_pieces: pieces too short for a bundle (R32).
        bills: the bill of each floor for one copy, in floor order; empty where there is none.
        catalogue: tells rolled members, which are bundled, from items.
        practice: lift limit of a pack.
    """
    packs: list[Carton] = []
    rolled = {profile.designator for profile in catalogue.profiles}
    for index, plan in enumerate(plans):
        bill = [line for line in (bills[index] if bills else ()) if line.code not in rolled and line.bought]
        for copy in range(1, plan.repeat + 1):
            short = [d for d in short_pieces if (d.piece.floor, d.piece.copy) == (index, copy)]
            for group, title in TITLES:
                contents = [
                    *(_short_contents(short, plan) if group == "members" else ()),
                    *_bought(bill, group),
                ]
                for filled in _filled(contents, practice.lift_limit_lb):
                    packs.append(_carton(len(packs) + 1, f"{floor_words(plan, copy)}: {title}", filled))
    return tuple(packs)


def floor_words(plan: FloorPlan, copy: int) -> str:
    """A floor's name, with the copy's number where there are several."""
    return f"{plan.name} ({copy} of {plan.repeat})" if plan.repeat > 1 else plan.name


def _short_contents(short: Sequence[Delivered], plan: FloorPlan) -> Iterator[_Content]:
    """Short pieces by mark, in install order."""
    by_mark: dict[tuple[str, str, int], list[Delivered]] = {}
    for delivered in short:
        by_mark.setdefault((delivered.piece.mark, delivered.profile, delivered.piece.length_16), []).append(
            delivered
        )
    for (mark, profile, length_16), same in by_mark.items():
        words = f"{mark} {profile}, {format_length(length_16, plan.units)}"
        yield _Content(words, len(same), "piece", same[0].piece.weight_lb)


def _bought(bill: Sequence[BomLine], group: str) -> Iterator[_Content]:
    for line in bill:
        if line.group == group:
            yield _Content(line.description, line.bought, line.sold_by, line.weight_lb / line.bought)


def _filled(contents: Sequence[_Content], limit_lb: float) -> Iterator[list[_Content]]:
    """Contents in order, a new pack whenever the next piece would go over the limit."""
    pack: list[_Content] = []
    weight_lb = 0.0
    for content in contents:
        left = content.quantity
        while left:
            room = int((limit_lb - weight_lb) / content.each_lb + 1e-9) if content.each_lb > 0 else left
            if room < 1 and pack:
                yield pack
                pack, weight_lb = [], 0.0
                continue
            part = min(left, max(room, 1))
            pack.append(_Content(content.description, part, content.sold_by, content.each_lb))
            weight_lb += part * content.each_lb
            left -= part
    if pack:
        yield pack


def _carton(number: int, title: str, contents: Sequence[_Content]) -> Carton:
    return Carton(
        number=number,
        title=title,
        contents=tuple((c.description, c.quantity, c.sold_by) for c in contents),
        weight_lb=round(sum(c.quantity * c.each_lb for c in contents), 2),
    )
