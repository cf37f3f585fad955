"""From the rows of an order to what stands on its papers. Reads only; dropped pieces are left out (R45)."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from itertools import groupby
from typing import Any

from django.conf import settings
from django.db.models import QuerySet

from orders.models import Bundle, LabelStock, Order, Piece
from orders.papers.codes import door_of
from orders.papers.facts import (
    CartonFacts,
    CutRow,
    Label,
    MarkFacts,
    PieceFacts,
    Stock,
    TagFacts,
    as_json,
)
from orders.selectors import content_words, mark_counts
from orders.states import ShopPaperKind

FORM = 1


def digest_of(content: Mapping[str, Any]) -> str:
    """SHA-256 of a content, the same for equal ones."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def stock_facts(stock: LabelStock) -> Stock:
    return Stock(
        page_width=stock.page_width,
        page_height=stock.page_height,
        columns=stock.columns,
        rows=stock.rows,
        label_width=stock.label_width,
        label_height=stock.label_height,
        left=stock.left,
        top=stock.top,
        across=stock.across,
        down=stock.down,
    )


def label_content(kind: str, order: Order, stock: LabelStock, start: int) -> dict[str, Any]:
    """What the labels of an order say, on which stock, and which label of the first sheet is the first."""
    labels = {
        ShopPaperKind.PIECE_LABELS: piece_facts,
        ShopPaperKind.BUNDLE_TAGS: tag_facts,
        ShopPaperKind.CARTON_LABELS: carton_facts,
    }[ShopPaperKind(kind)](order)
    return {
        "form": FORM,
        "units": units_of(order),
        "door": door_of(settings.PUBLIC_URL),
        "stock": as_json(stock_facts(stock)),
        "stock_name": stock.name,
        "start": start,
        "labels": [as_json(label) for label in labels],
    }


def units_of(order: Order) -> str:
    return order.revision.quote.project.units


def floor_words(piece: Piece) -> str:
    return piece.floor if piece.copy == 1 else f"{piece.floor}, copy {piece.copy}"


def live_pieces(order: Order) -> QuerySet[Piece]:
    """Pieces that are still wanted, bundle by bundle from the bottom up, then those that go in packs."""
    rows = order.pieces.filter(dropped_by=None).select_related("bundle")
    return rows.order_by(
        "bundle__number", "position", "id"
    )  # without a bundle last, as PostgreSQL orders nothing


def piece_facts(order: Order) -> list[Label]:
    """One label a piece."""
    pieces = list(live_pieces(order))
    made: list[Label] = []
    for number, same in groupby(pieces, lambda piece: piece.bundle.number if piece.bundle else 0):
        together = list(same)
        made.extend(
            PieceFacts(
                code=piece.code,
                mark=piece.mark,
                length_16=piece.length_16,
                profile=piece.profile,
                floor=floor_words(piece),
                zone=piece.zone,
                order=order.number,
                project=order.revision.quote.project.name,
                bundle=number,
                place=place if number else 0,
                pieces=len(together) if number else 0,
            )
            for place, piece in enumerate(together, 1)
        )
    return made


def tag_facts(order: Order) -> list[Label]:
    """One tag a bundle that has a piece left."""
    project = order.revision.quote.project
    made: list[Label] = []
    for bundle, pieces in bundles_with_pieces(order):
        marks = tuple(MarkFacts(m.mark, m.count, m.length_16) for m in mark_counts(pieces))
        made.append(
            TagFacts(
                code=bundle.code,
                number=bundle.number,
                order=order.number,
                project=project.name,
                builder=project.builder.name,
                place=bundle.zone,
                note=bundle.note,
                profile=bundle.profile,
                marks=marks,
                length_16=bundle.length_16,
                weight_lb=float(bundle.weight_lb),
            )
        )
    return made


def bundles_with_pieces(order: Order) -> list[tuple[Bundle, list[Piece]]]:
    """Bundles by number with the pieces that are still wanted, from the bottom up."""
    by_bundle: dict[int | None, list[Piece]] = {}
    for piece in live_pieces(order):
        by_bundle.setdefault(piece.bundle_id, []).append(piece)
    return [
        (bundle, by_bundle[bundle.pk])
        for bundle in order.bundles.order_by("number")
        if bundle.pk in by_bundle
    ]


def carton_facts(order: Order) -> list[Label]:
    """One label a carton."""
    return [
        CartonFacts(
            code=carton.code,
            number=carton.number,
            order=order.number,
            project=order.revision.quote.project.name,
            title=carton.title,
            contents=tuple(content_words(carton.contents)),
            weight_lb=float(carton.weight_lb),
        )
        for carton in order.cartons.order_by("number")
    ]


def packing_content(order: Order) -> dict[str, Any]:
    """The cartons of an order with all that is in them, and the pieces that go in packs."""
    project = order.revision.quote.project
    loose = [piece for piece in live_pieces(order) if piece.bundle_id is None]
    return {
        "form": FORM,
        "units": units_of(order),
        "order": order.number,
        "project": project.name,
        "builder": project.builder.name,
        "site": str(project.site),
        "deliver_on": order.deliver_on.isoformat() if order.deliver_on else "",
        "cartons": [
            {
                "code": carton.code,
                "number": carton.number,
                "title": carton.title,
                "contents": [list(line) for line in carton.contents],
                "weight_lb": float(carton.weight_lb),
            }
            for carton in order.cartons.order_by("number")
        ],
        "loose": [
            {"mark": mark.mark, "count": mark.count, "length_16": mark.length_16}
            for mark in mark_counts(loose)
        ],
    }


def cut_rows(pieces: list[Piece]) -> tuple[CutRow, ...]:
    """Pieces in the order in which they are rolled, equal neighbours together."""
    return tuple(
        CutRow(mark, length, holes, len(list(same)), floor)
        for (mark, length, holes, floor), same in groupby(
            pieces, lambda p: (p.mark, p.length_16, tuple(p.holes_16), floor_words(p))
        )
    )
