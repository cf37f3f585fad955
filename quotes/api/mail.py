"""The company's words for mails, a test of the mail server, and what a mail service tells, as operations."""

from __future__ import annotations

import hmac
from typing import Any

from django.conf import settings
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from framing.common.access import Act
from framing.common.apiview import ActPermission, OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.limits import Limit, address_of
from framing.common.mail import mail_bounced
from framing.common.mail_sending import mail_test
from framing.common.mail_templates import Words, template_change, template_words
from framing.common.mail_words import SUBJECT_MOST, TEXT_MOST, MailKind, check_words
from quotes.api.messages import LetterOutput, MailOutput
from quotes.api.views import read
from quotes.mail_kinds import KINDS
from quotes.template_preview import sample_letter

HOOK_TRIES = Limit("mail_hook", most=30, window_s=60)
BEARER = "Bearer "


class WordsInput(serializers.Serializer[Any]):
    subject = serializers.CharField(max_length=SUBJECT_MOST)
    text = serializers.CharField(max_length=TEXT_MOST, trim_whitespace=False)
    seen = serializers.IntegerField(min_value=0, help_text="The version that these words follow.")


class MailTemplateOutput(serializers.Serializer[Any]):
    kind = serializers.CharField()
    title = serializers.CharField()
    subject = serializers.CharField()
    text = serializers.CharField()
    version = serializers.IntegerField(help_text="0 are the words as delivered.")
    places = serializers.DictField(child=serializers.CharField(), help_text="Placeholders, and what for.")


class BounceInput(serializers.Serializer[Any]):
    message_id = serializers.CharField(max_length=200)
    words = serializers.CharField(max_length=2000, default="", allow_blank=True)


class BounceOutput(serializers.Serializer[Any]):
    state = serializers.CharField()


def _kind(name: str) -> MailKind:
    if name not in KINDS:
        raise NotThere()
    return KINDS[name]


def _shown(kind: MailKind, words: Words) -> dict[str, Any]:
    return {
        "kind": kind.name,
        "title": kind.title,
        "subject": words.subject,
        "text": words.text,
        "version": words.version,
        "places": dict(kind.places),
    }


class MailTemplateListView(OperationView):
    access = Act("mail_template", "read")

    @extend_schema(operation_id="mail_template_list", responses=MailTemplateOutput(many=True))
    def get(self, _request: Request) -> Response:
        """The words of each kind of mail that hold now."""
        rows = [_shown(kind, template_words(kind)) for kind in KINDS.values()]
        return Response(MailTemplateOutput(rows, many=True).data)


class MailTemplateChangeView(OperationView):
    access = Act("mail_template", "change")

    @extend_schema(operation_id="mail_template_change", request=WordsInput, responses=MailTemplateOutput)
    def post(self, request: Request, kind: str) -> Response:
        """Keep new words for a kind of mail; an unknown placeholder is refused by its name."""
        found, data = _kind(kind), read(WordsInput, request)
        words = template_change(actor=self.actor, kind=found, at=database_now(), **data)
        return Response(MailTemplateOutput(_shown(found, words)).data)


class MailTemplatePreviewView(OperationView):
    access = Act("mail_template", "change")

    @extend_schema(operation_id="mail_template_preview", request=WordsInput, responses=LetterOutput)
    def post(self, request: Request, kind: str) -> Response:
        """A mail in these words with the figures of the newest issued quote; writes nothing."""
        found, data = _kind(kind), read(WordsInput, request)
        subject, text = check_words(found, data["subject"], data["text"])
        letter = sample_letter(found, Words(subject, text, data["seen"]))
        if letter is None:
            raise NotThere("No quote is issued yet whose figures could be shown.")
        return Response(LetterOutput(letter).data)


class MailTestView(OperationView):
    access = Act("mail", "test")

    @extend_schema(operation_id="mail_test", request=None, responses={201: MailOutput})
    def post(self, _request: Request) -> Response:
        """Send the administrator a mail at once; the answer holds what the mail server said."""
        return Response(MailOutput(mail_test(actor=self.actor, at=database_now())).data, status=201)


class HookPermission(ActPermission):
    """The mail service's own word from the environment, or an administrator; wrong words are counted."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        header = request.headers.get("Authorization", "")
        wanted = settings.SPANYARD_MAIL_HOOK_TOKEN
        if not wanted or not header.startswith(BEARER):
            return super().has_permission(request, view)
        address, at = address_of(request), database_now()
        HOOK_TRIES.check(address, at)
        if hmac.compare_digest(header.removeprefix(BEARER).encode(), wanted.encode()):
            return True
        HOOK_TRIES.count(address, at)
        return False


class MailBounceView(OperationView):
    access = Act("mail", "bounce")
    permission_classes = (HookPermission,)

    @extend_schema(operation_id="mail_bounce", request=BounceInput, responses=BounceOutput)
    def post(self, request: Request) -> Response:
        """Note that a mail came back. For a mail service, by `Authorization: Bearer` and its word."""
        data = read(BounceInput, request)
        mail = mail_bounced(message_id=data["message_id"], words=data["words"], at=database_now())
        return Response(BounceOutput({"state": mail.state}).data)
