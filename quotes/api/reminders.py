"""Reminders of an offer as operations: look at one, send it now, switch those by themselves."""

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
from quotes.api.messages import LetterOutput, MailOutput
from quotes.api.views import KEY, read
from quotes.services.sending import WORD_MOST


class RemindInput(serializers.Serializer[Any]):
    word = serializers.CharField(max_length=WORD_MOST, default="", allow_blank=True)


class RemindersSwitchInput(serializers.Serializer[Any]):
    on = serializers.BooleanField()


class RemindersOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    on = serializers.BooleanField(source="reminders")


class QuoteRemindView(OperationView):
    access = Act("quote", "send")

    @extend_schema(
        operation_id="quote_remind",
        parameters=[KEY],
        request=RemindInput,
        responses={201: MailOutput(many=True)},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Remind everybody now who was mailed the offer and can open it."""
        mails = services.quote_remind(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            key=self.idempotency_key,
            at=database_now(),
            word=read(RemindInput, request)["word"],
        )
        return Response(MailOutput(mails, many=True).data, status=201)


class QuoteRemindPreviewView(OperationView):
    access = Act("quote", "send")

    @extend_schema(operation_id="quote_remind_preview", request=RemindInput, responses=LetterOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """The reminder as its first reader would get it; writes nothing."""
        letter = services.quote_remind_preview(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            at=database_now(),
            word=read(RemindInput, request)["word"],
        )
        return Response(LetterOutput(letter).data)


class RemindersSwitchView(OperationView):
    access = Act("quote", "send")

    @extend_schema(operation_id="reminders_switch", request=RemindersSwitchInput, responses=RemindersOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Let reminders of a quote go out by themselves, or not."""
        on = read(RemindersSwitchInput, request)["on"]
        quote = selectors.quote_get(public_id)
        quote = services.reminders_switch(actor=self.actor, quote=quote, on=on, at=database_now())
        return Response(RemindersOutput(quote).data)
