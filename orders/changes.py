"""What differs between two framings of the same floors, piece by piece (R45). Pure: steel and places in, pairs out.

A piece is the same where floor, copy, kind, profile, place on the plan, length and holes are the same; what only moved
on its floor is the same steel too. Marks are never asked: they move when a floor changes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass

from framing.engine.result import FloorResult


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """One C-section of one copy of a floor; lengths in sixteenths.

    `floor` is what names the floor for good, `place` is (bay, axis, middle, ply): where it stands, its length apart;
    `low_16` is its printed end on the plan.
    """

    floor: str
    copy: int
    id: str
    mark: str
    kind: str
    profile: str
    place: tuple[str, str, int, int]
    low_16: int
    length_16: int
    holes_16: tuple[int, ...]

    @property
    def steel(self) -> tuple[Hashable, ...]:
        """Equal for pieces that can stand for one another on one copy of a floor."""
        return self.floor, self.copy, self.kind, *self.cut

    @property
    def cut(self) -> tuple[str, int, tuple[int, ...]]:
        """Equal for pieces that come off the line alike, whatever floor and member they are for."""
        return self.profile, self.length_16, self.holes_16

    @property
    def there(self) -> Hashable:
        """Equal for the same steel in the same place."""
        return self.steel, self.place, self.low_16

    @property
    def stands(self) -> Hashable:
        """Equal for pieces that stand in the same place, whatever they are of."""
        return self.floor, self.copy, self.kind, self.place


Pair = tuple[PlacedPiece, PlacedPiece]


@dataclass(frozen=True, slots=True)
class Difference:
    """Every piece of before and after stands once in here.

    Attributes:
        kept: the same steel before and after; the mark may be new.
        changed: what stands in the same place but is other steel.
        removed, added: what has no counterpart.
        taken_up: steel that an earlier change flagged, none of `before`, and the piece that it is used for now.
    """

    kept: tuple[Pair, ...]
    changed: tuple[Pair, ...]
    removed: tuple[PlacedPiece, ...]
    added: tuple[PlacedPiece, ...]
    taken_up: tuple[Pair, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether the same steel is needed before and after."""
        return not (self.changed or self.removed or self.added or self.taken_up)

    @property
    def to_roll(self) -> tuple[PlacedPiece, ...]:
        """Pieces of after that nothing there can be used for."""
        return (*self.added, *(after for _, after in self.changed))

    @property
    def gone(self) -> tuple[PlacedPiece, ...]:
        """Pieces of before that are needed no more as they are."""
        return (*(before for before, _ in self.changed), *self.removed)


def difference(before: Iterable[PlacedPiece], after: Iterable[PlacedPiece]) -> Difference:
    """Match by steel and place, then by steel alone, then by place alone; what is left is removed or added."""
    here, kept = _matched(tuple(before), tuple(after), lambda piece: piece.there)
    moved_from, moved = _matched(*here, lambda piece: piece.steel)
    (removed, added), changed = _matched(*moved_from, lambda piece: piece.stands)
    return Difference((*kept, *moved), changed, removed, added)


def take_up(found: Difference, spare: Iterable[PlacedPiece]) -> Difference:
    """The same difference where flagged steel lies about that can be used: profile, length and holes must be equal.

    `spare` are flagged pieces, each with an id of its own; those of the same floor, copy and kind are used first. What
    stood in the place of a changed piece that is served so is removed.
    """
    (left, wanted), same = _matched(tuple(spare), found.to_roll, lambda piece: piece.steel)
    _, alike = _matched(left, wanted, lambda piece: piece.cut)
    taken = (*same, *alike)
    served = {after for _, after in taken}
    return Difference(
        kept=found.kept,
        changed=tuple(pair for pair in found.changed if pair[1] not in served),
        removed=(*found.removed, *(before for before, after in found.changed if after in served)),
        added=tuple(piece for piece in found.added if piece not in served),
        taken_up=taken,
    )


Left = tuple[tuple[PlacedPiece, ...], tuple[PlacedPiece, ...]]


def _matched(
    before: tuple[PlacedPiece, ...], after: tuple[PlacedPiece, ...], key: Callable[[PlacedPiece], Hashable]
) -> tuple[Left, tuple[Pair, ...]]:
    """Pairs of equal keys in the order of `before`, and what is left on both sides."""
    waiting: dict[Hashable, list[PlacedPiece]] = defaultdict(list)
    for piece in reversed(after):
        waiting[key(piece)].append(piece)
    pairs: list[Pair] = []
    left: list[PlacedPiece] = []
    for piece in before:
        found = waiting[key(piece)]
        if found:
            pairs.append((piece, found.pop()))
        else:
            left.append(piece)
    over = {(piece.floor, piece.copy, piece.id) for rest in waiting.values() for piece in rest}
    rest = tuple(piece for piece in after if (piece.floor, piece.copy, piece.id) in over)
    return (tuple(left), rest), tuple(pairs)


def placed_pieces(name: str, floor: FloorResult) -> tuple[PlacedPiece, ...]:
    """The pieces of every copy of a designed floor; `name` names the floor for good."""
    members = {member.id: member for member in floor.members}
    found = []
    for copy in range(1, floor.plan.repeat + 1):
        for piece in floor.pieces:
            member = members[piece.member]
            ply = int(piece.id.rpartition("/")[2])
            place = (member.bay, str(member.runs), member.centre_16, ply)
            found.append(
                PlacedPiece(
                    floor=name,
                    copy=copy,
                    id=piece.id,
                    mark=piece.mark,
                    kind=str(member.kind),
                    profile=piece.profile,
                    place=place,
                    low_16=member.low_16,
                    length_16=piece.length_16,
                    holes_16=tuple(member.holes_16),
                )
            )
    return tuple(found)
