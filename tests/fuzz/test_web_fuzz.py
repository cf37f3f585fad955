"""Bad input is an answer: query strings, addresses, forms and API bodies bent at random (B15)."""

from __future__ import annotations

import json
from random import Random
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from django.test import Client

from framing.common.access import PUBLIC
from framing.common.models import Role, User
from tests.common.demo import addresses
from tests.common.routes import Route, all_routes
from tests.fuzz import mutating

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]
ROUTES = [route for route in all_routes() if not route.is_admin and not route.name.startswith("account_")]
LISTS = [
    route.path for route in ROUTES
    if "0" * 20 not in route.path and (not route.is_api or hasattr(route.view.cls, "get"))
]  # fmt: skip
NAMES = (
    "q",
    "search",
    "page",
    "stage",
    "state",
    "project",
    "builder",
    "limit",
    "offset",
    "format",
    "next",
    "lang",
)
RAW = (
    "%00", "search=a%00", "q=%00", "stage=%00", "state=a%00", "page=%00", "project=%00", "builder=%00", "%ff", "%",
    "%zz", "&&==", "page=1&page=2", "q=%ED%A0%80", "q=" + "a" * 3000, ";", "[]=1", "+",
)  # fmt: skip
BODY_FIELDS = (
    "name", "builder", "units", "site", "line", "city", "region", "postal_code", "freight_zone", "tax_place", "project",
    "discount_share", "terms", "lead_time_days", "release_reason", "reason", "why", "granted", "answer", "total_seen",
    "title", "for_name", "document", "quote", "planned_for", "contact", "notes", "received_by", "version", "email",
    "contact_name", "phone", "tier", "discount_percent", "idempotency_key", "sure", "base_version", "intent", "rows",
    "document_text", "login", "password",
)  # fmt: skip
GOOD = (
    "Marsh Lane",
    "12.50",
    "1",
    "0.1",
    "2026-12-24",
    "yes",
    "imperial",
    "rae@example.test",
    True,
    5,
    "save",
)


@pytest.fixture
def client() -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.get(role=Role.MANAGER))
    return client


def text(rng: Random) -> str:
    return str(rng.choice((rng.choice(mutating.WORDS), rng.choice(mutating.NUMBERS), mutating.length(rng))))


def query(rng: Random) -> str:
    if rng.random() < 0.3:
        return rng.choice(RAW)
    pairs = [(rng.choice(NAMES), text(rng)) for _ in range(rng.randrange(1, 4))]
    return urlencode(pairs, errors="surrogatepass")


def ended(path: str, answer: Any, sent: Any) -> None:
    """Fail where an answer is a fault; the request that did it is shown."""
    if answer.status_code >= 500:
        pytest.fail(f"{answer.status_code} from {path} for {sent!r:.3000}")


def test_odd_query_strings_are_answered(client: Client, scale: float) -> None:
    rng = mutating.seeded("queries")
    for _ in range(mutating.many(scale, 0.15)):
        path, asked = rng.choice(LISTS), query(rng)
        ended(path, client.generic("GET", path, QUERY_STRING=asked), asked)


def test_odd_addresses_are_answered(client: Client, scale: float) -> None:
    rng = mutating.seeded("addresses")
    for _ in range(mutating.many(scale, 0.1)):
        route = rng.choice(ROUTES)
        odd = quote(text(rng)[:300], safe="", errors="surrogatepass")
        path = route.path.replace("0" * 20, odd or "x", 1).replace("/7/", f"/{'9' * rng.randrange(1, 40)}/")
        ended(path, client.get(path), None)


@pytest.mark.parametrize("name", ["sessionid", "csrftoken", "builder_link", "messages"])
def test_odd_cookies_are_answered(name: str, scale: float) -> None:
    rng = mutating.seeded(f"cookies {name}")
    for _ in range(int(100 * scale)):
        value = rng.choice(
            ('"a\\000b"', "a" * 4000, '"', "\\", "é", text(rng).replace("\n", "").replace("\r", ""))
        )
        for path in ("/account/login/", "/", f"/quotes/your/{'0' * 20}/", "/api/v1/preview"):
            header = f"{name}={value}".encode("utf-8", "replace").decode("latin-1")
            ended(path, Client(raise_request_exception=False).get(path, HTTP_COOKIE=header), header)


def unsafe() -> list[Route]:
    """Routes that read a body; deciding ones are left out, so that the demo stays as it is."""
    return [route for route in ROUTES if route.act is not None and route.act.object != PUBLIC]


def body(rng: Random, plans: list[Any]) -> Any:
    kind = rng.randrange(6)
    if kind == 0:
        return mutating.value(rng)
    if kind == 1:
        return mutating.bent(rng.choice(plans), rng, 3)
    fields = rng.sample(BODY_FIELDS, rng.randrange(1, len(BODY_FIELDS)))
    found = {name: rng.choice(GOOD) if rng.random() < 0.5 else mutating.value(rng) for name in fields}
    if kind == 2:
        found["document"] = mutating.bent(rng.choice(plans), rng, 3)
    if kind == 3:
        found["site"] = {name: rng.choice(GOOD) for name in BODY_FIELDS[3:10]} | {"city": mutating.value(rng)}
    return found


def test_odd_bodies_of_operations_are_answered(client: Client, scale: float) -> None:
    rng = mutating.seeded("bodies")
    plans = mutating.plans()
    targets = [
        (method, address)
        for route in unsafe() if route.is_api
        for method in ("post", "put", "patch", "delete") if hasattr(route.view.cls, method)
        for address in addresses(route)
    ]  # fmt: skip
    statuses: dict[int, int] = {}
    for _ in range(mutating.many(scale, 0.25)):
        method, address = rng.choice(targets)
        data = mutating.encoded(body(rng, plans))
        if rng.random() < 0.15:
            data = mutating.broken_bytes(data, rng)
        key = {"Idempotency-Key": text(rng).replace("\r", "").replace("\n", "")} if rng.random() < 0.7 else {}
        kind = rng.choice(
            ("application/json",) * 9 + ("text/xml", "", "multipart/form-data", "application/json; x")
        )
        method = method if rng.random() < 0.95 else rng.choice(("put", "delete", "options"))
        answer = client.generic(method.upper(), address, data, content_type=kind, headers=key)
        ended(f"{method} {address}", answer, (data, key, kind))
        statuses[answer.status_code] = statuses.get(answer.status_code, 0) + 1
        if answer.status_code >= 400:
            assert answer["Content-Type"].startswith("application/problem+json"), (
                address,
                answer.status_code,
            )
            assert json.loads(answer.content)["status"] == answer.status_code
    assert statuses.get(422, 0) > 0


def test_odd_forms_are_answered(client: Client, scale: float) -> None:
    rng = mutating.seeded("forms")
    plans = mutating.plans()
    targets = [address for route in unsafe() if not route.is_api for address in addresses(route)]
    statuses: dict[int, int] = {}
    for _ in range(mutating.many(scale, 0.1)):
        address = rng.choice(targets)
        names = rng.sample(BODY_FIELDS, rng.randrange(1, len(BODY_FIELDS)))
        fields = {name: str(rng.choice(GOOD)) if rng.random() < 0.6 else text(rng) for name in names}
        if rng.random() < 0.3:
            fields["document_text"] = json.dumps(mutating.bent(rng.choice(plans), rng, 2))
            fields["intent"] = "document"
        data = urlencode(fields, errors="surrogatepass")
        answer = client.generic("POST", address, data, content_type="application/x-www-form-urlencoded")
        ended(address, answer, data)
        statuses[answer.status_code] = statuses.get(answer.status_code, 0) + 1
    assert statuses.get(422, 0) + statuses.get(302, 0) > 0
