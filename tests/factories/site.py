"""A builder on site for tests: his link, the things of his delivery, and acts on them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from django.test import Client
from django.urls import reverse

from framing.common.actors import Actor, by_link
from framing.common.clock import database_now
from framing.common.links import link_make
from framing.common.models import LinkPurpose, Role
from orders import services
from orders.models import Delivery, ReceiptAction
from orders.services.receipts import SiteAct, receipt_act
from orders.site_reads import Thing
from tests.factories import orders, people

AT = orders.AT


def builder(delivery: Delivery, name: str = "Rae Winter") -> Actor:
    link, _ = link_make(
        actor=people.actor(Role.DISPATCHER), purpose=LinkPurpose.DELIVERY, subject=delivery, for_name=name,
        expires_at=database_now() + timedelta(days=9), at=AT,
    )  # fmt: skip
    return by_link(link)


def things(delivery: Delivery) -> list[Thing]:
    order = delivery.order
    return [*order.bundles.select_related("load"), *order.cartons.select_related("load")]


def act(
    actor: Actor,
    delivery: Delivery,
    verb: str,
    thing: Thing | None = None,
    id_: UUID | None = None,
    **more: Any,
) -> ReceiptAction:
    one = SiteAct(id_ or uuid4(), verb, thing, **more)
    return receipt_act(actor=actor, at=AT, delivery=delivery, act=one)


def browser(delivery: Delivery, name: str = "Rae Winter") -> tuple[Client, str]:
    """A browser that came by the delivery's link, and the link's id."""
    link, address = services.delivery_link_make(
        actor=people.actor(Role.DISPATCHER), at=database_now(), delivery=delivery, for_name=name
    )
    client = Client()
    client.get(reverse("common:link_door", args=[address.rstrip("/").rsplit("/", 1)[-1]]))
    return client, link.public_id
