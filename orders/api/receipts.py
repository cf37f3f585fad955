"""Operations on what comes back from the site: acts, each with a number of its own, and photos."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import ReadyRenderer
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import selectors
from orders.api.views import read
from orders.models import Delivery, ReceiptAction, SitePhoto
from orders.photo_store import BODY_MOST
from orders.services.photos import photo_take
from orders.services.receipts import SiteAct, receipt_act
from orders.site_reads import photo_get, photo_list, receipt_actions, site_loads, thing_on
from orders.site_terms import site_terms
from orders.site_views import photo_response
from orders.states import ReceiptState, ReceiptVerb


class ReceiptActInput(serializers.Serializer[Any]):
    """An act on site. `code` is that of a tag, as scanned or typed, blank to sign; sent again it counts once."""

    action_id = serializers.UUIDField()
    verb = serializers.ChoiceField(choices=ReceiptVerb.choices)
    code = serializers.CharField(max_length=200, allow_blank=True, default="")
    marks = serializers.DictField(child=serializers.IntegerField(min_value=1), default=dict)
    words = serializers.CharField(max_length=400, allow_blank=True, default="")
    name = serializers.CharField(max_length=160, allow_blank=True, default="")
    tapped_at = serializers.DateTimeField(allow_null=True, default=None)


class ReceiptActOutput(serializers.ModelSerializer[ReceiptAction]):
    """An act that was counted; `changed` is false where things stood so already."""

    bundle = serializers.IntegerField(source="bundle.number", default=None, allow_null=True)
    carton = serializers.IntegerField(source="carton.number", default=None, allow_null=True)

    class Meta:
        model = ReceiptAction
        fields = (
            "action_id", "verb", "bundle", "carton", "marks", "words", "name", "at", "tapped_at", "changed",
        )  # fmt: skip


class ReceiptThingOutput(serializers.Serializer[Any]):
    """A bundle or carton; `off` counts the order of unloading on its truck."""

    code = serializers.CharField(source="line.code")
    is_bundle = serializers.BooleanField()
    number = serializers.IntegerField(source="line.number")
    off = serializers.IntegerField(source="line.off")
    state = serializers.ChoiceField(choices=ReceiptState.choices)


class ReceiptLoadOutput(serializers.Serializer[Any]):
    load = serializers.IntegerField(source="manifest.load")
    things = ReceiptThingOutput(many=True)


class SiteReceiptOutput(serializers.Serializer[Any]):
    """Where a delivery's receipt stands."""

    delivered_at = serializers.DateTimeField(allow_null=True)
    received_by = serializers.CharField()
    by_driver = serializers.BooleanField(help_text="The driver's proof ended the receipt.")
    signed_at = serializers.DateTimeField(allow_null=True)
    signed_by = serializers.CharField()
    report_until = serializers.DateField(
        allow_null=True, help_text="The last day of reports by link, at the site."
    )
    loads = ReceiptLoadOutput(many=True)
    acts = ReceiptActOutput(many=True)


class SitePhotoInput(serializers.Serializer[Any]):
    photo_id = serializers.UUIDField(help_text="New for each photo; sent again it counts once.")
    action_id = serializers.UUIDField(allow_null=True, default=None)
    file = serializers.FileField(help_text="JPEG, PNG or WebP, at most 10,000,000 bytes.")


class SitePhotoOutput(serializers.ModelSerializer[SitePhoto]):
    """A photo as we made it: JPEG, sizes in pixels and bytes; `name` is what its file was called."""

    id = serializers.CharField(source="public_id")

    class Meta:
        model = SitePhoto
        fields = ("id", "photo_id", "action_id", "size", "width", "height", "name", "created_at")


def _receipt(delivery: Delivery) -> dict[str, Any]:
    terms = site_terms(delivery, database_now())
    return {
        "delivered_at": delivery.delivered_at,
        "received_by": delivery.received_by,
        "by_driver": terms.by_driver,
        "signed_at": terms.signed_at,
        "signed_by": terms.signed_by,
        "report_until": terms.last_day,
        "loads": site_loads(delivery),
        "acts": receipt_actions(delivery),
    }


class ReceiptGetView(OperationView):
    access = Act("receipt", "read")

    @extend_schema(operation_id="receipt_get", responses=SiteReceiptOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """How each thing of a delivery stands on site, and what was said."""
        return Response(SiteReceiptOutput(_receipt(selectors.delivery_get(public_id))).data)


class ReceiptActView(OperationView):
    access = Act("receipt", "act")

    @extend_schema(operation_id="receipt_act", request=ReceiptActInput, responses=ReceiptActOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Tick, report or sign as somebody on site told it."""
        data = read(ReceiptActInput, request)
        delivery = selectors.delivery_get(public_id)
        code = data.pop("code")
        thing = None if data["verb"] == ReceiptVerb.SIGN else thing_on(delivery, code)
        act = SiteAct(thing=thing, **data)
        action = receipt_act(actor=self.actor, at=database_now(), delivery=delivery, act=act)
        return Response(ReceiptActOutput(action).data)


class SitePhotoListView(OperationView):
    access = Act("site_photo", "read")

    @extend_schema(operation_id="site_photo_list", responses=SitePhotoOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """Photos of a delivery, oldest first; 200 at most are kept."""
        return Response(SitePhotoOutput(photo_list(selectors.delivery_get(public_id)), many=True).data)


class SitePhotoTakeView(OperationView):
    access = Act("site_photo", "take")
    parser_classes = (MultiPartParser,)
    body_most = BODY_MOST

    @extend_schema(
        operation_id="site_photo_take",
        request={"multipart/form-data": SitePhotoInput},
        responses={201: SitePhotoOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Keep a photo of a delivery, made anew without what stood beside the picture."""
        data = read(SitePhotoInput, request)
        file = data["file"]
        photo = photo_take(
            actor=self.actor,
            at=database_now(),
            delivery=selectors.delivery_get(public_id),
            photo_id=data["photo_id"],
            file=(file.name or "", file.read()),
            action_id=data["action_id"],
        )
        return Response(SitePhotoOutput(photo).data, status=201)


class JpegRenderer(ReadyRenderer):
    media_type, format = "image/jpeg", "jpeg"


class SitePhotoPictureView(OperationView):
    access = Act("site_photo", "read")
    renderer_classes = (JpegRenderer,)

    @extend_schema(operation_id="site_photo_picture", responses={(200, "image/jpeg"): OpenApiTypes.BINARY})
    def get(self, _request: Request, photo: str) -> HttpResponse:
        """The picture as we made it."""
        return photo_response(photo_get(photo))
