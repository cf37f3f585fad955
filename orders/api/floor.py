"""Operations of the shop floor: today's list, each tap, scans. Every tap has a number; sent again it counts once."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.core.paginator import Paginator
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from orders import floor_reads as reads
from orders import selectors, services
from orders.api.serializers import BundleOutput, TapInput
from orders.api.views import PAGE_MOST, read
from orders.floor_words import said, scan_said
from orders.models import ShopAction
from orders.states import RemakeReason, ShopVerb


class ReopenInput(TapInput):
    why = serializers.CharField(max_length=200)


class WeighInput(TapInput):
    weighed_lb = serializers.DecimalField(max_digits=9, decimal_places=1)


class ScrapInput(TapInput):
    reason = serializers.ChoiceField(choices=RemakeReason.choices)
    words = serializers.CharField(max_length=200, allow_blank=True, default="")


class UndoInput(TapInput):
    undoes = serializers.UUIDField(help_text="The number of the tap to take back.")


class ScanInput(TapInput):
    code = serializers.CharField(max_length=200, help_text="As scanned: the bare code or its address.")
    hand = serializers.CharField(
        max_length=20, allow_blank=True, default="", help_text="The bundle that pieces are checked against."
    )


class TapOutput(serializers.Serializer[Any]):
    """What a tap came to: in words, and the bundle as it stands. `tone` is good, care (a warning) or note."""

    action_id = serializers.UUIDField(allow_null=True)
    verb = serializers.CharField(
        allow_blank=True, help_text=f"{', '.join(ShopVerb.values)}; blank where a piece was looked up."
    )
    changed = serializers.BooleanField()
    said = serializers.CharField()
    tone = serializers.ChoiceField(choices=["good", "care", "note"])
    started_at = serializers.DateTimeField(allow_null=True)
    weighed_lb = serializers.DecimalField(max_digits=9, decimal_places=1, allow_null=True)
    piece = serializers.CharField(allow_blank=True, help_text="The code of the piece that was scanned.")
    bundle = BundleOutput()


class ShopFloorBundleOutput(serializers.Serializer[Any]):
    """A bundle of the list; `day` and `clock` are its turn in the line plan."""

    id = serializers.CharField(source="bundle.public_id")
    order = serializers.CharField(source="bundle.order.public_id")
    number = serializers.IntegerField(source="bundle.number")
    profile = serializers.CharField(source="bundle.profile")
    zone = serializers.CharField(source="bundle.zone")
    pieces = serializers.IntegerField(source="bundle.piece_count")
    length_16 = serializers.IntegerField(source="bundle.length_16")
    weight_lb = serializers.DecimalField(source="bundle.weight_lb", max_digits=9, decimal_places=1)
    remakes_open = serializers.IntegerField(source="bundle.remakes_open")
    state = serializers.ChoiceField(choices=["waiting", "started", "finished", "held", "away"])
    day = serializers.DateField(allow_null=True)
    clock = serializers.CharField(allow_blank=True)


class ShopFloorTabOutput(serializers.Serializer[Any]):
    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]  # a field of that name


class ShopFloorOutput(serializers.Serializer[Any]):
    """Today's list of a line; `line` is its key among `lines`, “others” is what no plan holds."""

    lines = ShopFloorTabOutput(many=True)
    line = serializers.CharField()
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    bundles = ShopFloorBundleOutput(many=True)


class ShopFloorView(OperationView):
    access = Act("bundle", "finish")

    @extend_schema(
        operation_id="shop_floor",
        parameters=[OpenApiParameter("line", str), OpenApiParameter("page", int)],
        responses=ShopFloorOutput,
    )
    def get(self, request: Request) -> Response:
        """Today's bundles of a line in running order, by day on site where no plan is in force."""
        found = reads.floor_list(request.query_params.get("line", ""), database_now())
        page = Paginator(found.rows, PAGE_MOST).get_page(request.query_params.get("page"))
        body = {
            "lines": found.tabs,
            "line": found.tab.key,
            "count": page.paginator.count,
            "next_page": page.next_page_number() if page.has_next() else None,
            "bundles": reads.cards_of(page.object_list),
        }
        return Response(ShopFloorOutput(body).data)


class _TapView(OperationView):
    """A tap on one bundle."""

    def tap_of(self, data: dict[str, Any]) -> services.Tap:
        return services.Tap(data.pop("action_id", None) or uuid4(), data.pop("tapped_at", None))

    def told(self, action: ShopAction) -> Response:
        words, tone = said(action)
        code = action.piece.code if action.piece else ""
        return self.answer(action.bundle.public_id, action, words, tone, code)

    def answer(
        self, public_id: str, action: ShopAction | None, words: str, tone: str, piece: str
    ) -> Response:
        bundle = selectors.bundle_get(public_id)
        body = {
            "action_id": action and action.action_id,
            "verb": action.verb if action else "",
            "changed": bool(action and action.changed),
            "said": words,
            "tone": tone,
            "started_at": bundle.started_at,
            "weighed_lb": bundle.weighed_lb,
            "piece": piece,
            "bundle": bundle,
        }
        return Response(TapOutput(body).data)


class BundleStartView(_TapView):
    access = Act("bundle", "roll")

    @extend_schema(operation_id="bundle_start", request=TapInput, responses=TapOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Start one bundle; the first moves the order to “rolling”."""
        tap = self.tap_of(read(TapInput, request))
        bundle = selectors.bundle_get(public_id)
        return self.told(services.bundle_start(actor=self.actor, at=database_now(), bundle=bundle, tap=tap))


class BundleReopenView(_TapView):
    access = Act("bundle", "reopen")

    @extend_schema(operation_id="bundle_reopen", request=ReopenInput, responses=TapOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Open a finished bundle again while its order is not loaded."""
        data = read(ReopenInput, request)
        tap, bundle = self.tap_of(data), selectors.bundle_get(public_id)
        return self.told(
            services.bundle_reopen(actor=self.actor, at=database_now(), bundle=bundle, tap=tap, **data)
        )


class BundleWeighView(_TapView):
    access = Act("bundle", "weigh")

    @extend_schema(operation_id="bundle_weigh", request=WeighInput, responses=TapOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Keep what the scale says; warns over the lift limit and more than 3 % off the computed weight."""
        data = read(WeighInput, request)
        tap, bundle = self.tap_of(data), selectors.bundle_get(public_id)
        return self.told(
            services.bundle_weigh(actor=self.actor, at=database_now(), bundle=bundle, tap=tap, **data)
        )


class PieceScrapView(_TapView):
    access = Act("bundle", "remake")

    @extend_schema(operation_id="piece_scrap", request=ScrapInput, responses=TapOutput)
    def post(self, request: Request, public_id: str, code: str) -> Response:
        """Scrap a piece, named by the code on its label, and ask for it again."""
        data = read(ScrapInput, request)
        tap, piece = self.tap_of(data), services.piece_of_bundle(selectors.bundle_get(public_id), code)
        return self.told(
            services.piece_scrap(actor=self.actor, at=database_now(), piece=piece, tap=tap, **data)
        )


class PieceRemadeView(_TapView):
    access = Act("bundle", "remake")

    @extend_schema(operation_id="piece_remade", request=TapInput, responses=TapOutput)
    def post(self, request: Request, public_id: str, code: str) -> Response:
        """Mark a scrapped piece made again."""
        tap = self.tap_of(read(TapInput, request))
        piece = services.piece_of_bundle(selectors.bundle_get(public_id), code)
        return self.told(services.piece_remade(actor=self.actor, at=database_now(), piece=piece, tap=tap))


class TapUndoView(_TapView):
    access = Act("bundle", "finish")

    @extend_schema(operation_id="tap_undo", request=UndoInput, responses=TapOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Take back one's own newest tap on a bundle, within two minutes."""
        data = read(UndoInput, request)
        bundle, tap = selectors.bundle_get(public_id), self.tap_of(data)
        if not bundle.actions.filter(action_id=data["undoes"]).exists():
            raise NotThere("That tap was not counted, so there is nothing to take back.")
        return self.told(
            services.tap_undo(actor=self.actor, at=database_now(), undoes=data["undoes"], tap=tap)
        )


class CodeScanView(_TapView):
    access = Act("bundle", "finish")

    @extend_schema(operation_id="code_scan", request=ScanInput, responses=TapOutput)
    def post(self, request: Request) -> Response:
        """A bundle's tag is its next step; a piece's label tells where it belongs, or that it is made again."""
        data = read(ScanInput, request)
        tap, hand = self.tap_of(data), reads.hand_bundle(data["hand"])
        found = services.code_scan(actor=self.actor, at=database_now(), text=data["code"], hand=hand, tap=tap)
        words, tone = scan_said(found.action, found.bundle, found.piece, found.told)
        code = found.piece.code if found.piece else ""
        return self.answer(found.bundle.public_id, found.action, words, tone, code)
