"""The price beside the drawing: what a quote of that floor alone would say for its goods, or why there is none."""

from __future__ import annotations

import json
from typing import Any

import pytest

from framing.common.actors import person
from framing.common.models import Role
from framing.projects.models import Project
from quotes import services
from tests.factories import people, projects, quotes
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def price(home: Project, document: dict[str, Any], role: str = Role.SELLER) -> Any:
    address = f"/projects/{home.public_id}/draw/answer/"
    body = json.dumps({"sequence": 1, "document": document})
    return client_of(role).post(address, body, content_type="application/json").json()["price"]


@pytest.mark.parametrize(
    ("repeat", "words"), [(1, "goods of this floor"), (3, "goods of the 3 equal floors")]
)
def test_the_price_is_what_a_quote_would_say(repeat: int, words: str) -> None:
    book = quotes.price_book()
    owner = people.user(Role.SELLER)
    home = projects.project(owner, of=projects.builder(owner, tier="volume"))
    floor = projects.floor(home, repeat=repeat)
    told = price(home, floor.versions.get().document)
    revision = services.quote_create(actor=person(owner), project=home, at=quotes.AT)
    assert told["total"] == f"{revision.goods:,.2f}"
    assert revision.goods > 0
    assert told["words"] == f"USD, {words} by {book.name} {book.version}, before freight and sales tax"


def test_without_a_price_the_reason_is_told() -> None:
    home = projects.project()
    none = price(home, projects.document())
    assert none == {"total": "", "words": "No price book is in force. Import one before quoting."}
    quotes.price_book(taxes={})
    lacking = price(home, projects.document())
    assert lacking["total"] == ""
    assert lacking["words"].startswith("The price book lacks what this floor needs: ")


def test_no_price_for_those_who_see_no_price_book_or_a_floor_that_is_not_built() -> None:
    quotes.price_book()
    home = projects.project()
    assert price(home, projects.document(), Role.PLANNER) is None
    assert price(home, projects.document(profile="9999S999-99")) is None
