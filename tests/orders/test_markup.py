"""A marked-up file with a no: read in a bounded process, shown as our own pictures, refused with what to do."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Refused, TooBig
from framing.common.links import link_make
from framing.common.models import LinkPurpose, OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_get
from orders import services
from orders.markup_store import FILE_MOST, MARKUPS
from orders.models import DrawingSet, Order
from tests.factories import orders, people, quotes
from tests.projects import plan_seeds

pytestmark = pytest.mark.django_db
RAE = ("Rae Winter", "rae@winter.example")


@pytest.fixture(autouse=True)
def _folder(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path


def asked() -> tuple[Order, DrawingSet]:
    order = orders.booked()
    sent = services.drawings_send(
        actor=person(order.owner), order=order, people=(RAE,), key=quotes.key(), at=database_now()
    )
    return order, sent


def say_no(order: Order, file: tuple[str, bytes]) -> DrawingSet:
    return services.drawings_record(
        actor=person(order.owner), at=database_now(), order=order, approved=False, name="Rae Winter",
        heard="brought to the counter", words="See the mark.", file=file,
    )  # fmt: skip


def builders_browser(order: Order) -> tuple[Client, str]:
    link, secret = link_make(
        actor=person(order.owner), purpose=LinkPurpose.ORDER, subject=order, for_name="Rae Winter",
        expires_at=database_now() + timedelta(days=9), at=database_now(),
    )  # fmt: skip
    browser = Client()
    browser.get(reverse("common:link_door", args=[secret]))
    return browser, reverse("orders:your_order_answer", args=[link.public_id, 1])


def no_with(data: bytes, name: str = "mark.png") -> dict[str, Any]:
    return {
        "answer-approved": "no",
        "answer-name": "Rae Winter",
        "answer-words": "See the mark.",
        "answer-file": SimpleUploadedFile(name, data),
    }


def test_a_picture_comes_back_as_a_paper_of_our_own() -> None:
    order, sent = asked()
    data = plan_seeds.saved(plan_seeds.sketch(), "JPEG")
    browser, url = builders_browser(order)
    assert browser.post(url, no_with(data, "site photo.jpg")).status_code == 302
    sent.refresh_from_db()
    assert sent.markup_name == "site photo.jpg"
    assert MARKUPS.read(sent.markup_sha256) == data
    planner = people.client_of(Role.PLANNER)
    page = reverse("orders:order_page", args=[order.public_id])
    there = reverse("orders:drawings_markup", args=[order.public_id, 1])
    assert "being read" in planner.get(page).content.decode()
    assert planner.get(there).status_code == 404
    entry = OutboxEntry.objects.get(kind="drawing_markup", key=str(sent.pk))
    assert outbox_run(entry.pk) is True
    shown = planner.get(there).content
    assert shown.startswith(b"%PDF")
    assert data not in shown, "the builder's own bytes are never served"
    assert there in planner.get(page).content.decode()


def test_what_can_not_be_read_leaves_no_paper_and_the_page_says_so() -> None:
    order, sent = asked()
    say_no(order, ("torn.png", plan_seeds.saved(plan_seeds.sketch())[:300]))
    assert outbox_run(OutboxEntry.objects.get(kind="drawing_markup", key=str(sent.pk)).pk) is True
    assert paper_get("drawing_markup", sent) is None
    page = people.client_of(Role.PLANNER).get(reverse("orders:order_page", args=[order.public_id]))
    assert "torn.png: this file could not be read here" in page.content.decode()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("plan.dxf", b"0\nSECTION\n2\nHEADER\n", "neither a PDF nor a picture"),
        ("empty.pdf", b"", "is empty"),
        ("scan.tif", b"II*\x00" + b"\x01\x02" * 40, "TIFF"),
    ],
)
def test_other_kinds_are_refused_with_what_to_do(name: str, data: bytes, words: str) -> None:
    order, sent = asked()
    with pytest.raises(Refused, match=words) as refusal:
        say_no(order, (name, data))
    assert refusal.value.field == "file"
    sent.refresh_from_db()
    assert sent.answered_at is None, "the answer waits until the file is right"
    assert not OutboxEntry.objects.filter(kind="drawing_markup").exists()


def test_a_file_over_the_limit_is_refused_and_a_smaller_one_passes_the_gate_by_link_only() -> None:
    order, sent = asked()
    with pytest.raises(TooBig, match="at most 10,000,000"):
        say_no(order, ("big.pdf", b"%PDF-" + bytes(FILE_MOST)))
    photo = plan_seeds.saved(plan_seeds.sketch()) + bytes(3_000_000)  # over what strangers may send
    browser, url = builders_browser(order)
    assert Client().post(url, no_with(photo)).status_code == 413
    assert browser.post(url, no_with(photo + bytes(8_000_000))).status_code == 413
    sent.refresh_from_db()
    assert sent.answered_at is None
    assert browser.post(url, no_with(photo)).status_code == 302
    sent.refresh_from_db()
    assert sent.approved is False
