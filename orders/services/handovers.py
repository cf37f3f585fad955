"""The driver on his way (R48): his link, arrived, unloaded with the name of who took it.

An act changes nothing where it was done already, so that a phone may send it as often as it likes.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from django.conf import settings
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils.translation import gettext as _

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.links import link_list, link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose
from orders.models import Delivery, ReceiptLine, Trip, TruckLoad
from orders.services.deliveries import delivery_deliver, delivery_locked
from orders.services.delivery_typed import NAME_MOST, NOTES_MOST, read_short, read_words

LINK_DAYS_AFTER_TRIP: Final = 7


def stop_arrive(
    *, actor: Actor, at: datetime, load: TruckLoad, tapped_at: datetime | None = None
) -> TruckLoad:
    """The truck stands at the stop. A second time changes nothing, also after unloading.

    Args:
        tapped_at: the phone's clock, kept for people in the trail.

    Raises Clash where the load has not left the yard, NotThere for a stop of another trip.
    """
    with transaction.atomic():
        delivery, row = _stop_locked(actor, load, "arrive")
        if row.arrived_at is not None:
            return row
        _check_left(row)
        row.arrived_at = at
        row.save(update_fields=["arrived_at"])
        audit_record(actor, "stop_arrive", delivery, at=at, change=_told(row, tapped_at))
    return row


def stop_unload(
    *,
    actor: Actor,
    at: datetime,
    load: TruckLoad,
    handed_to: str,
    words: str = "",
    proof_id: UUID | None = None,
    tapped_at: datetime | None = None,
) -> TruckLoad:
    """All of a load is off and somebody took it; with its last load the delivery is received.

    Where the builder has begun to tick, the receipt stays his: it ends with his signature, and this stands beside it.
    Else he goes on from here: he ticks, reports and signs as `SiteTerms` has it.

    Args:
        proof_id: made on the phone; sent again, the proof that is there already is answered. Photos name it.
        tapped_at: the phone's clock, kept for people in the trail.

    Raises:
        Clash: not left the yard, or unloaded already with another name or other words.
        Refused: no name, or a number that stands for another stop's proof.
        NotThere: a stop of another trip.
    """
    try:
        with transaction.atomic():
            delivery, row = _stop_locked(actor, load, "unload")
            name = read_words(handed_to, "name", _("Write the name of who took it."), NAME_MOST)
            said = read_short(words, "words", NOTES_MOST)
            if row.unloaded_at is not None:
                return _same(row, name, said, proof_id)
            _check_left(row)
            row.unloaded_at, row.arrived_at = at, row.arrived_at or at
            row.handed_to, row.driver_words, row.proof_id = name, said, proof_id
            row.save()
            change = _told(row, tapped_at) | {"handed_to": ["", name]}
            audit_record(actor, "stop_unload", delivery, at=at, change=change, why=said)
            if _all_off(delivery):
                delivery_deliver(actor=actor, at=at, delivery=delivery, received_by=name)
    except IntegrityError as error:
        if "proof_id" not in str(error):
            raise
        words = _(
            "This has the number of something else that was sent. Load the page again and tap once more."
        )
        raise Refused(words) from None
    return row


def _stop_locked(actor: Actor, load: TruckLoad, verb: str) -> tuple[Delivery, TruckLoad]:
    """The delivery's row and the load's, locked after the order's; a link acts for the stops of its own trip."""
    _order, delivery = delivery_locked(load.delivery)
    require(actor, "trip_stop", verb)
    row = TruckLoad.objects.select_for_update(of=("self",)).filter(pk=load.pk).first()
    link = actor.link
    strange = link is not None and (
        link.subject_type != Trip._meta.label_lower or row is None or row.trip_id != link.subject_id
    )
    if row is None or strange:
        raise NotThere()
    row.delivery = delivery
    return delivery, row


def _same(row: TruckLoad, name: str, words: str, proof_id: UUID | None) -> TruckLoad:
    """The proof that is there, where this is the same one."""
    if (proof_id is not None and proof_id == row.proof_id) or (name, words) == (
        row.handed_to,
        row.driver_words,
    ):
        return row
    words = _("This stop was unloaded already; %(name)s took it. Call the yard if that is wrong.")
    raise Clash(words % {"name": row.handed_to})


def _check_left(row: TruckLoad) -> None:
    if row.loaded_at is None:
        raise Clash(
            _(
                "The yard has not noted yet that this is loaded. Keep it here, or call the yard; then send it again."
            )
        )


def _told(row: TruckLoad, tapped_at: datetime | None) -> dict[str, object]:
    clock = {"phone_clock": tapped_at.isoformat()} if tapped_at else {}
    return {"truck": row.number, **clock}


def _all_off(delivery: Delivery) -> bool:
    """Whether this was the last of a delivery that nobody has received or begun to tick."""
    return (
        delivery.state == "loaded"
        and not delivery.loads.filter(unloaded_at=None).exists()
        and not ReceiptLine.objects.filter(delivery=delivery).exists()
    )


# --- the driver's link ---


def trip_link_make(*, actor: Actor, at: datetime, trip: Trip, for_name: str) -> tuple[AccessLink, str]:
    """Make a driver's link to a trip; returns it with its address, which is shown once and never kept.

    It lives until 7 days after the trip's day. An earlier link for the same person is withdrawn.

    Raises Refused without a name, NotThere where the trip was planned away meanwhile.
    """
    with transaction.atomic():
        row = Trip.objects.select_for_update().filter(pk=trip.pk).first()
        require(actor, "trip_link", "make")
        if row is None:
            raise NotThere()
        name = read_words(for_name, "for_name", "Name the driver that the link is for.", NAME_MOST)
        days = max(0, (row.day - at.date()).days) + LINK_DAYS_AFTER_TRIP
        link, secret = link_make(
            actor=actor,
            purpose=LinkPurpose.TRIP,
            subject=row,
            for_name=name,
            expires_at=at + timedelta(days=days),
            at=at,
        )
        audit_record(actor, "trip_link_make", row, at=at, change={"for": name})
    return link, settings.PUBLIC_URL.rstrip("/") + reverse("common:link_door", args=[secret])


def trip_link_withdraw(*, actor: Actor, at: datetime, trip: Trip, link_id: str) -> None:
    """Withdraw one link of a trip at once; a second time changes nothing. Raises NotThere."""
    with transaction.atomic():
        require(actor, "trip_link", "withdraw")
        link = link_list(trip).filter(public_id=link_id).first()
        if link is None:
            raise NotThere()
        link_withdraw(actor=actor, link=link, at=at)
