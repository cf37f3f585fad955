"""Every route with real objects, as every person of the demo company (C1, C5).

Reading changes nothing, nothing breaks, and what the table does not list changes nothing however it is asked for.
"""

import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from psycopg.sql import SQL, Identifier
from pytest_django import DjangoDbBlocker

from framing.common.access import PUBLIC, SIGNED_IN, may
from framing.common.models import AuditEntry, Role, User
from quotes.models import QuoteRevision
from tests.common.demo import ID, addresses
from tests.common.routes import all_routes

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

ROUTES = [r for r in all_routes() if not r.is_admin and not r.name.startswith("account_")]
# tables that reading may touch: sessions, the cache of rate limits, and when a person came last
NOT_DATA = {"django_session", "cache_entries", "common_user", "django_migrations"}
# enough for every form and operation on a revision to get past its fields
FIELDS = {
    "discount_percent": "1", "discount_share": "0.01", "lead_time_days": "21", "terms": "None.",
    "reason": "price", "why": "A reason", "text": "A word", "for_name": "Me",
    "idempotency_key": "k1", "granted": True, "label": "Deeper",
    "people": [{"name": "Me", "email": "me@builder.example"}],
}  # fmt: skip


TAG = re.compile(rb"<script.*?</script>|<[^>]+>", re.DOTALL)


def verbs_shown(answer: Any, verbs: set[bytes]) -> set[bytes]:
    """What a page calls by the audit trail's own verb, such as `trip_lock`, instead of in words."""
    if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
        return set()
    return verbs & set(re.findall(rb"[a-z]+_[a-z_]+", TAG.sub(b" ", answer.content)))


def checksum() -> dict[str, str]:
    """A digest of each table's rows."""
    with connection.cursor() as cursor:
        tables = [name for name in connection.introspection.table_names(cursor) if name not in NOT_DATA]
        digests = {}
        for table in tables:
            rows = SQL("SELECT md5(coalesce(string_agg(t::text, '|' ORDER BY t::text), '')) FROM {} t")
            cursor.execute(rows.format(Identifier(table)))
            digests[table] = cursor.fetchone()[0]
    return digests


@pytest.fixture(scope="module")
def places(demo: None, django_db_blocker: DjangoDbBlocker) -> dict[str, list[str]]:
    """Each route's addresses with the demo's own objects."""
    with django_db_blocker.unblock():
        return {route.path: addresses(route) for route in ROUTES}


def signed_in(role: str) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    return client


@pytest.mark.parametrize("role", Role.values)
def test_reading_every_page_works_and_changes_nothing(
    role: str, places: dict[str, list[str]], scale: float
) -> None:
    client = signed_in(role)
    before = checksum()
    broken, raw, seen = [], [], 0
    verbs = {
        one.encode() for one in AuditEntry.objects.values_list("verb", flat=True).distinct() if "_" in one
    }
    by_head_too = role == Role.MANAGER or scale == 1  # it is a reading whose answer's body is left out
    for route in ROUTES:
        if by_head_too:
            client.head(places[route.path][0])
        for address in places[route.path]:
            answer = client.get(address)
            seen += answer.status_code == 200
            if answer.status_code >= 500:
                broken.append((address, answer.status_code))
            if role == Role.MANAGER and (shown := verbs_shown(answer, verbs)):
                raw.append((address, shown))
    assert broken == []
    assert raw == []
    assert seen >= 10
    changed = {table for table, digest in checksum().items() if before[table] != digest}
    assert changed == set()


@pytest.mark.parametrize("role", Role.values)
def test_asking_for_what_the_table_does_not_list_changes_nothing(
    role: str, places: dict[str, list[str]]
) -> None:
    client = signed_in(role)
    before = checksum()
    wrong = []
    for route in ROUTES:
        act = route.act
        assert act is not None
        if act.object in (PUBLIC, SIGNED_IN) or may(role, act.object, act.verb):
            continue
        first, last = places[route.path][0], places[route.path][-1]
        for address, method in ((first, client.post), (last, client.put)):
            status = method(address, {}, "application/json", headers={"Idempotency-Key": "k"}).status_code
            if status != 403:
                wrong.append((address, status))
    assert wrong == []
    assert checksum() == before


def test_a_seller_does_nothing_to_what_another_team_owns() -> None:
    ida, tomas = User.objects.filter(role=Role.SELLER).order_by("id")[:2]
    assert ida.team != tomas.team
    client = Client(raise_request_exception=False)
    client.force_login(tomas)
    theirs = QuoteRevision.objects.filter(quote__owner=ida)
    before = checksum()
    tried = 0
    for revision in (theirs.filter(issued_at=None).first(), theirs.filter(quote__stage="issued").first()):
        assert revision is not None
        for route in ROUTES:
            if "/revisions/" not in route.path or route.path.count("0" * 20) != 1:
                continue
            address = ID.sub(revision.public_id, route.path, count=1)
            if route.name.endswith(("quote_accept", "quote_decline")):
                continue  # the table lets every seller record a builder's word
            as_what = {"content_type": "application/json"} if route.is_api else {}
            response = client.post(address, FIELDS, headers={"Idempotency-Key": "k1"}, **as_what)
            assert response.status_code in (403, 405), (address, response.status_code, response.content[:300])
            tried += 1
    assert tried >= 12
    assert {t for t, digest in checksum().items() if before[t] != digest} <= {"common_idempotencykey"}
