"""Operations on the yard's calendar, the company's trucks, calendars' addresses, and notices."""

from __future__ import annotations

from datetime import date
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from framing.common.links import link_list
from framing.common.mail import mail_get
from framing.common.models import AccessLink, LinkPurpose, MailMessage
from framing.common.zones import company_day
from framing.projects.models import Builder
from framing.projects.selectors import builder_get
from orders import selectors, services
from orders.api import serializers as shapes
from orders.api.views import page_of, read
from orders.delivery_reads import Board, board, truck_all, truck_get
from orders.models import NoticeMissed, Truck
from orders.notice_reads import missed_get, notice_mails, notice_on, notices_missed, order_mails

DAYS_MOST = 62


class CompanyTruckOutput(serializers.ModelSerializer[Truck]):
    id = serializers.CharField(source="public_id")

    class Meta:
        model = Truck
        fields = (
            "id", "name", "plate", "deck_length_16", "deck_width_16", "stack_height_16", "tiers", "payload_lb",
            "active",
        )  # fmt: skip


class CompanyTruckInput(serializers.Serializer[Any]):
    """Lengths as people type them: `48 ft`, `8'-6"`, `2.6 m`."""

    name = serializers.CharField(max_length=80)
    plate = serializers.CharField(max_length=20, allow_blank=True, default="")
    deck_length = serializers.CharField(max_length=40)
    deck_width = serializers.CharField(max_length=40)
    stack_height = serializers.CharField(max_length=40)
    tiers = serializers.IntegerField(default=4)
    payload_lb = serializers.IntegerField()


class CompanyTruckListOutput(serializers.Serializer[Any]):
    trucks = CompanyTruckOutput(many=True)


class ActiveInput(serializers.Serializer[Any]):
    active = serializers.BooleanField()


class TruckListView(OperationView):
    access = Act("truck", "read")

    @extend_schema(operation_id="truck_list", responses=CompanyTruckListOutput)
    def get(self, _request: Request) -> Response:
        """The company's trucks, those in use first."""
        return Response(CompanyTruckListOutput({"trucks": truck_all()}).data)


class TruckMakeView(OperationView):
    access = Act("truck", "change")

    @extend_schema(operation_id="truck_make", request=CompanyTruckInput, responses={201: CompanyTruckOutput})
    def post(self, request: Request) -> Response:
        """Enter a truck."""
        data = read(CompanyTruckInput, request)
        row = services.truck_save(actor=self.actor, at=database_now(), truck=None, **data)
        return Response(CompanyTruckOutput(row).data, status=201)


class TruckChangeView(OperationView):
    access = Act("truck", "change")

    @extend_schema(operation_id="truck_change", request=CompanyTruckInput, responses=CompanyTruckOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Change a truck; trips planned by then keep their sizes."""
        data = read(CompanyTruckInput, request)
        truck = truck_get(public_id)
        row = services.truck_save(actor=self.actor, at=database_now(), truck=truck, **data)
        return Response(CompanyTruckOutput(row).data)


class TruckRetireView(OperationView):
    access = Act("truck", "change")

    @extend_schema(operation_id="truck_retire", request=ActiveInput, responses=CompanyTruckOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Take a truck out of use, or into it again."""
        active = read(ActiveInput, request)["active"]
        truck = truck_get(public_id)
        row = services.truck_retire(actor=self.actor, at=database_now(), truck=truck, active=active)
        return Response(CompanyTruckOutput(row).data)


class FeedOutput(serializers.ModelSerializer[AccessLink]):
    """The address of a calendar; its secret is told once, when it is made."""

    id = serializers.CharField(source="public_id")

    class Meta:
        model = AccessLink
        fields = ("id", "for_name", "created_at", "expires_at", "withdrawn_at", "opened_at", "opened_count")


class FeedListOutput(serializers.Serializer[Any]):
    calendars = FeedOutput(many=True)


class _Feeds(OperationView):
    access = Act("calendar", "read")

    def of(self, public_id: str) -> Truck | Builder:
        return truck_get(public_id)

    def listed(self, public_id: str) -> Response:
        rows = link_list(self.of(public_id)).filter(purpose=LinkPurpose.CALENDAR)
        return Response(FeedListOutput({"calendars": rows}).data)

    def made(self, request: Request, public_id: str) -> Response:
        name = read(shapes.LinkInput, request)["for_name"]
        link, address = services.feed_make(
            actor=self.actor, at=database_now(), of=self.of(public_id), for_name=name
        )
        body = {"id": link.public_id, "address": address, "expires_at": link.expires_at}
        return Response(shapes.LinkOutput(body).data, status=201)

    def ended(self, public_id: str, link_id: str) -> Response:
        services.feed_withdraw(actor=self.actor, at=database_now(), of=self.of(public_id), link_id=link_id)
        return Response(status=204)


class TruckFeedListView(_Feeds):
    @extend_schema(operation_id="truck_calendar_list", responses=FeedListOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """Who reads a truck's calendar."""
        return self.listed(public_id)


class TruckFeedMakeView(_Feeds):
    access = Act("calendar", "make")

    @extend_schema(
        operation_id="truck_calendar_make", request=shapes.LinkInput, responses={201: shapes.LinkOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Make an address of a truck's calendar; it is told this once."""
        return self.made(request, public_id)


class TruckFeedWithdrawView(_Feeds):
    access = Act("calendar", "withdraw")

    @extend_schema(operation_id="truck_calendar_withdraw", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, link_id: str) -> Response:
        """Withdraw an address at once."""
        return self.ended(public_id, link_id)


class BuilderFeedListView(_Feeds):
    def of(self, public_id: str) -> Truck | Builder:
        return builder_get(public_id)

    @extend_schema(operation_id="builder_calendar_list", responses=FeedListOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """Who reads a builder's calendar."""
        return self.listed(public_id)


class BuilderFeedMakeView(_Feeds):
    access = Act("calendar", "make")

    def of(self, public_id: str) -> Truck | Builder:
        return builder_get(public_id)

    @extend_schema(
        operation_id="builder_calendar_make", request=shapes.LinkInput, responses={201: shapes.LinkOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Make an address of a builder's calendar; it is told this once."""
        return self.made(request, public_id)


class BuilderFeedWithdrawView(_Feeds):
    access = Act("calendar", "withdraw")

    def of(self, public_id: str) -> Truck | Builder:
        return builder_get(public_id)

    @extend_schema(operation_id="builder_calendar_withdraw", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, link_id: str) -> Response:
        """Withdraw an address at once."""
        return self.ended(public_id, link_id)


class BoardEntryOutput(serializers.Serializer[Any]):
    """A delivery on a day; `truck` is “No truck yet” where a part of it has none."""

    day = serializers.DateField()
    truck = serializers.CharField()
    delivery = serializers.CharField()
    number = serializers.CharField()
    project = serializers.CharField()
    window = serializers.CharField()
    marks = serializers.ListField(child=serializers.CharField())


class BoardOutput(serializers.Serializer[Any]):
    deliveries = BoardEntryOutput(many=True)


class BoardView(OperationView):
    access = Act("delivery", "read")

    @extend_schema(
        operation_id="delivery_board",
        parameters=[OpenApiParameter("first", date), OpenApiParameter("days", int)],
        responses=BoardOutput,
    )
    def get(self, request: Request) -> Response:
        """Deliveries by day and truck, from a day on (today), for 1 to 62 days (7)."""
        at = database_now()
        today = company_day(at)
        asked = read_query(BoardQuery, request)
        found = board(asked["first"] or today, asked["days"], today, at)
        return Response(BoardOutput({"deliveries": list(_entries(found))}).data)


class BoardQuery(serializers.Serializer[Any]):
    first = serializers.DateField(default=None)
    days = serializers.IntegerField(min_value=1, max_value=DAYS_MOST, default=7)


def read_query(shape: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    """The checked query of an operation."""
    form = shape(data=request.query_params)
    form.is_valid(raise_exception=True)
    data: dict[str, Any] = form.validated_data
    return data


def _entries(found: Board) -> Any:
    for row in found.rows:
        for cell in row.cells:
            for entry in cell.entries:
                yield {
                    "day": row.day,
                    "truck": cell.name,
                    "delivery": entry.delivery.public_id,
                    "number": entry.delivery.number,
                    "project": entry.delivery.order.revision.quote.project.name,
                    "window": entry.window,
                    "marks": [words for _, words in entry.marks],
                }


class ChoiceOutput(serializers.Serializer[Any]):
    move = serializers.CharField()
    to = serializers.CharField()
    on = serializers.BooleanField()


class ChoiceListOutput(serializers.Serializer[Any]):
    notices = ChoiceOutput(many=True)


def _choices() -> Response:
    rows = [{"move": move, "to": to, "on": on} for (move, to), on in notice_on().items()]
    return Response(ChoiceListOutput({"notices": rows}).data)


class NoticeListView(OperationView):
    access = Act("notice", "read")

    @extend_schema(operation_id="notice_list", responses=ChoiceListOutput)
    def get(self, _request: Request) -> Response:
        """Who is told of which move."""
        return _choices()


class NoticeChooseView(OperationView):
    access = Act("notice", "change")

    @extend_schema(operation_id="notice_choose", request=ChoiceOutput, responses=ChoiceListOutput)
    def post(self, request: Request) -> Response:
        """Choose whether somebody is told of a move."""
        services.notice_choose(actor=self.actor, at=database_now(), **read(ChoiceOutput, request))
        return _choices()


class NoticeMailOutput(serializers.ModelSerializer[MailMessage]):
    id = serializers.CharField(source="public_id")

    class Meta:
        model = MailMessage
        fields = (
            "id",
            "kind",
            "to_name",
            "to_address",
            "subject",
            "state",
            "answer",
            "created_at",
            "sent_at",
        )


class NoticeMailPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    mails = NoticeMailOutput(many=True)


class NoticeSentView(OperationView):
    access = Act("notice", "read")

    @extend_schema(
        operation_id="notice_sent",
        parameters=[OpenApiParameter("order", str), OpenApiParameter("page", int)],
        responses=NoticeMailPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Mails of notices, newest first; with `order`, all mails about that order."""
        order = request.query_params.get("order", "")
        if len(order) > 20:
            raise Refused("That is no order.", field="order")
        rows = order_mails(selectors.order_get(order)) if order else notice_mails()
        return Response(NoticeMailPageOutput(page_of(rows, request, "mails")).data)


class NoticeRetryView(OperationView):
    access = Act("notice", "send")

    @extend_schema(operation_id="notice_retry", request=None, responses=NoticeMailOutput)
    def post(self, _request: Request, mail_id: str) -> Response:
        """Send a notice again that was not sent, or came back, to the address that its reader has now."""
        mail = services.notice_resend(actor=self.actor, mail=mail_get(mail_id), at=database_now())
        return Response(NoticeMailOutput(mail).data)


class NoticeRetryAllInput(serializers.Serializer[Any]):
    order = serializers.CharField(max_length=20, default="", help_text="Only mails about this order.")


class NoticeLeftOutput(serializers.Serializer[Any]):
    id = serializers.CharField(help_text="The mail's.")
    why = serializers.CharField()


class NoticeRetryAllOutput(serializers.Serializer[Any]):
    sent = serializers.IntegerField(help_text="How many are on their way again.")
    left = NoticeLeftOutput(many=True)


class NoticeRetryAllView(OperationView):
    access = Act("notice", "send")

    @extend_schema(
        operation_id="notice_retry_all", request=NoticeRetryAllInput, responses=NoticeRetryAllOutput
    )
    def post(self, request: Request) -> Response:
        """Send all notices of the last two weeks again that failed or came back; what stays is named with why."""
        named = read(NoticeRetryAllInput, request)["order"]
        order = selectors.order_get(named) if named else None
        done = services.notice_resend_all(actor=self.actor, at=database_now(), order=order)
        left = [{"id": mail.public_id, "why": why} for mail, why in done.left]
        return Response(NoticeRetryAllOutput({"sent": len(done.sent), "left": left}).data)


class NoticeMissedOutput(serializers.ModelSerializer[NoticeMissed]):
    id = serializers.CharField(source="public_id")
    order = serializers.CharField(source="order.public_id")

    class Meta:
        model = NoticeMissed
        fields = ("id", "order", "move", "to", "name", "why", "at")


class NoticeMissedPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    missed = NoticeMissedOutput(many=True)


class NoticeMissedView(OperationView):
    access = Act("notice", "read")

    @extend_schema(
        operation_id="notice_missed",
        parameters=[OpenApiParameter("page", int)],
        responses=NoticeMissedPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Notices that nobody got, for they could not be made, newest first."""
        return Response(NoticeMissedPageOutput(page_of(notices_missed(), request, "missed")).data)


class NoticeSendView(OperationView):
    access = Act("notice", "send")

    @extend_schema(operation_id="notice_send", request=None, responses=NoticeMailOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """Send a notice that could not be made, once."""
        missed = missed_get(public_id)
        mail = services.notice_send(actor=self.actor, missed=missed, at=database_now())
        return Response(NoticeMailOutput(mail).data)
