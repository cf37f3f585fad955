"""How long finding takes among 50,000 things, beside a bare page of the same process."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import cycle
from statistics import quantiles
from time import perf_counter

import pytest
from django.db import connection, transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from framing.common.find import find
from framing.common.lists_models import FindEntry
from framing.common.models import Role
from tests.common.find_filling import fill
from tests.factories import people

pytestmark = pytest.mark.bench
ASKED = (
    "Q-2022-0015", "q-20", "15", "marsh", "ma", "oh", "builder", "heronbridge", "heronbrigde", "juniper close",
    "555-0142", "(205) 555-0005", "12 oak lane", "44100", "person77@", "zzzzz", "alder framing", "rae",
)  # fmt: skip
ROUNDS = 6
LIMIT_MS = 100
RATIO_MOST = 60.0  # of a page that asks the database once; an idle core gives about a third of it


@pytest.fixture(scope="module")
def filled(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Client]:
    """5,000 builders, 20,000 projects and 25,000 quotes, rolled back afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        fill(5_000, 20_000, 25_000)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE common_findentry")
            cursor.execute("ANALYZE common_findword")
        assert FindEntry.objects.count() == 50_000
        yield people.client_of(Role.MANAGER)
        transaction.set_rollback(True)


def times_ms(run: Callable[[str], object]) -> list[float]:
    taken = []
    for _ in range(ROUNDS):
        for asked in ASKED:
            start = perf_counter()
            run(asked)
            taken.append((perf_counter() - start) * 1000)
    return taken


def test_finding_among_fifty_thousand(filled: Client, measure: Callable[..., float]) -> None:
    asked = cycle(ASKED)

    def page() -> object:
        return filled.get("/find/", {"q": next(asked)}, headers={"HX-Request": "true"})

    page()
    ratio = measure("find, hits as a part", page, "a bare page", lambda: filled.get("/health/ready"))
    own = quantiles(times_ms(lambda words: find(words, Role.MANAGER)), n=20)
    whole = quantiles(
        times_ms(lambda words: filled.get("/find/", {"q": words}, headers={"HX-Request": "true"})), n=20
    )
    print(f"\nfind among 50,000: median {own[9]:.1f} ms, p95 {own[18]:.1f} ms;", end=" ")  # noqa: T201
    print(f"with its page: median {whole[9]:.1f} ms, p95 {whole[18]:.1f} ms (wanted {LIMIT_MS})")  # noqa: T201
    assert ratio < RATIO_MOST
