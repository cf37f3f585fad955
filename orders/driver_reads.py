"""What a driver sees of his trip, and staff of a proof of delivery (R47, R48)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote
from uuid import uuid4

from django.db.models import QuerySet
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import company
from framing.common.models import AccessLink
from orders.delivery_gear import REACH_WORDS, heavy_words, is_too_heavy, lift_of
from orders.manifest_facts import BundleLine, CartonLine, Manifest, load_rows, manifest_of
from orders.models import Bundle, Carton, Delivery, SitePhoto, Trip, TruckLoad
from orders.selectors import missing
from orders.site_language import LANGUAGES
from orders.site_reads import lines_of


def state_words() -> dict[str, str]:
    """How far a stop is, in words."""
    return {
        "planned": _("Not loaded yet"),
        "loaded": _("On the truck"),
        "arrived": _("Arrived"),
        "unloaded": _("Unloaded"),
    }


@dataclass(frozen=True, slots=True)
class DriverStop:
    """One stop of a trip. `lines` are what comes off, first things first; `map_url` opens the phone's own map."""

    load: TruckLoad
    manifest: Manifest
    lines: tuple[BundleLine | CartonLine, ...]
    map_url: str

    @property
    def state(self) -> str:
        return stop_state(self.load)

    @property
    def state_words(self) -> str:
        return state_words()[self.state]

    @property
    def warnings(self) -> list[str]:
        """What to be careful of; to those who don't read English what is too heavy is told in fewer words."""
        told = self.manifest.warnings
        rows: list[Bundle | Carton] = [*self.load.bundles.all(), *self.load.cartons.all()]
        what = lift_of(self.load.delivery)
        heavy = heavy_words(rows, what)
        if not heavy or (get_language() or "en").startswith("en"):
            return list(told)
        names = ", ".join(_name(row) for row in rows if is_too_heavy(row, what))
        ours = [_("Heavier than what unloads there may lift: %(things)s.") % {"things": names}]
        reach = [_(REACH_WORDS)] if REACH_WORDS in heavy else []
        return [*(words for words in told if words not in heavy), *ours, *reach]


def _name(row: Bundle | Carton) -> str:
    if isinstance(row, Bundle):
        return _("bundle %(number)s") % {"number": row.number}
    return _("carton %(number)s") % {"number": f"C{row.number}"}


def stop_state(load: TruckLoad) -> str:
    """Of `state_words`: how far a stop is."""
    if load.unloaded_at is not None:
        return "unloaded"
    if load.arrived_at is not None:
        return "arrived"
    return "loaded" if load.loaded_at is not None else "planned"


def trip_by_id(public_id: str) -> Trip:
    """One trip. Raises NotThere."""
    return Trip.objects.select_related("truck").filter(public_id=public_id).first() or missing()


def trip_of_link(link: AccessLink) -> Trip:
    """The trip that a link opens. Raises NotThere for a link to anything else, or one that was planned away."""
    if link.subject_type != Trip._meta.label_lower:
        missing()
    return Trip.objects.select_related("truck").filter(pk=link.subject_id).first() or missing()


def trip_stops(trip: Trip) -> list[DriverStop]:
    """The stops of a trip in their order."""
    return [_stop(load) for load in load_rows().filter(trip=trip).order_by("stop")]


def stop_states(trip: Trip) -> dict[str, str]:
    """How far each stop is, by the public id of its load."""
    return {load.public_id: stop_state(load) for load in trip.loads.order_by("stop")}


def stop_on(trip: Trip, public_id: str) -> TruckLoad:
    """The load of one stop of this trip. Raises NotThere."""
    rows = TruckLoad.objects.select_related("delivery", "trip").filter(trip=trip, public_id=public_id)
    return rows.first() or missing()


def load_of(public_id: str) -> TruckLoad:
    """One load by its public id. Raises NotThere."""
    rows = TruckLoad.objects.select_related("delivery", "trip").filter(public_id=public_id)
    return rows.first() or missing()


def load_of_proof(trip: Trip, proof_id: Any) -> TruckLoad:
    """The load of this trip whose proof has that number. Raises NotThere."""
    rows = TruckLoad.objects.select_related("delivery").filter(trip=trip, proof_id=proof_id)
    return rows.first() or missing()


def _stop(load: TruckLoad) -> DriverStop:
    manifest = manifest_of(load)
    return DriverStop(load, manifest, tuple(lines_of(manifest)), f"geo:0,0?q={quote(manifest.site)}")


def driver_context(trip: Trip, link: AccessLink) -> dict[str, Any]:
    """All that the driver's page shows."""
    stops = trip_stops(trip)
    supplier = company()
    return {
        **supplier.context,
        "supplier": supplier,
        "trip": trip,
        "link": link,
        "link_id": link.public_id,
        "stops": stops,
        "next_stop": next((stop for stop in stops if stop.state != "unloaded"), None),
        "left": sum(1 for stop in stops if stop.state != "unloaded"),
        "hold": next((stop.manifest.hold for stop in stops if stop.manifest.hold), None),
        "sketch": next((stop.manifest.sketch for stop in stops if stop.manifest.sketch), ""),
        "units": stops[0].manifest.units if stops else "imperial",
        "cautions": SITE_CAUTIONS,
        "languages": LANGUAGES,
        "new_id": uuid4,
    }


@dataclass(frozen=True, slots=True)
class Proof:
    """What a driver brought back of one load, with the photos that he took."""

    load: TruckLoad
    photos: tuple[SitePhoto, ...]


def delivery_proofs(delivery: Delivery) -> list[Proof]:
    """What drivers told of a delivery, by truck; loads of which nothing was told are left out."""
    told: QuerySet[TruckLoad] = delivery.loads.exclude(arrived_at=None).select_related("trip__truck")
    loads = list(told.order_by("number"))
    return _proofs(loads)


def trip_proofs(trip: Trip) -> dict[int, Proof]:
    """What the driver told, by the primary key of the load."""
    return {proof.load.pk: proof for proof in _proofs(list(trip.loads.all()))}


def _proofs(loads: Sequence[TruckLoad]) -> list[Proof]:
    numbers = [load.proof_id for load in loads if load.proof_id]
    photos: dict[Any, list[SitePhoto]] = {}
    for photo in SitePhoto.objects.filter(action_id__in=numbers).order_by("id"):
        photos.setdefault(photo.action_id, []).append(photo)
    return [Proof(load, tuple(photos.get(load.proof_id, ()))) for load in loads]
