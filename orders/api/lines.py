"""Operations on lines, their plans and coils."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import line_reads, selectors, services
from orders.api import line_shapes as shapes
from orders.api.views import page_of, read
from orders.change_over_reads import change_over_grid
from orders.models import Line, LinePlan


class LineListView(OperationView):
    """Reading is for whoever sees lines, making for the planner."""

    access = Act("line", "read")

    @extend_schema(operation_id="line_list", responses=shapes.RollLineOutput(many=True))
    def get(self, _request: Request) -> Response:
        """All lines with their shifts."""
        return Response(shapes.RollLineOutput(line_reads.line_list(), many=True).data)


class LineMakeView(OperationView):
    access = Act("line", "change")

    @extend_schema(
        operation_id="line_make", request=shapes.RollLineInput, responses={201: shapes.RollLineOutput}
    )
    def post(self, request: Request) -> Response:
        """Make a line."""
        return _saved(self, None, read(shapes.RollLineInput, request), 201)


class LineChangeView(OperationView):
    access = Act("line", "change")

    @extend_schema(operation_id="line_change", request=shapes.RollLineInput, responses=shapes.RollLineOutput)
    def put(self, request: Request, public_id: str) -> Response:
        """Change a line and its shifts; the next plan goes by it."""
        return _saved(self, line_reads.line_get(public_id), read(shapes.RollLineInput, request), 200)


def _saved(view: OperationView, line: Line | None, data: dict[str, Any], status: int) -> Response:
    row = services.line_save(actor=view.actor, at=database_now(), line=line, **data)
    return Response(shapes.RollLineOutput(line_reads.line_get(row.public_id)).data, status=status)


class ClosureListView(OperationView):
    access = Act("line", "read")

    @extend_schema(operation_id="closure_list", responses=shapes.ClosureOutput(many=True))
    def get(self, _request: Request) -> Response:
        """Closed days from today on, beside public holidays."""
        return Response(shapes.ClosureOutput(line_reads.closure_list(database_now()), many=True).data)


class ClosureAddView(OperationView):
    access = Act("line", "change")

    @extend_schema(
        operation_id="closure_add", request=shapes.ClosureInput, responses={201: shapes.ClosureOutput}
    )
    def post(self, request: Request) -> Response:
        """Close a line, or the whole shop, for a day."""
        data = read(shapes.ClosureInput, request)
        line_id = data.pop("line")
        line = line_reads.line_get(line_id) if line_id else None
        row = services.closure_add(actor=self.actor, at=database_now(), line=line, **data)
        return Response(shapes.ClosureOutput(row).data, status=201)


class ClosureRemoveView(OperationView):
    access = Act("line", "change")

    @extend_schema(operation_id="closure_remove", request=None, responses={204: None})
    def post(self, _request: Request, pk: int) -> Response:
        """Open a closed day again."""
        row = line_reads.closure_get(pk)
        services.closure_remove(actor=self.actor, at=database_now(), closure=row)
        return Response(status=204)


class LineSettingsGetView(OperationView):
    access = Act("line", "read")

    @extend_schema(operation_id="line_settings_get", responses=shapes.LineSettingsShape)
    def get(self, _request: Request) -> Response:
        """What holds for all lines."""
        return Response(shapes.LineSettingsShape(line_reads.settings_now()).data)


class LineSettingsSaveView(OperationView):
    access = Act("line", "change")

    @extend_schema(
        operation_id="line_settings_save",
        request=shapes.LineSettingsShape,
        responses=shapes.LineSettingsShape,
    )
    def put(self, request: Request) -> Response:
        """Set what holds for all lines; the next plan goes by it."""
        data = read(shapes.LineSettingsShape, request)
        row = services.line_settings_save(actor=self.actor, at=database_now(), **data)
        return Response(shapes.LineSettingsShape(row).data)


class ChangeOverListView(OperationView):
    access = Act("line", "read")

    @extend_schema(operation_id="change_over_list", responses=shapes.ChangeOverShape(many=True))
    def get(self, _request: Request) -> Response:
        """Pairs of profiles with minutes of their own."""
        return Response(shapes.ChangeOverShape(line_reads.change_over_list(), many=True).data)


class ChangeOverSetView(OperationView):
    access = Act("line", "change")

    @extend_schema(
        operation_id="change_over_set",
        request=shapes.ChangeOverInput,
        responses=shapes.ChangeOverShape(many=True),
    )
    def post(self, request: Request) -> Response:
        """Set, or with null take away, the minutes of a pair of profiles."""
        data = read(shapes.ChangeOverInput, request)
        services.change_over_set(actor=self.actor, at=database_now(), **data)
        return Response(shapes.ChangeOverShape(line_reads.change_over_list(), many=True).data)


class ChangeOverGridView(OperationView):
    access = Act("line", "read")

    @extend_schema(operation_id="change_over_grid", responses=shapes.ChangeOverGridOutput)
    def get(self, _request: Request) -> Response:
        """Profiles in use in pairs: minutes that were timed, and what the rule says."""
        return Response(shapes.ChangeOverGridOutput(change_over_grid(database_now())).data)


class ChangeOversSaveView(OperationView):
    access = Act("line", "change")

    @extend_schema(
        operation_id="change_overs_save",
        request=shapes.ChangeOversInput,
        responses=shapes.ChangeOverShape(many=True),
    )
    def put(self, request: Request) -> Response:
        """Set many pairs, all or none; null gives one back to the rule, pairs that are not named stay."""
        rows = read(shapes.ChangeOversInput, request)["pairs"]
        minutes = {(row["before"], row["after"]): row["minutes"] for row in rows}
        services.change_overs_set(actor=self.actor, at=database_now(), minutes=minutes)
        return Response(shapes.ChangeOverShape(line_reads.change_over_list(), many=True).data)


def _shown(plan: LinePlan, status: int = 200) -> Response:
    fresh = line_reads.plan_get(plan.public_id)
    return Response(shapes.LinePlanWithRunsOutput(fresh).data, status=status)


class LinePlanListView(OperationView):
    access = Act("line_plan", "read")

    @extend_schema(
        operation_id="line_plan_list",
        parameters=[OpenApiParameter("page", int)],
        responses=shapes.LinePlanPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Plans, newest first, a hundred a page; the one at “in_force” is what the shop goes by."""
        return Response(shapes.LinePlanPageOutput(page_of(line_reads.plan_list(), request, "plans")).data)


class LinePlanGetView(OperationView):
    access = Act("line_plan", "read")

    @extend_schema(operation_id="line_plan_get", responses=shapes.LinePlanWithRunsOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One plan with its turns and figures; while it is made `done_share` tells how far it is."""
        return _shown(line_reads.plan_get(public_id))


class LinePlanAskView(OperationView):
    access = Act("line_plan", "ask")

    @extend_schema(operation_id="line_plan_ask", request=None, responses={202: shapes.LinePlanOutput})
    def post(self, _request: Request) -> Response:
        """Ask for a plan; the worker makes it. One at a time."""
        plan = services.line_plan_ask(actor=self.actor, at=database_now())
        return Response(shapes.LinePlanOutput(plan).data, status=202)


class LinePlanRushView(OperationView):
    access = Act("line_plan", "ask")

    @extend_schema(
        operation_id="line_plan_rush",
        request=shapes.RushInput,
        responses={201: shapes.LinePlanWithRunsOutput},
    )
    def post(self, request: Request) -> Response:
        """What the plan in force becomes if an order goes first; nothing changes until it is taken."""
        order = selectors.order_get(read(shapes.RushInput, request)["order"])
        return _shown(services.line_plan_rush(actor=self.actor, at=database_now(), order=order), 201)


class _PlanActView(OperationView):
    act: ClassVar[Callable[..., LinePlan]]

    def do(self, public_id: str) -> Response:
        plan = line_reads.plan_get(public_id)
        return _shown(type(self).act(actor=self.actor, at=database_now(), plan=plan))


def _verb(name: str, verb: str, service: Callable[..., LinePlan], words: str) -> type[_PlanActView]:
    @extend_schema(
        operation_id=name, request=None, responses=shapes.LinePlanWithRunsOutput, description=words
    )
    def post(self: _PlanActView, _request: Request, public_id: str) -> Response:
        return self.do(public_id)

    body = {"access": Act("line_plan", verb), "act": staticmethod(service), "post": post}
    return type(name, (_PlanActView,), body)


LinePlanStopView = _verb(
    "line_plan_stop", "ask", services.line_plan_stop, "Stop; the best plan so far is put to you."
)
LinePlanTakeView = _verb(
    "line_plan_take", "take", services.line_plan_take, "Put a proposed plan in force; 409 where it is stale."
)
LinePlanRefuseView = _verb(
    "line_plan_refuse", "take", services.line_plan_refuse, "Lay a proposed plan aside."
)


class BundlePinView(OperationView):
    access = Act("line_plan", "pin")

    @extend_schema(operation_id="bundle_pin", request=shapes.PinInput, responses=shapes.PinnedOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Fix a bundle to a day and line; what that does to the plan in force is put to you at once."""
        data = read(shapes.PinInput, request)
        line_id = data.pop("line")
        plan = services.bundle_pin(
            actor=self.actor,
            at=database_now(),
            bundle=selectors.bundle_get(public_id),
            line=line_reads.line_get(line_id) if line_id else None,
            **data,
        )
        return Response(shapes.PinnedOutput({"plan": plan}).data)


class BundleUnpinView(OperationView):
    access = Act("line_plan", "pin")

    @extend_schema(operation_id="bundle_unpin", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str) -> Response:
        """Take a pin away."""
        bundle = selectors.bundle_get(public_id)
        services.bundle_unpin(actor=self.actor, at=database_now(), bundle=bundle)
        return Response(status=204)


class CoilListView(OperationView):
    access = Act("coil", "read")

    @extend_schema(operation_id="coil_list", responses=shapes.CoilsOutput)
    def get(self, _request: Request) -> Response:
        """Steel by thickness: counted, needed by day, how far it lasts."""
        plan = line_reads.plan_in_force()
        days = line_reads.coil_days(plan)
        body = {"days": days, "coils": line_reads.coil_rows(plan, days)}
        return Response(shapes.CoilsOutput(body).data)


class CoilCountView(OperationView):
    access = Act("coil", "count")

    @extend_schema(
        operation_id="coil_count", request=shapes.CoilInput, responses={201: shapes.CoilCountOutput}
    )
    def post(self, request: Request) -> Response:
        """Enter the steel of one thickness as counted."""
        data = read(shapes.CoilInput, request)
        row = services.coil_count(actor=self.actor, at=database_now(), **data)
        return Response(shapes.CoilCountOutput(row).data, status=201)
