"""Price books and quotes for tests, made through the services."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta
from itertools import count
from typing import Any

from framing.common.actors import Actor, by_link, person
from framing.common.links import link_digest
from framing.common.models import AccessLink, Role, User
from framing.projects.models import Project
from quotes import services
from quotes.models import Acceptance, PriceBook, QuoteRevision
from quotes.selectors import demo_price_document
from tests.factories import people, projects
from tests.factories.kept import kept

AT = projects.AT + timedelta(days=1)
_numbers = count(1)


def key() -> str:
    """A new idempotency key."""
    return f"key-{next(_numbers)}"


def price_document(**changes: Any) -> dict[str, Any]:
    """The demo price book with the tax place of the test projects' sites."""
    data = deepcopy(dict(demo_price_document()))
    data["taxes"]["OH"] = {"material": "0.0725", "labour": "0", "freight": "0"}
    return data | changes


@kept
def price_book(**changes: Any) -> PriceBook:
    """A price book in force, with a number of its own; one after the first holds from the day of making it."""
    first = {} if not PriceBook.objects.in_force().exists() else {"valid_from": projects.AT.date()}
    data = price_document(**({"number": next(_numbers)} | first | changes))
    return services.price_book_import(actor=people.actor(Role.MANAGER), data=data, at=projects.AT)


def price_draft(**changes: Any) -> PriceBook:
    """A price book in draft, the next version of its name."""
    actor = people.actor(Role.MANAGER)
    return services.price_book_draft(actor=actor, data=price_document(**changes), at=projects.AT)


@kept
def project(owner: User | None = None) -> Project:
    """A project with one floor of 24 ft by 14 ft."""
    home = projects.project(owner)
    projects.floor(home)
    return home


@kept
def draft(owner: User | None = None, *, of: Project | None = None, **fields: Any) -> QuoteRevision:
    """Revision 1 as a draft; makes a price book where none is in force."""
    home = of or project(owner)
    if not PriceBook.objects.in_force().exists():
        price_book()
    return services.quote_create(actor=person(home.owner), project=home, at=AT, **fields)


@kept
def issued(owner: User | None = None, **fields: Any) -> QuoteRevision:
    revision = draft(owner, **fields)
    return services.revision_issue(actor=person(revision.quote.owner), revision=revision, key=key(), at=AT)


def link(revision: QuoteRevision, name: str = "Rae Winter") -> tuple[AccessLink, str]:
    """A link and its secret."""
    made, address = services.quote_link_make(
        actor=person(revision.quote.owner), revision=revision, for_name=name, at=AT
    )
    secret = address.rstrip("/").rsplit("/", 1)[1]
    assert made.digest == link_digest(secret)
    return made, secret


def builder(revision: QuoteRevision) -> Actor:
    """The builder, come by a new link."""
    return by_link(link(revision)[0])


@kept
def accepted(owner: User | None = None) -> Acceptance:
    revision = issued(owner)
    return services.quote_accept(
        actor=builder(revision), revision=revision, name="Rae Winter", title="Owner", key=key(), at=AT
    )
