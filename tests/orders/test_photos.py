"""Photos from the site: made anew without what stood beside the picture, counted once, refused in words."""

from __future__ import annotations

import os
import struct
import zlib
from io import BytesIO
from typing import Any
from uuid import UUID, uuid4

import pytest
from PIL import Image

from framing.common.actors import Actor
from framing.common.bounded import JobRefused
from framing.common.clock import database_now
from framing.common.errors import Clash, NotAllowed, Refused, TooBig
from framing.common.models import Role
from orders.models import Delivery, SitePhoto
from orders.photo_store import FILE_MOST, PHOTOS, photo_bytes
from orders.services.photos import PHOTOS_MOST, photo_take
from orders.site_picture import remake
from tests.factories import orders, people
from tests.factories.pictures import PLACE, photo
from tests.factories.site import act, builder, things

pytestmark = pytest.mark.django_db
AT = orders.AT


@pytest.fixture(autouse=True)
def _folder(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path


def colour(data: bytes, x: int, y: int) -> tuple[int, ...]:
    with Image.open(BytesIO(data)) as image:
        found = image.getpixel((x, y))
    assert isinstance(found, tuple)
    return found


def bomb(side_wide: int, side_high: int) -> bytes:
    """A small PNG that says it is as large as that."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side_wide, side_high, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def take(
    actor: Actor,
    delivery: Delivery,
    data: bytes,
    name: str = "p.jpg",
    id_: UUID | None = None,
    of: UUID | None = None,
) -> SitePhoto:
    return photo_take(
        actor=actor, at=AT, delivery=delivery, photo_id=id_ or uuid4(), file=(name, data), action_id=of
    )


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_made_anew_and_tells_neither_place_nor_maker(form: str) -> None:
    sent = photo(form=form)
    assert b"Pocket telephone" in sent
    assert PLACE in sent
    delivery = orders.loaded()
    row = take(builder(delivery), delivery, sent, "east <script>alert(1)</script> gate.jpg")
    kept = photo_bytes(row)
    assert kept != sent
    for word in (b"Pocket", PLACE, b"Exif", b"where I live", b"2026:11"):
        assert word not in kept
    with Image.open(BytesIO(kept)) as image:
        assert (image.format, image.size, dict(image.getexif())) == ("JPEG", (64, 32), {})
        assert "comment" not in image.info
    assert colour(kept, 30, 3)[0] > 200, "red is still above"
    assert row.name == "script> gate.jpg", (
        "what stands before the last slash is a folder; the rest is only text"
    )
    assert (row.width, row.height, row.size) == (64, 32, len(kept))


def test_a_photo_stands_upright_whatever_way_the_telephone_was_held() -> None:
    facts, (blob,) = remake(photo(turn=6), {})
    assert facts == {"width_px": 32, "height_px": 64}
    with Image.open(BytesIO(blob)) as image:
        assert not image.getexif()
    assert colour(blob, 28, 30)[0] > 200, "what was above the camera's side lies right of it"
    assert colour(blob, 4, 30)[2] > 200


def test_a_large_photo_becomes_a_small_one() -> None:
    facts, (blob,) = remake(photo(4000, 3000), {})
    assert facts == {"width_px": 1600, "height_px": 1200}
    assert len(blob) < 100_000


def test_clear_places_become_white() -> None:
    out = BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    _, (blob,) = remake(out.getvalue(), {})
    assert min(colour(blob, 10, 10)) > 250


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"<svg onload='alert(1)'/>", "no photo that can be read"),
        (b"GIF89a" + bytes(60), "no photo that can be read"),
        (photo(900, 900)[:-2000], "damaged or cut short"),
        (bomb(20_000, 10_000), "20,000 by 10,000 pixels; at most 40,000,000"),
        (photo(64, 4), "nobody sees anything"),
    ],
    ids=["empty", "svg", "gif", "torn", "bomb", "sliver"],
)
def test_what_is_no_photo_is_refused_in_words(data: bytes, words: str) -> None:
    delivery = orders.loaded()
    with pytest.raises(Refused, match=words) as refusal:
        take(builder(delivery), delivery, data)
    assert refusal.value.field == "file"
    assert not SitePhoto.objects.exists()


def test_200_megapixels_of_jpeg_are_refused_before_they_are_unpacked() -> None:
    head = bytearray(photo())
    at = head.index(b"\xff\xc0") + 5
    head[at : at + 4] = struct.pack(">HH", 14_200, 14_200)
    with pytest.raises(JobRefused, match="14,200 by 14,200 pixels"):
        remake(bytes(head), {})


def test_over_ten_megabytes_nothing_is_read() -> None:
    delivery = orders.loaded()
    with pytest.raises(TooBig, match="at most 10,000,000"):
        take(builder(delivery), delivery, photo() + bytes(FILE_MOST))
    row = take(builder(delivery), delivery, photo() + bytes(FILE_MOST - 5000))
    assert row.size < 5000


def test_a_photo_sent_again_counts_once() -> None:
    delivery = orders.loaded()
    rae, number = builder(delivery), uuid4()
    first = take(rae, delivery, photo(), id_=number)
    assert take(rae, delivery, photo(), id_=number) == first
    assert SitePhoto.objects.count() == 1
    other = orders.loaded()
    for actor, where in ((rae, other), (builder(delivery, "Bo"), delivery)):
        with pytest.raises(Refused, match="number of another one"):
            take(actor, where, photo(), id_=number)


def test_after_the_signature_only_photos_of_what_was_said_before_come_in() -> None:
    delivery = orders.loaded()
    rae, number = builder(delivery), uuid4()
    all_ = things(delivery)
    act(rae, delivery, "damaged", all_[0], number)
    for thing in all_[1:]:
        act(rae, delivery, "tick", thing)
    act(rae, delivery, "sign", name="Rae Winter")
    delivery.refresh_from_db()
    assert take(rae, delivery, photo(), of=number).action_id == number
    for of in (None, uuid4()):
        with pytest.raises(Clash, match="signed for"):
            take(rae, delivery, photo(), of=of)


def test_a_delivery_keeps_so_many_photos_and_no_more() -> None:
    delivery = orders.loaded()
    rae = builder(delivery)
    row = take(rae, delivery, photo())
    copy = {name: getattr(row, name) for name in ("sha256", "size", "width", "height", "link", "created_at")}
    SitePhoto.objects.bulk_create(
        SitePhoto(delivery=delivery, photo_id=uuid4(), **copy) for _ in range(PHOTOS_MOST - 1)
    )
    with pytest.raises(Clash, match="200 photos"):
        take(rae, delivery, photo())


def test_the_sweep_leaves_photos_that_a_row_names() -> None:
    delivery = orders.loaded()
    row = take(builder(delivery), delivery, photo())
    left = PHOTOS.write(b"nobody's")
    for sha256 in (row.sha256, left):
        os.utime(PHOTOS.path(sha256), (0, 0))
    assert PHOTOS.sweep(database_now()) == [f"{left}.jpg"]
    assert photo_bytes(row).startswith(b"\xff\xd8\xff")


@pytest.mark.parametrize("role", Role.values)
def test_of_staff_the_dispatcher_alone_adds_photos(role: str) -> None:
    delivery = orders.loaded()
    actor = people.actor(Role(role))
    if role == Role.DISPATCHER:
        assert take(actor, delivery, photo()).by == actor.user
        return
    with pytest.raises(NotAllowed):
        take(actor, delivery, photo())
