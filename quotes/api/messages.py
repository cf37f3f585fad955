"""Sending offers, the thread of a quote and the mails about it, as operations."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.mail import mail_get, mail_list, mail_retry
from framing.common.mail_words import ADDRESS_MOST, NAME_MOST, read_recipient
from framing.common.models import MailMessage
from quotes import selectors, services
from quotes.api.views import KEY, read
from quotes.models import ThreadMessage
from quotes.services.sending import PEOPLE_MOST, WORD_MOST
from quotes.services.thread import WORDS_MOST
from quotes.thread_reads import thread_of


class PersonInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=NAME_MOST)
    email = serializers.CharField(max_length=ADDRESS_MOST)


class QuoteSendInput(serializers.Serializer[Any]):
    people = serializers.ListField(child=PersonInput(), min_length=1, max_length=PEOPLE_MOST)
    word = serializers.CharField(max_length=WORD_MOST, default="", allow_blank=True)

    @staticmethod
    def pairs(data: dict[str, Any]) -> list[tuple[str, str]]:
        return [(one["name"], one["email"]) for one in data["people"]]


class IssueAndSendInput(QuoteSendInput):
    release_reason = serializers.CharField(max_length=400, default="", allow_blank=True)


class LetterOutput(serializers.Serializer[Any]):
    subject = serializers.CharField()
    text = serializers.CharField()
    html = serializers.CharField()


class MailOutput(serializers.ModelSerializer[MailMessage]):
    """A mail about a quote; its text and its link are not shown here."""

    id = serializers.CharField(source="public_id")
    asked_by = serializers.CharField(source="asked_name")

    class Meta:
        model = MailMessage
        fields = (
            "id", "kind", "to_name", "to_address", "subject", "state", "attempts", "answer", "message_id",
            "asked_by", "created_at", "sent_at",
        )  # fmt: skip


class ThreadMessageOutput(serializers.ModelSerializer[ThreadMessage]):
    class Meta:
        model = ThreadMessage
        fields = ("at", "side", "way", "name", "text", "automatic", "attachments", "from_address", "seen_at")


class ThreadWordsInput(serializers.Serializer[Any]):
    text = serializers.CharField(max_length=WORDS_MOST, trim_whitespace=False)


class SeenOutput(serializers.Serializer[Any]):
    marked = serializers.IntegerField(help_text="How many messages were unread until now.")


class QuoteSendView(OperationView):
    access = Act("quote", "send")

    @extend_schema(
        operation_id="quote_send",
        parameters=[KEY],
        request=QuoteSendInput,
        responses={201: MailOutput(many=True)},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Send an issued offer to people of the builder, each with a link of his own."""
        data = read(QuoteSendInput, request)
        mails = services.quote_send(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            people=QuoteSendInput.pairs(data),
            word=data["word"],
            key=self.idempotency_key,
            at=database_now(),
        )
        return Response(MailOutput(mails, many=True).data, status=201)


class QuoteSendPreviewView(OperationView):
    access = Act("quote", "send")

    @extend_schema(operation_id="quote_send_preview", request=QuoteSendInput, responses=LetterOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """The mail as its first reader would get it; writes nothing."""
        data = read(QuoteSendInput, request)
        first = data["people"][0]
        letter = services.quote_preview(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            to=read_recipient(first["name"], first["email"]),
            word=data["word"],
        )
        return Response(LetterOutput(letter).data)


class RevisionIssueAndSendView(OperationView):
    access = Act("quote", "issue")

    @extend_schema(
        operation_id="revision_issue_and_send",
        parameters=[KEY],
        request=IssueAndSendInput,
        responses={201: MailOutput(many=True)},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Issue a draft and send it, both or nothing."""
        data = read(IssueAndSendInput, request)
        mails = services.revision_issue_and_send(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            people=QuoteSendInput.pairs(data),
            word=data["word"],
            release_reason=data["release_reason"],
            key=self.idempotency_key,
            at=database_now(),
        )
        return Response(MailOutput(mails, many=True).data, status=201)


class QuoteMailListView(OperationView):
    access = Act("quote", "read")

    @extend_schema(operation_id="quote_mail_list", responses=MailOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """What was mailed about a quote, to whom, and how it went, newest first."""
        return Response(MailOutput(mail_list(selectors.quote_get(public_id)), many=True).data)


class QuoteMailRetryView(OperationView):
    access = Act("mail", "retry")

    @extend_schema(operation_id="quote_mail_retry", request=None, responses=MailOutput)
    def post(self, _request: Request, public_id: str, mail_id: str) -> Response:
        """Send a mail that was not sent again, under its old Message-ID."""
        mail = mail_get(mail_id)
        if not mail_list(selectors.quote_get(public_id)).filter(pk=mail.pk).exists():
            raise NotThere()
        return Response(MailOutput(mail_retry(actor=self.actor, mail=mail, at=database_now())).data)


class ThreadListView(OperationView):
    access = Act("quote", "read")

    @extend_schema(operation_id="thread_list", responses=ThreadMessageOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """What builder and staff wrote to each other, oldest first."""
        return Response(ThreadMessageOutput(thread_of(selectors.quote_get(public_id)), many=True).data)


class ThreadAnswerView(OperationView):
    access = Act("quote", "write")

    @extend_schema(
        operation_id="thread_answer", request=ThreadWordsInput, responses={201: ThreadMessageOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Answer the builder; goes by mail to everybody with a live link that was mailed."""
        text = read(ThreadWordsInput, request)["text"]
        message = services.thread_answer(
            actor=self.actor, quote=selectors.quote_get(public_id), text=text, at=database_now()
        )
        return Response(ThreadMessageOutput(message).data, status=201)


class ThreadSeenView(OperationView):
    access = Act("quote", "write")

    @extend_schema(operation_id="thread_seen", request=None, responses=SeenOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """Mark the builder's messages as read."""
        quote = selectors.quote_get(public_id)
        marked = services.thread_seen(actor=self.actor, quote=quote, at=database_now())
        return Response(SeenOutput({"marked": marked}).data)
