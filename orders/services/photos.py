"""Photos from the site: each counts once by the telephone's own number (R48)."""

from __future__ import annotations

from datetime import datetime
from typing import Final
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from orders.models import Delivery, ReceiptAction, SitePhoto
from orders.photo_store import PHOTOS, Picture, picture_of
from orders.site_reads import same_hand
from orders.site_terms import ended_words, over_words, site_terms, whom_to_call

PHOTOS_MOST: Final = 200
"""Of one delivery: enough for every bundle from all sides, too few to fill a disk by link."""


def photo_take(
    *,
    actor: Actor,
    at: datetime,
    delivery: Delivery,
    photo_id: UUID,
    file: tuple[str, bytes],
    action_id: UUID | None = None,
) -> SitePhoto:
    """Keep a photo of a delivery, made anew without what stood beside the picture.

    Args:
        photo_id: the telephone's own number of it; sent again, the photo that is there already is answered.
        file: (name, bytes) as sent.
        action_id: the act that it belongs to, which may arrive later.

    Raises:
        TooBig: over 10 MB.
        Refused: no picture, one too large to unpack, the number stands for another photo.
        Clash: it belongs to no act that was counted, and the delivery is signed for, its days of reports are over or
            its order is closed; or there are 200 already.
    """
    require(actor, "site_photo", "take")
    known = SitePhoto.objects.filter(photo_id=photo_id).first()
    if known is None:
        _check_room(delivery, action_id, at)
        known = _kept(actor, at, delivery, photo_id, action_id, picture_of(*file))
    if known.delivery_id != delivery.pk or not same_hand(actor, known.link, known.by):
        raise Refused(_("This photo has the number of another one. Take it again."), field="photo_id")
    return known


def _check_room(delivery: Delivery, action_id: UUID | None, at: datetime) -> None:
    if delivery.photos.count() >= PHOTOS_MOST:
        words = _("Delivery %(number)s has %(most)s photos, and no more are kept. Send others by mail.")
        raise Clash(words % {"number": delivery.number, "most": PHOTOS_MOST})
    of_act = action_id is not None and (
        ReceiptAction.objects.filter(delivery=delivery, action_id=action_id).exists()
        or delivery.loads.filter(proof_id=action_id).exists()
    )
    if not of_act:
        _check_open(Delivery.objects.select_related("order__owner").get(pk=delivery.pk), at)


def _check_open(delivery: Delivery, at: datetime) -> None:
    """Raise Clash where a photo by itself is taken no more."""
    terms = site_terms(delivery, at)
    if terms.ended:
        raise Clash(ended_words(delivery))
    if terms.signed_at is not None:
        words = _(
            "Delivery %(number)s is signed for by %(name)s; a photo goes with a report now. Keep it, or call %(call)s."
        )
        call = whom_to_call(delivery.order)
        raise Clash(words % {"number": delivery.number, "name": terms.signed_by, "call": call})
    if terms.last_day is not None and terms.over:
        raise Clash(over_words(delivery, terms.last_day))


def _kept(
    actor: Actor, at: datetime, delivery: Delivery, photo_id: UUID, action_id: UUID | None, picture: Picture
) -> SitePhoto:
    try:
        with transaction.atomic():
            PHOTOS.hold()
            photo = SitePhoto.objects.create(
                delivery=delivery,
                photo_id=photo_id,
                action_id=action_id,
                sha256=PHOTOS.write(picture.data),
                size=len(picture.data),
                width=picture.width,
                height=picture.height,
                name=picture.name,
                link=actor.link,
                by=actor.user,
                created_at=at,
            )
            audit_record(actor, "photo_take", delivery, at=at, change={"photo": photo.public_id})
    except IntegrityError as error:
        if "photo_id" not in str(error):
            raise
        return SitePhoto.objects.get(photo_id=photo_id)  # sent twice at once
    return photo
