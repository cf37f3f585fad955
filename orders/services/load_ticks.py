"""Ticking in the yard what goes onto a truck, thing by thing, by scan or by hand (R47)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction

from framing.common.access import require
from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_record
from framing.common.errors import ApplicationError, Clash, NotAllowed, NotThere, Refused
from framing.common.models import User
from orders.load_facts import thing_id, thing_name
from orders.load_ticks import Row, belongs_words, loading_of, thing_coded
from orders.models import Bundle, LoadTick, Trip, TruckLoad
from orders.services.load_rows import orders_locked, trips_locked
from orders.services.trips import all_loaded, trip_load


@dataclass(frozen=True, slots=True)
class Tick:
    """One tick. `action_id` is made on the phone; `code` is that of the thing's tag, as scanned or typed.

    Attributes:
        on: False takes a tick back.
        tapped_at: the phone's clock, for people only.
    """

    action_id: UUID
    code: str
    on: bool = True
    tapped_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Ticked:
    """A tick as it is kept, and what it came to in words: how many are left, or that the truck is loaded."""

    tick: LoadTick
    words: str
    loaded: bool = False


def load_tick(*, actor: Actor, at: datetime, trip: Trip, tick: Tick) -> Ticked:
    """Say that a bundle or carton is on its truck, or take that back. The same `action_id` again changes nothing.

    With the first tick the load is locked, so that nobody plans it anew under the yard's hands; with the last one
    the truck is loaded. Where that is refused the tick stands, and the words say what is in the way.

    Raises:
        Refused: no code of ours, a piece's label, an old tag, a thing of another truck (the words say where it
            belongs), or a number that stands for another tick.
        Clash: the bundle is still to roll, or the truck is loaded already.
    """
    try:
        with transaction.atomic():
            orders_locked(TruckLoad.objects.filter(trip=trip).values_list("delivery__order_id", flat=True))
            found = trips_locked([trip.pk])
            require(actor, "trip", "tick")
            user = _person(actor)
            if not found:
                raise NotThere("This truck is no more: it was planned anew. Go back to the list of trucks.")
            again = LoadTick.objects.filter(action_id=tick.action_id).first()
            if again is not None:
                return _same(again, user, found[0], tick)
            return _ticked(actor, user, at, found[0], tick)
    except IntegrityError as error:
        if "action_id" not in str(error):
            raise
        raise _other_tick() from None


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotAllowed("A truck is loaded by a person.")
    return actor.user


def _same(kept: LoadTick, user: User, trip: Trip, tick: Tick) -> Ticked:
    row = thing_coded(tick.code)
    thing = kept.bundle_id if isinstance(row, Bundle) else kept.carton_id
    if (kept.by_id, kept.trip_id, thing, kept.on) != (user.pk, trip.pk, row.pk, tick.on):
        raise _other_tick()
    return Ticked(kept, _words(trip, row, kept.on, kept.changed), all_loaded(trip))


def _other_tick() -> Refused:
    return Refused("This tick has the number of another one. Load the page again and tick once more.")


def _ticked(actor: Actor, user: User, at: datetime, trip: Trip, tick: Tick) -> Ticked:
    row = thing_coded(tick.code)
    _check(trip, row, tick)
    changed = (thing_id(row) in loading_of(trip).on) != tick.on
    is_bundle = isinstance(row, Bundle)
    kept = LoadTick.objects.create(
        action_id=tick.action_id,
        trip=trip,
        bundle=row if isinstance(row, Bundle) else None,
        carton=None if isinstance(row, Bundle) else row,
        on=tick.on,
        by=user,
        at=at,
        tapped_at=tick.tapped_at,
        changed=changed,
    )
    if changed:
        kind = "bundle" if is_bundle else "carton"
        verb = "trip_tick" if tick.on else "trip_untick"
        audit_record(actor, verb, trip, at=at, change={"thing": thing_id(row), "kind": kind})
    if changed and tick.on and not trip.locked:
        trip.locked = True
        trip.edition += 1
        trip.save(update_fields=["locked", "edition"])
        audit_record(actor, "trip_lock", trip, at=at, why="Loading began.")
    if tick.on and loading_of(trip).done:
        return _last(user, at, trip, kept, row)
    return Ticked(kept, _words(trip, row, tick.on, changed))


def _check(trip: Trip, row: Row, tick: Tick) -> None:
    """The thing is of this truck and may go on it now."""
    if row.load is None or row.load.trip_id != trip.pk:
        raise Refused(belongs_words(row), field="code")
    if row.load.loaded_at is not None or trip.left_at is not None:
        if tick.on:
            return  # it is on, as it says
        raise Clash(f"{trip} is loaded already; what came off again is the dispatcher's to say.")
    if tick.on and isinstance(row, Bundle) and row.finished_at is None:
        raise Clash(f"{thing_name(row)} is still to roll; finish it before it goes on a truck.")


def _last(user: User, at: datetime, trip: Trip, kept: LoadTick, row: Row) -> Ticked:
    """All is on: the truck is loaded, unless something is in the way of that."""
    words = f"{thing_name(row)} is on: it was the last."
    try:
        with transaction.atomic():
            trip_load(
                actor=SYSTEM, at=at, trip=trip, edition=trip.edition, why=f"The last tick, by {user.name}."
            )
    except ApplicationError as error:
        if not isinstance(error, Refused | Clash):
            raise
        return Ticked(kept, f"{words} It does not count as loaded yet: {error.message}")
    return Ticked(kept, f"{words} {trip} is loaded; its manifests are stored.", loaded=True)


def _words(trip: Trip, row: Row, on: bool, changed: bool) -> str:
    left = loading_of(trip).left
    rest = "all is on" if not left else f"{left} left"
    is_ = "is on" if on else "is off again"
    return f"{thing_name(row)} {is_}{'' if changed else ', as it was'}; {rest}."
