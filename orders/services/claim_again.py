"""What is made again for a claim: a bundle of the same pieces, or a carton of what the claimed one held (R49)."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db.models import Max

from framing.common.errors import Refused
from framing.engine.floor import Units
from framing.engine.units import format_length
from orders.models import Bundle, Carton, Claim, Order, Piece
from orders.selectors import accepted_package
from orders.services.release import TENTH

Line = Sequence[Any]
"""What, count, unit."""


def bundle_again(order: Order, claim: Claim, bundle: Bundle) -> Bundle:
    """A short bundle of what the claim names, longest at the bottom; the marks stay.

    Raises Refused where changes dropped all of it.
    """
    pieces = list(claim.pieces.all()) or list(bundle.pieces.filter(dropped_by=None))
    if not pieces:
        raise Refused(f"Bundle {bundle.number} holds no piece that can be made again.")
    pieces.sort(key=lambda piece: (-piece.length_16, piece.sequence, piece.pk))
    made = Bundle.objects.create(
        order=order,
        number=_next(order.bundles.aggregate(last=Max("number"))["last"]),
        profile=bundle.profile,
        zone=bundle.zone,
        length_16=pieces[0].length_16,
        weight_lb=sum((piece.weight_lb for piece in pieces), Decimal(0)).quantize(TENTH),
        short=True,
        fixed=True,
        note=f"Replacement, claim {claim.number}",
    )
    Piece.objects.bulk_create(_piece_again(piece, made, place) for place, piece in enumerate(pieces, 1))
    return made


def _piece_again(piece: Piece, bundle: Bundle, place: int) -> Piece:
    return Piece(
        order_id=piece.order_id,
        bundle=bundle,
        floor=piece.floor,
        copy=piece.copy,
        piece_id=piece.piece_id,
        mark=piece.mark,
        kind=piece.kind,
        zone=piece.zone,
        profile=piece.profile,
        length_16=piece.length_16,
        weight_lb=piece.weight_lb,
        holes_16=piece.holes_16,
        sequence=piece.sequence,
        position=place,
        replaces=piece,
    )


def carton_again(order: Order, claim: Claim, carton: Carton, contents: Sequence[Line]) -> Carton:
    """A carton of `contents`, or of all that the claimed one holds where there are none.

    Raises Refused at `contents` for what the claimed one does not hold, or holds less of.
    """
    held = _part_of(carton, contents) if contents else [list(line) for line in carton.contents]
    return Carton.objects.create(
        order=order,
        number=_next(order.cartons.aggregate(last=Max("number"))["last"]),
        title=f"{carton.title} (claim {claim.number})"[:120],
        contents=held,
        weight_lb=_weight_lb(order, carton, held),
    )


def _part_of(carton: Carton, contents: Sequence[Line]) -> list[list[Any]]:
    """The asked lines in the order in which the carton lists them."""
    asked: dict[tuple[str, str], int] = {}
    for what, count, unit in contents:
        asked[str(what), str(unit)] = asked.get((str(what), str(unit)), 0) + int(count)
    found = []
    for what, most, unit in carton.contents:
        count = asked.pop((what, unit), 0)
        if not 0 <= count <= most:
            raise Refused(
                f"Carton {carton.number} holds {most} of “{what}”; {count} can't be packed again.",
                field="contents",
            )
        if count:
            found.append([what, count, unit])
    if asked:
        raise Refused(f"“{next(iter(asked))[0][:80]}” is not in carton {carton.number}.", field="contents")
    if not found:
        raise Refused("Say how many of which go again, at least one.", field="contents")
    return found


def _weight_lb(order: Order, carton: Carton, held: Sequence[Line]) -> Decimal:
    """Pounds of a part of a carton; those of the whole where one of its things has no known weight."""
    if [list(line) for line in held] == carton.contents:
        return carton.weight_lb
    each = _each_lb(order)
    if any((what, unit) not in each for what, _, unit in held):
        return carton.weight_lb
    pounds = sum((each[what, unit] * count for what, count, unit in held), Decimal(0))
    return min(carton.weight_lb, max(TENTH, pounds.quantize(TENTH)))


def _each_lb(order: Order) -> dict[tuple[str, str], Decimal]:
    """Pounds of one of each thing that goes in cartons, by what it is called there and how it is sold."""
    units: Units = "metric" if order.revision.quote.project.units == "metric" else "imperial"
    found: dict[tuple[str, str], Decimal] = {}
    for floor in accepted_package(order).floors:
        for line in floor.bill:
            if line.bought:
                found[line.description, line.sold_by] = Decimal(repr(line.weight_lb)) / line.bought
    for piece in order.pieces.filter(bundle=None):
        words = f"{piece.mark} {piece.profile}, {format_length(piece.length_16, units)}"
        found[words, "piece"] = piece.weight_lb
    return found


def _next(last: int | None) -> int:
    return (last or 0) + 1
