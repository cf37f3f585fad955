"""Shapes that go in and out of the orders' API. No price stands in any of them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from orders.models import Bundle, Carton, Delivery, Order, OrderMove, Piece, TruckLoad
from orders.states import Gear


class MoveOutput(serializers.ModelSerializer[OrderMove]):
    class Meta:
        model = OrderMove
        fields = ("at", "from_stage", "to_stage", "by", "why")


class OrderOutput(serializers.ModelSerializer[Order]):
    """An order as lists show it."""

    id = serializers.CharField(source="public_id")
    quote = serializers.CharField(source="revision.quote.public_id")
    revision = serializers.CharField(source="revision.public_id")
    alternate = serializers.CharField(
        source="revision.acceptance.alternate.letter",
        default="",
        help_text="The builder's pick; blank is the base offer.",
    )
    project = serializers.CharField(source="revision.quote.project.name")
    builder = serializers.CharField(source="revision.quote.project.builder.name")
    owner = serializers.CharField(source="owner.name")

    class Meta:
        model = Order
        fields = (
            "id", "number", "stage", "held_from", "quote", "revision", "alternate", "project", "builder",
            "owner", "deliver_on", "drawings_approved_at", "drawings_approved_by",
        )  # fmt: skip


class OrderPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    orders = OrderOutput(many=True)


class BundleOutput(serializers.ModelSerializer[Bundle]):
    """A bundle; `truck` is None until a delivery is planned; `length_16` is the longest piece."""

    id = serializers.CharField(source="public_id")
    order = serializers.CharField(source="order.public_id")
    pieces = serializers.IntegerField(source="piece_count")
    truck = serializers.IntegerField(source="load.number", allow_null=True, default=None)

    class Meta:
        model = Bundle
        fields = (
            "id", "order", "number", "profile", "zone", "pieces", "length_16", "weight_lb", "short", "note",
            "finished_at", "truck",
        )  # fmt: skip


class PieceOutput(serializers.ModelSerializer[Piece]):
    """A piece; `position` counts from the bottom of its bundle."""

    class Meta:
        model = Piece
        fields = ("mark", "profile", "length_16", "floor", "copy", "piece_id", "sequence", "position")


class BundleWithPiecesOutput(BundleOutput):
    piece_list = PieceOutput(many=True, source="pieces.all")

    class Meta(BundleOutput.Meta):
        fields = (*BundleOutput.Meta.fields, "piece_list")  # type: ignore[assignment]


class CartonOutput(serializers.ModelSerializer[Carton]):
    contents: serializers.JSONField = serializers.JSONField(help_text="What, count, unit of each thing.")

    class Meta:
        model = Carton
        fields = ("number", "title", "contents", "weight_lb")


class OrderWithAllOutput(OrderOutput):
    """An order with its moves, bundles, cartons and deliveries."""

    moves = MoveOutput(many=True)
    bundles = serializers.SerializerMethodField()
    cartons = CartonOutput(many=True)
    deliveries = serializers.SlugRelatedField[Any](many=True, read_only=True, slug_field="public_id")

    class Meta(OrderOutput.Meta):
        fields = (*OrderOutput.Meta.fields, "moves", "bundles", "cartons", "deliveries")  # type: ignore[assignment]

    def get_bundles(self, order: Order) -> list[str]:
        return list(order.bundles.order_by("number").values_list("public_id", flat=True))


class TruckOutput(serializers.ModelSerializer[TruckLoad]):
    """One truck; bundles and cartons by number, in order of unloading."""

    bundles = serializers.SlugRelatedField[Any](many=True, read_only=True, slug_field="number")
    cartons = serializers.SlugRelatedField[Any](many=True, read_only=True, slug_field="number")

    class Meta:
        model = TruckLoad
        fields = ("number", "weight_lb", "bundles", "cartons")


class DeliveryOutput(serializers.ModelSerializer[Delivery]):
    id = serializers.CharField(source="public_id")
    order = serializers.CharField(source="order.public_id")
    state = serializers.ChoiceField(choices=["planned", "loaded", "delivered", "dropped"])

    class Meta:
        model = Delivery
        fields = (
            "id", "number", "order", "state", "planned_for", "window_from", "window_to", "contact", "phone", "gear",
            "gear_limit_lb", "notes", "loaded_at", "delivered_at", "received_by", "edition",
        )  # fmt: skip


class DeliveryWithTrucksOutput(DeliveryOutput):
    trucks = TruckOutput(many=True, source="loads")

    class Meta(DeliveryOutput.Meta):
        fields = (*DeliveryOutput.Meta.fields, "trucks")  # type: ignore[assignment]


class DeliveryPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    deliveries = DeliveryOutput(many=True)


class JobOutput(serializers.Serializer[Any]):
    state = serializers.ChoiceField(choices=["waiting", "started", "done", "parked"])


class LinkOutput(serializers.Serializer[Any]):
    """A new link; `address` is told this once and never again."""

    id = serializers.CharField()
    address = serializers.URLField()
    expires_at = serializers.DateTimeField()


class BookInput(serializers.Serializer[Any]):
    quote = serializers.CharField(max_length=20, help_text="Public id of an accepted quote.")


class ReasonInput(serializers.Serializer[Any]):
    why = serializers.CharField(max_length=400)


class WhenInput(serializers.Serializer[Any]):
    """Day and window by the site's own clock; both ends of the window, or neither."""

    planned_for = serializers.DateField()
    window_from = serializers.TimeField(allow_null=True, default=None)
    window_to = serializers.TimeField(allow_null=True, default=None)
    shut_ok = serializers.BooleanField(
        default=False, help_text="It goes although the company is shut on that day."
    )


class SeenInput(serializers.Serializer[Any]):
    edition = serializers.IntegerField(
        allow_null=True,
        default=None,
        help_text="The delivery's edition that was seen; another one by now is refused.",
    )


class PlaceInput(serializers.Serializer[Any]):
    """Whom the driver calls; what unloads, and what it lifts where bundles are set down."""

    contact = serializers.CharField(max_length=160)
    phone = serializers.CharField(max_length=40, allow_blank=True, default="")
    gear = serializers.ChoiceField(choices=Gear.choices, default=Gear.TELEHANDLER.value)
    gear_limit_lb = serializers.IntegerField(allow_null=True, default=None)
    notes = serializers.CharField(max_length=400, allow_blank=True, default="")


class DeliveryInput(WhenInput, PlaceInput):
    """Floors, or bundles (ids) and cartons (numbers); none of them for all that is left."""

    floors = serializers.ListField(child=serializers.CharField(max_length=80), default=list)
    bundles = serializers.ListField(child=serializers.CharField(max_length=20), allow_null=True, default=None)
    cartons = serializers.ListField(child=serializers.IntegerField(), allow_null=True, default=None)


class DeliveryChangeInput(PlaceInput, SeenInput):
    """All but day and window."""


class DeliveryDropInput(ReasonInput, SeenInput):
    """Why it is dropped."""


class MoveInput(WhenInput, SeenInput):
    why = serializers.CharField(max_length=400)


class ThingsInput(serializers.Serializer[Any]):
    """Bundles by id, cartons by number."""

    bundles = serializers.ListField(child=serializers.CharField(max_length=20), default=list)
    cartons = serializers.ListField(child=serializers.IntegerField(), default=list)


class ReceiptInput(serializers.Serializer[Any]):
    received_by = serializers.CharField(max_length=160)


class LinkInput(serializers.Serializer[Any]):
    for_name = serializers.CharField(max_length=160)


class TapInput(serializers.Serializer[Any]):
    """A tap; `tapped_at` is the tablet's clock and only for people."""

    action_id = serializers.UUIDField(
        required=False, help_text="New for each tap, the same when it is sent again. Made here where missing."
    )
    tapped_at = serializers.DateTimeField(required=False)
