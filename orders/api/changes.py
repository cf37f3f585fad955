"""Operations on change orders (R45)."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act, may
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import change_reads, selectors, services
from orders.api import serializers as shapes
from orders.api.views import read
from orders.change_reads import ChangeState, change_state
from orders.models import ChangeOrder


class ChangeOutput(serializers.Serializer[Any]):
    """A change of an order: where it stands and its offer."""

    number = serializers.IntegerField()
    state = serializers.ChoiceField(choices=[state.value for state in ChangeState])
    why = serializers.CharField()
    asked_by = serializers.CharField()
    asked_at = serializers.DateTimeField()
    revision = serializers.CharField(help_text="The offer's id; issue, send and accept it as any other.")
    applied_at = serializers.DateTimeField(allow_null=True)
    withdrawn_at = serializers.DateTimeField(allow_null=True)


class ChangedPiecesOutput(serializers.Serializer[Any]):
    """Equal pieces that are added, removed, changed or taken up again; lengths in sixteenths of an inch."""

    verb = serializers.CharField(
        help_text="added, removed, changed, or taken_up: flagged by an earlier change, needed again."
    )
    floor = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()
    before_16 = serializers.IntegerField()
    after_16 = serializers.IntegerField()
    count = serializers.IntegerField()
    rolled = serializers.IntegerField()


class ChangeBundlesOutput(serializers.Serializer[Any]):
    """What became of the bundles, by number; empty before the change is in the order."""

    stay = serializers.ListField(child=serializers.IntegerField(), default=list)
    anew = serializers.ListField(child=serializers.IntegerField(), default=list)
    new = serializers.ListField(child=serializers.IntegerField(), default=list)
    gone = serializers.ListField(child=serializers.IntegerField(), default=list)
    tags = serializers.ListField(child=serializers.IntegerField(), default=list)


class ChangePriceOutput(serializers.Serializer[Any]):
    """With freight and tax."""

    was = serializers.CharField()
    agreed = serializers.DecimalField(max_digits=14, decimal_places=2)
    total = serializers.DecimalField(max_digits=14, decimal_places=2)
    difference = serializers.DecimalField(max_digits=14, decimal_places=2)
    currency = serializers.CharField()


class ChangeWholeOutput(ChangeOutput):
    """A change with all that it does; `price` is null for those who see no prices."""

    rows = ChangedPiecesOutput(many=True)
    kept = serializers.IntegerField()
    marks_moved = serializers.IntegerField()
    rolled = serializers.IntegerField()
    rolled_ft = serializers.DecimalField(max_digits=12, decimal_places=1)
    rolled_lb = serializers.DecimalField(max_digits=12, decimal_places=2)
    bundles = ChangeBundlesOutput()
    price = ChangePriceOutput(allow_null=True)


def _short(change: ChangeOrder) -> dict[str, Any]:
    return {
        "number": change.number,
        "state": change_state(change, database_now()).value,
        "why": change.why,
        "asked_by": change.asked_by.name,
        "asked_at": change.created_at,
        "revision": change.revision.public_id,
        "applied_at": change.applied_at,
        "withdrawn_at": change.withdrawn_at,
    }


class _ChangeView(OperationView):
    def change(self, public_id: str, number: int) -> ChangeOrder:
        return change_reads.change_get(selectors.order_get(public_id), number)

    def whole(self, change: ChangeOrder, status: int = 200) -> Response:
        """A change read afresh, with its price for those who may see one."""
        fresh = change_reads.change_get(change.order, change.number)
        shown = change_reads.change_shown(fresh)
        price = change_reads.change_price(fresh) if may(self.actor.audience, "quote", "read") else None
        names = ("rows", "kept", "marks_moved", "rolled", "rolled_ft", "rolled_lb")
        data = _short(fresh) | {name: getattr(shown, name) for name in names}
        data |= {"bundles": fresh.difference.get("bundles", {}), "price": price}
        return Response(ChangeWholeOutput(data).data, status=status)


class ChangeListView(_ChangeView):
    access = Act("change_order", "read")

    @extend_schema(operation_id="change_list", responses=ChangeOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """The changes of an order, newest first."""
        rows = change_reads.change_list(selectors.order_get(public_id))
        return Response(ChangeOutput([_short(row) for row in rows], many=True).data)


class ChangeGetView(_ChangeView):
    access = Act("change_order", "read")

    @extend_schema(operation_id="change_get", responses=ChangeWholeOutput)
    def get(self, _request: Request, public_id: str, number: int) -> Response:
        """What a change adds, removes and changes, what of it is rolled, and its price."""
        return self.whole(self.change(public_id, number))


class ChangeAskView(_ChangeView):
    access = Act("change_order", "ask")

    @extend_schema(operation_id="change_ask", request=shapes.ReasonInput, responses={201: ChangeWholeOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Draft a change of an order from its floors as they are saved now."""
        order, data = selectors.order_get(public_id), read(shapes.ReasonInput, request)
        made = services.change_ask(actor=self.actor, at=database_now(), order=order, **data)
        return self.whole(made, 201)


class ChangeWithdrawView(_ChangeView):
    access = Act("change_order", "withdraw")

    @extend_schema(operation_id="change_withdraw", request=shapes.ReasonInput, responses=ChangeWholeOutput)
    def post(self, request: Request, public_id: str, number: int) -> Response:
        """Take a change back with a reason; the order stays as agreed."""
        change, data = self.change(public_id, number), read(shapes.ReasonInput, request)
        return self.whole(
            services.change_withdraw(actor=self.actor, at=database_now(), change=change, **data)
        )


class ChangeApplyView(_ChangeView):
    access = Act("change_order", "apply")

    @extend_schema(operation_id="change_apply", request=None, responses=ChangeWholeOutput)
    def post(self, _request: Request, public_id: str, number: int) -> Response:
        """Put an accepted change into its order; again changes nothing."""
        change = self.change(public_id, number)
        return self.whole(services.change_apply(actor=self.actor, at=database_now(), change=change))
