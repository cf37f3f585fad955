"""Placed things and pieces added up: bill of materials (R31) and joist schedule.

The bill only adds. A line's terms are its derivation: their quantities sum to `exact`, their places name
what was counted. Lengths cut from bought stock (rim pieces, backing strips, panel pieces) stay on the plan;
the bill carries the sticks, sheets and panels that they are cut from.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.engine.catalogue import Catalogue, ItemRow
from framing.engine.members import BayLayout, Member, MemberKind, Piece
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from framing.engine.result import BomLine, ScheduleLine, Term

FOOT_16 = 192
TIMES = "\N{MULTIPLICATION SIGN}"
GROUPS = ("members", "hardware", "fasteners", "boards", "sheathing")

_CUT_FROM_STOCK = (Item.RIM_BOARD, Item.WEB_BACKING, Item.SHEATHING_CELL)
_BLOCKS = (Item.SOLID_BLOCK, Item.LADDER_BLOCK)
_BOUGHT_AS = {Item.ADHESIVE_BEAD: Item.ADHESIVE_TUBE}
_FASTENERS = (Item.STEEL_SCREW, Item.WOOD_SCREW, Item.BEARING_NAIL, Item.STRAP_SCREW, Item.SHEATHING_NAIL)
_WORDS = {
    MemberKind.JOIST: "joists",
    MemberKind.TRIMMER: "trimmers",
    MemberKind.HEADER: "headers",
    MemberKind.BEAM: "beams",
    MemberKind.BLOCK: "blocks",
}


@dataclass(frozen=True, slots=True)
class _Sum:
    """One line before packing: code, unit and terms in the order first met."""

    code: str
    unit: str
    terms: tuple[Term, ...]

    @property
    def exact(self) -> int:
        return sum(term.quantity for term in self.terms)


def bill_of_materials(
    layouts: Sequence[BayLayout],
    pieces: Sequence[Piece],
    placed: Sequence[Placed],
    catalogue: Catalogue,
    practice: Practice,
) -> tuple[BomLine, ...]:
    """The bill of one floor: rolled members by profile, then placed things by item and size.

    Args:
        layouts: bays with their members.
        pieces: C-sections of those members.
        placed: what fit-out placed.
        catalogue: descriptions, packs and weights.
        practice: allowance on fasteners, bead length of a tube.

    Returns:
        Lines by group, then in the order of `Item` and size.

    Raises:
        UnknownItem, UnknownProfile: something counted that the catalogue does not hold.
    """
    members = {member.id: member for layout in layouts for member in layout.members}
    lines = [_member_line(total, catalogue) for total in _member_sums(members, pieces)]
    lines += [_item_line(total, placed, catalogue, practice) for total in _item_sums(placed)]
    return tuple(sorted(lines, key=lambda line: GROUPS.index(line.group)))


def _member_sums(members: dict[str, Member], pieces: Sequence[Piece]) -> Iterator[_Sum]:
    for profile in sorted({piece.profile for piece in pieces}):
        by_mark: dict[str, list[Piece]] = {}
        for piece in sorted((p for p in pieces if p.profile == profile), key=lambda p: (p.sequence, p.id)):
            by_mark.setdefault(piece.mark, []).append(piece)
        terms = tuple(
            Term(
                words=f"{len(group)} {TIMES} {mark}, {_WORDS[members[group[0].member].kind]}",
                rule="R4",
                quantity=sum(piece.length_16 for piece in group),
                places=tuple(dict.fromkeys(piece.member for piece in group)),
            )
            for mark, group in by_mark.items()
        )
        yield _Sum(profile, "length_16", terms)


def _member_line(total: _Sum, catalogue: Catalogue) -> BomLine:
    profile = catalogue.profile(total.code)
    return BomLine(
        code=total.code,
        description=f"Joist section {total.code}",
        group="members",
        exact=total.exact,
        unit=total.unit,
        bought=_whole(total.exact, FOOT_16),
        sold_by="ft",
        pack=1,
        weight_lb=round(total.exact / FOOT_16 * profile.weight_plf, 2),
        terms=total.terms,
    )


def _item_sums(placed: Sequence[Placed]) -> Iterator[_Sum]:
    """One sum per item and size; terms by rule and reason in the order that fit-out placed them."""
    terms: dict[tuple[Item, str], list[Term]] = {}
    units: dict[tuple[Item, str], str] = {}
    for (item, size, rule, why), things in _groups(placed).items():
        if item in _CUT_FROM_STOCK:
            continue
        key = _BOUGHT_AS.get(item, item), size
        units.setdefault(key, things[0].unit)
        places = tuple([thing.id for thing in things])
        terms.setdefault(key, []).append(Term(why, rule, sum([t.quantity for t in things]), places))
    order = list(Item)
    for item, size in sorted(terms, key=lambda key: (order.index(key[0]), len(key[1]), key[1])):
        code = f"{item.value}:{size}" if size else item.value
        yield _Sum(code, units[item, size], tuple(terms[item, size]))


def _groups(placed: Sequence[Placed]) -> dict[tuple[Item, str, str, str], list[Placed]]:
    """Placed things by item, size, rule and reason, in the order first met."""
    found: dict[tuple[Item, str, str, str], list[Placed]] = {}
    for thing in placed:
        key = thing.item, thing.size, thing.rule, thing.why
        if key in found:
            found[key].append(thing)
        else:
            found[key] = [thing]
    return found


def _item_line(total: _Sum, placed: Sequence[Placed], catalogue: Catalogue, practice: Practice) -> BomLine:
    row = catalogue.item(total.code)
    bought = _bought(total, row, practice)
    return BomLine(
        code=total.code,
        description=row.description,
        group=row.group,
        exact=total.exact,
        unit=total.unit,
        bought=bought,
        sold_by=row.sold_by,
        pack=row.pack,
        weight_lb=round(_weight_lb(total, row, bought, placed, catalogue), 2),
        terms=total.terms,
    )


def _bought(total: _Sum, row: ItemRow, practice: Practice) -> int:
    item = Item(total.code.split(":")[0])
    if item in _FASTENERS:
        return _whole(total.exact * (100 + practice.fastener_allowance_percent), 100 * row.pack)
    if item is Item.STRAP:
        return _whole(total.exact, FOOT_16)
    if item is Item.ADHESIVE_TUBE:
        return _whole(total.exact, practice.tube_bead_16)
    return _whole(total.exact, row.pack)


def _weight_lb(
    total: _Sum, row: ItemRow, bought: int, placed: Sequence[Placed], catalogue: Catalogue
) -> float:
    """Weight of what is bought; blocks by their true lengths, as a catalogue weight can only be typical."""
    item = Item(total.code.split(":")[0])
    if item in _BLOCKS:
        profile = catalogue.profile(total.code.split(":")[1])
        lengths = [_reach_16(p) for p in placed if p.item is item and p.size == profile.designator]
        return sum(lengths) / FOOT_16 * profile.weight_plf
    return bought * row.pack * row.unit_weight_lb


def _reach_16(thing: Placed) -> int:
    """Length of a long thing between its two ends, 0 for one at a point."""
    end = thing.to or thing.at
    return abs(end.x_16 - thing.at.x_16) + abs(end.y_16 - thing.at.y_16)


def _whole(amount: int, unit: int) -> int:
    return -(-amount // unit)


def schedule(
    layouts: Sequence[BayLayout], pieces: Sequence[Piece], catalogue: Catalogue
) -> tuple[ScheduleLine, ...]:
    """The joist schedule: one line per mark, by kind and then in install order.

    Raises:
        UnknownProfile: a piece of a profile that the catalogue does not hold.
    """
    members = {member.id: member for layout in layouts for member in layout.members}
    by_mark: dict[str, list[Piece]] = {}
    for piece in sorted(pieces, key=lambda p: (p.sequence, p.id)):
        by_mark.setdefault(piece.mark, []).append(piece)
    lines = [_schedule_line(mark, group, members, catalogue) for mark, group in by_mark.items()]
    kinds = list(MemberKind)
    return tuple(sorted(lines, key=lambda line: kinds.index(line.kind)))


def _schedule_line(
    mark: str, group: Sequence[Piece], members: dict[str, Member], catalogue: Catalogue
) -> ScheduleLine:
    first = members[group[0].member]
    feet = sum(piece.length_16 for piece in group) / FOOT_16
    return ScheduleLine(
        mark=mark,
        kind=first.kind,
        profile=first.profile,
        plies=first.plies,
        length_16=group[0].length_16,
        members=len({piece.member for piece in group}),
        pieces=len(group),
        holes_16=first.holes_16,
        weight_lb=round(feet * catalogue.profile(first.profile).weight_plf, 2),
    )
