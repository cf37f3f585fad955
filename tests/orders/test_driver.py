"""The driver's page of a trip: his link, arrived, unloaded with who took it, and the receipt that follows (R48)."""

from __future__ import annotations

import json
from threading import Barrier, Thread
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connections
from django.test import Client
from django.urls import reverse

from framing.common.actors import Actor, by_link
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import Role
from orders import services
from orders.driver_reads import delivery_proofs
from orders.models import Delivery, SitePhoto, Trip, TruckLoad
from tests.factories import loads, orders, people, pictures, site

pytestmark = pytest.mark.django_db
AT = orders.AT


def on_the_road() -> tuple[Trip, TruckLoad]:
    """A trip with one stop that is loaded."""
    delivery = orders.planned()
    trip = loads.taken([delivery])[0]
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    return trip, TruckLoad.objects.select_related("delivery").get(trip=trip)


def driver(trip: Trip, name: str = "Dee Rowan") -> Actor:
    link, _ = services.trip_link_make(
        actor=people.actor(Role.DISPATCHER), at=database_now(), trip=trip, for_name=name
    )
    return by_link(link)


def phone(trip: Trip) -> tuple[Client, str]:
    """A browser that came by the driver's link, and the link's id."""
    link, address = services.trip_link_make(
        actor=people.actor(Role.DISPATCHER), at=database_now(), trip=trip, for_name="Dee Rowan"
    )
    client = Client()
    client.get(reverse("common:link_door", args=[address.rstrip("/").rsplit("/", 1)[-1]]))
    return client, link.public_id


def send(client: Client, link_id: str, *acts: dict[str, Any]) -> dict[str, Any]:
    body = json.dumps({"acts": list(acts)})
    answer = client.post(reverse("orders:driver_acts", args=[link_id]), body, "application/json")
    assert answer.status_code == 200, answer.content
    told: dict[str, Any] = answer.json()
    return told


def fresh(load: TruckLoad) -> TruckLoad:
    return TruckLoad.objects.select_related("delivery__order").get(pk=load.pk)


def test_the_last_stop_unloaded_is_the_receipt() -> None:
    trip, load = on_the_road()
    dee, proof = driver(trip), uuid4()
    services.stop_arrive(actor=dee, at=AT, load=load)
    services.stop_arrive(actor=dee, at=AT, load=load)
    for _ in range(2):
        done = services.stop_unload(
            actor=dee, at=AT, load=load, handed_to="Rae Winter", words="By the gate", proof_id=proof
        )
    assert (done.handed_to, done.driver_words, done.proof_id) == ("Rae Winter", "By the gate", proof)
    delivery = fresh(load).delivery
    assert (delivery.state, delivery.received_by, delivery.order.stage) == (
        "delivered",
        "Rae Winter",
        "delivered",
    )
    verbs = [entry.verb for entry in audit_list(delivery)]
    assert [verbs.count(verb) for verb in ("stop_arrive", "stop_unload", "delivery_deliver")] == [1, 1, 1]
    with pytest.raises(Clash, match="Rae Winter took it"):
        services.stop_unload(actor=dee, at=AT, load=load, handed_to="Bo Lund")
    assert [one.load for one in delivery_proofs(delivery)] == [load]


def test_where_the_builder_ticks_his_signature_ends_the_receipt() -> None:
    trip, load = on_the_road()
    delivery = load.delivery
    site.act(site.builder(delivery), delivery, "tick", site.things(delivery)[0])
    services.stop_unload(actor=driver(trip), at=AT, load=load, handed_to="Rae Winter")
    after = fresh(load)
    assert after.unloaded_at == AT
    assert after.delivery.state == "loaded"


def test_what_makes_no_sense_is_refused() -> None:
    delivery = orders.planned()
    trip = loads.taken([delivery])[0]
    load = TruckLoad.objects.select_related("delivery").get(trip=trip)
    dee = driver(trip)
    with pytest.raises(Clash, match="not noted yet"):
        services.stop_arrive(actor=dee, at=AT, load=load)
    with pytest.raises(Clash, match="not noted yet"):
        services.stop_unload(actor=dee, at=AT, load=load, handed_to="Rae")
    with pytest.raises(Refused) as refused:
        services.stop_unload(actor=dee, at=AT, load=load, handed_to="  ")
    assert refused.value.field == "name"


def test_a_link_acts_on_the_stops_of_its_own_trip_only() -> None:
    trip, load = on_the_road()
    stranger = site.builder(load.delivery)
    for actor in (stranger, Actor("link", "nobody")):
        with pytest.raises(NotThere):
            services.stop_unload(actor=actor, at=AT, load=load, handed_to="Rae")
    dee = driver(trip)
    TruckLoad.objects.filter(pk=load.pk).update(trip=None)
    with pytest.raises(NotThere):
        services.stop_arrive(actor=dee, at=AT, load=load)


@pytest.mark.parametrize("role", [Role.SELLER, Role.MANAGER, Role.PLANNER, Role.SHOP, Role.ADMINISTRATOR])
def test_only_dispatchers_tell_it_for_the_driver(role: Role) -> None:
    _trip, load = on_the_road()
    actor = people.actor(role)
    with pytest.raises(NotAllowed):
        services.stop_unload(actor=actor, at=AT, load=load, handed_to="Rae")
    with pytest.raises(NotAllowed):
        services.stop_arrive(actor=actor, at=AT, load=load)


def test_a_phone_sends_it_as_often_as_it_likes() -> None:
    trip, load = on_the_road()
    client, link_id = phone(trip)
    acts = [
        {"id": str(uuid4()), "verb": "arrive", "code": load.public_id},
        {"id": str(uuid4()), "verb": "unload", "code": load.public_id, "name": "Rae Winter", "words": ""},
    ]
    for _ in range(2):
        told = send(client, link_id, *acts)
        assert [one["outcome"] for one in told["answers"]] == ["done", "done"]
        assert told["states"] == {load.public_id: "unloaded"}
    strange = send(client, link_id, {"id": str(uuid4()), "verb": "arrive", "code": "nowhere"})
    assert strange["answers"][0]["outcome"] == "refused"
    lost = send(client, link_id, {"id": str(uuid4()), "verb": "sell", "code": load.public_id})
    assert "nothing else to do" in lost["answers"][0]["words"]
    photo, number = pictures.photo(), str(uuid4())
    for _ in range(2):
        body = {
            "photo_id": number,
            "action_id": acts[1]["id"],
            "file": SimpleUploadedFile("a.jpg", photo),
        }
        answer = client.post(reverse("orders:driver_photo_take", args=[link_id]), body)
        assert answer.json()["outcome"] == "done", answer.json()
    assert SitePhoto.objects.count() == 1
    assert [len(one.photos) for one in delivery_proofs(load.delivery)] == [1]


def test_without_script_the_forms_do_it_and_keep_what_was_typed() -> None:
    trip, load = on_the_road()
    client, link_id = phone(trip)
    act = reverse("orders:driver_act", args=[link_id])
    page = client.get(reverse("orders:driver_trip", args=[link_id])).content.decode()
    for words in ("geo:0,0?q=", "Bundle 1", "from both ends", "All of it is unloaded"):
        assert words in page
    typed = {"id": str(uuid4()), "verb": "unload", "code": load.public_id, "words": "Left by the gate"}
    refused = client.post(act, typed | {"name": " "})
    assert refused.status_code == 422
    assert "Left by the gate" in refused.content.decode()
    done = client.post(act, typed | {"name": "Rae Winter"}, follow=True)
    assert "Rae Winter took it" in done.content.decode()
    assert "All unloaded" in done.content.decode()


def test_a_withdrawn_link_is_not_there() -> None:
    trip, _load = on_the_road()
    client, link_id = phone(trip)
    page = reverse("orders:driver_trip", args=[link_id])
    assert client.get(page).status_code == 200
    dispatcher = people.actor(Role.DISPATCHER)
    services.trip_link_withdraw(actor=dispatcher, at=database_now(), trip=trip, link_id=link_id)
    names = (
        "driver_trip", "driver_acts", "driver_act", "driver_photo_take", "driver_worker", "driver_language",
    )  # fmt: skip
    for name in names:
        url = reverse(f"orders:{name}", args=[link_id])
        assert 404 in {client.get(url).status_code, client.post(url).status_code}, name


@pytest.mark.parametrize(
    ("code", "words", "refusal"),
    [
        ("en", "All of it is unloaded", "took it"),
        ("fr", "Tout est déchargé", "a pris"),
        ("es", "Todo está descargado", "lo recibió"),
    ],
)
def test_the_driver_reads_his_own_language(code: str, words: str, refusal: str) -> None:
    trip, load = on_the_road()
    client, link_id = phone(trip)
    page = reverse("orders:driver_trip", args=[link_id])
    asked = client.get(page, headers={"accept-language": f"de, {code};q=0.9"})
    assert words in asked.content.decode()
    assert f'<html lang="{code}">' in asked.content.decode()
    other = "es" if code != "es" else "fr"
    chosen = client.post(reverse("orders:driver_language", args=[link_id]), {"language": other})
    assert chosen.status_code == 302
    assert words not in client.get(page, headers={"accept-language": code}).content.decode()
    client.post(reverse("orders:driver_language", args=[link_id]), {"language": code})
    send(client, link_id, {"id": str(uuid4()), "verb": "unload", "code": load.public_id, "name": "Rae"})
    again = send(
        client, link_id, {"id": str(uuid4()), "verb": "unload", "code": load.public_id, "name": "Bo"}
    )
    assert refusal in again["answers"][0]["words"]
    strange = client.post(reverse("orders:driver_language", args=[link_id]), {"language": "xx"})
    assert strange.status_code == 422


def test_what_is_too_heavy_there_is_told_in_his_language_too() -> None:
    trip, load = on_the_road()
    Delivery.objects.filter(pk=load.delivery_id).update(gear="telehandler", gear_limit_lb=10)
    client, link_id = phone(trip)
    page = reverse("orders:driver_trip", args=[link_id])
    english = client.get(page).content.decode()
    assert "lb; the telehandler there lifts 10 lb" in english or "lb each; the telehandler" in english
    for code, words, reach in (
        ("fr", "Plus lourd que ce que l\u2019engin sur place peut lever : paquet 1", "à pleine portée"),
        ("es", "Más pesado de lo que puede levantar el equipo de allí: paquete 1", "a pleno alcance"),
    ):
        text = client.get(page, headers={"accept-language": code}).content.decode()
        assert words in text
        assert reach in text
        assert "telehandler there lifts" not in text


def test_the_trucks_sketch_and_what_stands_out_are_told_in_his_language() -> None:
    """A deck shorter than the boards: they stand out, which is told above the list and on the sketch."""
    delivery = orders.planned()
    loads.taken([delivery], [loads.truck(feet=18)], further=False)
    trip = Trip.objects.get()
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    client, link_id = phone(trip)
    page = reverse("orders:driver_trip", args=[link_id])
    english = client.get(page).content.decode()
    assert english.count("out over the rear end") >= 3, "a warning, and the sketch's own text"
    assert f"Trip {trip.number}: Old Blue" in english
    for code, title, over, lane in (
        ("fr", "Trajet", "dépasse de", "File 1"),
        ("es", "Viaje", "sobresale", "Fila 1"),
    ):
        text = client.get(page, headers={"accept-language": code}).content.decode()
        assert title in text
        assert text.count(over) >= 3
        assert f"{lane}</text>" in text
        for word in ("Lane 1</text>", "Tie-downs", "rear end", "Bundle 1", "Triangles:", "feet and inches"):
            assert word not in text, word


def test_staff_make_the_link_and_tell_what_the_driver_phoned() -> None:
    trip, load = on_the_road()
    client = people.client_of(Role.DISPATCHER)
    page = reverse("orders:trip_driver", args=[trip.public_id])
    assert "The driver told it by phone" in client.get(page).content.decode()
    made = client.post(reverse("orders:trip_link_make", args=[trip.public_id]), {"for_name": "Dee"})
    assert "Copy it now" in made.content.decode()
    ids = [trip.public_id, load.public_id]
    client.post(reverse("orders:stop_arrive", args=ids))
    refused = client.post(reverse("orders:stop_unload", args=ids), {"s1-name": "", "s1-words": "Rain"})
    assert refused.status_code == 422
    assert "Rain" in refused.content.decode()
    client.post(reverse("orders:stop_unload", args=ids), {"s1-name": "Rae Winter"})
    assert fresh(load).delivery.received_by == "Rae Winter"


def test_by_the_api_it_is_the_same() -> None:
    trip, load = on_the_road()
    client = people.client_of(Role.DISPATCHER)
    api = "api:orders_api:"
    rows = client.get(reverse(f"{api}stop_list", args=[trip.public_id])).json()
    assert [(row["id"], row["state"]) for row in rows] == [(load.public_id, "loaded")]
    assert client.post(reverse(f"{api}stop_arrive", args=[load.public_id])).json()["state"] == "arrived"
    unload = reverse(f"{api}stop_unload", args=[load.public_id])
    body = {"name": "Rae Winter", "proof": str(uuid4())}
    for _ in range(2):
        assert client.post(unload, body, "application/json").json()["state"] == "unloaded"
    assert client.post(unload, {"name": "Bo"}, "application/json").status_code == 409
    link = client.post(
        reverse(f"{api}trip_link_make", args=[trip.public_id]), {"for_name": "Dee"}, "application/json"
    )
    assert link.status_code == 201
    gone = reverse(f"{api}trip_link_withdraw", args=[trip.public_id, link.json()["id"]])
    assert client.post(gone).status_code == 204


@pytest.mark.django_db(transaction=True)
def test_twenty_at_once_make_one_receipt() -> None:
    trip, load = on_the_road()
    dee, gate, outcomes = driver(trip), Barrier(20), []

    def unload(number: int) -> None:
        gate.wait()
        try:
            services.stop_unload(actor=dee, at=AT, load=load, handed_to=f"Taker {number % 4}")
            outcomes.append("done")
        except Clash:
            outcomes.append("clash")
        finally:
            connections.close_all()

    threads = [Thread(target=unload, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert outcomes.count("done") == 5, "the same name again is the same proof"
    assert Delivery.objects.get(pk=load.delivery_id).received_by == fresh(load).handed_to
