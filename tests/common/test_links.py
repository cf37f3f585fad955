"""Builders' links: hashed, purpose-bound, expiring, withdrawn at once, never left in the address (C3-C6)."""

import hashlib
from base64 import urlsafe_b64decode
from datetime import timedelta

import pytest
from django.core import signing
from django.db import connection
from django.test import Client
from pytest_django.fixtures import Settings

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.links import link_get, link_make, link_open, link_withdraw
from framing.common.mail import new_link_seed
from framing.common.models import AccessLink, AuditEntry, LinkPurpose, Role, User

pytestmark = pytest.mark.django_db


@pytest.fixture
def user() -> User:
    return User.objects.create_user("ada@example.test", "a long password", name="Ada", role=Role.SELLER)


def make(user: User, *, days: float = 1, name: str = "Bo Marsh") -> tuple[AccessLink, str]:
    at = database_now()
    return link_make(
        actor=person(user),
        purpose=LinkPurpose.QUOTE,
        subject=user,
        for_name=name,
        expires_at=at + timedelta(days=days),
        at=at,
    )


def test_the_database_holds_no_usable_secret(user: User) -> None:
    _, secret = make(user)
    with connection.cursor() as cursor:
        cursor.execute("SELECT row_to_json(l)::text FROM common_accesslink l")
        row = cursor.fetchone()[0]
        cursor.execute("SELECT coalesce(string_agg(row_to_json(a)::text, ''), '') FROM common_auditentry a")
        trail = cursor.fetchone()[0]
    assert len(secret) >= 43
    assert secret not in row + trail
    for field in AccessLink.objects.values_list().get():
        if isinstance(field, str):
            with pytest.raises(NotThere):
                link_open(field, database_now())


def test_a_link_opens_until_it_expires_or_is_withdrawn(user: User) -> None:
    link, secret = make(user)
    now = database_now()
    assert link_open(secret, now) == link
    with pytest.raises(NotThere):
        link_open(secret, link.expires_at)
    link_withdraw(actor=person(user), link=link, at=now)
    with pytest.raises(NotThere):
        link_open(secret, now)
    with pytest.raises(NotThere):
        link_get(link.public_id, LinkPurpose.QUOTE, now)


def test_a_renewed_link_ends_the_old_one(user: User) -> None:
    _, old = make(user)
    _, new = make(user)
    now = database_now()
    assert link_open(new, now)
    with pytest.raises(NotThere):
        link_open(old, now)


def test_each_opening_is_recorded_with_its_time_and_whose_link_it_was(user: User) -> None:
    link, secret = make(user)
    first = database_now()
    second = first + timedelta(hours=3)
    for at in (first, second):
        link_open(secret, at)
    with pytest.raises(NotThere):
        link_open(secret + "x", second)
    opened = AuditEntry.objects.filter(verb="link_open")
    assert [(entry.at, entry.link_id, entry.actor_name) for entry in opened] == [
        (first, link.pk, "Bo Marsh"),
        (second, link.pk, "Bo Marsh"),
    ]
    link.refresh_from_db()
    assert (link.opened_count, link.opened_at) == (2, second)


def test_two_links_share_nothing_and_hold_256_bits(user: User) -> None:
    secrets = {make(user, name=f"Reader {number}")[1] for number in range(20)}
    assert len(secrets) == 20
    assert {len(urlsafe_b64decode(secret + "=")) for secret in secrets} == {32}
    mailed = {new_link_seed() for _ in range(20)}
    assert len({secret for _, secret in mailed}) == len({seed for seed, _ in mailed}) == 20
    assert {len(urlsafe_b64decode(secret + "=")) for _, secret in mailed} == {32}


def test_without_the_key_a_dump_of_hashes_opens_nothing(user: User, settings: Settings) -> None:
    link, secret = make(user)
    assert link.digest != hashlib.sha256(secret.encode()).hexdigest()
    settings.LINK_KEY = "another key, as long as the first one was, or longer"
    with pytest.raises(NotThere):
        link_open(secret, database_now())


def test_a_link_serves_its_purpose_only(user: User) -> None:
    link, _ = make(user)
    with pytest.raises(NotThere):
        link_get(link.public_id, LinkPurpose.DELIVERY, database_now())


def test_the_door_trades_the_secret_for_a_cookie_and_a_clean_address(user: User) -> None:
    link, secret = make(user)
    client = Client()
    response = client.get(f"/l/{secret}/")
    assert response.status_code == 302
    assert response["Referrer-Policy"] == "no-referrer"
    assert secret not in response["Location"]
    cookie = response.cookies["builder_link"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    assert cookie["path"] == response["Location"]
    assert secret not in cookie.value
    assert signing.loads(cookie.value, salt="framing.common.link") == link.public_id


def test_scanners_that_look_at_the_door_change_nothing(user: User) -> None:
    link, secret = make(user)
    client = Client()
    assert client.head(f"/l/{secret}/").status_code == client.head("/l/wrong/").status_code == 200
    link.refresh_from_db()
    assert (link.opened_count, link.withdrawn_at) == (0, None)
    assert client.post(f"/l/{secret}/").status_code == 405


def test_wrong_expired_and_withdrawn_secrets_look_the_same(user: User) -> None:
    _, expired = make(user, days=-1, name="A")
    gone, withdrawn = make(user, name="B")
    link_withdraw(actor=person(user), link=gone, at=database_now())
    client = Client()
    answers = []
    for secret in ("wrong", expired, withdrawn):
        response = client.get(f"/l/{secret}/")
        body = response.content.replace(response["X-Request-Id"].encode(), b"id")
        answers.append((response.status_code, body))
    assert answers[0][0] == 404
    assert answers[0] == answers[1] == answers[2]
