"""From the rows of an order to what stands on its papers; dropped pieces are left out (R45)."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.conf import settings

from orders.models import LabelStock, Order, Piece, Remake
from orders.papers.codes import door_of
from orders.papers.facts import (
    AgainCut,
    CartonFacts,
    CutRow,
    Label,
    MarkFacts,
    PieceFacts,
    Stock,
    TagFacts,
    as_json,
)
from orders.papers.order_rows import OrderRows
from orders.selectors import content_words, mark_counts
from orders.states import ShopPaperKind

FORM = 1


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


def label_content(kind: str, rows: OrderRows, stock: LabelStock, start: int) -> dict[str, Any]:
    """What the labels of an order say, on which stock, and which label of the first sheet is the first."""
    on = {"form": FORM, "stock": as_json(stock_facts(stock)), "stock_name": stock.name, "start": start}
    return on | labels_content(kind, rows)


def labels_content(kind: str, rows: OrderRows) -> dict[str, Any]:
    """What the labels of an order say, wherever they are printed."""
    labels = {
        ShopPaperKind.PIECE_LABELS: piece_facts,
        ShopPaperKind.BUNDLE_TAGS: tag_facts,
        ShopPaperKind.CARTON_LABELS: carton_facts,
    }[ShopPaperKind(kind)](rows)
    return {
        "units": units_of(rows.order),
        "door": door_of(settings.PUBLIC_URL),
        "labels": [as_json(label) for label in labels],
    }


def units_of(order: Order) -> str:
    return order.revision.quote.project.units


def floor_words(piece: Piece) -> str:
    return piece.floor if piece.copy == 1 else f"{piece.floor}, copy {piece.copy}"


def piece_facts(rows: OrderRows) -> list[Label]:
    """One label a piece."""
    order, made = rows.order, list[Label]()
    numbers = {bundle.pk: bundle.number for bundle in rows.bundles}
    for number, same in groupby(rows.pieces, lambda piece: numbers.get(piece.bundle_id or 0, 0)):
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


def tag_facts(rows: OrderRows) -> list[Label]:
    """One tag a bundle that has a piece left."""
    project = rows.order.revision.quote.project
    made: list[Label] = []
    for bundle, pieces in rows.held:
        marks = tuple(MarkFacts(m.mark, m.count, m.length_16) for m in mark_counts(pieces))
        made.append(
            TagFacts(
                code=bundle.code,
                number=bundle.number,
                order=rows.order.number,
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


def carton_facts(rows: OrderRows) -> list[Label]:
    """One label a carton."""
    return [
        CartonFacts(
            code=carton.code,
            number=carton.number,
            order=rows.order.number,
            project=rows.order.revision.quote.project.name,
            title=carton.title,
            contents=tuple(content_words(carton.contents)),
            weight_lb=float(carton.weight_lb),
        )
        for carton in rows.cartons
    ]


def packing_content(rows: OrderRows) -> dict[str, Any]:
    """The cartons of an order with all that is in them, and the pieces that go in packs."""
    order = rows.order
    project = order.revision.quote.project
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
            for carton in rows.cartons
        ],
        "loose": [
            {"mark": mark.mark, "count": mark.count, "length_16": mark.length_16}
            for mark in mark_counts(rows.loose)
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


def again_rows(remakes: list[Remake]) -> tuple[AgainCut, ...]:
    """Pieces that are to be made again, as they were asked for."""
    return tuple(
        AgainCut(one.public_id, p.mark, p.length_16, tuple(p.holes_16), floor_words(p))
        for one in remakes
        for p in [one.piece]
    )
