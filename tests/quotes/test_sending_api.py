"""Sending, thread and mails by the API: the same verbs, role by role; the mail service's hook is shut by default."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from framing.common.models import MailMessage, MailState, Role
from quotes.mail_kinds import SENT
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
ROOT = "/api/v1/"
RAE = {"name": "Rae Winter", "email": "rae@winter.example"}


@pytest.fixture(autouse=True)
def clocked(monkeypatch):
    from quotes.api import messages

    monkeypatch.setattr(messages, "database_now", lambda: quotes.AT)


def post(client: Client, path: str, body: Any = None, **heads: str) -> Any:
    return client.post(ROOT + path, json.dumps(body or {}), content_type="application/json", headers=heads)


def test_an_offer_is_seen_sent_and_listed():
    revision = quotes.issued()
    client = people.client_of(revision.quote.owner)
    home, body = f"revisions/{revision.public_id}/", {"people": [RAE], "word": "Fine."}
    seen = post(client, home + "send/preview/", body).json()
    assert "Dear Rae Winter," in seen["text"]
    assert not MailMessage.objects.exists()
    assert post(client, home + "send/", body).status_code == 400  # no key
    for _ in range(2):
        sent = post(client, home + "send/", body, **{"Idempotency-Key": "k1"})
        assert (sent.status_code, sent.json()[0]["state"]) == (201, "queued")
    (row,) = client.get(f"{ROOT}quotes/{revision.quote.public_id}/mails/").json()
    assert (row["to_address"], row["asked_by"]) == ("rae@winter.example", revision.quote.owner.name)
    assert "text" not in row
    wrong = post(client, home + "send/", {"people": [RAE, RAE]}, **{"Idempotency-Key": "k2"})
    assert (wrong.status_code, wrong.json()["field"]) == (422, "email-2")


def test_a_draft_is_issued_and_sent():
    draft = quotes.draft()
    client = people.client_of(draft.quote.owner)
    path = f"revisions/{draft.public_id}/issue-and-send/"
    assert post(client, path, {"people": [RAE]}, **{"Idempotency-Key": "k"}).status_code == 201
    draft.refresh_from_db()
    assert draft.issued_at is not None


def test_the_thread_is_answered_read_and_marked():
    revision = quotes.issued()
    client = people.client_of(revision.quote.owner)
    home = f"quotes/{revision.quote.public_id}/thread/"
    assert post(client, home + "answer/", {"text": "Hello"}).status_code == 201
    assert [row["text"] for row in client.get(ROOT + home).json()] == ["Hello"]
    assert post(client, home + "seen/").json() == {"marked": 0}
    assert post(client, home + "answer/", {"text": ""}).status_code == 422


@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_others_are_refused(role):
    revision, client = quotes.issued(), people.client_of(role)
    key = {"Idempotency-Key": "k"}
    for path, body in (
        (f"revisions/{revision.public_id}/send/", {"people": [RAE]}),
        (f"revisions/{revision.public_id}/send/preview/", {"people": [RAE]}),
        (f"revisions/{revision.public_id}/issue-and-send/", {"people": [RAE]}),
        (f"quotes/{revision.quote.public_id}/thread/answer/", {"text": "Hi"}),
        (f"quotes/{revision.quote.public_id}/thread/seen/", {}),
    ):
        assert post(client, path, body, **key).status_code in (403, 409), path
    assert not MailMessage.objects.exists()


def test_words_are_listed_tried_and_kept():
    revision = quotes.issued()
    manager = people.client_of(Role.MANAGER)
    words = {"subject": "Offer {quote}", "text": "Hi {name}\n\n{link}", "seen": 0}
    shown = post(manager, f"mail/templates/{SENT}/preview/", words).json()
    assert shown["subject"] == f"Offer {revision}"
    wrong = post(manager, f"mail/templates/{SENT}/change/", words | {"text": "{link} {prise}"})
    assert (wrong.status_code, "{prise}" in wrong.json()["detail"]) == (422, True)
    assert post(manager, f"mail/templates/{SENT}/change/", words).json()["version"] == 1
    assert post(manager, f"mail/templates/{SENT}/change/", words | {"text": "{link}"}).status_code == 409
    listed = {row["kind"]: row for row in manager.get(ROOT + "mail/templates/").json()}
    assert (listed[SENT]["version"], "link" in listed[SENT]["places"]) == (1, True)
    assert post(people.client_of(Role.SELLER), f"mail/templates/{SENT}/change/", words).status_code == 403


def test_a_test_mail_and_a_retry():
    admin = people.client_of(Role.ADMINISTRATOR)
    assert post(admin, "mail/test/").json()["state"] == "sent"
    assert post(people.client_of(Role.MANAGER), "mail/test/").status_code == 403
    revision = quotes.issued()
    seller = people.client_of(revision.quote.owner)
    post(seller, f"revisions/{revision.public_id}/send/", {"people": [RAE]}, **{"Idempotency-Key": "k"})
    mail = MailMessage.objects.get(kind=SENT)
    path = f"quotes/{revision.quote.public_id}/mails/{mail.public_id}/retry/"
    assert post(seller, path).status_code == 409
    MailMessage.objects.filter(pk=mail.pk).update(state=MailState.FAILED)
    assert post(seller, path).json()["state"] == "queued"
    assert post(people.client_of(Role.SHOP), path).status_code == 403


def test_the_mail_services_hook_is_shut_until_a_word_is_set(settings):
    mail_id = post(people.client_of(Role.ADMINISTRATOR), "mail/test/").json()["message_id"]
    body, client = {"message_id": mail_id, "words": "550 no box"}, Client(enforce_csrf_checks=True)
    for token in ("", "anything"):
        assert post(client, "mail/bounces/", body, Authorization=f"Bearer {token}").status_code in (401, 403)
    settings.SPANYARD_MAIL_HOOK_TOKEN = "a long word of the service"
    assert post(client, "mail/bounces/", body, Authorization="Bearer wrong").status_code in (401, 403)
    assert post(client, "mail/bounces/", body).status_code in (401, 403)
    good = {"Authorization": "Bearer a long word of the service"}
    assert post(client, "mail/bounces/", body, **good).json() == {"state": "bounced"}
    assert MailMessage.objects.get().answer == "550 no box"
    assert post(client, "mail/bounces/", {"message_id": "<no@where>"}, **good).status_code == 404
    for _ in range(30):
        post(client, "mail/bounces/", body, Authorization="Bearer wrong")
    assert post(client, "mail/bounces/", body, **good).status_code == 429


def test_the_hook_is_off_by_default():
    assert settings.SPANYARD_MAIL_HOOK_TOKEN == ""
