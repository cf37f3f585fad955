"""What the builder's page and staff read of a receipt: things in order of unloading, how each stands, photos (R48)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from framing.common.actors import Actor
from framing.common.errors import NotThere, Refused
from framing.common.models import AccessLink, User
from orders.manifest_facts import BundleLine, CartonLine, Manifest, load_rows, manifest_of
from orders.manifest_words import carton_title
from orders.models import Bundle, Carton, Delivery, ReceiptAction, ReceiptLine, SitePhoto, TruckLoad
from orders.papers.codes import read_code
from orders.states import ReceiptState

Thing = Bundle | Carton


def is_on(thing: Thing, delivery: Delivery) -> bool:
    """Whether a bundle or carton comes with a delivery."""
    if thing.delivery_id is not None:
        return bool(thing.delivery_id == delivery.pk)
    return thing.load is not None and thing.load.delivery_id == delivery.pk


def same_hand(actor: Actor, link: AccessLink | None, user: User | None) -> bool:
    """Whether what came by a link, or from staff, came from this actor; a person's next link to the same is his too."""
    mine = actor.link
    if link is None or mine is None:
        return link == mine and user == actor.user
    return _led_to(link) == _led_to(mine)


def _led_to(link: AccessLink) -> tuple[str, str, int, str]:
    return link.purpose, link.subject_type, link.subject_id, link.for_name


def not_of_this_delivery() -> Refused:
    """The same words whatever the code is, so that nobody learns what else there is."""
    return Refused(
        _(
            "This code is not of this delivery. Check its twelve signs; if the tag is on the truck all the same,"
            " call us."
        ),
        field="code",
    )


def thing_on(delivery: Delivery, text: str) -> Thing:
    """The bundle or carton of a delivery whose tag has this code, as scanned or typed. Raises Refused."""
    code = read_code(text)
    if code:
        for model in (Bundle, Carton):
            thing = model.objects.select_related("load").filter(code=code).first()
            if thing is not None and is_on(thing, delivery):
                return thing
    raise not_of_this_delivery()


def rows_on(delivery: Delivery) -> Q:
    """Bundles or cartons of a delivery, for filters."""
    return Q(delivery=delivery) | Q(delivery=None, load__delivery=delivery)


def open_things(delivery: Delivery) -> list[str]:
    """Bundles, then cartons of a delivery that are neither ticked nor reported, in words."""
    still = Q(receipt=None) | Q(receipt__state=ReceiptState.OPEN)
    bundles = Bundle.objects.filter(rows_on(delivery)).filter(still).order_by("number")
    cartons = Carton.objects.filter(rows_on(delivery)).filter(still).order_by("number")
    return [
        *(_("bundle %(number)s") % {"number": number} for number in bundles.values_list("number", flat=True)),
        *(_("carton %(number)s") % {"number": f"C{one}"} for one in cartons.values_list("number", flat=True)),
    ]


@dataclass(frozen=True, slots=True)
class SiteThing:
    """A bundle or carton of a load as the site sees it; `state` is a ReceiptState, `said` what was reported last."""

    line: BundleLine | CartonLine
    state: str
    said: str = ""

    @property
    def is_bundle(self) -> bool:
        return isinstance(self.line, BundleLine)

    @property
    def reported(self) -> bool:
        return self.state in (ReceiptState.SHORT, ReceiptState.DAMAGED, ReceiptState.WRONG)


@dataclass(frozen=True, slots=True)
class SiteLoad:
    """One truck's load with its things in order of unloading; `row` tells what the driver said of it."""

    manifest: Manifest
    things: tuple[SiteThing, ...]
    row: TruckLoad


def site_loads(delivery: Delivery) -> list[SiteLoad]:
    """The loads of a delivery; as many queries with 200 bundles as with 10."""
    states = {code: (line.state, line.last.words) for code, line in _lines(delivery)}
    loads = []
    for load in load_rows().filter(delivery=delivery).order_by("number"):
        manifest = manifest_of(load)
        things = (
            SiteThing(one, *states.get(one.code, (ReceiptState.OPEN.value, ""))) for one in lines_of(manifest)
        )
        loads.append(SiteLoad(manifest, tuple(things), load))
    return loads


def lines_of(manifest: Manifest) -> list[BundleLine | CartonLine]:
    """Bundles and cartons as they come off, cartons' titles in the reader's language."""
    cartons = (replace(one, title=carton_title(one.title)) for one in manifest.cartons)
    return sorted((*manifest.bundles, *cartons), key=lambda one: one.off)


def _lines(delivery: Delivery) -> Iterable[tuple[str, ReceiptLine]]:
    rows = ReceiptLine.objects.filter(delivery=delivery).select_related("bundle", "carton", "last")
    for row in rows:
        thing = row.bundle or row.carton
        if thing is not None:
            yield thing.code, row


def receipt_states(delivery: Delivery) -> dict[str, str]:
    """How each thing that something was said of stands, by the code of its tag."""
    return {code: row.state for code, row in _lines(delivery)}


def receipt_actions(delivery: Delivery) -> QuerySet[ReceiptAction]:
    """What was said on site, oldest first."""
    return (
        ReceiptAction.objects.filter(delivery=delivery)
        .select_related("bundle", "carton", "by", "link")
        .order_by("id")
    )


def photo_list(delivery: Delivery) -> QuerySet[SitePhoto]:
    """Photos of a delivery, oldest first."""
    return SitePhoto.objects.filter(delivery=delivery).select_related("link", "by").order_by("id")


def photo_get(public_id: str) -> SitePhoto:
    """One photo. Raises NotThere."""
    found = SitePhoto.objects.filter(public_id=public_id).select_related("delivery").first()
    if found is None:
        raise NotThere()
    return found


def photo_of(delivery: Delivery, public_id: str) -> SitePhoto:
    """One photo of this delivery. Raises NotThere."""
    found = photo_list(delivery).filter(public_id=public_id).first()
    if found is None:
        raise NotThere()
    return found


def thing_name(thing: SiteThing) -> str:
    """How staff call it: `Bundle 4`, `Carton 2`."""
    return f"{'Bundle' if thing.is_bundle else 'Carton'} {thing.line.number}"
