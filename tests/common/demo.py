"""The demo company for tests that walk every route with real objects."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from typing import Any

from django.core.management import call_command
from django.db import transaction
from pytest_django import DjangoDbBlocker

from framing.projects.models import Builder, Floor, Project
from orders.models import Bundle, Delivery, Order
from quotes.models import Quote, QuoteRevision
from tests.common.routes import Route

ID = re.compile(r"0{20}")
MODELS: dict[str, Any] = {
    "builders": Builder, "projects": Project, "floors": Floor, "quotes": Quote, "revisions": QuoteRevision,
    "orders": Order, "bundles": Bundle, "deliveries": Delivery,
}  # fmt: skip


@contextmanager
def demo_company(blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo company, rolled back afterwards; for fixtures of a whole module."""
    with blocker.unblock(), transaction.atomic():
        call_command("seed_demo", force=True, verbosity=0)
        yield
        transaction.set_rollback(True)


def objects_of(route: Route) -> list[Any]:
    """Objects whose pages the route shows, told by the word before the id in its address."""
    words = route.path.strip("/").split("/")
    for word, after in pairwise(words):
        if word in MODELS and ID.fullmatch(after):
            rows = list(MODELS[word].objects.order_by("id"))
            return [rows[0], rows[-1]]
    return []


def addresses(route: Route) -> list[str]:
    if not ID.search(route.path):
        return [route.path]
    return [ID.sub(thing.public_id, route.path, count=1) for thing in objects_of(route)] or [route.path]
