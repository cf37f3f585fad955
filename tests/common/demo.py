"""The demo company for tests that walk every route with real objects."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction
from pytest_django import DjangoDbBlocker

from framing.projects.models import Builder, Floor, PracticeSet, Project
from orders.models import (
    Bundle,
    Claim,
    Delivery,
    InvoiceFile,
    LabelStock,
    Line,
    LinePlan,
    LoadPlan,
    Order,
    Trip,
    TruckLoad,
)
from quotes.models import PriceBook, Quote, QuoteRevision
from tests.common.kept_rows import tell_or_copy
from tests.common.routes import Route

ID = re.compile(r"0{20}")
MODELS: dict[str, Any] = {
    "builders": Builder, "projects": Project, "floors": Floor, "quotes": Quote, "revisions": QuoteRevision,
    "orders": Order, "bundles": Bundle, "floor": Bundle, "deliveries": Delivery, "options": Floor,
    "label-stocks": LabelStock, "lines": Line, "line-plans": LinePlan, "truck-plans": LoadPlan, "trips": Trip,
    "loads": TruckLoad, "claims": Claim, "invoices": InvoiceFile,
    "practice": PracticeSet, "price-book": PriceBook, "versions": PriceBook,
}  # fmt: skip


@contextmanager
def demo_company(blocker: DjangoDbBlocker, folders: pytest.TempPathFactory) -> Iterator[None]:
    """The demo company, rolled back afterwards; for fixtures of a whole module."""
    with blocker.unblock(), transaction.atomic():
        tell_or_copy("demo", folders, lambda: call_command("seed_demo", force=True, verbosity=0))
        yield
        transaction.set_rollback(True)


def ids_of(route: Route) -> list[str]:
    """Public ids of the first and the last object whose page the route shows, told by the word before the id."""
    words = route.path.strip("/").split("/")
    for word, after in pairwise(words):
        if word in MODELS and ID.fullmatch(after):
            rows = MODELS[word].objects.order_by("id").values_list("public_id", flat=True)
            return [rows[0], rows.reverse()[0]] if rows else []  # a company without lines has none to show
    return []


def addresses(route: Route) -> list[str]:
    if not ID.search(route.path):
        return [route.path]
    return [ID.sub(public_id, route.path, count=1) for public_id in ids_of(route)] or [route.path]
