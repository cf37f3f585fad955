"""Receipt on site: each act counts once; ticks, reports, the signature, and what is refused (R48)."""

from __future__ import annotations

from datetime import datetime, timedelta
from threading import Barrier, Thread
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection, connections

from framing.common.actors import by_link
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Clash, NotAllowed, NotThere, Refused
from framing.common.links import link_make
from framing.common.models import LinkPurpose, Role
from orders.claim_words import thing_for_builder
from orders.models import Bundle, Claim, Order, ReceiptAction, ReceiptLine
from orders.site_reads import open_things, receipt_states, thing_on
from tests.factories import orders, people
from tests.factories.site import act, builder, things

pytestmark = pytest.mark.django_db
AT = orders.AT


def states() -> list[str]:
    return sorted(ReceiptLine.objects.values_list("state", flat=True))


def test_a_tick_counts_once_however_often_it_is_sent() -> None:
    delivery = orders.loaded()
    rae, thing, number = builder(delivery), things(delivery)[0], uuid4()
    first = act(rae, delivery, "tick", thing, number, tapped_at=AT - timedelta(days=400))
    assert (first.changed, first.link, first.by) == (True, rae.link, None)
    assert act(rae, delivery, "tick", thing, number) == first
    again = act(rae, delivery, "tick", thing)
    assert again.changed is False
    assert ReceiptAction.objects.count() == 2
    assert states() == ["received"]
    assert [entry.verb for entry in audit_list(delivery)].count("receipt_tick") == 1


def test_a_number_stands_for_one_act_alone() -> None:
    delivery = orders.loaded()
    rae, (one, two, *_), number = builder(delivery), things(delivery), uuid4()
    act(rae, delivery, "tick", one, number)
    for actor, verb, thing in (
        (rae, "tick", two),
        (rae, "untick", one),
        (builder(delivery, "Bo"), "tick", one),
    ):
        with pytest.raises(Refused, match="number of something else"):
            act(actor, delivery, verb, thing, number)


def test_what_waited_on_the_phone_goes_out_by_the_same_persons_next_link() -> None:
    """The answer to the first try was lost, the link ended, and the office made him another one."""
    delivery = orders.loaded()
    thing, number = things(delivery)[0], uuid4()
    first = act(builder(delivery), delivery, "tick", thing, number)
    again = builder(delivery)
    assert again.link != first.link
    assert act(again, delivery, "tick", thing, number) == first
    assert ReceiptAction.objects.count() == 1


def test_a_tick_is_taken_back_but_a_report_stays() -> None:
    delivery = orders.loaded()
    rae, thing = builder(delivery), things(delivery)[0]
    assert act(rae, delivery, "untick", thing).changed is False
    act(rae, delivery, "tick", thing)
    assert act(rae, delivery, "untick", thing).changed is True
    assert states() == ["open"]
    act(rae, delivery, "damaged", thing, words="Bent at one end")
    assert act(rae, delivery, "tick", thing).changed is False
    assert states() == ["damaged"]
    with pytest.raises(Clash, match="can't be taken back here"):
        act(rae, delivery, "untick", thing)
    act(rae, delivery, "short", thing)
    assert receipt_states(delivery) == {thing.code: "short"}


def test_a_carton_goes_by_the_name_on_its_label() -> None:
    delivery = orders.loaded()
    rae, carton = builder(delivery), delivery.order.cartons.select_related("load").get(number=1)
    assert "carton C1" in open_things(delivery)
    act(rae, delivery, "short", carton)
    assert thing_for_builder(Claim.objects.get()) == "carton C1"


def test_a_report_opens_a_claim_with_its_pieces() -> None:
    delivery = orders.loaded()
    rae = builder(delivery)
    bundle = delivery.order.bundles.select_related("load").first()
    assert bundle is not None
    mark = bundle.pieces.all()[0].mark
    action = act(rae, delivery, "short", bundle, marks={mark: 1}, words="One is missing")
    claim = Claim.objects.get()
    assert (claim.kind, claim.words, claim.link, claim.reported) == (
        "short",
        "One is missing",
        rae.link,
        action,
    )
    assert [piece.mark for piece in claim.pieces.all()] == [mark]
    with pytest.raises(Refused, match=f"of {mark}; 999 can't be reported"):
        act(rae, delivery, "short", bundle, marks={mark: 999})
    assert ReceiptAction.objects.count() == 1, "what is refused leaves no row"


def test_the_signature_waits_for_every_thing_and_ends_the_receipt() -> None:
    delivery = orders.loaded()
    rae, all_ = builder(delivery), things(delivery)
    for thing in all_[1:]:
        act(rae, delivery, "tick", thing)
    first = all_[0]
    assert isinstance(first, Bundle)
    with pytest.raises(Clash, match=f"1 not ticked yet: bundle {first.number}"):
        act(rae, delivery, "sign", name="Rae Winter")
    act(rae, delivery, "short", first)
    assert open_things(delivery) == []
    number = uuid4()
    signed = act(rae, delivery, "sign", id_=number, name=" Rae Winter ")
    delivery.refresh_from_db()
    assert (delivery.received_by, delivery.delivered_at) == ("Rae Winter", AT)
    assert Order.objects.get(pk=delivery.order_id).stage == "delivered"
    assert act(rae, delivery, "sign", id_=number, name="Rae Winter") == signed, "sent again it counts once"
    for verb, one, name in (("tick", first, ""), ("untick", first, ""), ("sign", None, "Bo")):
        with pytest.raises(Clash, match=r"signed for by Rae Winter"):
            act(rae, delivery, verb, one, name=name)


def test_what_another_delivery_holds_is_refused_without_a_hint() -> None:
    delivery, other = orders.loaded(), orders.loaded()
    rae = builder(delivery)
    strange = things(other)[0]
    with pytest.raises(Refused) as by_thing:
        act(rae, delivery, "tick", strange)
    with pytest.raises(Refused) as by_code:
        thing_on(delivery, strange.code)
    with pytest.raises(Refused) as by_nothing:
        thing_on(delivery, "0" * 12)
    assert by_thing.value.message == by_code.value.message == by_nothing.value.message
    assert other.number not in by_code.value.message
    assert other.order.number not in by_code.value.message
    own = things(delivery)[0]
    assert thing_on(delivery, f"HTTPS://OWN.EXAMPLE/T/{own.code}/") == own


def test_nothing_is_received_that_has_not_left() -> None:
    delivery = orders.planned()
    rae, thing = builder(delivery), things(delivery)[0]
    for verb, one, name in (("tick", thing, ""), ("short", thing, ""), ("sign", None, "Rae")):
        with pytest.raises(Clash, match="left the yard"):
            act(rae, delivery, verb, one, name=name)
    load = thing.load
    assert load is not None
    load.loaded_at = AT
    load.save(update_fields=["loaded_at"])
    assert act(rae, delivery, "tick", thing).changed is True, "its own truck has left"


@pytest.mark.parametrize(
    ("verb", "with_thing", "more", "words"),
    [
        ("dance", True, {}, "nothing else to do here"),
        ("tick", False, {}, "Name the bundle"),
        ("sign", True, {"name": "Rae"}, "whole delivery"),
        ("sign", False, {"name": "  "}, "Write the name"),
        ("tick", True, {"marks": {"J1": 1}}, "Marks go with"),
        ("short", True, {"marks": {"J1": 0}}, "1 or more"),
        ("short", True, {"marks": {str(n): 1 for n in range(61)}}, "At most 60 marks"),
        ("short", True, {"words": "x" * 401}, "At most 400"),
        ("sign", False, {"name": "x" * 161}, "At most 160"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(
    verb: str, with_thing: bool, more: dict[str, Any], words: str
) -> None:
    delivery = orders.loaded()
    thing = things(delivery)[0] if with_thing else None
    with pytest.raises(Refused, match=words):
        act(builder(delivery), delivery, verb, thing, **more)
    assert not ReceiptAction.objects.exists()


@pytest.mark.parametrize("role", Role.values)
def test_of_staff_the_dispatcher_alone_receives(role: str) -> None:
    delivery = orders.loaded()
    actor = people.actor(Role(role))
    if role == Role.DISPATCHER:
        assert act(actor, delivery, "tick", things(delivery)[0]).by == actor.user
        return
    with pytest.raises(NotAllowed):
        act(actor, delivery, "tick", things(delivery)[0])


def test_other_links_receive_nothing() -> None:
    delivery = orders.loaded()
    link, _ = link_make(
        actor=people.actor(Role.DISPATCHER), purpose=LinkPurpose.ORDER, subject=delivery.order, for_name="Bo",
        expires_at=database_now() + timedelta(days=9), at=AT,
    )  # fmt: skip
    with pytest.raises(NotThere):
        act(by_link(link), delivery, "tick", things(delivery)[0])


@pytest.mark.django_db(transaction=True)
def test_one_act_sent_eight_times_at_once_counts_once() -> None:
    delivery = orders.loaded()
    rae, thing, number = builder(delivery), things(delivery)[0], uuid4()
    gate = Barrier(8)
    found: list[int | str] = []

    def send(at: datetime) -> None:
        gate.wait()
        try:
            found.append(act(rae, delivery, "tick", thing, number).pk)
        except ApplicationError as error:
            found.append(str(error))
        finally:
            connection.close()

    threads = [Thread(target=send, args=(AT,)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    connections.close_all()
    assert len(set(found)) == 1
    assert ReceiptAction.objects.count() == ReceiptLine.objects.count() == 1
