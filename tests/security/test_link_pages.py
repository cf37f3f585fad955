"""Builders' pages answer one and the same to every cookie that opens nothing (C3, C6)."""

import re
from datetime import timedelta

import pytest
from django.core import signing
from django.test import Client

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.links import link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose
from framing.common.views import LINK_COOKIE, LINK_SALT
from orders.models import Delivery
from quotes.models import QuoteRevision
from tests.factories import orders, quotes

pytestmark = pytest.mark.django_db
PAGES = [("get", ""), ("get", "paper/"), ("post", "accept/"), ("post", "decline/")]
DELIVERY_PAGES = [("get", ""), ("get", "manifest/")]


def make(thing, purpose: LinkPurpose, *, days: int = 5, name: str = "Rae") -> tuple[AccessLink, str]:
    at = database_now()
    owner = thing.quote.owner if isinstance(thing, QuoteRevision) else thing.order.owner
    return link_make(
        actor=person(owner), purpose=purpose, subject=thing, for_name=name, at=at,
        expires_at=at + timedelta(days=days),
    )  # fmt: skip


def door(secret: str) -> Client:
    """A browser that came through the link."""
    client = Client()
    client.get(f"/l/{secret}/")
    return client


def holding(value: str) -> Client:
    client = Client()
    client.cookies[LINK_COOKIE] = value
    return client


def answer(client: Client, method: str, address: str) -> tuple[int, bytes, str]:
    """All that a reader can tell: status, bytes without the request's id, headers without it."""
    response = getattr(client, method)(address)
    headers = {k: v for k, v in response.headers.items() if k != "X-Request-Id"}
    body = response.content.replace(response["X-Request-Id"].encode(), b"id")
    body = re.sub(rb"[0-9a-z]{20}", b"public-id", body)
    return response.status_code, body, str(sorted(headers.items()))


def all_the_same(
    base: str, pages: list[tuple[str, str]], link: AccessLink, other: AccessLink, wrong: str
) -> None:
    at = database_now()
    withdrawn, _ = make_sibling(link, "Bo", days=5)
    link_withdraw(actor=person(link.made_by), link=withdrawn, at=at)
    expired, _ = make_sibling(link, "Cy", days=-1)
    signed = {name: signing.dumps(row.public_id, salt=LINK_SALT) for name, row in
              {"own": link, "other": other, "withdrawn": withdrawn, "expired": expired}.items()}  # fmt: skip
    for method, tail in pages:
        cases = {
            "no cookie": answer(Client(), method, f"{base}{link.public_id}/{tail}"),
            "no such page": answer(holding(signed["own"]), method, f"{base}{'0' * 20}/{tail}"),
            "another link's cookie": answer(
                holding(signed["other"]), method, f"{base}{link.public_id}/{tail}"
            ),
            "other purpose": answer(holding(signed["other"]), method, f"{wrong}{other.public_id}/{tail}"),
            "withdrawn": answer(holding(signed["withdrawn"]), method, f"{base}{withdrawn.public_id}/{tail}"),
            "expired": answer(holding(signed["expired"]), method, f"{base}{expired.public_id}/{tail}"),
            "forged": answer(holding(link.public_id + ":x:y"), method, f"{base}{link.public_id}/{tail}"),
            "salted otherwise": answer(
                holding(signing.dumps(link.public_id, salt="other")), method, f"{base}{link.public_id}/{tail}"
            ),
        }
        assert cases["no cookie"][0] == 404
        assert {name for name, case in cases.items() if case != cases["no cookie"]} == set(), (method, tail)


def make_sibling(link: AccessLink, name: str, *, days: int) -> tuple[AccessLink, str]:
    model = QuoteRevision if link.purpose == LinkPurpose.QUOTE else Delivery
    return make(model.objects.get(pk=link.subject_id), LinkPurpose(link.purpose), days=days, name=name)


def test_a_quotes_pages_tell_nothing_without_their_own_live_link() -> None:
    link, secret = make(quotes.issued(), LinkPurpose.QUOTE)
    other, _ = make(quotes.issued(), LinkPurpose.QUOTE)
    assert door(secret).get(f"/quotes/your/{link.public_id}/").status_code == 200
    all_the_same("/quotes/your/", PAGES, link, other, "/orders/your/")


def test_a_deliverys_pages_tell_nothing_without_their_own_live_link() -> None:
    delivery = orders.planned()
    link, secret = make(delivery, LinkPurpose.DELIVERY)
    other, _ = make(delivery.order.revision, LinkPurpose.QUOTE)
    assert door(secret).get(f"/orders/your/{link.public_id}/").status_code == 200
    all_the_same("/orders/your/", DELIVERY_PAGES, link, other, "/orders/your/")


def test_withdrawn_while_the_page_is_open_the_next_act_is_refused() -> None:
    revision = quotes.issued()
    link, secret = make(revision, LinkPurpose.QUOTE)
    client = door(secret)
    base = f"/quotes/your/{link.public_id}/"
    assert client.get(base).status_code == 200
    link_withdraw(actor=person(revision.quote.owner), link=link, at=database_now())
    accept = {"name": "Rae", "idempotency_key": "k", "sure": "yes"}
    assert client.post(base + "accept/", accept).status_code == 404
    assert client.post(base + "decline/", {"why": "No."}).status_code == 404
    revision.quote.refresh_from_db()
    assert revision.quote.stage == "issued"
