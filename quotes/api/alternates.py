"""Alternates as operations: what stands beside the base offer, one more, another name, one less (R42)."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from quotes import selectors, services
from quotes.alternate_figures import figures_of
from quotes.api.serializers import MONEY
from quotes.api.views import read
from quotes.models import Alternate, QuoteRevision

LABEL_MOST = 80


class AlternateFiguresOutput(serializers.Serializer[Any]):
    """What one compares offers by; floors count with their repeats."""

    framing = serializers.ListField(child=serializers.CharField())
    depth = serializers.CharField(allow_blank=True)
    joists = serializers.IntegerField()
    pieces = serializers.IntegerField()
    steel_lb = serializers.FloatField()
    holes = serializers.IntegerField()
    vibration = serializers.CharField(allow_blank=True)


class AlternateLineOutput(serializers.Serializer[Any]):
    group = serializers.CharField()
    code = serializers.CharField()
    description = serializers.CharField()
    quantity = serializers.DecimalField(max_digits=12, decimal_places=4)
    sold_by = serializers.CharField()
    unit_price = serializers.DecimalField(max_digits=12, decimal_places=4)
    extension = serializers.DecimalField(**MONEY)
    tax = serializers.DecimalField(**MONEY)


class AlternateOutput(serializers.Serializer[Any]):
    """One alternate with its lines; without cost."""

    letter = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]  # a field named as one of Field's own words
    fits = serializers.BooleanField()
    goods = serializers.DecimalField(**MONEY)
    freight = serializers.DecimalField(**MONEY)
    tax = serializers.DecimalField(**MONEY)
    total = serializers.DecimalField(**MONEY)
    difference = serializers.DecimalField(**MONEY, help_text="Of the total against the base offer's.")
    accepted = serializers.BooleanField()
    figures = AlternateFiguresOutput()
    lines = AlternateLineOutput(many=True)


class AlternateWithCostOutput(AlternateOutput):
    cost = serializers.DecimalField(**MONEY)
    margin = serializers.FloatField(allow_null=True)


class ChoiceInput(serializers.Serializer[Any]):
    """One bay of one floor at another profile and spacing."""

    floor = serializers.CharField(max_length=40, help_text="Public id of the floor.")
    bay = serializers.CharField(max_length=40)
    profile = serializers.CharField(max_length=40)
    spacing = serializers.CharField(max_length=12, help_text="As a floor document writes it, such as 19.2.")


class LabelInput(serializers.Serializer[Any]):
    label = serializers.CharField(max_length=LABEL_MOST)  # type: ignore[assignment]  # likewise


class AlternateInput(LabelInput):
    choices = ChoiceInput(many=True, required=False, default=list)
    documents = serializers.DictField(
        child=serializers.JSONField(),
        required=False,
        default=dict,
        help_text="Floor document by the floor's public id.",
    )


class _AlternatesView(OperationView):
    def shown(self, revision: QuoteRevision, alternate: Alternate) -> dict[str, Any]:
        """One alternate, with cost only for those who may see it."""
        cost = selectors.may_see_cost(self.actor, revision.quote)
        picked = selectors.alternate_picked(revision)
        fields = ("letter", "label", "fits", "goods", "freight", "tax", "total", "cost", "margin")
        body = {name: getattr(alternate, name) for name in fields}
        body |= {
            "difference": alternate.total - revision.total,
            "accepted": picked is not None and picked.pk == alternate.pk,
            "figures": figures_of(alternate.figures),
            "lines": alternate.lines.all(),
        }
        shape = AlternateWithCostOutput if cost else AlternateOutput
        return dict(shape(body).data)


class AlternateListView(_AlternatesView):
    access = Act("quote", "read")

    @extend_schema(operation_id="alternate_list", responses=AlternateWithCostOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """The alternates of a revision by letter; the revision itself is the base offer."""
        revision = selectors.revision_get(public_id)
        return Response([self.shown(revision, one) for one in selectors.alternate_list(revision)])


class AlternateAddView(_AlternatesView):
    access = Act("draft", "change")

    @extend_schema(
        operation_id="alternate_add", request=AlternateInput, responses={201: AlternateWithCostOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Add an alternate to a draft: choices of joists, documents of its own, or both."""
        data = read(AlternateInput, request)
        revision = selectors.revision_get(public_id)
        made = services.alternate_add(
            actor=self.actor,
            revision=revision,
            label=data["label"],
            choices=[services.Choice(**choice) for choice in data["choices"]],
            documents=data["documents"],
            at=database_now(),
        )
        return Response(self.shown(revision, made), status=201)


class AlternateRenameView(_AlternatesView):
    access = Act("draft", "change")

    @extend_schema(operation_id="alternate_rename", request=LabelInput, responses=AlternateWithCostOutput)
    def post(self, request: Request, public_id: str, letter: str) -> Response:
        """Give an alternate of a draft another name."""
        data = read(LabelInput, request)
        revision = selectors.revision_get(public_id)
        named = services.alternate_rename(
            actor=self.actor, revision=revision, letter=letter, label=data["label"], at=database_now()
        )
        return Response(self.shown(revision, named))


class AlternateRemoveView(OperationView):
    access = Act("draft", "change")

    @extend_schema(operation_id="alternate_remove", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, letter: str) -> Response:
        """Take an alternate away from a draft."""
        revision = selectors.revision_get(public_id)
        services.alternate_remove(actor=self.actor, revision=revision, letter=letter, at=database_now())
        return Response(status=204)
