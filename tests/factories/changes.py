"""Change orders at every step for tests, made through the services."""

from __future__ import annotations

from framing.common.actors import SYSTEM, person
from framing.common.models import Role
from framing.projects import services as projects
from framing.projects.models import Floor
from orders import services
from orders.models import ChangeOrder, Order
from quotes import services as quotes_services
from quotes.models import Acceptance, QuoteRevision
from tests.factories import orders, people, quotes
from tests.factories.projects import document

AT = orders.AT


def redraw(order: Order, **fields: object) -> Floor:
    """Save the order's first floor anew, with other measures; a foot less wide if none are given."""
    project = order.revision.quote.project
    floor = project.floors.order_by("pk")[0]
    values: dict[str, object] = {"width": "22'"} | fields
    return projects.floor_save(
        actor=person(project.owner),
        at=AT,
        floor=floor,
        document=document(name=floor.name, **values),
        base_version=floor.version,
    )


def asked(order: Order, **fields: object) -> ChangeOrder:
    """A change of an order from floors that were saved anew."""
    redraw(order, **fields)
    return services.change_ask(actor=person(order.owner), at=AT, order=order, why="The hall is smaller")


def issued(change: ChangeOrder) -> QuoteRevision:
    return quotes_services.revision_issue(
        actor=person(change.order.owner), revision=change.revision, key=quotes.key(), at=AT
    )


def accepted(change: ChangeOrder) -> Acceptance:
    """Issued, and accepted by link."""
    revision = issued(change)
    return quotes_services.quote_accept(
        actor=quotes.builder(revision), revision=revision, name="Rae Winter", key=quotes.key(), at=AT
    )


def applied(change: ChangeOrder) -> ChangeOrder:
    accepted(change)
    return services.change_apply(actor=SYSTEM, at=AT, change=change)


def half_rolled() -> Order:
    """An order with its first bundle finished and its other ones not begun."""
    order = orders.released()
    shop = people.actor(Role.SHOP)
    first = order.bundles.order_by("number")[0]
    services.bundle_start(actor=shop, at=AT, bundle=first)
    services.bundle_finish(actor=shop, at=AT, bundle=first)
    return orders.fresh(order)
