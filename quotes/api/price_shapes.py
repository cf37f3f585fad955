"""Shapes of the price books' operations."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from quotes.models import PriceBook
from quotes.price_changes import Change
from quotes.price_columns import plain
from quotes.price_effects import Effect

REASON_MOST = 400
MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}


class PriceBookVersionOutput(serializers.ModelSerializer[PriceBook]):
    """One version without its rows; it holds from `valid_from` up to, not with, `valid_until`."""

    id = serializers.CharField(source="public_id")
    state = serializers.CharField(help_text="draft, review or in_force")

    class Meta:
        model = PriceBook
        fields: tuple[str, ...] = (
            "id", "name", "version", "currency", "state", "valid_from", "valid_until", "edit", "made_by", "note",
            "sent_by", "sent_at", "in_force_by", "in_force_at",
        )  # fmt: skip


class PriceBookWholeOutput(PriceBookVersionOutput):
    document = serializers.JSONField()

    class Meta(PriceBookVersionOutput.Meta):
        fields = (*PriceBookVersionOutput.Meta.fields, "document")


class DocumentInput(serializers.Serializer[Any]):
    """A price book document; its fields are checked by its own shape."""

    document = serializers.JSONField()


class PriceBookChangeInput(DocumentInput):
    edit = serializers.IntegerField(min_value=1)


class SendInput(serializers.Serializer[Any]):
    note = serializers.CharField(max_length=REASON_MOST)
    edit = serializers.IntegerField(min_value=1)


class GiveBackInput(serializers.Serializer[Any]):
    why = serializers.CharField(max_length=REASON_MOST)


class ForceInput(serializers.Serializer[Any]):
    valid_from = serializers.DateField()
    valid_until = serializers.DateField(allow_null=True, default=None)
    edit = serializers.IntegerField(min_value=1)


class MovedOutput(serializers.Serializer[Any]):
    field = serializers.CharField()
    old = serializers.CharField(allow_null=True)
    new = serializers.CharField(allow_null=True)
    percent = serializers.CharField(allow_null=True)


class PriceChangeOutput(serializers.Serializer[Any]):
    part = serializers.CharField()
    kind = serializers.ChoiceField(["added", "removed", "changed"])
    key = serializers.CharField()
    moved = MovedOutput(many=True)


class OfferEffectOutput(serializers.Serializer[Any]):
    """One alternate; `total` is null where the book lacks what `missing` names."""

    letter = serializers.CharField()
    name = serializers.CharField()
    total_now = serializers.DecimalField(**MONEY)
    total = serializers.DecimalField(**MONEY, allow_null=True)
    difference = serializers.DecimalField(**MONEY, allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())


class PriceEffectOutput(serializers.Serializer[Any]):
    """One open quote: the base offer's totals, and its alternates; null where the book lacks what `missing` names."""

    revision = serializers.CharField()
    name = serializers.CharField()
    issued = serializers.BooleanField()
    total_now = serializers.DecimalField(**MONEY)
    total = serializers.DecimalField(**MONEY, allow_null=True)
    difference = serializers.DecimalField(**MONEY, allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())
    alternates = OfferEffectOutput(many=True)


class PriceComparedOutput(serializers.Serializer[Any]):
    """`open_quotes` is how many there are; `effects` may hold fewer, the newest."""

    against = serializers.CharField()
    changes = PriceChangeOutput(many=True)
    open_quotes = serializers.IntegerField()
    effects = PriceEffectOutput(many=True)


def change_data(change: Change) -> dict[str, Any]:
    moved = [
        {
            "field": value.field,
            "old": _text(value.old),
            "new": _text(value.new),
            "percent": None if value.percent is None else f"{value.percent:.2f}",
        }
        for value in change.moved
    ]
    return {"part": change.part, "kind": change.kind, "key": change.key, "moved": moved}


def _text(value: Any) -> str | None:
    if value is None:
        return None
    return f"{plain(value):f}" if isinstance(value, Decimal) else str(value)


def effect_data(effect: Effect) -> dict[str, Any]:
    return {
        "revision": effect.revision.public_id,
        "name": str(effect.revision),
        "issued": effect.revision.issued_at is not None,
        "total_now": effect.revision.total,
        "total": effect.total,
        "difference": effect.difference,
        "missing": list(effect.base.missing),
        "alternates": [
            {
                "letter": offer.letter,
                "name": offer.label,
                "total_now": offer.now,
                "total": offer.total,
                "difference": offer.difference,
                "missing": list(offer.missing),
            }
            for offer in effect.alternates
        ],
    }


def drop_costs(data: dict[str, Any]) -> None:
    """Take costs and the margin floor out of a document's data, for readers who may not see them."""
    del data["margin_floor"]
    for item in data["items"]:
        del item["cost"]
    for zone in data["freight"].values():
        del zone["cost"]
        for truck in zone["trucks"]:
            del truck["cost"]
