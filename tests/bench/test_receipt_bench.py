"""A hundred builders at once, each ticking his own delivery twenty times: none lost, none doubled, none waits."""

from __future__ import annotations

import http.client
import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from threading import Barrier
from time import perf_counter
from uuid import uuid4

import pytest
from django.urls import reverse

from orders.models import Delivery, ReceiptAction
from tests.e2e.stack import Nursery, Stack
from tests.factories import orders
from tests.factories.site import browser

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]
BUILDERS = 100
ACTS = 20
TIMES_MOST = 20


@dataclass(frozen=True, slots=True)
class Builder:
    """One telephone: its cookies, its page's token, and what it taps, in order."""

    path: str
    cookies: str
    token: str
    codes: tuple[str, ...]


def builder_of(delivery: Delivery) -> Builder:
    client, link_id = browser(delivery)
    path = reverse("orders:your_delivery", args=[link_id])
    page = client.get(path).content.decode()
    token = page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    cookies = "; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items())
    order = delivery.order
    codes = [thing.values_list("code", flat=True) for thing in (order.bundles.all(), order.cartons.all())]
    return Builder(path, cookies, token, tuple(code for rows in codes for code in rows))


def tick(port: int, builder: Builder, place: int) -> tuple[float, list[str]]:
    """One batch of one act: how long it took, and what came of it."""
    turn, thing = divmod(place, len(builder.codes))
    act = {"id": str(uuid4()), "verb": "untick" if turn % 2 else "tick", "code": builder.codes[thing]}
    headers = {"Cookie": builder.cookies, "X-CSRFToken": builder.token, "Content-Type": "application/json"}
    begin = perf_counter()
    status, body = asked(port, "POST", f"{builder.path}acts/", json.dumps({"acts": [act]}), headers)
    taken = perf_counter() - begin
    assert status == 200, body[:300]
    return taken, [one["outcome"] for one in json.loads(body)["answers"]]


def asked(
    port: int, method: str, path: str, body: str | None = None, headers: dict[str, str] | None = None
) -> tuple[int, bytes]:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
    try:
        line.request(method, path, body, headers or {})
        answer = line.getresponse()
        return answer.status, answer.read()
    finally:
        line.close()


def all_at_once(one: Callable[[int], list[float]]) -> list[float]:
    """What each of the builders does, all begun in one moment; the times of all."""
    gate = Barrier(BUILDERS)

    def begin(place: int) -> list[float]:
        gate.wait()
        return one(place)

    with ThreadPoolExecutor(BUILDERS) as pool:
        return [taken for times in pool.map(begin, range(BUILDERS)) for taken in times]


def p95(times: list[float]) -> float:
    return sorted(times)[int(len(times) * 0.95)]


def test_a_hundred_builders_tick_at_once(tmp_path: Path) -> None:
    builders = [builder_of(orders.loaded()) for _ in range(BUILDERS)]
    nursery = Nursery(tmp_path / "stack")
    stack = Stack(nursery)
    stack.start("web")
    try:
        outcomes: list[str] = []

        def ticks(place: int) -> list[float]:
            done = [tick(nursery.port, builders[place], number) for number in range(ACTS)]
            outcomes.extend(outcome for _, said in done for outcome in said)
            return [taken for taken, _ in done]

        def looks(place: int) -> list[float]:
            del place
            times = []
            for _ in range(ACTS):
                begin = perf_counter()
                assert asked(nursery.port, "GET", "/health/ready")[0] == 200
                times.append(perf_counter() - begin)
            return times

        all_at_once(looks)  # connections and imports are there
        bare, acts = p95(all_at_once(looks)), p95(all_at_once(ticks))
    finally:
        stack.kill_all()
        nursery.close()
    assert outcomes.count("done") == BUILDERS * ACTS
    assert ReceiptAction.objects.count() == BUILDERS * ACTS
    assert acts <= TIMES_MOST * bare, f"acts {acts * 1000:.0f} ms, bare view {bare * 1000:.0f} ms"
