"""A delivery's page names its trucks, and what comes off when, as the manifest does (R47, R48)."""

from __future__ import annotations

import pytest
from django.urls import reverse

from framing.common.models import Role
from orders.delivery_loads import load_cards
from orders.load_facts import thing_id
from orders.manifest_facts import manifest_of
from orders.models import Bundle
from tests.factories import loads, orders, people

pytestmark = pytest.mark.django_db


def test_things_come_off_in_the_manifests_order() -> None:
    delivery = orders.planned()
    (by_number,) = load_cards(delivery)
    bundles = [one.bundle.number for one in by_number.things if one.bundle]
    assert bundles == sorted(bundles)
    assert [one.carton is None for one in by_number.things] == sorted(
        (one.carton is None for one in by_number.things), reverse=True
    )
    loads.taken([delivery], [loads.truck("Old Blue")])
    (card,) = load_cards(delivery)
    manifest = manifest_of(card.load)
    told = {line.id: line.off for line in (*manifest.bundles, *manifest.cartons)}
    shown = {thing_id(row): one.off for one in card.things if (row := one.bundle or one.carton)}
    assert shown == told
    assert sorted(shown.values()) == list(range(1, len(shown) + 1))
    on_it = {one.bundle.number for one in card.things if one.bundle}
    assert on_it == set(Bundle.objects.filter(delivery=delivery).values_list("number", flat=True))
    ids = [thing_id(row) for one in by_number.things if (row := one.bundle or one.carton)]
    assert sorted(shown, key=shown.__getitem__) != ids  # else this floor would not tell the two orders apart


def test_the_page_names_the_truck_once_there_is_one() -> None:
    delivery = orders.planned()
    client = people.client_of(Role.DISPATCHER)
    address = reverse("orders:delivery_page", args=[delivery.public_id])
    before = client.get(address).content.decode()
    assert "Not on a truck yet" in before
    assert reverse("orders:trucks_day", args=[loads.DAY.isoformat()]) in before
    (trip,) = loads.taken([delivery], [loads.truck("Old Blue")])
    after = client.get(address).content.decode()
    assert "Not on a truck yet" not in after
    assert "Old Blue" in after
    assert reverse("orders:trip_page", args=[trip.public_id]) in after
