"""What stands after the driver's proof and after the signature: who may still say what, and until when (R48, R49)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.common.actors import Actor
from framing.common.audit import audit_list
from framing.common.errors import ApplicationError, Clash, Refused
from framing.common.models import Role
from orders import services
from orders.models import Bundle, Claim, Delivery, Order, ReceiptAction, ReceiptLine, TruckLoad
from orders.services.photos import photo_take
from orders.services.receipts import SiteAct, receipt_act
from orders.site_reads import receipt_states
from orders.site_terms import site_terms
from tests.factories import loads, orders, people, pictures
from tests.factories.site import act, builder, things

pytestmark = pytest.mark.django_db
AT = orders.AT


@pytest.fixture(autouse=True)
def _folder(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path


def proved(name: str = "Rae Winter") -> Delivery:
    """A delivery that the driver left on site before anybody ticked."""
    delivery = on_the_road()
    for load in TruckLoad.objects.filter(delivery=delivery).select_related("delivery"):
        unload(load, name)
    return fresh(delivery)


def on_the_road() -> Delivery:
    delivery = orders.planned()
    loads.taken([delivery])
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    return fresh(delivery)


def unload(load: TruckLoad, name: str = "Rae Winter") -> None:
    dispatcher = people.actor(Role.DISPATCHER)
    services.stop_unload(actor=dispatcher, at=AT, load=load, handed_to=name)


def fresh(delivery: Delivery) -> Delivery:
    return Delivery.objects.select_related("order").get(pk=delivery.pk)


def later(
    actor: Actor, delivery: Delivery, at: datetime, verb: str, thing: Any = None, **more: Any
) -> ReceiptAction:
    return receipt_act(actor=actor, at=at, delivery=delivery, act=SiteAct(uuid4(), verb, thing, **more))


def closed(delivery: Delivery) -> Delivery:
    services.order_close(actor=people.actor(Role.DISPATCHER), at=AT, order=delivery.order)
    return fresh(delivery)


def test_after_the_drivers_proof_the_builder_ticks_reports_and_signs_by_himself() -> None:
    delivery = proved("Gate keeper")
    assert (delivery.state, delivery.received_by, delivery.order.stage) == (
        "delivered",
        "Gate keeper",
        "delivered",
    )
    rae, (first, *rest) = builder(delivery), things(delivery)
    act(rae, delivery, "damaged", first, words="Bent under the strap")
    assert Claim.objects.get().words == "Bent under the strap"
    for thing in rest:
        act(rae, delivery, "tick", thing)
    signed = act(rae, delivery, "sign", name="Rae Winter")
    delivery = fresh(delivery)
    assert (signed.name, delivery.received_by, delivery.delivered_at) == ("Rae Winter", "Gate keeper", AT)
    verbs = [entry.verb for entry in audit_list(delivery)]
    assert [verbs.count(verb) for verb in ("delivery_deliver", "receipt_sign")] == [1, 1]
    terms = site_terms(delivery, AT)
    assert (terms.by_driver, terms.signed_by, terms.ticks, terms.reports) == (True, "Rae Winter", False, True)


def test_the_signature_after_a_proof_waits_for_every_thing_as_ever() -> None:
    delivery = proved()
    with pytest.raises(Clash, match="not ticked yet"):
        act(builder(delivery), delivery, "sign", name="Rae Winter")


def test_what_is_found_when_a_bundle_is_opened_is_reported_after_the_signature() -> None:
    delivery = orders.loaded()
    rae, all_ = builder(delivery), things(delivery)
    for thing in all_:
        act(rae, delivery, "tick", thing)
    act(rae, delivery, "sign", name="Rae Winter")
    bundle = next(thing for thing in all_ if isinstance(thing, Bundle))
    mark = bundle.pieces.all()[0].mark
    action = act(rae, delivery, "short", bundle, marks={mark: 1}, words="Found when opened")
    assert receipt_states(delivery)[bundle.code] == "short"
    claim = Claim.objects.get(reported=action)
    assert [piece.mark for piece in claim.pieces.all()] == [mark]
    with pytest.raises(Clash, match=claim.number):
        closed(delivery)
    photo = photo_take(
        actor=rae, at=AT, delivery=delivery, photo_id=uuid4(), file=("a.jpg", pictures.photo()),
        action_id=action.action_id,
    )  # fmt: skip
    assert photo.action_id == action.action_id


def test_reports_end_with_the_last_day_at_the_site_and_staff_may_still_note_them(settings: Any) -> None:
    settings.SPANYARD_REPORT_DAYS = 3
    delivery = proved()
    site = delivery.order.revision.quote.project.site
    site.time_zone = "America/Denver"
    site.save(update_fields=["time_zone"])
    Delivery.objects.filter(pk=delivery.pk).update(delivered_at=datetime(2026, 10, 30, 3, 0, tzinfo=UTC))
    delivery = fresh(delivery)
    terms = site_terms(delivery, AT)
    assert terms.last_day == date(2026, 11, 1), "received on the evening of October 29 there"
    rae, (one, two, *_) = builder(delivery), things(delivery)
    last = datetime(
        2026, 11, 2, 6, 59, 59, tzinfo=UTC
    )  # a second to midnight there, after the clocks went back
    later(rae, delivery, last, "damaged", one, words="In time")
    with pytest.raises(Clash) as late:
        later(rae, delivery, last + timedelta(seconds=1), "damaged", two, words="Too late")
    owner = delivery.order.owner.name
    assert all(words in late.value.message for words in (owner, "555-0100", "Nov. 1, 2026"))
    later(rae, delivery, last + timedelta(days=9), "tick", two)
    assert Claim.objects.get().words == "In time"
    later(people.actor(Role.DISPATCHER), delivery, last + timedelta(days=9), "damaged", two, words="Called")
    assert Claim.objects.count() == 2


def test_no_photo_by_itself_after_the_days(settings: Any) -> None:
    settings.SPANYARD_REPORT_DAYS = 0
    delivery = proved()
    with pytest.raises(Clash, match="was to be reported by"):
        photo_take(
            actor=builder(delivery), at=AT + timedelta(days=2), delivery=delivery, photo_id=uuid4(),
            file=("a.jpg", pictures.photo()),
        )  # fmt: skip


@pytest.mark.parametrize("verb", ["tick", "untick", "short", "sign"])
def test_a_closed_order_takes_nothing_more_and_says_whom_to_call(verb: str) -> None:
    delivery = closed(proved())
    thing = None if verb == "sign" else things(delivery)[0]
    with pytest.raises(Clash) as refused:
        act(builder(delivery), delivery, verb, thing, name="Rae Winter" if verb == "sign" else "")
    owner = delivery.order.owner.name
    assert all(words in refused.value.message for words in ("is closed", owner, "555-0100"))
    assert not ReceiptAction.objects.exists()


def test_the_receipt_noted_by_staff_leaves_the_signature_to_the_builder() -> None:
    delivery = orders.loaded()
    services.delivery_deliver(
        actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery, received_by="Gate keeper"
    )
    delivery = fresh(delivery)
    rae = builder(delivery)
    for thing in things(delivery):
        act(rae, delivery, "tick", thing)
    act(rae, delivery, "sign", name="Rae Winter")
    terms = site_terms(fresh(delivery), AT)
    assert (terms.by_driver, terms.received_by, terms.signed_by) == (False, "Gate keeper", "Rae Winter")


def test_the_database_keeps_one_signature_of_a_delivery() -> None:
    delivery = proved()
    rae = builder(delivery)
    rows = [
        ReceiptAction(
            action_id=uuid4(), verb="sign", delivery=delivery, name="Rae", link=rae.link, at=AT, changed=True
        )
        for _ in range(2)
    ]
    with pytest.raises(IntegrityError, match="receipt_signed_once"), transaction.atomic():
        ReceiptAction.objects.bulk_create(rows)


# --- whatever comes in whatever order, each act counts once ---

STEPS = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(["tick", "untick", "short", "damaged", "wrong"]), st.integers(0, 20)),
        st.tuples(st.sampled_from(["sign", "proof", "again", "close"]), st.integers(0, 20)),
    ),
    min_size=1,
    max_size=25,
)


def refused(step: Callable[[], object]) -> ApplicationError | None:
    """Why a step was not taken, in words; None where it was."""
    try:
        step()
    except (Clash, Refused) as error:
        return error
    return None


class Site:
    """What was sent, and what must have come of it."""

    def __init__(self) -> None:
        self.delivery = on_the_road()
        self.builder = builder(self.delivery)
        self.things = things(self.delivery)
        self.sent: list[tuple[UUID, str, Any]] = []
        self.counted: list[UUID] = []
        self.told: dict[UUID, str] = {}

    def send(self, number: UUID, verb: str, thing: Any) -> None:
        name = "Rae Winter" if verb == "sign" else ""
        refusal = refused(lambda: act(self.builder, self.delivery, verb, thing, number, name=name))
        if number in self.counted:
            assert refusal is None, f"what was counted is answered as before, not: {refusal}"
        elif refusal is None:
            self.counted.append(number)

    def step(self, what: str, which: int) -> None:
        if what == "again":
            if self.sent:
                self.send(*self.sent[which % len(self.sent)])
        elif what in ("proof", "close"):
            refused(self.proof if what == "proof" else self.close)
        else:
            thing = None if what == "sign" else self.things[which % len(self.things)]
            self.sent.append((uuid4(), what, thing))
            self.send(*self.sent[-1])

    def proof(self) -> None:
        for load in TruckLoad.objects.filter(delivery=self.delivery).select_related("delivery"):
            unload(load)

    def close(self) -> None:
        services.order_close(
            actor=people.actor(Role.DISPATCHER), at=AT, order=Order.objects.get(pk=self.delivery.order_id)
        )

    def check(self) -> None:
        acts = list(ReceiptAction.objects.order_by("id"))
        assert [row.action_id for row in acts] == self.counted
        verbs = [row.verb for row in acts]
        assert verbs.count("sign") <= 1
        if "sign" in verbs:
            after = verbs[verbs.index("sign") + 1 :]
            assert not {"tick", "untick"} & set(after)
        audited = [entry.verb for entry in audit_list(self.delivery)]
        assert audited.count("delivery_deliver") == (fresh(self.delivery).delivered_at is not None)
        changed = [f"receipt_{row.verb}" for row in acts if row.changed]
        assert sorted(changed) == sorted(verb for verb in audited if verb.startswith("receipt_"))
        reported = {(row.bundle_id, row.carton_id, row.verb) for row in acts if row.verb in REPORTED}
        claims = {(row.bundle_id, row.carton_id, row.kind) for row in Claim.objects.all()}
        assert claims == reported
        if claims:
            assert Order.objects.get(pk=self.delivery.order_id).stage != "closed"
        assert ReceiptLine.objects.count() == len(
            {(row.bundle_id, row.carton_id) for row in acts if row.verb != "sign"}
        )


REPORTED = ("short", "damaged", "wrong")


@given(steps=STEPS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_in_whatever_order_proof_signature_reports_and_closing_come_each_act_counts_once(
    steps: list[tuple[str, int]],
) -> None:
    with transaction.atomic():
        site = Site()
        for what, which in steps:
            site.step(what, which)
        site.check()
        transaction.set_rollback(True)
