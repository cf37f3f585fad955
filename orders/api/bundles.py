"""Operations on the bundles of an order as the planner handles them."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import bundle_reads as reads
from orders import selectors, services
from orders.api.views import read
from orders.bundle_forms import CODES_MOST
from orders.services.bundles import Step
from orders.states import BundleEdit


class BundledPieceOutput(serializers.Serializer[Any]):
    code = serializers.CharField(help_text="Names the piece in a step; it stands on its label.")
    mark = serializers.CharField()
    length_16 = serializers.IntegerField()
    place = serializers.IntegerField(help_text="Position in the delivery's install sequence, from 1.")
    where = serializers.CharField(help_text="Floor and zone.")


class RemarkOutput(serializers.Serializer[Any]):
    rule = serializers.ChoiceField(choices=["short", "spread", "weight", "zones"])
    words = serializers.CharField()


class BundleStackOutput(serializers.Serializer[Any]):
    """A bundle from the top down, with its limits and what the rules say of it."""

    id = serializers.CharField(source="bundle.public_id")
    number = serializers.IntegerField(source="stack.number")
    profile = serializers.CharField(source="stack.profile")
    zone = serializers.CharField()
    fixed = serializers.BooleanField(source="stack.fixed")
    started = serializers.BooleanField(source="stack.started")
    pieces = BundledPieceOutput(many=True, source="rows")
    pieces_most = serializers.IntegerField(source="most")
    weight_lb = serializers.FloatField()
    lift_limit_lb = serializers.FloatField()
    lift_16 = serializers.IntegerField(help_text="Both lift points, from the ends.")
    remarks = RemarkOutput(many=True)


class BundleCountOutput(serializers.Serializer[Any]):
    profile = serializers.CharField()
    pieces = serializers.IntegerField()
    bundles = serializers.IntegerField()
    least = serializers.IntegerField(help_text="No plan has fewer, by number and weight.")
    least_by_floor = serializers.IntegerField(help_text="The same with every floor for itself.")
    by_weight = serializers.BooleanField(help_text="Weight asks for more bundles than the number does.")
    short = serializers.ListField(child=serializers.IntegerField(), help_text="Numbers of short bundles.")


class BundlePlanOutput(serializers.Serializer[Any]):
    """All bundles of an order; `version` goes into the next step."""

    version = serializers.CharField()
    bundles = BundleStackOutput(many=True)
    profiles = BundleCountOutput(many=True)
    undo = serializers.CharField(allow_null=True, help_text="The step that would be taken back, in words.")
    redo = serializers.CharField(allow_null=True, help_text="The step that would be done again.")
    closed = serializers.CharField(allow_blank=True, help_text="Why nothing can be changed now; else blank.")


class VersionInput(serializers.Serializer[Any]):
    version = serializers.CharField(max_length=32, help_text="Of the bundles that were seen.")


class StepInput(VersionInput):
    """One step; which fields count depends on `edit`."""

    edit = serializers.ChoiceField(choices=BundleEdit.choices)
    number = serializers.IntegerField(required=False, min_value=1, max_value=32000)
    at = serializers.IntegerField(
        required=False, min_value=0, max_value=1000, help_text="Split after so many pieces from the bottom."
    )
    other = serializers.IntegerField(
        required=False, min_value=1, max_value=32000, help_text="Merged into `number`."
    )
    pieces = serializers.ListField(
        child=serializers.CharField(max_length=40), required=False, max_length=CODES_MOST
    )
    to = serializers.IntegerField(
        required=False, allow_null=True, min_value=1, max_value=32000, help_text="None makes a new bundle."
    )
    neater = serializers.BooleanField(required=False, default=False)


def _shown(public_id: str) -> Response:
    order = selectors.order_get(public_id)
    table = reads.bundle_table(order)
    body = {
        "version": table.version,
        "bundles": reads.bundle_cards(table),
        "profiles": reads.bundle_counts(table),
        "undo": table.undo.words if table.undo else None,
        "redo": table.redo.words if table.redo else None,
        "closed": reads.closed_words(order),
    }
    return Response(BundlePlanOutput(body).data)


class BundlePlanView(OperationView):
    access = Act("bundle", "read")

    @extend_schema(operation_id="bundle_plan", responses=BundlePlanOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """The bundles of an order with pieces, limits and what the rules say."""
        return _shown(public_id)


class BundlesEditView(OperationView):
    access = Act("bundle", "change")

    @extend_schema(operation_id="bundles_edit", request=StepInput, responses=BundlePlanOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Split, merge, move, fix, free, or bundle the rest anew; a hard rule refuses."""
        data = read(StepInput, request)
        version, pieces = data.pop("version"), tuple(data.pop("pieces", ()))
        services.bundles_edit(
            actor=self.actor,
            at=database_now(),
            order=selectors.order_get(public_id),
            version=version,
            step=Step(pieces=pieces, **data),
        )
        return _shown(public_id)


class BundlesUndoView(OperationView):
    access = Act("bundle", "change")

    @extend_schema(operation_id="bundles_undo", request=VersionInput, responses=BundlePlanOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Take back the last step that stands."""
        version = read(VersionInput, request)["version"]
        order = selectors.order_get(public_id)
        services.bundles_undo(actor=self.actor, at=database_now(), order=order, version=version)
        return _shown(public_id)


class BundlesRedoView(OperationView):
    access = Act("bundle", "change")

    @extend_schema(operation_id="bundles_redo", request=VersionInput, responses=BundlePlanOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Do again what was taken back last."""
        version = read(VersionInput, request)["version"]
        order = selectors.order_get(public_id)
        services.bundles_redo(actor=self.actor, at=database_now(), order=order, version=version)
        return _shown(public_id)
