"""Operations on claims."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from orders import claim_reads, selectors, services
from orders.api.views import page_of, read
from orders.models import Bundle, Carton, Claim
from orders.states import ClaimKind, ClaimState

STATES = ["waiting", *ClaimState.values]


class ClaimPieceOutput(serializers.Serializer[Any]):
    """Equal pieces of a claim; the length in sixteenths of an inch."""

    mark = serializers.CharField()
    count = serializers.IntegerField()
    profile = serializers.CharField()
    length_16 = serializers.IntegerField()
    zone = serializers.CharField()


class ClaimOutput(serializers.ModelSerializer[Claim]):
    """A claim; `bundle` and `replacement` are ids of bundles, `carton` and `replacement_carton` numbers."""

    id = serializers.CharField(source="public_id")
    order = serializers.CharField(source="order.public_id")
    delivery = serializers.CharField(source="delivery.public_id", default="")
    bundle = serializers.CharField(source="bundle.public_id", default="")
    carton = serializers.IntegerField(source="carton.number", default=None, allow_null=True)
    replacement = serializers.CharField(source="replacement.public_id", default="")
    replacement_carton = serializers.IntegerField(
        source="replacement_carton.number", default=None, allow_null=True
    )
    split_from = serializers.CharField(source="split_from.public_id", default="")
    opened_by = serializers.SerializerMethodField()
    decided_by = serializers.CharField(source="decided_by.name", default="")

    class Meta:
        model = Claim
        fields = (
            "id", "number", "order", "delivery", "kind", "state", "words", "bundle", "carton", "created_at",
            "opened_by", "decided_at", "decided_by", "why", "credit", "replacement", "replacement_carton", "ended_at",
            "split_from",
        )  # fmt: skip

    def get_opened_by(self, claim: Claim) -> str:
        return claim.opened_by.name if claim.opened_by else claim.link.for_name if claim.link else ""


class ClaimWithPiecesOutput(ClaimOutput):
    pieces = serializers.SerializerMethodField()

    class Meta(ClaimOutput.Meta):
        fields = (*ClaimOutput.Meta.fields, "pieces")  # type: ignore[assignment]

    @extend_schema(responses=ClaimPieceOutput(many=True))
    def get_pieces(self, claim: Claim) -> list[dict[str, Any]]:
        rows = claim_reads.claim_pieces(claim)
        return [dict(ClaimPieceOutput(row).data) for row in rows]


class ClaimPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    claims = ClaimOutput(many=True)


class ClaimInput(serializers.Serializer[Any]):
    """What is wrong, on a bundle (by its id), a carton (by its number), or the delivery as a whole."""

    kind = serializers.ChoiceField(choices=ClaimKind.choices)
    words = serializers.CharField(max_length=400)
    bundle = serializers.CharField(max_length=20, allow_blank=True, default="")
    carton = serializers.IntegerField(allow_null=True, default=None, min_value=1)
    marks = serializers.DictField(child=serializers.IntegerField(min_value=1, max_value=999), default=dict)


class ClaimContentInput(serializers.Serializer[Any]):
    """A thing in a carton, named as its contents name it."""

    what = serializers.CharField(max_length=200)
    count = serializers.IntegerField(min_value=1, max_value=100_000)
    unit = serializers.CharField(max_length=40)


class ClaimReplaceInput(serializers.Serializer[Any]):
    """`contents`: what of a carton is packed again; left out, all of it. `marks`: which of the claimed pieces are.

    The other pieces stay open in a claim of their own, whose `split_from` is this one.
    """

    why = serializers.CharField(max_length=400, allow_blank=True, default="")
    contents = serializers.ListField(child=ClaimContentInput(), default=list, max_length=200)
    marks = serializers.DictField(child=serializers.IntegerField(min_value=1, max_value=999), default=dict)


class ClaimCreditInput(serializers.Serializer[Any]):
    amount = serializers.DecimalField(max_digits=12, decimal_places=2)
    why = serializers.CharField(max_length=400)


class ClaimRejectInput(serializers.Serializer[Any]):
    why = serializers.CharField(max_length=400)


def shown(claim: Claim, status: int = 200) -> Response:
    return Response(ClaimWithPiecesOutput(claim_reads.claim_get(claim.public_id)).data, status=status)


class ClaimListView(OperationView):
    access = Act("claim", "read")

    @extend_schema(
        operation_id="claim_list",
        parameters=[OpenApiParameter("state", str, enum=STATES), OpenApiParameter("page", int)],
        responses=ClaimPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Claims, newest first, a hundred a page; “waiting” are those that hold up their order."""
        state = request.query_params.get("state", "")
        if state and state not in STATES:
            raise Refused(f"“{state[:20]}” is no state of a claim.", field="state")
        rows = claim_reads.claim_list(state=state)
        return Response(ClaimPageOutput(page_of(rows, request, "claims")).data)


class ClaimOpenView(OperationView):
    access = Act("claim", "open")

    @extend_schema(operation_id="claim_open", request=ClaimInput, responses={201: ClaimWithPiecesOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Open a claim on a delivery; while one of its kind is open for the same thing, that one grows."""
        data = read(ClaimInput, request)
        delivery = selectors.delivery_get(public_id)
        bundle, carton = _thing(delivery, data.pop("bundle"), data.pop("carton"))
        marks = data.pop("marks")
        if marks and bundle is None:
            raise Refused("Marks are of a bundle; name the bundle.", field="marks")
        claim = services.claim_open(
            actor=self.actor,
            at=database_now(),
            order=delivery.order,
            delivery=delivery,
            bundle=bundle,
            carton=carton,
            pieces=services.pieces_by_mark(bundle, marks) if bundle else (),
            **data,
        )
        return shown(claim, 201)


def _thing(delivery: Any, bundle: str, carton: int | None) -> tuple[Bundle | None, Carton | None]:
    if bundle and carton is not None:
        raise Refused("A claim is on a bundle or on a carton; open one for each.", field="carton")
    key = f"bundle-{bundle}" if bundle else f"carton-{carton}" if carton is not None else claim_reads.WHOLE
    return claim_reads.thing_of(delivery, key)


class ClaimGetView(OperationView):
    access = Act("claim", "read")

    @extend_schema(operation_id="claim_get", responses=ClaimWithPiecesOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One claim with its pieces."""
        return shown(claim_reads.claim_get(public_id))


class ClaimReplaceView(OperationView):
    access = Act("claim", "replace")

    @extend_schema(operation_id="claim_replace", request=ClaimReplaceInput, responses=ClaimWithPiecesOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Give it back to the shop: a bundle of the same pieces with the same marks, or a carton or a part of it."""
        data = read(ClaimReplaceInput, request)
        contents = [(line["what"], line["count"], line["unit"]) for line in data["contents"]]
        claim = claim_reads.claim_get(public_id)
        return shown(
            services.claim_replace(
                actor=self.actor,
                at=database_now(),
                claim=claim,
                why=data["why"],
                contents=contents,
                marks=data["marks"],
            )
        )


class ClaimCreditView(OperationView):
    access = Act("claim", "credit")

    @extend_schema(operation_id="claim_credit", request=ClaimCreditInput, responses=ClaimWithPiecesOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Credit an amount with tax."""
        data = read(ClaimCreditInput, request)
        claim = claim_reads.claim_get(public_id)
        return shown(services.claim_credit(actor=self.actor, at=database_now(), claim=claim, **data))


class ClaimRejectView(OperationView):
    access = Act("claim", "reject")

    @extend_schema(operation_id="claim_reject", request=ClaimRejectInput, responses=ClaimWithPiecesOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Reject it with a reason that the builder reads."""
        data = read(ClaimRejectInput, request)
        claim = claim_reads.claim_get(public_id)
        return shown(services.claim_reject(actor=self.actor, at=database_now(), claim=claim, **data))
