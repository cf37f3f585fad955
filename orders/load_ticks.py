"""What went onto its truck in the yard: ticks as they stand, what a code is, where a thing belongs (R47)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from framing.common.errors import Refused
from orders.floor_codes import code_read
from orders.load_facts import thing_id
from orders.models import Bundle, Carton, LoadTick, PastCode, Piece, Trip

Row = Bundle | Carton
_JOINED = ("order", "delivery", "load__trip")


@dataclass(frozen=True, slots=True)
class Loading:
    """How far a trip is loaded: ids of its things, and the tick that stands for each that is on."""

    things: tuple[Row, ...]
    on: Mapping[str, LoadTick]

    @property
    def left(self) -> int:
        return len(self.things) - len(self.on)

    @property
    def done(self) -> bool:
        return bool(self.things) and not self.left


def loading_of(trip: Trip) -> Loading:
    """A trip's things, bundles first, and what of them is on the truck."""
    return loadings_of([trip])[trip.pk]


def loadings_of(trips: Sequence[Trip]) -> dict[int, Loading]:
    """The same for several trips by their pk, in three queries for all."""
    pks = [trip.pk for trip in trips]
    bundles = Bundle.objects.filter(load__trip__in=pks).select_related(*_JOINED)
    cartons = Carton.objects.filter(load__trip__in=pks).select_related(*_JOINED)
    things: list[Row] = [*bundles.order_by("order_id", "number"), *cartons.order_by("order_id", "number")]
    last: dict[tuple[int, int | None, int | None], LoadTick] = {}
    for tick in LoadTick.objects.filter(trip__in=pks).select_related("by").order_by("id"):
        last[tick.trip_id, tick.bundle_id, tick.carton_id] = tick
    mine: dict[int, list[Row]] = {pk: [] for pk in pks}
    on: dict[int, dict[str, LoadTick]] = {pk: {} for pk in pks}
    for row in things:
        trip_id = row.load.trip_id if row.load is not None and row.load.trip_id is not None else 0
        mine[trip_id].append(row)
        kept = last.get((trip_id, row.pk, None) if isinstance(row, Bundle) else (trip_id, None, row.pk))
        if kept is not None and kept.on:
            on[trip_id][thing_id(row)] = kept
    return {pk: Loading(tuple(mine[pk]), on[pk]) for pk in pks}


def thing_coded(text: str) -> Row:
    """The bundle or carton whose tag was scanned or typed. Raises Refused at `code` for anything else."""
    code = code_read(text)
    bundle = Bundle.objects.filter(code=code).select_related(*_JOINED).first()
    carton = None if bundle else Carton.objects.filter(code=code).select_related(*_JOINED).first()
    row = bundle or carton
    if row is not None:
        return row
    piece = Piece.objects.select_related("order", "bundle").filter(code=code).first()
    if piece is not None:
        home = f"bundle {piece.bundle.number}" if piece.bundle else "no bundle"
        words = f"This is the label of piece {piece.mark} of order {piece.order.number}, in {home}."
        raise Refused(f"{words} Scan the tag of a bundle or carton.", field="code")
    past = PastCode.objects.select_related("order").filter(code=code).first()
    if past is not None:
        what = "carton" if past.is_carton else "bundle"
        words = f"This tag is old: since {past.why}, {what} {past.number} of order {past.order.number} has another."
        raise Refused(
            f"{words} Go by the tag that was printed since, or ask the planner for it.", field="code"
        )
    raise Refused(
        f"No bundle or carton has the code {code}. Look at the tag again, or tick it in the list.",
        field="code",
    )


def belongs_words(row: Row) -> str:
    """Where a thing belongs that is not of the trip in hand, and what to do with it."""
    what = f"{'Bundle' if isinstance(row, Bundle) else 'Carton'} {row.number} of order {row.order.number}"
    trip = row.load.trip if row.load is not None else None
    if trip is not None:
        day = f"{trip.day:%b} {trip.day.day}"
        gone = (
            " It is marked as loaded there already: tell the dispatcher."
            if row.load and row.load.loaded_at
            else ""
        )
        return (
            f"{what} goes on {trip.number}, {_truck(trip)} on {day}, not on this truck. Leave it off.{gone}"
        )
    if row.delivery is not None:
        when = row.delivery.planned_for
        return (
            f"{what} is on no truck yet: it goes with delivery {row.delivery.number} on {when:%b} {when.day}. Leave "
            "it off, and ask the dispatcher."
        )
    return f"{what} is on no delivery yet. Leave it off, and ask the dispatcher."


def _truck(trip: Trip) -> str:
    return trip.truck_name or "a hired truck"
