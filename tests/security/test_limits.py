"""Nothing to guess: limits on tries, and sign-in and reset that do not tell who exists (C6, C14)."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client, RequestFactory
from pytest_django.fixtures import Settings

from framing.common.clock import database_now
from framing.common.errors import TooMany
from framing.common.limits import LINK_TRIES, Limit, address_of
from framing.common.links import link_make
from framing.common.models import LinkPurpose
from tests.factories import people

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)
WRONG = "wrong wrong wrong"
HERE, THERE = "192.0.2.1", "192.0.2.2"


def secret() -> str:
    seller = people.actor()
    at = database_now()
    made = link_make(
        actor=seller, purpose=LinkPurpose.QUOTE, subject=seller.user, for_name="Bo", at=at,
        expires_at=at + timedelta(days=1),
    )  # fmt: skip
    return made[1]


def test_the_limits_live_in_the_database() -> None:
    assert type(cache._connections["default"]).__name__ == "DatabaseCache"


def test_thirty_wrong_secrets_close_the_door_for_that_address_only() -> None:
    good = secret()
    here, there = Client(REMOTE_ADDR=HERE), Client(REMOTE_ADDR=THERE)
    answers = [here.get(f"/l/wrong{n}/").status_code for n in range(LINK_TRIES.most)]
    assert answers == [404] * 30
    over = here.get("/l/wrong/")
    assert over.status_code == 429
    assert 1 <= int(over["Retry-After"]) <= 60
    assert here.get(f"/l/{good}/").status_code == 429, "else the limit would tell a right guess"
    assert there.get(f"/l/{good}/").status_code == 302
    assert here.get("/account/login/").status_code == 200


def test_a_claimed_address_neither_escapes_the_limit_nor_harms_another() -> None:
    good = secret()
    client = Client(REMOTE_ADDR=HERE)
    for number in range(LINK_TRIES.most):
        claim = {"X-Forwarded-For": f"198.51.100.{number}", "X-Real-IP": THERE, "Forwarded": f"for={THERE}"}
        client.get("/l/wrong/", headers=claim)
    assert client.get("/l/wrong/", headers={"X-Forwarded-For": "203.0.113.9"}).status_code == 429
    assert Client(REMOTE_ADDR=THERE).get(f"/l/{good}/").status_code == 302


def test_only_failed_tries_count() -> None:
    good = secret()
    client = Client(REMOTE_ADDR=HERE)
    assert {client.get(f"/l/{good}/").status_code for _ in range(LINK_TRIES.most + 5)} == {302}
    assert {client.head("/l/wrong/").status_code for _ in range(5)} == {200}
    assert client.get("/l/wrong/").status_code == 404


def test_the_window_moves_with_the_tries() -> None:
    limit = Limit("test", most=2, window_s=60)
    limit.count(HERE, AT)
    limit.count(HERE, AT + timedelta(seconds=30))
    with pytest.raises(TooMany) as refused:
        limit.check(HERE, AT + timedelta(seconds=50))
    assert refused.value.retry_after_s == 10
    limit.check(HERE, AT + timedelta(seconds=61))
    limit.count(HERE, AT + timedelta(seconds=61))
    with pytest.raises(TooMany):
        limit.check(HERE, AT + timedelta(seconds=62))


def test_many_addresses_do_not_push_out_a_limit() -> None:
    limit = Limit("test", most=1, window_s=3600)
    limit.count(HERE, AT)
    for number in range(400):  # the cache's own default keeps 300 entries
        cache.set(f"other-{number}", 1, 60)
    with pytest.raises(TooMany):
        limit.check(HERE, AT)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:aaaa::1", "2001:db8:1:2::"),
        ("2001:db8:1:2:bbbb::9", "2001:db8:1:2::"),
        ("", ""),
    ],
)
def test_an_address_is_that_of_the_connection(text: str, expected: str) -> None:
    request = RequestFactory().get("/", REMOTE_ADDR=text, headers={"X-Forwarded-For": "203.0.113.1"})
    assert address_of(request) == expected


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("203.0.113.1, 198.51.100.2, 192.0.2.7", "192.0.2.7"),  # what the caller claims comes first
        ("203.0.113.1,2001:db8:1:2:aaaa::1", "2001:db8:1:2::"),
        (None, "10.0.0.1"),
    ],
)
def test_behind_a_proxy_of_ours_an_address_is_what_the_proxy_added(
    settings: Settings, header: str | None, expected: str
) -> None:
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
    headers = {"X-Forwarded-For": header} if header else {}
    request = RequestFactory().get("/", REMOTE_ADDR="10.0.0.1", headers=headers)
    assert address_of(request) == expected


def sign_in(client: Client, email: str, password: str = WRONG):
    return client.post("/account/login/", {"login": email, "password": password})


def test_sign_in_tries_of_an_address_end_in_429() -> None:
    person = people.user()
    client = Client(REMOTE_ADDR=HERE)
    statuses = [sign_in(client, f"nobody{n}@example.test").status_code for n in range(30)]
    assert set(statuses) == {200}
    over = sign_in(client, person.email, people.PASSWORD)
    assert over.status_code == 429
    assert int(over["Retry-After"]) > 0
    assert sign_in(Client(REMOTE_ADDR=THERE), person.email, people.PASSWORD).status_code == 302


def test_an_account_under_attack_is_closed_for_a_while_from_everywhere() -> None:
    person, other = people.user(), people.user()
    for number in range(5):
        sign_in(Client(REMOTE_ADDR=f"192.0.2.{number + 10}"), person.email)
    late = sign_in(Client(REMOTE_ADDR=THERE), person.email, people.PASSWORD)
    assert late.status_code != 302
    assert sign_in(Client(REMOTE_ADDR=THERE), other.email, people.PASSWORD).status_code == 302


def test_password_resets_of_an_address_end_in_429() -> None:
    client = Client(REMOTE_ADDR=HERE)
    statuses = [
        client.post("/account/password/reset/", {"email": f"nobody{n}@example.test"}).status_code
        for n in range(21)
    ]
    assert statuses == [302] * 20 + [429]


def plain(response) -> tuple:
    """What a reader can tell of an answer: all but the tokens and the request's id."""
    text = re.sub(r'name="csrfmiddlewaretoken" value="[^"]*"', "", response.content.decode())
    text = text.replace(response["X-Request-Id"], "id")
    return response.status_code, response.get("Location"), re.sub(r"[\w.]+@example\.test", "mail", text)


def test_sign_in_does_not_tell_who_exists() -> None:
    person = people.user()
    gone = people.user()
    gone.is_active = False
    gone.save()
    known, unknown, ended = (
        plain(sign_in(Client(), mail_)) for mail_ in (person.email, "nobody@example.test", gone.email)
    )
    assert known == unknown == ended
    assert known[0] == 200


def test_reset_does_not_tell_who_exists() -> None:
    person = people.user()
    known, unknown = (
        plain(Client().post("/account/password/reset/", {"email": mail_}))
        for mail_ in (person.email, "nobody@example.test")
    )
    assert known == unknown
    assert [message.to for message in mail.outbox] == [[person.email]]
