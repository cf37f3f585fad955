"""An order's rows moved on to what a change agreed: pieces, bundles, cartons (R45)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from framing.engine.bundling import edits
from framing.engine.bundling.table import Stack
from orders.bundle_reads import Table, bundle_table
from orders.change_facts import Found, Key
from orders.changes import PlacedPiece
from orders.models import Bundle, Carton, ChangeOrder, LinePin, Order, PastCode, Piece, Remake, ShopAction
from orders.services.bundles import write_stacks
from orders.services.release import pieces_to_roll, weight
from orders.shop_models import new_code

Contents = dict[int, list[tuple[int, str]]]


@dataclass(frozen=True, slots=True)
class Arranged:
    """What became of an order's bundles, by number.

    `stay` were begun and hold pieces that are needed no more; `anew` hold other pieces than before, `new` were not
    there, `gone` are given up; `tags` want a new tag, for pieces in them changed, got another mark, are needed no more
    or are needed again.
    """

    stay: tuple[int, ...] = ()
    anew: tuple[int, ...] = ()
    new: tuple[int, ...] = ()
    gone: tuple[int, ...] = ()
    tags: tuple[int, ...] = ()

    @property
    def as_json(self) -> dict[str, Any]:
        return {name: list(numbers) for name, numbers in asdict(self).items()}


def rearrange(order: Order, change: ChangeOrder, found: Found) -> Arranged:
    """Move the rows of a locked, released order on to the change's package; the order has its revision already."""
    bundles = {row.pk: row for row in order.bundles.select_for_update()}
    before = _contents(order, bundles)
    begun = {pk for pk, row in bundles.items() if row.started_at}
    begun |= set(ShopAction.objects.filter(bundle__order=order).values_list("bundle_id", flat=True))
    made = _made(order, found)
    _drop(change, found, begun)
    _keep(found, made)
    added = _add(found, made)
    touched = {bundles[pk].number for pk in begun}
    why = f"change {change.number}"
    anew, new, gone = _bundle(order, added, touched, before, why)
    _cartons(order, found, why)
    after = _contents(order, {row.pk: row for row in order.bundles.all()})
    flagged = order.pieces.filter(dropped_by=change, bundle__isnull=False)
    stay = tuple(sorted(set(flagged.values_list("bundle__number", flat=True))))
    changed = {number for number, held in after.items() if held != before.get(number)}
    return Arranged(stay, anew, new, gone, tuple(sorted(changed | set(stay))))


def _contents(order: Order, bundles: Mapping[int, Bundle]) -> Contents:
    """Pieces of each bundle from the bottom up with their marks; a flagged one has none."""
    held: Contents = {row.number: [] for row in bundles.values()}
    rows = order.pieces.filter(bundle__isnull=False).order_by("position", "id")
    for pk, bundle, mark, dropped in rows.values_list("pk", "bundle_id", "mark", "dropped_by"):
        held[bundles[bundle].number].append((pk, "" if dropped else mark))
    return held


def _drop(change: ChangeOrder, found: Found, begun: set[int]) -> None:
    """What is needed no more: flagged where the shop has had it in hand, else gone."""
    rows = [found.rows[piece] for piece in found.difference.gone]
    pks = [row.pk for row in rows]
    handled = set(ShopAction.objects.filter(piece__in=pks).values_list("piece_id", flat=True))
    handled |= set(Remake.objects.filter(piece__in=pks).values_list("piece_id", flat=True))
    stay = [row for row in rows if row.bundle_id in begun or row.pk in handled]
    for row in stay:
        row.dropped_by = change
        if row.bundle_id not in begun:
            row.bundle, row.position = None, 0
    Piece.objects.bulk_update(stay, ["dropped_by", "bundle", "position"])
    kept = {row.pk for row in stay}
    Piece.objects.filter(pk__in=[pk for pk in pks if pk not in kept]).delete()


def _made(order: Order, found: Found) -> dict[Key, Piece]:
    """The rows that a release by the change would make, by floor, copy and piece."""
    titles = {
        floor.plan.name[:80]: name for name, floor in zip(found.floors, found.package.floors, strict=True)
    }
    rows = pieces_to_roll(order, found.package)
    return {(titles[row.floor], row.copy, row.piece_id): row for row in rows}


def _keep(found: Found, made: Mapping[Key, Piece]) -> None:
    """Kept steel, and what is taken up again, gets the names of the new framing; what it is of stays."""
    rows, names = [], []
    for before, after in (*found.difference.kept, *found.difference.taken_up):
        row, to = found.rows.get(before) or found.spare[before], made[_placed(after)]
        row.piece_id = f"~{row.pk}"  # names may change places: out of each other's way first
        row.floor, row.copy, row.kind, row.dropped_by = to.floor, to.copy, to.kind, None
        row.mark, row.zone, row.sequence = to.mark, to.zone, to.sequence
        rows.append(row)
        names.append(to.piece_id)
    Piece.objects.bulk_update(rows, ["piece_id"])
    for row, name in zip(rows, names, strict=True):
        row.piece_id = name
    named = ["floor", "copy", "piece_id", "kind", "mark", "zone", "sequence", "dropped_by"]
    Piece.objects.bulk_update(rows, named)


def _add(found: Found, made: Mapping[Key, Piece]) -> list[Piece]:
    """New pieces, not in bundles yet; returns those that are to be bundled."""
    wanted = found.difference.to_roll
    rows = [made[_placed(piece)] for piece in wanted]
    for row in rows:
        row.position = 0
    Piece.objects.bulk_create(rows)
    bundled = {
        (found.floors[piece.floor], piece.copy, piece.piece)
        for bundle in found.package.bundles
        for piece in bundle.pieces
    }
    return [made[key] for key in map(_placed, wanted) if key in bundled]


def _placed(piece: PlacedPiece) -> Key:
    return piece.floor, piece.copy, piece.id


def _bundle(
    order: Order, added: Iterable[Piece], touched: set[int], before: Contents, why: str
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]:
    """Bundle anew, profile by profile, where pieces came or went; begun bundles and other profiles stay as they are.

    Returns the numbers of bundles that hold other pieces, that are new, and that are gone.
    """
    codes = {piece.code for piece in added}
    table = bundle_table(order, order.bundles.select_for_update(), also=codes)
    parts = tuple(sorted((table.parts[code] for code in codes), key=lambda part: part.place))
    lost = _lost(table, before)
    profiles = {part.profile for part in parts} | {table.rows[number].profile for number in lost}
    moving = [s for s in table.stacks if s.number not in touched and s.profile in profiles]
    after = _again(table, moving, parts)
    wanted = [stack for stack in after if _pks(table, stack) != _held(before, stack.number)]
    numbers = {stack.number for stack in after}
    empty = lost - {stack.number for stack in table.stacks}
    gone = {stack.number for stack in moving if stack.number not in numbers} | (empty - numbers)
    LinePin.objects.filter(bundle__order=order, bundle__number__in=gone).delete()
    old = [s for s in moving if s.number in gone or s.number in {w.number for w in wanted}]
    write_stacks(table, old, wanted, {stack.number: new_code() for stack in wanted}, why=why)
    for row in order.bundles.filter(number__in=empty - numbers):
        PastCode.objects.create(order=order, code=row.code, number=row.number, why=why)
        row.delete()
    new = {stack.number for stack in wanted if stack.number not in before}
    anew = {stack.number for stack in wanted} - new
    return tuple(sorted(anew)), tuple(sorted(new)), tuple(sorted(gone))


def _again(table: Table, moving: list[Stack], parts: tuple[Any, ...]) -> list[Stack]:
    """The bundles of `moving` with the new parts; those that the planner fixed keep what they hold."""
    waiting = [Stack(table.new, parts)] if parts else []
    if not waiting and all(stack.fixed for stack in moving):
        return moving
    edited = edits.again((*moving, *waiting), table.rules, new=table.new + 1)
    return list(edited.stacks)


def _lost(table: Table, before: Contents) -> set[int]:
    """Bundles that hold fewer pieces than before the change."""
    held = {stack.number: len(stack.parts) for stack in table.stacks}
    return {number for number, pieces in before.items() if held.get(number, 0) < len(pieces)}


def _pks(table: Table, stack: Stack) -> list[int]:
    return [table.pieces[part.key].pk for part in stack.parts]


def _held(before: Contents, number: int) -> list[int]:
    return [pk for pk, _ in before.get(number, [])]


def _cartons(order: Order, found: Found, why: str) -> None:
    """Cartons as the change packs them; one that holds the same keeps its code."""
    rows = {row.number: row for row in order.cartons.select_for_update()}
    for carton in found.package.cartons:
        row = rows.pop(carton.number, None) or Carton(order=order, number=carton.number)
        content = (carton.title[:120], [list(line) for line in carton.contents], weight(carton.weight_lb))
        if row.pk and (row.title, row.contents, row.weight_lb) == content:
            continue
        if row.pk:
            _past(row, why)
        row.title, row.contents, row.weight_lb = content
        row.code = new_code()
        row.save()
    for row in rows.values():
        _past(row, why)
        row.delete()


def _past(carton: Carton, why: str) -> None:
    """The label that stuck on a carton before leads on, and says why it is old."""
    PastCode.objects.create(
        order=carton.order, code=carton.code, number=carton.number, is_carton=True, why=why
    )
