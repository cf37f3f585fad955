"""Operations on the shop's papers, label stocks and codes."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.papers import paper_get
from orders import selectors, services
from orders.api.views import read
from orders.models import LabelStock, ShopPaper
from orders.papers import reads
from orders.papers.sizes import COUNTS, SIZES
from orders.papers.standing import Outdated, outdated_of
from orders.states import LabelUse, ShopPaperKind

_SIZE_MOST = 100_000


class ShopPaperOutput(serializers.ModelSerializer[ShopPaper]):
    """A paper; `ready` once its PDF is made, `pages` how many it has. `content` is all that stands on it.

    `outdated` says since what it no longer says what is to be made, and what to do; "" while it stands.
    """

    id = serializers.CharField(source="public_id")
    order = serializers.CharField(source="order.public_id", default=None, allow_null=True)
    line = serializers.CharField(source="line.public_id", default=None, allow_null=True)
    ready = serializers.SerializerMethodField()
    pages = serializers.SerializerMethodField()
    outdated = serializers.SerializerMethodField()

    class Meta:
        model = ShopPaper
        fields = ("id", "kind", "order", "line", "day", "created_at", "ready", "pages", "outdated", "content")

    def get_outdated(self, paper: ShopPaper) -> str:
        return _words(outdated_of([paper]).get(paper.pk))

    def get_ready(self, paper: ShopPaper) -> bool:
        return paper_get(reads.JOB, paper) is not None

    def get_pages(self, paper: ShopPaper) -> int:
        stored = paper_get(reads.JOB, paper)
        return stored.pages if stored else 0


def _words(outdated: Outdated | None) -> str:
    return outdated.words if outdated else ""


class ShopPaperLineOutput(serializers.Serializer[Any]):
    """A paper as an order's list shows it."""

    id = serializers.CharField(source="paper.public_id")
    kind = serializers.ChoiceField(choices=ShopPaperKind.choices, source="paper.kind")
    created_at = serializers.DateTimeField(source="paper.created_at")
    ready = serializers.SerializerMethodField()
    outdated = serializers.SerializerMethodField(
        help_text="Since what, and what to do; blank while it stands."
    )

    def get_ready(self, state: reads.PaperState) -> bool:
        return state.stored is not None

    def get_outdated(self, state: reads.PaperState) -> str:
        return _words(state.outdated)


class ShopPaperInput(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=ShopPaperKind.choices)
    stock = serializers.CharField(
        max_length=20,
        required=False,
        default="",
        allow_blank=True,
        help_text="Empty: the usual one of its use.",
    )
    start = serializers.IntegerField(
        min_value=1, max_value=900, default=1, help_text="First free label of a part-used sheet, row by row."
    )


class CutListInput(serializers.Serializer[Any]):
    day = serializers.DateField()


class LabelStockOutput(serializers.ModelSerializer[LabelStock]):
    """A sheet or roll; sizes in tenths of a millimetre."""

    id = serializers.CharField(source="public_id")

    class Meta:
        model = LabelStock
        fields = ("id", "name", "use", "chosen", *SIZES, *COUNTS)


class LabelStockChangeInput(serializers.Serializer[Any]):
    """Sizes in tenths of a millimetre; `across` and `down` matter only where there are several labels that way."""

    name = serializers.CharField(max_length=60)
    page_width = serializers.IntegerField(min_value=1, max_value=_SIZE_MOST)
    page_height = serializers.IntegerField(min_value=1, max_value=_SIZE_MOST)
    label_width = serializers.IntegerField(min_value=1, max_value=_SIZE_MOST)
    label_height = serializers.IntegerField(min_value=1, max_value=_SIZE_MOST)
    left = serializers.IntegerField(min_value=0, max_value=_SIZE_MOST, default=0)
    top = serializers.IntegerField(min_value=0, max_value=_SIZE_MOST, default=0)
    across = serializers.IntegerField(min_value=0, max_value=_SIZE_MOST, default=0)
    down = serializers.IntegerField(min_value=0, max_value=_SIZE_MOST, default=0)
    columns = serializers.IntegerField(min_value=1, max_value=30, default=1)
    rows = serializers.IntegerField(min_value=1, max_value=30, default=1)


class LabelStockInput(LabelStockChangeInput):
    use = serializers.ChoiceField(choices=LabelUse.choices)


class TaggedOutput(serializers.Serializer[Any]):
    """What a code stands on; `bundle` is that of the piece too, null where there is none."""

    kind = serializers.ChoiceField(choices=["bundle", "piece", "carton"])
    order = serializers.CharField(source="order.public_id")
    bundle = serializers.CharField(source="bundle.public_id", default=None, allow_null=True)
    piece = serializers.CharField(source="piece.piece_id", default=None, allow_null=True)
    carton = serializers.IntegerField(source="carton.number", default=None, allow_null=True)


class OrderPapersView(OperationView):
    access = Act("shop_paper", "read")

    @extend_schema(operation_id="shop_paper_list", responses=ShopPaperLineOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """The newest papers of an order, 40 at most."""
        states = reads.order_papers(selectors.order_get(public_id))
        return Response(ShopPaperLineOutput(states, many=True).data)


class ShopPaperMakeView(OperationView):
    access = Act("shop_paper", "make")

    @extend_schema(operation_id="shop_paper_make", request=ShopPaperInput, responses={202: ShopPaperOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for a paper of an order; with nothing changed it is the same paper."""
        asked = read(ShopPaperInput, request)
        paper = services.shop_paper_make(
            actor=self.actor,
            at=database_now(),
            order=selectors.order_get(public_id),
            kind=asked["kind"],
            stock=reads.stock_get(asked["stock"]) if asked["stock"] else None,
            start=asked["start"],
        )
        return Response(ShopPaperOutput(paper).data, status=202)


class ShopPaperGetView(OperationView):
    access = Act("shop_paper", "read")

    @extend_schema(operation_id="shop_paper_get", responses=ShopPaperOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One paper and all that stands on it."""
        return Response(ShopPaperOutput(reads.shop_paper_get(public_id)).data)


class CutListMakeView(OperationView):
    access = Act("shop_paper", "make")

    @extend_schema(operation_id="cut_list_make", request=CutListInput, responses={202: ShopPaperOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for the cut list of a line's day by the line plan in force."""
        paper = services.cut_list_make(
            actor=self.actor,
            at=database_now(),
            line=reads.line_get(public_id),
            day=read(CutListInput, request)["day"],
        )
        return Response(ShopPaperOutput(paper).data, status=202)


class LabelStockListView(OperationView):
    access = Act("label_stock", "read")

    @extend_schema(operation_id="label_stock_list", responses=LabelStockOutput(many=True))
    def get(self, _request: Request) -> Response:
        """Sheets and rolls by use, the usual one first."""
        return Response(LabelStockOutput(reads.stock_list(), many=True).data)


class LabelStockMakeView(OperationView):
    access = Act("label_stock", "change")

    @extend_schema(
        operation_id="label_stock_make", request=LabelStockInput, responses={201: LabelStockOutput}
    )
    def post(self, request: Request) -> Response:
        """Enter a sheet or roll; the first of its use is the usual one."""
        asked = read(LabelStockInput, request)
        row = services.stock_make(
            actor=self.actor, at=database_now(), name=asked["name"], use=asked["use"], sizes=asked
        )
        return Response(LabelStockOutput(row).data, status=201)


class LabelStockChangeView(OperationView):
    access = Act("label_stock", "change")

    @extend_schema(
        operation_id="label_stock_change", request=LabelStockChangeInput, responses=LabelStockOutput
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Change name and sizes; papers that were made before stay as they are."""
        asked = read(LabelStockChangeInput, request)
        row = services.stock_change(
            actor=self.actor,
            at=database_now(),
            stock=reads.stock_get(public_id),
            name=asked["name"],
            sizes=asked,
        )
        return Response(LabelStockOutput(row).data)


class LabelStockChooseView(OperationView):
    access = Act("label_stock", "change")

    @extend_schema(operation_id="label_stock_choose", request=None, responses=LabelStockOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """Make it the usual one of its use."""
        row = services.stock_choose(actor=self.actor, at=database_now(), stock=reads.stock_get(public_id))
        return Response(LabelStockOutput(row).data)


class LabelStockRemoveView(OperationView):
    access = Act("label_stock", "change")

    @extend_schema(operation_id="label_stock_remove", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str) -> Response:
        """Remove it; the trail keeps its sizes."""
        services.stock_remove(actor=self.actor, at=database_now(), stock=reads.stock_get(public_id))
        return Response(status=204)


class TaggedView(OperationView):
    access = Act("bundle", "read")

    @extend_schema(operation_id="tag_get", responses=TaggedOutput)
    def get(self, _request: Request, code: str) -> Response:
        """What a scanned or typed code stands on; one that is not in use is refused in words."""
        return Response(TaggedOutput(reads.tagged(code)).data)
